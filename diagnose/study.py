"""A lesson on a console, read part by part from a menu, and a long part screen by screen."""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Sequence

from diagnose.layout import join, wrap
from diagnose.lesson import Lesson, Part
from diagnose.lesson_text import lesson_text, part_text
from diagnose.practice import number_in
from diagnose.reading import as_name
from diagnose.session import Console

WORDS = {
    "list": "the parts of this lesson",
    "whole": "all parts at once",
    "back": "the part before",
    "leave": "end here",
    "help": "these words",
}


LEAST_HEIGHT = 8


class Study:
    """One lesson on one console, `height` lines at a time. Enter alone goes on, and ends after the last part."""

    def __init__(self, lesson: Lesson, console: Console, height: int | None = None):
        self.lesson = lesson
        self.console = console
        self.height = max(LEAST_HEIGHT, height or shutil.get_terminal_size((80, 24)).lines - 4)
        self.at = -1  # the part shown last
        self.left: list[str] = []  # screens of it that were not shown yet

    def run(self) -> int:
        """Show parts until the reader leaves or the input ends. Returns 0."""
        self._menu()
        while True:
            try:
                written = self.console.ask(self._completions(), self._line())
            except EOFError:
                return 0
            if not self._take(" ".join(written.split())):
                return 0

    def _take(self, written: str) -> bool:
        word = as_name(written)
        if word == "leave":
            return False
        if word in ("list", "help"):
            self._menu()
        elif word == "whole":
            self.console.say(lesson_text(self.lesson, self.console.width))
            self.at, self.left = len(self.lesson.parts) - 1, []
        elif word == "back":
            self._show(max(0, self.at - 1))
        elif not word:
            if self.left:
                self._screen()
                return True
            if self.at + 1 == len(self.lesson.parts):
                self._say("That was the last part.")
                return False
            self._show(self.at + 1)
        else:
            self._named(written, word)
        return True

    def _named(self, written: str, word: str) -> None:
        parts = self.lesson.parts
        number = number_in(written)
        if number is not None and 1 <= number <= len(parts):
            self._show(number - 1)
            return
        found = [n for n, part in enumerate(parts) if _fits(part, word)]
        if len(found) == 1:
            self._show(found[0])
        else:
            self._say(f"Sorry: no part goes by that; 1 to {len(parts)}, or Enter for the next one.")

    def _show(self, number: int) -> None:
        self.at = number
        text = part_text(self.lesson, self.lesson.parts[number], self.console.width)
        self.left = [join(lines) for lines in screens(text.splitlines(), self.height)]
        self._screen()

    def _screen(self) -> None:
        self.console.say(self.left.pop(0))
        parts = self.lesson.parts
        if self.left:
            more = f"Enter: more of this part, {len(self.left)} to come"
        elif self.at + 1 < len(parts):
            more = f"Enter: {parts[self.at + 1].title}"
        else:
            more = "Enter ends"
        self._say(f"({more}; `list`, `leave`)")

    def _menu(self) -> None:
        width = self.console.width
        lines = wrap(f"Lesson: {self.lesson.title}", width)
        for number, part in enumerate(self.lesson.parts, 1):
            lines += wrap(f"{part.title}{_count(part)}", width, f"{number:>4}  ")
        self.console.say(join(lines))
        self._say("Enter goes on to the next part; a number goes to that one. " + _words())

    def _say(self, text: str) -> None:
        self.console.say(join(wrap(text, self.console.width)))

    def _line(self) -> str:
        return f"Part {self.at + 1} of {len(self.lesson.parts)}" if self.at >= 0 else self.lesson.title

    def _completions(self) -> list[tuple[str, str]]:
        return [*WORDS.items(), *((part.title, part.id) for part in self.lesson.parts)]


def screens(lines: Sequence[str], height: int) -> Iterator[list[str]]:
    """`lines` in portions of at most `height`, parted at empty lines where that can be."""
    now: list[str] = []
    for block in _blocks(lines):
        if now and len(now) + len(block) > height:
            yield now
            now = []
        now += block
        while len(now) > height:
            yield now[:height]
            now = now[height:]
    if now:
        yield now


def _blocks(lines: Sequence[str]) -> Iterator[list[str]]:
    """Runs of lines, each but the first beginning with an empty one."""
    block: list[str] = []
    for line in lines:
        if not line and block:
            yield block
            block = []
        block.append(line)
    if block:
        yield block


def _words() -> str:
    return "; ".join(f"`{name}`: {says}" for name, says in WORDS.items()) + "."


def _count(part: Part) -> str:
    named = sum(bool(entry.of) for entry in part.entries)
    return f" ({named})" if named > 1 else ""


def _fits(part: Part, word: str) -> bool:
    """Whether `word` begins the part's id or some word of its title."""
    return part.id.startswith(word) or f"_{word}" in f"_{as_name(part.title)}"
