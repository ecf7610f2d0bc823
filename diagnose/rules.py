"""What the knowledge compiles to: facts as flat tuples, rules that join a few of them, firings that record it.

A fact is a tuple whose first entry names its relation, for instance ("step", 3, "carrier", "water"). The relations are
listed in DEVELOPERS.md. Rules only ever add facts, so the set of derived facts does not depend on any order.
"""

from __future__ import annotations

import operator
from dataclasses import dataclass

Fact = tuple[str | int | float, ...]

COMPARISONS = {"<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge, "!=": operator.ne}


@dataclass(frozen=True, slots=True)
class Var:
    """Stands for the same entry wherever it occurs in one rule."""

    name: str


@dataclass(frozen=True, slots=True)
class Compare:
    """Any number that compares so with `bound`."""

    sign: str
    bound: float

    def holds(self, value: object) -> bool:
        return isinstance(value, int | float) and COMPARISONS[self.sign](value, self.bound)


Pattern = tuple[str | int | float | Var | Compare, ...]


@dataclass(frozen=True, slots=True)
class Rule:
    """When all of `when` match, `then` is so. `name` says where it came from and is unique."""

    name: str
    when: tuple[Pattern, ...]
    then: Pattern
    because: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class Firing:
    """One use of a rule: `fact` follows from `premises` (facts, in the order of the rule's patterns)."""

    rule: str
    premises: tuple[Fact, ...]
    fact: Fact


def instantiate(pattern: Pattern, bound: dict[str, str | int | float]) -> Fact:
    return tuple(bound[term.name] if isinstance(term, Var) else term for term in pattern)


def bind(pattern: Pattern, fact: Fact, bound: dict) -> dict | None:
    """`bound` extended so that `pattern` equals `fact`, or None. `bound` itself stays as it is."""
    if len(pattern) != len(fact):
        return None
    extended = bound
    for term, entry in zip(pattern, fact):
        if isinstance(term, Var):
            if term.name in extended:
                if extended[term.name] != entry:
                    return None
            else:
                if extended is bound:
                    extended = dict(bound)
                extended[term.name] = entry
        elif isinstance(term, Compare):
            if not term.holds(entry):
                return None
        elif term != entry:
            return None
    return extended


def fact_text(fact: Fact) -> str:
    """The fact as one line; it serves as its name in traces and JSON."""
    return " ".join(f"{entry:g}" if isinstance(entry, float) else str(entry) for entry in fact)


def fact_order(fact: Fact) -> tuple:
    """A total order over facts of mixed entries, the same in every process."""
    return tuple((1, entry, "") if isinstance(entry, int | float) else (0, 0, entry) for entry in fact)
