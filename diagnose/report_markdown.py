"""Diagnoses as CommonMark: the outline in plain headings, lists and tables of words, one paragraph to a line.

Whatever is not ours to mark up is escaped, so that no text of a case becomes markup, HTML or a link.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

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
    Points,
    Row,
    Strata,
    Text,
    Warnings,
)
from diagnose.complaint import printable
from diagnose.diagnosis import Diagnosis
from diagnose.layout import bar, percent
from diagnose.outline import outline

ACTIVE = re.compile(r"([\\`*_{}\[\]<>#&~|!@$^=])")
SCHEME = re.compile(r"(?i)(:)(?=//)|((?<=\bwww)\.)")  # what some readers make a link of by itself
AT_THE_START = re.compile(r"^(\s*)([-+]|\d{1,9}[.)])")


def as_markdown(diagnoses: Iterable[Diagnosis]) -> str:
    """The cases one after the other, with a list of them where there are several."""
    told = [outline(diagnosis) for diagnosis in diagnoses]
    paragraphs: list[str] = []
    if len(told) > 1:
        paragraphs.append(f"# {len(told)} finishes that failed")
        paragraphs.append("\n".join(f"{n}. {escaped(one.title)}" for n, one in enumerate(told, 1)))
    for one in told:
        paragraphs += _outline(one, "##" if len(told) > 1 else "#")
    return "\n\n".join(paragraphs) + "\n"


def explanation(outlines: Iterable[Outline]) -> str:
    """What is known of a name, one entry after the other."""
    return "\n\n".join(paragraph for one in outlines for paragraph in _outline(one, "#")) + "\n"


def escaped(text: str) -> str:
    """`text` on one line, in which nothing is markup."""
    text = ACTIVE.sub(r"\\\1", printable(" ".join(text.split())))
    text = SCHEME.sub(lambda found: f"\\{found.group()}", text)
    return AT_THE_START.sub(lambda found: f"{found[1]}{found[2][:-1]}\\{found[2][-1]}", text)


def _outline(told: Outline, level: str) -> Iterator[str]:
    yield f"{level} {escaped(told.title)}"
    for about in told.about:
        yield escaped(about)
    for part in told.parts:
        yield f"{level}# {escaped(part.title)}"
        for block in part.blocks:
            yield from _block(block, f"{level}##")


def _block(block: Block, level: str) -> Iterator[str]:
    match block:
        case Text(says, mind):
            yield f"> {escaped(says)}" if mind else escaped(says)
        case Pairs(items):
            yield _listed(f"**{escaped(label)}:** {escaped(says)}" for label, says in items)
        case Points(items):
            yield _listed(map(escaped, items))
        case Warnings(items):
            yield _listed(f"**{escaped(title)}** ({escaped(needs)}). {escaped(says)}" for title, needs, says in items)
        case Strata(rows, why):
            yield _listed(map(_row, rows))
            yield escaped(why)
        case Bars(rows):
            yield "\n".join(
                f"{row.place}. `{bar(row.share, 10)}` {escaped(percent(row.share))} "
                f"{escaped(row.name)} - {escaped(row.word)}"
                for row in rows
            )
        case Ledger():
            yield from _ledger(block)
        case Jobs(items, first):
            for place, job in enumerate(items, first):
                yield from _job(job, place, level)
        case Chain(links):
            yield "\n".join(f"{n}. {escaped(link.says)} {escaped(link.origin)}" for n, link in enumerate(links, 1))
        case Numbered(items, first):
            yield "\n".join(f"{n}. {escaped(item)}" for n, item in enumerate(items, first))
        case Map():
            return  # the chain says all of it
        case _:
            raise TypeError(block)


def _listed(items: Iterable[str], mark: str = "-") -> str:
    return "\n".join(f"{mark} {item}" for item in items)


def _row(row: Row) -> str:
    mark = f" **{escaped(row.mark)}**" if row.mark else ""
    if row.kind == "interface":
        return f"**{escaped(row.mark)}:** {escaped(row.name)}"
    name = f"step {row.number}, {row.name}" if row.number else f"the wood, {row.name}"
    what = {"work": " (work that leaves no layer)", "gone": " (taken off again)"}.get(row.kind, "")
    details = ", ".join(part for part in (row.details, row.dried) if part)
    return f"{escaped(name)}{what}{': ' if details else ''}{escaped(details)}{mark}"


def _ledger(ledger: Ledger) -> Iterator[str]:
    yield "What weighed, in decibans (10 = ten to one) against something not listed here:"
    says = [" ".join(filter(None, (row.met and f"{row.met}.", row.because, row.with_))) for row in ledger.rows]
    rows = [f"**{row.decibans:+d}** {escaped(text)}" for row, text in zip(ledger.rows, says)]
    yield _listed([*rows, f"**{ledger.total:+d} in all**"])


def _job(job: Job, place: int, level: str) -> Iterator[str]:
    yield f"{level} {place}. {escaped(job.name)}"
    if job.check:
        yield f"> {escaped(job.check)}"
    yield _listed(map(escaped, job.do), "- [ ]")
    for says in job.says:
        yield escaped(says)
    if job.mind:
        yield f"> Mind: {escaped('; '.join(job.mind))}."
