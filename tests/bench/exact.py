"""Exact inference on a network of two-state nodes, for a set of hypotheses at once (for tests/bench/published_network.py).

Each hypothesis fixes the fault nodes. Every other node is summed out in a fixed order (bucket elimination), all arrays
with a first axis for the hypothesis. Answers enter as indicators, one for each state of each node; the derivative of the
result by the indicator of a state is the probability of that state together with all answers given for other nodes
(A. Darwiche, J. ACM 50(3), 2003; from memory). So one pass forth and one back give what every question could bring.
"""

from __future__ import annotations

from collections.abc import Mapping
from string import ascii_letters

import numpy as np

Factor = tuple[tuple[str, ...], np.ndarray]  # names of its axes, and the values with the axis of hypotheses before them


class Exact:
    """`factors`: (node and parents, table) of every node, tables with axes in that order; the faults among the names are
    in state 1 where the hypothesis is that fault and in state 0 otherwise. A hypothesis "" is that none is present."""

    def __init__(self, factors: list[tuple[tuple[str, ...], np.ndarray]], faults: list[str], hypotheses: list[str]):
        self.hypotheses = hypotheses
        own = [self._for_each(names, table, faults) for names, table in factors if names[0] not in faults]
        self.nodes = sorted(names[0] for names, _ in factors if names[0] not in faults)
        self.buckets: list[tuple[str, Factor, list[str], tuple[str, ...]]] = []
        self._plan(own, self._order([names for names, _ in own]))

    def _for_each(self, names: tuple[str, ...], table: np.ndarray, faults: list[str]) -> Factor:
        """The table for each hypothesis, without the axes of faults."""
        picked = [
            table[tuple(int(name == hypothesis) if name in faults else slice(None) for name in names)]
            for hypothesis in self.hypotheses
        ]
        return tuple(name for name in names if name not in faults), np.array(picked, dtype=float)

    @staticmethod
    def _order(scopes: list[tuple[str, ...]]) -> list[str]:
        """Least neighbours first."""
        near: dict[str, set[str]] = {}
        for scope in scopes:
            for name in scope:
                near.setdefault(name, set()).update(scope)
        order = []
        while near:
            name = min(near, key=lambda one: (len(near[one]), one))
            order.append(name)
            around = near.pop(name) - {name}
            for other in around:
                near[other] = (near[other] | around) - {name}
        return order

    def _plan(self, own: list[Factor], order: list[str]) -> None:
        """A bucket for each node: the product of its tables, the earlier nodes whose result it takes, what it leaves."""
        left = list(own)
        results: dict[str, tuple[str, ...]] = {}
        for node in order:
            mine = [factor for factor in left if node in factor[0]]
            left = [factor for factor in left if node not in factor[0]]
            taken = [name for name, scope in results.items() if node in scope]
            scopes = [scope for scope, _ in mine] + [results.pop(name) for name in taken]
            rest = tuple(sorted({name for scope in scopes for name in scope} - {node}))
            tables = tuple(sorted({name for scope, _ in mine for name in scope}))
            product = self._sum([*mine], tables) if mine else np.ones((len(self.hypotheses),))
            self.buckets.append((node, (tables, product), taken, rest))
            results[node] = rest
        self.last = list(results)

    @staticmethod
    def _sum(factors: list[Factor], out: tuple[str, ...]) -> np.ndarray:
        letters = {
            name: ascii_letters[n + 1] for n, name in enumerate(sorted({n for names, _ in factors for n in names}))
        }
        words = ",".join("a" + "".join(letters[name] for name in names) for names, _ in factors)
        return np.einsum(f"{words}->a{''.join(letters[name] for name in out)}", *(values for _, values in factors))

    def joint(self, given: Mapping[str, int]) -> tuple[np.ndarray, dict[str, np.ndarray]]:
        """P(answers | hypothesis), and for each node P(node = 0 or 1, answers for the other nodes | hypothesis).

        Shapes (hypotheses,) and (hypotheses, 2).
        """
        count = len(self.hypotheses)
        said = {node: np.ones((count, 2)) for node in self.nodes}
        for node, state in given.items():
            said[node][:, 1 - state] = 0
        results: dict[str, Factor] = {}
        inputs: dict[str, list[Factor]] = {}
        for node, tables, taken, rest in self.buckets:
            inputs[node] = [tables, ((node,), said[node]), *(results[name] for name in taken)]
            results[node] = (rest, self._sum(inputs[node], rest))
        ends = {name: results[name][1] for name in self.last}
        whole = np.prod(list(ends.values()), axis=0)
        back: dict[str, Factor] = {}
        for name in self.last:
            others = [value for other, value in ends.items() if other != name]
            back[name] = ((), np.prod(others, axis=0) if others else np.ones(count))
        derived = {}
        for node, _, taken, _ in reversed(self.buckets):
            for position, name in ((1, node), *enumerate(taken, 2)):
                others = [back[node], *(one for n, one in enumerate(inputs[node]) if n != position)]
                scope = inputs[node][position][0]
                found = self._sum(others, scope)
                if position == 1:
                    derived[name] = found
                else:
                    back[name] = (scope, found)
        return whole, derived
