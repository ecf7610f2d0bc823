"""`diagnose reckon light`: how long a colour lasts in a place before it visibly fades. Words in, a Sum out."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator
from dataclasses import dataclass

from diagnose import light, units
from diagnose.complaint import Complaint, shown, would_accept
from diagnose.sums import Figure, Remark, Sum

YEAR = 365.2425 * light.DAY
DOSE = "exposure = lux x hours of light"
BUSY = 24.0  # hours in a day
# How long is short: the longest time (s) of a verdict, and the verdict. From common practice.
VERDICTS = (
    (YEAR / 4, "It fades within weeks: take another colour, or keep it out of this light."),
    (2 * YEAR, "It fades within a year or two: not for a piece that is meant to keep its colour here."),
    (10 * YEAR, "It fades over some years, the sooner where light falls on a part of it only."),
    (30 * YEAR, "It lasts for years; objects left standing on it will leave their mark in time."),
    (float("inf"), "It lasts: in this light a change takes a generation or more."),
)


@dataclass(frozen=True, slots=True)
class _Light:
    """The light of a place: lux, hours a day, whether it is rich in ultraviolet, and what that rests on."""

    lux: float
    hours: float
    uv: bool
    source: str


def add_to(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Light received in lux hours against the dose that a colour of a fastness, or a blue wool class, bears before "
        "the first noticeable fade."
    )
    parser.epilog = "Example: diagnose reckon light --place direct_sun --fastness poor"
    parser.add_argument("--place", metavar="PLACE", help="direct_sun, bright_room, inside_room, outdoors, workshop")
    parser.add_argument("--lux", nargs="+", metavar="LUX", help="measured, for instance 5000 lx")
    parser.add_argument("--hours", nargs="+", metavar="TIME", help="of that light a day, for instance 3h")
    parser.add_argument("--uv", choices=("yes", "no"), help="is the light rich in ultraviolet, as the sky's is?")
    parser.add_argument(
        "--fastness", nargs="+", metavar="BAND", help="fugitive, poor, moderate, good, permanent; or class 1 to class 8"
    )
    parser.add_argument("--product", metavar="PRODUCT", help="of the knowledge, for its fastness: water_dye")
    parser.add_argument("--wood", nargs="+", metavar="WOOD", help="under the colour, for what it does in light: cherry")


def reckon(chosen: argparse.Namespace) -> Sum:
    """Raises Complaint."""
    given: list[tuple[str, str]] = []
    received = _light(chosen, given)
    band = _band(chosen, given)
    daily = light.daily(received.lux, received.hours) * 1e6
    figures = [
        Figure("exposure_day", "light in a day", daily, "exposure", DOSE, received.source),
        Figure("exposure_year", "light in a year", daily * 365.2425, "exposure", DOSE, received.source),
    ]
    remarks: list[Remark] = []
    if chosen.wood:
        remarks.append(_wood(chosen, given))
    if band is None and not chosen.wood:
        remarks.append(
            Remark(
                "fastness", True, "Say how fast the colour is (--fastness) to learn how long it lasts.", "by definition"
            )
        )
    elif band is not None and daily == 0:
        remarks.append(Remark("lasts", True, "No light, no fading; dark may still yellow oils.", "by definition"))
    elif band is not None:
        figures += _fading(received, band)
        remarks += _remarks(received, band)
    return Sum("The light", tuple(given), tuple(figures), tuple(remarks))


def _light(chosen: argparse.Namespace, given: list[tuple[str, str]]) -> _Light:
    """The place's own light, or as much of it as was measured."""
    lux = units.parse(" ".join(chosen.lux), "illuminance", None, "--lux") if chosen.lux else None
    seconds = units.parse(" ".join(chosen.hours), "time", None, "--hours") if chosen.hours else None
    if seconds is not None and seconds > BUSY * 3600:
        raise Complaint(
            None, f"--hours: {shown(' '.join(chosen.hours))} is longer than a day", "hours of a day, 0 to 24 h"
        )
    hours = None if seconds is None else seconds / 3600
    uv = None if chosen.uv is None else chosen.uv == "yes"
    row: dict[str, str] = {}
    if chosen.place:
        places = _table()["places"]
        name = chosen.place.strip().lower().replace(" ", "_").replace("-", "_")
        if name not in places:
            raise Complaint(None, f"--place: {shown(chosen.place)} is no place", would_accept(name, places, "places"))
        row = places[name]
        given.append(("place", name.replace("_", " ")))
    elif lux is None or hours is None or uv is None:
        raise Complaint(None, "which light?", "--place, or all of --lux, --hours and --uv")
    received = _Light(
        float(row["lux"]) if lux is None else lux,
        float(row["hours_a_day"]) if hours is None else hours,
        row["uv"] == "yes" if uv is None else uv,
        row.get("source", "") if lux is None or hours is None else "as measured",
    )
    given.append(("light", f"{received.lux:g} lx for {received.hours:g} h a day"))
    given.append(("ultraviolet", "much" if received.uv else "little"))
    return received


@dataclass(frozen=True, slots=True)
class _Band:
    """A band of fastness or a blue wool class: its doses (Mlx h) with ultraviolet and without."""

    says: str
    uv: tuple[float, float]
    no_uv: tuple[float, float]
    source: str
    blue_wool: int  # the class, of a band the best in it

    @property
    def outlasts(self) -> bool:
        """Whether wood and binder change before such a colour does."""
        return self.blue_wool >= int(_table()["outlasts"]["from_class"])

    @property
    def ends_scale(self) -> bool:
        return self.blue_wool >= int(_table()["outlasts"]["end_of_scale"])


def _band(chosen: argparse.Namespace, given: list[tuple[str, str]]) -> _Band | None:
    if chosen.product and chosen.fastness:
        raise Complaint(None, "--product brings its own fastness", "--product or --fastness")
    written = " ".join(chosen.fastness) if chosen.fastness else None
    if chosen.product:
        from diagnose.reckon_names import product, traits

        thing = product(chosen, chosen.product, "fastness")
        given.append(("product", thing.name))
        written = traits(thing, "fastness")[0]
    if written is None:
        return None
    bands = _table()["fastness"]
    if number := re.fullmatch(r"\s*(?:class\s*|blue wool\s*)?(\d{1,3})\s*", written, re.IGNORECASE):
        blue_wool = int(number[1])
        if blue_wool not in light.CLASSES:
            raise Complaint(None, f"--fastness: there is no blue wool class {blue_wool}", "class 1 to class 8")
        row = _table()["blue_wool"][str(blue_wool)]
        found = _Band(f"blue wool class {blue_wool}", *_doses(light.class_doses, blue_wool), row["source"], blue_wool)
    elif (name := written.strip().lower()) in bands:
        row = bands[name]
        says = f"{name} (about blue wool {row['classes']})"
        best = int(row["classes"].split()[-1])
        found = _Band(says, *_doses(light.band_doses, name), row["source"], best)
    else:
        raise Complaint(
            None, f"--fastness: {shown(written)} is no fastness", would_accept(written, [*bands, "class 3"], "fastness")
        )
    given.append(("fastness", found.says))
    return found


def _doses(of, name) -> tuple[tuple[float, float], tuple[float, float]]:
    return of(name, True), of(name, False)


def _fading(received: _Light, band: _Band) -> Iterator[Figure]:
    here = band.uv if received.uv else band.no_uv
    yield Figure("dose", "light to the first fade", _lux_hours(here), "exposure", "table, by ultraviolet", band.source)
    formula = "dose / (lux x hours a day)"
    told = "no noticeable fade before about" if band.ends_scale else "first noticeable fade after"
    yield Figure("first_fade", told, _or_one(_times(here, received)), "time", formula, band.source)
    if received.uv:
        told = "with all ultraviolet kept off, after"
        yield Figure("first_fade_no_uv", told, _or_one(_times(band.no_uv, received)), "time", formula, band.source)


def _remarks(received: _Light, band: _Band) -> Iterator[Remark]:
    soonest, latest = _times(band.uv if received.uv else band.no_uv, received)
    middle = (soonest * latest) ** 0.5
    if band.ends_scale:
        says = (
            "That is the end of the scale: it says that a colour is at least so fast, not after which months it fades."
        )
        yield Remark("lasts", True, says, _table()["outlasts"]["source"])
    else:
        says = next(says for most, says in VERDICTS if middle < most)
        yield Remark("lasts", middle >= VERDICTS[1][0], says, "common practice")
    if band.outlasts:
        says = "Wood and binder change before so fast a colour does: the wood under it darkens or pales, oils yellow."
        yield Remark("wood_first", True, says, _table()["outlasts"]["source"])
    if received.uv:
        says = "A coat or glass that stops ultraviolet slows fading; it does not stop it, for visible light fades too."
        yield Remark("uv", True, says, _table()["uv_share"]["source"])
    says = (
        "Doses of blue wools are from memory but for the ends of the scale, and places of one name differ by a factor "
    )
    says += "of two and more: take this for an order of magnitude, and test a strip half covered in the same place."
    yield Remark("memory", True, says, band.source)


def _wood(chosen: argparse.Namespace, given: list[tuple[str, str]]) -> Remark:
    """What the wood does in light of itself."""
    from diagnose.reckon_names import traits, wood

    thing = wood(chosen, " ".join(chosen.wood))
    given.append(("wood", thing.name))
    known = traits(thing, "light_change")
    if not known:
        says = f"How {thing.name} changes in light is not known here; most woods darken or pale in the first months."
        return Remark("wood", True, says, "common practice")
    row = _table()["wood"][known[0]]
    return Remark("wood", known[0] == "little", f"Under any colour {thing.name} {row['says']}.", row["source"])


def _times(doses: tuple[float, float], received: _Light) -> tuple[float, float]:
    low, high = (light.time_to(dose, received.lux, received.hours) for dose in doses)
    return low, high


def _or_one(ends: tuple[float, float]) -> tuple[float, float] | float:
    """A range of no width is one figure."""
    return ends if ends[0] != ends[1] else ends[0]


def _lux_hours(doses: tuple[float, float]) -> tuple[float, float]:
    low, high = (dose * 1e6 for dose in doses)
    return low, high


def _table() -> dict:
    from diagnose.tables import table

    return table("light")
