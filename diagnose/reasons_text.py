"""How, why not, what if and what would overturn it, in words for a screen."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from diagnose.compare import changed_lines
from diagnose.diagnosis import Diagnosis
from diagnose.layout import percent, wrap
from diagnose.ledger import Standing
from diagnose.reasons import Contrast, Pillar, Side, Supposed
from diagnose.report_text import SHOWN_FROM, explained
from diagnose.words import answer_said, fact_words, given_said, question_said

SIDES_SHOWN = 6
HELPING_SHOWN = 5


def how_lines(diagnosis: Diagnosis, row: Standing, width: int, level: int) -> list[str]:
    """The ledger of a cause: 0 the weights, 1 with the mechanisms, 2 with rules, sources and chain."""
    if row.cause is None:
        return wrap(
            "None of these: the yardstick at 0 decibans; it stands where the ledgers of all causes leave it.", width
        )
    if level == 2:
        return explained(diagnosis, row, width)
    lines = wrap(f"{row.name}: {row.word} ({percent(row.probability)}), {row.weight:+d} decibans in all, from", width)
    for entry in row.ledger:
        met = _facts(entry.facts, diagnosis) or "how often it is met at all"
        because = f". {entry.because}" if level and entry.facts else ""
        lines += wrap(f"{met}{because}", width, f"{entry.weight:+5d}  ")
    if not level:
        return lines + wrap("(`how` again: why each of these weighs so)", width)
    return [
        *lines,
        "",
        *wrap(row.cause.mechanism, width),
        *wrap("(`how` again: the rules, their sources and the chain)", width),
    ]


def contrast_lines(diagnosis: Diagnosis, found: Contrast, width: int) -> list[str]:
    """The two ledgers side by side, the widest gaps first, and what would close it."""
    first, other = found.first, found.other
    if found.gap < 0:  # asked of the leader
        lines = wrap(f"{other.name} does stand first, {-found.gap} decibans above {first.name}.", width)
    else:
        level = "level with" if not found.gap else f"{found.gap} decibans below"
        lines = wrap(f"{other.name} ({percent(other.probability)}) stands {level} {first.name}:", width)
    told = sorted((s for s in found.sides if s.gap), key=lambda side: -abs(side.gap))
    for side in told[:SIDES_SHOWN]:
        lines += _side_lines(diagnosis, side, found, width)
    rest = sum(side.gap for side in told[SIDES_SHOWN:])
    if told[SIDES_SHOWN:]:
        lines += wrap(f"{len(told) - SIDES_SHOWN} smaller ones together", width, f"{rest:+5d}  ")
    lines.append(f"{found.gap:+5d}  in all")
    if found.helping:
        lines += wrap(f"Still open, and would speak for {other.name}:", width)
        for asked, answer, gain in found.helping[:HELPING_SHOWN]:
            lines += wrap(f"{answer_said(asked, answer, diagnosis.knowledge)} (brings it {gain} nearer)", width, "  - ")
    if found.closing:
        count = len(found.closing.answers)
        many = "The first of these alone" if count == 1 else f"The first {count} of these together"
        lines += wrap(f"{many} would bring it level or above.", width)
    elif found.helping:
        lines += wrap("Even the best of these together would not bring it level.", width)
    elif found.gap >= 0:
        lines += wrap("Nothing that is still open speaks for it.", width)
    return lines


def _side_lines(diagnosis: Diagnosis, side: Side, found: Contrast, width: int) -> list[str]:
    met = _facts(side.facts, diagnosis) or "how often each is met at all"
    lines = wrap(met, width, f"{side.gap:+5d}  ")
    for row, entry in ((found.first, side.first), (found.other, side.other)):
        if entry:
            lines += wrap(f"{row.name} {entry.weight:+d}: {entry.because}", width, "       ", "         ")
    return lines


def difference_lines(before: Diagnosis, after: Diagnosis, name: str, width: int) -> list[str]:
    """What another answer to one question would change: the standings, the ledger lines, the first remedy."""
    knowledge = before.knowledge
    was, now = (one.case.given_for(name) for one in (before, after))
    lines = wrap(f"{question_said(name, after.case, knowledge)}", width)
    lines += wrap(given_said(name, was, before.case, knowledge), width, "  now:      ")
    lines += wrap(given_said(name, now, after.case, knowledge), width, "  supposed: ")
    old = {row.id: row for row in before.ranking}
    shown = [row for row in after.ranking[:5] if row.probability >= SHOWN_FROM]
    shown += [row for row in after.ranking if row not in shown and old[row.id] in before.ranking[:2]]
    lines += wrap("Then would stand:", width)
    for row in shown:
        moved = row.weight - old[row.id].weight
        by = f"; {moved:+d} decibans" if moved else "; its own weight as before"
        figures = f"{percent(row.probability)}, now {percent(old[row.id].probability)}{by}"
        lines += wrap(f"{row.name} - {row.word} ({figures})", width, "  - ")
    changed = [one for one in changed_lines(before, after) if one.cause in {row.id for row in shown}]
    if changed:
        lines += wrap("Because these entries change:", width)
        for one in changed:
            weights = f"{_weight(one.before)} -> {_weight(one.after)}"
            about = one.rule.partition("/")[2].replace("_", " ") or one.rule
            lines += wrap(f"{knowledge.causes[one.cause].name}, {about}: {weights}", width, "  - ")
    else:
        lines += wrap("No entry of these ledgers rests on that.", width)
    return lines + _remedy_line(before, after, width)


def _remedy_line(before: Diagnosis, after: Diagnosis, width: int) -> list[str]:
    names = [one.remedies[0].remedy.name if one.remedies else "nothing yet" for one in (before, after)]
    same = "What to do first stays: " + names[0]
    return wrap(f"{same}." if names[0] == names[1] else f"What to do first: {names[1]} (now: {names[0]}).", width)


def overturn_lines(diagnosis: Diagnosis, sets: Sequence[Supposed], rests: Iterable[Pillar], width: int) -> list[str]:
    """What would put another cause first, and what the verdict rests on."""
    leader = diagnosis.first
    lines = []
    if sets:
        count = len(sets[0].answers)
        what = "any one of these answers" if count == 1 else f"each of these {count} answers together"
        lines += wrap(f"{leader.name} stands first ({percent(leader.probability)}). It would not after {what}:", width)
        for one in sets:
            for place, (asked, answer) in enumerate(one.answers):
                lines += wrap(
                    answer_said(asked, answer, diagnosis.knowledge),
                    width,
                    "  - " if not place else "    and ",
                    "      ",
                )
            first = one.diagnosis.first
            lines += wrap(
                f"then first: {first.name}, {first.word} ({percent(first.probability)}); such an answer is "
                f"{_expected(one.chance)}",
                width,
                "      ",
            )
    else:
        lines += wrap(f"No few answers that are still open would put another cause before {leader.name}.", width)
    lines += [""]
    rests = list(rests)
    if not rests:
        return lines + wrap(
            "No single answer carries the verdict: without any one of them it stands as it does.", width
        )
    lines += wrap("It rests most on these answers of yours; if one is doubtful, look again:", width)
    for one in rests:
        said = given_said(one.name, one.given, diagnosis.case, diagnosis.knowledge)
        without = (
            f"without it {leader.name} falls by {percent(one.fall)}"
            if one.first.id == leader.id
            else f"without it: {one.first.name}, {one.first.word}"
        )
        lines += wrap(
            f"{question_said(one.name, diagnosis.case, diagnosis.knowledge)} {said} ({without})", width, "  - "
        )
    return lines


def _expected(chance: float) -> str:
    return "quite likely" if chance >= 0.3 else "possible" if chance >= 0.05 else "hardly to be expected"


def _facts(facts, diagnosis: Diagnosis) -> str:
    return "; ".join(fact_words(fact, diagnosis.knowledge, diagnosis.case) for fact in facts)


def _weight(value: int | None) -> str:
    return "nothing" if value is None else f"{value:+d}"
