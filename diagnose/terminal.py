"""A consultation in a terminal: prompt_toolkit for editing and completion, the standing below the prompt.

Where standard input or output is no terminal, plain lines are used instead.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from diagnose.case import Case
from diagnose.casefile import free_name, held, open_case
from diagnose.complaint import printable
from diagnose.consultation import Consultation
from diagnose.diagnosis import Diagnoser
from diagnose.layout import terminal_width
from diagnose.plain import PlainConsole
from diagnose.session import Console, Session


def consult(diagnoser: Diagnoser, path: Path | None) -> int:
    """Consult on the case in `path` (a new one in this folder where none is named). Returns the exit status."""
    path = path or free_name(Path())
    with held(path):
        case: Case = open_case(path, diagnoser.knowledge)
        return Session(Consultation(diagnoser, case), path, console()).run()


def console(saved: bool = True) -> Console:
    """A console for this input and output. `saved`: whatever is answered on it is saved at once."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        _lenient(sys.stdin)
        return PlainConsole(sys.stdin, sys.stdout)
    try:
        return TerminalConsole(saved=saved)
    except (OSError, ValueError, ImportError) as error:  # a terminal that prompt_toolkit cannot drive
        print(f"Plain lines are used here ({printable(str(error))}).")
        return PlainConsole(sys.stdin, sys.stdout)


def _lenient(stream) -> None:
    """Bytes that are not UTF-8 must not end a consultation."""
    if hasattr(stream, "reconfigure"):
        stream.reconfigure(errors="replace")


class TerminalConsole:
    """Completion on every term; the toolbar carries the standing. Its colours only repeat what the words say."""

    tells_standing = False

    def __init__(self, session=None, saved: bool = True):
        from prompt_toolkit import PromptSession
        from prompt_toolkit.history import InMemoryHistory

        self._session = session or PromptSession(
            history=InMemoryHistory(), complete_while_typing=True, reserve_space_for_menu=5
        )
        self._stopping = f"(type `leave` to end{'; everything answered is saved' if saved else ''})"

    @property
    def width(self) -> int:
        return terminal_width()

    def say(self, text: str) -> None:
        print(text, end="", flush=True)

    def ask(self, words: Sequence[tuple[str, str]], standing: str) -> str:
        from prompt_toolkit.completion import WordCompleter

        completer = WordCompleter(
            [word for word, _ in words], meta_dict=dict(words), ignore_case=True, sentence=True, match_middle=True
        )
        while True:
            try:
                return self._session.prompt("> ", completer=completer, bottom_toolbar=standing[: self.width])
            except KeyboardInterrupt:
                print(self._stopping)
