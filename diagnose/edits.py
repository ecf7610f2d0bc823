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
from diagnose.complaint import Complaint, shown, would_accept
from diagnose.drying import needed_time
from diagnose.facts import WOOD, layers
from diagnose.load_changes import NEEDED_TIME
from diagnose.model import UNKNOWN, Attribute, Change, Given, Knowledge, Step
from diagnose.reading import as_name
from diagnose.rules import Compare, Fact

HOUR, DAY = 3600.0, 86400.0


@dataclass(frozen=True, slots=True)
class Edit:
    """A changed schedule. `steps` are those it is about in the schedule as it was (none: the air, or before all of
    them), `value` what is given there in words, `minutes` what it costs."""

    change: Change
    steps: tuple[int, ...]
    value: str
    minutes: float
    case: Case

    @property
    def step(self) -> int:
        """The lowest of its steps; 0 where it has none."""
        return min(self.steps, default=WOOD)


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
    everywhere = [step for step in case.steps if _fits(change, step)]
    fitting = [step for step in everywhere if step.number in steps]
    lying = layers(case, knowledge)
    match change.how:
        case "air":
            yield from _of_the_air(change, case, knowledge)
        case "set":
            for written in change.values:
                wanted = _settable(change, written, everywhere, knowledge)
                yield from _each_and_all(change, case, written, wanted, steps)
        case "wait":
            for written in change.values:
                wanted = _waits(change, case, written, everywhere, facts)
                yield from _each_and_all(change, case, written, wanted, steps)
        case "product":
            for step in fitting:
                yield from _other_products(change, case, step, knowledge)
        case "between":
            under = [step.number for step in case.steps if step.number in steps and step.number in lying]
            for numbers in [*([n] for n in under), *([under] if len(under) > 1 else [])]:
                made = list(case.steps)
                for number in reversed(numbers):
                    made[number - 1 : number - 1] = change.steps
                minutes = change.minutes * len(numbers)
                yield Edit(change, tuple(numbers), "", minutes, replace(case, steps=_renumbered(made)))
        case "first":
            before = next((n - 1 for n in lying), len(case.steps))
            put_in = _renumbered([*case.steps[:before], *change.steps, *case.steps[before:]])
            yield Edit(change, (), "", change.minutes, replace(case, steps=put_in))
        case "order":
            for lower, upper in pairwise(lying):
                both = case.steps[lower - 1], case.steps[upper - 1]
                if (lower in steps or upper in steps) and all(_fits(change, step) for step in both):
                    yield Edit(change, (lower, upper), "", change.minutes, swapped(case, lower, upper))
        case "drop":
            for step in fitting:
                yield Edit(change, (step.number,), "", change.minutes, without(case, step.number))


def _fits(change: Change, step: Step) -> bool:
    """Whether the change is for such a step, and it is as it has to be for the change to make sense."""
    return (not change.kinds or step.do in change.kinds) and _so(change, step.given)


def _so(change: Change, given: Mapping[str, Given]) -> bool:
    for only in change.only:
        told = given.get(only.attribute)
        if told is None or not told.known:
            return False
        if only.sign and not Compare(only.sign, only.bound).holds(told.values[0]):
            return False
        if only.values and not set(told.values) & set(only.values):
            return False
    return True


def _each_and_all(
    change: Change, case: Case, written: str, wanted: Mapping[int, tuple[str, Given]], steps: Collection[int]
) -> Iterator[Edit]:
    """The change on each of `steps`, and on all at once that are told to be otherwise, since one fault may rest on any
    of several; `wanted`: number -> (attribute, what to give)."""
    told = [n for n, (name, _) in wanted.items() if name in case.steps[n - 1].given]
    together = [told] if len(told) > 1 and set(told) & set(steps) else []
    for numbers in [*([number] for number in wanted if number in steps), *together]:
        made, longer = case, 0.0
        for number in numbers:
            name, given = wanted[number]
            before = case.steps[number - 1].given.get(name)
            if change.how == "wait" and before:  # a longer wait costs its length too, one minute for every three hours
                longer += max(0.0, given.values[0] - before.values[0]) / DAY * 8
            made = made.with_given(f"step {number} {name}", given)
        alike = {wanted[number][1].written for number in numbers}
        value = alike.pop() if len(alike) == 1 else "as long as each needs"
        yield Edit(change, tuple(numbers), value, change.minutes * len(numbers) + longer, made)


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


def _settable(
    change: Change, written: str, steps: Collection[Step], knowledge: Knowledge
) -> dict[int, tuple[str, Given]]:
    """The steps whose attribute is not that yet."""
    attribute = knowledge.attributes["step", change.attribute]
    given = read(written, attribute, knowledge)
    return {
        step.number: (attribute.id, given)
        for step in steps
        if (not attribute.steps or step.do in attribute.steps)
        and not (attribute.id in step.given and step.given[attribute.id].values == given.values)
    }


def _of_the_air(change: Change, case: Case, knowledge: Knowledge) -> Iterator[Edit]:
    """Other air, where the air was given; a plan that says nothing of it is not told to change it."""
    attribute = knowledge.attributes["air", change.attribute]
    was = case.air.get(attribute.id)
    for written in change.values if was and was.known and _so(change, case.air) else ():
        given = read(written, attribute, knowledge)
        if was.values != given.values:
            yield Edit(change, (), written, change.minutes, case.with_given(f"air {attribute.id}", given))


def _waits(
    change: Change, case: Case, written: str, steps: Collection[Step], facts: Collection[Fact]
) -> dict[int, tuple[str, Given]]:
    """The steps whose drying time that would lengthen, or shorten where the change is to go on sooner."""
    longer = NEEDED_TIME in change.values
    found = {}
    for step in steps:
        was = step.given.get("dried")
        seconds = needed(step.number, case, facts) if written == NEEDED_TIME else units.parse(written, "time", None, "")
        if was is None or not was.known or seconds is None:
            continue
        if (seconds > was.values[0]) == longer and seconds != was.values[0]:
            said = units.show(seconds, "time") if written == NEEDED_TIME else written
            found[step.number] = ("dried", Given((seconds,), said))
    return found


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
            yield Edit(change, (step.number,), material.name, change.minutes, changed)


def _traits(materials: Collection, name: str, knowledge: Knowledge) -> set[str]:
    known = (knowledge.materials.get(material) for material in materials)
    return {value for thing in known if thing for trait, value in thing.traits if trait == name}


def read(written: str, attribute: Attribute, knowledge: Knowledge) -> Given:
    """A value as it would be written in a case file. Raises Complaint."""
    word = as_name(written)
    if word in (UNKNOWN, "not_known"):
        return Given((UNKNOWN,), UNKNOWN)
    if attribute.kind in units.KINDS:
        return Given((units.parse(written, attribute.kind, None, attribute.id),), written)
    known = spellings(attribute, knowledge)
    if word not in known:
        raise Complaint(None, f"{attribute.id}: {shown(written)} is not known", would_accept(word, known))
    return Given((known[word],), known[word])
