"""Playing a case as a consultation with any way of choosing the next question; shared by the benches.

A state is reached by running the rules from nothing over all that is known, computed facts included, so that no player
leans on the look-ahead's own store. A player is a function from a state to the question to ask, or None to stop.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from math import fsum, log2
from pathlib import Path

from diagnose.asking import Answer, LookAhead, Open, Question, next_questions, usual_shares
from diagnose.case import Case, Given, read_cases
from diagnose.computed import compute
from diagnose.diagnosis import Diagnoser
from diagnose.facts import given_facts
from diagnose.folder import example_files
from diagnose.ledger import met_links, probabilities, score
from diagnose.match import Store, close
from diagnose.model import UNKNOWN, UNLISTED, Knowledge
from diagnose.remedies import first_remedy

ROOT = Path(__file__).resolve().parents[2]
NOT_KNOWN = Given((UNKNOWN,), UNKNOWN)
MOST = 60  # questions after the page; more than any case has
FIRST_LOOKS = 20  # first questions that the two-question player follows up


class State:
    """All that is known of a case at one moment, and what each open question would tell."""

    def __init__(self, diagnoser: Diagnoser, case: Case):
        self.diagnoser = diagnoser
        self.case = case
        self.store = Store(diagnoser.index)
        close(self.store, given_facts(case, diagnoser.knowledge))
        computed = compute(set(self.store.facts), case, diagnoser.knowledge)
        close(self.store, [firing.fact for firing in computed])

    @cached_property
    def scores(self) -> dict[str, int]:
        met = met_links(self.store.facts)
        return {cause.id: score(cause, met) for cause in self.diagnoser.knowledge.causes.values()}

    @cached_property
    def chances(self) -> dict[str, float]:
        return probabilities(self.scores)

    @cached_property
    def ranking(self) -> list[str]:
        """Ids, likeliest first, ties as `ledger.rank` has them."""
        scores = {**self.scores, UNLISTED: 0}
        return sorted(scores, key=lambda name: (-scores[name], name != UNLISTED, name))

    @cached_property
    def ahead(self) -> LookAhead:
        return LookAhead(self.diagnoser.knowledge, self.store, self.case)

    @cached_property
    def open(self) -> list[Open]:
        return self.ahead.open_questions()

    @cached_property
    def questions(self) -> list[Question]:
        return [self.ahead.question(asked) for asked in self.open]

    @cached_property
    def worth(self) -> list[Question]:
        """Those worth asking by our own rules, best first; none when it is time to stop."""
        return next_questions(self.ahead, self.questions, len(self.questions))

    def after(self, asked: Open, given: Given) -> State:
        case = self.case.with_given(asked.id, given)
        return State(self.diagnoser, replace(case, answered=(*case.answered, asked.id)))


Player = Callable[[State], Question | None]
Answering = Callable[[Open], Given]


# -- cases and how they answer ---------------------------------------------------------------------------------------------


def library(knowledge: Knowledge) -> tuple[list[Case], list[Case]]:
    """The cases under cases/ and the examples beside the causes, those only that say which cause is right."""
    cases, examples = (
        [case for path in files for case in read_cases(path, knowledge) if right(case)]
        for files in (sorted((ROOT / "cases").rglob("*.yaml")), example_files())
    )
    return cases, examples


def right(case: Case) -> tuple[str, ...]:
    """The causes that would be right, the settled one first."""
    return tuple(dict.fromkeys((*case.expect.first, *case.expect.in_first_three)))


def name_of(case: Case) -> str:
    """Unlike the id of an example, which only its file knows, one of its own."""
    return f"{case.path.name} {case.id}" if case.path else case.id


def page(diagnoser: Diagnoser, case: Case) -> Case:
    """The case after its opening page: what it says, "don't know" for what it does not; no other finding."""
    knowledge = diagnoser.knowledge
    steps = tuple(
        replace(step, given={**dict.fromkeys(knowledge.step_kinds[step.do].asks, NOT_KNOWN), **step.given})
        for step in case.steps
    )
    findings = {name: given for name, given in case.findings.items() if name in knowledge.opening}
    opened = replace(case, findings=findings, steps=steps, page_done=True, answered=())
    facts = State(diagnoser, opened).store
    for name in knowledge.opening:
        of = "" if name in knowledge.findings else "piece " if ("piece", name) in knowledge.attributes else "air "
        asked = name not in knowledge.opens_when or ("opens", name) in facts
        if asked and opened.given_for(of + name) is None:
            opened = opened.with_given(of + name, NOT_KNOWN)
    return opened


def published(case: Case) -> Answering:
    """Answers as the case gives them, "don't know" where it does not."""
    return lambda asked: case.given_for(asked.id) or NOT_KNOWN


def simulated(case: Case, start: State, seed: int) -> Answering:
    """As the case answers; what it leaves open is drawn as the base says that its settled cause is answered.

    The draw hangs on case, question and seed alone, so every player meets the same answers. For a detail of the piece,
    the air or a step, which has no weights of its own, the weight of a value is what it moves the cause by at `start`.
    """
    truth = right(case)[0]

    def answer(asked: Open) -> Given:
        given = case.given_for(asked.id)
        if given is not None and given.known:
            return given
        weights = {value: weight(asked, value) for value in asked.answers}
        shares = shares_given(asked, weights)
        drawn = random.Random(f"{seed} {name_of(case)} {asked.id}").choices(list(shares), list(shares.values()))
        return Given(tuple(drawn), drawn[0])

    def weight(asked: Open, value: str) -> int:
        if truth == UNLISTED:
            return 0
        if asked.about[0] == "finding":
            return start.diagnoser.knowledge.causes[truth].weight_of(asked.about[1], value)
        changed, _ = start.ahead.trying((*asked.head, value))
        return changed.get(truth, start.scores[truth]) - start.scores[truth]

    return answer


def shares_given(asked: Open, weights: Mapping[str, int]) -> dict[str, float]:
    """How often each answer is given where one cause, of these weights in decibans, is at work."""
    raised = {value: share * 10 ** (weights.get(value, 0) / 10) for value, share in usual_shares(asked).items()}
    whole = fsum(raised.values())
    return {value: share / whole for value, share in raised.items()}


# -- a play ----------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Played:
    """One case played to its stop. `places` and `chances` are those of the right cause after the page and after each
    question; `minutes` is what the first n questions cost, at the price of their kind; `asked` names them."""

    places: tuple[int, ...]
    chances: tuple[float, ...]
    minutes: tuple[float, ...]
    asked: tuple[str, ...]
    known: int

    @property
    def settled(self) -> int | None:
        """Questions until the right cause stands first with at least one half, and does so to the end of play."""
        good = [place == 1 and chance >= 0.5 for place, chance in zip(self.places, self.chances)]
        return None if not good[-1] else max((n + 1 for n, one in enumerate(good) if not one), default=0)


def play(start: State, settled: tuple[str, ...], choose: Player, answer: Answering, met: dict | None = None) -> Played:
    """Ask what `choose` chooses until it stops, or until as many answers in a row were not known as `patience` bears.

    `met` keeps the states that plays of one case, answered alike, have come through.
    """
    met = {} if met is None else met
    patience = int(start.diagnoser.knowledge.strategies["patience"].figure)
    now, said = start, frozenset()
    places, chances, minutes, asked, known = [], [], [0.0], [], []
    while True:
        places.append(min(now.ranking.index(name) for name in settled) + 1)
        chances.append(max(now.chances[name] for name in settled))
        at_a_loss = len(known) >= patience and not any(known[-patience:])
        if at_a_loss or len(asked) == MOST or (question := choose(now)) is None:
            return Played(tuple(places), tuple(chances), tuple(minutes), tuple(asked), sum(known))
        given = answer(question.open)
        known.append(given.known)
        asked.append(question.open.id)
        minutes.append(minutes[-1] + question.open.kind.minutes)
        said |= {(question.open.id, given.values)}
        if said not in met:
            met[said] = now.after(question.open, given)
        now = met[said]


# -- players ---------------------------------------------------------------------------------------------------------------


def ours(state: State) -> Question | None:
    return state.worth[0] if state.worth else None


def listed(order: Mapping[str, int], worth: bool = False) -> Player:
    """The first open question of a fixed list, whatever it would tell now, or the first `worth` asking; stops where ours
    would."""

    def choose(state: State) -> Question | None:
        some = state.worth if worth else state.questions
        place = {q.open.id: order.get(kind_of(q.open), len(order)) for q in some}
        return min(some, key=lambda q: (place[q.open.id], q.open.id)) if state.worth else None

    return choose


def at_random(seed: str, worth: bool = False) -> Player:
    """Any open question, or any of those `worth` asking; stops where ours would."""
    draw = random.Random(seed)

    def choose(state: State) -> Question | None:
        return draw.choice(state.worth if worth else state.questions) if state.worth else None

    return choose


def kind_of(asked: Open) -> str:
    """What a question is called in a list for all cases: as its id, without the number of a step."""
    return f"step {asked.about[2]}" if asked.about[0] == "step" else asked.id


def worths(state: State) -> list[tuple[str, float]]:
    """Every open question by the name it has in a list, with what it is worth now."""
    return [(kind_of(question.open), question.value) for question in state.questions]


def order_of(values: Mapping[str, list[float]]) -> dict[str, int]:
    """Names -> place in a list, by their average value over the states in which they make sense."""
    mean = {name: fsum(found) / len(found) for name, found in values.items()}
    return {name: place for place, name in enumerate(sorted(mean, key=lambda name: (-mean[name], name)))}


def exhaustive(state: State) -> Question | None:
    """Chooses by the same value as ours, worked out without the look-ahead: every answer of every open question is put
    into the case and all rules run over it from nothing."""
    questions = [rediagnosed(state, asked) for asked in state.open]
    return next(iter(next_questions(state.ahead, questions, 1)), None)


def rediagnosed(state: State, asked: Open) -> Question:
    """The question with all that its answers would bring, each from a diagnosis of its own."""
    knowledge = state.diagnoser.knowledge
    tried = {answer: state.after(asked, Given((answer,), answer)) for answer in asked.answers}
    moves = {
        answer: {name: value - state.scores[name] for name, value in after.scores.items()}
        for answer, after in tried.items()
    }
    likely = dict.fromkeys(asked.answers, 0.0)
    for name, chance in state.chances.items():
        for answer, share in shares_given(asked, {a: moves[a].get(name, 0) for a in asked.answers}).items():
            likely[answer] += chance * share
    now = first_remedy(knowledge, state.chances, state.store.facts)
    answers = tuple(
        Answer(
            answer,
            likely[answer],
            tuple(sorted((name, value) for name, value in moves[answer].items() if value)),
            first_remedy(knowledge, after.chances, after.store.facts),
        )
        for answer, after in tried.items()
    )
    left = fsum(likely[answer] * entropy(after.chances) for answer, after in tried.items())
    bits = max(0.0, entropy(state.chances) - left)
    changing = fsum(answer.chance for answer in answers if answer.first_remedy != now)
    changes = changing >= knowledge.strategies["worth_a_change"].figure
    return Question(asked, bits, bits / (asked.kind.minutes * asked.kind.harm), answers, changes)


def two_deep(state: State) -> Question | None:
    """Chooses the first question of the best pair: information expected from it and from the best second question after
    each answer, over what both are expected to cost. Stops where ours would."""
    if not state.worth:
        return None

    def pair(question: Question) -> float:
        bits, price = question.bits, cost(question)
        for answer in question.answers:
            then = state.after(question.open, Given((answer.answer,), answer.answer)).questions
            if then:
                second = max(then, key=lambda q: (q.value, q.open.id))
                bits += answer.chance * second.bits
                price += answer.chance * cost(second)
        return bits / price

    firsts = sorted(state.worth, key=lambda q: (-q.value, q.open.id))[:FIRST_LOOKS]
    return max(firsts, key=lambda q: (pair(q), q.open.id))


def cost(question: Question) -> float:
    return question.open.kind.minutes * question.open.kind.harm


def entropy(chances: Mapping[str, float]) -> float:
    """In bits."""
    return -fsum(chance * log2(chance) for chance in chances.values() if chance)
