"""What there is to say of one thing of the knowledge: an entry for each kind, the one text for every format."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagnose.label_model import Ingredient
from diagnose.load_ingredients import PARTS
from diagnose.model import (
    AskKind,
    Attribute,
    Board,
    Cause,
    Caution,
    Change,
    Citation,
    Condition,
    Finding,
    Knowledge,
    Remedy,
    Source,
    StepKind,
    Strategy,
    Term,
    Thing,
)
from diagnose.rule_words import merged, pattern_words, weights_said, when_words
from diagnose.rules import Rule
from diagnose.tables import table
from diagnose.words import minutes_words, step_words, value_words

Section = tuple[str, tuple[str, ...]]
IN_PLAN = {
    "": "tells causes apart only",
    "fault": "a fault: good practice avoids it",
    "exposure": "an exposure: the wood, the place or the kind of finish bring it",
    "guard": "a guard: it keeps from a failure",
}
CHANGES = {
    "set": "does a step otherwise",
    "wait": "gives a step another drying time",
    "air": "changes the air",
    "product": "takes another product that fits the step",
    "between": "puts work or a coat under a layer",
    "first": "puts work before the first layer",
    "order": "lets two neighbouring layers change places",
    "drop": "leaves a step out",
}
FIGURES = ("boils", "flash", "rate", "hansen", "vapour_pressure", "water", "density")  # of shared/solvents.yaml


@dataclass(frozen=True, slots=True)
class Entry:
    """What there is to say of one name: a kind, a title and titled lists of sentences."""

    kind: str
    id: str
    title: str
    sections: tuple[Section, ...]


def _cited(source: Iterable[Citation]) -> str:
    return f" [{'; '.join(map(str, source))}]"


def _sections(*pairs: tuple[str, Iterable[str]]) -> tuple[Section, ...]:
    made = ((title, tuple(sentence for sentence in sentences if sentence)) for title, sentences in pairs)
    return tuple((title, sentences) for title, sentences in made if sentences)


def of_cause(knowledge: Knowledge, cause: Cause) -> Entry:
    def link(one) -> str:
        if one.about == "answer":
            finding = knowledge.findings[one.subject]
            head, values = finding.short, finding.answers
        else:
            head, values = (
                knowledge.conditions[one.subject].says.rstrip("."),
                {"holds": "holds", "ruled_out": "ruled out"},
            )
        return f"{head}: {weights_said(one.weights, values)}. {one.because}{_cited(one.source)}"

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


def of_finding(knowledge: Knowledge, finding: Finding) -> Entry:
    kind = knowledge.ask_kinds[finding.kind]
    moved = (
        f"{cause.name}: {weights_said(link.weights, finding.answers)}"
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
            ("if it is not known, this tells", (knowledge.findings[name].question for name in finding.find_out)),
            ("what it moves, in decibans", moved),
        ),
    )


def of_condition(knowledge: Knowledge, condition: Condition) -> Entry:
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
            ("in a plan", (IN_PLAN[condition.in_plan],)),
            (
                "what it moves, in decibans",
                (
                    f"{cause.name}: {weights_said(link.weights, {'holds': 'holds', 'ruled_out': 'ruled out'})}"
                    for cause in knowledge.causes.values()
                    for link in cause.links
                    if link.subject == condition.id
                ),
            ),
        ),
    )


def of_remedy(knowledge: Knowledge, remedy: Remedy) -> Entry:
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
            ("cautions", _hazards(knowledge, sorted(hazards))),
        ),
    )


def of_thing(knowledge: Knowledge, thing: Thing) -> Entry:
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
            ("cautions", _hazards(knowledge, thing.hazards)),
        ),
    )


def of_ingredient(knowledge: Knowledge, ingredient: Ingredient) -> Entry:
    traits = [
        f"{name.replace('_', ' ')}: {value_words(knowledge.attributes['step', name], value, knowledge)}"
        for name, value in ingredient.traits
    ]
    row = table("solvents").get(ingredient.figures, {})
    figures = [f"{name.replace('_', ' ')}: {_figure(row[name])}" for name in FIGURES if name in row]
    return Entry(
        "ingredient",
        ingredient.id,
        ingredient.name,
        _sections(
            ("also called", ("; ".join(ingredient.also),)),
            ("registry numbers (CAS)", (", ".join(ingredient.cas),)),
            ("what it is", (f"{ingredient.part}: {PARTS[ingredient.part]}",)),
            ("what it does", (ingredient.says + _cited(ingredient.source),)),
            ("what it brings", traits),
            ("figures", figures),
            ("cautions", _hazards(knowledge, ingredient.hazards)),
        ),
    )


def _figure(row: Mapping[str, str]) -> str:
    """'1.7 n-butyl acetate = 1 (published: a table)'; ends of a range, or the parts of a Hansen figure."""
    said = " to ".join(row[end] for end in ("low", "high") if end in row) or row.get("value", "")
    said = said or ", ".join(f"{axis} {row[axis]}" for axis in ("dD", "dP", "dH") if axis in row)
    return f"{said} {row.get('unit', '')} ({row['basis']}: {row['source']})".replace("  ", " ")


def of_caution(knowledge: Knowledge, caution: Caution) -> Entry:
    carriers = [m.name for m in knowledge.materials.values() if caution.id in m.hazards]
    return Entry(
        "caution",
        caution.id,
        caution.title,
        _sections(("what to mind", (caution.says + _cited(caution.source),)), ("carried by", (", ".join(carriers),))),
    )


def of_term(knowledge: Knowledge, term: Term) -> Entry:
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


def of_strategy(knowledge: Knowledge, strategy: Strategy) -> Entry:
    figure = "" if strategy.figure is None else f"figure: {strategy.figure:g}"
    return Entry(
        "strategy", strategy.id, strategy.says, _sections(("why", (strategy.because + _cited(strategy.source), figure)))
    )


def of_change(knowledge: Knowledge, change: Change) -> Entry:
    kinds = ", ".join(knowledge.step_kinds[kind].name for kind in change.kinds)
    return Entry(
        "change",
        change.id,
        change.name,
        _sections(
            ("what it does", (CHANGES[change.how],)),
            ("to", (", ".join(change.values),)),
            ("steps put in", (step_words(step, knowledge) for step in change.steps)),
            ("of which steps", (kinds,)),
            ("why", (change.because + _cited(change.source),)),
            ("effort", (f"about {minutes_words(change.minutes)}",)),
        ),
    )


def of_board(knowledge: Knowledge, board: Board) -> Entry:
    cause = knowledge.causes[board.cause]
    steps = (*board.fails, *board.sound)
    products = {value for step in steps if "product" in step.given for value in step.given["product"].values}
    hazards = {*board.hazards, *(h for step in steps for h in knowledge.step_kinds[step.do].hazards)}
    used = (knowledge.materials[use] for use in {*board.uses, *products} if use in knowledge.materials)
    hazards |= {hazard for material in used for hazard in material.hazards}
    return Entry(
        "test board",
        board.id,
        board.name,
        _sections(
            ("shows on purpose", (cause.name,)),
            ("to have ready", board.ready),
            ("what to do", board.do),
            ("the failing half", (board.fails_show,)),
            ("the sound half", (board.sound_shows,)),
            ("what it teaches", (board.says + _cited(board.source),)),
            ("cautions", _hazards(knowledge, sorted(hazards))),
        ),
    )


def of_family(knowledge: Knowledge, family: tuple[str, str]) -> Entry:
    name, says = family
    causes = sorted((c for c in knowledge.causes.values() if c.family == name), key=lambda c: (-c.prior, c.name))
    return Entry(
        "family", name, says, _sections(("causes, most often met first", (f"{c.name} ({c.often})" for c in causes)))
    )


def of_step_kind(knowledge: Knowledge, kind: StepKind) -> Entry:
    what = [
        "leaves a coat that the next one lies on" if kind.layer else "leaves no coat",
        "done on bare wood only" if kind.bare else "",
        "may lay the wood bare again" if kind.bares else "",
        "takes off all coats below" if kind.strips else "",
    ]
    details = [a for (of, _), a in knowledge.attributes.items() if of == "step" and not a.derived]
    fitting = [a for a in details if a.id != "do" and (not a.steps or kind.id in a.steps)]
    return Entry(
        "step",
        kind.id,
        kind.name,
        _sections(
            ("also called", (", ".join(kind.also),)),
            ("what it is to the schedule", what),
            ("what can be said of it", (f"{a.id}: {a.question}" for a in fitting)),
            ("materials", (", ".join(m.name for m in knowledge.materials.values() if kind.id in m.steps),)),
            ("cautions", _hazards(knowledge, kind.hazards)),
        ),
    )


def of_ask_kind(knowledge: Knowledge, kind: AskKind) -> Entry:
    asked = sorted(f.question for f in knowledge.findings.values() if f.kind == kind.id)
    cost = f"about {kind.minutes:g} min; weighed by {kind.harm:g} for what it may do to the piece"
    return Entry("way of asking", kind.id, kind.name, _sections(("what it costs", (cost,)), ("asked so", asked)))


def _hazards(knowledge: Knowledge, hazards: Iterable[str]) -> Iterable[str]:
    return (f"{knowledge.cautions[h].title}. {knowledge.cautions[h].says}" for h in hazards)


def of_source(knowledge: Knowledge, source: Source) -> Entry:
    return Entry(
        "source",
        source.id,
        source.title,
        _sections(("publisher and year", (f"{source.publisher}, {source.year}",)), ("read", (source.read,))),
    )


def of_attribute(knowledge: Knowledge, attribute: Attribute) -> Entry:
    return Entry(
        "attribute",
        f"{attribute.of} {attribute.id}",
        attribute.question or f"{attribute.id.replace('_', ' ')} (derived)",
        _sections(
            ("values", (f"{key}: {words}" for key, words in attribute.values.items())),
            ("kind", (attribute.kind,)),
            ("if it is not known, this tells", (knowledge.findings[name].question for name in attribute.find_out)),
        ),
    )


def of_rule(rule: Rule) -> Entry:
    return Entry(
        "rule",
        rule.name,
        rule.name,
        _sections(
            ("when", (when_words(rule.when),)),
            ("then", (pattern_words(rule.then),)),
            ("because", (rule.because,)),
            ("source", (rule.source,)),
        ),
    )
