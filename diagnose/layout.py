"""Plain text laid out for a given width: wrapped paragraphs with hanging indents, bars of plain characters."""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Iterable

from diagnose.complaint import printable

NARROW, WIDE = 36, 96


def terminal_width() -> int:
    """Columns to write for: the terminal's, between 36 and 96; 80 where there is none."""
    return max(NARROW, min(WIDE, shutil.get_terminal_size((80, 24)).columns))


def wrap(text: str, width: int, first: str = "", rest: str | None = None) -> list[str]:
    """`text` in lines of at most `width`, the first led by `first`, the others by `rest` (spaces by default)."""
    rest = " " * len(first) if rest is None else rest
    return textwrap.wrap(
        printable(text),
        max(width, len(first) + 12),
        initial_indent=first,
        subsequent_indent=rest,
        break_on_hyphens=False,
    ) or [first.rstrip()]


def heading(text: str, width: int) -> list[str]:
    lines = wrap(text.upper(), width)
    return ["", *lines, "-" * max(map(len, lines))]


def bar(share: float, length: int = 12) -> str:
    """A bar that reads without colour; anything above nothing shows at least one mark."""
    filled = min(length, max(round(share * length), 1 if share > 0.005 else 0))
    return "=" * filled + "." * (length - filled)


def percent(share: float) -> str:
    """A probability without false precision: never 0 or 100 %."""
    if share < 0.01:
        return "<1 %"
    return ">99 %" if share > 0.99 else f"{share * 100:.0f} %"


def join(lines: Iterable[str]) -> str:
    return "\n".join(line.rstrip() for line in lines) + "\n"
