"""What a reckoning hands back: named figures with their formula and source, and how they are shown.

The functions that reckon know no screen; `outline` words a sum for every form of output, `as_json` for programs.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagnose import units

if TYPE_CHECKING:
    from diagnose.blocks import Outline

FIRST_OF_ALL = "The label and the data sheet of the product come before anything reckoned here."


@dataclass(frozen=True, slots=True)
class Figure:
    """One result. `value` is in the inner unit of `kind` (units.KINDS); a pair is a range from low to high.

    Where `kind` is "" the value is a plain number of `unit`. `name` is its name in JSON, `says` its name in words.
    """

    name: str
    says: str
    value: float | tuple[float, float]
    kind: str
    formula: str
    source: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Remark:
    """A judgement on the figures. `mind` marks a warning; `name` is its name in JSON, `holds` whether all is well."""

    name: str
    holds: bool
    says: str
    source: str

    @property
    def mind(self) -> bool:
        return not self.holds


@dataclass(frozen=True, slots=True)
class Sum:
    """One reckoning: what was given (label, words), what comes of it, what to say to it, and cautions by name."""

    about: str
    given: tuple[tuple[str, str], ...]
    figures: tuple[Figure, ...]
    remarks: tuple[Remark, ...] = ()

    def figure(self, name: str) -> Figure:
        """The figure of that name. Raises StopIteration where there is none."""
        return next(figure for figure in self.figures if figure.name == name)


def shown(figure: Figure) -> str:
    """A figure in words, in both systems of units, a range from its low to its high end."""
    ends = figure.value if isinstance(figure.value, tuple) else (figure.value,)
    if figure.kind == "time" and (len(ends) == 1 or len(set(ends)) > 1):  # a range of no width is what was stated
        return units.roughly(*ends)
    if not figure.kind and len(ends) > 1:
        return " to ".join(dict.fromkeys(f"{end:.2g}" for end in ends)) + f" {figure.unit}"
    if figure.kind:
        words = [units.in_both(end, figure.kind) for end in ends]
    else:
        words = [f"{end + 0.0:.3g} {figure.unit}".strip() for end in ends]
    return " to ".join(dict.fromkeys(words))


def outline(reckoned: Sum, work: bool = False) -> Outline:
    """The sum for a reader; with `work` each figure is followed by its formula and source."""
    from diagnose.blocks import Outline, Pairs, Part, Points, Text  # here, since JSON does without all they import

    given = Part("given", "Given", (Pairs(reckoned.given),))
    lines = tuple((figure.says, shown(figure)) for figure in reckoned.figures)
    parts = [given, Part("result", "Comes to", (Pairs(lines),))]
    if reckoned.remarks:
        parts.append(Part("remarks", "Mind", tuple(Text(r.says, mind=r.mind) for r in reckoned.remarks)))
    if work:
        parts.append(Part("work", "How it was reckoned", (Points(tuple(_work(reckoned))),)))
    return Outline(reckoned.about, (FIRST_OF_ALL,), tuple(parts))


def _work(reckoned: Sum) -> Iterator[str]:
    for figure in reckoned.figures:
        yield f"{figure.says}: {figure.formula} [{figure.source}]"
    for remark in reckoned.remarks:
        yield f"{remark.says} [{remark.source}]"


def as_json(reckoned: Sum, work: bool = False) -> str:
    """{name: {"value", "unit"}} for each figure, a range as {"low", "high", "unit"}; remarks under "remarks"."""
    told: dict[str, object] = {}
    for figure in reckoned.figures:
        told[figure.name] = _quantity(figure)
        if work:
            told[figure.name] |= {"formula": figure.formula, "source": figure.source}
    told["remarks"] = [{"name": r.name, "holds": r.holds, "says": r.says, "source": r.source} for r in reckoned.remarks]
    return json.dumps(told, indent=1, ensure_ascii=False) + "\n"


def _quantity(figure: Figure) -> dict[str, object]:
    unit = json_unit(figure)
    ends = figure.value if isinstance(figure.value, tuple) else (figure.value,)
    numbers = [_rounded(units.within(end, figure.kind, unit) if figure.kind else end) for end in ends]
    if len(numbers) == 1:
        return {"value": numbers[0], "unit": unit}
    return {"low": numbers[0], "high": numbers[1], "unit": unit}


def json_unit(figure: Figure) -> str:
    """The metric unit in which a figure stands in JSON."""
    if not figure.kind:
        return figure.unit
    if figure.kind in units.SYSTEMS:
        return units.SYSTEMS[figure.kind][0]
    return {"share": "%", "time": "h", "exposure": "Mlx h"}.get(figure.kind, units.KINDS[figure.kind].inner)


def _rounded(value: float) -> float:
    """Five digits are more than any of these figures is good for; one decimal of a degree is never lost."""
    return float(f"{value:.5g}") + 0.0  # never -0.0
