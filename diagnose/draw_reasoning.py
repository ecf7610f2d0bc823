"""The reasoning as a picture: what was said, over conditions, to the cause; lines as thick as what they weigh."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagnose.drawing import BOLD, LINE, SIZE, Picture, Shape, line, lines_of, shape, words
from diagnose.reasoning import CAUSE, FOLLOWS, SAID, Edge, Key, Node, Reasoning

WIDE, NARROW = 860.0, 328.0
PAD, GAP = 8.0, 12.0
COLUMNS = {SAID: (0.0, 262.0), FOLLOWS: (304.0, 244.0), CAUSE: (704.0, 156.0)}  # left edge and width, wide
STACK = (36.0, 206.0)  # the same, narrow
WEIGHT_AT = 698.0
RAIL = 306.0
BEND = 568.0
PORT = 27.0  # px between two lines that enter the cause


@dataclass(frozen=True, slots=True)
class _Box:
    """A node with its place and its lines of words."""

    node: Node
    x: float
    y: float
    width: float
    height: float
    head: list[str]
    body: list[str]

    @property
    def middle(self) -> float:
        return self.y + self.height / 2

    @property
    def right(self) -> float:
        return self.x + self.width


def draw_reasoning(drawn: Reasoning, width: float = WIDE) -> Picture:
    """Left to right for a wide page; from the top down, with a rail that gathers the weights, for a narrow one."""
    picture = _across if width >= WIDE else _down
    height, shapes = picture(drawn)
    return Picture(width, height, "The reasoning as a map", _described(drawn), tuple(shapes))


def _box(node: Node, x: float, y: float, width: float, total: int) -> _Box:
    head = lines_of(node.title, (width - 2 * PAD) * BOLD)
    notes = (*node.notes, f"{total:+d} decibans in all") if node.kind == "cause" else node.notes
    body = [one for note in notes for one in lines_of(note, width - 2 * PAD)]
    body += [_chain_numbers(node.links)] if node.links else []
    return _Box(node, x, y, width, LINE * (len(head) + len(body)) + 2 * PAD, head, body)


def _chain_numbers(links: Sequence[int]) -> str:
    """'(1, 4-6)': which steps of the chain below say it."""
    runs: list[list[int]] = []
    for number in links:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return f"({', '.join(str(r[0]) if len(r) == 1 else f'{r[0]}-{r[-1]}' for r in runs)})"


def _stacked(nodes: Sequence[Node], column: tuple[float, float], top: float, total: int) -> list[_Box]:
    boxes, (x, width) = [], column
    for node in nodes:
        boxes.append(_box(node, x, top, width, total))
        top += boxes[-1].height + GAP
    return boxes


def _across(drawn: Reasoning) -> tuple[float, list[Shape]]:
    weighing = {edge.start for edge in drawn.edges if edge.decibans is not None}
    said = _stacked([n for n in drawn.nodes if n.column == SAID], COLUMNS[SAID], 2.0, 0)
    beneath = [box for box in said if box.node.key not in weighing]
    free = beneath[0].y if beneath else said[-1].y + said[-1].height + GAP  # no line to the cause runs lower than this
    follows = _stacked([n for n in drawn.nodes if n.column == FOLLOWS], COLUMNS[FOLLOWS], free, 0)
    at = {box.node.key: box for box in (*said, *follows)}
    (cause,) = (n for n in drawn.nodes if n.column == CAUSE)
    weighed = sorted((e for e in drawn.edges if e.decibans is not None), key=lambda e: at[e.start].middle)
    ends = _box(cause, *_at_the_end(weighed, at), COLUMNS[CAUSE][1], drawn.total)
    tall = max(ends.height, PORT * len(weighed) + 2 * PAD)
    middle = sum(at[edge.start].middle for edge in weighed) / len(weighed)
    top = max(2.0, middle - tall / 2)
    ends = _Box(ends.node, ends.x, top, ends.width, tall, ends.head, ends.body)
    bottom = max(box.y + box.height for box in (*at.values(), ends))
    shapes = [one for edge in drawn.edges if edge.decibans is None for one in _premise(at[edge.start], at[edge.end])]
    labels: list[Shape] = []
    ports = [top + tall / 2 + (n - (len(weighed) - 1) / 2) * PORT for n in range(len(weighed))]
    turns = _turns([at[edge.start].middle for edge in weighed], ports)
    for edge, port, turn in zip(weighed, ports, turns):
        start, weight = at[edge.start], edge.decibans or 0
        bend = f"C{turn + 26:.5g} {start.middle:.5g} {turn - 6:.5g} {port:.5g} {turn + 34:.5g} {port:.5g}"
        way = f"M{start.right:.5g} {start.middle:.5g} H{turn - 12:.5g} {bend} H{ends.x:.5g}"
        shapes.append(_weighs(way, weight))
        labels += _figure(WEIGHT_AT, port, weight)
    shapes += [*labels, *(one for box in (*at.values(), ends) for one in _drawn(box))]
    return bottom + 2, shapes


def _turns(starts: Sequence[float], ports: Sequence[float]) -> list[float]:
    """Where each line turns to its port: what comes from furthest above or below turns last, so that none cross."""
    falls = [start < port for start, port in zip(starts, ports)]
    ranks = [sum(falls[n + 1 :]) if fall else n - sum(falls[:n]) for n, fall in enumerate(falls)]
    return [BEND + 6 * min(rank, 9) for rank in ranks]


def _at_the_end(weighed: Sequence[Edge], at: Mapping[Key, _Box]) -> tuple[float, float]:
    return COLUMNS[CAUSE][0], at[weighed[0].start].y


def _premise(start: _Box, end: _Box) -> Iterator[Shape]:
    """A thin line from what a condition rests on; two conditions are joined along their left."""
    x0, x1 = (start.right, end.x) if start.x != end.x else (start.x, end.x)
    bow = (x1 - x0) / 2 if x0 != x1 else -26
    d = f"M{x0:.5g} {start.middle:.5g} C{x0 + bow:.5g} {start.middle:.5g} {x1 - abs(bow):.5g} {end.middle:.5g} "
    yield shape("path", "premise", d=f"{d}{x1:.5g} {end.middle:.5g}")
    yield shape("path", "arrow", d=f"M{x1:.5g} {end.middle:.5g} l-7 -4 v8 z")


def _weighs(d: str, decibans: int) -> Shape:
    """A line on the cause: as thick as its weight, unbroken in favour and broken against."""
    side = "for" if decibans > 0 else "against" if decibans < 0 else "neither"
    return shape("path", f"weighs {side}", d=d, stroke_width=1.5 + abs(decibans) * 0.42)


def _figure(x: float, y: float, decibans: int) -> list[Shape]:
    text = f"{decibans:+d}"
    width = len(text) * SIZE * 0.62 + 8
    return [
        shape("rect", "chip", x=x - width, y=y - 10, width=width, height=20, rx=4),
        shape("text", "figure", text, x=x - width / 2, y=y + 5, text_anchor="middle"),
    ]


def _drawn(box: _Box) -> Iterator[Shape]:
    kind = "box " + box.node.kind
    yield shape("rect", kind, x=box.x + 1, y=box.y, width=box.width - 2, height=box.height, rx=5)
    y = box.y + (box.height - LINE * (len(box.head) + len(box.body))) / 2 - 1
    yield from words(box.head, box.x + PAD, y, "words head")
    body = box.body[:-1] if box.node.links else box.body
    yield from words(body, box.x + PAD, y + LINE * len(box.head), "words")
    if box.node.links:
        yield from words(box.body[-1:], box.x + PAD, y + LINE * (len(box.head) + len(body)), "words faint")


def _down(drawn: Reasoning) -> tuple[float, list[Shape]]:
    boxes = _stacked(drawn.nodes, STACK, 2.0, drawn.total)
    at = {box.node.key: box for box in boxes}
    cause = next(box for box in boxes if box.node.kind == "cause")
    ends = [box.node.key for box in boxes if box.node.column == FOLLOWS]
    shapes: list[Shape] = []
    for edge in (edge for edge in drawn.edges if edge.decibans is None):
        lane = 28 - 5 * (ends.index(edge.end) % 6)
        start, end = at[edge.start], at[edge.end]
        turn = [(start.x, start.middle), (lane, start.middle), (lane, end.middle + 5), (end.x, end.middle + 5)]
        shapes.append(line(turn, "premise"))
        shapes.append(shape("path", "arrow", d=f"M{end.x:.5g} {end.middle + 5:.5g} l-7 -4 v8 z"))
    weighed = [edge for edge in drawn.edges if edge.decibans is not None]
    first = min(at[edge.start].middle for edge in weighed)
    shapes.append(line([(RAIL, first), (RAIL, cause.middle), (cause.right, cause.middle)], "rail"))
    shapes.append(shape("path", "arrow", d=f"M{cause.right:.5g} {cause.middle:.5g} l8 -5 v10 z"))
    for edge in weighed:
        start, weight = at[edge.start], edge.decibans or 0
        shapes.append(_weighs(f"M{start.right:.5g} {start.middle:.5g} H{RAIL:.5g}", weight))
        shapes += _figure(RAIL - 10, start.middle, weight)
    shapes += [one for box in boxes for one in _drawn(box)]
    return boxes[-1].y + boxes[-1].height + 2, shapes


def _described(drawn: Reasoning) -> str:
    titles = {node.key: node.title for node in drawn.nodes}
    cause = next(node for node in drawn.nodes if node.kind == "cause")
    weighed = [f"{titles[e.start]} {e.decibans:+d}" for e in drawn.edges if e.decibans is not None]
    return (
        f"What weighs on {cause.title}, in decibans: {'; '.join(weighed)}; in all {drawn.total:+d}. "
        "The numbered chain below says the same in words."
    )
