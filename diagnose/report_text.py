"""A diagnosis as plain text for a terminal of a given width, readable without colour."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose import outline as told
from diagnose.blocks import (
    Bars,
    Block,
    Chain,
    Job,
    Jobs,
    Ledger,
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
)
from diagnose.diagnosis import Diagnosis
from diagnose.layout import bar, heading, join, percent, wrap
from diagnose.ledger import Standing
from diagnose.outline import LIKELY, SHOWN_CAUSES, SHOWN_FROM, asked_words

__all__ = ["LIKELY", "SHOWN_FROM", "Page", "asked_words", "remedies", "report", "standing"]

HERE = ">>>"  # leads every mark of the place where the trouble sits
LETTERS = "abcdefghijklmnopqrstuvwxyz"


class Page:
    """How wide a report is, and the publications it has cited so far."""

    def __init__(self, width: int):
        self.width = width
        self.cited = told.Citations()

    def cite(self, source: str) -> str:
        return self.cited.cite(source)

    def list_sources(self) -> list[str]:
        return _maybe(told.sources(self.cited), self.width)


def report(diagnosis: Diagnosis, width: int = 80) -> str:
    """The whole report, down to the reasoning from the user's own answers and the list of sources."""
    return join(_outline(told.outline(diagnosis), width))


def explanation(outlines: Iterable[Outline], width: int) -> str:
    """What is known of a name, one entry after the other."""
    lines: list[str] = []
    for number, one in enumerate(outlines):
        lines += ([""] if number else []) + _outline(one, width)
    return join(lines)


def _outline(whole: Outline, width: int) -> list[str]:
    lines = wrap(whole.title, width)
    for about in whole.about:
        lines += wrap(about, width)
    for part in whole.parts:
        lines += _part(part, width)
    return lines


def standing(diagnosis: Diagnosis, width: int, most: int = SHOWN_CAUSES) -> list[str]:
    """The ranking with words, figures and bars; "none of these" always stands in it."""
    return _part(told.standing(diagnosis, most), width)


def remedies(diagnosis: Diagnosis, page: Page) -> list[str]:
    """What to do with this piece, in order."""
    return _part(told.remedies(diagnosis, page.cited), page.width)


def why(diagnosis: Diagnosis, row: Standing, page: Page) -> list[str]:
    """The mechanism and the whole ledger of one cause."""
    return _maybe(told.why(diagnosis, row, page.cited), page.width)


def explained(diagnosis: Diagnosis, row: Standing, width: int) -> list[str]:
    """Mechanism, ledger, chain and sources of one cause."""
    return [line for part in told.explained(diagnosis, row) for line in _part(part, width)]


def _maybe(part: Part | None, width: int) -> list[str]:
    return _part(part, width) if part else []


def _part(part: Part, width: int) -> list[str]:
    lines = heading(part.title, width)
    for block in part.blocks:
        lines += _block(block, width)
    return lines


def _block(block: Block, width: int) -> list[str]:
    match block:
        case Text(says, mind):
            return wrap(says, width, "  ! " if mind else "")
        case Pairs(items):
            return [line for label, says in items for line in wrap(f"{label}: {says}", width, "  ", "    ")]
        case Points(items):
            return _each(items, width, "  - ")
        case Warnings(items):
            return _each((f"{title} ({needs}). {says}" for title, needs, says in items), width, "  ! ")
        case Strata():
            return _strata(block, width)
        case Bars():
            return _bars(block, width)
        case Ledger():
            return _ledger(block, width)
        case Jobs(items, first):
            return [line for place, job in enumerate(items, first) for line in _job(job, place, width)]
        case Chain():
            return _chain(block, width)
        case Numbered(items, first):
            return [line for n, item in enumerate(items, first) for line in wrap(item, width, f"{n:>3}. ")]
        case Map():
            return []  # the chain says all of it
    raise TypeError(block)


def _each(items: Iterable[str], width: int, lead: str) -> list[str]:
    return [line for item in items for line in wrap(item, width, lead)]


def _strata(strata: Strata, width: int) -> list[str]:
    """Layers as boxes upon one another, the wood hatched, work between them dotted; where it fails the edge is torn."""
    lines: list[str] = []
    edge, torn = (f"  +{(mark * width)[: width - 4]}+" for mark in ("-", "~"))
    above = False  # whether a line has closed what lies above
    for row in strata.rows:
        match row.kind:
            case "layer":
                lines += [] if above else [edge]
                lines += _boxed(row, width, "  |", "|")
                lines.append(edge)
                above = True
            case "wood":
                lines += [] if above else [edge]
                lines += [*_boxed(row, width, "  #", "#"), f"  {('/ ' * width)[: width - 2].rstrip()}"]
            case "interface":
                lines[-1] = torn
                lines += _mark(f"{row.mark}: {row.name}", width)
            case _:
                dots = "  . . " if row.kind == "work" else "  x x "
                lines += wrap(_row_words(row), width, dots, " " * 6)
                lines += _mark(row.mark, width) if row.mark else []
    return [*lines, *wrap(strata.why, width, "  ")]


def _row_words(row: Row) -> str:
    number = f"{row.number} " if row.number else "wood: "
    details = ", ".join(part for part in (row.details, row.dried) if part)
    taken_off = " (taken off again)" if row.kind == "gone" else ""
    return f"{number}{row.name}{taken_off}{': ' if details else ''}{details}"


def _boxed(row: Row, width: int, left: str, right: str) -> list[str]:
    inner = (_mark(row.mark, width - 6) if row.mark else []) + wrap(_row_words(row), width - 6, "", "  ")
    return [f"{left} {line:<{width - 6}} {right}" for line in inner]


def _mark(says: str, width: int) -> list[str]:
    return wrap(f"{says} <<<", width, f"{HERE} ")


def _bars(bars: Bars, width: int) -> list[str]:
    lines = []
    for row in bars.rows:
        lead = f"{row.place:>2}. {bar(row.share, 10)} {percent(row.share):>5} "
        text = f"{row.name} - {row.word}"
        lines += wrap(text, width, lead) if width >= 60 else [lead, *wrap(text, width, "    ")]
    return lines


def _ledger(ledger: Ledger, width: int) -> list[str]:
    lines = ["", *wrap("What weighed, in decibans (10 = ten to one) against something not listed here:", width)]
    for row in ledger.rows:
        lead = f"{row.decibans:+5d}  "
        lines += wrap(row.met, width, lead) if row.met else []
        lines += wrap(row.because, width, " " * 7 if row.met else lead, " " * 7)
        lines += wrap(row.with_, width, " " * 7) if row.with_ else []
    return [*lines, f"{'':>2}---", f"{ledger.total:+5d}  in all"]


def _job(job: Job, place: int, width: int) -> list[str]:
    lines = ["", *wrap(job.name, width, f"{place:>2}. ")]
    lines += wrap(job.check, width, "    ") if job.check else []
    for letter, instruction in zip(LETTERS, job.do):
        lines += wrap(instruction, width, f"    {letter}) ")
    lines += _each(job.says, width, "    ")
    return lines + (wrap("Mind: " + "; ".join(job.mind) + ".", width, "    ! ") if job.mind else [])


def _chain(chain: Chain, width: int) -> list[str]:
    lines = []
    for number, link in enumerate(chain.links, 1):
        lines += wrap(link.says, width, f"{number:>3}. ") + wrap(link.origin, width, "     ")
    return lines
