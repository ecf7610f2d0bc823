"""What to do with this piece, in order, and what to change next time.

Ordered by the chance that it cures over what it costs, dearer where it cannot be undone (Kalagnanam & Henrion, UAI
1988; Heckerman, Breese & Rommelse, CACM 38(3), 1995).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from diagnose.ledger import Standing
from diagnose.model import UNLISTED, Advice, Cause, Knowledge, Remedy, Treatment
from diagnose.rules import Fact

SET_UP = 10.0  # minutes: what any work on the piece costs before it begins


@dataclass(frozen=True, slots=True)
class Proposal:
    """A remedy for this piece. `fits`: its preconditions are known to be met; `chance`: that it cures, all told."""

    remedy: Remedy
    chance: float
    fits: bool
    reasons: tuple[tuple[Cause, Treatment], ...]

    @property
    def word(self) -> str:
        return self.reasons[0][1].often


def propose(knowledge: Knowledge, ranking: Iterable[Standing], facts: Collection[Fact]) -> list[Proposal]:
    """Remedies of the causes that stand, best first.

    Barred ones are left out, and so are causes that stand lower than "none of these". What would harm
    the piece for good waits until its causes are likelier than not, so that a wrong guess ruins no second finish.
    """
    return _propose(knowledge, {row.id: row.probability for row in ranking}, facts)


def _propose(knowledge: Knowledge, chances: Mapping[str, float], facts: Collection[Fact]) -> list[Proposal]:
    least = _least(knowledge, chances)
    strategies = knowledge.strategies
    needed = {"slight": strategies["care_on_a_guess"].figure, "lasting": strategies["no_harm_on_a_guess"].figure}
    unsure = strategies["state_not_known"].figure
    reasons: dict[str, list[tuple[Cause, Treatment]]] = {}
    standing = [name for name, chance in chances.items() if chance >= least and name != UNLISTED]
    for name in sorted(standing, key=lambda name: (-chances[name], name)):
        cause = knowledge.causes[name]
        for treatment in cause.treatments:
            reasons.setdefault(treatment.remedy, []).append((cause, treatment))
    proposals = []
    for name, pairs in reasons.items():
        remedy = knowledge.remedies[name]
        if ("barred", name) in facts:
            continue
        if sum(chances[cause.id] for cause, _ in pairs) < needed.get(remedy.harm, 0):
            continue
        fits = not remedy.conditional or ("fits", name) in facts
        chance = sum(chances[cause.id] * treatment.cures for cause, treatment in pairs)
        proposals.append(
            (Proposal(remedy, chance, fits, tuple(pairs)), chance * (1 if fits else unsure) / cost(knowledge, remedy))
        )
    return [proposal for proposal, value in sorted(proposals, key=lambda pair: (-pair[1], pair[0].remedy.id))]


def _least(knowledge: Knowledge, chances: Mapping[str, float]) -> float:
    """The chance from which a cause is acted on."""
    return max(knowledge.strategies["worth_proposing"].figure, chances[UNLISTED])


def cost(knowledge: Knowledge, remedy: Remedy) -> float:
    """Minutes, set-up included, times the factor of its harm."""
    return (remedy.minutes + SET_UP) * knowledge.harm_factors[remedy.harm]


def first_remedy(knowledge: Knowledge, chances: Mapping[str, float], facts: Collection[Fact]) -> str | None:
    """Id of the remedy that would come first at these probabilities."""
    proposals = _propose(knowledge, chances, facts)
    return proposals[0].remedy.id if proposals else None


def prevention(knowledge: Knowledge, ranking: Iterable[Standing]) -> list[tuple[Cause, Advice]]:
    """What to change next time, for the causes worth proposing remedies for, likeliest first."""
    rows = list(ranking)
    least = _least(knowledge, {row.id: row.probability for row in rows})
    return [
        (row.cause, advice) for row in rows if row.cause and row.probability >= least for advice in row.cause.prevention
    ]
