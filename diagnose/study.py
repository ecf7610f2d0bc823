"""A lesson on a console, read part by part from a menu."""

from __future__ import annotations

from diagnose.layout import join, wrap
from diagnose.lesson import Lesson, Part
from diagnose.lesson_text import lesson_text, part_text
from diagnose.reading import as_name
from diagnose.session import Console

WORDS = {
    "list": "the parts of this lesson",
    "whole": "all parts at once",
    "back": "the part before",
    "leave": "end here",
    "help": "these words",
}


class Study:
    """One lesson on one console. Enter alone goes on to the next part, and at the last one ends."""

    def __init__(self, lesson: Lesson, console: Console):
        self.lesson = lesson
        self.console = console
        self.at = -1  # the part shown last

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
            self.at = len(self.lesson.parts) - 1
        elif word == "back":
            self._show(max(0, self.at - 1))
        elif not word:
            if self.at + 1 == len(self.lesson.parts):
                self._say("That was the last part.")
                return False
            self._show(self.at + 1)
        else:
            self._named(written, word)
        return True

    def _named(self, written: str, word: str) -> None:
        parts = self.lesson.parts
        if word.isdigit() and 1 <= int(word[:6]) <= len(parts):
            self._show(int(word) - 1)
            return
        found = [n for n, part in enumerate(parts) if _fits(part, word)]
        if len(found) == 1:
            self._show(found[0])
        else:
            self._say(f"Sorry: no part goes by that; 1 to {len(parts)}, or Enter for the next one.")

    def _show(self, number: int) -> None:
        self.at = number
        self.console.say(part_text(self.lesson, self.lesson.parts[number], self.console.width))
        left = len(self.lesson.parts) - number - 1
        self._say(f"({f'Enter: {self.lesson.parts[number + 1].title}' if left else 'Enter ends'}; `list`, `leave`)")

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


def _words() -> str:
    return "; ".join(f"`{name}`: {says}" for name, says in WORDS.items()) + "."


def _count(part: Part) -> str:
    named = sum(bool(entry.of) for entry in part.entries)
    return f" ({named})" if named > 1 else ""


def _fits(part: Part, word: str) -> bool:
    return word in (part.id, as_name(part.title)) or as_name(part.title).startswith(word) or word in as_name(part.title)
