"""What the coats of a plan take, where the area and the way of putting on are told."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.case import Case
from diagnose.complaint import Complaint
from diagnose.facts import layers
from diagnose.mixing import amounts
from diagnose.model import Knowledge, Step
from diagnose.tables import table


@dataclass(frozen=True, slots=True)
class Need:
    """Litres of one step, from the fewest to the most; None for both where no coverage is known of it."""

    step: int
    low: float | None = None
    high: float | None = None
    source: str = ""


def spare() -> float:
    """The share that is reckoned to spare."""
    return float(table("mixing")["spare"]["value"]) / 100


def area_of(case: Case) -> float | None:
    """The whole surface in m2, where it is told."""
    given = case.piece.get("area")
    return given.values[0] if given and given.known else None


def needs(case: Case, knowledge: Knowledge) -> list[Need]:
    """One for each layer, lowest first; none where the area is not told or is nothing."""
    area = area_of(case)
    return [_need(case.steps[number - 1], area) for number in layers(case, knowledge)] if area else []


def _need(step: Step, area: float) -> Need:
    applied = step.given.get("applied")
    way = table("mixing")["ways"].get(applied.values[0]) if applied and applied.known else None
    try:
        low, high, source = amounts(step.do, way or "", area, 1, spare())
    except Complaint:
        return Need(step.number)
    return Need(step.number, low, high, source)
