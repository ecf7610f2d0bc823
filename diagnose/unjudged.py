"""What a plan leaves unsaid that could bring a serious fault: each open detail is tried with what it might be."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from diagnose.asking import LookAhead
from diagnose.diagnosis import Diagnosis
from diagnose.match import RuleIndex
from diagnose.model import Attribute
from diagnose.rules import Compare
from diagnose.threats import Forecast, Threat
from diagnose.units import KINDS, show

BEYOND = 1.5  # how far past the outermost bound of any rule a quantity is tried


@dataclass(frozen=True, slots=True)
class Blank:
    """A detail that the schedule does not tell. `would`: what it might be, in words, that would bring serious faults,
    with these; `tried` is the value that was tried for each."""

    about: tuple[str | int, ...]
    attribute: Attribute
    would: tuple[tuple[str, tuple[Threat, ...]], ...]
    tried: tuple[str | float, ...]


def blanks(diagnosis: Diagnosis, forecast: Forecast, now: Mapping[str, Threat]) -> list[Blank]:
    """The details worth telling, those first that could bring most."""
    ahead = LookAhead(diagnosis.knowledge, diagnosis.store, diagnosis.case)
    found = []
    for head, attribute in _open(diagnosis):
        would, tried = [], []
        for value, words in _values(attribute, head, diagnosis, forecast.index):
            _, facts = ahead.trying((*head, value))
            brought = [
                threat
                for name, threat in forecast.threats(facts).items()
                if threat.serious and not (name in now and now[name].serious)
            ]
            if brought:
                would.append((words, tuple(brought)))
                tried.append(value)
        if would:
            found.append(Blank(head, attribute, tuple(would), tuple(tried)))
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
            if (of, name) not in said and (of == "air" or attribute.kind not in KINDS):
                yield (of, name), attribute
            continue
        for step in case.steps:
            head = ("step", step.number, name)
            fits = not attribute.steps or step.do in attribute.steps
            # of a product that was not named, only that is asked: all the rest goes with it
            told = step.given.get(attribute.goes_with)
            if fits and head not in said and not (attribute.goes_with and not (told and told.known)):
                yield head, attribute


def _values(
    attribute: Attribute, head: tuple, diagnosis: Diagnosis, index: RuleIndex
) -> Iterator[tuple[str | float, str]]:
    """What to try for it, with its words: its answers, the woods, or quantities on either side of every bound."""
    knowledge = diagnosis.knowledge
    if attribute.kind == "wood":
        yield from ((wood.id, wood.name) for wood in sorted(knowledge.woods.values(), key=lambda wood: wood.id))
    elif attribute.kind == "material":
        return  # a product is asked for by name, or not at all
    elif attribute.kind not in KINDS:
        for value, words in attribute.values.items():
            if any(True for _ in index.keys_of((*head, value))):
                yield value, words
    elif head[0] == "air" or attribute.id in knowledge.step_kinds[diagnosis.case.steps[head[1] - 1].do].asks:
        yield from _between(sorted(_bounds(attribute, head, index)), attribute)


def _between(bounds: list[float], attribute: Attribute) -> Iterator[tuple[float, str]]:
    kind = KINDS[attribute.kind]
    shown = [show(bound, attribute.kind) for bound in bounds]
    if bounds:
        yield max(kind.least, bounds[0] / BEYOND), f"under {shown[0]}"
        for (low, high), (low_words, high_words) in zip(pairwise(bounds), pairwise(shown)):
            yield (low + high) / 2, f"{low_words} to {high_words}"
        yield min(kind.most, bounds[-1] * BEYOND), f"over {shown[-1]}"


def _bounds(attribute: Attribute, head: tuple, index: RuleIndex) -> set[float]:
    """The bounds that rules compare the attribute with."""
    found = set()
    for key in index.keys_of((*head, 1.0)):
        for number in {*index.alone[key], *(number for number, _ in index.joining[key])}:
            for pattern in index.rules[number].when:
                if pattern[0] == head[0] and attribute.id in pattern and isinstance(pattern[-1], Compare):
                    found.add(float(pattern[-1].bound))
    return found
