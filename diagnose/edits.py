"""Schedules that differ from a given one by one change (changes.yaml): what `diagnose plan` tries out.

An edit touches as little as it can; where a step is put in, taken out or moved, the steps are numbered anew.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil

from diagnose import units
from diagnose.case import Case, check_order, spellings
from diagnose.complaint import Complaint
from diagnose.drying import needed_time
from diagnose.facts import WOOD, layers
from diagnose.load_changes import NEEDED_TIME
from diagnose.model import Attribute, Change, Given, Knowledge, Step
from diagnose.rules import Fact

HOUR, DAY = 3600.0, 86400.0


@dataclass(frozen=True, slots=True)
class Edit:
    """A changed schedule. `step` is the step it is about in the schedule as it was (0: none), `value` what is given
    there in words, `minutes` what it costs."""

    change: Change
    step: int
    value: str
    minutes: float
    case: Case


NUMBER_ANEW = ("between", "first", "order", "drop")  # ways of change after which steps have other numbers
THOROUGH = ("product", "order", "drop")  # ways of change that make another schedule of it


def edits(
    case: Case, steps: Collection[int], thorough: Collection[int], facts: Collection[Fact], knowledge: Knowledge
) -> Iterator[Edit]:
    """Every edit of the given steps and of the air, those that make another schedule of it of the steps `thorough`
    only; `facts` are those of the schedule as it is. What cannot be (work on bare wood after a coat) is left out."""
    for change in knowledge.changes.values():
        among = sorted(thorough if change.how in THOROUGH else steps)
        for edit in _edits(change, case, among, facts, knowledge):
            try:
                check_order(edit.case.steps, knowledge)
            except Complaint:
                continue
            yield edit


def _edits(
    change: Change, case: Case, steps: Collection[int], facts: Collection[Fact], knowledge: Knowledge
) -> Iterator[Edit]:
    fitting = [n for n in steps if n and (not change.kinds or case.steps[n - 1].do in change.kinds)]
    lying = layers(case, knowledge)
    match change.how:
        case "air":
            yield from _of_the_air(change, case, knowledge)
        case "set":
            for number in fitting:
                yield from _set(change, case, case.steps[number - 1], knowledge)
        case "wait":
            for number in fitting:
                yield from _wait(change, case, case.steps[number - 1], facts)
        case "product":
            for number in fitting:
                yield from _other_products(change, case, case.steps[number - 1], knowledge)
        case "between":
            for number in (n for n in steps if n in lying):
                put_in = _renumbered([*case.steps[: number - 1], *change.steps, *case.steps[number - 1 :]])
                yield Edit(change, number, "", change.minutes, replace(case, steps=put_in))
        case "first":
            before = next((n - 1 for n in lying), len(case.steps))
            put_in = _renumbered([*case.steps[:before], *change.steps, *case.steps[before:]])
            yield Edit(change, WOOD, "", change.minutes, replace(case, steps=put_in))
        case "order":
            for lower, upper in pairwise(lying):
                if lower in steps or upper in steps:
                    yield Edit(change, upper, str(lower), change.minutes, swapped(case, lower, upper))
        case "drop":
            for number in fitting:
                yield Edit(change, number, "", change.minutes, without(case, number))


def without(case: Case, number: int) -> Case:
    """The schedule without that step."""
    return replace(case, steps=_renumbered([step for step in case.steps if step.number != number]))


def swapped(case: Case, lower: int, upper: int) -> Case:
    """The schedule with two steps in each other's place."""
    steps = list(case.steps)
    steps[lower - 1], steps[upper - 1] = steps[upper - 1], steps[lower - 1]
    return replace(case, steps=_renumbered(steps))


def put_in(case: Case, after: int, step: Step) -> Case:
    """The schedule with a step more, after that of the given number (0: at the very beginning)."""
    return replace(case, steps=_renumbered([*case.steps[:after], step, *case.steps[after:]]))


def with_product(case: Case, number: int, material: str, knowledge: Knowledge) -> Case:
    """The schedule with another product in a step; what was said of the one before goes with it."""
    step = case.steps[number - 1]
    gone = {
        name
        for (of, name), attribute in knowledge.attributes.items()
        if of == "step" and (attribute.goes_with == "product" or name in ("carrier", "ingredients"))
    }
    kept = {name: given for name, given in step.given.items() if name not in gone}
    changed = replace(step, given={**kept, "product": Given((material,), material)})
    return replace(case, steps=(*case.steps[: number - 1], changed, *case.steps[number:]))


def _renumbered(steps: Collection[Step]) -> tuple[Step, ...]:
    return tuple(replace(step, number=number) for number, step in enumerate(steps, 1))


def _set(change: Change, case: Case, step: Step, knowledge: Knowledge) -> Iterator[Edit]:
    attribute = knowledge.attributes["step", change.attribute]
    if attribute.steps and step.do not in attribute.steps:
        return
    was = step.given.get(attribute.id)
    for written in change.values:
        given = read(written, attribute, knowledge)
        if was is None or was.values != given.values:
            changed = case.with_given(f"step {step.number} {attribute.id}", given)
            yield Edit(change, step.number, written, change.minutes, changed)


def _of_the_air(change: Change, case: Case, knowledge: Knowledge) -> Iterator[Edit]:
    """Other air, where the air was given; a plan that says nothing of it is not told to change it."""
    attribute = knowledge.attributes["air", change.attribute]
    was = case.air.get(attribute.id)
    for written in change.values if was and was.known else ():
        given = read(written, attribute, knowledge)
        if was.values != given.values:
            yield Edit(change, WOOD, written, change.minutes, case.with_given(f"air {attribute.id}", given))


def _wait(change: Change, case: Case, step: Step, facts: Collection[Fact]) -> Iterator[Edit]:
    """Other drying times: a longer wait costs its length too, one minute for every three hours."""
    was = step.given.get("dried")
    before = was.values[0] if was and was.known else None
    longer = NEEDED_TIME in change.values
    for written in change.values:
        seconds = needed(step.number, case, facts) if written == NEEDED_TIME else units.parse(written, "time", None, "")
        if seconds is None or before is None or (seconds <= before if longer else seconds >= before):
            continue
        shown = units.show(seconds, "time") if written == NEEDED_TIME else written
        changed = case.with_given(f"step {step.number} dried", Given((seconds,), shown))
        yield Edit(change, step.number, shown, change.minutes + max(0.0, seconds - before) / DAY * 8, changed)


def needed(number: int, case: Case, facts: Collection[Fact]) -> float | None:
    """Seconds that a step needs to dry in the air of the case, by the sum that the rules use; None where its product is
    not known."""
    told: dict[str, list] = {}
    for fact in facts:
        if fact[:2] == ("step", number):
            told.setdefault(fact[2], []).append(fact[3])
    if "needs_dry" not in told:
        return None
    temperature, humidity = (_given(case, name) for name in ("temperature", "humidity"))
    (wet,) = told.get("wet_film", [None])[:1]
    return _rounded_up(needed_time(max(told["needs_dry"]), temperature, humidity, wet, told.get("carrier", ())))


def _given(case: Case, name: str) -> float | None:
    given = case.air.get(name)
    return given.values[0] if given and given.known else None


def _rounded_up(seconds: float) -> float:
    """To a time as a finisher would give it: quarters of an hour below four hours, hours up to two days, then days."""
    unit = 900.0 if seconds <= 4 * HOUR else HOUR if seconds <= 2 * DAY else DAY
    return ceil(round(seconds / unit, 6)) * unit


def _other_products(change: Change, case: Case, step: Step, knowledge: Knowledge) -> Iterator[Edit]:
    was = step.given.get("product")
    if was is None:
        return
    colours = _traits(was.values, "colour", knowledge)
    for material in knowledge.materials.values():
        fits = step.do in material.steps and (material.id,) != was.values
        # a colour is wanted for its look: another that colours in the same way, and never none for some
        same = not colours or colours & _traits((material.id,), "colour", knowledge)
        if fits and same:
            changed = with_product(case, step.number, material.id, knowledge)
            yield Edit(change, step.number, material.name, change.minutes, changed)


def _traits(materials: Collection, name: str, knowledge: Knowledge) -> set[str]:
    known = (knowledge.materials.get(material) for material in materials)
    return {value for thing in known if thing for trait, value in thing.traits if trait == name}


def read(written: str, attribute: Attribute, knowledge: Knowledge) -> Given:
    """A value as it would be written in a case file. Raises Complaint."""
    if attribute.kind in units.KINDS:
        return Given((units.parse(written, attribute.kind, None, attribute.id),), written)
    known: Mapping[str, str] = spellings(attribute, knowledge)
    return Given((known[written],), written)
