"""Practice cases made from the rules, without end: a cause is at work, and each question is answered as often so or so
as the base holds it to be met under that cause.

Piece, air, schedule and the opening page are those of an example, for they belong together; what its page leaves out
and the cause says nothing of stays not told, and all else is drawn. An answer of which the cause says nothing, and
which would speak for another cause, is drawn less often than it is met in general, since no other cause is at work: a
case in which half of the answers point elsewhere would teach nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import fsum
from random import Random

from diagnose.asking import Open, usual_shares
from diagnose.case import Case, Given
from diagnose.diagnosis import Diagnoser
from diagnose.flaws import LIKELY
from diagnose.match import Store, close
from diagnose.model import Cause, Knowledge
from diagnose.practice import Exercise
from diagnose.rules import Fact

MOST_TRIES = 60
DERIVED = ("condition", "sensible", "opens", "caution")  # what must stay as it was for a wood not to matter
MOST_UNLIKE = 2  # traits by which another wood may differ


def made(diagnoser: Diagnoser, cause: Cause, examples: Sequence[Case], seed: str) -> Exercise | None:
    """A case in which `cause` is at work, on the schedule of one of its confirming `examples`; the same for a seed.

    None where no draw comes to the cause, which then is not told apart by answers alone.
    """
    rng = Random(seed)
    page = [_tells(diagnoser.knowledge, case) ** 2 for case in examples]
    for _ in range(MOST_TRIES if any(page) else 0):
        (example,) = rng.choices(examples, page)
        case = drawn(diagnoser, cause, example, rng)
        first = diagnoser.diagnose(case).first
        if first.id == cause.id and first.probability >= LIKELY:
            return Exercise(case.id, case, (cause.id,), made=True)
    return None


def _tells(knowledge: Knowledge, case: Case) -> int:
    """How much an example tells of what an opening page holds."""
    return sum(name in case.findings for name in knowledge.opening) + len(case.steps) + len(case.piece)


def drawn(diagnoser: Diagnoser, cause: Cause, example: Case, rng: Random) -> Case:
    """One draw, whatever it comes to."""
    knowledge = diagnoser.knowledge
    case = Case(
        f"made_{cause.id}",
        invented=True,
        piece=_without_places(example.piece),
        air=_without_places(example.air),
        steps=tuple(replace(step, given=_without_places(step.given), place=None) for step in example.steps),
        page_done=True,
    )
    case = _other_wood(diagnoser, case, rng)
    store = diagnoser.diagnose(case).store
    elsewhere = speaks_elsewhere(knowledge, cause)
    weighed = {link.subject for link in cause.links}
    findings: dict[str, Given] = {}
    left: set[str] = set()
    while (name := next(_sensible(knowledge, store, {*findings, *left}), None)) is not None:
        told = example.findings.get(name) if name in knowledge.opening else None
        if told is None or not told.known:
            if name in knowledge.opening and name not in weighed:
                left.add(name)
                continue
            chances = shares(knowledge, cause, name, elsewhere)
            (answer,) = rng.choices(list(chances), list(chances.values()))
            told = Given((answer,), answer)
        findings[name] = Given(told.values, ", ".join(told.values))
        store = Store(store.index, store)
        close(store, [("answer", name, answer) for answer in told.values])
    return replace(case, findings=findings)


def _sensible(knowledge: Knowledge, store: Store, asked) -> Iterator[str]:
    """Findings that make sense and were not asked: the opening page first, then in the order of the base."""
    order = dict.fromkeys((*(name for name in knowledge.opening if name in knowledge.findings), *knowledge.findings))
    for name in order:
        if name not in asked and ("sensible", name) in store:
            yield name


def _without_places(given: Mapping[str, Given]) -> dict[str, Given]:
    """What an example says, no longer said to stand in its file."""
    return {name: replace(value, place=None) for name, value in given.items()}


def speaks_elsewhere(knowledge: Knowledge, cause: Cause) -> dict[tuple[str, str], int]:
    """(finding, answer) -> the most decibans that it puts on any other cause; of answers that `cause` weighs, none."""
    most: dict[tuple[str, str], int] = {}
    for other in knowledge.causes.values():
        for link in other.links:
            for answer, weight in link.weights.items() if link.about == "answer" else ():
                if not cause.weight_of(link.subject, answer):
                    most[link.subject, answer] = max(weight, most.get((link.subject, answer), 0))
    return most


def shares(
    knowledge: Knowledge, cause: Cause, finding: str, elsewhere: Mapping[tuple[str, str], int]
) -> dict[str, float]:
    """P(answer | cause): the usual share times what the answer weighs on the cause, normalised; less by what it would
    speak for causes that are not at work."""
    of = knowledge.findings[finding]
    asked = Open(("finding", finding), ("answer", finding), of.question, of.answers, None, of.usual)
    raised = {
        answer: share * 10 ** ((cause.weight_of(finding, answer) - elsewhere.get((finding, answer), 0)) / 10)
        for answer, share in usual_shares(asked).items()
    }
    total = fsum(raised.values())
    return {answer: value / total for answer, value in raised.items()}


def _other_wood(diagnoser: Diagnoser, case: Case, rng: Random) -> Case:
    """Another wood, where nothing that any rule concludes of the piece would change with it; mostly it does."""
    given = case.piece.get("wood")
    if given is None or not given.known:
        return case
    before = _derived(diagnoser, case)
    woods = _like(diagnoser.knowledge, given.values[0])
    rng.shuffle(woods)
    for wood in woods[:4]:  # a few tries; each costs a diagnosis
        other = replace(case, piece={**case.piece, "wood": Given((wood,), wood)})
        if _derived(diagnoser, other) == before:
            return other
    return case


def _like(knowledge: Knowledge, wood: str) -> list[str]:
    """Woods of which as much is known, and which differ in few traits, so that sheet goods are not taken for boards."""
    traits = dict(knowledge.woods[wood].traits)
    found = []
    for other in knowledge.woods.values():
        of = dict(other.traits)
        if other.id != wood and of.keys() >= traits.keys():
            unlike = sum(of[name] != value for name, value in traits.items())
            found += [other.id] if unlike <= MOST_UNLIKE else []
    return found


def _derived(diagnoser: Diagnoser, case: Case) -> set[Fact]:
    return {fact for fact in diagnoser.diagnose(case).store.facts if fact[0] in DERIVED}
