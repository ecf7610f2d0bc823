"""The network that published_network.py measures on: its faults and findings, cases drawn from it, exact posteriors."""

from __future__ import annotations

import gzip
import random
from collections.abc import Mapping
from pathlib import Path

import numpy as np
from exact import Exact

CIRCUMSTANCES = ("NetPrint", "DSApplctn", "EPSGrphc", "PrtPScript", "TrTypFnts")  # what is printed on what; no faults
PROBLEMS = tuple(f"Problem{number}" for number in range(1, 7))
CHECKS = 25
SEED = 1


class Network:
    """The network, its hypotheses and what follows exactly from answers. Hypothesis 0 is none of the faults."""

    def __init__(self, model):
        self.model = model
        tables = [model.get_cpds(node) for node in model.nodes()]
        self.factors = [(tuple(table.variables), table.values) for table in tables]
        self.parents = {names[0]: names[1:] for names, _ in self.factors}
        roots = [node for node, parents in self.parents.items() if not parents]
        self.faults = sorted(set(roots) - set(CIRCUMSTANCES))
        self.hypotheses = ["", *self.faults]
        self.circumstances = CIRCUMSTANCES
        self.exact = Exact(self.factors, self.faults, self.hypotheses)
        self.nodes = self.exact.nodes
        having = {parent for parents in self.parents.values() for parent in parents}
        self.symptoms = [node for node in self.nodes if node not in having or node in CIRCUMSTANCES]
        failing = {node: float(values[1]) for (node, *_), values in self.factors if node in self.faults}
        self.odds = [1.0, *(failing[fault] / (1 - failing[fault]) for fault in self.faults)]
        self.each = self.exact.joint({})[1]  # node -> P(its states | hypothesis)
        self.usual = {node: both[0] for node, both in self.each.items()}
        self.kept: dict[frozenset, Exactly] = {}

    def after(self, given: Mapping[str, int]) -> Exactly:
        key = frozenset(given.items())
        if key not in self.kept:
            whole, each = self.exact.joint(given)
            self.kept[key] = Exactly(self, given, whole, each)
        return self.kept[key]

    def draw(self, fault: str, draw: random.Random) -> dict[str, int]:
        """The state of every node but the faults, where `fault` alone is present."""
        states = {one: int(one == fault) for one in self.faults}
        tables = {names[0]: (names, values) for names, values in self.factors}
        waiting = [node for node in tables if node not in states]
        while waiting:
            for node in [one for one in waiting if all(parent in states for parent in self.parents[one])]:
                names, values = tables[node]
                states[node] = int(draw.random() < values[(1, *(states[parent] for parent in names[1:]))])
                waiting.remove(node)
        return {node: states[node] for node in self.nodes}

    def complaint(self, states: Mapping[str, int]) -> str | None:
        """The first problem node that is not as it mostly is when all is sound."""
        return next((p for p in PROBLEMS if states[p] != int(self.usual[p][1] > 0.5)), None)


class Exactly:
    """The exact posterior over the hypotheses after some answers, and what each further one would tell, in bits."""

    def __init__(self, network: Network, given: Mapping[str, int], whole, each):
        prior = np.array(network.odds)
        total = float((prior * whole).sum())
        self.chances = prior * whole / total
        before = entropy(self.chances)
        self.bits = {}
        for node, both in each.items():
            if node not in given:
                joint = prior[:, None] * both / total
                left = sum(
                    joint[:, s].sum() * entropy(joint[:, s] / joint[:, s].sum()) for s in (0, 1) if joint[:, s].any()
                )
                self.bits[node] = max(0.0, float(before - left))


def entropy(chances) -> float:
    some = chances[chances > 0]
    return float(-(some * np.log2(some)).sum())


def read_network() -> Network:
    """Raises ImportError where pgmpy is absent, FileNotFoundError where its wheel no longer holds the network."""
    import pgmpy
    from pgmpy.readwrite import BIFReader

    path = Path(pgmpy.__file__).parent / "utils" / "example_models" / "win95pts.bif.gz"
    model = BIFReader(string=gzip.decompress(path.read_bytes()).decode()).get_model()
    return Network(model)


def check(network: Network) -> float:
    """The largest difference from VariableElimination over random queries: a hypothesis, up to five answers, a node."""
    from pgmpy.inference import VariableElimination

    draw = random.Random(SEED)
    elimination = VariableElimination(network.model)
    names = {node: network.model.get_cpds(node).state_names[node] for node in network.model.nodes()}
    worst = 0.0
    for _ in range(CHECKS):
        number = draw.randrange(len(network.hypotheses))
        fault = network.hypotheses[number]
        states = network.draw(fault, draw)
        *told, asked = draw.sample(network.nodes, draw.randint(1, 6))
        given = {node: states[node] for node in told}
        both = network.exact.joint(given)[1][asked][number]
        evidence = {one: names[one][int(one == fault)] for one in network.faults}
        evidence |= {node: names[node][state] for node, state in given.items()}
        found = elimination.query([asked], evidence=evidence, show_progress=False)
        worst = max(worst, abs(found.get_value(**{asked: names[asked][1]}) - both[1] / both.sum()))
    return worst
