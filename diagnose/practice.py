"""A practice: a case whose cause is not told, looked into check by check until a verdict is given.

A plain object without screen, file or clock. Each deed hands back the next state; what was found so far is a case of
its own, so that every earlier state can be diagnosed again afterwards.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property

from diagnose.asking import Open, Question
from diagnose.case import Case, Given
from diagnose.complaint import Complaint, shown
from diagnose.consultation import Consultation
from diagnose.diagnosis import Diagnoser, Diagnosis
from diagnose.model import UNKNOWN, Knowledge
from diagnose.naming import named_cause
from diagnose.reading import as_name

NOT_TOLD = Given((UNKNOWN,), UNKNOWN)
GIVEN_UP = "given_up"
LONGEST_PLAY = 200  # questions; the program stops long before


@dataclass(frozen=True, slots=True)
class Exercise:
    """A case to practise on. `case` holds all its answers, `causes` whichever verdicts are right.

    `made`: made up from the rules; `again`: the arguments of `diagnose learn` that give it once more.
    """

    id: str
    case: Case
    causes: tuple[str, ...]
    made: bool = False
    again: str = ""


@dataclass(frozen=True, slots=True)
class Check:
    """One thing looked at or tried: the question by its name, what came of it, and what it cost in minutes.

    What cannot be told costs nothing, for nothing was found out.
    """

    of: str
    given: Given
    minutes: float


@dataclass(frozen=True)
class Practice:
    """`case`: what is known so far; `offered`: every check offered so far in the order it came up, so that its number
    stays the same; `verdict`: a cause, `unlisted` or `given_up` once it is given."""

    diagnoser: Diagnoser
    exercise: Exercise
    case: Case
    offered: tuple[str, ...] = ()
    checks: tuple[Check, ...] = ()
    suspects: tuple[str, ...] = ()
    verdict: str = ""
    hints: int = 0
    memo: dict[tuple[str, ...], Diagnosis] = field(default_factory=dict, compare=False, repr=False)

    @property
    def knowledge(self) -> Knowledge:
        return self.diagnoser.knowledge

    @property
    def diagnosis(self) -> Diagnosis:
        """Where the program stands with what is known so far; all states of one practice share what was diagnosed."""
        made = tuple(check.of for check in self.checks)
        if made not in self.memo:
            self.memo[made] = self.diagnoser.diagnose(self.case)
        return self.memo[made]

    @cached_property
    def settled(self) -> Diagnosis:
        """Where the program stands with all that the case says."""
        return self.diagnoser.diagnose(self.exercise.case)

    @property
    def right(self) -> bool:
        return self.verdict in self.exercise.causes

    @property
    def minutes(self) -> float:
        return sum(check.minutes for check in self.checks)

    @cached_property
    def open(self) -> dict[str, Open]:
        """What can be looked at now, by name, cheapest kind first."""
        return {o.id: o for o in open_checks(self.diagnosis, self.exercise)}

    def numbered(self) -> list[tuple[int, Open]]:
        """The open checks with their numbers, which never change."""
        return [(number, self.open[name]) for number, name in enumerate(self.offered, 1) if name in self.open]

    def check(self, name: str) -> Practice:
        """Make the check of that name. Raises KeyError where it is not open."""
        asked = self.open[name]
        given = self.exercise.case.given_for(name) or NOT_TOLD
        minutes = asked.kind.minutes if given.known else 0.0
        after = replace(
            self, case=self.case.with_given(name, given), checks=(*self.checks, Check(name, given, minutes))
        )
        return after._offering()

    def suspect(self, cause: str) -> Practice:
        return self if cause in self.suspects else replace(self, suspects=(*self.suspects, cause))

    def drop(self, cause: str) -> Practice:
        return replace(self, suspects=tuple(name for name in self.suspects if name != cause))

    def commit(self, verdict: str) -> Practice:
        return replace(self, verdict=verdict)

    def hint(self) -> tuple[Practice, Question | None]:
        """The check most worth making now; None where none that the case can answer would tell much."""
        return replace(self, hints=self.hints + 1), best_of(self.diagnosis, self.exercise)

    def _offering(self) -> Practice:
        new = tuple(name for name in self.open if name not in self.offered)
        return replace(self, offered=(*self.offered, *new))


def begin(diagnoser: Diagnoser, exercise: Exercise) -> Practice:
    """The practice at its opening page."""
    return Practice(diagnoser, exercise, opening_page(exercise.case, diagnoser.knowledge))._offering()


def again(practice: Practice) -> Practice:
    """The same practice at its opening page."""
    page = opening_page(practice.exercise.case, practice.knowledge)
    return Practice(practice.diagnoser, practice.exercise, page, memo=practice.memo)._offering()


def opening_page(case: Case, knowledge: Knowledge) -> Case:
    """What the opening page of a case tells: complaint and first looks, piece, air, and the steps without what a
    finisher would be asked of them later. Title, notes and the file's name may give the cause away and are left out."""

    def told(of: str, given: dict[str, Given], named: Iterable[str]) -> dict[str, Given]:
        return {
            name: value
            for name, value in given.items()
            if name in named or knowledge.attributes[of, name].kind != "choice"
        }

    steps = tuple(
        replace(step, given=told("step", step.given, knowledge.step_kinds[step.do].asks)) for step in case.steps
    )
    return Case(
        "practice",
        piece=told("piece", case.piece, knowledge.opening),
        air=told("air", case.air, knowledge.opening),
        steps=steps,
        findings={name: given for name, given in case.findings.items() if name in knowledge.opening},
        page_done=True,
    )


def open_checks(diagnosis: Diagnosis, exercise: Exercise) -> list[Open]:
    """What makes sense to look at. Details of piece, air and steps only where the case can tell them: an apprentice is
    to choose among findings."""
    found = diagnosis.ahead.open_questions()
    sensible = [o for o in found if o.about[0] == "finding" or tells(exercise, o.id)]
    return sorted(sensible, key=lambda o: (o.kind.minutes, o.kind.id, o.id))


def tells(exercise: Exercise, name: str) -> bool:
    given = exercise.case.given_for(name)
    return given is not None and given.known


def worth(diagnosis: Diagnosis, exercise: Exercise) -> list[Question]:
    """The open checks that the case can answer, those worth most a minute first."""
    open_ones = [o for o in open_checks(diagnosis, exercise) if tells(exercise, o.id)]
    return sorted(map(diagnosis.ahead.question, open_ones), key=lambda q: (-q.value, q.open.id))


def best_of(diagnosis: Diagnosis, exercise: Exercise) -> Question | None:
    """The check worth most a minute, where one tells anything to speak of."""
    least = diagnosis.knowledge.strategies["enough_said"].figure
    return next((question for question in worth(diagnosis, exercise) if question.value >= least), None)


def own_play(diagnoser: Diagnoser, exercise: Exercise) -> Practice:
    """The program's own way through the same case: its consultation, answered by what the case tells."""
    played = begin(diagnoser, exercise)
    now = Consultation(diagnoser, played.case)
    checks = []
    for _ in range(LONGEST_PLAY):
        prompt = now.prompt
        if prompt is None:
            break
        chosen = None if now.opening else now.chosen
        name = chosen.open.id if chosen else " ".join(map(str, prompt.about[prompt.about[0] == "finding" :]))
        given = exercise.case.given_for(name) or NOT_TOLD
        now = now.answer(given.written)
        if chosen:
            checks.append(Check(name, given, chosen.open.kind.minutes if given.known else 0.0))
    verdict = now.diagnosis.first.id
    return replace(played, case=now.case, checks=tuple(checks), verdict=verdict, memo={})


def left_to_find(exercise: Exercise, knowledge: Knowledge) -> int:
    """How many things the case tells beyond its opening page."""

    def told(case: Case) -> int:
        tables = (case.piece, case.air, case.findings, *(step.given for step in case.steps))
        return sum(given.known for table in tables for given in table.values())

    return told(exercise.case) - told(opening_page(exercise.case, knowledge))


def find_cause(knowledge: Knowledge, written: str, among: Iterable[str] = ()) -> str:
    """The cause that `written` names: its number in `among`, its name or part of it. Raises Complaint."""
    among = list(among)
    words = as_name(written).strip("_")
    number = number_in(written)
    if not words:
        raise Complaint(None, "no cause is named", "a name or a part of it; `causes` lists them")
    if number is not None:
        if 1 <= number <= len(among):
            return among[number - 1]
        raise Complaint(None, f"there is no suspect {shown(words)}", "a name or a part of it; `causes` lists them")
    return named_cause(knowledge, written, among)


def find_checks(practice: Practice, written: str) -> list[tuple[int, Open]]:
    """The open checks that `written` means: a number, a kind of looking, or words of the question;
    nothing written means all."""
    numbered = practice.numbered()
    word = as_name(written).strip("_")
    if not word:
        return numbered
    wanted = number_in(written)
    if wanted is not None:
        return [(number, o) for number, o in numbered if number == wanted]
    of_kind = [(number, o) for number, o in numbered if word in (o.kind.id, as_name(o.kind.name))]
    exact = [(number, o) for number, o in numbered if word in (as_name(o.id), as_name(short_of(practice, o.id)))]
    if of_kind or exact:
        return of_kind or exact
    parts = word.split("_")

    def fits(o: Open) -> bool:
        text = as_name(f"{o.id} {short_of(practice, o.id)} {o.question} {' '.join(o.answers.values())}")
        return all(part in text for part in parts)

    return [(number, o) for number, o in numbered if fits(o)]


def number_in(written: str) -> int | None:
    """The whole number that was typed, a sign before it allowed, so that -3 is not taken for 3; None for other text."""
    bare = written.strip()
    return int(bare[:9]) if bare.removeprefix("-").isdecimal() else None


def short_of(practice: Practice, name: str) -> str:
    """A check in few words, for lists: "a damp rag on the colour", "step 3, wet edge"."""
    finding = practice.knowledge.findings.get(name)
    if finding:
        return finding.short
    of, *rest = name.split()
    return f"{of} {rest[0]}, {rest[1]}".replace("_", " ") if of == "step" else f"{of}, {rest[0]}".replace("_", " ")
