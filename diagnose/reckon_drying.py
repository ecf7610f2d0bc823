"""`diagnose reckon drying`: what air and film do to a waiting time. Words in, a Sum out."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator
from dataclasses import dataclass

from diagnose import air, drying, units
from diagnose.complaint import Complaint, shown, would_accept
from diagnose.loose_words import with_point
from diagnose.reckon_air import unfit
from diagnose.sums import Figure, Remark, Sum

SAYS = {"cold": "cold makes it longer", "damp": "damp makes it longer", "film": "the thick film makes it longer"}
FORMULAS = {
    "cold": "least, most = 1.6, 2.5 for each 10 C under 20 C",
    "damp": "1 to (1 - 0.5)/(1 - humidity), for water and glycol ether",
    "film": "thickness over usual, to its square",
}


def add_to(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "What temperature, humidity and film do to a drying time that is stated for a room of 20 C and 50 %: a range."
    )
    parser.epilog = "Example: diagnose reckon drying --stated 24h --air 12C 85% --film heavy --carrier water"
    parser.add_argument("--stated", nargs="+", metavar="TIME", help="on the label, for instance 24h")
    parser.add_argument(
        "--product", metavar="PRODUCT", help="of the knowledge, for its usual time and carrier: oil_varnish"
    )
    parser.add_argument("--air", nargs="+", metavar="AIR", help="temperature, and humidity where known: 12C 85%%")
    parser.add_argument("--film", nargs="+", metavar="FILM", help="mist, thin, normal or heavy; or measured wet: 150um")
    parser.add_argument("--carrier", nargs="+", default=(), metavar="CARRIER", help="water, glycol_ether, alcohol ...")
    parser.add_argument("--waited", nargs="+", metavar="TIME", help="how long it has dried: is that enough?")


@dataclass(frozen=True, slots=True)
class _Wait:
    """What was given: stated and waited in s, the air, the film as a word or in m, and the class of coat if known."""

    stated: float
    waited: float | None
    temperature: float | None
    humidity: float | None
    film: str | float | None
    carriers: tuple[str, ...]
    coat: str | None


def reckon(chosen: argparse.Namespace) -> Sum:
    """Raises Complaint."""
    given: list[tuple[str, str]] = []
    wait = _wait(chosen, given)
    found = drying.influences(wait.temperature, wait.humidity, wait.film, wait.carriers)
    least, most = drying.needed_range(wait.stated, found)
    middle = drying.needed_time(wait.stated, wait.temperature, wait.humidity, wait.film, wait.carriers)
    against = tuple(_against(wait))
    source = "each of these below" if found else "as stated"
    told = "drying time, were the air fit to dry in" if against else "drying time needed"
    figures = [
        Figure("needed", told, (least, most), "time", "stated x all that makes it longer", source),
    ]
    if found:
        told = "about the middle of that"
        figures.append(Figure("about", told, middle, "time", "square root of least x most", source))
    for one in found:
        figures.append(
            Figure(one.name, SAYS[one.name], (one.least, one.most), "", FORMULAS[one.name], one.source, "times")
        )
    return Sum("The drying", tuple(given), tuple(figures), tuple(_remarks(wait, least, most, against)))


def _wait(chosen: argparse.Namespace, given: list[tuple[str, str]]) -> _Wait:
    stated = _time(chosen.stated, "--stated")
    carriers, coat = _carriers(chosen.carrier), None
    if chosen.product:
        from diagnose.reckon_names import product, traits

        thing = product(chosen, chosen.product, *(() if stated is not None else ("needs_dry",)))
        given.append(("product", thing.name))
        carriers = carriers or tuple(traits(thing, "carrier"))
        coat = next((air.coat_of(kind) for kind in traits(thing, "binder_kind")), None)
        stated = max(traits(thing, "needs_dry")) if stated is None else stated
    if stated is None:
        raise Complaint(None, "which time?", "--stated 24h, or --product oil_varnish")
    if stated <= 0:
        raise Complaint(None, "--stated: no time at all cannot be lengthened", "more than 0, for instance 24h")
    given.append(("stated for 20 C and 50 %", units.show(stated, "time")))
    temperature, humidity = _air(chosen.air)
    if temperature is not None:
        given.append(("air", units.in_both(temperature, "temperature")))
    if humidity is not None:
        given.append(("relative humidity", units.show(humidity, "share")))
    film = _film(chosen.film)
    if film is not None:
        given.append(("film", film if isinstance(film, str) else f"{units.in_both(film, 'film')} wet"))
    if carriers:
        given.append(("carried by", " and ".join(name.replace("_", " ") for name in carriers)))
    if coat is None and "water" in carriers:
        coat = "waterborne"
    waited = _time(chosen.waited, "--waited")
    if waited is not None:
        given.append(("waited", units.show(waited, "time")))
    return _Wait(stated, waited, temperature, humidity, film, carriers, coat)


def _time(written: list[str] | None, option: str) -> float | None:
    return None if written is None else units.parse(units.spoken(" ".join(written)), "time", None, option)


def _air(written: list[str] | None) -> tuple[float | None, float | None]:
    """A temperature, a humidity or both."""
    temperature = humidity = None
    if written is None:
        return None, None
    words = " ".join(written)
    if re.search(r"\d,\d", words):
        raise Complaint(None, f"--air: {shown(words)} has a decimal comma", f"use a point: {with_point(words)}")
    for part in re.findall(r"-?[\d.]+\s*[^\d\s,;]*|[^\d\s,;-]+", words):
        if part.rstrip().endswith("%") and humidity is None:
            humidity = units.parse(part, "share", None, "--air")
        elif temperature is None:
            temperature = units.parse(part, "temperature", None, "--air")
        else:
            raise Complaint(None, f"--air: {shown(words)} is too much", "a temperature and a humidity: 12C 85%")
    return temperature, humidity


def _film(written: list[str] | None) -> str | float | None:
    if written is None:
        return None
    word = " ".join(written).strip().lower()
    known = _table()["films"]
    if word in known:
        return word
    if not re.match(r"-?[\d.]", word):
        raise Complaint(None, f"--film: {shown(word)} is no film", would_accept(word, known, "100um, or one of"))
    film = units.parse(word, "film", None, "--film")
    if film <= 0:
        raise Complaint(None, f"--film: {shown(word)} is nothing", "more than 0, 100 um or 4 mil")
    return film


def _carriers(written: list[str]) -> tuple[str, ...]:
    from diagnose.tables import table

    known = [*table("evaporation")["carriers"], "none"]
    for name in written:
        if name not in known:
            raise Complaint(None, f"--carrier: {shown(name)} is no carrier", would_accept(name, known, "carriers"))
    return tuple(dict.fromkeys(written))


def _against(wait: _Wait) -> Iterator[Remark]:
    """Why no waiting time holds in this air: what `reckon air` says of it, or the cold alone where no more is known."""
    row = _table()
    if wait.temperature is not None and wait.humidity is not None:
        yield from unfit(wait.temperature, wait.humidity, wait.coat or "any")
    elif wait.coat and wait.temperature is not None and wait.temperature < air.window(wait.coat).temperature[0]:
        window = air.window(wait.coat)
        lowest = units.in_both(window.temperature[0], "temperature")
        says = f"Too cold for {window.name}, whose least is {lowest}: {window.cold}. Warm it rather than wait."
        yield Remark("too_cold", False, says, window.source)
    elif wait.temperature is not None and wait.temperature < float(row["stated_at"]["value"]) - 10:
        says = "So far from 20 C the doubling is a guess; many coats stop. Warm it rather than wait."
        yield Remark("too_cold", False, says, row["doubles_every"]["source"])
    if "water" in wait.carriers and wait.humidity is not None and wait.humidity >= 0.995:
        says = "Air that is full of water takes up no more: it does not dry, however long the wait."
        yield Remark("no_drying", False, says, row["humidity"]["source"])


def _remarks(wait: _Wait, least: float, most: float, against: tuple[Remark, ...]) -> Iterator[Remark]:
    yield from against
    if wait.waited is not None:
        yield _enough(wait.waited, least, most, bool(against))
    row = _table()
    if wait.humidity is not None and not wait.carriers:
        says = "Damp was not reckoned with: say what carries it (--carrier water)."
        yield Remark("carrier", False, says, row["humidity"]["source"])
    warmer = wait.temperature is not None and wait.temperature > float(row["stated_at"]["value"])
    drier = wait.humidity is not None and wait.humidity * 100 < float(row["stated_humidity"]["value"])
    if warmer or drier:
        says = "Warmer or drier air than stated was not counted as gain: films skin over, and labels do not promise it."
        yield Remark("no_gain", True, says, row["stated_at"]["source"])
    says = (
        "A rough range. The film tells more than the clock: it no longer smells of its solvent, a nail leaves no dent "
    )
    says += "in a hidden place, and it sands to powder."
    yield Remark("rough", True, says, "common practice")


def _enough(waited: float, least: float, most: float, unfit_air: bool) -> Remark:
    if unfit_air and waited >= least:
        says = (
            f"{units.show(waited, 'time')} cannot be called enough in such air: mend the air first, then test the film."
        )
        return Remark("waited", False, says, "common practice")
    if waited >= most:
        return Remark("waited", True, f"{units.show(waited, 'time')} is enough.", "common practice")
    if waited < least:
        short = units.roughly(least - waited)
        return Remark(
            "waited", False, f"{units.show(waited, 'time')} is too short, by {short} at the least.", "computed"
        )
    more = units.roughly(most - waited)
    says = f"{units.show(waited, 'time')} may be enough or not: wait up to {more} more, or test it."
    return Remark("waited", False, says, "computed")


def _table() -> dict:
    from diagnose.tables import table

    return table("drying")
