"""Holding a diagnosis against what its case file says it must come to."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.diagnosis import Diagnosis


def failed(diagnosis: Diagnosis) -> list[str]:
    """Every expectation of the case that is not met, in words; empty when all are, or none was stated."""
    expect = diagnosis.case.expect
    order = [row.id for row in diagnosis.ranking]
    rows = {row.id: row for row in diagnosis.ranking}
    standing = [word for _, word in diagnosis.knowledge.standing]
    complaints = []
    if expect.first and order[0] not in expect.first:
        complaints.append(f"expected {' or '.join(expect.first)} first, found {order[0]}")
    if expect.in_first_three and not set(order[:3]) & set(expect.in_first_three):
        complaints.append(
            f"expected {' or '.join(expect.in_first_three)} in the first three, found {', '.join(order[:3])}"
        )
    if order[0] in expect.not_first:
        complaints.append(f"{order[0]} must not come first")
    for cause, word in expect.at_least.items():
        if standing.index(rows[cause].word) > standing.index(word):
            complaints.append(f"expected {cause} to stand at least as {word}, found {rows[cause].word}")
    for cause, word in expect.at_most.items():
        if standing.index(rows[cause].word) < standing.index(word):
            complaints.append(f"expected {cause} to stand at most as {word}, found {rows[cause].word}")
    return complaints


@dataclass(frozen=True, slots=True)
class Tally:
    """How often the expected cause came first and in the first three, and the mean Brier score.

    The Brier score of a case is the sum over all causes of (chance - 1 for the expected cause, else 0) squared: 0 is
    perfect, 2 the worst (G. W. Brier, Monthly Weather Review 78, 1950; from memory). Where several causes would be
    right, the one that stands highest counts.
    """

    cases: int
    first: int
    in_three: int
    brier: float


def tally(diagnoses: Iterable[Diagnosis]) -> Tally | None:
    """Over the cases that say which cause is right; None where there is none."""
    places, scores = [], []
    for diagnosis in diagnoses:
        right = {*diagnosis.case.expect.first, *diagnosis.case.expect.in_first_three}
        if right:
            place = next(n for n, row in enumerate(diagnosis.ranking) if row.id in right)
            places.append(place)
            scores.append(sum((row.probability - (n == place)) ** 2 for n, row in enumerate(diagnosis.ranking)))
    if not places:
        return None
    return Tally(len(places), places.count(0), sum(place < 3 for place in places), sum(scores) / len(scores))
