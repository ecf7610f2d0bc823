"""The trace: every fact with the rule and the facts it came from, down to what the user said.

A fact may follow in several ways. The way shown is the shortest, then the first by name, so that the trace is the same
whatever order the engine fired in, and never runs in a circle.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from diagnose.rules import Fact, Firing, fact_order, fact_text

SILENT = ("open", "always", "sensible", "opens")  # bookkeeping; kept out of what is shown


@dataclass(frozen=True, slots=True)
class Step:
    """One fact of the trace. `rule` is "given" for what the user said; `origin` then tells where."""

    fact: Fact
    rule: str
    premises: tuple[Fact, ...]
    depth: int
    origin: str = ""

    @property
    def text(self) -> str:
        return fact_text(self.fact)


class Trace:
    """Facts by how they came about. Build with `trace_of`."""

    def __init__(self, steps: Mapping[Fact, Step]):
        self._steps = steps

    def __contains__(self, fact: Fact) -> bool:
        return fact in self._steps

    def __getitem__(self, fact: Fact) -> Step:
        return self._steps[fact]

    def __iter__(self) -> Iterator[Step]:
        """All shown steps, causes before effects, otherwise in the order of their facts."""
        return iter(
            sorted(
                (s for s in self._steps.values() if s.fact[0] not in SILENT),
                key=lambda s: (s.depth, fact_order(s.fact)),
            )
        )

    def of(self, relation: str) -> list[Step]:
        return sorted((s for s in self._steps.values() if s.fact[0] == relation), key=lambda s: fact_order(s.fact))

    def premises(self, fact: Fact) -> list[Fact]:
        """What a fact was derived from, without bookkeeping."""
        return [p for p in self._steps[fact].premises if p[0] not in SILENT]

    def below(self, facts: Iterable[Fact]) -> list[Step]:
        """`facts` and all they rest on, causes before effects."""
        needed, waiting = set(), list(facts)
        while waiting:
            fact = waiting.pop()
            if fact not in needed and fact[0] not in SILENT:
                needed.add(fact)
                waiting.extend(self._steps[fact].premises)
        return [step for step in self if step.fact in needed]


def trace_of(given: Mapping[Fact, str], firings: Iterable[Firing]) -> Trace:
    """The canonical trace of what `firings` derived from `given`."""
    steps = {fact: Step(fact, "given", (), 0, origin) for fact, origin in given.items()}
    waiting = list(set(firings))
    depth = 0
    while waiting:
        depth += 1
        ready: dict[Fact, list[Firing]] = {}
        left = []
        for firing in waiting:
            if firing.fact in steps:
                continue
            if all(premise in steps for premise in firing.premises):
                ready.setdefault(firing.fact, []).append(firing)
            else:
                left.append(firing)
        if not ready:
            break
        for fact, ways in ready.items():
            first = ways[0] if len(ways) == 1 else min(ways, key=_firing_order)
            steps[fact] = Step(fact, first.rule, first.premises, depth)
        waiting = left
    return Trace(steps)


def _firing_order(firing: Firing) -> tuple:
    return firing.rule, tuple(fact_order(premise) for premise in firing.premises), fact_order(firing.fact)
