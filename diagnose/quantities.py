"""Quantities in the texts of the knowledge: a text names one, in braces, and the rest is reckoned and written here.

    {cut 1 to 2 lb}          one- to two-pound cut (120 to 240 g of flakes to a litre of alcohol)
    {dilute 2 lb to 1 lb}    five parts of a two-pound cut and four parts of alcohol
    {strength 60 g/L}        60 g to a litre (2 oz to a US quart)
    {temperature 20 to 25 C} 20 to 25 °C (68 to 77 °F)
    {difference 3 C}         3 °C (5 °F)
    {film 75 to 100 um}      75 to 100 µm (3 to 4 mil)
    {length 15 to 20 cm}     15 to 20 cm (6 to 8 in)
    {volume 150 mL}          150 mL (5 fl oz)
    {mass 30 g}              30 g (1.1 oz)

The unit that is named leads, so {film 4 mil} is "4 mil (100 µm)". Numbers are rounded to what a bench can use.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction

from diagnose import shellac, units
from diagnose.complaint import Complaint, Place, shown, would_accept
from diagnose.yamltree import Node

CLOSE = 0.03  # a rounder number is taken where it is no farther off than this share
NEAR = 0.05  # simpler parts are taken where the cut comes out no farther off than this share
_BRACES = re.compile(r"\{([^{}]*)\}")
_NUMBER = r"(\d{1,6}(?:\.\d{1,3})?)"
_RANGE = re.compile(rf"{_NUMBER}(?: to {_NUMBER})? (\S.{{0,8}})")
_DILUTE = re.compile(rf"{_NUMBER} lb to {_NUMBER} lb")
_ONES = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_CUTS = {0.25: "quarter", 0.5: "half"} | {
    number + half: word + ("-and-a-half" if half else "")
    for number, word in enumerate(_ONES[:6], 1)
    for half in (0, 0.5)
}
# kind -> named unit -> (as it is written, the other unit, as that is written)
_PAIRS = {
    "temperature": {"C": ("°C", "F", "°F"), "F": ("°F", "C", "°C")},
    "film": {"um": ("µm", "mil", "mil"), "mil": ("mil", "um", "µm")},
    "length": {
        "mm": ("mm", "in", "in"),
        "cm": ("cm", "in", "in"),
        "m": ("m", "ft", "ft"),
        "in": ("in", "cm", "cm"),
        "ft": ("ft", "m", "m"),
    },
    "volume": {"mL": ("mL", "fl oz", "fl oz"), "L": ("L", "qt", "US qt"), "fl oz": ("fl oz", "mL", "mL")},
    "mass": {"g": ("g", "oz", "oz"), "kg": ("kg", "lb", "lb"), "oz": ("oz", "g", "g"), "lb": ("lb", "kg", "kg")},
}


def expanded(node: Node) -> Node:
    """The tree with every quantity in its texts written out. Raises Complaint with its place."""
    value = node.value
    if isinstance(value, str):
        return node._replace(value=written(value, node.place)) if "{" in value or "}" in value else node
    if isinstance(value, tuple):
        return node._replace(value=tuple(expanded(item) for item in value))
    return node._replace(value={key: expanded(item) for key, item in value.items()})


def written(text: str, place: Place | None) -> str:
    """`text` with its quantities written out. Raises Complaint."""
    done = _BRACES.sub(lambda found: _quantity(found[1], place), text)
    if "{" in done or "}" in done:
        raise Complaint(
            place, "a brace stands alone in the text", "a quantity is written {cut 2 lb}, others without braces"
        )
    return done


def _quantity(inside: str, place: Place | None) -> str:
    kind, _, rest = " ".join(inside.split()).partition(" ")
    if kind not in KINDS:
        raise Complaint(place, f"{shown('{' + inside + '}')} is no quantity known here", would_accept(kind, KINDS))
    write, example = KINDS[kind]
    try:
        return write(kind, rest)
    except ValueError as wrong:
        named = shown("{" + inside + "}")
        raise Complaint(place, f"{named}: {wrong}", f"write for instance {{{kind} {example}}}") from None


def _read(rest: str) -> tuple[list[str], str]:
    """The number, or the two of a range, and the unit. Raises ValueError."""
    found = _RANGE.fullmatch(rest)
    if not found:
        raise ValueError("is not a number, or two, and a unit")
    numbers = [number for number in found.groups()[:2] if number is not None]
    if len(numbers) == 2 and float(numbers[0]) >= float(numbers[1]):
        raise ValueError("the range is reversed")
    return numbers, found[3]


def _inner(number: str, unit: str, kind: str) -> float:
    factor, offset = units.KINDS[kind].units[unit.lower().replace(" ", "")]
    return float(number) * factor + offset


def _pair(kind: str, rest: str) -> str:
    numbers, unit = _read(rest)
    if unit not in _PAIRS[kind]:
        raise ValueError(f"the unit has to be {' or '.join(_PAIRS[kind])}")
    name, other, other_name = _PAIRS[kind][unit]
    read = [_inner(number, unit, kind) for number in numbers]
    rounded = _whole if kind == "temperature" else sensible
    others = [rounded(units.within(value, kind, other)) for value in read]
    return f"{_span(numbers)} {name} ({_span(others)} {other_name})"


def _difference(kind: str, rest: str) -> str:
    numbers, unit = _read(rest)
    if unit != "C":
        raise ValueError("the unit has to be C")
    return f"{_span(numbers)} °C ({_span([_whole(float(number) * 9 / 5) for number in numbers])} °F)"


def _strength(kind: str, rest: str) -> str:
    numbers, unit = _read(rest)
    if unit != "g/L":
        raise ValueError("the unit has to be g/L")
    read = [_inner(number, unit, "strength") for number in numbers]
    vessel, per = ("quart", "oz/qt") if units.within(read[0], "strength", "oz/qt") > 1 - CLOSE else ("gallon", "oz/gal")
    ounces = [sensible(units.within(value, "strength", per)) for value in read]
    return f"{_span(numbers)} g to a litre ({_span(ounces)} oz to a US {vessel})"


def _cut(kind: str, rest: str) -> str:
    numbers, unit = _read(rest)
    if unit != "lb":
        raise ValueError("the unit has to be lb")
    grams = [sensible(_flakes(number)) for number in numbers]
    return f"{'- to '.join(map(_in_words, numbers))}-pound cut ({_span(grams)} g of flakes to a litre of alcohol)"


def _dilute(kind: str, rest: str) -> str:
    found = _DILUTE.fullmatch(rest)
    if not found:
        raise ValueError("is not a cut and the weaker one that it is thinned to")
    cut, wanted = _flakes(found[1]), _flakes(found[2])
    if wanted >= cut:
        raise ValueError("a cut is only thinned to a weaker one")
    ratio = simple_ratio(cut, wanted)
    solution, alcohol = (f"{_ONES[n - 1]} part{'s' if n > 1 else ''}" for n in (ratio.denominator, ratio.numerator))
    return f"{solution} of a {_in_words(found[1])}-pound cut and {alcohol} of alcohol"


def _flakes(pounds: str) -> float:
    """Grams of flakes to a litre of alcohol."""
    cut = float(pounds) * shellac.POUND_CUT
    if not 0 < cut <= shellac.strongest() * (1 + 1e-9):
        raise ValueError(f"no such cut is used; the strongest is {shellac.strongest() / shellac.POUND_CUT:g} lb")
    return cut


def _in_words(pounds: str) -> str:
    return _CUTS.get(float(pounds), f"{float(pounds):g}")


def simple_ratio(cut: float, wanted: float) -> Fraction:
    """Alcohol to solution in the fewest parts whose cut comes out within NEAR of `wanted`. Raises ValueError."""
    exact = shellac.to_thin(cut, wanted)
    for parts in range(1, len(_ONES) + 1):
        ratio = Fraction(round(exact * parts), parts)
        comes_to = cut / (1 + float(ratio) * shellac.swelling(cut))
        if 0 < ratio.numerator <= len(_ONES) and abs(comes_to / wanted - 1) <= NEAR:
            return ratio
    raise ValueError("comes to no simple parts; thin it in two goes")


def sensible(value: float) -> str:
    """`value` with one significant digit where that is close, else with two."""
    one, two = (float(f"{value:.{digits}g}") for digits in (1, 2))
    rounded = one if abs(one - value) <= CLOSE * abs(value) else two
    return f"{rounded:.6f}".rstrip("0").rstrip(".")


def _whole(value: float) -> str:
    return f"{value + 0.0:.0f}"


def _span(numbers: list[str]) -> str:
    return " to ".join(dict.fromkeys(numbers))


KINDS: dict[str, tuple[Callable[[str, str], str], str]] = {
    "cut": (_cut, "1 to 2 lb"),
    "difference": (_difference, "3 C"),
    "dilute": (_dilute, "2 lb to 1 lb"),
    "film": (_pair, "75 to 100 um"),
    "length": (_pair, "15 to 20 cm"),
    "mass": (_pair, "30 g"),
    "strength": (_strength, "60 g/L"),
    "temperature": (_pair, "20 to 25 C"),
    "volume": (_pair, "150 mL"),
}
