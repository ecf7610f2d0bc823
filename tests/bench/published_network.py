"""Our choice of questions against exact expected information, on a published network that others made.

    python tests/bench/published_network.py [--cases N] [--date YYYY-MM-DD]        needs pgmpy: pip install '.[bench]'

The network is `win95pts` of the bnlearn Bayesian Network Repository, a network for finding out why a personal computer
does not print: 76 nodes of two states each, 112 arcs, as the documentation of pgmpy has it, in whose wheel the file lies
(counted again here). That it was published beside work on decision-theoretic troubleshooting is from memory.

What is made of it:

- Faults: the 29 nodes without parents that say whether something is in order; state 1 is the failure. The other five
  without parents (network.CIRCUMSTANCES) say what is printed on what; they keep their own chances.
- Hypotheses: each fault alone, with all others sound, and "none of these"; priors are their chances in the network, over
  that of none.
- Findings, in two sets: `symptoms`, the nodes without children and the circumstances; `all nodes` but the faults.
- Exact: P(answers | hypothesis) by summing out all other nodes (exact.py), held against pgmpy's VariableElimination on
  queries drawn at random before anything is measured. The posterior over the hypotheses and the information expected
  from each finding follow from it without any assumption on the findings.
- Ours: a Knowledge of one cause for each fault and one link for each finding, asked by the code of diagnose.asking. The
  weight of an answer is the exact P(answer | fault) over P(answer | none) in whole decibans, at most 30 either way;
  `usual` is P(answer | none). The second base says the same in the words of knowledge/scale.yaml: the nearest weight,
  prior and usual share. All findings cost the same. `independent` chooses under our assumption without our rounding.

A case is drawn from the network: a fault (as often as the network has it, or each as often as any other), then all other
nodes, until one of the six problem nodes is not as it is when all is sound. The first such problem is the complaint,
which every way of choosing begins with. What has been found out is measured for all of them by the exact posterior:
questions until the true fault stands first with at least 0.9 (LIMIT counts for a case that does not get there), and the
chance of the true fault after some questions. `best` and `share` compare each question asked with the best one at that
state: how often it is as good, and the mean share of the best one's expected information (states where that is at least
0.01 bits and nothing is settled yet). `circum.` is how much of the information given away went where a circumstance was
the best question: alone it has no weight, so our kind of base sees nothing in it until a rule joins it to other answers.
The fixed list is ordered by the exact average over the very cases it is played on, which favours it.
"""

from __future__ import annotations

import argparse
import json
import random
import statistics
import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.asking import next_questions
from diagnose.case import Case, Given
from diagnose.diagnosis import Diagnoser
from diagnose.load import load
from diagnose.model import UNLISTED

if TYPE_CHECKING:  # needs pgmpy and what comes with it
    from network import Exactly, Network

RESULTS = Path(__file__).parent / "results" / "published_network.json"
SURE = 0.9
LIMIT = 20
TOLD = 0.01  # bits; below it there is nothing to choose
AFTER = (1, 2, 3, 5, 8)
SEED = 1
RANDOM_SEEDS = 3


# -- playing ---------------------------------------------------------------------------------------------------------------

Chooser = Callable[[Mapping[str, int], "Exactly"], str | None]


class Ours:
    """Chooses by diagnose.asking over a base of our kind; goes on, once it would stop, as a consultation told to go on.

    `stops` notes, for the case under way, after how many answers it would have stopped and how it stood then.
    """

    def __init__(self, base: Diagnoser):
        self.base = base
        self.states: dict[frozenset, tuple[str | None, bool, dict[str, float]]] = {}

    def look(self, given: Mapping[str, int]) -> tuple[str | None, bool, dict[str, float]]:
        """The next question, whether it would ask it of itself, and the chances of the causes."""
        from playing import State

        key = frozenset(given.items())
        if key not in self.states:
            answers = {node: Given((str(state),), str(state)) for node, state in given.items()}
            state = State(self.base, Case("drawn", findings=answers))
            best = next_questions(state.ahead, state.questions, 1)
            more = sorted((q for q in state.questions if q.bits > 0.001), key=lambda q: (-q.value, q.open.id))
            chosen = next((question.open.id for question in (*best, *more)), None)
            self.states[key] = chosen, bool(best), state.chances
        return self.states[key]

    def __call__(self, given: Mapping[str, int], exactly: Exactly) -> str | None:
        return self.look(given)[0]


class Independent:
    """Chooses as if findings were independent given the fault, with every probability exact: what separates ours from
    this is rounding, what separates this from exact is the assumption."""

    def __init__(self, network: Network, findings: list[str]):
        self.network = network
        self.findings = findings
        self.chosen: dict[frozenset, str] = {}

    def __call__(self, given: Mapping[str, int], exactly: Exactly) -> str | None:
        import numpy as np
        from network import Exactly

        key = frozenset(given.items())
        if key not in self.chosen:
            each = self.network.each
            whole = np.prod([np.maximum(each[node][:, state], 1e-6) for node, state in given.items()], axis=0)
            open_ones = {node: whole[:, None] * each[node] for node in self.findings}
            self.chosen[key] = best_of(Exactly(self.network, given, whole, open_ones), self.findings)[0]
        return self.chosen[key]


def best_of(exactly: Exactly, findings: list[str]) -> tuple[str, float]:
    return max(
        ((node, exactly.bits[node]) for node in findings if node in exactly.bits), key=lambda pair: (pair[1], pair[0])
    )


@dataclass(frozen=True, slots=True)
class Run:
    """One case by one chooser: the true fault's exact chance after each answer, and (as good as the best, share of the
    best, bits given away, whether to a circumstance) of each question asked while there was something to choose."""

    chances: tuple[float, ...]
    first: tuple[bool, ...]
    choices: tuple[tuple[bool, float, float, bool], ...]
    given: tuple[Mapping[str, int], ...]

    @property
    def settled(self) -> int | None:
        return next((n for n, chance in enumerate(self.chances) if chance >= SURE), None)


def run(
    network: Network, states: Mapping[str, int], fault: str, complaint: str, choose: Chooser, findings: list[str]
) -> Run:
    given = {complaint: states[complaint]}
    number = network.hypotheses.index(fault)
    chances, first, choices, said = [], [], [], []
    while True:
        exactly = network.after(given)
        chances.append(float(exactly.chances[number]))
        first.append(bool(exactly.chances[number] >= exactly.chances.max() - 1e-12))
        said.append(dict(given))
        if chances[-1] >= SURE or len(given) > LIMIT or len(given) == len({*findings, complaint}):
            break
        best, most = best_of(exactly, findings)
        node = choose(given, exactly)
        if node is None or most < 1e-9:
            break
        if most >= TOLD:
            lost = most - exactly.bits[node]
            choices.append((lost <= 1e-9, exactly.bits[node] / most, lost, best in network.circumstances))
        given[node] = states[node]
    return Run(tuple(chances), tuple(first), tuple(choices), tuple(said))


def row(runs: list[Run]) -> dict[str, float]:
    settled = [one.settled for one in runs]
    reached = [LIMIT if n is None else n for n in settled]
    choices = [choice for one in runs for choice in one.choices]
    found = {
        "runs": len(runs),
        "median": statistics.median(reached),
        "mean": round(statistics.mean(reached), 2),
        "settled": round(sum(n is not None for n in settled) / len(runs), 3),
        "best": round(statistics.mean(best for best, *_ in choices), 3),
        "share": round(statistics.mean(share for _, share, *_ in choices), 3),
    }
    lost = sum(choice[2] for choice in choices)
    found["circum."] = round(sum(bits for _, _, bits, to_one in choices if to_one) / lost, 2) if lost > 1e-6 else 0.0
    for n in AFTER:
        found[f"after {n}"] = round(statistics.mean(one.chances[min(n, len(one.chances) - 1)] for one in runs), 3)
    return found


def own_stop(ours: Ours, network: Network, cases: list[tuple[str, dict[str, int], str]]) -> dict[str, float]:
    """How it goes where ours is left to stop by itself: questions, and whether it names the true fault."""
    asked, right, sure, exact_sure = [], [], [], []
    for fault, states, complaint in cases:
        given = {complaint: states[complaint]}
        while (look := ours.look(given))[1]:
            given[look[0]] = states[look[0]]
        chances = look[2]
        top = max(chances, key=lambda name: (chances[name], name == UNLISTED, name))
        asked.append(len(given) - 1)
        right.append(top == fault)
        sure.append(chances[top])
        number = 0 if top == UNLISTED else network.hypotheses.index(top)
        exact_sure.append(float(network.after(given).chances[number]))
    return {
        "median questions": statistics.median(asked),
        "its first is the true fault": round(statistics.mean(right), 3),
        "mean chance it gives its first": round(statistics.mean(sure), 3),
        "mean exact chance of its first": round(statistics.mean(exact_sure), 3),
    }


def measure(network: Network, findings: list[str], alike: bool, count: int, bases: Mapping[str, Ours]) -> dict:
    """One table: cases drawn, those that all answers together settle, and every way of choosing on those."""
    draw = random.Random(SEED)
    drawn = []
    while len(drawn) < count:
        fault = (
            network.faults[len(drawn) % len(network.faults)]
            if alike
            else draw.choices(network.faults, network.odds[1:])[0]
        )
        states = network.draw(fault, draw)
        complaint = network.complaint(states)
        if complaint is not None:
            drawn.append((fault, states, complaint))
    in_reach = [
        one
        for one in drawn
        if network.after({**{n: one[1][n] for n in findings}, one[2]: one[1][one[2]]}).chances[
            network.hypotheses.index(one[0])
        ]
        >= SURE
    ]
    starts = [network.after({complaint: states[complaint]}) for _, states, complaint in drawn]
    average = {node: statistics.mean(one.bits.get(node, 0.0) for one in starts) for node in findings}
    fixed = sorted(findings, key=lambda node: (-average[node], node))
    choosers: dict[str, list[Chooser]] = {"exact": [lambda given, exactly: best_of(exactly, findings)[0]]}
    choosers["independent"] = [Independent(network, findings)]
    choosers |= {name: [ours] for name, ours in bases.items()}
    choosers["fixed list"] = [lambda given, exactly: next((node for node in fixed if node not in given), None)]
    choosers["random"] = [at_random(findings, seed) for seed in range(RANDOM_SEEDS)]
    rows = {}
    for name, several in choosers.items():
        runs = [
            run(network, states, fault, complaint, choose, findings)
            for choose in several
            for fault, states, complaint in drawn
        ]
        hit = {(fault, complaint, tuple(sorted(states.items()))) for fault, states, complaint in in_reach}
        of_reach = [
            one
            for one, (fault, states, complaint) in zip(runs, drawn * len(several))
            if (fault, complaint, tuple(sorted(states.items()))) in hit
        ]
        every = row(runs)
        rows[name] = {**row(of_reach), **{key: every[key] for key in every if key.startswith("after")}}
    stops = {name: own_stop(ours, network, drawn) for name, ours in bases.items()}
    return {
        "cases": len(drawn),
        "that all answers settle": len(in_reach),
        "rows": rows,
        "left to stop by itself": stops,
    }


def at_random(findings: list[str], seed: int) -> Chooser:
    draw = random.Random(seed)
    return lambda given, exactly: draw.choice([node for node in findings if node not in given])


def printed(title: str, block: dict) -> Iterator[str]:
    yield f"\n{title}: {block['cases']} cases, of which all answers together settle {block['that all answers settle']}"
    heads = list(next(iter(block["rows"].values())))
    yield f"{'':16}" + "".join(f"{head:>9}" for head in heads)
    for name, found in block["rows"].items():
        yield f"{name:16}" + "".join(f"{found[head]:>9}" for head in heads)
    for name, found in block["left to stop by itself"].items():
        yield f"{name}, left to stop by itself: " + ", ".join(f"{key} {value}" for key, value in found.items())


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    asked.add_argument("--cases", type=int, default=116, help="cases drawn for each table (default 116, four a fault)")
    asked.add_argument("--date", default="", help="keep the figures, under this date")
    given = asked.parse_args()
    try:
        from network import CHECKS, check, read_network
        from network_base import Words, base_of, scale_words

        network = read_network()
    except (ImportError, FileNotFoundError) as error:
        print(f"skipped: the network comes with pgmpy, which is not there ({error}); pip install '.[bench]'")
        return 0
    worst = check(network)
    if worst > 1e-9:
        print(f"exact.py is off by {worst:.2g} from VariableElimination", file=sys.stderr)
        return 1
    print(
        f"{len(network.parents)} nodes, {len(network.faults)} faults, {len(network.nodes)} other nodes, {len(network.symptoms)} of them symptoms"
    )
    print(f"exact.py beside VariableElimination: {CHECKS} queries, largest difference {worst:.1g}")
    shipped_base = load()
    blocks = {}
    for of, findings in (("symptoms", network.symptoms), ("all nodes", network.nodes)):
        bases = {
            "ours, decibans": Ours(base_of(network, Words(), shipped_base, findings)),
            "ours, words": Ours(base_of(network, scale_words(), shipped_base, findings)),
        }
        for often, alike in (("as often as in the network", False), ("each fault alike", True)):
            title = f"{of}, {often}"
            blocks[title] = measure(network, findings, alike, given.cases, bases)
            print(*printed(title, blocks[title]), sep="\n", flush=True)
    if given.date:
        result = {
            "date": given.date,
            "knowledge": shipped_base.version,
            "nodes": len(network.parents),
            "faults": len(network.faults),
            "symptoms": len(network.symptoms),
            "largest difference from VariableElimination": float(f"{worst:.1g}"),
            "tables": blocks,
        }
        RESULTS.parent.mkdir(exist_ok=True)
        RESULTS.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
