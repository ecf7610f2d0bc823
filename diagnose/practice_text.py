"""A practice on plain paper: the page of the case, the checks to choose from, and the look back on it."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.asking import Open
from diagnose.case import Case, Given
from diagnose.facts import layers
from diagnose.flaws import LIKELY
from diagnose.layout import heading, join, percent, wrap
from diagnose.ledger import Entry, Standing
from diagnose.lesson_checks import parting_words, separating_subject
from diagnose.model import UNLISTED, Knowledge
from diagnose.practice import GIVEN_UP, Practice, short_of
from diagnose.practice_review import Made, Moves, Review
from diagnose.report_text import Page, explained, why
from diagnose.words import answer_words, fact_words, given_words, how_strongly, step_words

MOST_MOVED = 3


def page_lines(practice: Practice, width: int) -> list[str]:
    """What is known of the case so far."""
    case, knowledge = practice.case, practice.knowledge
    lines = heading("The case (made up)" if practice.exercise.made else "The case", width)
    for name, given in _told(case, knowledge, opening=True):
        lines += wrap(f"{knowledge.findings[name].short}: {answer_words(name, given, knowledge)}", width, "  - ")
    lines += wrap("The piece, top coat first:", width)
    lying = set(layers(case, knowledge))
    for step in reversed(case.steps):
        mark = f"{step.number:>3} [" if step.number in lying else f"{step.number:>3}  "
        lines += wrap(step_words(step, knowledge), width, f"{mark} ", "    [ " if step.number in lying else "      ")
    if not case.steps:
        lines += wrap("nothing is told of what was done", width, "      ")
    for of in ("piece", "air"):
        for name, given in getattr(case, of).items():
            if given.known:
                words = given_words(given, knowledge.attributes[of, name], knowledge)
                lines += wrap(f"{of}, {name.replace('_', ' ')}: {words}", width, "    # ")
    found = _told(case, knowledge, opening=False)
    if found:
        lines += heading("Found so far", width)
        for name, given in found:
            lines += wrap(f"{knowledge.findings[name].short}: {answer_words(name, given, knowledge)}", width, "  - ")
    return lines


def _told(case: Case, knowledge: Knowledge, opening: bool) -> list[tuple[str, Given]]:
    told = ((name, given) for name, given in case.findings.items() if given.known)
    return [(name, given) for name, given in told if (name in knowledge.opening) == opening]


def check_lines(practice: Practice, found: Sequence[tuple[int, Open]], width: int) -> list[str]:
    """Checks by kind, each with its number, the kind with its price."""
    lines: list[str] = []
    kinds = dict.fromkeys(o.kind for _, o in found)
    for kind in sorted(kinds, key=lambda kind: (kind.minutes, kind.id)):
        harm = "; may harm the piece" if kind.harm > 1 else ""
        lines += ["", *wrap(f"{kind.name} ({kind.minutes:g} min each{harm})", width)]
        for number, o in found:
            if o.kind == kind:
                lines += wrap(short_of(practice, o.id), width, f"{number:>4}  ")
    return lines


def kind_lines(practice: Practice, width: int) -> list[str]:
    """How many checks of each kind there are, and their price."""
    counted: dict[object, int] = {}
    for o in practice.open.values():
        counted[o.kind] = counted.get(o.kind, 0) + 1
    lines = []
    for kind, number in sorted(counted.items(), key=lambda pair: (pair[0].minutes, pair[0].id)):
        lines += wrap(f"{kind.name}: {number} ({kind.minutes:g} min each)", width, "  - ")
    return lines


def how_lines(practice: Practice, number: int, o: Open, width: int) -> list[str]:
    """One check in full: the question, how it is done, what may come of it, its price."""
    lines = wrap(o.question, width, f"{number:>4}  ")
    finding = practice.knowledge.findings.get(o.id)
    for instruction in finding.how if finding else ():
        lines += wrap(instruction, width, "      . ")
    for words in o.answers.values():
        lines += wrap(words, width, "      - ")
    if finding and finding.harms:
        lines += wrap(f"Mind: {finding.harms}", width, "      ! ")
    return lines + wrap(f"{o.kind.name}, about {o.kind.minutes:g} min", width, "      ")


def answer_given(practice: Practice, name: str) -> str:
    """What came of the check of that name, in words."""
    given = practice.exercise.case.given_for(name)
    if given is None or not given.known:
        return "cannot be told here"
    if name in practice.knowledge.findings:
        return answer_words(name, given, practice.knowledge)
    of, *rest = name.split()
    return given_words(given, practice.knowledge.attributes[of, rest[-1]], practice.knowledge)


def review_text(review: Review, width: int) -> str:
    """The look back, down to the ledger of the settled cause."""
    page = Page(width)
    lines = _verdict(review, width) + _checks(review, width) + _overlooked(review, width) + _price(review, width)
    lines += _apart(review, page) + why(review.whole, review.settled, page)
    return join(lines + page.list_sources())


def reasoning_text(review: Review, width: int) -> str:
    """The ledger of the settled cause and the reasoning down to what the case says."""
    return join(explained(review.whole, review.settled, width))


def _name(review: Review, cause: str) -> str:
    causes = review.practice.knowledge.causes
    return causes[cause].name if cause in causes else "none of the causes in this base"


def _verdict(review: Review, width: int) -> list[str]:
    practice, settled = review.practice, review.settled
    lines = heading("The verdict", width)
    if practice.verdict == GIVEN_UP:
        lines += wrap(f"You gave it up. It was: {settled.name}.", width)
    elif practice.right:
        lines += wrap(f"Right. It was: {_name(review, practice.verdict)}.", width)
    else:
        lines += wrap(f"Not so. It was: {settled.name}. Your verdict: {_name(review, practice.verdict)}.", width)
    named = settled.id in practice.suspects
    if not practice.right and named:
        lines += wrap("You had it among your suspects.", width)
    lines += wrap(_with_found(review), width, "  - ") + wrap(_with_all(review), width, "  - ")
    case = practice.exercise.case
    if practice.exercise.made:
        lines += wrap("The case was made up from the rules.", width, "  - ")
    for said in (case.title, case.source and f"Source: {case.source}", case.notes, case.expect.because):
        lines += wrap(said, width, "  - ") if said else []
    return lines


def _with_found(review: Review) -> str:
    """Whether what was found bore the settled cause out."""
    row, first = review.borne_out, review.found.first
    head = "With what you had found the base puts it at "
    if first.id == row.id:
        tail = ", first of all."
        if row.probability < LIKELY:
            tail = ", first of all, but not as likely: more was to be found out before a verdict."
    else:
        tail = f", behind: {first.name} ({percent(first.probability)})."
        if review.practice.right:
            tail += " The verdict was right; what you had found did not yet bear it out."
        elif first.id == review.practice.verdict:
            tail += " What you had found did point to your verdict; it was too little."
    return f"{head}{percent(row.probability)}{tail}"


def _with_all(review: Review) -> str:
    """Where the base itself stands on the whole case; where that is not first, it is said so."""
    row, first = review.settled, review.whole.first
    if first.id == row.id and row.probability >= LIKELY:
        return f"With all that the case says: {percent(row.probability)} ({row.word})."
    if first.id == row.id:
        return (
            f"With all that the case says: {percent(row.probability)} only ({row.word}); the base is not sure either."
        )
    place = [one.id for one in review.whole.ranking].index(row.id) + 1
    return (
        f"With all that the case says the base itself does not put it first: {first.name} "
        f"({percent(first.probability)}) comes before it, and it stands in place {place} with "
        f"{percent(row.probability)}. Here the base is wrong, or the case does not say enough."
    )


def _checks(review: Review, width: int) -> list[str]:
    lines = heading("Your checks, in order", width)
    if not review.checks:
        return lines + wrap("None: the verdict was given on the opening page alone.", width)
    for number, made in enumerate(review.checks, 1):
        practice = review.practice
        lines += wrap(
            f"{short_of(practice, made.check.of)}: {answer_given(practice, made.check.of)}", width, f"{number:>3}. "
        )
        for said in _looked_back(review, made):
            lines += wrap(said, width, "     - ")
    return lines


def _looked_back(review: Review, made: Made) -> list[str]:
    question, best = made.question, made.best
    worth = f"Worth {question.bits:.2f} bits before it was made, {question.value:.3f} a minute"
    if best is None:
        said = [f"{worth}. Nothing was left that would have told much."]
    elif best.open.id == question.open.id or question.value >= best.value:
        said = [f"{worth}: nothing was worth more."]
    else:
        other = f"{short_of(review.practice, best.open.id)} ({best.value:.3f} a minute, {best.bits:.2f} bits)"
        said = [f"{worth}. Worth most then: {other}."]
    if made.check.given.known:
        moved = _moved(review, made.moved)
        said.append(f"It moved: {moved}." if moved else "It moved nothing.")
        if made.moved:
            chances = f"{percent(made.before)} to {percent(made.after)}"
            said.append(f"{review.settled.name}: {chances}; {_clearer(made.gained)}.")
    if made.redundant:
        said.append(f"Redundant: {made.redundant}.")
    return said


def _clearer(gained: float) -> str:
    if abs(gained) < 0.005:
        return "no clearer on the whole"
    return f"{abs(gained):.2f} bits {'clearer' if gained > 0 else 'less clear'} on the whole"


def _moved(review: Review, moves: Moves) -> str:
    said = [
        f"{how_strongly(weight)} {'for' if weight > 0 else 'against'} {_name(review, cause)} ({weight:+d})"
        for cause, weight in moves[:MOST_MOVED]
    ]
    return "; ".join(said)


def _overlooked(review: Review, width: int) -> list[str]:
    lines = heading("What was overlooked", width)
    if not review.overlooked:
        return lines + wrap("Nothing that would have told much more.", width)
    lines += wrap("Worth most when you gave your verdict, and not looked at:", width)
    for one in review.overlooked:
        o = one.question.open
        head = (
            f"{short_of(review.practice, o.id)} ({o.kind.name}, {o.kind.minutes:g} min, {one.question.bits:.2f} bits)"
        )
        moved = _moved(review, one.moved) or "nothing moved"
        lines += wrap(f"{head}: {answer_given(review.practice, o.id)} - {moved}.", width, "  - ")
    return lines


def _price(review: Review, width: int) -> list[str]:
    practice, own = review.practice, review.own
    lines = heading("The price", width)
    hints = f" and {practice.hints} nudge{'s' if practice.hints > 1 else ''}" if practice.hints else ""
    lines += wrap(f"Yours: {_paid(practice)}{hints}.", width, "  - ")
    came = f"It came to: {_name(review, own.verdict)} ({percent(own.diagnosis.first.probability)})."
    lines += wrap(f"The program's own play of the same case: {_paid(own)}. {came}", width, "  - ")
    told = [short_of(own, check.of) for check in own.checks if check.given.known]
    if told:
        lines += wrap(f"It asked, in this order: {'; '.join(told)}.", width, "  - ")
    return lines


def _paid(practice: Practice) -> str:
    told = sum(check.given.known for check in practice.checks)
    untold = len(practice.checks) - told
    more = f" ({untold} more could not be told and cost nothing)" if untold else ""
    return f"{told} check{'s' if told != 1 else ''}, {practice.minutes:g} min{more}"


def _apart(review: Review, page: Page) -> list[str]:
    """For a wrong verdict: where the two ledgers differ, and the check that parts the two."""
    practice, knowledge = review.practice, review.practice.knowledge
    if practice.right or practice.verdict not in knowledge.causes or review.settled.id == UNLISTED:
        return []
    width, chosen = page.width, knowledge.causes[practice.verdict]
    lines = heading("Where the two ledgers differ", width)
    lines += wrap(f"Decibans for {review.settled.name} / for {chosen.name}:", width)
    for one in review.apart:
        weights = " / ".join(f"{entry.weight:+d}" if entry else "0" for entry in (one.first, one.other))
        lines += wrap(_met(review, one.first or one.other), width, f"{weights:>9}  ")
    of = review.settled.cause
    subject = separating_subject(knowledge, of, chosen)
    lines += heading("What tells the two apart", width)
    if subject is None:
        return lines + wrap("No question of the base does.", width)
    text, source = parting_words(knowledge, of, chosen, subject)
    alike = chosen.id in of.look_alikes or of.id in chosen.look_alikes
    lines += wrap(
        f"{'The base calls them look-alikes: ' if alike else ''}{of.name} - {text} {page.cite(source)}", width
    )
    if subject in knowledge.findings:
        lines += wrap(_was_made(practice, subject), width)
    return lines


def _was_made(practice: Practice, subject: str) -> str:
    if any(check.of == subject for check in practice.checks):
        return f"You made that check: {answer_given(practice, subject)}."
    if subject in practice.case.findings:
        return f"The page said it: {answer_given(practice, subject)}."
    return f"You did not make that check; it would have been: {answer_given(practice, subject)}."


def _met(review: Review, entry: Entry) -> str:
    if not entry.facts:
        return "how often it is met"
    whole = review.whole
    return "; ".join(fact_words(fact, whole.knowledge, whole.case) for fact in entry.facts)


def standing_row(row: Standing) -> str:
    return f"{row.name} - {row.word} ({percent(row.probability)})"
