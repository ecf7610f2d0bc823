"""Which coats may lie on what a bottle leaves: each tried by the behaviour rules, with and without a barrier.

What counts against a coat are the conditions that label.yaml names, and every serious fault of the schedule
(threats.py) that rests on both steps; one that sanding between them takes away asks for scuffing. Faults that weigh
less are told.

What the sheet leaves open is tried both ways: with only what is surely so, and with everything that could be so. A coat
is safe where nothing counts against it even then, unsafe where something does even on what is sure, else not told.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from diagnose.case import Case
from diagnose.computed import reckoned
from diagnose.facts import given_facts
from diagnose.label import BOTTLE, COATS, Bottle
from diagnose.match import Store, close
from diagnose.model import Given, Knowledge, Step, Thing
from diagnose.rules import Fact, Firing
from diagnose.threats import FAULT, HOLDS, Forecast

SEALER, SANDING = "sealer", "sanding"
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
    `eases`: what is said where the harm is bearable; `scuff`: it holds where it is scuffed first; `minds`: faults that
    weigh less."""

    coat: Thing
    verdict: str
    harms: tuple[Harm, ...]
    barriers: tuple[str, ...]
    wants: tuple[tuple[str, str], ...]
    eases: tuple[str, ...] = ()
    scuff: bool = False
    minds: tuple[Harm, ...] = ()


class Met(NamedTuple):
    """What coats meet over the bottle: what counts against them with the facts that it rests on, what eases it, and
    faults that weigh less; `scuff`: sanding took something away."""

    harms: tuple[Harm, ...]
    premises: frozenset[Fact]
    eases: tuple[str, ...]
    minds: tuple[Harm, ...]
    scuff: bool


def under_coats(bottle: Bottle) -> tuple[Under, ...]:
    """Every coat of label.yaml over the bottle, in that order; none where it leaves no coat or its use is not told."""
    if bottle.use not in bottle.knowledge.step_kinds:
        return ()
    words, materials = bottle.knowledge.label, bottle.knowledge.materials
    surely, possibly = _given(bottle, False), _given(bottle, True)
    forecast = Forecast(bottle.knowledge, bottle.by.index)
    sound = [name for name in words.barriers if not _met(bottle, possibly, (materials[name],), forecast).harms]
    return tuple(_under(bottle, materials[name], surely, possibly, sound, forecast) for name in words.coats)


def _under(
    bottle: Bottle, coat: Thing, surely: Mapping, possibly: Mapping, sound: Iterable[str], forecast: Forecast
) -> Under:
    met, could = _met(bottle, surely, (coat,), forecast), _met(bottle, possibly, (coat,), forecast)
    scuff = met.scuff or could.scuff
    if not could.harms:
        return Under(coat, "safe", (), (), (), (), scuff, met.minds)
    materials = bottle.knowledge.materials
    barriers = tuple(
        name
        for name in sound
        if name != coat.id and not _met(bottle, possibly, (materials[name], coat), forecast).harms
    )
    if met.harms:
        return Under(coat, "barrier", met.harms, barriers, (), met.eases, scuff, met.minds)
    return Under(coat, "open", could.harms, barriers, _wants(bottle, surely, could.premises), (), scuff, met.minds)


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


def _met(bottle: Bottle, given: Mapping[str, Given], coats: tuple[Thing, ...], forecast: Forecast) -> Met:
    """What meets these coats, one on the other, over the bottle, done as it should be."""
    knowledge = bottle.knowledge
    holds = _holds(bottle, given, coats, ())
    found = {name: holds[name] for name in knowledge.label.harms if name in holds}
    faults = {name: _weight(name, forecast) for name in holds if name not in found and _is_fault(name, holds, forecast)}
    scuffed = _holds(bottle, given, coats, (SANDING,)) if faults and SANDING in knowledge.step_kinds else holds
    left = {name: weight for name, weight in faults.items() if name in scuffed}
    serious = {name: holds[name] for name, weight in left.items() if weight >= forecast.serious_pull}
    light = [name for name in left if name not in serious]
    against = {**found, **serious}
    return Met(
        tuple(_harm(name, firing, bottle) for name, firing in against.items()),
        frozenset(fact for firing in against.values() for fact in firing.premises),
        tuple(says for name, says in knowledge.label.eases.items() if name in holds),
        tuple(_harm(name, holds[name], bottle) for name in sorted(light)),
        len(left) < len(faults),
    )


def _harm(condition: str, firing: Firing, bottle: Bottle) -> Harm:
    rule = bottle.by.rule(firing.rule)
    says = bottle.knowledge.conditions[condition].says.rstrip(".")
    does = bottle.knowledge.label.harms.get(condition) or says[:1].lower() + says[1:]
    return Harm(condition, does, rule.name, rule.because, rule.source)


def _weight(condition: str, forecast: Forecast) -> int:
    """The most that the condition puts on a cause. One weight at a time: what else holds must not make it lighter."""
    return max((link.weights.get(HOLDS, 0) for _, link in forecast.links(condition)), default=0)


def _is_fault(condition: str, holds: Mapping[str, Firing], forecast: Forecast) -> bool:
    """Whether it is a fault of the schedule that rests on the bottle and on what lies over it."""
    fault = forecast.knowledge.conditions[condition].in_plan == FAULT and _weight(condition, forecast) > 0
    steps = {step for fact in holds[condition].premises for step in _steps(fact)}
    return fault and BOTTLE in steps and len(steps) > 1


def _steps(fact: Fact) -> tuple[int, ...]:
    if fact[0] == "step":
        return (fact[1],)
    return tuple(one for one in fact[1:] if isinstance(one, int) and one) if fact[0] == "over" else ()


def _holds(
    bottle: Bottle, given: Mapping[str, Given], coats: tuple[Thing, ...], between: tuple[str, ...]
) -> dict[str, Firing]:
    """The conditions that hold with these coats over the bottle, work of the kinds `between` first."""
    steps = [Step(BOTTLE, bottle.step.do, given)]
    steps += [Step(number, kind, {}) for number, kind in enumerate(between, BOTTLE + 1)]
    last = len(steps) + len(coats)
    for number, coat in enumerate(coats, len(steps) + 1):
        kind = SEALER if number < last and SEALER in coat.steps else _kind(coat)
        steps.append(Step(number, kind, {"product": Given((coat.id,), coat.id)}))
    firings = _run(Case(id="over the bottle", steps=tuple(steps)), bottle, bottle.knowledge)
    holds: dict[str, Firing] = {}
    for firing in sorted(firings, key=lambda one: one.rule):
        if firing.fact[0] == "condition" and firing.fact[2] == "holds":
            holds.setdefault(firing.fact[1], firing)
    return holds


def _kind(coat: Thing) -> str:
    return COATS if COATS in coat.steps or not coat.steps else coat.steps[0]


def _run(case: Case, bottle: Bottle, knowledge: Knowledge) -> list[Firing]:
    store = Store(bottle.by.index)
    facts = given_facts(case, knowledge)
    firings = close(store, facts)
    return [*firings, *close(store, [one.fact for one in reckoned(store.facts, case, knowledge)])]
