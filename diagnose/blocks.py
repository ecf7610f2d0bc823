"""The blocks that a written report is made of: plain records of words, which every form lays out in its own way."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.reasoning import Reasoning


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph. `mind` marks what must not be passed over."""

    says: str
    mind: bool = False


@dataclass(frozen=True, slots=True)
class Pairs:
    """What is said of each of a few things: (label, words)."""

    items: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Points:
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Warnings:
    """Cautions: (title, what calls for it, what to mind)."""

    items: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the cross-section: `kind` is layer, work, gone (a layer taken off again), interface or wood.

    `mark` is empty, or says that the trouble sits here; `seat` is the first stage that such a layer is the seat of.
    """

    kind: str
    number: int
    name: str
    details: str = ""
    dried: str = ""
    mark: str = ""
    seat: str = ""


@dataclass(frozen=True, slots=True)
class Strata:
    """The cross-section of the piece, top row first, and what told where the trouble sits."""

    rows: tuple[Row, ...]
    why: str


@dataclass(frozen=True, slots=True)
class Bar:
    place: int
    name: str
    word: str
    share: float


@dataclass(frozen=True, slots=True)
class Bars:
    rows: tuple[Bar, ...]


@dataclass(frozen=True, slots=True)
class Weight:
    """One line of a ledger: decibans, what was met, why it weighs, and what was counted with it."""

    decibans: int
    met: str
    because: str
    with_: str


@dataclass(frozen=True, slots=True)
class Ledger:
    about: str
    rows: tuple[Weight, ...]
    total: int


@dataclass(frozen=True, slots=True)
class Job:
    """A remedy: instructions in order, what to make sure of first, why and at what price, and its cautions."""

    name: str
    check: str
    do: tuple[str, ...]
    says: tuple[str, ...]
    mind: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Jobs:
    """Numbered from `first` on."""

    items: tuple[Job, ...]
    first: int = 1


@dataclass(frozen=True, slots=True)
class Link:
    """One step of the reasoning, numbered from 1 in the order of the chain."""

    says: str
    origin: str
    given: bool


@dataclass(frozen=True, slots=True)
class Chain:
    links: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class Map:
    """The chain drawn: for forms that can draw. The numbers in it are those of the chain."""

    drawn: Reasoning


@dataclass(frozen=True, slots=True)
class Numbered:
    """Numbered from `first` on."""

    items: tuple[str, ...]
    first: int = 1


Block = Text | Pairs | Points | Warnings | Strata | Bars | Ledger | Jobs | Chain | Map | Numbered


@dataclass(frozen=True, slots=True)
class Part:
    """A headed part. `id` is the same in every case, and fit for an anchor."""

    id: str
    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Outline:
    title: str
    about: tuple[str, ...]
    parts: tuple[Part, ...]
