"""Does every weight matter? Each weight of each cause is dropped, then turned round, and the examples looked at again.

    python tests/bench/mutation.py [--knowledge DIR] [--list]

A changed weight is noticed when at least one example (beside the causes, or a case under cases/) comes to another
outcome: another list, order or word of standing of the causes that a report shows (from one in a hundred on). It is
caught when an expectation of some example fails. Printed are the shares that were not noticed and not caught, for single
weights and for links of evidence as a whole; `--list` names those that were not noticed.
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from math import fsum
from pathlib import Path

from diagnose.case import read_cases
from diagnose.diagnosis import Diagnoser, Diagnosis
from diagnose.expectation import failed
from diagnose.folder import example_files
from diagnose.ledger import met_links, probabilities, score, standing_word
from diagnose.load import load
from diagnose.model import UNLISTED, Cause, Knowledge, Link
from diagnose.report_text import SHOWN_FROM

CASES = Path(__file__).resolve().parents[2] / "cases"


class Played:
    """One example, ready to be looked at again with one weight changed."""

    def __init__(self, knowledge: Knowledge, diagnosis: Diagnosis):
        self.knowledge = knowledge
        self.diagnosis = diagnosis
        self.facts = set(diagnosis.store.facts)
        self.met = met_links(self.facts)
        self.scores = {cause.id: score(cause, self.met) for cause in knowledge.causes.values()}
        self.odds = {name: 10 ** (value / 10) for name, value in {**self.scores, UNLISTED: 0}.items()}
        self.total = fsum(self.odds.values())
        self.order = sorted(self.odds, key=lambda name: (-self.odds[name], name != UNLISTED, name))
        self.before = self._outcome(UNLISTED, self.odds[UNLISTED])

    def answers(self, link: Link) -> list[str]:
        """The answers of the link that are given here."""
        return [answer for answer in link.weights if (link.about, link.subject, answer) in self.facts]

    def changed(self, cause: Cause, link: Link, answer: str, weight: int | None) -> tuple[bool, bool]:
        """(noticed, caught) when the answer's weight is `weight` instead; None drops it."""
        weights = {a: link.weights[a] for a in self.answers(link)}
        del weights[answer]
        if weight is not None:
            weights[answer] = weight
        met = {(cause.id, one.id): self.met[cause.id, one.id] for one in cause.links if (cause.id, one.id) in self.met}
        del met[cause.id, link.id]
        if weights:
            met[cause.id, link.id] = max(weights.values())
        value = score(cause, met)
        if value == self.scores[cause.id] or self._outcome(cause.id, 10 ** (value / 10)) == self.before:
            return False, False
        return True, self._fails({**self.scores, cause.id: value})

    def _outcome(self, cause: str, odds: float) -> list[tuple[str, str]]:
        """The causes shown, in order, with their words, where `cause` stands at `odds`."""
        total = self.total + odds - self.odds[cause]
        shown = []
        for name in self.order:
            if self.odds[name] < SHOWN_FROM * total:
                break
            if name != cause:
                shown.append((name, self.odds[name] / total))
        if odds >= SHOWN_FROM * total:
            shown.append((cause, odds / total))
        shown.sort(key=lambda row: (-row[1], row[0] != UNLISTED, row[0]))
        return [(name, standing_word(chance, self.knowledge)) for name, chance in shown]

    def _fails(self, scores: dict[str, int]) -> bool:
        chances = probabilities(scores)
        order = sorted(chances, key=lambda name: (-chances[name], name != UNLISTED, name))
        rows = {row.id: row for row in self.diagnosis.ranking}
        ranking = tuple(
            replace(rows[n], probability=chances[n], word=standing_word(chances[n], self.knowledge)) for n in order
        )
        return bool(failed(replace(self.diagnosis, ranking=ranking)))


def mutations(knowledge: Knowledge) -> Iterator[tuple[Cause, Link, str, int | None]]:
    """Every weight that is not nothing: dropped (None), and turned round."""
    for cause in knowledge.causes.values():
        for link in cause.links:
            for answer, weight in link.weights.items():
                if weight:
                    yield cause, link, answer, None
                    yield cause, link, answer, -weight


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    asked.add_argument("--knowledge", type=Path)
    asked.add_argument("--list", action="store_true")
    given = asked.parse_args()
    knowledge = load(own=given.knowledge)
    diagnoser = Diagnoser(knowledge)
    files = [*example_files(own=given.knowledge), *sorted(CASES.rglob("*.yaml"))]
    played = [Played(knowledge, diagnoser.diagnose(case)) for path in files for case in read_cases(path, knowledge)]
    meeting: dict[tuple[str, str, str], list[Played]] = defaultdict(list)
    for one in played:
        for cause in knowledge.causes.values():
            for link in cause.links:
                for answer in one.answers(link):
                    meeting[cause.id, link.id, answer].append(one)
    count = unmet = unnoticed = uncaught = 0
    silent = []
    told: dict[tuple[str, str], bool] = {}  # (link, what was done to it) -> some outcome changed
    for cause, link, answer, weight in mutations(knowledge):
        count += 1
        where = meeting[cause.id, link.id, answer]
        noticed = caught = False
        for one in where:
            seen, failing = one.changed(cause, link, answer, weight)
            noticed, caught = noticed or seen, caught or failing
            if caught:
                break
        unmet += not where
        uncaught += not caught
        how = "dropped" if weight is None else "turned round"
        told[link.id, how] = told.get((link.id, how), False) or noticed
        if not noticed:
            unnoticed += 1
            silent.append((link, answer, how, bool(where)))
    print(f"{len(played)} examples, {count} changes of a weight")
    for what, number in (
        ("no example gives the answer", unmet),
        ("no outcome changes", unnoticed),
        ("no expectation fails", uncaught),
    ):
        print(f"{what:<28} {number:>6}  {number / count:6.1%}")
    mute = sorted(key for key, noticed in told.items() if not noticed)
    print(f"{len(told) // 2} links of evidence, each dropped and turned round as a whole")
    print(f"{'no outcome changes':<28} {len(mute):>6}  {len(mute) / len(told):6.1%}")
    if given.list:
        for link_id, how in mute:
            print(f"link {link_id} {how}")
        for link, answer, how, met in silent:
            print(f"{link.place}: {link.id} {answer} {how}{'' if met else ' (never met)'}")


if __name__ == "__main__":
    main()
