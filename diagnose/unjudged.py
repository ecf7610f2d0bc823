"""What a plan leaves unsaid that could bring a serious fault: each open detail is tried with what it might be."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from diagnose.asking import LookAhead
from diagnose.diagnosis import Diagnosis
from diagnose.match import RuleIndex
from diagnose.model import Attribute, Knowledge
from diagnose.rules import Compare
from diagnose.threats import Forecast, Threat
from diagnose.units import KINDS

BEYOND = 1.5  # how far past the outermost bound of any rule a quantity is tried


@dataclass(frozen=True, slots=True)
class Blank:
    """A detail that the schedule does not tell. `would`: each value that would bring serious faults, with these."""

    about: tuple[str | int, ...]
    attribute: Attribute
    would: tuple[tuple[str | float, tuple[Threat, ...]], ...]


def blanks(diagnosis: Diagnosis, forecast: Forecast, now: Mapping[str, Threat]) -> list[Blank]:
    """The details worth telling, those first that could bring most."""
    ahead = LookAhead(diagnosis.knowledge, diagnosis.store, diagnosis.case)
    found = []
    for head, attribute in _open(diagnosis):
        would = []
        for value in _values(attribute, head, diagnosis.knowledge, forecast.index):
            _, facts = ahead.trying((*head, value))
            brought = [
                threat
                for name, threat in forecast.threats(facts).items()
                if threat.serious and not (name in now and now[name].serious)
            ]
            if brought:
                would.append((value, tuple(brought)))
        if would:
            found.append(Blank(head, attribute, tuple(would)))
    return sorted(found, key=_weight)


def _weight(blank: Blank) -> tuple:
    return -max(threat.score for _, brought in blank.would for threat in brought), str(blank.about)


def _open(diagnosis: Diagnosis) -> Iterator[tuple[tuple, Attribute]]:
    """Details that neither the plan nor a material or a wood tells: (head of the fact, attribute)."""
    case, knowledge = diagnosis.case, diagnosis.knowledge
    said = {fact[:-1] for fact in diagnosis.store.facts if fact[0] in ("piece", "air", "step")}
    for (of, name), attribute in sorted(knowledge.attributes.items()):
        if attribute.derived or name in ("do", "ingredients"):
            continue
        if of != "step":
            if (of, name) not in said:
                yield (of, name), attribute
            continue
        for step in case.steps:
            head = ("step", step.number, name)
            fits = not attribute.steps or step.do in attribute.steps
            # of a product that was not named, only that is asked: all the rest goes with it
            told = step.given.get(attribute.goes_with)
            if fits and head not in said and not (attribute.goes_with and not (told and told.known)):
                yield head, attribute


def _values(attribute: Attribute, head: tuple, knowledge: Knowledge, index: RuleIndex) -> list[str | float]:
    """What to try for it: its answers, the materials or woods, or quantities on either side of every bound."""
    if attribute.kind == "wood":
        return sorted(knowledge.woods)
    if attribute.kind == "material":
        return []
    if attribute.kind not in KINDS:
        return [value for value in attribute.values if any(True for _ in index.keys_of((*head, value)))]
    bounds = sorted(_bounds(attribute, head, index))
    if not bounds:
        return []
    inside = [(low + high) / 2 for low, high in pairwise(bounds)]
    kind = KINDS[attribute.kind]
    return [max(kind.least, bounds[0] / BEYOND), *inside, min(kind.most, bounds[-1] * BEYOND)]


def _bounds(attribute: Attribute, head: tuple, index: RuleIndex) -> set[float]:
    """The bounds that rules compare the attribute with."""
    found = set()
    for key in index.keys_of((*head, 1.0)):
        for number in {*index.alone[key], *(number for number, _ in index.joining[key])}:
            for pattern in index.rules[number].when:
                if pattern[0] == head[0] and attribute.id in pattern and isinstance(pattern[-1], Compare):
                    found.add(float(pattern[-1].bound))
    return found
