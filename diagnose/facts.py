"""A case as facts: what was said, and how the steps lie on one another.

Nothing here knows about wood. What a case leaves out becomes ("open", subject, attribute), so that a material may speak
for it; "unknown" is left out in the same way and is never a fact of its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise

from diagnose.case import Case, Given
from diagnose.model import Knowledge, Thing
from diagnose.rules import Fact

WOOD = 0  # the number under the first step


def given_facts(case: Case, knowledge: Knowledge) -> dict[Fact, str]:
    """Every input fact -> where it came from, in words (the user's answer, or file and line)."""
    facts: dict[Fact, str] = {("always",): "every case"}

    def say(given: Given, *head, what: str) -> None:
        origin = f"{what}: {given.written}" + (f" ({given.place})" if given.place else " (answered)")
        for value in given.values:
            facts[(*head, value)] = origin

    of_woods = _brought(knowledge.woods.values())
    for subject, given, brought in (("piece", case.piece, of_woods), ("air", case.air, ())):
        for name, value in _known(given):
            say(value, subject, name, what=f"{subject}, {name}")
        facts.update(_open(subject, given, brought))
    of_materials = _brought(knowledge.materials.values())
    for step in case.steps:
        facts[("step", step.number, "do", step.do)] = f"step {step.number}" + (f" ({step.place})" if step.place else "")
        for name, value in _known(step.given):
            relation = "product" if name == "ingredients" else name
            say(value, "step", step.number, relation, what=f"step {step.number}, {name}")
        facts.update(_open(step.number, step.given, of_materials))
    for name, value in _known(case.findings):
        say(value, "answer", name, what=name)
    for fact in arrangement(case, knowledge):
        facts[fact] = "order of the steps"
    if ("step", "last_of_kind") in knowledge.attributes:
        facts |= dict.fromkeys(last_of_kind(case, knowledge), "order of the steps")
    return facts


def _known(given: Mapping[str, Given]) -> Iterator[tuple[str, Given]]:
    return ((name, value) for name, value in given.items() if value.known)


def _brought(things: Iterable[Thing]) -> list[str]:
    """The traits that any of these brings; only what a thing could speak for need be said to be open."""
    return sorted({trait for thing in things for trait, _ in thing.traits})


def _open(subject: str | int, given: Mapping[str, Given], brought: Iterable[str]) -> dict[Fact, str]:
    return {("open", subject, name): "not stated" for name in brought if not (name in given and given[name].known)}


def layers(case: Case, knowledge: Knowledge) -> list[int]:
    """Numbers of the steps that still lie on the wood, lowest first; stripping takes off all below it."""
    lying: list[int] = []
    for step in case.steps:
        if knowledge.step_kinds[step.do].strips:
            lying = []
        elif knowledge.step_kinds[step.do].layer:
            lying.append(step.number)
    return lying


def arrangement(case: Case, knowledge: Knowledge) -> Iterator[Fact]:
    """over (directly), after (any later) and between (work done on the lower of two neighbouring layers)."""
    stack = [WOOD, *layers(case, knowledge)]
    numbers = [step.number for step in case.steps]
    for lower, upper in pairwise(stack):
        yield ("over", upper, lower)
        for number in numbers:
            if lower < number < upper:
                yield ("between", number, upper, lower)
    for later in numbers:
        for earlier in numbers:
            if earlier < later:
                yield ("after", later, earlier)


def last_of_kind(case: Case, knowledge: Knowledge) -> Iterator[Fact]:
    """Of work that leaves no layer: whether it was the last of its kind stated before the next layer."""
    later: set[str] = set()
    for step in reversed(case.steps):
        if knowledge.step_kinds[step.do].layer:
            later = set()
        else:
            yield ("step", step.number, "last_of_kind", "no" if step.do in later else "yes")
            later.add(step.do)
