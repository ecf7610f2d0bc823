"""The cross-section of a piece as a picture: bands from the wood up, their words beside them, the trouble marked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import pi, sin

from diagnose.blocks import Row, Strata
from diagnose.drawing import BOLD, LINE, Picture, Shape, line, lines_of, shape, words

WIDE, NARROW = 860.0, 328.0
PAD = 9.0
LEAST = 46.0  # px, of a band
WOOD = 120.0
FLAG = 24.0  # px that the warning triangle takes before its words
STEP = 7.0  # px between two points of an edge

Points = Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class _Label:
    """A row with its lines of words and the height that they take."""

    row: Row
    head: list[str]
    body: list[str]
    mark: list[str]
    height: float

    @property
    def lines(self) -> int:
        return len(self.head) + len(self.body) + len(self.mark)


def draw_section(strata: Strata, width: float = WIDE) -> Picture:
    """The picture for a column of `width` px; bands to the left, words to the right."""
    wide = width >= WIDE
    right = 340.0 if wide else 64.0
    at = right + (52.0 if wide else 30.0)
    labels = [_label(row, width - at) for row in strata.rows]
    tops = _tops(labels)
    banded = [n for n, label in enumerate(labels) if label.row.kind in ("layer", "wood")]
    level = len(banded) - 1  # how many layers lie below; of the wood 0
    edge = _boundary(labels[: banded[0]], tops[: banded[0]], tops[0])  # where the band at hand begins
    upper = _wave(edge, level, right)
    drawn: list[Shape] = []
    marks = [*_between(labels[: banded[0]], tops[: banded[0]], upper, at)]
    for n, following in zip(banded, [*banded[1:], len(labels)]):
        label, between = labels[n], (labels[n + 1 : following], tops[n + 1 : following])
        level -= 1
        edge = _boundary(*between, tops[n] + label.height)
        if label.row.kind == "wood":
            edge = max(tops[n] + label.height, upper[0][1] + WOOD)
            lower: Points = [(x, edge) for x in _along(right)]
        else:
            lower = _wave(edge, level, right)
        drawn += _band(label.row, upper, lower)
        marks += _failing(upper, lower) if label.row.mark else []
        marks += _between(*between, lower, at)
        drawn += _number(label.row.number, upper, lower) if label.row.number else []
        upper = lower
    for label, top in zip(labels, tops):
        drawn += _words(label, top, at, right)
    height = max(edge, tops[-1] + labels[-1].height) + 8
    return Picture(width, height, "The piece in section", _described(strata), (*drawn, *marks))


def _label(row: Row, width: float) -> _Label:
    taken_off = " (taken off again)" if row.kind == "gone" else ""
    if row.kind == "interface":
        head, body, mark = [], [], lines_of(f"{row.mark}: {row.name}", (width - FLAG) * BOLD)
    else:
        name = f"{row.number} {row.name}" if row.number else f"wood: {row.name}"
        head = lines_of(f"{name}{taken_off}", width * BOLD)
        body = [one for text in (row.details, row.dried) for one in lines_of(text, width)]
        mark = lines_of(row.mark, (width - FLAG) * BOLD)
    tall = row.kind in ("layer", "wood")
    count = len(head) + len(body) + len(mark)
    return _Label(row, head, body, mark, max(count * LINE + 2 * PAD, LEAST if tall else 0.0))


def _tops(labels: Sequence[_Label]) -> list[float]:
    tops, y = [], 8.0
    for label in labels:
        tops.append(y)
        y += label.height
    return tops


def _boundary(between: Sequence[_Label], tops: Sequence[float], bare: float) -> float:
    """Where two layers meet: beside the mark of their interface, else half way down what was done between them."""
    if not between:
        return bare
    for label, top in zip(between, tops):
        if label.row.kind == "interface":
            return top + label.height / 2
    return (tops[0] + tops[-1] + between[-1].height) / 2


def _along(right: float) -> list[float]:
    count = int(right / STEP)
    return [right * n / count for n in range(count + 1)]


def _wave(y: float, level: int, right: float) -> Points:
    """The upper edge of a layer: pores of the wood show through the first, less through each one above."""
    rough = 3.2 * 0.45**level
    return [
        (x, y + rough * (sin(x * 0.13 + level) + 0.7 * sin(x * 0.31)) + (rough * 1.6 if n % 5 == 2 else 0.0))
        for n, x in enumerate(_along(right))
    ]


def _band(row: Row, upper: Points, lower: Points) -> Iterator[Shape]:
    """A layer between its edges; what fills it tells kinds of layer apart without colour."""
    looks = row.kind if row.kind == "wood" else row.seat or "other"
    yield line([*upper, *reversed(lower), upper[0]], f"band {looks}")
    top, bottom, right = upper[0][1], lower[0][1], upper[-1][0]
    if row.kind == "wood":
        yield from _grain(top, bottom, right)
        return
    for n, y in enumerate(range(int(top) + 16, int(bottom) - 6, 15)):
        for x in range(52 + 17 * (n % 2), int(right) - 12, 34):
            yield line([(x, y), (x + 9, y)], f"speck {looks}")


def _number(number: int, upper: Points, lower: Points) -> list[Shape]:
    middle = (upper[0][1] + lower[0][1]) / 2
    return [
        shape("circle", "number-back", cx=24, cy=middle, r=14),
        shape("text", "number", str(number), x=24, y=middle + 5, text_anchor="middle"),
    ]


def _failing(upper: Points, lower: Points) -> Iterator[Shape]:
    """Slanting strokes over a layer and a heavy frame round it."""
    top, bottom, right = upper[0][1] + 6, lower[0][1] - 5, upper[-1][0]
    lean = (bottom - top) * 0.5
    for n in range(int((right - lean - 8) / 14) + 1):
        x = 5 + n * 14
        if not 24 - 18 - lean < x < 24 + 18:  # the number of the step stays readable
            yield line([(x, bottom), (x + lean, top)], "stroke")
    yield line([*upper, *reversed(lower), upper[0]], "frame")


def _grain(top: float, bottom: float, right: float) -> Iterator[Shape]:
    """Growth rings of a board seen at its end, with a row of pores in each."""
    for ring in range(1, 5):
        y = top + 14 + ring * (bottom - top - 8) / 5
        arc = [(x, y - 10 * sin(pi * x / right) + 1.5 * sin(x * 0.09 + ring)) for x in _along(right)]
        yield line(arc, "ring")
        for n, (x, height) in enumerate(arc[2:-2]):
            if (n * 7 + ring * 3) % 4 == 0:
                yield shape("ellipse", "pore", cx=x, cy=height - 5, rx=1.6, ry=2.4)
    for n in range(int(right / STEP)):
        if n % 5 == 2:
            yield shape("ellipse", "pore", cx=right * n / int(right / STEP), cy=top + 7, rx=2, ry=4)


def _between(labels: Sequence[_Label], tops: Sequence[float], meet: Points, at: float) -> Iterator[Shape]:
    """Marks on the boundary of two layers, each joined to its words."""
    right, y = meet[-1]
    if labels and not any(label.row.kind == "interface" for label in labels):
        yield line(meet, "worked")
    for label, top in zip(labels, tops):
        middle = top + label.height / 2
        if label.row.kind == "interface":
            yield line([(x, height + (6 if n % 2 else -6)) for n, (x, height) in enumerate(meet)], "torn")
            yield line([(right, middle), (at - 12, middle)], "lead bad")
            continue
        knee = right + 12
        bad = " bad" if label.row.mark else ""
        yield line([(right, y), (knee, y), (knee, middle), (at - 10, middle)], f"lead{bad}")
        if label.row.kind == "gone":
            for turn in (-4, 4):
                yield line([(at - 12, middle - turn), (at - 4, middle + turn)], f"lead{bad}")
        else:
            yield shape("path", f"diamond{bad}", d=f"M{at - 14:.5g} {middle:.5g} l5 -5 l5 5 l-5 5 z")


def _words(label: _Label, top: float, at: float, right: float) -> Iterator[Shape]:
    y = top + (label.height - LINE * label.lines) / 2 - 1
    if label.row.kind in ("layer", "wood"):
        yield line([(right, y + LINE / 2), (at - 8, y + LINE / 2)], "lead")
    yield from words(label.head, at, y, "words head")
    yield from words(label.body, at, y + LINE * len(label.head), "words")
    if label.mark:
        y += LINE * (label.lines - len(label.mark))
        yield shape("path", "flag", d=f"M{at + 8:.5g} {y + 1:.5g} l8 15 h-16 z")
        yield shape("text", "flag-sign", "!", x=at + 8, y=y + 14, text_anchor="middle")
        yield from words(label.mark, at + FLAG, y, "words bad")


def _described(strata: Strata) -> str:
    said = []
    for row in strata.rows:
        if row.kind == "interface":
            said.append(f"{row.mark}: {row.name}")
            continue
        name = f"step {row.number}, {row.name}" if row.number else f"the wood, {row.name}"
        what = {"work": " (work that leaves no layer)", "gone": " (taken off again)"}.get(row.kind, "")
        details = ", ".join(part for part in (row.details, row.dried, row.mark) if part)
        said.append(f"{name}{what}{': ' if details else ''}{details}")
    return f"From the top down: {'; '.join(said)}."
