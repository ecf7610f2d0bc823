"""Rules in words: what has to hold, what follows, and weights by answer."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from diagnose.rules import Compare, Pattern, Rule, Var


def weights_said(weights: Mapping[str, int], values: Mapping[str, str]) -> str:
    """'+10 this or that; -10 every other answer', heaviest for first."""
    groups: dict[int, list[str]] = {}
    for answer, weight in weights.items():
        groups.setdefault(weight, []).append(values[answer])
    most = max(groups, key=lambda weight: len(groups[weight]))
    whole = len(weights) == len(values) and len(groups[most]) > 3 and len(groups) > 1
    return "; ".join(
        f"{weight:+d} " + ("every other answer" if whole and weight == most else " or ".join(answers))
        for weight, answers in sorted(groups.items(), reverse=True)
    )


def merged(rules: Iterable[Rule]) -> list[tuple[str, Rule, list[tuple]]]:
    """Alternatives of one `when` put together again: (name, one of the rules, patterns with sets of values)."""
    families: dict[str, list[Rule]] = {}
    for rule in rules:
        families.setdefault(re.sub(r"/way\d+$", "", rule.name), []).append(rule)
    found = []
    for name, ways in families.items():
        if len({tuple((len(p), p[0]) for p in rule.when) for rule in ways}) > 1:
            found += [(rule.name, rule, list(rule.when)) for rule in ways]
            continue
        columns = zip(*(rule.when for rule in ways))
        found.append((name, ways[0], [tuple(_either(entries) for entries in zip(*column)) for column in columns]))
    return found


def _either(entries: Iterable) -> object:
    different = list(dict.fromkeys(entries))
    return different[0] if len(different) == 1 else " or ".join(str(entry).replace("_", " ") for entry in different)


def when_words(patterns: Iterable[Pattern]) -> str:
    return " and ".join(pattern_words(p) for p in patterns if p[0] not in ("always", "open")) or "always"


def pattern_words(pattern: Pattern) -> str:
    def term(entry) -> str:
        if isinstance(entry, Var):
            return entry.name
        if isinstance(entry, Compare):
            return f"{entry.sign} {entry.bound:g}"
        return str(entry).replace("_", " ")

    words = [term(entry) for entry in pattern]
    if pattern[0] == "step":
        return f"{words[1]} has {words[2]} {words[3]}" if pattern[2] != "do" else f"{words[1]} is {words[3]}"
    if pattern[0] == "over":
        return f"{words[1]} lies directly over {'the bare wood' if pattern[2] == 0 else words[2]}"
    if pattern[0] == "after":
        return f"{words[1]} came after {words[2]}"
    return " ".join(words)
