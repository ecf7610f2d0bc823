"""Which case comes next: a cause by how often it is met, or one of a pair that was confused, then a case of it.

Everything follows from a seed. Cases are those of the library (examples beside the causes, shipped and own case files)
and those made from the rules.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from random import Random

from diagnose.case import Case, read_cases
from diagnose.complaint import Complaint, shown, would_accept
from diagnose.diagnosis import Diagnoser
from diagnose.folder import CASES
from diagnose.model import UNLISTED, Knowledge
from diagnose.practice import Exercise, left_to_find
from diagnose.practice_made import made
from diagnose.progress import Practised
from diagnose.reading import as_name

LIBRARY, RULES = "library", "rules"
MADE_SHARE = 0.6  # of the cases, where a cause has both kinds
LEAST_TO_FIND = 2  # answers beyond the opening page, below which a case is no practice
MOST_CAUSES = 40  # causes tried for one case
DRILLED = 0.6  # the greatest share of drills
RELIEF = 0.5  # by how much a right verdict on one of a pair makes up for confusing them


@dataclass(frozen=True, slots=True)
class Scope:
    """What to practise: the names asked for, and their causes with how often each is to come."""

    names: tuple[str, ...]
    causes: Mapping[str, float]


def scope_of(knowledge: Knowledge, names: Sequence[str]) -> Scope:
    """Families and causes by name, all causes where none is named. Raises Complaint with the nearest names.

    The causes of a family come as often as they are met; causes named one by one, or several families, equally.
    """
    if not names:
        met = {cause.id: 10 ** (cause.prior / 10) for cause in knowledge.causes.values()}
        return Scope((), {**met, UNLISTED: 1.0})
    chosen: dict[str, float] = {}
    for name in map(as_name, names):
        if name in knowledge.families:
            inside = {c.id: 10 ** (c.prior / 10) for c in knowledge.causes.values() if c.family == name}
            if not inside:
                raise Complaint(None, f"the family {shown(name)} has no cause", "another family")
            chosen |= {cause: often / sum(inside.values()) for cause, often in inside.items()}
        elif name in knowledge.causes or name == UNLISTED:
            chosen[name] = 1.0
        else:
            known = [*knowledge.families, *knowledge.causes]
            raise Complaint(None, f"{shown(name)} is neither a family nor a cause", would_accept(name, known))
    return Scope(tuple(map(as_name, names)), chosen)


class Library:
    """Saved cases whose cause is settled. `examples`: the files beside the causes; `others`: any other case files."""

    def __init__(self, knowledge: Knowledge, examples: Sequence[Path], others: Sequence[Path] = ()):
        self.knowledge = knowledge
        self.beside = {path.name.removesuffix(CASES): path for path in examples}
        self.others = others

    def confirming(self, cause: str) -> list[Case]:
        """The examples beside a cause that expect it first."""
        path = self.beside.get(cause)
        cases = read_cases(path, self.knowledge) if path else []
        return [case for case in cases if case.expect.first == (cause,)]

    def told(self, cause: str) -> list[Exercise]:
        """The saved cases that the cause settles and that leave something to find out."""
        if cause == UNLISTED:
            near = [case for path in self.beside.values() for case in read_cases(path, self.knowledge)]
        else:
            near = self.confirming(cause)
        found = [
            Exercise(_named(case), case, settled(case)) for case in (*near, *self.other_cases) if cause in settled(case)
        ]
        return [exercise for exercise in found if self._leaves_something(exercise)]

    @cached_property
    def other_cases(self) -> list[Case]:
        return [case for path in self.others for case in read_cases(path, self.knowledge)]

    def _leaves_something(self, exercise: Exercise) -> bool:
        case = exercise.case
        complaint = case.findings.get(self.knowledge.opening[0])
        return complaint is not None and complaint.known and left_to_find(exercise, self.knowledge) >= LEAST_TO_FIND


def _named(case: Case) -> str:
    """The name of a case with that of its file, which alone says little where it holds several."""
    file = case.path.name.removesuffix(".yaml").removesuffix(".cases") if case.path else case.id
    return " ".join((case.id if file == case.id else f"{file} {case.id}").split())


def scope_of_cases(library: Library, scope: Scope) -> Scope:
    """`scope` with the causes only that saved cases of the library settle, equally often. Raises Complaint where there
    is none."""
    here = {cause for case in library.other_cases for cause in settled(case) if cause in scope.causes}
    causes = {cause: 1.0 for cause in sorted(here) if library.told(cause)}
    if not causes:
        raise Complaint(
            None,
            "none of the cases named settles such a cause and leaves something to find out",
            "case files whose `expect:` says what comes first, and which tell more than the opening page",
        )
    return Scope(scope.names, causes)


def settled(case: Case) -> tuple[str, ...]:
    """The causes that a saved case says are right."""
    return case.expect.first or case.expect.in_first_three


def draw(diagnoser: Diagnoser, library: Library, scope: Scope, seed: int, source: str = "") -> Exercise:
    """A case for `scope`, from the `source` named or from both; the same for a seed. Raises Complaint where none can be
    had."""
    rng = Random(f"{seed} {' '.join(scope.names)} {source}")
    again = " ".join(["practice", *scope.names, f"--seed {seed}", *([f"--from {source}"] if source else [])])
    for _ in range(MOST_CAUSES):
        (cause,) = rng.choices(list(scope.causes), list(scope.causes.values()))
        kinds = [source] if source else [RULES, LIBRARY] if rng.random() < MADE_SHARE else [LIBRARY, RULES]
        for kind in kinds:
            found = _made(diagnoser, library, cause, rng) if kind == RULES else _told_one(library, cause, rng)
            if found:
                return replace(found, again=again)
    raise Complaint(None, "no case can be drawn for that", "another family or cause, or leave `--from` away")


def _made(diagnoser: Diagnoser, library: Library, cause: str, rng: Random) -> Exercise | None:
    if cause == UNLISTED:  # nothing is known of what is not in the base
        return None
    return made(diagnoser, diagnoser.knowledge.causes[cause], library.confirming(cause), str(rng.random()))


def _told_one(library: Library, cause: str, rng: Random) -> Exercise | None:
    told = library.told(cause)
    return rng.choice(told) if told else None


def confused(practised: Sequence[Practised], knowledge: Knowledge) -> dict[tuple[str, str], float]:
    """Pairs of causes taken for one another -> how much they still are: each mistake counts 1, each right verdict on
    one of the pair afterwards takes half of one away."""
    pairs: dict[tuple[str, str], float] = {}
    for one in practised:
        if one.right:
            for pair in [pair for pair in pairs if one.cause in pair]:
                pairs[pair] -= RELIEF
        elif one.verdict in knowledge.causes and one.cause in knowledge.causes:
            pair = tuple(sorted((one.cause, one.verdict)))
            pairs[pair] = max(0.0, pairs.get(pair, 0.0)) + 1
    return {pair: left for pair, left in pairs.items() if left > 0}


def drill(practised: Sequence[Practised], knowledge: Knowledge, scope: Scope, seed: int, only: bool) -> Scope:
    """A pair to drill in place of `scope`, or `scope` itself. The more is confused, the likelier a pair comes; where
    `only` drills are wanted always. Raises Complaint where they are and nothing is confused."""
    pairs = {
        pair: left
        for pair, left in sorted(confused(practised, knowledge).items())
        if any(cause in scope.causes for cause in pair)
    }
    if not pairs:
        if only:
            raise Complaint(None, "no two causes were confused here so far", "practise without `--drill`")
        return scope
    rng = Random(f"{seed} drill")
    share = 1.0 if only else min(DRILLED, sum(pairs.values()) / 4)
    if rng.random() >= share:
        return scope
    (pair,) = rng.choices(list(pairs), list(pairs.values()))
    return scope_of(knowledge, pair)
