"""The whole way from a case to its diagnosis. Knows no screen, no file and no clock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from diagnose.asking import LookAhead, Question, next_questions
from diagnose.case import Case, Given
from diagnose.computed import compute
from diagnose.engine import Chain
from diagnose.facts import given_facts
from diagnose.ledger import Standing, rank
from diagnose.match import RuleIndex, Store
from diagnose.model import Advice, Cause, Caution, Knowledge
from diagnose.remedies import Proposal, prevention, propose
from diagnose.rules import Rule
from diagnose.trace import Trace, trace_of


@dataclass(frozen=True)
class Diagnosis:
    """Everything that can be said of a case. What could be asked further is worked out only when asked for.

    `fired` names every rule that fired; `by` can diagnose another case with the same knowledge.
    """

    case: Case
    knowledge: Knowledge
    store: Store
    trace: Trace
    ranking: tuple[Standing, ...]
    remedies: tuple[Proposal, ...]
    prevention: tuple[tuple[Cause, Advice], ...]
    cautions: tuple[tuple[Caution, tuple[str, ...]], ...]
    fired: frozenset[str]
    by: Diagnoser

    @cached_property
    def apart(self) -> tuple[tuple[str, Standing], ...]:
        """Complaints that speak against the leading cause, each with what leads for that complaint alone.

        A cause need explain one complaint only; what it leaves over is a second trouble, or a wrong leader.
        """
        about = self.knowledge.opening[0]
        given = self.case.findings.get(about)
        if given is None or len(given.values) < 2 or self.first.cause is None:
            return ()
        left_over = [value for value in given.values if self.first.cause.weight_of(about, value) < 0]
        alone = [(v, self.by.diagnose(self.case.with_given(about, Given((v,), v))).first) for v in left_over]
        return tuple((value, row) for value, row in alone if row.id != self.first.id)

    @cached_property
    def ahead(self) -> LookAhead:
        return LookAhead(self.knowledge, self.store, self.case)

    @cached_property
    def open_questions(self) -> list[Question]:
        """Everything that could still be asked, with what each would tell."""
        return [self.ahead.question(asked) for asked in self.ahead.open_questions()]

    @property
    def open_questions_by_value(self) -> list[Question]:
        return sorted(self.open_questions, key=lambda question: (-question.value, question.open.id))

    @cached_property
    def doubtful(self) -> list[Question]:
        """The questions that were answered "not known", with what each would tell."""
        names = [name for name, given in self.case.findings.items() if not given.known]
        return [self.ahead.question(self.ahead.of_finding(name)) for name in names]

    @cached_property
    def questions(self) -> list[Question]:
        """The questions most worth asking now; none when it is time to stop."""
        return next_questions(self.ahead, self.open_questions)

    def rule(self, name: str) -> Rule | None:
        """The rule of that name; None for what was given or computed."""
        return self.by.rule(name)

    def standing_of(self, cause: str) -> Standing:
        """Where a cause, or "none of these", stands. `cause` is known."""
        return next(row for row in self.ranking if row.id == cause)

    @property
    def first(self) -> Standing:
        return self.ranking[0]


class Diagnoser:
    """A knowledge base made ready; diagnoses any number of cases."""

    def __init__(self, knowledge: Knowledge, index: RuleIndex | None = None):
        self.knowledge = knowledge
        self.index = index or RuleIndex(knowledge.rules)

    @cached_property
    def _numbers(self) -> Mapping[str, int]:
        return {name: number for number, name in enumerate(self.knowledge.rule_names())}

    def rule(self, name: str) -> Rule | None:
        """The rule of that name; None for what was given or computed."""
        number = self._numbers.get(name)
        return None if number is None else self.knowledge.rules[number]

    def diagnose(self, case: Case, chain: type[Chain] = Chain) -> Diagnosis:
        """Run the rules over `case`: what was given and what materials bring, then what is computed from it, then the
        cautions of what is proposed."""
        given = given_facts(case, self.knowledge)
        engine = chain(self.index)
        engine.add(given)
        computed = compute(engine.known(), case, self.knowledge)
        engine.add(firing.fact for firing in computed)
        facts = engine.known()
        ranking = rank(self.knowledge, facts)
        remedies = propose(self.knowledge, ranking, facts)
        advice = prevention(self.knowledge, ranking)
        proposed = {("proposed", p.remedy.id): "proposed for the causes that stand" for p in remedies}
        proposed |= {("advised", cause.id): "advised for the causes that stand" for cause, _ in advice}
        engine.add(proposed)
        trace = trace_of({**given, **proposed}, [*engine.firings, *computed])
        return Diagnosis(
            case,
            self.knowledge,
            engine.store(),
            trace,
            tuple(ranking),
            tuple(remedies),
            tuple(advice),
            self._cautions(trace),
            frozenset(firing.rule for firing in engine.firings),
            self,
        )

    def _cautions(self, trace: Trace) -> tuple[tuple[Caution, tuple[str, ...]], ...]:
        """Each caution that something here needs, with what needs it ("remedy x", "step 3")."""
        needs: dict[str, list[str]] = {}
        for step in trace.of("caution"):
            _, hazard, kind, which = step.fact
            needs.setdefault(hazard, []).append(f"{kind} {which}")
        return tuple((self.knowledge.cautions[hazard], tuple(by)) for hazard, by in sorted(needs.items()))
