"""Laws that hold for every case: ledgers add up, what is taken away changes what they said, unknown is neutral."""

from dataclasses import replace

import pytest
import shipped
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.case import Given, read_cases
from diagnose.diagnosis import Diagnoser
from diagnose.folder import example_files
from diagnose.ledger import probabilities
from diagnose.model import UNKNOWN, UNLISTED

KNOWLEDGE = shipped.knowledge()
DIAGNOSER = shipped.diagnoser()
CASES = [case for path in example_files() for case in read_cases(path, KNOWLEDGE)]
DIAGNOSES = {}


def named(case):
    return f"{case.path.stem}-{case.id}"


# A spread of the examples, so that every run takes its share of seconds only.
each_case = pytest.mark.parametrize("case", CASES[::10], ids=named)
some_cases = pytest.mark.parametrize("case", CASES[::40], ids=named)
few_cases = pytest.mark.parametrize("case", CASES[::130], ids=named)


def diagnosed(case):
    if named(case) not in DIAGNOSES:
        DIAGNOSES[named(case)] = DIAGNOSER.diagnose(case)
    return DIAGNOSES[named(case)]


def weights(diagnosis):
    return {row.id: row.weight for row in diagnosis.ranking}


@each_case
def test_every_ledger_adds_up_and_rests_on_the_trace(case):
    diagnosis = diagnosed(case)
    assert {row.id for row in diagnosis.ranking} == {*KNOWLEDGE.causes, UNLISTED}
    assert sum(row.probability for row in diagnosis.ranking) == pytest.approx(1)
    weighed = {(step.fact[1], step.fact[2], step.fact[3]) for step in diagnosis.trace.of("weigh")}
    for row in diagnosis.ranking:
        assert row.weight == sum(entry.weight for entry in row.ledger)
        assert row.ledger[0].rule.endswith("prior")
        for entry in row.ledger[1:]:
            assert entry.facts and all(fact in diagnosis.trace for fact in entry.facts)
            assert (row.id, entry.rule, entry.weight) in weighed
            assert entry.because and entry.source
    order = [row.weight for row in diagnosis.ranking]
    assert order == sorted(order, reverse=True)


@few_cases
def test_taking_one_entry_away_changes_the_score_by_what_the_ledger_said(case):
    """An entry is a link, or a group of links on one observation; without all of those the score drops by it."""
    diagnosis = diagnosed(case)
    for row in diagnosis.ranking[:1]:
        for entry in row.ledger[1:]:
            gone = {entry.rule, *entry.with_}
            rules = tuple(rule for rule in KNOWLEDGE.rules if rule.then[0] != "weigh" or rule.then[2] not in gone)
            without = Diagnoser(replace(KNOWLEDGE, rules=rules)).diagnose(case)
            assert weights(without)[row.id] == row.weight - entry.weight


@some_cases
def test_an_unknown_answer_weighs_exactly_nothing(case):
    unknown = {name: Given((UNKNOWN,), UNKNOWN) for name in KNOWLEDGE.findings if name not in case.findings}
    more = replace(case, findings={**case.findings, **unknown})
    assert weights(DIAGNOSER.diagnose(more)) == weights(diagnosed(case))


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.data())
def test_the_order_of_answers_changes_nothing(data):
    case = data.draw(st.sampled_from(CASES))
    order = data.draw(st.permutations(list(case.findings)))
    shuffled = replace(case, findings={name: case.findings[name] for name in order})
    one, other = DIAGNOSER.diagnose(case), DIAGNOSER.diagnose(shuffled)
    assert weights(one) == weights(other)
    assert [(s.fact, s.rule, s.premises) for s in one.trace] == [(s.fact, s.rule, s.premises) for s in other.trace]
    assert [p.remedy.id for p in one.remedies] == [p.remedy.id for p in other.remedies]


@few_cases
def test_looking_ahead_says_what_answering_then_brings(case):
    """The question chooser's scores for an answer are those of a real run with that answer given."""
    diagnosis = diagnosed(case)
    ahead = diagnosis.ahead
    assert ahead.scores == {row.id: row.weight for row in diagnosis.ranking if row.cause}
    for asked in [one for one in ahead.open_questions() if one.about[0] == "finding"][::9]:
        for answer in asked.answers:
            changed, _ = ahead.trying(("answer", asked.about[1], answer))
            answered = DIAGNOSER.diagnose(case.with_given(asked.id, Given((answer,), answer)))
            assert {**ahead.scores, **changed} == {row.id: row.weight for row in answered.ranking if row.cause}


@few_cases
def test_looking_ahead_at_a_detail_computes_anew_what_rests_on_it(case):
    """What no step has, how fast a carrier leaves: an answer to a detail brings what a real run then brings. Where a
    class is computed anew in place of another (a retarder) the look-ahead keeps both; that is let pass."""
    diagnosis = diagnosed(case)
    details = [one for one in diagnosis.ahead.open_questions() if one.about[0] != "finding"]
    for asked in [one for one in details if one.about[-1] not in ("retarder",)][::5]:
        for answer in asked.answers:
            changed, _ = diagnosis.ahead.trying((*asked.head, answer))
            answered = DIAGNOSER.diagnose(case.with_given(asked.id, Given((answer,), answer)))
            expected = {row.id: row.weight for row in answered.ranking if row.cause}
            assert {**diagnosis.ahead.scores, **changed} == expected, (asked.id, answer)


@some_cases
def test_questions_tell_something_and_are_not_asked_twice(case):
    diagnosis = diagnosed(case)
    for question in diagnosis.questions:
        assert question.open.about[-1] not in case.findings
        assert question.bits >= 0
        assert sum(answer.chance for answer in question.answers) == pytest.approx(1)
        assert any(answer.moves for answer in question.answers)


@each_case
def test_no_remedy_is_shown_without_the_cautions_of_what_it_uses(case):
    diagnosis = diagnosed(case)
    shown = {(caution.id, need) for caution, needs in diagnosis.cautions for need in needs}
    for proposal in diagnosis.remedies:
        remedy = proposal.remedy
        for hazard in {*remedy.hazards, *(h for use in remedy.uses for h in KNOWLEDGE.materials[use].hazards)}:
            assert (hazard, f"remedy {remedy.id}") in shown
        assert ("barred", remedy.id) not in diagnosis.trace
        needed = {"slight": "care_on_a_guess", "lasting": "no_harm_on_a_guess"}.get(remedy.harm)
        if needed:
            chances = {row.id: row.probability for row in diagnosis.ranking}
            assert sum(chances[cause.id] for cause, _ in proposal.reasons) >= KNOWLEDGE.strategies[needed].figure


def test_nothing_said_leaves_none_of_these_first():
    from diagnose.case import Case

    diagnosis = DIAGNOSER.diagnose(Case("empty"))
    assert diagnosis.first.id == UNLISTED
    assert not diagnosis.remedies


@given(st.dictionaries(st.sampled_from(sorted(KNOWLEDGE.causes)), st.integers(-80, 80), min_size=1))
def test_ten_decibans_more_are_ten_times_the_odds(scores):
    name = sorted(scores)[0]
    before, after = probabilities(scores), probabilities({**scores, name: scores[name] + 10})
    assert (after[name] / after[UNLISTED]) == pytest.approx(10 * before[name] / before[UNLISTED])
