"""Which coats may lie on the dried colour of a bottle: each tried by the behaviour rules, with and without a barrier.

What the sheet leaves open is tried both ways: with only what is surely so, and with everything that could be so. A coat
is safe where nothing counts against it even then, unsafe where something does even on what is sure, else not told.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagnose.case import Case
from diagnose.computed import compute
from diagnose.facts import given_facts
from diagnose.label import BOTTLE, COATS, Bottle
from diagnose.match import Store, close
from diagnose.model import Given, Knowledge, Step, Thing
from diagnose.rules import Fact, Firing

SEALER = "sealer"
WEEK = 604800.0
ASSUMED = {"excess": "wiped", "dried": WEEK}  # done as it should be: what is asked is the meeting of the two


@dataclass(frozen=True, slots=True)
class Harm:
    """What counts against a coat: the condition, and the rule that found it."""

    condition: str
    does: str
    rule: str
    because: str
    source: str


@dataclass(frozen=True, slots=True)
class Under:
    """One coat over the bottle: `verdict` is safe, barrier (needs one) or open (not told).

    `barriers`: materials with which between it is surely safe; `wants`: values of attributes that would settle it;
    `eases`: what is said where the harm is bearable."""

    coat: Thing
    verdict: str
    harms: tuple[Harm, ...]
    barriers: tuple[str, ...]
    wants: tuple[tuple[str, str], ...]
    eases: tuple[str, ...] = ()


def under_coats(bottle: Bottle) -> tuple[Under, ...]:
    """Every coat of label.yaml over the bottle, in that order; none where it leaves no coat or its use is not told."""
    if bottle.use not in bottle.knowledge.step_kinds:
        return ()
    words, materials = bottle.knowledge.label, bottle.knowledge.materials
    surely, possibly = _given(bottle, False), _given(bottle, True)
    sound = [name for name in words.barriers if not _harms(bottle, possibly, (materials[name],))[0]]
    return tuple(_under(bottle, materials[name], surely, possibly, sound) for name in words.coats)


def _under(bottle: Bottle, coat: Thing, surely: Mapping, possibly: Mapping, sound: Iterable[str]) -> Under:
    harms, _, eases = _harms(bottle, surely, (coat,))
    could, premises, _ = _harms(bottle, possibly, (coat,))
    if not could:
        return Under(coat, "safe", (), (), ())
    materials = bottle.knowledge.materials
    barriers = tuple(
        name for name in sound if name != coat.id and not _harms(bottle, possibly, (materials[name], coat))[0]
    )
    if harms:
        return Under(coat, "barrier", harms, barriers, (), eases)
    return Under(coat, "open", could, barriers, _wants(bottle, surely, premises))


def _wants(bottle: Bottle, surely: Mapping[str, Given], premises: Iterable[Fact]) -> tuple[tuple[str, str], ...]:
    """Facts of the bottle that the harm rests on and that are not sure."""
    sure = {(name, value) for name, given in surely.items() for value in given.values}
    mine = {(fact[2], fact[3]) for fact in premises if fact[:2] == ("step", BOTTLE) and fact[2] != "do"}
    return tuple(sorted(mine - sure))


def _given(bottle: Bottle, all_that_could: bool) -> dict[str, Given]:
    """The bottle as a step: what is surely so of it, or everything that could be."""
    given = {}
    for told in bottle.told:
        attribute = bottle.knowledge.attributes["step", told.answer.attribute]
        values = (*told.values, *told.open) if all_that_could and told.answer.opposite else told.values
        values = tuple(value for value in attribute.values if value in values)
        if values:
            given[attribute.id] = Given(values, ", ".join(values))
    if all_that_could and bottle.could_be:
        given["product"] = Given(bottle.could_be, ", ".join(bottle.could_be))
    step_kind = bottle.step.do
    for name, value in ASSUMED.items():
        attribute = bottle.knowledge.attributes["step", name]
        if not attribute.steps or step_kind in attribute.steps:
            given[name] = Given((value,), str(value))
    return given


def _harms(
    bottle: Bottle, given: Mapping[str, Given], coats: tuple[Thing, ...]
) -> tuple[tuple[Harm, ...], frozenset[Fact], tuple[str, ...]]:
    """What counts against these coats, one on the other, over the bottle; the facts that it rests on; what eases it."""
    knowledge = bottle.knowledge
    steps = [Step(BOTTLE, bottle.step.do, given)]
    for number, coat in enumerate(coats, BOTTLE + 1):
        kind = SEALER if number <= len(coats) and SEALER in coat.steps else _kind(coat)
        steps.append(Step(number, kind, {"product": Given((coat.id,), coat.id)}))
    firings = _run(Case(id="over the bottle", steps=tuple(steps)), bottle, knowledge)
    holds: dict[str, Firing] = {}
    for firing in sorted(firings, key=lambda one: one.rule):
        if firing.fact[0] == "condition" and firing.fact[2] == "holds":
            holds.setdefault(firing.fact[1], firing)
    found = {name: holds[name] for name in knowledge.label.harms if name in holds}
    eases = tuple(says for name, says in knowledge.label.eases.items() if name in holds)
    harms = []
    for condition, firing in found.items():
        rule = bottle.by.rule(firing.rule)
        harms.append(Harm(condition, knowledge.label.harms[condition], rule.name, rule.because, rule.source))
    return tuple(harms), frozenset(fact for firing in found.values() for fact in firing.premises), eases


def _kind(coat: Thing) -> str:
    return COATS if COATS in coat.steps or not coat.steps else coat.steps[0]


def _run(case: Case, bottle: Bottle, knowledge: Knowledge) -> list[Firing]:
    store = Store(bottle.by.index)
    facts = given_facts(case, knowledge)
    firings = close(store, facts)
    computed = compute(store.facts, case, knowledge)
    return [*firings, *close(store, [firing.fact for firing in computed])]
