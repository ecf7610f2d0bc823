"""A diagnosis as an outline: every heading, paragraph, list and table of a written report, worded once.

Text, Markdown and HTML differ only in how they lay these blocks out; nothing here knows a width or a markup.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from diagnose.asking import Question
from diagnose.blocks import (
    Bar,
    Bars,
    Block,
    Chain,
    Job,
    Jobs,
    Ledger,
    Link,
    Map,
    Numbered,
    Outline,
    Pairs,
    Part,
    Points,
    Row,
    Strata,
    Text,
    Warnings,
    Weight,
)
from diagnose.diagnosis import Diagnosis
from diagnose.facts import WOOD
from diagnose.layout import percent
from diagnose.ledger import Entry, Standing
from diagnose.model import UNLISTED, Citation
from diagnose.reasoning import reasoning
from diagnose.rules import Fact, Rule
from diagnose.section import Section, section
from diagnose.trace import Trace
from diagnose.words import answer_words, fact_words, minutes_words, open_words, piece_words, step_parts

PRACTICE = ("common practice", "from memory")
SHOWN_CAUSES = 5
SHOWN_FROM = 0.01
LIKELY = 0.5
FIRST_OF_ALL = "The product's own safety data sheet, local rules and licensed practice come before anything said here."
HARMS = {"none": "can be undone", "slight": "hard to undo", "lasting": "cannot be undone"}


class Citations:
    """The publications cited so far, numbered as they are met."""

    def __init__(self):
        self.numbers: dict[str, int] = {}

    def cite(self, source: str) -> str:
        """'[2; common practice]' for the sources in `source`: practice in words, publications by their number."""
        marks = []
        for one in source.split("; "):
            plain = one.startswith(PRACTICE) or len(one) <= 20
            marks.append(one if plain else str(self.numbers.setdefault(one, len(self.numbers) + 1)))
        return f"[{'; '.join(marks)}]"

    def of(self, source: Iterable[Citation]) -> str:
        return self.cite("; ".join(map(str, source)))


def outline(diagnosis: Diagnosis) -> Outline:
    """Everything a written report says, down to the reasoning and the list of sources."""
    cited = Citations()
    parts = [
        in_short(diagnosis),
        piece(diagnosis),
        found(diagnosis),
        standing(diagnosis),
        why(diagnosis, diagnosis.first, cited),
        runner_up(diagnosis),
        remedies(diagnosis, cited),
        prevention(diagnosis, cited),
        cautions(diagnosis, cited),
        unknown(diagnosis),
        chain(diagnosis, cited),
    ]
    parts.append(sources(cited))
    case = diagnosis.case
    title = (case.title or case.id) + (" (invented case)" if case.invented else "")
    return Outline(title, tuple(_about(diagnosis)), tuple(part for part in parts if part and part.blocks))


def _about(diagnosis: Diagnosis) -> Iterator[str]:
    case, version = diagnosis.case, diagnosis.knowledge.version
    yield f"case {case.id}, knowledge {version}"
    if case.source:
        yield f"source: {case.source}"
    if case.notes:
        yield f"noted: {' '.join(case.notes.split())}"
    if case.diagnosed_with and case.diagnosed_with != version:
        yield f"This case was last diagnosed with knowledge {case.diagnosed_with}; the base has changed since."


def in_short(diagnosis: Diagnosis) -> Part:
    """What was asked and what it comes to, for who reads no further."""
    knowledge, first, (rows,) = diagnosis.knowledge, diagnosis.first, piece(diagnosis).blocks
    asked = diagnosis.case.findings.get(knowledge.opening[0])
    pairs = [("What is wrong", answer_words(knowledge.opening[0], asked, knowledge))] if asked else []
    label = "Most likely" if first.probability >= LIKELY else "Leading, but not yet likely"
    pairs.append((label, f"{first.name} - {first.word} ({percent(first.probability)})"))
    marked = [row for row in rows.rows if row.mark]
    if marked:
        pairs.append(("Where", f"{marked[0].mark.capitalize()}: {'; '.join(map(_spot, marked))}"))
    pairs += [("First to do", diagnosis.remedies[0].remedy.name)] if diagnosis.remedies else []
    if first.probability < LIKELY and diagnosis.questions:
        pairs.append(("First to find out", asked_words(diagnosis.questions[0])))
    return Part("short", "In short", (Pairs(tuple(pairs)),))


def _spot(row: Row) -> str:
    """'between step 5 and step 4', 'step 4, dye or stain', 'the wood'."""
    return row.name if row.kind == "interface" else f"step {row.number}, {row.name}" if row.number else "the wood"


def piece(diagnosis: Diagnosis) -> Part:
    """The cross-section, top coat first, with the place of the trouble marked."""
    cut = section(diagnosis)
    bare = "" if diagnosis.case.steps else "No step was listed, so only the wood is drawn. "
    strata = Strata(tuple(_rows(diagnosis, cut)), bare + cut.why)
    return Part("piece", "The piece in section, top coat first", (strata,))


def _rows(diagnosis: Diagnosis, cut: Section) -> Iterator[Row]:
    case, knowledge = diagnosis.case, diagnosis.knowledge
    lying = {layer.number for layer in cut.layers}
    surely = cut.told == "trace" and diagnosis.first.probability >= LIKELY
    sits = "the trouble sits here" if surely else "the trouble may sit here"
    failing = cut.failing
    for step in reversed(case.steps):
        n = step.number
        kind = "layer" if n in lying else "gone" if n in cut.gone else "work"
        mark = sits if n in failing.layers or n in failing.work else ""
        yield Row(kind, n, *step_parts(step, knowledge), mark, next(iter(knowledge.step_kinds[step.do].seat_of), ""))
        for lower, upper in sorted(failing.interfaces):
            if upper == n:
                below = f"step {lower}" if lower else "the wood"
                yield Row("interface", n, f"between step {upper} and {below}", mark=sits)
    yield Row("wood", WOOD, piece_words(case, knowledge), mark=sits if WOOD in failing.layers else "")


def found(diagnosis: Diagnosis) -> Part:
    knowledge = diagnosis.knowledge
    said = tuple(
        f"{knowledge.findings[name].short}: {answer_words(name, given, knowledge)}"
        for name, given in diagnosis.case.findings.items()
    )
    return Part("found", "What was found", (Points(said),) if said else ())


def standing(diagnosis: Diagnosis, most: int = SHOWN_CAUSES) -> Part:
    """The ranking with words and figures; "none of these" always stands in it."""
    shown = [row for row in diagnosis.ranking[:most] if row.probability >= SHOWN_FROM]
    shown += [row for row in diagnosis.ranking if row.id == UNLISTED and row not in shown]
    blocks: list[Block] = [Bars(tuple(Bar(n, r.name, r.word, r.probability) for n, r in enumerate(shown, 1)))]
    if diagnosis.first.id == UNLISTED:
        says = (
            "Nothing in this base fits what is known well enough to act on. Do nothing to the piece that cannot be "
            "undone; answer more of the questions below, or ask somebody who can see the piece."
        )
        blocks.append(Text(says, mind=True))
    for complaint, row in diagnosis.apart:
        said = diagnosis.knowledge.findings[diagnosis.knowledge.opening[0]].answers[complaint]
        blocks.append(
            Text(f"Not explained by the first: {said}. Taken alone it points to: {row.name} - {row.word}.", mind=True)
        )
    return Part("standing", "What most likely happened", tuple(blocks))


def why(diagnosis: Diagnosis, row: Standing, cited: Citations) -> Part | None:
    """The mechanism and the whole ledger of one cause."""
    if row.cause is None:
        return None
    mechanism = Text(f"{row.cause.mechanism} {cited.of(row.cause.source)}")
    weights = tuple(_weight(diagnosis, entry, cited) for entry in row.ledger)
    return Part("why", f"Why: {row.name}", (mechanism, Ledger(row.name, weights, row.weight)))


def _weight(diagnosis: Diagnosis, entry: Entry, cited: Citations) -> Weight:
    met = "; ".join(fact_words(fact, diagnosis.knowledge, diagnosis.case) for fact in entry.facts)
    others = ", ".join(name.split("/")[1].replace("_", " ") for name in entry.with_)
    with_ = f"(counted once together with: {others})" if others else ""
    return Weight(entry.weight, met, f"{entry.because} {cited.cite(entry.source)}", with_)


def runner_up(diagnosis: Diagnosis) -> Part | None:
    first, second = diagnosis.ranking[:2]
    if second.probability < SHOWN_FROM:
        return None
    title = "Runner-up" if first.cause else "The cause that comes nearest"
    stands = Text(f"{second.name} - {second.word} ({percent(second.probability)})")
    question = separating(diagnosis, first.id, second.id)
    if not question:
        return Part("runner-up", title, (stands, Text("No check that is still open separates the two.")))
    moved = tuple(
        f"{question.open.answers[a.answer]}: {_leans(a.moves, first, second)}"
        for a in question.answers
        if _gap(a.moves, first.id, second.id)
    )
    check = Text(f"The check that would separate the two: {asked_words(question)}")
    return Part("runner-up", title, (stands, check, Points(moved)))


def asked_words(question: Question) -> str:
    """The question, with the step it is about."""
    return open_words(question.open)


def _gap(moves, first: str, second: str) -> int:
    moved = dict(moves)
    return moved.get(first, 0) - moved.get(second, 0)


def _leans(moves, first: Standing, second: Standing) -> str:
    gap = _gap(moves, first.id, second.id)
    return f"{abs(gap)} towards {(first if gap > 0 else second).name}"


def separating(diagnosis: Diagnosis, first: str, second: str) -> Question | None:
    """The open question whose answers part two causes most for its price."""
    best, found = 0.0, None
    for question in diagnosis.open_questions:
        kind = question.open.kind
        gaps = [_gap(a.moves, first, second) for a in question.answers]
        worth = (max(gaps) - min(gaps)) / (kind.minutes * kind.harm) ** 0.5
        if worth > best:
            best, found = worth, question
    return found


def remedies(diagnosis: Diagnosis, cited: Citations) -> Part:
    """What to do with this piece, in order, each with its precondition, its reason, its price and its cautions."""
    part = "remedies", "What to do with this piece"
    if not diagnosis.remedies:
        return Part(*part, (Text("Nothing yet: no cause stands firmly enough to act on."),))
    blocks: list[Block] = []
    if diagnosis.first.probability < LIKELY:
        says = "No single cause is likely yet: the questions that are still open are worth more than any of this."
        blocks.append(Text(says, mind=True))
    blocks.append(Text("Try each on scrap or a hidden spot first, then in this order; stop when it is right."))
    return Part(*part, (*blocks, Jobs(tuple(_job(diagnosis, p, cited) for p in diagnosis.remedies))))


def _job(diagnosis: Diagnosis, proposal, cited: Citations) -> Job:
    remedy, says = proposal.remedy, []
    for cause, treatment in proposal.reasons:
        several = len(proposal.reasons) > 1
        lead = f"If it is '{cause.name}': {treatment.often}" if several else treatment.often.capitalize()
        says.append(f"{lead} cures. {treatment.because} {cited.of(treatment.source)}")
    price = f"About {minutes_words(remedy.minutes)} of work; {HARMS[remedy.harm]}."
    says.append(f"{price} {remedy.because} {cited.of(remedy.source)}")
    check = "" if proposal.fits else f"First make sure: {remedy.check}."
    mind = tuple(c.title for c, by in diagnosis.cautions if f"remedy {remedy.id}" in by)
    return Job(remedy.name, check, remedy.do, tuple(says), mind)


def prevention(diagnosis: Diagnosis, cited: Citations) -> Part | None:
    if not diagnosis.prevention:
        return None
    several = len({cause.id for cause, _ in diagnosis.prevention}) > 1
    points = tuple(
        f"{advice.advice} {advice.because}{f' (against: {cause.name})' if several else ''} {cited.of(advice.source)}"
        for cause, advice in diagnosis.prevention
    )
    board = Text("Make a test board of the whole schedule first, on the same wood, sanded the same way.")
    return Part("next-time", "Next time", (board, Points(points)))


def cautions(diagnosis: Diagnosis, cited: Citations) -> Part | None:
    if not diagnosis.cautions:
        return None
    items = tuple((c.title, needs_words(by), f"{c.says} {cited.of(c.source)}") for c, by in diagnosis.cautions)
    return Part("cautions", "Cautions", (Warnings(items), Text(FIRST_OF_ALL, mind=True)))


def needs_words(needs: Sequence[str]) -> str:
    """'steps 2 and 4, 3 of the remedies, next time': what a caution is for."""
    kinds = [need.partition(" ") for need in needs]
    steps = [which for kind, _, which in kinds if kind == "step"]
    cures = sum(kind == "remedy" for kind, _, _ in kinds)
    parts = [f"step{'s' if len(steps) > 1 else ''} {' and '.join(steps)}"] if steps else []
    parts += [f"{cures} of the remedies" if cures > 1 else "one of the remedies"] if cures else []
    parts += ["this piece"] if any(kind == "piece" for kind, _, _ in kinds) else []
    parts += ["next time"] if any(kind == "prevention" for kind, _, _ in kinds) else []
    return ", ".join(parts)


def unknown(diagnosis: Diagnosis) -> Part:
    """What was answered "not known", or not asked, and would have mattered."""
    said = []
    for question in diagnosis.doubtful:
        if question.bits >= 0.05:
            said.append(f"{question.open.question} (not known; would have told {question.bits:.1f} bits)")
    said += [f"{asked_words(question)} (not asked)" for question in diagnosis.questions]
    return Part("unknown", "Not known, and would matter", (Points(tuple(said)),) if said else ())


def explained(diagnosis: Diagnosis, row: Standing) -> list[Part]:
    """How one cause comes to its standing: mechanism, ledger, the chain below it, and the sources of all that."""
    cited = Citations()
    parts = [why(diagnosis, row, cited), chain(diagnosis, cited, row), sources(cited)]
    return [part for part in parts if part]


def sources(cited: Citations) -> Part | None:
    return Part("sources", "Sources", (Numbered(tuple(cited.numbers)),)) if cited.numbers else None


def chain(diagnosis: Diagnosis, cited: Citations, row: Standing | None = None) -> Part | None:
    """The reasoning from the user's own words up to the weights on a cause (the leading one), numbered."""
    row = row or diagnosis.first
    told, number = chain_of(diagnosis, [fact for entry in row.ledger for fact in entry.facts], cited)
    if not told.links:
        return None
    return Part("reasoning", "How this was reasoned", (Map(reasoning(diagnosis, number, row)), told))


def chain_of(diagnosis: Diagnosis, facts: Iterable[Fact], cited: Citations) -> tuple[Chain, dict[Fact, int]]:
    """`facts` and all they rest on, down to what was said, and the number of each in the chain."""

    def words(fact: Fact) -> str:
        return fact_words(fact, diagnosis.knowledge, diagnosis.case)

    return chain_from(diagnosis.trace, facts, cited, diagnosis.rule, words)


def chain_from(
    trace: Trace, facts: Iterable[Fact], cited: Citations, rule_of: Callable[[str], Rule | None], words: Callable
) -> tuple[Chain, dict[Fact, int]]:
    """The same of any trace; `words` says a fact without its full stop."""
    steps = trace.below(facts)
    number = {step.fact: n for n, step in enumerate(steps, 1)}
    links = []
    for step in steps:
        says = f"{words(step.fact)}."
        if step.rule == "given":
            links.append(Link(says, f"said: {step.origin}", True))
            continue
        premises = ", ".join(str(number[p]) for p in trace.premises(step.fact) if p in number)
        rule = rule_of(step.rule)
        reason = f" {rule.because}" if rule and rule.because else ""
        source = f" {cited.cite(rule.source)}" if rule and rule.source else ""
        links.append(Link(says, f"from {premises} by {step.rule}.{reason}{source}", False))
    return Chain(tuple(links)), number
