"""Quantities as finishers write them, to one unit of each kind inside: degrees C, fractions, seconds, metres, g/L.

Definitions are exact (NIST Handbook 44, 2023, Appendix C, from memory of its defining factors). Gallons, quarts, pints,
cups and fluid ounces are those of the United States; imperial ones are written "imp gal", "imp pt", "imp fl oz".
"""

from __future__ import annotations

import re
from collections.abc import Container
from dataclasses import dataclass
from math import floor

from diagnose.complaint import Complaint, Place, shown
from diagnose.loose_words import one_end, sides, with_point, without_fraction

US_GALLON = 3.785411784  # litre
IMPERIAL_GALLON = 4.54609  # litre
FOOT = 0.3048  # metre
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
    "difference": Kind({"c": (1, 0), "f": (5 / 9, 0)}, -100, 100, "C", "3 C or 5 F"),
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
            "lb/impgal": (16 * OUNCE / IMPERIAL_GALLON, 0),
            "oz/impgal": (OUNCE / IMPERIAL_GALLON, 0),
        },
        0,
        2000,
        "g/L",
        "15 g/L or 2 oz/gal",
    ),
    "illuminance": Kind({"lx": (1, 0)}, 0, 200000, "lx", "300 lx"),
    "exposure": Kind({"lxh": (1, 0), "klxh": (1e3, 0), "mlxh": (1e6, 0)}, 0, 1e12, "lx h", "5 Mlx h"),
    "volume": Kind(
        {
            "l": (1, 0),
            "ml": (1e-3, 0),
            "cl": (1e-2, 0),
            "dl": (1e-1, 0),
            "gal": (US_GALLON, 0),
            "qt": (US_GALLON / 4, 0),
            "pt": (US_GALLON / 8, 0),
            "cup": (US_GALLON / 16, 0),
            "floz": (US_GALLON / 128, 0),
            "tbsp": (US_GALLON / 256, 0),
            "tsp": (US_GALLON / 768, 0),
            "impgal": (IMPERIAL_GALLON, 0),
            "impqt": (IMPERIAL_GALLON / 4, 0),
            "imppt": (IMPERIAL_GALLON / 8, 0),
            "impfloz": (IMPERIAL_GALLON / 160, 0),
        },
        0,
        1e5,
        "L",
        "500 mL, 2 L, 1 qt or 8 fl oz",
    ),
    "mass": Kind(
        {"g": (1, 0), "mg": (1e-3, 0), "kg": (1e3, 0), "oz": (OUNCE, 0), "lb": (16 * OUNCE, 0)},
        0,
        1e7,
        "g",
        "30 g or 2 oz",
    ),
    "length": Kind(
        {"m": (1, 0), "mm": (1e-3, 0), "cm": (1e-2, 0), "in": (FOOT / 12, 0), "ft": (FOOT, 0)},
        0,
        1000,
        "m",
        "600 mm or 24 in",
    ),
    "area": Kind(
        {"m2": (1, 0), "cm2": (1e-4, 0), "ft2": (FOOT**2, 0), "sqft": (FOOT**2, 0), "sqm": (1, 0)},
        0,
        1e5,
        "m2",
        "2.5 m2 or 27 sq ft",
    ),
    "density": Kind(
        {"kg/l": (1, 0), "g/ml": (1, 0), "g/cm3": (1, 0), "kg/m3": (1e-3, 0), "lb/gal": (16e-3 * OUNCE / US_GALLON, 0)},
        0.3,
        5,
        "kg/L",
        "1.02 kg/L or 8.5 lb/gal",
    ),
    "viscosity": Kind({"cst": (1, 0), "mm2/s": (1, 0)}, 0.1, 1e5, "cSt", "40 cSt"),
    "coverage": Kind(
        {"m2/l": (1, 0), "ft2/gal": (FOOT**2 / US_GALLON, 0), "sqft/gal": (FOOT**2 / US_GALLON, 0)},
        0,
        1000,
        "m2/L",
        "10 m2/L or 400 sq ft/gal",
    ),
    "pressure": Kind({"kpa": (1, 0), "pa": (1e-3, 0), "mmhg": (0.1333223874, 0)}, 0, 1000, "kPa", "2.3 kPa"),
}
# The unit in which each kind is shown in the two systems; those that are not here have one unit only.
SYSTEMS = {
    "temperature": ("C", "F"),
    "difference": ("C", "F"),
    "film": ("um", "mil"),
    "strength": ("g/L", "oz/gal"),
    "volume": ("L", "fl oz"),
    "mass": ("g", "oz"),
    "length": ("mm", "in"),
    "area": ("m2", "sq ft"),
    "density": ("kg/L", "lb/gal"),
    "coverage": ("m2/L", "sq ft/gal"),
}
# Of amounts the units go by their size: up to so much (in the inner unit) in these two.
BY_SIZE = {
    "volume": ((0.9995, "mL", "fl oz"), (4, "L", "qt"), (float("inf"), "L", "gal")),
    "mass": ((999.5, "g", "oz"), (float("inf"), "kg", "lb")),
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
    "luxhour": "lxh",
    "litre": "l",
    "liter": "l",
    "gallon": "gal",
    "quart": "qt",
    "pint": "pt",
    "fl.oz": "floz",
    "fl.oz.": "floz",
    "fluidounce": "floz",
    "tablespoon": "tbsp",
    "teaspoon": "tsp",
    "gram": "g",
    "ounce": "oz",
    "pound": "lb",
    "inch": "in",
    "inche": "in",
    '"': "in",
    "foot": "ft",
    "feet": "ft",
    "sq.ft": "sqft",
    "sq.ft.": "sqft",
    "ft^2": "ft2",
    "m^2": "m2",
    "m²": "m2",
    "ft²": "ft2",
    "sqft/gal.": "sqft/gal",
    "m²/l": "m2/l",
    "ft²/gal": "ft2/gal",
    "mm²/s": "mm2/s",
}
_QUANTITY = re.compile(r"\s*(p?)(-?\d{1,12}(?:\.\d{1,12})?)\s*([^\d\s].{0,16})?\s*\Z", re.IGNORECASE)


def parse(written: str, kind: str, place: Place | None, what: str) -> float:
    """`written` in the inner unit of its kind. Complains about a missing, foreign or absurd unit or number."""
    spec = KINDS[kind]
    accepted = f"write for instance {spec.example}"
    if re.match(r"\s*-?\d+,\d", written):
        raise Complaint(place, f"{what}: {shown(written)} has a decimal comma", f"use a point: {with_point(written)}")
    if kind == "area" and (pair := sides(written)):
        return round(parse(pair[0], "length", place, what) * parse(pair[1], "length", place, what), 9)
    decimal = without_fraction(written)
    if end := one_end(decimal, kind):
        raise Complaint(place, f"{what}: {shown(written)} is a range where one figure is needed", end)
    found = _QUANTITY.match(decimal)
    if not found:
        raise Complaint(place, f"{what}: {shown(written)} is not a quantity", accepted)
    prefix, number, unit = found.groups()
    if kind == "grit" and not unit:
        unit = "grit"
    elif prefix and kind != "grit":
        raise Complaint(place, f"{what}: {shown(written)} is not a quantity", accepted)
    if not unit:
        if kind == "share":  # shares are written both ways: 15 and 0.15
            accepted = f"write {_plain(float(number) * (100 if abs(float(number)) < 1 else 1), 9)} %"
        raise Complaint(place, f"{what}: {shown(written)} has no unit", accepted)
    unit = _named_unit(unit, spec.units)
    if unit not in spec.units:
        raise Complaint(place, f"{what}: {shown(written)} has a unit that does not fit", accepted)
    factor, offset = spec.units[unit]
    value = float(number) * factor + offset
    if not spec.least <= value <= spec.most:
        raise Complaint(place, f"{what}: {shown(written)} cannot be", f"{_bounds(spec)}, for instance {spec.example}")
    return round(value, 9)


def _named_unit(unit: str, known: Container[str]) -> str:
    """A unit as the tables name it, from its other spellings, its plural and `imperial` before it."""
    unit = unit.strip().lower().replace(" ", "")
    before = ""
    if unit.startswith("imp") and (rest := re.sub(r"^imp(?:erial|\.)?", "", unit)):
        unit, before = rest, "imp"
    unit = _SPELLINGS.get(unit, unit)
    if before + unit not in known and unit.endswith("s"):
        unit = _SPELLINGS.get(unit[:-1], unit[:-1])
    return before + unit


_ALL_UNITS = frozenset(unit for spec in KINDS.values() for unit in spec.units)


def is_unit(written: str) -> bool:
    """Whether that is a unit of any kind, however it is spelled."""
    return len(written) <= 20 and _named_unit(written, _ALL_UNITS) in _ALL_UNITS


_NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_ABOUT = {
    **{word: number for number, word in enumerate(_NUMBERS, 1)},
    **{"a": 1, "an": 1, "half a": 0.5, "half an": 0.5, "a couple of": 2, "couple of": 2},
    **{"a few": 3, "few": 3, "several": 5},
}
_LONGEST_FIRST = "|".join(sorted(_ABOUT, key=len, reverse=True))
_SPOKEN = re.compile(rf"(?:about |roughly )?({_LONGEST_FIRST}) ([a-z%]+(?: [a-z]+)?)", re.IGNORECASE)


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
        count, name = _in_time_unit(value)
        return _counted(_plain(count, 3), name)
    if kind == "share":
        return f"{_plain(value * 100, 3)} %"
    if kind == "temperature":
        return f"{_plain(value, 3)} C"
    if kind == "film":
        return f"{_plain(value * 1e6, 3)} um"
    if kind == "exposure" and value >= 1e5:
        return f"{_plain(value / 1e6, 3)} Mlx h"
    return f"{_plain(value, 4)} {KINDS[kind].inner}"


def _in_time_unit(value: float) -> tuple[float, str]:
    """Seconds in the largest unit in which people count so much."""
    for name in ("year", "month", "week", "day", "h", "min"):
        size = KINDS["time"].units[name][0]
        if value >= size * (2 if name in ("month", "week", "day") else 1):
            return value / size, name
    return value, "s"


def _counted(count: str, name: str) -> str:
    return f"{count} {name}{'s' if name not in ('h', 'min', 's') and count != '1' else ''}"


def roughly(*ends: float) -> str:
    """A time, or the ends of a range of times, as people say them: '5 weeks', '2 to 28 days'. To be shown only.

    Halves are said up to 3, whole numbers up to 100, two digits beyond.
    """
    said: list[tuple[str, str]] = []
    for seconds in ends:
        count, name = _in_time_unit(seconds)
        rounded = floor(count * 2 + 0.5) / 2 if count < 3 else floor(count + 0.5) if count < 100 else count
        said.append((_plain(rounded or count, 2), name))
    if len(set(said)) == 1:
        return _counted(*said[0])
    if len({name for _, name in said}) == 1:
        return " to ".join(count for count, _ in said[:-1]) + f" to {_counted(*said[-1])}"
    return " to ".join(_counted(*one) for one in said)


def within(value: float, kind: str, unit: str) -> float:
    """An inner value in `unit`, written as finishers write it ('fl oz', 'sq ft', 'F'). Raises KeyError."""
    factor, offset = KINDS[kind].units[unit.lower().replace(" ", "")]
    return (value - offset) / factor


def in_both(value: float, kind: str, digits: int = 3) -> str:
    """An inner value in both systems, for instance '9.6 C (49.2 F)'; kinds of one unit only are shown once."""
    if kind not in SYSTEMS:
        return show(value, kind)
    if kind in ("temperature", "difference"):
        ours, other = (f"{round(within(value, kind, unit), 1) + 0.0:.1f} {unit}" for unit in SYSTEMS[kind])
        return f"{ours} ({other})"
    pair = next((pair for below, *pair in BY_SIZE.get(kind, ()) if abs(value) < below), SYSTEMS[kind])
    ours, other = (_plain(within(value, kind, unit), digits) + f" {unit}" for unit in pair)
    return f"{ours} ({other})"


def _plain(value: float, digits: int) -> str:
    """`value` to so many significant digits, never with an exponent."""
    shown_ = f"{float(f'{value:.{digits}g}') + 0.0:.9f}"
    return shown_.rstrip("0").rstrip(".")
