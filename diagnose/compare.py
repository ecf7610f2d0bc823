"""What a change of the knowledge does to a library of cases: each ranking that moves, with the rules that moved it.

A ranking has moved when the causes a report shows stand in another order or under another word.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from diagnose.case import read_cases
from diagnose.complaint import Complaint
from diagnose.diagnosis import Diagnoser, Diagnosis
from diagnose.ledger import Standing
from diagnose.model import UNLISTED
from diagnose.report_text import SHOWN_FROM

Shown = tuple[tuple[str, str], ...]  # (cause, word of standing), likeliest first


@dataclass(frozen=True, slots=True)
class Changed:
    """One line of a ledger that differs: decibans before and after, None where there was or is no such line."""

    cause: str
    rule: str
    before: int | None
    after: int | None


@dataclass(frozen=True, slots=True)
class Move:
    """A case whose ranking moved. `unread` says why one of the two states cannot read it; the rest is empty then."""

    file: Path
    case: str
    before: Shown = ()
    after: Shown = ()
    changed: tuple[Changed, ...] = ()
    unread: str = ""


def compare(before: Diagnoser, after: Diagnoser, files: Iterable[Path]) -> Iterator[Move]:
    """Every case in `files` that comes to another outcome after the change, in the order of the files."""
    for file in files:
        try:
            pairs = list(zip(read_cases(file, before.knowledge), read_cases(file, after.knowledge), strict=True))
        except Complaint as complaint:
            yield Move(file, file.stem, unread=str(complaint))
            continue
        for old_case, new_case in pairs:
            old, new = before.diagnose(old_case), after.diagnose(new_case)
            if shown(old) != shown(new):
                yield Move(file, new_case.id, shown(old), shown(new), tuple(changed_lines(old, new)))


def shown(diagnosis: Diagnosis) -> Shown:
    """The causes that a report shows, with their words, and always "none of these"."""
    rows = (row for row in diagnosis.ranking if row.probability >= SHOWN_FROM or row.id == UNLISTED)
    return tuple((row.id, row.word) for row in rows)


def changed_lines(old: Diagnosis, new: Diagnosis) -> Iterator[Changed]:
    """The ledger lines that differ, of the causes shown before or after."""
    rows = [{row.id: row for row in diagnosis.ranking} for diagnosis in (old, new)]
    for cause in dict.fromkeys(name for name, _ in (*shown(new), *shown(old))):
        lines = [_lines(one.get(cause)) for one in rows]
        for rule in sorted({*lines[0], *lines[1]}):
            before, after = (one.get(rule) for one in lines)
            if before != after:
                yield Changed(cause, rule, before, after)


def _lines(row: Standing | None) -> dict[str, int]:
    return {entry.rule: entry.weight for entry in row.ledger} if row else {}


def as_text(moves: Iterable[Move], cases: int) -> str:
    """For each case that moved: what stood before, what stands now, and the lines of the ledgers that differ."""
    lines, count = [], 0
    for move in moves:
        count += 1
        lines.append(f"{move.file}: {move.case}")
        if move.unread:
            lines.append(f"    cannot be compared: {move.unread}")
            continue
        lines += [f"    before: {_words(move.before)}", f"    now:    {_words(move.after)}"]
        lines += [
            f"    {changed.rule}: {_weight(changed.before)} -> {_weight(changed.after)}" for changed in move.changed
        ]
    return "\n".join([*lines, f"{count} of {cases} cases moved"]) + "\n"


def _words(rows: Shown) -> str:
    return ", ".join(f"{name} ({word})" for name, word in rows[:5])


def _weight(value: int | None) -> str:
    return "not there" if value is None else f"{value:+d}"
