"""`diagnose reckon air`: is the air fit to coat in? Words in, a Sum out."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

from diagnose import air, units
from diagnose.complaint import Complaint, shown, would_accept
from diagnose.sums import Figure, Remark, Sum

PSYCHROLIB = "PsychroLib, after ASHRAE Handbook Fundamentals 2017, chapter 1"
MARGIN = "ISO 8502-4, as described on three pages; the standard not seen"
HEATER = "Warm it without an open flame: a gas or paraffin heater puts its own water into the air."


def add_to(parser: argparse.ArgumentParser) -> None:
    parser.description = "Dew point and wet bulb of the air, and whether a coat may go on in it."
    parser.epilog = "Example: diagnose reckon air 12C 85% --surface 10C --coat waterborne"
    parser.add_argument("temperature", metavar="TEMPERATURE", help="of the air, for instance 12C or 65F")
    parser.add_argument("humidity", metavar="HUMIDITY", help="relative humidity, for instance 85%%")
    parser.add_argument("--surface", metavar="TEMPERATURE", help="of the piece (default: taken as warm as the air)")
    parser.add_argument("--coat", metavar="CLASS", help="waterborne, oil, shellac, lacquer, catalysed or two_part")


def reckon(chosen: argparse.Namespace) -> Sum:
    """Raises Complaint."""
    temperature = units.parse(chosen.temperature, "temperature", None, "temperature")
    humidity = units.parse(chosen.humidity, "share", None, "humidity")
    surface = units.parse(chosen.surface, "temperature", None, "surface") if chosen.surface else None
    coat = coat_named(chosen.coat) if chosen.coat else air.window("any")
    dew = air.dew_point(temperature, humidity)
    if dew is None:
        raise Complaint(None, f"humidity: {shown(chosen.humidity)} is drier than any air", "a humidity of 1 % or more")
    at = _At(temperature, humidity, temperature if surface is None else surface, round(dew, 1), coat)
    given = [("air", units.in_both(temperature, "temperature")), ("relative humidity", units.show(humidity, "share"))]
    if surface is not None:
        given.append(("surface of the piece", units.in_both(surface, "temperature")))
    if chosen.coat:
        given.append(("coat", coat.name))
    figures = tuple(_figures(at, surface is not None, bool(chosen.coat)))
    return Sum("The air", tuple(given), figures, tuple(_remarks(at, surface is not None, bool(chosen.coat))))


def coat_named(written: str) -> air.Window:
    """The class of coat that `written` names. Raises Complaint."""
    known = air.windows()
    name = written.strip().lower().replace("-", "_").replace(" ", "_")
    if name not in known:
        raise Complaint(None, f"coat: {shown(written)} is no class of coat", would_accept(name, known, "classes"))
    return air.window(name)


def unfit(temperature: float, humidity: float, coat: str) -> tuple[Remark, ...]:
    """What speaks against such air for a class of coat, and what to do, where the piece is as warm as the air.

    Nothing where the air is fit, or drier than any air is. Raises KeyError.
    """
    dew = air.dew_point(temperature, humidity)
    if dew is None:
        return ()
    at = _At(temperature, humidity, temperature, round(dew, 1), air.window(coat))
    return tuple(one for one in _remarks(at, False, coat != "any") if one.name in ("fit", "do") and not one.holds)


@dataclass(frozen=True, slots=True)
class _At:
    """What is judged: the air, the surface and the dew point (C, to a tenth, as it is shown), and the coat."""

    temperature: float
    humidity: float
    surface: float
    dew: float
    coat: air.Window

    @property
    def apart(self) -> float:
        return round(self.surface - self.dew, 1)

    @property
    def apart_if_damper(self) -> float:
        """The same where the hygrometer reads as low as it may."""
        dew = air.dew_point(self.temperature, min(1.0, self.humidity + _reads_low()))
        return round(self.surface - (self.dew if dew is None else round(dew, 1)), 1)

    @property
    def least_apart(self) -> float:
        return air.margin(self.coat.fast)

    @property
    def lowest(self) -> float:
        return round(max(self.dew + self.least_apart, self.coat.temperature[0]), 1)

    @property
    def dry_enough(self) -> float:
        """The highest humidity that the surface and the coat bear."""
        by_surface = air.highest_humidity(self.temperature, self.surface - self.least_apart)
        return min(by_surface, self.coat.humidity[1])

    @property
    def too_near(self) -> bool:
        return self.apart < self.least_apart

    @property
    def too_damp(self) -> bool:
        return self.humidity > self.coat.humidity[1]

    @property
    def too_cold(self) -> bool:
        return min(self.temperature, self.surface) < self.coat.temperature[0]

    @property
    def too_warm(self) -> bool:
        return max(self.temperature, self.surface) > self.coat.temperature[1]


def _figures(at: _At, measured: bool, named: bool) -> Iterator[Figure]:
    from diagnose import moisture

    told = "frost point (ice forms on what is colder)" if at.dew < 0 else "dew point (water settles on what is colder)"
    yield Figure("dew_point", told, at.dew, "temperature", "saturation pressure inverted", PSYCHROLIB)
    wet = round(air.wet_bulb(at.temperature, at.humidity), 1)
    told = "wet bulb (a film of water cools itself to this)"
    yield Figure("wet_bulb", told, wet, "temperature", "balance of heat and vapour at a wet surface", PSYCHROLIB)
    told = "surface above the dew point" + ("" if measured else ", were it as warm as the air")
    yield Figure("margin", told, at.apart, "difference", "surface - dew point", PSYCHROLIB)
    told = f"the same, were the hygrometer {_reads_low() * 100:g} % RH low"
    source = _hygrometer()["source"]
    yield Figure("margin_if_damper", told, at.apart_if_damper, "difference", "surface - dew point then", source)
    rule = f"dew point + {at.least_apart:g} C, or the least for the coat where that is more"
    yield Figure("lowest_surface", "lowest surface fit to coat", at.lowest, "temperature", rule, MARGIN)
    rule = (
        f"vapour pressure at (surface - {at.least_apart:g} C) over that at the air's warmth; at most that of the coat"
    )
    told = "highest humidity at that surface"
    yield Figure("highest_humidity", told, round(at.dry_enough, 3), "share", rule, f"{PSYCHROLIB}; {MARGIN}")
    if named:
        source, coat = at.coat.source, at.coat
        yield Figure("class_temperature", "temperature for this coat", coat.temperature, "temperature", "table", source)
        yield Figure("class_humidity", "humidity for this coat", coat.humidity, "share", "table", source)
    if moisture.within_table(at.temperature):
        settled = round(moisture.emc(at.temperature, at.humidity), 3)
        told = "moisture that wood comes to in this air"
        yield Figure("wood_moisture", told, settled, "share", moisture.FORMULA, moisture.SOURCE)


def _remarks(at: _At, measured: bool, named: bool) -> Iterator[Remark]:
    wrong = list(_wrong(at))
    if wrong:
        yield Remark("fit", False, "Not fit to coat in: " + "; ".join(says for says, _ in wrong) + ".", wrong[0][1])
        yield Remark("do", False, " ".join(_do(at)), "computed")
    else:
        told = (
            f"Fit to coat in. The surface is {units.in_both(at.apart, 'difference')} above the dew point, {_least(at)}"
        )
        yield Remark("fit", True, told + (", and this coat bears such air." if named else "."), at.coat.source)
    if not measured:
        says = "The piece was taken to be as warm as the air. One brought in from the cold is not: measure its surface."
        yield Remark("surface_not_measured", True, says, "common practice")
    if not wrong and not _best(at):
        best = f"{_ends(at.coat.best_temperature, 'temperature')} and {_ends(at.coat.best_humidity, 'share')}"
        yield Remark("best", True, f"It goes on best at {best}.", at.coat.source)
    if not wrong and at.apart_if_damper < at.least_apart:
        says = (
            f"A hygrometer may be {_reads_low() * 100:g} % RH out; were the air so much damper, the surface would be "
        )
        says += f"only {units.in_both(at.apart_if_damper, 'difference')} above the dew point. Check it, or leave more."
        yield Remark("hygrometer", False, says, _hygrometer()["source"])
    if at.humidity < at.coat.humidity[0]:
        yield Remark("dry", False, f"The air is dry for it: {at.coat.dry}.", at.coat.source)
    if at.dew < 0:
        yield Remark("frost", False, "The dew point lies below 0 C: what is given is the frost point.", PSYCHROLIB)


def _least(at: _At) -> str:
    return f"{at.least_apart:g} C ({at.least_apart * 1.8:.0f} F) is the least"


def _wrong(at: _At) -> Iterator[tuple[str, str]]:
    """What speaks against coating, the gravest first, with its source."""
    if at.apart <= 0:
        yield "the surface is at or below the dew point, so water stands on it, seen or not", PSYCHROLIB
    elif at.too_near:
        why = ", since a film of fast solvent chills itself" if at.coat.fast and at.apart >= air.margin() else ""
        yield (
            f"the surface is only {units.in_both(at.apart, 'difference')} above the dew point; {_least(at)}{why}",
            MARGIN,
        )
    if at.too_cold:
        yield f"too cold for {at.coat.name} ({at.coat.cold})", at.coat.source
    if at.too_warm:
        yield f"too warm for {at.coat.name} (it sets before it has flowed, and bubbles)", at.coat.source
    if at.too_damp:
        yield f"too damp for {at.coat.name} ({at.coat.damp})", at.coat.source


def _do(at: _At) -> Iterator[str]:
    """What would make it fit: warmth first, then drying."""
    dry = f"{_percent(at.dry_enough)} or less"
    drying_does = (at.too_near or at.too_damp) and not at.too_cold and at.dry_enough > 0.05
    if at.too_warm:
        yield f"Wait until room and piece are under {units.in_both(at.coat.temperature[1], 'temperature')}."
    if not at.too_damp and at.lowest <= at.temperature and at.surface < at.lowest:
        lowest = units.in_both(at.lowest, "temperature")
        yield f"Warm the piece to {lowest} or more and keep it so until the film has set."
    elif at.too_damp or at.too_cold or at.surface < at.lowest:
        warm = air.warm_enough(at.temperature, at.humidity, at.coat.humidity[1])
        room = max(at.lowest, at.temperature, warm if warm is not None else air.WARMEST)
        room = ceil(room * 10) / 10
        if room > at.coat.temperature[1]:
            yield f"Dry the air to {dry}." if drying_does else "Wait for other weather."
            return
        then = _percent(air.humidity_at(at.temperature, at.humidity, room))
        yield f"Warm room and piece to {units.in_both(room, 'temperature')} or more (with no water added the humidity"
        yield f"falls to {then}) and keep them so until the film has set. {HEATER}"
    if drying_does:
        yield f"Drying the air to {dry} would do as well."


def _best(at: _At) -> bool:
    (cold, warm), (dry, damp) = at.coat.best_temperature, at.coat.best_humidity
    return cold <= at.temperature <= warm and dry <= at.humidity <= damp


def _ends(ends: tuple[float, float], kind: str) -> str:
    return " to ".join(units.in_both(end, kind) for end in ends)


def _hygrometer() -> dict:
    from diagnose.tables import table

    return table("coating_air")["hygrometer"]


def _reads_low() -> float:
    """The share of relative humidity that a hygrometer may be out by."""
    return float(_hygrometer()["value"]) / 100


def _percent(share: float) -> str:
    """Rounded down, since it is a most."""
    return f"{int(share * 100 + 1e-9)} %"
