"""The same rules in CLIPS, an engine written independently of ours: what it derives is what ours must derive.

One ordered relation `f` holds every fact, its first field being our relation, so that a pattern matches facts of its
own length only, as ours does. Strings become CLIPS strings and numbers CLIPS floats, since CLIPS tells 1 from 1.0 and
Python does not.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

import clips

from diagnose.rules import Compare, Fact, Pattern, Rule, Var

SIGNS = {"<": "<", "<=": "<=", ">": ">", ">=": ">=", "!=": "<>"}


@dataclass(frozen=True)
class Outcome:
    """All facts that hold in the end, those of them not given, and how often each rule fired on which facts."""

    facts: frozenset[Fact]
    derived: frozenset[Fact]
    firings: Counter[tuple[str, tuple[Fact, ...]]]


def literal(entry: str | int | float) -> str:
    """One entry as CLIPS writes it."""
    if isinstance(entry, str):
        escaped = entry.replace("\\", "\\\\").replace('"', '\\"')
        return f'"{escaped}"'
    return repr(float(entry))


def fact_construct(fact: Fact) -> str:
    return f"(f {' '.join(map(literal, fact))})"


def _variable(name: str) -> str:
    return f"?v-{name}"  # a prefix of our own, so that no name of a rule meets one that the oracle makes up


def pattern_construct(pattern: Pattern, position: int) -> str:
    """A pattern as a conditional element; what compares is held to be a number first, since no word compares."""
    fields = []
    for place, term in enumerate(pattern):
        if isinstance(term, Var):
            fields.append(_variable(term.name))
        elif isinstance(term, Compare):
            own = f"?c-{position}-{place}"
            fields.append(f"{own}&:(and (numberp {own}) ({SIGNS[term.sign]} {own} {literal(term.bound)}))")
        else:
            fields.append(literal(term))
    return f"?p-{position} <- (f {' '.join(fields)})"


def rule_construct(rule: Rule, number: int) -> str:
    """The defrule: it reports the indexes of its premises, then asserts its conclusion."""
    conditions = " ".join(pattern_construct(pattern, i) for i, pattern in enumerate(rule.when))
    premises = " ".join(f"(fact-index ?p-{i})" for i in range(len(rule.when)))
    concluded = " ".join(_variable(t.name) if isinstance(t, Var) else literal(t) for t in rule.then)
    return f"(defrule r{number} {conditions} => (report {number} {premises}) (assert (f {concluded})))"


class Oracle:
    """Rules built once in an environment of their own; `run` starts from no facts each time."""

    def __init__(self, rules: Iterable[Rule]):
        self.rules = tuple(rules)
        self._fired: list[tuple[int, ...]] = []
        self._env = clips.Environment()
        self._env.define_function(lambda *numbers: self._fired.append(tuple(map(int, numbers))), name="report")
        for number, rule in enumerate(self.rules):
            self._env.build(rule_construct(rule, number))

    def run(self, given: Iterable[Fact]) -> Outcome:
        given = frozenset(given)
        self._env.reset()
        self._fired.clear()
        self._env.load_facts("\n".join(map(fact_construct, given)))  # at once: one by one takes as long as running them
        self._env.run()
        by_index = {fact.index: tuple(map(_entry, fact)) for fact in self._env.facts() if fact.template.name == "f"}
        firings = Counter(
            (self.rules[number].name, tuple(by_index[index] for index in premises)) for number, *premises in self._fired
        )
        facts = frozenset(by_index.values())
        return Outcome(facts, facts - given, firings)


def _entry(value: object) -> str | float:
    return value if isinstance(value, float) else str(value)
