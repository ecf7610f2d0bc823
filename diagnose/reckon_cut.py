"""`diagnose reckon cut`: flakes and alcohol for a shellac cut, thinning to another cut, the age of a solution."""

from __future__ import annotations

import argparse
import re

from diagnose import units
from diagnose.complaint import Complaint, shown
from diagnose.loose_words import without_fraction
from diagnose.reckon_words import PRACTICE, read
from diagnose.sums import Figure, Remark, Sum

MONTH = units.KINDS["time"].units["month"][0]  # seconds
GALLONS = {"us": "US", "imperial": "imperial"}
_POUNDS = re.compile(r"(-?\d[\d.,]*)[\s-]*(lbs?|pounds?)(?:\s*/\s*gal(?:lon)?)?(?:[\s-]*cut)?", re.IGNORECASE)
_MEANING = "cut = flakes in a gallon of alcohol put in; 1 lb to a US gallon = 453.59237 g / 3.785411784 L = 119.83 g/L"
_MEANING_SOURCE = "Shellac mixing chart (shellac supplier); NIST Handbook 44, Appendix C"
_ROOM = "d = 0.1 US gal of room to a pound of flakes"


def add_to(parser: argparse.ArgumentParser) -> None:
    parser.description = "Shellac: flakes and alcohol for a cut and a volume, and alcohol to thin it to another cut."
    parser.epilog = "Example: diagnose reckon cut 2 lb --volume 500 mL --to 1 lb"
    parser.add_argument(
        "written", nargs="*", metavar="CUT", help="for instance 2 lb, or 240 g/L (to a litre of alcohol)"
    )
    parser.add_argument("--cut", nargs="+", metavar="CUT", help="the cut, as an option")
    parser.add_argument("--gallon", choices=tuple(GALLONS), default="us", help="the gallon that pounds are counted on")
    parser.add_argument("--volume", nargs="+", metavar="VOLUME", help="how much is to come out, for instance 500 mL")
    parser.add_argument("--to", nargs="+", metavar="CUT", help="the cut to thin it to")
    parser.add_argument("--have", nargs="+", metavar="VOLUME", help="with --to: how much solution there is to thin")
    parser.add_argument("--age", nargs="+", metavar="TIME", help="how long ago it was dissolved, for instance 8 months")


def reckon(chosen: argparse.Namespace) -> Sum:
    """Raises Complaint."""
    if bool(chosen.written) == bool(chosen.cut):
        raise Complaint(None, "one cut is needed", "write for instance: diagnose reckon cut 2 lb --volume 500 mL")
    cut = read_cut(" ".join(chosen.written or chosen.cut), chosen.gallon, "cut")
    volume = read(chosen.volume, "volume", "volume")
    have = read(chosen.have, "volume", "have")
    if have is not None and (chosen.to is None or volume is not None):
        raise Complaint(None, "--have says how much solution is thinned", "with --to, and without --volume")
    given = [("cut", _named(cut, chosen.gallon))]
    remarks = []
    if chosen.to is None:
        figures = (_to_dissolve(cut, volume) if volume is not None else ()) + _strengths(cut)
        remarks.append(_dissolving())
    else:
        wanted = read_cut(" ".join(chosen.to), chosen.gallon, "to")
        if wanted > cut:
            raise Complaint(
                None,
                f"to: {_named(wanted, chosen.gallon)} is stronger than {_named(cut, chosen.gallon)}",
                "alcohol only thins: name the stronger cut first",
            )
        given.append(("thinned to", _named(wanted, chosen.gallon)))
        figures = _thinned(cut, wanted, volume, have)
        remarks += _without_displacement(cut, wanted)
    for label, amount in (("to come out", volume), ("at hand", have)):
        if amount is not None:
            given.append((label, units.in_both(amount, "volume")))
    if chosen.age:
        age = units.parse(units.spoken(" ".join(chosen.age)), "time", None, "age")
        given.append(("dissolved", f"{units.show(age, 'time')} ago"))
        remarks += _aged(age / MONTH)
    return Sum("A shellac cut", tuple(given), figures, (*remarks, *_strong(cut), _FIRE))


def read_cut(written: str, gallon: str, what: str) -> float:
    """Grams of flakes to a litre of alcohol. Pounds are counted on that gallon. Raises Complaint."""
    from diagnose.shellac import POUND_CUT, strongest

    pounds = _POUNDS.fullmatch(without_fraction(written).strip())
    plain = f"{pounds[1]} {'lb/impgal' if gallon == 'imperial' else 'lb/gal'}" if pounds else written
    try:
        cut = units.parse(plain, "strength", None, what)
    except Complaint as complaint:
        accepted = complaint.accepted if "decimal comma" in complaint.wrong else "write for instance 2 lb or 240 g/L"
        raise Complaint(None, complaint.wrong.replace(shown(plain), shown(written)), accepted) from None
    if cut <= 0:
        raise Complaint(None, f"{what}: {shown(written)} holds no flakes", "write for instance 2 lb or 240 g/L")
    if cut > strongest() * (1 + 1e-9):
        raise Complaint(
            None,
            f"{what}: {shown(written)} is stronger than dissolves to a liquid that can be used",
            f"at most {strongest() / POUND_CUT:g} lb to a US gallon of alcohol ({strongest():.0f} g/L)",
        )
    return cut


def _named(cut: float, gallon: str) -> str:
    from diagnose.shellac import IMPERIAL_CUT, POUND_CUT

    one = IMPERIAL_CUT if gallon == "imperial" else POUND_CUT
    return f"{cut / one:.3g} lb to the {GALLONS[gallon]} gallon of alcohol ({cut:.4g} g/L)"


def _strengths(cut: float) -> tuple[Figure, ...]:
    from diagnose.shellac import IMPERIAL_CUT, POUND_CUT, solids, swelling
    from diagnose.tables import table

    room, density = (table("shellac")[name]["source"] for name in ("displaced", "alcohol_density"))
    by_mass, by_volume = solids(cut)
    plain = (
        ("us_cut", "pounds to a US gallon", cut / POUND_CUT, "lb/US gal"),
        ("imperial_cut", "pounds to an imperial gallon", cut / IMPERIAL_CUT, "lb/imp gal"),
        ("oz_per_quart", "ounces to a US quart", cut / POUND_CUT * 4, "oz/US qt"),
    )
    return (
        Figure("strength", "flakes to the alcohol", cut, "strength", _MEANING, _MEANING_SOURCE),
        *(Figure(name, says, value, "", _MEANING, _MEANING_SOURCE, unit) for name, says, value, unit in plain),
        Figure("solution_per_litre", "out of 1 L of alcohol", swelling(cut), "volume", f"1 + d*cut, {_ROOM}", room),
        Figure("of_solution", "flakes to the solution", cut / swelling(cut), "strength", "cut / (1 + d*cut)", room),
        Figure("solids_by_mass", "solids by mass", by_mass, "share", "cut / (cut + density of the alcohol)", density),
        Figure("solids_by_volume", "solids by volume", by_volume, "share", "d*cut / (1 + d*cut)", room),
    )


def _to_dissolve(cut: float, volume: float) -> tuple[Figure, ...]:
    from diagnose.shellac import to_dissolve
    from diagnose.tables import table

    room = table("shellac")["displaced"]["source"]
    flakes, alcohol = to_dissolve(cut, volume)
    return (
        Figure("flakes", "weigh of flakes", flakes, "mass", "cut * alcohol", _MEANING_SOURCE),
        Figure("alcohol", "measure of alcohol", alcohol, "volume", f"volume / (1 + d*cut), {_ROOM}", room),
        Figure("volume", "comes out", volume, "volume", "alcohol * (1 + d*cut)", room),
    )


def _thinned(cut: float, wanted: float, volume: float | None, have: float | None) -> tuple[Figure, ...]:
    from diagnose.shellac import thinned_to_volume, to_thin
    from diagnose.tables import table

    room = table("shellac")["displaced"]["source"]
    parts = to_thin(cut, wanted)
    formula = f"(cut/wanted - 1) / (1 + d*cut), {_ROOM}"
    figures = [Figure("parts", "alcohol to 1 part of solution", parts, "", formula, room, "parts by volume")]
    if have is not None:
        volume = have * (1 + parts)
    if volume is not None:
        solution, alcohol = thinned_to_volume(cut, wanted, volume)
        figures += [
            Figure("solution", "take of the solution", solution, "volume", "volume / (1 + parts)", room),
            Figure("alcohol", "add of alcohol", alcohol, "volume", "volume - solution", room),
            Figure("volume", "comes out", volume, "volume", "solution + alcohol", room),
        ]
    return tuple(figures)


def _without_displacement(cut: float, wanted: float) -> list[Remark]:
    from diagnose.shellac import to_thin
    from diagnose.tables import table

    if cut == wanted:
        return []
    right, simple = to_thin(cut, wanted), cut / wanted - 1
    says = (
        f"The flakes take up room in the solution. Whoever reckons without it adds {simple:.3g} parts in place of "
        f"{right:.3g}, and the cut comes out weaker than was wanted. "
        "Published tables of parts are rounded, some by a quarter."
    )
    return [Remark("room_of_flakes", True, says, table("shellac")["displaced"]["source"])]


def _dissolving() -> Remark:
    from diagnose.tables import table

    row = table("shellac")["dissolves_slowly_below"]
    cold = units.in_both(units.parse(f"{row['value']} {row['unit']}", "temperature", None, ""), "temperature")
    says = (
        "Keep it covered and swirl it now and then until all is dissolved, mostly overnight; "
        f"below {cold} flakes dissolve slowly. Strain it, and write the date on it."
    )
    return Remark("dissolving", True, says, f"{row['source']}; {PRACTICE}")


def _strong(cut: float) -> list[Remark]:
    from diagnose.shellac import POUND_CUT
    from diagnose.tables import table

    row = table("shellac")["tables_end"]
    if cut <= float(row["value"]) * POUND_CUT * (1 + 1e-9):
        return []
    says = f"Stronger than the {row['value']} lb cut at which published tables end: the room of the flakes is a guess."
    return [Remark("beyond_tables", False, says, row["source"])]


def _aged(months: float) -> list[Remark]:
    from diagnose.shellac import within_shelf_life
    from diagnose.tables import table

    life = table("shellac")["shelf_life"]
    short, long = life["short"]["value"], life["long"]["value"]
    covered = within_shelf_life(months)
    verdict = {
        "both": "This solution is within both.",
        "one": "This one is past the shorter and within the longer: try it before it goes on a piece.",
        "neither": "This one is past both: it may never harden. Mix fresh; keep this for nothing that matters.",
    }[covered]
    source = f"{life['short']['source']}; {life['long']['source']}"
    says = f"Published shelf lives differ: {short} months on one page, about {long} on another. {verdict}"
    test = (
        "The test: brush one thin wet film on clean glass in a warm dry room. Good shellac is dry to the touch in a "
        "quarter of an hour, and after a night a fingernail powders it; one that stays tacky or takes a print is spent."
    )
    return [Remark("shelf_life", covered == "both", says, source), Remark("film_test", True, test, PRACTICE)]


_FIRE = Remark(
    "fire",
    True,
    "Alcohol burns, and its vapour lights from a spark or a pilot light: no flame, moving air, closed jars. Denatured "
    "alcohol is poison. The safety data sheet has the rest.",
    PRACTICE,
)
