"""Running a consultation on a console: asking, the words that work at any prompt, saving after every answer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from diagnose import units
from diagnose.casefile import NotSaved, save
from diagnose.complaint import Complaint
from diagnose.consultation import Consultation, Prompt, understand
from diagnose.layout import NARROW, join, percent, wrap
from diagnose.model import UNLISTED
from diagnose.reading import as_name
from diagnose.report_text import Page, asked_words, remedies, report, standing
from diagnose.words import answer_words


class Console(Protocol):
    """What a session needs of a screen. `ask` raises EOFError when the input has ended.

    `tells_standing`: the standing must be told in a line of its own, since nothing shows it beside the prompt.
    """

    width: int
    tells_standing: bool

    def say(self, text: str) -> None: ...

    def ask(self, words: Sequence[tuple[str, str]], standing: str) -> str: ...


@dataclass(frozen=True, slots=True)
class Word:
    """A word that works at any prompt. `run` returns False to leave."""

    name: str
    says: str
    run: Callable[[Session, str], bool]
    at_end: bool = False


class Session:
    """One consultation on one console, kept in one file."""

    def __init__(self, consultation: Consultation, path: Path, console: Console):
        self.now = consultation
        self.path = path
        self.console = console
        self.unsaved = ""
        self._shown: object = None

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
                return 0
            if not self._take(prompt, written):
                return 0

    def _take(self, prompt: Prompt | None, written: str) -> bool:
        head, _, rest = written.strip().partition(" ")
        word = next((w for w in WORDS if w.name == head.lower()), None)
        if word and (prompt is None or not w_is_answer(prompt, written)):
            return word.run(self, rest.strip())
        if prompt is None:
            self.say("Nothing is being asked now. " + self._end_words())
            return True
        try:
            answered = self.now.answer(written)
        except Complaint as complaint:
            self.say(f"Sorry: {str(complaint).rstrip('.?')}{'?' if str(complaint).endswith('?') else '.'}")
            return True
        self.show(wrap(understood(prompt, written), self.console.width, "    = "))
        self._move(answered)
        return True

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
            self.say("Enough is known: no further question that is worth its price would change what to do first.")
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
        for question in self.now.diagnosis.open_questions_by_value[:3]:
            lines += wrap(f"{asked_words(question)} ({question.open.kind.name})", width, "  - ")
        self.show(lines)

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
        for row in [row for row in rows if row.cause and row.probability >= 0.01][:3]:
            part = f"{row.name} {percent(row.probability)} | "
            if len(line) + len(part) + len(end) > self.console.width:
                room = self.console.width - len(line) - len(end) - len(part) + len(row.name)
                if line == start and room > 8:  # the first is always shown, its name cut where it must be
                    part = f"{row.name[: room - 3]}... {percent(row.probability)} | "
                    line += part
                break
            line += part
        return line + end

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
    if not given.known:
        return "not known"
    described = dict(prompt.options)
    return ", ".join(
        described.get(value, str(value).replace("_", " ")) if isinstance(value, str) else given.written
        for value in given.values
    )


def w_is_answer(prompt: Prompt, written: str) -> bool:
    """A word of the session that is also an answer here counts as the answer; the knowledge avoids such answers."""
    return as_name(written) in (prompt.spellings or {})


# -- the words ---------------------------------------------------------------------------------------------------------


def _back(session: Session, _: str) -> bool:
    earlier = session.now.back()
    if earlier is None:
        session.say("There is no answer to take back.")
    else:
        session._move(earlier)
    return True


def _why(session: Session, _: str) -> bool:
    now, width = session.now, session.console.width
    prompt = now.prompt
    if prompt is None:
        session.say("Nothing is being asked.")
        return True
    question = now.chosen if not now.opening else None
    if question is None:
        rules = [rule for rule in now.diagnoser.knowledge.rules if _uses(rule.when, prompt)]
        session.say(
            f"It is part of the opening page, which places the piece before anything is weighed: {len(rules)} rules of "
            "the base look at it. If you don't know, they stay silent; nothing is read into that."
        )
        return True
    strategy = now.diagnoser.knowledge.strategies["worth_its_price"]
    lines = wrap(
        f"{strategy.says} This one is expected to tell {question.bits:.2f} bits about the causes that stand, for "
        f"{question.open.kind.minutes:g} min. What each answer would move:",
        width,
    )
    for answer in question.answers:
        moved = sorted(
            answer.moves,
            key=lambda pair: (-abs(pair[1]) * now.diagnosis.ahead.chances[pair[0]] - abs(pair[1]) / 1e3, pair[0]),
        )[:4]
        names = (
            "; ".join(f"{now.diagnoser.knowledge.causes[cause].name} {weight:+d}" for cause, weight in moved)
            or "nothing"
        )
        lines += wrap(
            f"{question.open.answers[answer.answer]} ({percent(answer.chance)} expected): {names}", width, "  - "
        )
    if prompt.shows:
        lines += wrap(prompt.shows, width, "  ")
    session.show(lines)
    return True


def _uses(patterns, prompt: Prompt) -> bool:
    about = prompt.about
    for pattern in patterns:
        if about[0] == "finding" and pattern[:2] == ("answer", about[1]):
            return True
        if about[0] in ("piece", "air") and pattern[:2] == about[:2]:
            return True
        if (
            about[0] in ("do", "step")
            and pattern[0] == "step"
            and pattern[2] == (about[2] if about[0] == "step" else "do")
        ):
            return True
    return False


def _standing(session: Session, _: str) -> bool:
    now, width = session.now, session.console.width
    lines = standing(now.diagnosis, width, most=8) if now.case.findings else ["Nothing was said yet."]
    for name, given in now.case.findings.items():
        knowledge = now.diagnoser.knowledge
        lines += wrap(f"{knowledge.findings[name].short}: {answer_words(name, given, knowledge)}", width, "  - ")
    session.show(lines)
    return True


def _save(session: Session, where: str) -> bool:
    if not where:
        session.store()
        if not session.unsaved:
            session.say(f"Saved in {session.path}; so is every answer as it is given. `save OTHER.yaml` writes a copy.")
        return True
    other = Path(where)
    if other.suffix not in (".yaml", ".yml"):
        session.say("A case file's name ends in .yaml.")
        return True
    if other.exists():
        session.say(f"{other} exists already; nothing was written over it. Choose another name.")
        return True
    try:
        save(session.now.case, other, session.now.diagnoser.knowledge.version)
        session.say(f"A copy is in {other}.")
    except NotSaved as error:
        session.say(f"NOT SAVED in {other}: {error}.")
    return True


def _leave(session: Session, sure: str) -> bool:
    if session.unsaved and sure != "anyway":
        session.say(
            f"The last answers are NOT SAVED ({session.unsaved}). `save OTHER.yaml` keeps them, "
            "`leave anyway` drops them."
        )
        return True
    session.say(
        f"Left. Take it up again with: diagnose --case {session.path}"
        if session.path.exists()
        else "Left; nothing was said yet."
    )
    return False


def _help(session: Session, _: str) -> bool:
    lines = []
    for word in WORDS:
        lines += wrap(word.says, session.console.width, f"  {word.name:<9}")
    lines += wrap(
        "An answer is its number, its words or the beginning of them; Enter alone means you don't know.",
        session.console.width,
    )
    session.show(lines)
    return True


def _report(session: Session, _: str) -> bool:
    if session.now.case.findings:
        session.console.say(report(session.now.diagnosis, max(session.console.width, NARROW)))
    else:
        session.say("Nothing was said yet.")
    return True


def _more(session: Session, _: str) -> bool:
    more = session.now.asked_for_more()
    if more.prompt is None:
        session.say("No question is left that would tell anything.")
    else:
        session.now = more
    return True


WORDS = (
    Word("back", "take the last answer back", _back),
    Word("why", "why this is asked, and what each answer would move", _why),
    Word("standing", "where the causes stand now", _standing),
    Word("save", "where it is saved; with a name, write a copy", _save),
    Word("leave", "end here; it can be taken up again", _leave),
    Word("help", "these words", _help),
    Word("report", "everything, with the reasoning", _report, at_end=True),
    Word("more", "ask further although enough is known", _more, at_end=True),
)
