"""A diagnosis as plain text: what happened, why, what to do, what to change, and how it was reasoned."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.asking import Question
from diagnose.diagnosis import Diagnosis
from diagnose.facts import layers
from diagnose.layout import bar, heading, join, percent, wrap
from diagnose.ledger import Entry, Standing
from diagnose.model import UNLISTED
from diagnose.words import answer_words, fact_words, piece_words, step_words

PRACTICE = ("common practice", "from memory")
SHOWN_CAUSES = 5
SHOWN_FROM = 0.01
LIKELY = 0.5


class Page:
    """A report in the making: how wide it is, and the publications cited so far, numbered as they are met."""

    def __init__(self, width: int):
        self.width = width
        self.sources: dict[str, int] = {}

    def cite(self, source: str) -> str:
        """'[2; common practice]' for the sources in `source`: practice in words, publications by their number."""
        marks = []
        for one in source.split("; "):
            plain = one.startswith(PRACTICE) or len(one) <= 20
            marks.append(one if plain else str(self.sources.setdefault(one, len(self.sources) + 1)))
        return f"[{'; '.join(marks)}]"

    def list_sources(self) -> list[str]:
        lines = heading("Sources", self.width) if self.sources else []
        for one, number in self.sources.items():
            lines += wrap(one, self.width, f"{number:>3}. ")
        return lines


def report(diagnosis: Diagnosis, width: int = 80) -> str:
    """The whole report, down to the reasoning from the user's own answers and the list of sources."""
    page = Page(width)
    lines = _head(diagnosis, width) + schedule(diagnosis, width) + standing(diagnosis, width)
    lines += why(diagnosis, diagnosis.first, page) + _runner_up(diagnosis, width)
    lines += remedies(diagnosis, page) + prevention(diagnosis, page) + cautions(diagnosis, page)
    lines += unknown(diagnosis, width) + chain(diagnosis, page)
    return join(lines + page.list_sources())


def _head(diagnosis: Diagnosis, width: int) -> list[str]:
    case = diagnosis.case
    title = case.title or case.id
    lines = wrap(title + (" (invented case)" if case.invented else ""), width)
    lines += wrap(f"case {case.id}, knowledge {diagnosis.knowledge.version}", width)
    if case.source:
        lines += wrap(f"source: {case.source}", width)
    if case.diagnosed_with and case.diagnosed_with != diagnosis.knowledge.version:
        lines += wrap(
            f"This case was last diagnosed with knowledge {case.diagnosed_with}; the base has changed since.", width
        )
    return lines


def schedule(diagnosis: Diagnosis, width: int) -> list[str]:
    """The layers from the top down to the wood, work that leaves no layer set in between them."""
    case, knowledge = diagnosis.case, diagnosis.knowledge
    lying = set(layers(case, knowledge))
    lines = heading("The piece, top coat first", width)
    for step in reversed(case.steps):
        mark = f"{step.number:>3} [" if step.number in lying else f"{step.number:>3}  "
        lines += wrap(step_words(step, knowledge), width, f"{mark} ", "    [ " if step.number in lying else "      ")
    lines += wrap(piece_words(case, knowledge), width, "    # ", "    # ")
    said = [
        f"{knowledge.findings[name].short}: {answer_words(name, given, knowledge)}"
        for name, given in case.findings.items()
    ]
    if said:
        lines += heading("What was found", width)
        for one in said:
            lines += wrap(one, width, "  - ")
    return lines


def standing(diagnosis: Diagnosis, width: int, most: int = SHOWN_CAUSES) -> list[str]:
    """The ranking with words, figures and bars; "none of these" always stands in it."""
    lines = heading("What most likely happened", width)
    shown = [row for row in diagnosis.ranking[:most] if row.probability >= SHOWN_FROM]
    shown += [row for row in diagnosis.ranking if row.id == UNLISTED and row not in shown]
    for place, row in enumerate(shown, 1):
        lead = f"{place:>2}. {bar(row.probability, 10)} {percent(row.probability):>5} "
        text = f"{row.name} - {row.word}"
        lines += wrap(text, width, lead) if width >= 60 else [lead, *wrap(text, width, "    ")]
    if diagnosis.first.id == UNLISTED:
        lines += wrap(
            "Nothing in this base fits what is known well enough to act on. Do nothing to the piece that cannot be "
            "undone; answer more of the questions below, or ask somebody who can see the piece.",
            width,
        )
    for complaint, row in diagnosis.apart:
        said = diagnosis.knowledge.findings[diagnosis.knowledge.opening[0]].answers[complaint]
        lines += wrap(f"Not explained by the first: {said}. Taken alone it points to: {row.name} - {row.word}.", width)
    return lines


def why(diagnosis: Diagnosis, row: Standing, page: Page) -> list[str]:
    """The mechanism and the whole ledger of one cause."""
    if row.cause is None:
        return []
    width = page.width
    lines = heading(f"Why: {row.name}", width)
    lines += [*wrap(f"{row.cause.mechanism} {_cited(page, row.cause.source)}", width), ""]
    lines += wrap("What weighed, in decibans (10 = ten to one) against something not listed here:", width)
    for entry in row.ledger:
        lines += _ledger_line(diagnosis, entry, page)
    lines.append(f"{row.weight:+5d}  in all")
    return lines


def _ledger_line(diagnosis: Diagnosis, entry: Entry, page: Page) -> list[str]:
    met = "; ".join(fact_words(fact, diagnosis.knowledge, diagnosis.case) for fact in entry.facts)
    lines = wrap(met, page.width, f"{entry.weight:+5d}  ") if met else []
    lead = "       " if met else f"{entry.weight:+5d}  "
    lines += wrap(f"{entry.because} {page.cite(entry.source)}", page.width, lead, "       ")
    if entry.with_:
        others = ", ".join(name.split("/")[1].replace("_", " ") for name in entry.with_)
        lines += wrap(f"(counted once together with: {others})", page.width, "       ")
    return lines


def _runner_up(diagnosis: Diagnosis, width: int) -> list[str]:
    first, second = diagnosis.ranking[:2]
    if second.probability < SHOWN_FROM:
        return []
    title = "Runner-up" if first.cause else "The cause that comes nearest"
    lines = heading(title, width) + wrap(f"{second.name} - {second.word} ({percent(second.probability)})", width)
    question = separating(diagnosis, first.id, second.id)
    if question:
        moved = [
            f"{question.open.answers[a.answer]}: {_leans(a.moves, first, second)}"
            for a in question.answers
            if _gap(a.moves, first.id, second.id)
        ]
        lines += wrap(f"The check that would separate the two: {asked_words(question)}", width)
        for one in moved:
            lines += wrap(one, width, "  - ")
    else:
        lines += wrap("No check that is still open separates the two.", width)
    return lines


def asked_words(question: Question) -> str:
    """The question, with the step it is about."""
    about = question.open.about
    return f"Step {about[1]}: {question.open.question}" if about[0] == "step" else question.open.question


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


def remedies(diagnosis: Diagnosis, page: Page) -> list[str]:
    """What to do with this piece, in order, each with its precondition, its reason, its price and its cautions."""
    width = page.width
    lines = heading("What to do with this piece", width)
    if not diagnosis.remedies:
        return lines + wrap("Nothing yet: no cause stands firmly enough to act on.", width)
    if diagnosis.first.probability < LIKELY:
        lines += wrap(
            "No single cause is likely yet: the questions that are still open are worth more than any of this.",
            width,
        )
    lines += wrap("Try each on scrap or a hidden spot first, then in this order; stop when it is right.", width)
    for place, proposal in enumerate(diagnosis.remedies, 1):
        remedy = proposal.remedy
        lines += ["", *wrap(remedy.name, width, f"{place:>2}. ")]
        if not proposal.fits:
            lines += wrap(f"First make sure: {remedy.check}.", width, "    ")
        for letter, instruction in zip("abcdefghijklmnopq", remedy.do):
            lines += wrap(instruction, width, f"    {letter}) ")
        for cause, treatment in proposal.reasons:
            lead = (
                f"If it is '{cause.name}': {treatment.often} cures."
                if len(proposal.reasons) > 1
                else (f"{treatment.often.capitalize()} cures.")
            )
            lines += wrap(f"{lead} {treatment.because} {_cited(page, treatment.source)}", width, "    ")
        harm = {"none": "can be undone", "slight": "hard to undo", "lasting": "cannot be undone"}[remedy.harm]
        lines += wrap(
            f"About {_minutes(remedy.minutes)} of work; {harm}. {remedy.because} {_cited(page, remedy.source)}",
            width,
            "    ",
        )
        needs = [c.title for c, by in diagnosis.cautions if f"remedy {remedy.id}" in by]
        if needs:
            lines += wrap("Mind: " + "; ".join(needs) + ".", width, "    ! ")
    return lines


def _cited(page: Page, source) -> str:
    return page.cite("; ".join(map(str, source)))


def _minutes(minutes: float) -> str:
    if minutes < 90:
        return f"{minutes:.0f} min"
    return f"{minutes / 60:.3g} h" if minutes < 2880 else f"{minutes / 1440:.3g} days"


def prevention(diagnosis: Diagnosis, page: Page) -> list[str]:
    if not diagnosis.prevention:
        return []
    lines = heading("Next time", page.width) + wrap(
        "Make a test board of the whole schedule first, on the same wood, sanded the same way.", page.width
    )
    several = len({cause.id for cause, _ in diagnosis.prevention}) > 1
    for cause, advice in diagnosis.prevention:
        against = f" (against: {cause.name})" if several else ""
        lines += wrap(f"{advice.advice} {advice.because}{against} {_cited(page, advice.source)}", page.width, "  - ")
    return lines


def cautions(diagnosis: Diagnosis, page: Page) -> list[str]:
    if not diagnosis.cautions:
        return []
    lines = heading("Cautions", page.width)
    for caution, by in diagnosis.cautions:
        needs = _for(by)
        lines += wrap(f"{caution.title} ({needs}). {caution.says} {_cited(page, caution.source)}", page.width, "  ! ")
    return lines + wrap(
        "The product's own safety data sheet, local rules and licensed practice come before anything said here.",
        page.width,
        "  ! ",
    )


def _for(needs: Sequence[str]) -> str:
    """'steps 2 and 4, 3 of the remedies, next time': what a caution is for."""
    kinds = [need.partition(" ") for need in needs]
    steps = [which for kind, _, which in kinds if kind == "step"]
    cures = sum(kind == "remedy" for kind, _, _ in kinds)
    parts = [f"step{'s' if len(steps) > 1 else ''} {' and '.join(steps)}"] if steps else []
    parts += [f"{cures} of the remedies" if cures > 1 else "one of the remedies"] if cures else []
    parts += ["this piece"] if any(kind == "piece" for kind, _, _ in kinds) else []
    parts += ["next time"] if any(kind == "prevention" for kind, _, _ in kinds) else []
    return ", ".join(parts)


def unknown(diagnosis: Diagnosis, width: int) -> list[str]:
    """What was answered "not known", or not asked, and would have mattered."""
    lines = []
    doubtful = [name for name, given in diagnosis.case.findings.items() if not given.known]
    for name in doubtful:
        question = diagnosis.ahead.question(diagnosis.ahead.of_finding(name))
        if question.bits >= 0.05:
            lines += wrap(
                f"{question.open.question} (not known; would have told {question.bits:.1f} bits)", width, "  - "
            )
    for question in diagnosis.questions:
        lines += wrap(f"{asked_words(question)} (not asked)", width, "  - ")
    return heading("Not known, and would matter", width) + lines if lines else []


def chain(diagnosis: Diagnosis, page: Page, row: Standing | None = None) -> list[str]:
    """The reasoning from the user's own words up to the weights on a cause (the leading one), numbered."""
    facts = [f for entry in (row or diagnosis.first).ledger for f in entry.facts]
    if not facts:
        return []
    width = page.width
    lines = heading("How this was reasoned", width)
    steps = diagnosis.trace.below(facts)
    number = {step.fact: n for n, step in enumerate(steps, 1)}
    for step in steps:
        says = fact_words(step.fact, diagnosis.knowledge, diagnosis.case)
        lines += wrap(f"{says}.", width, f"{number[step.fact]:>3}. ")
        if step.rule == "given":
            lines += wrap(f"said: {step.origin}", width, "     ")
            continue
        premises = [str(number[p]) for p in diagnosis.trace.premises(step.fact) if p in number]
        rule = diagnosis.rule(step.rule)
        reason = f" {rule.because}" if rule and rule.because else ""
        source = f" {page.cite(rule.source)}" if rule and rule.source else ""
        lines += wrap(f"from {', '.join(premises)} by {step.rule}.{reason}{source}", width, "     ")
    return lines
