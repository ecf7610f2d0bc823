"""Weighing the causes: one ledger each, whose entries add up exactly to its score, and the ranking they give.

Scores are whole decibans against "none of the causes in this base", which stands at 0 and is always ranked.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import fsum

from diagnose.model import UNLISTED, Cause, Knowledge, Link
from diagnose.rules import Fact

Weighed = Mapping[tuple[str, str], int]  # (cause, link) -> decibans, one value for each link that was met


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of a ledger. `with_` names links that rest on the same observation and are not counted again."""

    rule: str
    weight: int
    because: str
    source: str
    facts: tuple[Fact, ...]
    with_: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Standing:
    """A cause in the ranking. `cause` is None for "none of these"."""

    id: str
    name: str
    cause: Cause | None
    probability: float
    word: str
    ledger: tuple[Entry, ...]

    @property
    def weight(self) -> int:
        return sum(entry.weight for entry in self.ledger)


def met_links(facts: Iterable[Fact]) -> dict[tuple[str, str], int]:
    """Decibans of each link that was met. Where one link was met by several answers, the one most in favour counts:
    with two complaints a cause need explain only one of them."""
    met: dict[tuple[str, str], int] = {}
    for fact in facts:
        if fact[0] == "weigh":
            key = (fact[1], fact[2])
            met[key] = max(met.get(key, fact[3]), fact[3])
    return met


def counted(cause: Cause, met: Weighed) -> list[tuple[Link, tuple[Link, ...]]]:
    """The links of a cause that count, in the order of its file, each with those of its group that it stands for.

    Links of one group rest on one observation; the heaviest counts, of equal ones the least favourable.
    """
    groups: dict[str, list[Link]] = {}
    for link in cause.links:
        if (cause.id, link.id) in met:
            groups.setdefault(link.group, []).append(link)
    chosen = []
    for links in groups.values():
        best = min(links, key=lambda link: (_precedence(met[cause.id, link.id]), link.id))
        chosen.append((best, tuple(link for link in links if link is not best)))
    return sorted(chosen, key=lambda pair: pair[0].place.line)


def score(cause: Cause, met: Weighed) -> int:
    """Decibans of a cause: its prior and, of each group of links that was met, the one that counts."""
    best: dict[str, int] = {}
    for link in cause.links:
        value = met.get((cause.id, link.id))
        if value is not None:
            best[link.group] = min(best.get(link.group, value), value, key=_precedence)
    return cause.prior + sum(best.values())


def _precedence(decibans: int) -> tuple[int, int]:
    """Which of several weights on one observation counts: the smallest of these."""
    return -abs(decibans), decibans


def probabilities(scores: Mapping[str, int]) -> dict[str, float]:
    """Scores in decibans normalised over all causes and "none of these" (at 0)."""
    scores = {**scores, UNLISTED: 0}
    top = max(scores.values())
    odds = {name: 10 ** ((value - top) / 10) for name, value in sorted(scores.items())}
    total = fsum(odds.values())
    return {name: value / total for name, value in odds.items()}


def standing_word(probability: float, knowledge: Knowledge) -> str:
    return next((word for bound, word in knowledge.standing if probability >= bound), knowledge.standing[-1][1])


def rank(knowledge: Knowledge, facts: Iterable[Fact]) -> list[Standing]:
    """Every cause and "none of these", likeliest first; of equals "none of these" first, then by name."""
    facts = set(facts)
    met = met_links(facts)
    chance = probabilities({cause.id: score(cause, met) for cause in knowledge.causes.values()})
    rows = [
        Standing(
            cause.id,
            cause.name,
            cause,
            chance[cause.id],
            standing_word(chance[cause.id], knowledge),
            _ledger(cause, met, facts),
        )
        for cause in knowledge.causes.values()
    ]
    none = Entry("prior", 0, "The yardstick that every weight is measured against.", "by definition", ())
    rows.append(
        Standing(
            UNLISTED,
            "none of the causes in this base",
            None,
            chance[UNLISTED],
            standing_word(chance[UNLISTED], knowledge),
            (none,),
        )
    )
    return sorted(rows, key=lambda row: (-row.weight, row.id != UNLISTED, row.id))


def _ledger(cause: Cause, met: Weighed, facts: set[Fact]) -> tuple[Entry, ...]:
    prior = Entry(
        f"{cause.id}/prior",
        cause.prior,
        f"How often it is met among all failures: {cause.often}.",
        "; ".join(map(str, cause.often_source)),
        (),
    )
    entries = [prior]
    for link, others in counted(cause, met):
        weight = met[cause.id, link.id]
        resting_on = ((link.about, link.subject, answer) for answer, value in link.weights.items() if value == weight)
        entries.append(
            Entry(
                link.id,
                weight,
                link.because,
                "; ".join(map(str, link.source)),
                tuple(fact for fact in resting_on if fact in facts),
                tuple(o.id for o in others),
            )
        )
    return tuple(entries)
