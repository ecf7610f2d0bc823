"""A console of plain lines, for pipes and screen readers: nothing moves, nothing is coloured or drawn twice."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TextIO

from diagnose.layout import terminal_width


class PlainConsole:
    tells_standing = True

    def __init__(self, read: TextIO, write: TextIO):
        self.read = read
        self.write = write
        self.width = terminal_width()

    def say(self, text: str) -> None:
        self.write.write(text)
        self.write.flush()

    def ask(self, words: Sequence[tuple[str, str]], standing: str) -> str:
        self.write.write("> ")
        self.write.flush()
        line = self.read.readline(10_000)
        self.write.write("\n")
        if not line:
            raise EOFError
        return line
