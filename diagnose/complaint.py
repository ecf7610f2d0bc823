"""The one kind of error a user meets: what is wrong, where, and what would be accepted."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple


class Place(NamedTuple):
    """A spot in a file; line and column count from 1, as editors show them. (A tuple, since files make many.)"""

    file: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}" if self.line else self.file


class Complaint(Exception):
    """Input that cannot be used. Its text is one line, fit to print as it stands."""

    def __init__(self, place: Place | None, wrong: str, accepted: str = ""):
        self.place = place
        self.wrong = wrong
        self.accepted = accepted
        text = f"{wrong}; {accepted}" if accepted else wrong
        super().__init__(printable(f"{place}: {text}" if place else text))


def printable(text: str) -> str:
    """`text` with everything a terminal could act on shown as an escape: control, bidirectional, surrogate."""
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text)


def shown(word: str, limit: int = 40) -> str:
    """A user's own word, quoted and cut so that a huge one does not flood the message."""
    return f"'{word if len(word) <= limit else word[: limit - 3] + '...'}'"


def nearest(word: str, known: Iterable[str], most: int = 3) -> list[str]:
    """Up to `most` known words that look like `word`, closest first, ties in alphabetical order."""
    import difflib  # here, since only a complaint needs it

    return difflib.get_close_matches(word[:60].lower(), sorted(known), n=most, cutoff=0.55)


def would_accept(word: str, known: Iterable[str], what: str = "known") -> str:
    """The second half of a complaint about an unknown word: the nearest ones, or all where they are few."""
    known = sorted(known)
    near = nearest(word, known)
    if near:
        return "did you mean " + " or ".join(near) + "?"
    if len(known) <= 12:
        return f"{what}: " + ", ".join(known)
    return f"{what}: {', '.join(known[:8])} ... ({len(known)} in all)"
