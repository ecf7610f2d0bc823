"""A lesson as plain text, whole or part by part, and as the documented JSON object."""

from __future__ import annotations

import json
from collections.abc import Sequence

from diagnose.layout import heading, join, wrap
from diagnose.lesson import Block, Entry, Lesson, Part
from diagnose.report_text import Page


def lesson_text(lesson: Lesson, width: int) -> str:
    """All parts, then the sources they cite."""
    page = Page(width)
    lines = wrap(f"Lesson: {lesson.title}", width)
    for part in lesson.parts:
        lines += part_lines(part, page)
    return join([*lines, *page.list_sources()])


def part_text(lesson: Lesson, part: Part, width: int) -> str:
    """One part with its own sources."""
    page = Page(width)
    lines = part_lines(part, page)
    return join([*lines, *page.list_sources()])


def part_lines(part: Part, page: Page) -> list[str]:
    lines = heading(part.title, page.width)
    for number, entry in enumerate(part.entries):
        lines += ([""] if number else []) + _entry_lines(entry, page)
    return lines


def _entry_lines(entry: Entry, page: Page) -> list[str]:
    lines = wrap(entry.head, page.width) if entry.head else []
    for block in entry.blocks:
        lines += _block_lines(block, page)
    return lines


def _block_lines(block: Block, page: Page) -> list[str]:
    lines = wrap(f"{block.title}:", page.width, "  ") if block.title else []
    mark = "  ! " if block.title == "Cautions" else "  - "
    for number, sentence in enumerate(block.says, 1):
        cited = f" {page.cite(sentence.source)}" if sentence.source else ""
        lines += wrap(f"{sentence.text}{cited}", page.width, f"{number:>3}. " if block.steps else mark)
    return lines


def lesson_json(lesson: Lesson) -> str:
    return json.dumps(lesson_object(lesson), indent=1) + "\n"


def lesson_object(lesson: Lesson) -> dict:
    return {
        "lesson": lesson.of,
        "kind": lesson.kind,
        "title": lesson.title,
        "parts": [
            {"part": part.id, "title": part.title, "entries": [_entry_object(entry) for entry in part.entries]}
            for part in lesson.parts
        ],
    }


def _entry_object(entry: Entry) -> dict:
    return {"of": entry.of, "head": entry.head, "blocks": _blocks(entry.blocks)}


def _blocks(blocks: Sequence[Block]) -> list[dict]:
    return [
        {"title": block.title, "says": [{"text": one.text, "source": one.source} for one in block.says]}
        for block in blocks
    ]
