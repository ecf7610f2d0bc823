"""Pictures as plain shapes with their words laid out by estimate, since a page has no ruler before it is shown."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.complaint import printable

SIZE = 14.0  # px, of all words in a picture
LINE = 19.0  # px from one line to the next
WIDE_LETTER = 0.585  # of the size: what a letter takes on average in a wide system font
BOLD = 0.92  # of the letters, how many go into a line when they are bold


@dataclass(frozen=True, slots=True)
class Shape:
    """One element: tag, attributes, text. `classes` name what it is; the style sheet says how that looks."""

    tag: str
    classes: str
    attributes: tuple[tuple[str, str], ...]
    text: str = ""


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture of `width` by `height` px, with a title and a description for who does not see it."""

    width: float
    height: float
    title: str
    describes: str
    shapes: tuple[Shape, ...]


def shape(tag: str, classes: str, text: str = "", **attributes: float | str) -> Shape:
    written = (
        (name.replace("_", "-"), f"{value:.6g}" if isinstance(value, int | float) else value)
        for name, value in attributes.items()
    )
    return Shape(tag, classes, tuple(written), text)


def lines_of(text: str, width: float, size: float = SIZE) -> list[str]:
    """`text` in lines that fit into `width` px in a wide font."""
    return textwrap.wrap(printable(text), max(6, int(width / (size * WIDE_LETTER))), break_on_hyphens=False)


def words(lines: Iterable[str], x: float, y: float, classes: str, **more: float | str) -> list[Shape]:
    """Lines of text under one another; `y` is the top of the first."""
    return [shape("text", classes, line, x=x, y=y + LINE * n + SIZE, **more) for n, line in enumerate(lines) if line]


def line(points: Iterable[tuple[float, float]], classes: str, **more: float | str) -> Shape:
    """A line through points, left to right."""
    return shape("path", classes, d="M" + " L".join(f"{x:.5g} {y:.5g}" for x, y in points), **more)
