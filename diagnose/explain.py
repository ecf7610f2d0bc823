"""Everything the knowledge says about one name: one text for the terminal and for JSON."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from diagnose.complaint import Complaint, shown, would_accept
from diagnose.layout import heading, join, wrap
from diagnose.model import (
    OWN,
    UNLISTED,
    Attribute,
    Cause,
    Caution,
    Citation,
    Condition,
    Finding,
    Knowledge,
    Remedy,
    Source,
    Strategy,
    Term,
    Thing,
)
from diagnose.reading import as_name
from diagnose.rules import Compare, Pattern, Rule, Var
from diagnose.words import value_words

Section = tuple[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Entry:
    """What there is to say of one name: a kind, a title and titled lists of sentences."""

    kind: str
    id: str
    title: str
    sections: tuple[Section, ...]


def entries(knowledge: Knowledge, name: str) -> list[Entry]:
    """Every entry that goes by `name` (id, spelled name or other name). Raises Complaint with the nearest names."""
    found = [
        write(knowledge, thing)
        for kind, things, write in _tables(knowledge)
        for key, thing in things.items()
        if as_name(name) in _names(key, thing)
    ]
    found += [_rule(rule) for rule in knowledge.rules if rule.name == name]
    if as_name(name) == UNLISTED:
        found.append(
            Entry(
                "cause",
                UNLISTED,
                "none of the causes in this base",
                (
                    (
                        "what it is",
                        ("The yardstick: it stands at 0 decibans in every ranking, and wins where nothing fits.",),
                    ),
                ),
            )
        )
    if not found:
        from diagnose.flaws import CODES

        if name in CODES:
            return [Entry("audit code", name, name, (("what it means", (CODES[name],)),))]
        known = {n for _, things, _ in _tables(knowledge) for key, thing in things.items() for n in _names(key, thing)}
        raise Complaint(
            None, f"nothing is named {shown(name)}", would_accept(as_name(name), known | set(CODES), "for instance")
        )
    return found


def explain(knowledge: Knowledge, name: str, width: int) -> str:
    lines: list[str] = []
    for entry in entries(knowledge, name):
        lines += wrap(entry.title, width) + wrap(f"{entry.kind} {entry.id}", width)
        lines += wrap(f"{OWN} knowledge, {knowledge.own[entry.id]}", width) if entry.id in knowledge.own else []
        for title, sentences in entry.sections:
            lines += heading(title, width)
            for sentence in sentences:
                lines += wrap(sentence, width, "  - " if len(sentences) > 1 else "")
        lines.append("")
    return join(lines[:-1])


def explain_json(knowledge: Knowledge, name: str) -> str:
    rows = [
        {
            "kind": e.kind,
            "id": e.id,
            "title": e.title,
            "own": knowledge.own.get(e.id),
            "sections": [{"title": t, "says": list(s)} for t, s in e.sections],
        }
        for e in entries(knowledge, name)
    ]
    return json.dumps({"entries": rows}, indent=1) + "\n"


def _tables(knowledge: Knowledge) -> Iterator[tuple[str, Mapping, Callable[[Knowledge, object], Entry]]]:
    yield "cause", knowledge.causes, _cause
    yield "finding", knowledge.findings, _finding
    yield "condition", knowledge.conditions, _condition
    yield "remedy", knowledge.remedies, _remedy
    yield "material", knowledge.materials, _thing
    yield "wood", knowledge.woods, _thing
    yield "caution", knowledge.cautions, _caution
    yield "term", knowledge.terms, _term
    yield "strategy", knowledge.strategies, _strategy
    yield "source", knowledge.sources, _source
    yield "attribute", {f"{of} {name}": attribute for (of, name), attribute in knowledge.attributes.items()}, _attribute


def _names(key: str, thing) -> set[str]:
    return {
        as_name(n) for n in (key, getattr(thing, "id", key), getattr(thing, "name", key), *getattr(thing, "also", ()))
    }


def _cited(source: Iterable[Citation]) -> str:
    return f" [{'; '.join(map(str, source))}]"


def _sections(*pairs: tuple[str, Iterable[str]]) -> tuple[Section, ...]:
    made = ((title, tuple(sentence for sentence in sentences if sentence)) for title, sentences in pairs)
    return tuple((title, sentences) for title, sentences in made if sentences)


def _cause(knowledge: Knowledge, cause: Cause) -> Entry:
    def link(one) -> str:
        if one.about == "answer":
            finding = knowledge.findings[one.subject]
            head, values = finding.short, finding.answers
        else:
            head, values = (
                knowledge.conditions[one.subject].says.rstrip("."),
                {"holds": "holds", "ruled_out": "ruled out"},
            )
        return f"{head}: {_weights(one.weights, values)}. {one.because}{_cited(one.source)}"

    def check(subject: str) -> str:
        return (
            knowledge.findings[subject].question
            if subject in knowledge.findings
            else knowledge.conditions[subject].says
        )

    return Entry(
        "cause",
        cause.id,
        cause.name,
        _sections(
            ("also called", (", ".join(cause.also),)),
            ("term", (f"{t.name}: {t.says}{_cited(t.source)}" for t in map(knowledge.terms.get, cause.terms))),
            ("family and stage", (f"{knowledge.families[cause.family]}; stage: {cause.stage}",)),
            ("mechanism", (cause.mechanism + _cited(cause.source),)),
            ("how often", (f"{cause.often} ({cause.prior:+d} decibans){_cited(cause.often_source)}",)),
            ("what speaks for and against it, in decibans", map(link, cause.links)),
            (
                "looks like",
                (
                    f"{knowledge.causes[other].name}. Told apart by: {check(by)}"
                    for other, by in cause.look_alikes.items()
                ),
            ),
            (
                "remedies",
                (
                    f"{knowledge.remedies[t.remedy].name} ({t.often} cures). {t.because}{_cited(t.source)}"
                    for t in cause.treatments
                ),
            ),
            ("next time", (f"{a.advice} {a.because}{_cited(a.source)}" for a in cause.prevention)),
        ),
    )


def _finding(knowledge: Knowledge, finding: Finding) -> Entry:
    kind = knowledge.ask_kinds[finding.kind]
    moved = (
        f"{cause.name}: {_weights(link.weights, finding.answers)}"
        for cause in knowledge.causes.values()
        for link in cause.links
        if link.subject == finding.id
    )
    return Entry(
        "finding",
        finding.id,
        finding.question,
        _sections(
            ("answers", finding.answers.values()),
            ("how to find out", finding.how),
            ("what it shows", (finding.shows,)),
            ("what it may harm", (finding.harms,)),
            ("what it costs", (f"{kind.name}: about {kind.minutes:g} min{_cited(finding.source)}",)),
            ("what it moves, in decibans", moved),
        ),
    )


def _condition(knowledge: Knowledge, condition: Condition) -> Entry:
    rules = merged(rule for rule in knowledge.rules if rule.then[:2] == ("condition", condition.id))
    return Entry(
        "condition",
        condition.id,
        condition.says,
        _sections(
            (
                "when",
                (
                    f"{rule.then[2].replace('_', ' ')} when {when_words(when)}. {rule.because} [{rule.source}]"
                    f" (rule {name})"
                    for name, rule, when in rules
                ),
            ),
            (
                "what it moves, in decibans",
                (
                    f"{cause.name}: {_weights(link.weights, {'holds': 'holds', 'ruled_out': 'ruled out'})}"
                    for cause in knowledge.causes.values()
                    for link in cause.links
                    if link.subject == condition.id
                ),
            ),
        ),
    )


def _remedy(knowledge: Knowledge, remedy: Remedy) -> Entry:
    hazards = {*remedy.hazards, *(h for use in remedy.uses for h in knowledge.materials[use].hazards)}
    return Entry(
        "remedy",
        remedy.id,
        remedy.name,
        _sections(
            ("what to do", remedy.do),
            ("make sure first", (remedy.check,)),
            ("why it works", (remedy.because + _cited(remedy.source),)),
            ("cost", (f"about {remedy.minutes:g} min of work; harm to the piece: {remedy.harm}",)),
            (
                "for",
                (
                    f"{cause.name} ({t.often} cures)"
                    for cause in knowledge.causes.values()
                    for t in cause.treatments
                    if t.remedy == remedy.id
                ),
            ),
            ("cautions", (f"{knowledge.cautions[h].title}. {knowledge.cautions[h].says}" for h in sorted(hazards))),
        ),
    )


def _thing(knowledge: Knowledge, thing: Thing) -> Entry:
    of = "wood" if thing.id in knowledge.woods else "material"
    attributes = {
        name: a for (owner, name), a in knowledge.attributes.items() if owner == ("piece" if of == "wood" else "step")
    }
    traits = [f"{n.replace('_', ' ')}: {value_words(attributes[n], value, knowledge)}" for n, value in thing.traits]
    return Entry(
        of,
        thing.id,
        thing.name,
        _sections(
            ("also called", (", ".join(thing.also),)),
            ("what it does", (thing.says,)),
            ("traits", traits),
            ("used as", (", ".join(knowledge.step_kinds[kind].name for kind in thing.steps),)),
            ("source", (_cited(thing.source).strip(" []"),)),
            ("cautions", (f"{knowledge.cautions[h].title}. {knowledge.cautions[h].says}" for h in thing.hazards)),
        ),
    )


def _caution(knowledge: Knowledge, caution: Caution) -> Entry:
    carriers = [m.name for m in knowledge.materials.values() if caution.id in m.hazards]
    return Entry(
        "caution",
        caution.id,
        caution.title,
        _sections(("what to mind", (caution.says + _cited(caution.source),)), ("carried by", (", ".join(carriers),))),
    )


def _term(knowledge: Knowledge, term: Term) -> Entry:
    falls_under = [cause.name for cause in knowledge.causes.values() if term.id in cause.terms]
    return Entry(
        "term",
        term.id,
        term.name,
        _sections(
            ("also called", (", ".join(term.also),)),
            ("what it means", (term.says + _cited(term.source),)),
            ("causes that show so", falls_under),
        ),
    )


def _strategy(knowledge: Knowledge, strategy: Strategy) -> Entry:
    figure = "" if strategy.figure is None else f"figure: {strategy.figure:g}"
    return Entry(
        "strategy", strategy.id, strategy.says, _sections(("why", (strategy.because + _cited(strategy.source), figure)))
    )


def _source(knowledge: Knowledge, source: Source) -> Entry:
    return Entry(
        "source",
        source.id,
        source.title,
        _sections(("publisher and year", (f"{source.publisher}, {source.year}",)), ("read", (source.read,))),
    )


def _attribute(knowledge: Knowledge, attribute: Attribute) -> Entry:
    return Entry(
        "attribute",
        f"{attribute.of} {attribute.id}",
        attribute.question or f"{attribute.id.replace('_', ' ')} (derived)",
        _sections(
            ("values", (f"{key}: {words}" for key, words in attribute.values.items())), ("kind", (attribute.kind,))
        ),
    )


def _rule(rule: Rule) -> Entry:
    return Entry(
        "rule",
        rule.name,
        rule.name,
        _sections(
            ("when", (when_words(rule.when),)),
            ("then", (_pattern_words(rule.then),)),
            ("because", (rule.because,)),
            ("source", (rule.source,)),
        ),
    )


def _weights(weights: Mapping[str, int], values: Mapping[str, str]) -> str:
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
    return " and ".join(_pattern_words(p) for p in patterns if p[0] not in ("always", "open")) or "always"


def _pattern_words(pattern: Pattern) -> str:
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
