"""What a schedule that has not been carried out could fail by: the same rules forward, without any finding.

Each condition that holds weighs on causes as it does in a diagnosis. Two kinds of weight are left out, since they tell
causes apart where something has failed and bring no failure: that of answers, and what speaks for a cause because
something is ruled out.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from diagnose.case import Case
from diagnose.complaint import Complaint
from diagnose.computed import reckoned
from diagnose.facts import given_facts
from diagnose.ledger import counted, score
from diagnose.match import RuleIndex, Store, close
from diagnose.model import Cause, Knowledge, Link
from diagnose.rules import Fact

FIGURES = ("plan_worth_telling", "plan_often_enough", "plan_too_rare", "plan_serious")  # rules of strategy.yaml
UNLISTED_SCORE = 0  # where "none of the causes in this base" stands
HOLDS, RULED_OUT = "holds", "ruled_out"
FAULT, EXPOSURE, GUARD = "fault", "exposure", "guard"


@dataclass(frozen=True, slots=True)
class Sign:
    """A condition that weighs on a cause, with its decibans and the link that says why."""

    condition: str
    status: str
    decibans: int
    link: Link

    @property
    def fact(self) -> Fact:
        return ("condition", self.condition, self.status)


@dataclass(frozen=True, slots=True)
class Threat:
    """A cause that the schedule could fail by. `pull`: decibans that its conditions put on the cause; `score`: with how
    often the cause is met. `fault`: something in the schedule brings it, not only the wood, the place or the finish."""

    cause: Cause
    score: int
    pull: int
    signs: tuple[Sign, ...]
    fault: bool
    serious: bool


def grounds(threats: Iterable[Threat]) -> int:
    """How many conditions they rest on mainly: what one condition brings is one trouble, whatever it is called."""
    return len({max(threat.signs, key=lambda sign: sign.decibans).condition for threat in threats})


def _figure(knowledge: Knowledge, name: str) -> float:
    rule = knowledge.strategies.get(name)
    if rule is None or rule.figure is None:
        raise Complaint(None, f"the strategy rule '{name}' with its `figure:` is missing", "plans are weighed by it")
    return rule.figure


class Forecast:
    """A knowledge base made ready for looking at schedules."""

    def __init__(self, knowledge: Knowledge, index: RuleIndex):
        self.knowledge = knowledge
        self.index = index.only(("condition", "step", "piece", "air"))
        self.told_pull, self.told_score, self.least_score, self.serious_pull = (
            _figure(knowledge, name) for name in FIGURES
        )

    @cached_property
    def _links(self) -> Mapping[str, list[tuple[Cause, Link]]]:
        found: dict[str, list[tuple[Cause, Link]]] = {}
        for cause in self.knowledge.causes.values():
            for link in cause.links:
                if link.about == "condition":
                    found.setdefault(link.subject, []).append((cause, link))
        return found

    def links(self, condition: str) -> list[tuple[Cause, Link]]:
        """What a condition weighs on, and by which link."""
        return self._links.get(condition, [])

    def facts(self, case: Case) -> Collection[Fact]:
        """All that follows from a schedule, its findings left aside."""
        case = replace(case, findings={})
        store = Store(self.index)
        close(store, given_facts(case, self.knowledge))
        close(store, [one.fact for one in reckoned(store.facts, case, self.knowledge)])
        return store.facts

    def threats(self, facts: Iterable[Fact]) -> dict[str, Threat]:
        """Cause -> what threatens by it, most pressing first; what is not worth telling is left out."""
        met: dict[str, dict[tuple[str, str], int]] = {}
        for fact in facts:
            if fact[0] == "condition":
                for cause, link in self._links.get(fact[1], ()):
                    weight = link.weights.get(fact[2], 0)
                    if weight < 0 or (weight > 0 and fact[2] == HOLDS):
                        of_cause = met.setdefault(cause.id, {})
                        # where one step brings a condition and another rules it out, what speaks for the cause counts
                        of_cause[cause.id, link.id] = max(weight, of_cause.get((cause.id, link.id), weight))
        found = [self._threat(self.knowledge.causes[name], links) for name, links in met.items()]
        told = [threat for threat in found if threat]
        return {t.cause.id: t for t in sorted(told, key=lambda t: (not t.fault, -t.score, -t.pull, t.cause.id))}

    def _threat(self, cause: Cause, met: Mapping[tuple[str, str], int]) -> Threat | None:
        total = score(cause, met)
        pull = total - cause.prior
        often = total >= self.told_score or (pull >= self.told_pull and total >= self.least_score)
        if pull <= 0 or not (often or pull >= self.serious_pull):
            return None
        signs = tuple(
            Sign(link.subject, HOLDS if link.weights.get(HOLDS, 0) == weight else RULED_OUT, weight, link)
            for link, _ in counted(cause, met)
            for weight in [met[cause.id, link.id]]
        )
        kinds = {self.knowledge.conditions[sign.condition].in_plan for sign in signs if sign.decibans > 0}
        if not kinds & {FAULT, EXPOSURE}:
            return None
        fault = FAULT in kinds
        serious = fault and (pull >= self.serious_pull or total >= UNLISTED_SCORE)
        return Threat(cause, total, pull, signs, fault, serious)
