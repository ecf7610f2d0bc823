"""Words for plans: what is wrong where, and what a change is called."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from diagnose.edits import Edit
from diagnose.planning import Danger, Plan, Way
from diagnose.section import Place
from diagnose.threats import grounds
from diagnose.unjudged import Blank

BROUGHT = 1  # grounds of faults that a change may bring and still be told


def grouped(dangers: Iterable[Danger]) -> list[list[Danger]]:
    """Dangers that sit at one place and rest on the same steps, the most pressing of each group first."""
    groups: dict[tuple[Place, frozenset[int]], list[Danger]] = {}
    loose = []
    for danger in dangers:
        if danger.place:
            groups.setdefault((danger.place, danger.steps), []).append(danger)
        else:
            loose.append([danger])
    return sorted([*groups.values(), *loose], key=lambda group: (not group[0].threat.serious, -group[0].threat.score))


def verdict(plan: Plan, blanks: Sequence[Blank]) -> str:
    """Sound or not, in a sentence; faults that sit at one place and rest on the same steps are counted once."""
    count = sum(group[0].threat.serious for group in grouped(plan.faults))
    if count:
        return f"Not sound: {count} serious fault{'s' if count > 1 else ''}."
    if plan.unnamed:
        numbers = " and ".join(str(step.number) for step in plan.unnamed)
        steps = f"steps {numbers} are" if len(plan.unnamed) > 1 else f"step {numbers} is"
        return f"Cannot be judged: it is not told what {steps}. No serious fault in what is told."
    count = len(grouped(plan.faults))
    smaller = f", with {count} smaller faults" if count > 1 else ", with one smaller fault" if count else ""
    untold = " as far as it is told" if blanks else ""
    return f"Sound{untold}{smaller}."


def place_words(place: Place) -> str:
    said = [f"between step {upper} and {below(lower)}" for lower, upper in sorted(place.interfaces)]
    said += [f"step {number}" if number else "the wood" for number in sorted({*place.layers, *place.work})]
    return ", ".join(said) or "the schedule as a whole"


def below(number: int) -> str:
    return f"step {number}" if number else "the wood"


def way_words(ways: Iterable[Way], plan: Plan) -> list[str]:
    """Each change once, the first value that does; of other products all that do as well."""
    kept: dict[tuple, list[Way]] = {}
    safe = [way for way in ways if way.safe]
    clean = any(grounds(way.brings) <= BROUGHT for way in safe)
    for way in safe:
        # what trades one fault for several is told where there is nothing else
        if grounds(way.brings) <= BROUGHT or not clean:
            mark = (way.edit.change.id, way.edit.steps, way.left is None)
            same = kept.setdefault(mark, [])
            if not same or (way.edit.change.how == "product" and way.brings == same[0].brings):
                same.append(way)
    gone = {mark[:2] for mark in kept if mark[2]}
    return [_way(same, plan) for mark, same in kept.items() if mark[2] or mark[:2] not in gone]


def _way(same: Sequence[Way], plan: Plan) -> str:
    way = same[0]
    edit = way.edit
    numbers = " and ".join(map(str, edit.steps))
    several = f"Steps {numbers}" if len(edit.steps) > 1 else f"Step {numbers}"
    where = {"air": "The air", "first": "Before the first layer", "between": f"Under {several.lower()}"}
    led = where.get(edit.change.how, several)
    if edit.change.how == "product":
        names = [one.edit.value for one in same]
        said = f"{led}: {_small(edit.change.name)} ({', '.join(names[:5])}{', ...' if len(names) > 5 else ''})"
    else:
        said = f"{led}: {done_words(edit, plan)}"
    tail = [] if way.left is None else ["lessens it only"]
    tail += [f"brings {'; '.join(threat.cause.name for threat in way.brings)}"] if way.brings else []
    return f"{said} ({'; '.join(tail)})." if tail else f"{said}."


def done_words(edit: Edit, plan: Plan) -> str:
    """A change in words, without the step it is about."""
    said = _small(edit.change.name)
    if edit.change.how == "product":
        return f"{said} ({edit.value})"
    if edit.change.how not in ("wait", "air") and len(edit.change.values) < 2:
        return said
    attribute = plan.diagnosis.knowledge.attributes.get(("step", edit.change.attribute))
    return f"{said}: {attribute.values.get(edit.value, edit.value) if attribute else edit.value}"


def _small(name: str) -> str:
    return f"{name[0].lower()}{name[1:]}"
