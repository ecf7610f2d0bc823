"""Explanations beyond one ledger: why not that cause, what if an answer were another, what would overturn the verdict.

Each is found with the look-ahead and then run again in full; only what the re-run bears out is said.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from diagnose.asking import Answer, Open, Question
from diagnose.case import Given
from diagnose.diagnosis import Diagnosis
from diagnose.ledger import Entry, Standing
from diagnose.model import UNKNOWN, UNLISTED
from diagnose.rules import Fact

RIVALS = 5  # causes below the leader whose rise is looked into
PAIRS_TRIED = 12  # of the single answers that do most for a rival, how many are tried two by two
MOST_TOGETHER = 4  # beyond so many answers a set says no more than that nearly everything would have to be otherwise

LEAST_FALL = 0.02  # of the leader's chance; an answer whose loss costs it less carries nothing

Chosen = tuple[Open, Answer]


@dataclass(frozen=True, slots=True)
class Side:
    """What one observation weighs for each of two causes, with the entry of each ledger that says so (if any)."""

    facts: tuple[Fact, ...]
    first: Entry | None
    other: Entry | None

    @property
    def gap(self) -> int:
        """Decibans towards the first of the two."""
        return (self.first.weight if self.first else 0) - (self.other.weight if self.other else 0)


@dataclass(frozen=True, slots=True)
class Supposed:
    """The diagnosis as it would be with these answers. `chance` is how likely they are to be given."""

    answers: tuple[tuple[Open, str], ...]
    chance: float
    diagnosis: Diagnosis

    def weight(self, cause: str) -> int:
        return self.diagnosis.standing_of(cause).weight


@dataclass(frozen=True, slots=True)
class Contrast:
    """Why `first` stands above `other`: the sides add up to the gap.

    `helping`: open answers that speak for `other`, with the decibans they bring it nearer; `closing`: the fewest of
    them with which it stands level or above, None where even several together would not.
    """

    first: Standing
    other: Standing
    sides: tuple[Side, ...]
    helping: tuple[tuple[Open, str, int], ...]
    closing: Supposed | None

    @property
    def gap(self) -> int:
        return self.first.weight - self.other.weight


@dataclass(frozen=True, slots=True)
class Pillar:
    """An answer that was given, and what stands first when it is left out; `fall`: what the leader loses in chance."""

    name: str
    given: Given
    first: Standing
    fall: float


def contrast(diagnosis: Diagnosis, other: str) -> Contrast:
    """The ledgers of the leading cause (of the runner-up, where `other` leads) and of `other` side by side."""
    one = next(row for row in diagnosis.ranking if row.id != other)
    two = diagnosis.standing_of(other)
    towards = sorted(
        ((_gain(answer, two.id, one.id), asked, answer) for asked, answer in _answers(diagnosis)),
        key=lambda row: (-row[0], row[1].kind.minutes * row[1].kind.harm, row[1].id, row[2].answer),
    )
    best: dict[str, tuple[int, Open, Answer]] = {}
    for gain, asked, answer in towards:  # one answer of each question: they exclude one another
        if gain > 0:
            best.setdefault(asked.id, (gain, asked, answer))
    helping = tuple((asked, answer.answer, gain) for gain, asked, answer in best.values())
    closing = None
    for size in range(1, min(MOST_TOGETHER, len(best)) + 1):
        made = suppose(diagnosis, [(asked, answer) for _, asked, answer in list(best.values())[:size]])
        if made.weight(two.id) >= made.weight(one.id):
            closing = made
            break
    return Contrast(one, two, sides(one, two), helping, closing)


def sides(one: Standing, two: Standing) -> tuple[Side, ...]:
    """Two ledgers laid side by side: entries that rest on the same question or condition in one row."""
    rows: dict[tuple, list[Entry | None]] = {}
    for place, standing in enumerate((one, two)):
        for entry in standing.ledger:
            about = entry.facts[0][:2] if entry.facts else ("prior",)
            while about in rows and rows[about][place]:  # a second link on the same question
                about = (*about, "again")
            rows.setdefault(about, [None, None])[place] = entry
    return tuple(
        Side(tuple(dict.fromkeys(fact for entry in pair if entry for fact in entry.facts)), *pair)
        for pair in rows.values()
    )


def still_open(diagnosis: Diagnosis) -> list[Question]:
    """All that was not asked, and all that was answered "not known"."""
    return [*diagnosis.open_questions, *diagnosis.doubtful]


def _answers(diagnosis: Diagnosis) -> Iterator[Chosen]:
    return ((asked.open, answer) for asked in still_open(diagnosis) for answer in asked.answers if answer.moves)


def suppose(diagnosis: Diagnosis, answers: Iterable[Chosen]) -> Supposed:
    """All run again as if these answers had been given. Nothing is recorded."""
    case, chance, pairs = diagnosis.case, 1.0, []
    for asked, answer in answers:
        case = case.with_given(asked.id, Given((answer.answer,), answer.answer))
        chance *= answer.chance
        pairs.append((asked, answer.answer))
    return Supposed(tuple(pairs), chance, diagnosis.by.diagnose(case))


def overturning(diagnosis: Diagnosis, most: int = 5) -> list[Supposed]:
    """The smallest sets of open or doubtful answers that put another cause first, likeliest first.

    Single answers are tried without exception. Where none does it, those that do most for each rival are tried two by
    two, then taken together one after another. Empty where nothing that is open would do it.
    """
    leader = diagnosis.first.id
    chosen = list(_answers(diagnosis))
    for sets in ([[one] for one in chosen], _pairs(diagnosis, chosen), _heaps(diagnosis, chosen)):
        likely = sorted(
            (one for one in sets if _first_after(diagnosis, one) != leader),
            key=lambda one: (-_chance(one), [(asked.id, answer.answer) for asked, answer in one]),
        )
        found = []
        for one in likely:
            made = suppose(diagnosis, one)
            if made.diagnosis.first.id != leader:
                found.append(made)
            if len(found) == most:
                break
        if found:
            return found
    return []


def _pairs(diagnosis: Diagnosis, chosen: Sequence[Chosen]) -> Iterator[list[Chosen]]:
    """Two answers to different questions, of those that do most for some rival."""
    seen = set()
    for rival in _rivals(diagnosis):
        for one, two in combinations(_best_for(diagnosis, chosen, rival)[:PAIRS_TRIED], 2):
            names = tuple(sorted((asked.id, answer.answer) for asked, answer in (one, two)))
            if one[0].id != two[0].id and names not in seen:
                seen.add(names)
                yield [one, two]


def _heaps(diagnosis: Diagnosis, chosen: Sequence[Chosen]) -> Iterator[list[Chosen]]:
    """For each rival the fewest of the answers that do most for it, three and more, that put another cause first."""
    for rival in _rivals(diagnosis):
        best: dict[str, Chosen] = {}
        for asked, answer in _best_for(diagnosis, chosen, rival):
            best.setdefault(asked.id, (asked, answer))
        for size in range(3, min(MOST_TOGETHER, len(best)) + 1):
            heap = list(best.values())[:size]
            if _first_after(diagnosis, heap) != diagnosis.first.id:
                yield heap
                break


def _rivals(diagnosis: Diagnosis) -> list[str]:
    return [row.id for row in diagnosis.ranking[1 : RIVALS + 1]]


def _best_for(diagnosis: Diagnosis, chosen: Sequence[Chosen], rival: str) -> list[Chosen]:
    gains = [(_gain(answer, rival, diagnosis.first.id), asked, answer) for asked, answer in chosen]
    useful = sorted((g for g in gains if g[0] > 0), key=lambda g: (-g[0], g[1].id, g[2].answer))
    return [(asked, answer) for _, asked, answer in useful]


def _first_after(diagnosis: Diagnosis, answers: Sequence[Chosen]) -> str:
    """The first cause by the look-ahead, were these answers given."""
    ahead = diagnosis.ahead
    if len(answers) == 1:
        changed = {name: ahead.scores[name] + moved for name, moved in answers[0][1].moves}
    else:
        changed, _ = ahead.trying(*((*asked.head, answer.answer) for asked, answer in answers))
    scores = {UNLISTED: 0, **ahead.scores, **changed}
    return min(scores, key=lambda name: (-scores[name], name != UNLISTED, name))


def _chance(answers: Iterable[Chosen]) -> float:
    chance = 1.0
    for _, answer in answers:
        chance *= answer.chance
    return chance


def _gain(answer: Answer, rival: str, leader: str) -> int:
    """Decibans by which an answer brings a rival nearer to the leader."""
    moved = dict(answer.moves)
    return moved.get(rival, 0) - moved.get(leader, 0)


def pillars(diagnosis: Diagnosis) -> list[Pillar]:
    """The answers that the verdict rests on: without one of them something else stands first, or the first lower.

    Each is left out alone and all is run again; the weightiest first.
    """
    leader = diagnosis.first
    found = []
    for name, given in given_answers(diagnosis):
        without = diagnosis.by.diagnose(diagnosis.case.with_given(name, Given((UNKNOWN,), UNKNOWN)))
        now = without.standing_of(leader.id)
        fall = leader.probability - now.probability
        if without.first.id != leader.id or (now.word != leader.word and fall >= LEAST_FALL):
            found.append(Pillar(name, given, without.first, fall))
    return sorted(found, key=lambda pillar: (pillar.first.id == leader.id, -pillar.fall, pillar.name))


def given_answers(diagnosis: Diagnosis) -> Iterator[tuple[str, Given]]:
    """Every answer that is known, by the name of its question."""
    case = diagnosis.case
    for name, given in case.findings.items():
        if given.known:
            yield name, given
    for of, table in (("piece", case.piece), ("air", case.air)):
        for name, given in table.items():
            if given.known:
                yield f"{of} {name}", given
    for step in case.steps:
        for name, given in step.given.items():
            if given.known:
                yield f"step {step.number} {name}", given
