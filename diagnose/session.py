"""Running a consultation on a console: asking, the words that work at any prompt, saving after every answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Protocol

from diagnose import units
from diagnose.asking import Question
from diagnose.case import Given
from diagnose.casefile import NotSaved, save
from diagnose.commands import WORDS
from diagnose.complaint import Complaint
from diagnose.consultation import Consultation
from diagnose.layout import join, percent, wrap
from diagnose.model import UNLISTED
from diagnose.naming import loosely
from diagnose.prompts import AGAIN, Prompt, names_product, product_said, times_again, understand
from diagnose.reading import as_name
from diagnose.report_text import LIKELY, Page, asked_words, remedies, standing
from diagnose.words import given_said, question_said

WORTH_SHOWN = 5  # questions to go and answer, after several that were not known
WAYS_SHOWN = 1  # of finding out what was not known
REFUSED_IN_A_ROW = 5  # of plain lines, after which a session ends


class Console(Protocol):
    """What a session needs of a screen. `ask` raises EOFError when the input has ended.

    `tells_standing`: the standing must be told in a line of its own, since nothing shows it beside the prompt.
    """

    width: int
    tells_standing: bool

    def say(self, text: str) -> None: ...

    def ask(self, words: Sequence[tuple[str, str]], standing: str) -> str: ...


class Session:
    """One consultation on one console, kept in one file."""

    def __init__(self, consultation: Consultation, path: Path, console: Console):
        self.now = consultation
        self.path = path
        self.console = console
        self.unsaved = ""
        self.climbed: tuple = ("", None, 0)  # what `how` was asked of last, in which state, and how far up
        self._shown: object = None
        self._refused = 0

    # -- the loop ------------------------------------------------------------------------------------------------------

    def run(self) -> int:
        """Ask until the user leaves or the input ends. Returns 0; all is on disk unless it said otherwise."""
        self.say(
            f"This consultation is kept in {self.path}; every answer is saved at once. At any question: Enter or "
            "`unknown` if you don't know, and the words " + ", ".join(w.name for w in WORDS if not w.at_end) + "."
        )
        if self.now.case.findings or self.now.case.steps or self.now.case.piece:
            self.say("Taken up where it stopped.")
        while True:
            prompt = self.now.prompt
            if self._shown != (prompt and prompt.about, len(self.now.case.findings)):
                self._show(prompt)
                self._shown = (prompt and prompt.about, len(self.now.case.findings))
            try:
                written = self.console.ask(self._completions(prompt), self.standing_line())
            except EOFError:
                self._show_end()
                self.say(self.left())
                return 0
            if not self._take(prompt, written):
                return 0

    def _take(self, prompt: Prompt | None, written: str) -> bool:
        head, _, rest = written.strip().partition(" ")
        word = next((w for w in WORDS if w.name == head.lower()), None)
        if word and (prompt is None or not w_is_answer(prompt, written)):
            stays = word.run(self, rest.strip())
            self._shown = None if prompt else self._shown  # what was asked has scrolled away
            return stays
        if prompt is None:
            return self._choose(written)
        try:
            answered = self.now.answer(written)
        except Complaint as complaint:
            self.refuse(complaint)
            self._refused += 1
            if self.console.tells_standing and self._refused == REFUSED_IN_A_ROW:  # nobody is reading what is said
                self.say(f"{REFUSED_IN_A_ROW} answers in a row could not be used. " + self.left())
                return False
            return True
        self._refused = 0
        self.show(wrap(understood(prompt, written), self.console.width, "    = "))
        if not understand(prompt, written).known:
            self._show_ways(prompt)
        self._move(answered)
        return True

    def _choose(self, written: str) -> bool:
        """At the end: the number of one of the questions that were listed asks it."""
        worth = self._worth_finding() if self.now.at_a_loss else []
        if written.strip() in map(str, range(1, len(worth) + 1)):
            self.now = replace(self.now, wanted=worth[int(written) - 1].open.id)
        else:
            self.say("Nothing is being asked now. " + self._end_words())
        return True

    def _show_ways(self, prompt: Prompt) -> None:
        """How what was not known could be found out, the cheapest first."""
        kinds = self.now.diagnoser.knowledge.ask_kinds
        for finding in self.now.ways_to_find_out(prompt.about)[:WAYS_SHOWN]:
            price = f"{kinds[finding.kind].name}, about {kinds[finding.kind].minutes:g} min"
            says = f"It would show by: {finding.short} ({price}). `tell {finding.id}` when you have tried."
            self.show(wrap(says, self.console.width, "      "))

    def refuse(self, complaint: Complaint) -> None:
        self.say(f"Sorry: {str(complaint).rstrip('.?')}{'?' if str(complaint).endswith('?') else '.'}")

    def told(self, name: str, given: Given) -> None:
        """An answer that was volunteered."""
        case, knowledge = self.now.case, self.now.diagnoser.knowledge
        said = f"{question_said(name, case, knowledge)} {given_said(name, given, case, knowledge)}"
        self.show(wrap(said, self.console.width, "    = "))
        self._move(self.now.told(name, given))

    def _move(self, consultation: Consultation) -> None:
        self.now = consultation
        self.store()
        if self.console.tells_standing and not self.now.opening:
            self.say(self.standing_line())

    def store(self) -> None:
        """Save; when that fails say so plainly and keep what was answered in memory."""
        try:
            save(self.now.case, self.path, self.now.diagnoser.knowledge.version)
            if self.unsaved:
                self.say("Saved again.")
            self.unsaved = ""
        except NotSaved as error:
            self.unsaved = str(error)
            self.say(
                f"NOT SAVED: {error}. Your answers are still held here; put it right and type `save`, "
                "or `save OTHER.yaml`."
            )

    # -- what is shown -------------------------------------------------------------------------------------------------

    def say(self, text: str) -> None:
        self.console.say(
            join(line for part in text.split("\n") for line in (wrap(part, self.console.width) if part else [""]))
        )

    def show(self, lines: Sequence[str]) -> None:
        self.console.say(join(lines))

    def _show(self, prompt: Prompt | None) -> None:
        if prompt is None:
            self._show_end()
            return
        width = self.console.width
        lines = [""]
        if prompt.of:
            lines += wrap(f"({prompt.of})", width)
        lines += wrap(prompt.question, width)
        for instruction in prompt.how:
            lines += wrap(instruction, width, "    . ")
        if prompt.harms:
            lines += wrap(f"Mind: {prompt.harms}", width, "    ! ")
        if prompt.short:
            lines += wrap(
                ", ".join(f"{n} {value.replace('_', ' ')}" for n, (value, _) in enumerate(prompt.options, 1)),
                width,
                "      ",
            )
        else:
            for number, (_, words) in enumerate(prompt.options, 1):
                lines += wrap(words, width, f"  {number:>2}  ")
        hints = []
        if prompt.quantity:
            hints.append(f"with its unit, for instance {units.KINDS[prompt.quantity].example}")
        elif not prompt.options:
            hints.append("type its name, or the beginning of it")
        if prompt.many:
            hints.append("several with commas")
        if prompt.needed:
            hints.append("this one is needed")
        if hints:
            lines += wrap("(" + "; ".join(hints) + ")", width, "      ")
        self.show(lines)

    def _show_end(self) -> None:
        if not self.now.case.findings:
            return
        diagnosis, width = self.now.diagnosis, self.console.width
        self.show(standing(diagnosis, width) + remedies(diagnosis, Page(width)))
        if self.now.prompt is None and self.now.at_a_loss:
            self._show_worth_finding()
        elif self.now.prompt is None and diagnosis.first.cause:
            enough = (
                "Enough is known: no"
                if diagnosis.first.probability >= LIKELY
                else "Which cause it was stays open, but no"
            )
            self.say(f"{enough} further question that is worth its price would change what to do first.")
        elif self.now.prompt is None:
            self.say("No question is left that is worth its price.")
        self.say(self._end_words())

    def _show_worth_finding(self) -> None:
        """What to go and find out, after several answers that were not known."""
        width = self.console.width
        lines = [
            "",
            *wrap(
                "Several answers in a row were not known. These would tell most, once you have looked or tried:", width
            ),
        ]
        for number, question in enumerate(self._worth_finding(), 1):
            lines += wrap(f"{asked_words(question)} ({question.open.kind.name})", width, f"  {number:>2}  ")
        lines += wrap("(its number asks one of them)", width, "      ")
        self.show(lines)

    def _worth_finding(self) -> list[Question]:
        return self.now.diagnosis.open_questions_by_value[:WORTH_SHOWN]

    def left(self) -> str:
        if not self.path.exists():
            return "Left; nothing was said yet."
        return f"Left. Take it up again with: diagnose --case {self.path}"

    def _end_words(self) -> str:
        return (
            "`report` shows all of it with the reasoning, `more` asks further, `back` takes the last answer back, "
            "`leave` ends."
        )

    def standing_line(self) -> str:
        """The leading causes, as many as fit one line, and "none of these"."""
        if not self.now.case.findings:
            return "nothing said yet"
        rows = self.now.diagnosis.ranking
        none = next(row for row in rows if row.id == UNLISTED)
        wide = self.console.width >= 60
        start, end = ("Stands now: ", "none of these ") if wide else ("Now: ", "none ")
        line, end = start, end + percent(none.probability)
        if rows[0] is none:  # what leads is said first
            start, end = f"{start}{end} | ", ""
            line = start
        for row in [row for row in rows if row.cause and row.probability >= 0.01][:3]:
            part = f"{row.name} {percent(row.probability)} | "
            if len(line) + len(part) + len(end) > self.console.width:
                room = self.console.width - len(line) - len(end) - len(part) + len(row.name)
                if line == start and room > 8:  # the first is always shown, its name cut where it must be
                    part = f"{row.name[: room - 3]}... {percent(row.probability)} | "
                    line += part
                break
            line += part
        return (line + end).removesuffix(" | ")

    def _completions(self, prompt: Prompt | None) -> list[tuple[str, str]]:
        words = [(word.name, word.says) for word in WORDS]
        if prompt is None or prompt.quantity:
            return words
        described = dict(prompt.options)
        terms = [
            (
                spelling.replace("_", " ") if spelling not in described else spelling,
                described.get(value, value.replace("_", " ")),
            )
            for spelling, value in sorted((prompt.spellings or {}).items())
        ]
        return terms + words


def understood(prompt: Prompt, written: str) -> str:
    """What an answer was taken to mean, in words."""
    given = understand(prompt, written)
    if not given.known and prompt.about[0] == "do":
        return "nothing is known of what was done (`back` if some of it is)"
    if not given.known:
        return "not known"
    if given.values == (AGAIN,) and (times := times_again(written)) > 1:
        return f"the same as the last step, {times} times more"
    described = dict(prompt.options)
    words = ", ".join(
        described.get(value, str(value).replace("_", " ")) if isinstance(value, str) else given.written
        for value in given.values
    )
    if prompt.products and (product := product_said(prompt, written, given.values[0])):
        words += f": {product.replace('_', ' ')}"
    others = other_meanings(prompt, written)
    return f"{words} (if you meant {' or '.join(others)}, type `back` and its name)" if others else words


def other_meanings(prompt: Prompt, written: str) -> list[str]:
    """What else a general name might have meant ('maple': hard, soft, bigleaf), at most four, by name."""
    word, spellings = as_name(written), prompt.spellings or {}
    if prompt.products and names_product(prompt, written):
        kind = understand(prompt, written).values[0]
        spellings = {spelling: material for spelling, (material, steps) in prompt.products.items() if kind in steps}
    if word not in spellings:
        word = loosely(word, spellings, prompt.passing) or ""
    taken = spellings.get(word)
    if taken is None or prompt.many or word == taken or written.strip().isdecimal():
        return []
    parts = set(word.split("_"))
    others = {value for spelling, value in spellings.items() if parts <= set(spelling.split("_")) and value != taken}
    offered = {value for value, _ in prompt.options}
    return [value.replace("_", " ") for value in sorted(others & offered or others)][:4]


def w_is_answer(prompt: Prompt, written: str) -> bool:
    """A word of the session that is also an answer here counts as the answer; the knowledge avoids such answers."""
    return as_name(written) in (prompt.spellings or {})
