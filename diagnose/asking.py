"""Which question to ask next: the one expected to tell most about the standing causes for what it costs.

Every answer that could be given is tried with the real rules (nothing of it is recorded). How often an answer is to be
expected follows from how often it is met in general and from the weights themselves, cause by cause.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import chain
from math import fsum, log2

from diagnose.case import Case, question_name
from diagnose.computed import Known, computed_further
from diagnose.ledger import Weighed, met_links, probabilities, score
from diagnose.match import Store, close
from diagnose.model import UNLISTED, AskKind, Attribute, Cause, Knowledge, Strategy
from diagnose.remedies import first_remedy
from diagnose.rules import Fact

DAY = 1440  # minutes
LIKELIER_THAN_NOT = 0.5


@dataclass(frozen=True, slots=True)
class Answer:
    """What one answer would do: how likely it is to be given, the causes it moves, the remedy that would come first."""

    answer: str
    chance: float
    moves: tuple[tuple[str, int], ...]
    first_remedy: str | None


@dataclass(frozen=True, slots=True)
class Open:
    """Something that could be asked: a finding, or a detail of the piece, the air or a step that some rule looks at.

    `about` is ("finding", id), ("piece" or "air", attribute) or ("step", number, attribute); `head` is the fact that an
    answer completes.
    """

    about: tuple[str | int, ...]
    head: tuple[str | int, ...]
    question: str
    answers: Mapping[str, str]
    kind: AskKind
    usual: Mapping[str, float]

    @property
    def id(self) -> str:
        return question_name(self.about)


@dataclass(frozen=True, slots=True)
class Question:
    """A question worth considering. `bits`: information expected; `value`: bits for each minute it costs;
    `changes_work`: it may well be answered in a way that puts another remedy first."""

    open: Open
    bits: float
    value: float
    answers: tuple[Answer, ...]
    changes_work: bool

    @property
    def price(self) -> float:
        """Minutes, dearer by what it may do to the piece."""
        return self.open.kind.minutes * self.open.kind.harm


class LookAhead:
    """The standing facts of a case, ready for trying answers on. Built once for each state of a case."""

    def __init__(self, knowledge: Knowledge, store: Store, case: Case):
        self.knowledge = knowledge
        self.store = store
        self.case = case
        self.facts = self.store.facts
        self.met = met_links(self.facts)
        self.scores = {cause.id: score(cause, self.met) for cause in knowledge.causes.values()}
        self.chances = probabilities(self.scores)
        self._odds = {name: 10 ** (value / 10) for name, value in {**self.scores, UNLISTED: 0}.items()}
        self._total = fsum(self._odds.values())
        self._odds_log = fsum(odds * log2(odds) for odds in self._odds.values())

    @cached_property
    def _known(self) -> Known:
        return Known(self.facts, self.case, self.knowledge)

    def trying(self, *facts: Fact) -> tuple[dict[str, int], Collection[Fact]]:
        """The scores that would change, and all facts, if `facts` were so."""
        child = Store(self.store.index, self.store)
        close(child, facts)
        if any(fact[0] != "answer" for fact in facts):  # a detail may let more be computed, and that lead on
            further = computed_further(self._known.joined_by(child.facts), child.facts)
            close(child, [fact for fact in further if fact not in child])
        added = met_links(child.facts)
        changed: dict[str, int] = {}
        for name in sorted({cause for cause, _ in added}):
            cause = self.knowledge.causes[name]
            value = score(cause, _met_with(cause, self.met, added))
            if value != self.scores[name]:
                changed[name] = value
        return changed, _Both(self.facts, child.facts)

    def after(self, changed: Mapping[str, int]) -> tuple[float, dict[str, float]]:
        """Entropy in bits over the causes, and the chances of those that may be acted on, at these changed scores."""
        new = {name: 10 ** (value / 10) for name, value in changed.items()}
        total = self._total + fsum(odds - self._odds[name] for name, odds in new.items())
        log = self._odds_log + fsum(
            odds * log2(odds) - self._odds[name] * log2(self._odds[name]) for name, odds in new.items()
        )
        least = self.knowledge.strategies["worth_proposing"].figure * total
        standing = {n: odds / total for n, odds in self._odds.items() if odds >= least and n not in new}
        standing |= {name: odds / total for name, odds in new.items() if odds >= least}
        return log2(total) - log / total, {**standing, UNLISTED: self._odds[UNLISTED] / total}

    def open_questions(self) -> list[Open]:
        """What makes sense for this case and was not asked: findings by id, then details of piece, air, steps."""
        case = self.case
        found = [
            self.of_finding(name)
            for name in sorted(self.knowledge.findings)
            if name not in case.findings and ("sensible", name) in self.facts
        ]
        said = {fact[:-1] for fact in self.facts if fact[0] in ("piece", "air", "step")}
        for (of, name), attribute in sorted(self.knowledge.attributes.items()):
            if attribute.kind != "choice" or attribute.derived or name == "do":
                continue
            if of != "step":
                if name not in getattr(case, of) and name not in self.knowledge.opening and (of, name) not in said:
                    found += self._detail((of, name), (of, name), attribute)
                continue
            for step in case.steps:
                head = ("step", step.number, name)
                fits = not attribute.steps or step.do in attribute.steps
                told = step.given.get(attribute.goes_with)
                if fits and name not in step.given and head not in said and (told is None or told.known):
                    found += self._detail(head, head, attribute)
        return found

    def of_finding(self, name: str) -> Open:
        finding = self.knowledge.findings[name]
        return Open(
            ("finding", name),
            ("answer", name),
            finding.question,
            finding.answers,
            self.knowledge.ask_kinds[finding.kind],
            finding.usual,
        )

    def _detail(self, about, head, attribute: Attribute) -> list[Open]:
        """The attribute as a question, where some rule looks at one of its values."""
        watched = any(
            key in self.store.index.watching
            for value in attribute.values
            for key in self.store.index.keys_of((*head, value))
        )
        kind = self.knowledge.ask_kinds["recall"]
        return [Open(about, head, attribute.question, attribute.values, kind, {})] if watched else []

    def question(self, asked: Open) -> Question:
        """What asking it is worth now."""
        tried = {answer: self.trying((*asked.head, answer)) for answer in asked.answers}
        moves = {
            answer: {name: value - self.scores[name] for name, value in changed.items()}
            for answer, (changed, _) in tried.items()
        }
        likely = _answer_chances(asked, moves, self.chances)
        before, acted_on = self.after({})
        now = first_remedy(self.knowledge, acted_on, self.facts)
        after, answers = [], []
        for answer, (changed, facts) in tried.items():
            entropy, chances = self.after(changed) if changed else (before, acted_on)
            after.append(likely[answer] * entropy)
            remedy = first_remedy(self.knowledge, chances, facts) if changed else now
            answers.append(Answer(answer, likely[answer], tuple(sorted(moves[answer].items())), remedy))
        bits = max(0.0, before - fsum(after))
        changing = fsum(a.chance for a in answers if a.first_remedy != now)
        changes = changing >= self.knowledge.strategies["worth_a_change"].figure
        return Question(asked, bits, bits / (asked.kind.minutes * asked.kind.harm), tuple(answers), changes)


class _Both:
    """The facts of two collections that share none, without joining them."""

    def __init__(self, *parts: Collection[Fact]):
        self.parts = parts

    def __contains__(self, fact: Fact) -> bool:
        return any(fact in part for part in self.parts)

    def __iter__(self) -> Iterator[Fact]:
        return chain(*self.parts)

    def __len__(self) -> int:
        return sum(map(len, self.parts))


def _answer_chances(
    asked: Open, moves: Mapping[str, Mapping[str, int]], chances: Mapping[str, float]
) -> dict[str, float]:
    """How likely each answer is, over all causes: P(answer | cause) is the usual share times the weight, normalised."""
    usual = usual_shares(asked)
    moved = sorted({cause for answer in moves.values() for cause in answer})
    unmoved = max(0.0, 1 - fsum(chances[cause] for cause in moved))
    total = {answer: unmoved * share for answer, share in usual.items()}
    for cause in moved:
        raised = {a: usual[a] * 10 ** (moves[a].get(cause, 0) / 10) for a in asked.answers}
        whole = fsum(raised.values())
        for answer, value in raised.items():
            total[answer] += chances[cause] * value / whole
    return total


def usual_shares(asked: Open) -> dict[str, float]:
    """The share of each answer in general: as the knowledge says, what is left spread evenly over the others."""
    named = asked.usual
    left = [answer for answer in asked.answers if answer not in named]
    rest = max(0.02, 1 - fsum(named.values()))
    shares = {**named, **{answer: rest / len(left) for answer in left}}
    total = fsum(shares.values())
    return {answer: share / total for answer, share in shares.items()}


def _met_with(cause: Cause, met: Weighed, added: Weighed) -> Weighed:
    """What the links of one cause weigh once `added` is met as well."""
    both = {}
    for link in cause.links:
        key = (cause.id, link.id)
        values = [found[key] for found in (met, added) if key in found]
        if values:
            both[key] = max(values)
    return both


def next_questions(ahead: LookAhead, questions: Iterable[Question], most: int = 3) -> list[Question]:
    """The questions most worth asking now, best first; empty when it is time to stop (strategy rules `enough_said`,
    `sure_enough`). While no family of causes is likelier than not, of questions worth not much less than the best the
    one goes first that tells most about the family (`family_first`)."""
    strategies = ahead.knowledge.strategies
    if max(ahead.chances.values()) >= strategies["sure_enough"].figure:
        return []
    least = strategies["enough_said"].figure
    settled = max(ahead.chances.values()) >= strategies["act_on"].figure
    worth = [q for q in questions if q.value >= least and (q.changes_work or not settled)]
    ranked = sorted(worth, key=lambda q: (-q.value, q.open.id))
    if ranked and _families_open(ahead):
        enough = [q for q in ranked if q.value >= strategies["family_first"].figure * ranked[0].value]
        first = max(enough, key=lambda q: _family_bits(ahead, q) / q.price)
        ranked = [first, *(q for q in ranked if q is not first)]
    return ranked[:most]


def _families_open(ahead: LookAhead) -> bool:
    """No family of causes is likelier than not."""
    return max(_families(ahead, ahead.chances).values()) < LIKELIER_THAN_NOT


def _families(ahead: LookAhead, chances: Mapping[str, float]) -> dict[str, float]:
    """Chances summed over the causes of each family; "none of these" is its own."""
    causes, found = ahead.knowledge.causes, {}
    for name, chance in chances.items():
        family = causes[name].family if name in causes else name
        found[family] = found.get(family, 0.0) + chance
    return found


def _family_bits(ahead: LookAhead, question: Question) -> float:
    """Expected information about which family it is, in bits."""

    def entropy(chances: Mapping[str, float]) -> float:
        return -fsum(chance * log2(chance) for chance in _families(ahead, chances).values() if chance > 0)

    after = (
        answer.chance * entropy(probabilities({**ahead.scores, **{n: ahead.scores[n] + by for n, by in answer.moves}}))
        for answer in question.answers
    )
    return entropy(ahead.chances) - fsum(after)


def guides(ahead: LookAhead, question: Question, open_questions: Iterable[Question]) -> list[Strategy]:
    """The strategy rules that decided for this question, to be quoted: always its worth for its price, and which of
    the others put it before one that would tell more."""
    names = ["worth_its_price"]
    others = [q for q in open_questions if q.open != question.open]
    if _families_open(ahead) and any(q.value > question.value for q in others):
        names.append("family_first")
    dearer = [q for q in others if q.bits > question.bits and q.price > question.price]
    if dearer:
        names.append("long_wait" if any(q.open.kind.minutes >= DAY for q in dearer) else "look_before_test")
    return [ahead.knowledge.strategies[name] for name in names]
