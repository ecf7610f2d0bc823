"""A cross-section of the piece: its layers from the wood up, and where in them the first cause sits.

The place is read off the trace: a weighed condition that rests on ("over", upper, lower) points at the interface of
the two, one that rests on a step at its layer, one that rests on the wood at the wood. The heaviest of those in favour
of the cause decide. Where none points anywhere, the kinds of step say what they are the seat of (steps.yaml); where
that does not tell either, nothing is marked.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from diagnose.diagnosis import Diagnosis
from diagnose.facts import WOOD, layers
from diagnose.model import Cause, Knowledge
from diagnose.rules import Fact
from diagnose.trace import Trace
from diagnose.words import fact_words

BESIDE = ("none_before", "none_after")  # relations that speak of one step; the others speak of two


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer, by the number of its step (0 is the wood); `work`: what was done on it before the next layer came."""

    number: int
    work: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Place:
    """Numbers of layers and of work, and interfaces as (lower, upper)."""

    layers: frozenset[int] = frozenset()
    interfaces: frozenset[tuple[int, int]] = frozenset()
    work: frozenset[int] = frozenset()

    def __bool__(self) -> bool:
        return bool(self.layers or self.interfaces or self.work)

    def __or__(self, other: Place) -> Place:
        return Place(self.layers | other.layers, self.interfaces | other.interfaces, self.work | other.work)


@dataclass(frozen=True, slots=True)
class Section:
    """Layers from the wood up, where the failure sits, and why that is thought.

    `gone` are steps whose layer was taken off again; `told` is "trace" where the weighed facts in `by` point there,
    "kind" where only the kind of trouble does, and "" where nothing is marked.
    """

    layers: tuple[Layer, ...]
    gone: tuple[int, ...]
    failing: Place
    told: str
    why: str
    by: tuple[Fact, ...] = field(default=())


def section(diagnosis: Diagnosis) -> Section:
    """The cross-section of the case with the place of its first cause."""
    case, knowledge = diagnosis.case, diagnosis.knowledge
    lying = [WOOD, *layers(case, knowledge)]
    steps = [step.number for step in case.steps]
    gone = tuple(n for n in steps if n not in lying and knowledge.step_kinds[case.steps[n - 1].do].layer)
    uppers = [*lying[1:], len(steps) + 1]
    drawn = tuple(
        Layer(lower, tuple(n for n in steps if lower < n < upper and n not in gone))
        for lower, upper in zip(lying, uppers)
    )
    return Section(drawn, gone, *_where(diagnosis, frozenset(lying)))


def _where(diagnosis: Diagnosis, lying: frozenset[int]) -> tuple[Place, str, str, tuple[Fact, ...]]:
    cause = diagnosis.first.cause
    if cause is None:
        return Place(), "", "Nothing in this base fits well enough, so no place is marked.", ()
    found: dict[int, dict[Fact, Place]] = {}
    for entry in diagnosis.first.ledger:
        for fact in entry.facts:
            place = place_of(fact, diagnosis, lying, cause)
            if entry.weight > 0 and place:
                found.setdefault(entry.weight, {})[fact] = place
    if found:
        heaviest = found[max(found)]
        place = Place()
        for one in heaviest.values():
            place |= one
        said = "; ".join(fact_words(fact, diagnosis.knowledge, diagnosis.case) for fact in heaviest)
        return place, "trace", f"It is placed by what weighed: {said}.", tuple(heaviest)
    seats = _seats(cause.stage, cause.family, diagnosis.knowledge)
    place = Place(frozenset(n for n in lying if _kind(n, diagnosis) in seats))
    if place:
        several = len(place.layers) > 1
        tail = " One of the layers marked; which of them, nothing said tells." if several else ""
        return place, "kind", f"It is placed by the kind of trouble alone.{tail}", ()
    return Place(), "", "Where in the layers it sits cannot be told from what is known, so no place is marked.", ()


def place_of(fact: Fact, diagnosis: Diagnosis, lying: frozenset[int], cause: Cause) -> Place:
    """Where one fact that weighs on `cause` points: what its rule rested on, and what it could have rested on just as
    well. `lying`: the layers, the wood among them."""
    if fact[0] != "condition":
        return Place()
    trace = diagnosis.trace
    premises = set(given_below(fact, trace))
    over = {(p[2], p[1]) for p in premises if p[0] == "over"}
    if over:
        return Place(interfaces=frozenset(_alike(premises, over, diagnosis, lying)))
    steps = {p[1] for p in premises if p[0] == "step" or p[0] in BESIDE}
    if not steps:
        wood = any(p[0] == "piece" and _of_the_wood(p, trace) for p in premises)
        return Place(layers=frozenset([WOOD])) if wood else Place()
    seats = _seats(cause.stage, cause.family, diagnosis.knowledge)
    seated = {n for n in steps & lying if _kind(n, diagnosis) in seats}
    of_layers = (seated if len(steps) > 1 and seated else steps) & lying
    if len(steps) == 1:
        of_layers = {n for (n,) in _alike(premises, {(n,) for n in of_layers}, diagnosis, lying)}
    return Place(layers=frozenset(of_layers), work=frozenset(steps - lying) if not of_layers else frozenset())


def given_below(fact: Fact, trace: Trace) -> Iterator[Fact]:
    """What a condition's rule rested on, conditions among it opened up."""
    for premise in trace.premises(fact):
        if premise[0] == "condition":
            yield from given_below(premise, trace)
        else:
            yield premise


def _alike(
    premises: Iterable[Fact], spots: Iterable[tuple[int, ...]], diagnosis: Diagnosis, lying: frozenset[int]
) -> Iterator[tuple[int, ...]]:
    """`spots`, and those others that all of `premises` hold for too: the trace shows one way of several."""
    trace, spots = diagnosis.trace, set(spots)
    pairs = {(p.fact[2], p.fact[1]) for p in trace.of("over")}
    for spot in sorted(spots):
        yield spot
        others = pairs if len(spot) == 2 else {(n,) for n in lying if n}
        for other in sorted(others - spots):
            as_other = dict(zip(spot, other))
            if len(spots) == 1 and all(_moved(p, as_other) in trace for p in premises):
                yield other


def _moved(fact: Fact, numbers: dict[int, int]) -> Fact:
    """`fact`, spoken of other steps."""
    count = {"step": 1, "none_before": 1, "none_after": 1, "over": 2, "after": 2, "none_between": 2, "between": 3}
    last = count.get(str(fact[0]), 0)
    return (fact[0], *(numbers.get(n, n) for n in fact[1 : last + 1]), *fact[last + 1 :])


def _of_the_wood(fact: Fact, trace: Trace) -> bool:
    return fact[1] == "wood" or any(step.fact[:2] == ("piece", "wood") for step in trace.below([fact]))


def _seats(stage: str, family: str, knowledge: Knowledge) -> frozenset[str | int]:
    """Kinds of step in whose layer causes of that stage and family sit; WOOD for the wood."""
    kinds = [k for k in knowledge.step_kinds.values() if stage in k.seat_of or f"{stage}/{family}" in k.seat_of]
    return frozenset(kind.id if kind.layer else WOOD for kind in kinds)


def _kind(number: int, diagnosis: Diagnosis) -> str | int:
    return diagnosis.case.steps[number - 1].do if number else WOOD
