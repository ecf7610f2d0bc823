"""The audit of rules: nothing unused or unreachable, no contradiction, all of it exercised by examples."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping

from diagnose.complaint import Place
from diagnose.flaws import Flaw
from diagnose.model import Knowledge
from diagnose.rules import Pattern, Rule
from diagnose.trying import Tried

_WAY = re.compile(r"/way\d+\Z")


def written(rule: str) -> str:
    """The name of the rule as it was written; alternatives are compiled to several."""
    return _WAY.sub("", rule)


def unused(knowledge: Knowledge) -> Iterator[Flaw]:
    """Questions, conditions, remedies and values that nothing looks at."""
    used = {pattern[:2] for rule in knowledge.rules for pattern in rule.when}
    for finding in knowledge.findings.values():
        if ("answer", finding.id) not in used:
            yield Flaw("unused-finding", finding.place, f"nothing uses the answers to {finding.id}", finding.id)
    for condition in knowledge.conditions.values():
        if ("condition", condition.id) not in used:
            yield Flaw("unused-condition", condition.place, f"nothing uses {condition.id}", condition.id)
    named = {treatment.remedy for cause in knowledge.causes.values() for treatment in cause.treatments}
    for remedy in knowledge.remedies.values():
        if remedy.id not in named:
            yield Flaw("unused-remedy", remedy.place, f"no cause names {remedy.id}", remedy.id)
    looked_at = {(p[-2], p[-1]) for rule in knowledge.rules for p in rule.when if len(p) >= 3}
    for (of, name), attribute in knowledge.attributes.items():
        if attribute.kind == "choice" and not attribute.derived:
            for value in attribute.values:
                if (name, value) not in looked_at:
                    yield Flaw(
                        "unused-value", attribute.place, f"no rule looks at {of} {name}: {value}", f"{name}.{value}"
                    )


def half_told(knowledge: Knowledge) -> Iterator[Flaw]:
    """Tests that leave out what their kind of asking needs them to say."""
    for finding in knowledge.findings.values():
        needs = knowledge.ask_kinds[finding.kind].needs
        for part in [part for part in needs if not getattr(finding, part)]:
            yield Flaw("half-told-test", finding.place, f"{finding.id} ({finding.kind}) lacks `{part}:`", finding.id)


def structure(knowledge: Knowledge) -> Iterator[Flaw]:
    """What is wrong with the rules whatever the case: circles, contradictions, redundancy, questions never reached."""
    yield from _circles(knowledge)
    by_condition: dict[tuple[str, str], list[Rule]] = defaultdict(list)
    for rule in knowledge.rules:
        if rule.then[0] == "condition":
            by_condition[rule.then[1], rule.then[2]].append(rule)
    for (name, status), rules in by_condition.items():
        place = knowledge.conditions[name].place
        for one, other in _subsumed(rules, rules):
            if one is not other:
                yield Flaw(
                    "subsumed-rule",
                    place,
                    f"{one.name} fires only where {other.name} does",
                    f"{one.name} / {other.name}",
                )
        if status == "holds":
            for one, other in _subsumed(rules, by_condition.get((name, "ruled_out"), [])):
                yield Flaw("contradiction", place, f"{one.name} holds where {other.name} rules out", name)
            for one, other in _subsumed(by_condition.get((name, "ruled_out"), []), rules):
                yield Flaw("contradiction", place, f"{one.name} rules out where {other.name} holds", name)
    yield from _unaskable(knowledge)


def _subsumed(rules: Iterable[Rule], others: Iterable[Rule]) -> Iterator[tuple[Rule, Rule]]:
    """Pairs of a rule and another whose patterns are all among its own. Steps count as the same by the names they were
    given, so rules of one condition are compared best where they name steps alike."""
    sets = [(rule, frozenset(rule.when)) for rule in rules]
    keyed = [(rule, frozenset(rule.when)) for rule in others]
    for rule, patterns in sets:
        for other, fewer in keyed:
            if fewer <= patterns and rule is not other and (fewer < patterns or rule.name > other.name):
                yield rule, other


def _circles(knowledge: Knowledge) -> Iterator[Flaw]:
    """Conditions and traits that rest on themselves; a trait is `step carrier`, whatever its value."""
    rests: dict[tuple[str, str], set[tuple[str, str]]] = defaultdict(set)
    for rule in knowledge.rules:
        if rule.then[0] in ("condition", "step", "piece") and rule.because:
            rests[_node(rule.then)] |= {_node(p) for p in rule.when if p[0] in ("condition", "step", "piece")}
    for start in sorted(rests):
        reached, waiting = set(), list(rests[start])
        while waiting:
            node = waiting.pop()
            if node not in reached:
                reached.add(node)
                waiting.extend(rests.get(node, ()))
        if start in reached:
            condition = knowledge.conditions.get(start[1])
            place = condition.place if condition else knowledge.attributes[start].place
            yield Flaw("circular-rules", place, f"{' '.join(start)} rests on itself", start[1])


def _node(pattern: Pattern) -> tuple[str, str]:
    return (pattern[0], str(pattern[2] if pattern[0] == "step" else pattern[1]))


def _unaskable(knowledge: Knowledge) -> Iterator[Flaw]:
    """Findings that no chain of answers, beginning on the opening page or anywhere, ever makes sensible."""
    ways: dict[str, list[set[str]]] = defaultdict(list)
    for rule in knowledge.rules:
        if rule.then[0] == "sensible":
            ways[rule.then[1]].append({p[1] for p in rule.when if p[0] == "answer"})
    askable = set(knowledge.opening)
    while True:
        more = {name for name, needs in ways.items() if name not in askable and any(n <= askable for n in needs)}
        if not more:
            break
        askable |= more
    for name, finding in knowledge.findings.items():
        if name not in askable:
            yield Flaw("unaskable-finding", finding.place, f"no answers ever lead to {name}", name)


def exercise(knowledge: Knowledge, tried: list[Tried], more: Iterable[str] = ()) -> Iterator[Flaw]:
    """What no example has met; `more` names rules that fired elsewhere than in cases."""
    met = {fact for one in tried for fact in one.facts}
    fired = {written(name) for names in (more, *(one.fired for one in tried)) for name in names}
    for condition in knowledge.conditions.values():
        if ("condition", condition.id, "holds") not in met:
            yield Flaw("dead-condition", condition.place, f"{condition.id} holds in no example", condition.id)
    for one in tried:
        for fact in sorted(fact for fact in one.facts if fact[0] == "condition"):
            if fact[2] == "holds" and (*fact[:2], "ruled_out") in one.facts:
                place = knowledge.conditions[fact[1]].place
                yield Flaw("contradiction", place, f"{fact[1]} both holds and is ruled out in {one.case.id}", fact[1])
    for finding in knowledge.findings.values():
        if ("sensible", finding.id) not in met:
            yield Flaw("never-asked", finding.place, f"{finding.id} makes sense in no example", finding.id)
    weighed = {fact[2] for fact in met if fact[0] == "weigh"}
    for cause in knowledge.causes.values():
        for link in cause.links:
            if link.id not in weighed:
                yield Flaw("unexercised-link", link.place, f"no example meets {link.id}", link.id)
    for name, place in _places(knowledge).items():
        if name not in fired:
            yield Flaw("unexercised-rule", place, f"{name} fires in no example", name)


def _places(knowledge: Knowledge) -> Mapping[str, Place]:
    """The rules as written that an example has to make fire, with the place of what they belong to."""
    found: dict[str, Place] = {}
    for rule in knowledge.rules:
        name, head = written(rule.name), rule.then[0]
        if head == "condition":
            found[name] = knowledge.conditions[rule.then[1]].place
        elif head in ("fits", "barred"):
            found[name] = knowledge.remedies[rule.then[1]].place
        elif head == "caution" and rule.then[2:] == ("piece", "piece"):
            found[name] = knowledge.cautions[rule.then[1]].place
        elif name.startswith("trait/"):
            key = ("piece" if head == "piece" else "step", str(rule.then[-2]))
            found[name] = knowledge.attributes[key].place
    return found
