"""Looking back on a practice: what each check was worth when it was chosen, what it moved, what was left undone.

Every figure is what the program itself reckons for the state in which the apprentice stood: nothing is kept from the
practice but the checks and their order.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import fsum, log2

from diagnose.asking import Question
from diagnose.case import Given
from diagnose.diagnosis import Diagnosis
from diagnose.ledger import Standing
from diagnose.model import UNLISTED, Knowledge
from diagnose.practice import Check, Practice, again, own_play, tells, worth
from diagnose.reasons import Side, sides

NEAR_NOTHING = 0.01  # bits; below it a check is redundant
WORTH_A_WORD = 0.05  # bits; from it on a check left undone is called overlooked
MOST_OVERLOOKED = 3

Moves = tuple[tuple[str, int], ...]  # (cause, decibans), what matters most first


@dataclass(frozen=True, slots=True)
class Made:
    """One check looked back on.

    `question`: what it was worth before it was made; `best`: what was worth most a minute then, None where nothing was;
    `gained`: bits by which the causes became clearer (less than 0: less clear); `before`, `after`: the chance of the
    settled cause; `redundant`: why it could tell nothing, else "".
    """

    check: Check
    question: Question
    best: Question | None
    moved: Moves
    gained: float
    before: float
    after: float
    redundant: str


@dataclass(frozen=True, slots=True)
class Overlooked:
    """A check that was not made: what it was worth at the end, what it would have told, what that would have moved."""

    question: Question
    given: Given
    moved: Moves


@dataclass(frozen=True, slots=True)
class Review:
    """`settled`: the settled cause, the likeliest of them where several would be right; `found`, `whole`: where the
    program stands with what was found, and with all that the case says; `own`: its own play of the case."""

    practice: Practice
    settled: Standing
    found: Diagnosis
    whole: Diagnosis
    checks: tuple[Made, ...]
    overlooked: tuple[Overlooked, ...]
    own: Practice
    apart: tuple[Side, ...]

    @property
    def borne_out(self) -> Standing:
        """The settled cause as it stood with what was found."""
        return self.found.standing_of(self.settled.id)


def review(practice: Practice) -> Review:
    """The whole of it, reckoned again from the opening page on."""
    whole = practice.settled
    settled = next(row for row in whole.ranking if row.id in practice.exercise.causes)
    state = again(practice)
    checks = []
    for check in practice.checks:
        before = state.diagnosis
        question = before.ahead.question(state.open[check.of])
        best = next((q for q in worth(before, practice.exercise) if q.bits >= NEAR_NOTHING), None)
        after = state.check(check.of)
        checks.append(
            Made(
                check,
                question,
                best,
                moves(before, after.diagnosis),
                entropy(before) - entropy(after.diagnosis),
                before.standing_of(settled.id).probability,
                after.diagnosis.standing_of(settled.id).probability,
                _redundant(state, question) if check.given.known else "",
            )
        )
        state = after
    return Review(
        practice,
        settled,
        state.diagnosis,
        whole,
        tuple(checks),
        tuple(_overlooked(state)),
        own_play(practice.diagnoser, practice.exercise),
        _apart(whole, settled, practice.verdict),
    )


def entropy(diagnosis: Diagnosis) -> float:
    """Bits still wanting to know the cause."""
    return -fsum(row.probability * log2(row.probability) for row in diagnosis.ranking if row.probability > 0)


def moves(before: Diagnosis, after: Diagnosis) -> Moves:
    """The causes whose score differs, those first that weigh most by the greater of their two chances."""
    old, new = (diagnosis.ahead for diagnosis in (before, after))
    moved = {name: new.scores[name] - value for name, value in old.scores.items() if new.scores[name] != value}
    return tuple(
        sorted(
            moved.items(), key=lambda pair: (-abs(pair[1]) * max(old.chances[pair[0]], new.chances[pair[0]]), pair[0])
        )
    )


def _redundant(state: Practice, question: Question) -> str:
    """Why nothing was to be expected of it: what had told the same, or that no standing cause is moved by it."""
    if question.bits >= NEAR_NOTHING:
        return ""
    known = state.knowledge.findings
    earlier = [name for name, given in state.case.findings.items() if given.known]
    same = [known[name].short for name in earlier if same_observation(state.knowledge, name, question.open.id)]
    if same:
        return "told already by: " + ", ".join(same)
    return "none of its answers would have moved a cause that still stood"


def same_observation(knowledge: Knowledge, one: str, other: str) -> bool:
    """Whether some cause counts the answers to both as one observation."""
    for cause in knowledge.causes.values():
        groups = [{link.group for link in cause.links if link.subject == name} for name in (one, other)]
        if groups[0] & groups[1]:
            return True
    return False


def _overlooked(state: Practice) -> list[Overlooked]:
    """What was worth most at the end and was not looked at."""
    left = [q for q in worth(state.diagnosis, state.exercise) if q.bits >= WORTH_A_WORD][:MOST_OVERLOOKED]
    return [
        Overlooked(
            question,
            state.exercise.case.given_for(question.open.id),
            moves(state.diagnosis, state.check(question.open.id).diagnosis),
        )
        for question in left
        if tells(state.exercise, question.open.id)
    ]


def _apart(whole: Diagnosis, settled: Standing, verdict: str) -> tuple[Side, ...]:
    """Where the ledgers of the settled cause and of a wrong verdict differ, the widest gap first."""
    if verdict == settled.id or not any(row.id == verdict and row.id != UNLISTED for row in whole.ranking):
        return ()
    both = sides(settled, whole.standing_of(verdict))
    return tuple(sorted((one for one in both if one.gap), key=lambda one: -abs(one.gap)))
