"""Practice on a console: the page of a case, checks by number or words, suspects, a verdict, and the look back."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from diagnose.casefile import NotSaved
from diagnose.classroom_words import WORDS, unknown_words
from diagnose.complaint import Complaint
from diagnose.diagnosis import Diagnoser
from diagnose.layout import join, wrap
from diagnose.practice import GIVEN_UP, Exercise, Practice, begin, find_checks, left_to_find, short_of
from diagnose.practice_review import Review, review
from diagnose.practice_text import answer_given, check_lines, kind_lines, page_lines, review_text
from diagnose.progress import Practised, ProgressFile
from diagnose.session import Console

REFUSED_IN_A_ROW = 8  # of plain lines, after which nobody is taken to be reading


class Classroom:
    """Practices one after another on one console. `draw` gives the case of that number, beginning with 0; `progress`
    keeps what came of each under `day`."""

    def __init__(
        self,
        diagnoser: Diagnoser,
        console: Console,
        draw: Callable[[int], Exercise],
        progress: ProgressFile,
        day: str,
    ):
        self.diagnoser = diagnoser
        self.console = console
        self.draw = draw
        self.progress = progress
        self.day = day
        self.number = 0
        self.now: Practice
        self.earlier: list[Practice] = []  # before each naming and dropping of a suspect since the last check
        self.review: Review | None = None
        self.nudged = (-1, -1)  # checks made and number of the case at the last hint
        self._refused = 0

    def run(self) -> int:
        """Practise until the apprentice leaves or the input ends. Returns 0."""
        self.say(
            "A case whose cause is not told. Look into it, name suspects, then give your verdict: a number makes a "
            "check, `checks` lists them, `suspect NAME`, `verdict NAME`. The words: "
            + ", ".join(word.name for word in WORDS if not word.after)
            + "."
        )
        self.begin()
        while True:
            try:
                written = self.console.ask(self._completions(), self.standing_line())
            except EOFError:
                self.say(self.left())
                return 0
            if not self._take(written):
                return 0

    def begin(self) -> None:
        """The next case, at its opening page. Raises Complaint where none can be drawn."""
        self.now = begin(self.diagnoser, self.draw(self.number))
        self.number += 1
        self.earlier, self.review = [], None
        self.show(page_lines(self.now, self.console.width))
        self.show(["", *wrap("What can be looked at, asked or tried:", self.console.width)])
        self.show(kind_lines(self.now, self.console.width))
        if not self.now.exercise.made:
            left = left_to_find(self.now.exercise, self.diagnoser.knowledge)
            self.say(f"It is a saved case: it tells {left} things beyond this page; what it cannot tell costs nothing.")
        self.say("`checks look` lists those of one kind, `checks rag` those with a word; `checks` lists all.")

    def _take(self, written: str) -> bool:
        head, _, rest = " ".join(written.split()).partition(" ")
        word = next((w for w in WORDS if w.name == head.lower() and (w.takes or not rest)), None)
        try:
            if word:
                going_on = word.run(self, rest)
            else:
                self._check(" ".join(written.split()))
                going_on = True
        except Complaint as complaint:
            return self._refuse(str(complaint))
        if word or written.strip():
            self._refused = 0
        return going_on

    def _refuse(self, why: str) -> bool:
        self.say(f"Sorry: {why.rstrip('.?')}{'?' if why.endswith('?') else '.'}")
        self._refused += 1
        if self.console.tells_standing and self._refused >= REFUSED_IN_A_ROW:
            self.say(f"{REFUSED_IN_A_ROW} lines in a row could not be used. {self.left()}")
            return False
        return True

    # -- checks and verdict --------------------------------------------------------------------------------------------

    def _check(self, written: str) -> None:
        """Make the check that `written` means, or list those it may mean."""
        if self.review:
            raise Complaint(None, "the verdict is given", "`more` for another case, `why`, `report` or `leave`")
        if not written:
            raise Complaint(
                None, "nothing was chosen", "a number makes a check; `checks` lists them, `verdict NAME` ends the case"
            )
        found = find_checks(self.now, written)
        if not found:
            raise unknown_words(self.now, written)
        if len(found) > 1:
            self.show(check_lines(self.now, found, self.console.width))
            self.say("Its number makes a check; `how NUMBER` tells how it is done.")
            return
        self.make(found[0][1].id)

    def make(self, name: str) -> None:
        asked, before = self.now.open[name], len(self.now.offered)
        self.now, self.earlier = self.now.check(name), []
        width = self.console.width
        self.show(wrap(asked.question, width))
        self.show(wrap(answer_given(self.now, name), width, "    = "))
        made = self.now.checks[-1]
        cost = f"{made.minutes:g} min" if made.given.known else "it cost nothing"
        new = [n for n in range(before + 1, len(self.now.offered) + 1) if self.now.offered[n - 1] in self.now.open]
        opened = f" New to look at: {', '.join(map(str, new))}." if new else ""
        self.say(f"({cost}; {self.now.minutes:g} min in all){opened}")

    def settle(self, verdict: str) -> None:
        """Take the verdict, look back on the practice and write it down."""
        self.now = self.now.commit(verdict)
        self.say("Looking back ...")
        self.review = review(self.now)
        self.console.say(review_text(self.review, self.console.width))
        self._keep(self.review)
        self.say(f"The same case again: diagnose learn {self.now.exercise.again}")
        self.say("`why` shows the reasoning, `report` all of it, `more` another case, `leave` ends.")

    def _keep(self, back: Review) -> None:
        now = self.now
        try:
            self.progress.add(
                Practised(
                    self.day,
                    now.exercise.id,
                    back.settled.id,
                    now.verdict,
                    now.right,
                    tuple(check.of for check in now.checks),
                    now.suspects,
                    now.minutes,
                    back.own.minutes,
                    now.hints,
                    now.exercise.again,
                )
            )
        except NotSaved as error:
            self.say(f"NOT WRITTEN DOWN: {error}. Practice goes on; it counts until you leave.")

    # -- what is shown -------------------------------------------------------------------------------------------------

    def say(self, text: str) -> None:
        self.show(wrap(text, self.console.width))

    def show(self, lines: Sequence[str]) -> None:
        self.console.say(join(lines))

    def left(self) -> str:
        if self.review:
            return "Left."
        again = f" The same case again: diagnose learn {self.now.exercise.again}" if self.now.exercise.again else ""
        return f"Left without a verdict; nothing was written down.{again}"

    def standing_line(self) -> str:
        """What the apprentice has done, never where the causes stand."""
        if self.review:
            given = "given up" if self.now.verdict == GIVEN_UP else "right" if self.now.right else "not so"
            return f"Verdict: {given}"
        names = ", ".join(self.diagnoser.knowledge.causes[cause].name for cause in self.now.suspects if self._is(cause))
        number = len(self.now.checks)
        line = f"{number} check{'s'[: number != 1]}, {self.now.minutes:g} min"
        return f"{line} | suspected: {names}" if names else line

    def _is(self, cause: str) -> bool:
        return cause in self.diagnoser.knowledge.causes

    def _completions(self) -> list[tuple[str, str]]:
        words = [(word.name, word.says) for word in WORDS if self.review or not word.after]
        if self.review:
            return words
        checks = [(short_of(self.now, o.id), o.kind.name) for _, o in self.now.numbered()]
        causes = [
            (f"{word} {cause.name}", self.diagnoser.knowledge.families[cause.family])
            for word in ("suspect", "verdict")
            for cause in self.diagnoser.knowledge.causes.values()
        ]
        return words + checks + causes
