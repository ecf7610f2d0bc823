"""Quantities as finishers write them, to one unit of each kind inside: degrees C, fractions, seconds, metres, g/L.

Definitions are exact (NIST Handbook 44, 2023, Appendix C, from memory of its defining factors).
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from diagnose.complaint import Complaint, Place, shown

US_GALLON = 3.785411784  # litre
OUNCE = 28.349523125  # gram


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of quantity: unit -> (factor, offset) to the inner unit, the sensible range, and the unit shown."""

    units: dict[str, tuple[float, float]]
    least: float
    most: float
    inner: str
    example: str


KINDS = {
    "temperature": Kind({"c": (1, 0), "f": (5 / 9, -160 / 9)}, -40, 120, "C", "18 C or 65 F"),
    "share": Kind({"%": (0.01, 0)}, 0, 1, "1", "55 %"),
    "time": Kind(
        {
            "s": (1, 0),
            "min": (60, 0),
            "h": (3600, 0),
            "day": (86400, 0),
            "week": (604800, 0),
            "month": (2629746, 0),
            "year": (31556952, 0),
        },
        0,
        200 * 31556952,
        "s",
        "20 min, 12 h, 3 days or 2 years",
    ),
    "film": Kind({"um": (1e-6, 0), "mil": (25.4e-6, 0), "mm": (1e-3, 0)}, 0, 0.01, "m", "100 um or 4 mil"),
    "grit": Kind({"grit": (1, 0)}, 12, 10000, "grit", "220 grit"),
    "strength": Kind(
        {
            "g/l": (1, 0),
            "oz/gal": (OUNCE / US_GALLON, 0),
            "oz/qt": (4 * OUNCE / US_GALLON, 0),
            "lb/gal": (16 * OUNCE / US_GALLON, 0),
        },
        0,
        2000,
        "g/L",
        "15 g/L or 2 oz/gal",
    ),
    "illuminance": Kind({"lx": (1, 0)}, 0, 200000, "lx", "300 lx"),
}
_SPELLINGS = {
    "°c": "c",
    "degc": "c",
    "°f": "f",
    "degf": "f",
    "percent": "%",
    "sec": "s",
    "second": "s",
    "minute": "min",
    "hr": "h",
    "hour": "h",
    "d": "day",
    "wk": "week",
    "mo": "month",
    "yr": "year",
    "y": "year",
    "µm": "um",
    "μm": "um",
    "micron": "um",
    "lux": "lx",
}
_QUANTITY = re.compile(r"\s*(p?)(-?\d{1,12}(?:\.\d{1,12})?)\s*([^\d\s].{0,12})?\s*\Z", re.IGNORECASE)


def parse(written: str, kind: str, place: Place | None, what: str) -> float:
    """`written` in the inner unit of its kind. Complains about a missing, foreign or absurd unit or number."""
    spec = KINDS[kind]
    accepted = f"write for instance {spec.example}"
    if re.match(r"\s*-?\d+,\d", written):
        raise Complaint(place, f"{what}: {shown(written)} has a decimal comma", "use a point: 0.5")
    found = _QUANTITY.match(written)
    if not found:
        raise Complaint(place, f"{what}: {shown(written)} is not a quantity", accepted)
    prefix, number, unit = found.groups()
    if kind == "grit" and not unit:
        unit = "grit"
    elif prefix and kind != "grit":
        raise Complaint(place, f"{what}: {shown(written)} is not a quantity", accepted)
    if not unit:
        raise Complaint(place, f"{what}: {shown(written)} has no unit", accepted)
    unit = unit.strip().lower().replace(" ", "")
    unit = _SPELLINGS.get(unit, unit)
    if unit not in spec.units and unit.endswith("s"):
        unit = _SPELLINGS.get(unit[:-1], unit[:-1])
    if unit not in spec.units:
        raise Complaint(place, f"{what}: {shown(written)} has a unit that does not fit", accepted)
    factor, offset = spec.units[unit]
    value = float(number) * factor + offset
    if not spec.least <= value <= spec.most:
        raise Complaint(place, f"{what}: {shown(written)} cannot be", f"{_bounds(spec)}, for instance {spec.example}")
    return round(value, 9)


_NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_ABOUT = {
    **{word: number for number, word in enumerate(_NUMBERS, 1)},
    **{"a": 1, "an": 1, "half a": 0.5, "half an": 0.5, "a couple of": 2, "couple of": 2},
    **{"a few": 3, "few": 3, "several": 5},
}
_LONGEST_FIRST = "|".join(sorted(_ABOUT, key=len, reverse=True))
_SPOKEN = re.compile(rf"(?:about |roughly )?({_LONGEST_FIRST}) ([a-z%]+)", re.IGNORECASE)


def spoken(written: str) -> str:
    """A quantity as people say it ('overnight', 'a couple of days', 'several years') as one that `parse` reads.

    What a loose word is taken for has to be shown to whoever said it. Anything else is given back as it is.
    """
    if written.strip().lower() == "overnight":
        return "12 h"
    found = _SPOKEN.fullmatch(written.strip())
    return f"{_ABOUT[found[1].lower()]:g} {found[2]}" if found else written


def _bounds(spec: Kind) -> str:
    first, (factor, offset) = next(iter(spec.units.items()))
    label = {"c": "C"}.get(first, first)
    low, high = ((bound - offset) / factor for bound in (spec.least, spec.most))
    if first == "s":
        return "between 0 and 200 years"
    return f"between {low:g} and {high:g} {label}"


def show(value: float, kind: str) -> str:
    """An inner value in the unit a reader expects, for instance '12 h' or '55 %'; `parse` reads it back."""
    if kind == "time":
        for name in ("year", "month", "week", "day", "h", "min"):
            size = KINDS["time"].units[name][0]
            if value >= size * (2 if name in ("month", "week", "day") else 1):
                count = _plain(value / size, 3)
                return f"{count} {name}{'s' if name not in ('h', 'min') and count != '1' else ''}"
        return f"{_plain(value, 3)} s"
    if kind == "share":
        return f"{_plain(value * 100, 3)} %"
    if kind == "temperature":
        return f"{_plain(value, 3)} C"
    if kind == "film":
        return f"{_plain(value * 1e6, 3)} um"
    return f"{_plain(value, 4)} {KINDS[kind].inner}"


def _plain(value: float, digits: int) -> str:
    """`value` to so many significant digits, never with an exponent."""
    shown_ = f"{float(f'{value:.{digits}g}'):.9f}"
    return shown_.rstrip("0").rstrip(".")
