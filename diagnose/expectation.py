"""Holding a diagnosis against what its case file says it must come to."""

from __future__ import annotations

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
    return complaints
