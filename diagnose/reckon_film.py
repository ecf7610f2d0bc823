"""`diagnose reckon film`: wet and dry film, coverage, what a job takes, viscosity cups. Words in, a Sum out."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import dataclass

from diagnose import cups, film, units
from diagnose.complaint import Complaint, shown, would_accept
from diagnose.sums import Figure, Remark, Sum

IDENTITY = "conservation of what does not evaporate"
COVERS = "1604 ft2 mil per US gallon, 1000 um m2 per litre: by definition of the units"
MOST_COATS = 50


def add_to(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Wet film to dry by volume solids (thinning too) or back, coverage, what an area takes by the way it is put "
        "on, coats to a target, whether the build is too thick; seconds of a viscosity cup to cSt."
    )
    parser.epilog = "Example: diagnose reckon film --solids 30% --wet 4mil --coats 3 --area 2.5m2 --by hvlp"
    amounts = (
        ("--solids", "SHARE", "solids by volume, for instance 30%%"),
        ("--weight-solids", "SHARE", "solids by weight; needs both densities"),
        ("--density", "DENSITY", "of the coating, for instance 0.95kg/L or 8lb/gal"),
        ("--volatile-density", "DENSITY", "of its volatile part: lacquer solvents about 0.85kg/L, water 1kg/L"),
        ("--thinner", "SHARE", "thinner added, of the volume of coating, for instance 10%%"),
        ("--wet", "FILM", "wet film of one coat, for instance 100um or 4mil"),
        ("--dry", "FILM", "dry film of one coat"),
        ("--coats", "N", "how many coats"),
        ("--target", "FILM", "dry film to build up to"),
        ("--finish", "CLASS", "lacquer, catalysed, shellac, waterborne, oil or two_part: how thick it may build"),
        ("--area", "AREA", "to be coated, for instance 2.5m2 or 27sqft"),
        ("--by", "WAY", "rag, pad, brush, roller, hvlp, conventional, airless, air_assisted, aerosol or spray"),
        ("--spare", "SHARE", "to have over, for instance 10%%"),
        (
            "--cup",
            "CUP",
            "iso3 to iso6 (ISO 2431), din4 (DIN 53211, 4 mm), d1200_1 to _5 (ASTM D1200, "
            "a cup on a stand) or d4212_1 to _5 (ASTM D4212, a cup to dip)",
        ),
        ("--seconds", "TIME", "outflow of that cup, for instance 40s"),
        ("--viscosity", "VISCOSITY", "instead of seconds, for instance 60cSt"),
        ("--to", "CUP", "the same in another cup"),
    )
    for name, metavar, says in amounts:
        parser.add_argument(name, metavar=metavar, help=says)


def reckon(chosen: argparse.Namespace) -> Sum:
    """Raises Complaint."""
    if chosen.cup or chosen.seconds or chosen.viscosity or chosen.to:
        return _cup_sum(chosen)
    coat = _coat(chosen)
    figures, remarks = tuple(_figures(coat)), tuple(_remarks(coat))
    if not figures:
        raise Complaint(None, "nothing follows from that alone", "--wet or --dry, with --solids; or --thinner")
    return Sum("The film", coat.given, figures, remarks)


@dataclass(frozen=True, slots=True)
class _Coat:
    """What was given, in inner units, and what of it follows; None where it does not."""

    given: tuple[tuple[str, str], ...]
    solids: float | None  # by volume, as it goes on
    by_weight: bool
    thinner: float
    wet: float | None
    dry: float | None
    coats: int
    target: float | None
    finish: str
    area: float | None
    way: str | None
    spare: float

    @property
    def total(self) -> float | None:
        return None if self.dry is None else self.dry * self.coats


def _coat(chosen: argparse.Namespace) -> _Coat:
    spec = (
        ("solids", "share", "solids by volume"),
        ("weight_solids", "share", "solids by weight"),
        ("density", "density", "density"),
        ("volatile_density", "density", "density of its volatile part"),
        ("thinner", "share", "thinner added"),
        ("wet", "film", "wet film"),
        ("dry", "film", "dry film of a coat"),
        ("target", "film", "dry film wanted"),
        ("area", "area", "area"),
        ("spare", "share", "to have over"),
    )
    value: dict[str, float | None] = {}
    given: list[tuple[str, str]] = []
    for name, kind, says in spec:
        written = getattr(chosen, name)
        option = f"--{name.replace('_', '-')}"
        value[name] = units.parse(written, kind, None, option) if written else None
        if written:
            if value[name] == 0 and name not in ("thinner", "spare"):
                raise Complaint(
                    None, f"{option}: {shown(written)} is nothing", f"more than 0, {units.KINDS[kind].example}"
                )
            given.append((says, units.in_both(value[name], kind)))
    coats = _count(chosen.coats)
    if chosen.coats:
        given.append(("coats", str(coats)))
    finish = _named(chosen.finish, "film", "builds", "--finish", "class of finish") if chosen.finish else "any"
    way = _named(chosen.by, "film", "ways", "--by", "way of putting it on") if chosen.by else None
    if chosen.finish:
        given.append(("finish", film.build(finish).name))
    if way:
        given.append(("put on with", _table("film")["ways"][way]["name"]))
    thinner = value["thinner"] or 0.0
    solids = _solids(value)
    if solids is not None:
        solids = film.thinned(solids, thinner)
    wet, dry = value["wet"], value["dry"]
    if wet is not None and dry is not None:
        raise Complaint(None, "--wet and --dry: one follows from the other", "one of them, and --solids")
    if solids is not None:
        dry = film.dry_film(wet, solids) if wet is not None else dry
        wet = film.wet_film(dry, solids) if wet is None and dry is not None else wet
    _enough(chosen, solids, wet, dry)
    given_ = tuple(given)
    return _Coat(
        given_,
        solids,
        value["weight_solids"] is not None,
        thinner,
        wet,
        dry,
        coats,
        value["target"],
        finish,
        value["area"],
        way,
        value["spare"] or 0.0,
    )


def _solids(value: dict[str, float | None]) -> float | None:
    """Volume solids of the coating as it comes."""
    weight, density, volatile = value["weight_solids"], value["density"], value["volatile_density"]
    if weight is None:
        return value["solids"]
    if value["solids"] is not None:
        raise Complaint(None, "--solids and --weight-solids say the same twice", "one of them")
    if density is None or volatile is None:
        raise Complaint(
            None,
            "solids by weight become solids by volume by the densities",
            "--density and --volatile-density (lacquer solvents about 0.85kg/L, mineral spirits 0.78kg/L, water 1kg/L)",
        )
    solids = film.volume_solids(weight, density, volatile)
    if not 0 < solids <= 1:
        raise Complaint(None, "these densities leave no room for the solids", "densities as the data sheet gives them")
    return solids


def _enough(chosen: argparse.Namespace, solids: float | None, wet: float | None, dry: float | None) -> None:
    if wet is None and dry is None and solids is None:
        raise Complaint(None, "there is nothing to reckon with", "--wet or --dry and --solids; or --cup and --seconds")
    if (chosen.target or chosen.finish) and dry is None:
        raise Complaint(None, "the build needs the dry film of a coat", "--dry, or --wet and --solids")
    if chosen.area and wet is None:
        raise Complaint(None, "what an area takes needs the wet film of a coat", "--wet, or --dry and --solids")
    if chosen.thinner and solids is None:
        raise Complaint(None, "--thinner changes the solids", "--solids as well")


def _figures(coat: _Coat) -> Iterator[Figure]:
    if coat.solids is not None and (coat.by_weight or coat.thinner):
        formula = "1 - (1 - weight solids) density/volatile density" if coat.by_weight else "volume solids"
        formula = f"({formula})/(1 + thinner)" if coat.thinner else formula
        yield Figure("volume_solids", "solids by volume, as it goes on", coat.solids, "share", formula, IDENTITY)
    if coat.wet is not None:
        yield Figure("wet_film", "wet film of a coat", coat.wet, "film", "dry film / volume solids", IDENTITY)
    if coat.dry is not None:
        yield Figure("dry_film", "dry film of a coat", coat.dry, "film", "wet film x volume solids", IDENTITY)
    if coat.wet is not None:
        covers = film.coverage(coat.wet)
        told = "coverage of a coat, nothing lost"
        yield Figure("coverage", told, covers, "coverage", "volume / wet film", COVERS)
        if coat.way:
            low, high = (covers * share for share in film.transfer(coat.way))
            told, source = "coverage of a coat, with what is lost", _table("film")["ways"][coat.way]["source"]
            yield Figure("practical_coverage", told, (low, high), "coverage", "coverage x transfer", source)
    if coat.target is not None and coat.dry is not None:
        count = film.coats_to(coat.target, coat.dry)
        yield Figure("coats", "coats to the film wanted", count, "", "film wanted / dry film, rounded up", IDENTITY)
        told = "and they build"
        yield Figure("coats_build", told, count * coat.dry, "film", "coats x dry film", IDENTITY)
    if coat.total is not None and coat.coats > 1:
        yield Figure("build", "all coats build", coat.total, "film", "coats x dry film", IDENTITY)
    if coat.area is not None and coat.wet is not None:
        yield from _material(coat)


def _material(coat: _Coat) -> Iterator[Figure]:
    assert coat.area is not None and coat.wet is not None
    shares = film.transfer(coat.way) if coat.way else (1.0, 1.0)
    source = _table("film")["ways"][coat.way]["source"] if coat.way else COVERS
    low, high = (film.material(coat.area, coat.wet, _count_of(coat), share, coat.spare) for share in reversed(shares))
    formula = "area x wet film x coats" + (" / transfer" if coat.way else "") + (" x (1 + spare)" if coat.spare else "")
    told = f"material, {_count_of(coat)} coat{'s' if _count_of(coat) > 1 else ''}" + (
        ", thinned" if coat.thinner else ""
    )
    yield Figure("material", told, (low, high) if coat.way else low, "volume", formula, source)
    if coat.thinner:
        parts = 1 + coat.thinner
        for name, says, share in (("coating", "of that coating", 1 / parts), ("thinner", "and thinner", 1 - 1 / parts)):
            part = (low * share, high * share) if coat.way else low * share
            yield Figure(name, says, part, "volume", "by the parts of the mix", IDENTITY)


def _count_of(coat: _Coat) -> int:
    """The coats that are meant: those given, or as many as the film wanted takes."""
    if coat.target is not None and coat.dry is not None and coat.coats == 1:
        return film.coats_to(coat.target, coat.dry)
    return coat.coats


def _remarks(coat: _Coat) -> Iterator[Remark]:
    if coat.wet is not None:
        yield from _wet_remarks(coat.wet)
    if coat.dry is not None and (_count_of(coat) > 1 or coat.finish != "any"):
        yield _build_remark(coat.finish, coat.dry * _count_of(coat))
    if coat.area is not None and coat.way is None:
        says = "Nothing was reckoned as lost: say what it is put on with (--by)."
        yield Remark("loss", False, says, "by definition")
    elif coat.area is not None and _table("film")["ways"][coat.way]["basis"] == "memory":
        yield Remark("loss", True, "What this way of putting it on loses is a figure from memory.", "from memory")
    if coat.area is not None:
        says = (
            "That is for flat work; open work such as chairs loses more, bare and thirsty wood drinks more, and what "
        )
        says += "is sanded away between coats comes on top."
        yield Remark("flat", True, says, "common practice")


def _wet_remarks(wet: float) -> Iterator[Remark]:
    rows = _table("film")["wet_coat"]
    low, high = (float(end) * 1e-6 for end in rows["usual"]["value"])
    sags = float(rows["sags"]["value"]) * 1e-6
    usual = f"{units.in_both(low, 'film')} to {units.in_both(high, 'film')}"
    if wet >= sags * 0.999:
        says = f"A wet coat of {units.in_both(wet, 'film')} sags on an upright face and dries slowly below"
        yield Remark("wet", False, f"{says}; usual for spraying is {usual}.", rows["sags"]["source"])
    elif wet > high * 1.02 or wet < low * 0.98:
        than = "heavier" if wet > high else "lighter"
        says = f"That is {than} than a usual wet coat of spray finish, {usual}."
        yield Remark("wet", True, says, rows["usual"]["source"])


def _build_remark(finish: str, total: float) -> Remark:
    row = film.build(finish)
    low, high = (units.in_both(end, "film") for end in row.limit)
    told = f"a build of {units.in_both(total, 'film')}"
    memory = " (a figure from memory)" if row.basis == "memory" else ""
    if (thick := film.too_thick(finish, total)) == "no":
        says = f"All in all {told} is within what {row.name} bears, {low}{memory}."
    elif thick is None:
        says = f"All in all {told} is past {low}, where some warn for {row.name}; others allow {high}{memory}."
    else:
        says = f"Too thick: {told} is past the limit for {row.name}, {high}{memory}; it is {row.does}."
    return Remark("build", thick == "no", says, row.source)


def _cup_sum(chosen: argparse.Namespace) -> Sum:
    if not chosen.cup:
        raise Complaint(None, "the seconds of which cup?", "--cup, for instance iso4 or d4212_2")
    if bool(chosen.seconds) == bool(chosen.viscosity):
        raise Complaint(None, "a cup takes seconds or a viscosity", "--seconds 40s, or --viscosity 60cSt")
    cup = _cup(chosen.cup, "--cup")
    if chosen.seconds:
        seconds = units.parse(chosen.seconds, "time", None, "--seconds")
        _inside(cup, seconds, f"--seconds: {shown(chosen.seconds)} is outside what {cup.name} measures")
        viscosity = cup.viscosity(seconds)
        given = (("cup", cup.name), ("outflow", f"{seconds:g} s"))
    else:
        viscosity = units.parse(chosen.viscosity, "viscosity", None, "--viscosity")
        given = (("cup", cup.name), ("viscosity", units.in_both(viscosity, "viscosity")))
        _inside(
            cup, cup.seconds(viscosity), f"--viscosity: {shown(chosen.viscosity)} is outside what {cup.name} measures"
        )
    figures = [Figure("viscosity", "viscosity", viscosity, "viscosity", f"{cup.formula}, t in s", cup.source)]
    if chosen.viscosity:
        figures.append(_seconds("seconds", "outflow", cup, viscosity))
    asked = (cup,)
    if chosen.to:
        other = _cup(chosen.to, "--to")
        _inside(other, other.seconds(viscosity), f"--to: {viscosity:.3g} cSt is outside what {other.name} measures")
        figures.append(_seconds("other_seconds", f"outflow of {other.name}", other, viscosity))
        asked += (other,)
    return Sum("The viscosity", given, tuple(figures), tuple(_cup_remarks(cup, viscosity, asked)))


def _seconds(name: str, says: str, cup: cups.Cup, viscosity: float) -> Figure:
    return Figure(name, says, cup.seconds(viscosity), "", f"{cup.formula}, solved for t", cup.source, "s")


def _cup_remarks(cup: cups.Cup, viscosity: float, asked: tuple[cups.Cup, ...]) -> Iterator[Remark]:
    for one in asked:
        if not one.measures(round(one.seconds(viscosity), 6)):
            low, high = one.range
            says = (
                f"The formula of {one.name} is published for {low:g} to {high:g} s only: take this for a rough figure."
            )
            yield Remark("outside", False, says, one.source)
    rows = cups.usual_spray()
    usual = "; ".join(f"{name}, {_round(low)} to {_round(high)} cSt" for name, low, high, _ in rows)
    says = f"The data sheet of the product says how thick to spray it. Usual are: {usual}."
    if viscosity > max(high for _, _, high, _ in rows):
        says += " This is thicker than all of them: a larger tip, warmth, or thinner as far as the label allows."
    elif viscosity < min(low for _, low, _, _ in rows):
        says += " This is thinner than all of them: its coats will be lighter and run sooner."
    yield Remark("spray", True, says, "; ".join(dict.fromkeys(source for *_, source in rows)))
    says = (
        f"Holds at {cup.at:g} C and for liquids that do not thin when stirred; gels and many waterborne coats do, so "
    )
    says += "compare those only with the same cup."
    yield Remark("newtonian", True, says, cup.source)


def _round(value: float) -> str:
    """To two digits, since what is usual is no exacter."""
    return f"{float(f'{value:.2g}'):g}"


def _inside(cup: cups.Cup, seconds: float, wrong: str) -> None:
    if not cup.nearly_measures(round(seconds, 6)):
        low, high = cup.range
        other = "smaller" if seconds < low else "larger"
        raise Complaint(None, wrong, f"{low:g} to {high:g} s, or a cup of {other} opening")


def _cup(written: str, option: str) -> cups.Cup:
    known = cups.cups()
    name = cups.plain(written)
    if name not in known:
        raise Complaint(None, f"{option}: {shown(written)} is no cup", would_accept(name, known, "cups"))
    return cups.cup(name)


def _named(written: str, file: str, part: str, option: str, what: str) -> str:
    known = [name for name in _table(file)[part] if name != "any"]
    name = written.strip().lower().replace("-", "_").replace(" ", "_")
    if name not in known:
        raise Complaint(None, f"{option}: {shown(written)} is no {what}", would_accept(name, known))
    return name


def _count(written: str | None) -> int:
    if written is None:
        return 1
    if not written.isdecimal() or not 1 <= int(written[:6]) <= MOST_COATS:
        raise Complaint(None, f"--coats: {shown(written)} is no number of coats", f"a whole number, 1 to {MOST_COATS}")
    return int(written)


def _table(name: str) -> dict:
    from diagnose.tables import table

    return table(name)
