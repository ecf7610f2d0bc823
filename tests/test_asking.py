"""Choosing questions: worth against price, when it stops, and that it can be told to go on."""

import math

import pytest
import shipped

from diagnose.asking import guides, usual_shares
from diagnose.case import Given, read_case
from diagnose.consultation import Consultation
from diagnose.yamltree import parse

KNOWLEDGE = shipped.knowledge()
DIAGNOSER = shipped.diagnoser()
UNEVEN = "{page_done: yes, piece: {wood: cherry, form: solid, state: new_wood, surface: large_flat, place: unknown, age: unknown}, air: {temperature: unknown, movement: unknown}, steps: [{do: colourant, product: alcohol_dye, applied: rag, excess: unknown, dried: unknown}], findings: {complaint: uneven_colour, noticed: first_wet, how_many: all_over, pattern: unknown, odd_places: unknown}}"


def case(text):
    return read_case(parse(text, "asking"), KNOWLEDGE)


def test_the_next_question_is_the_one_worth_most_for_its_price():
    diagnosis = DIAGNOSER.diagnose(case(UNEVEN))
    best = max(
        q.value
        for q in diagnosis.open_questions
        if q.changes_work or max(diagnosis.ahead.chances.values()) < KNOWLEDGE.strategies["act_on"].figure
    )
    first, *others = (question.value for question in diagnosis.questions)
    assert others == sorted(others, reverse=True) and max(first, *others) == best
    assert first >= KNOWLEDGE.strategies["family_first"].figure * best
    for question in diagnosis.open_questions:
        assert question.value == pytest.approx(question.bits / (question.open.kind.minutes * question.open.kind.harm))


def family_chances(diagnosis):
    found = {}
    for row in diagnosis.ranking:
        family = row.cause.family if row.cause else row.id
        found[family] = found.get(family, 0) + row.probability
    return found


def entropy(chances):
    return -sum(p * math.log2(p) for p in chances if p > 0)


def test_while_no_family_is_likelier_than_not_the_families_are_split_first():
    """The first question tells most about the family of those worth enough, by running every answer in full."""
    diagnosis = DIAGNOSER.diagnose(case("{page_done: yes, findings: {complaint: uneven_colour, noticed: first_wet}}"))
    assert max(family_chances(diagnosis).values()) < 0.5
    best = max(q.value for q in diagnosis.questions)

    def told(question):
        after = [
            a.chance
            * entropy(
                family_chances(
                    DIAGNOSER.diagnose(diagnosis.case.with_given(question.open.id, Given((a.answer,), a.answer)))
                ).values()
            )
            for a in question.answers
        ]
        return (entropy(family_chances(diagnosis).values()) - sum(after)) / question.price

    enough = [q for q in diagnosis.open_questions if q.value >= KNOWLEDGE.strategies["family_first"].figure * best]
    assert len(enough) > 1
    assert told(diagnosis.questions[0]) == pytest.approx(max(map(told, enough)), rel=1e-6)


def test_the_strategies_that_decided_can_be_quoted():
    diagnosis = DIAGNOSER.diagnose(case(UNEVEN))
    quoted = [s.id for s in guides(diagnosis.ahead, diagnosis.questions[0], diagnosis.open_questions)]
    assert quoted[0] == "worth_its_price"
    by_value = max(diagnosis.open_questions, key=lambda q: q.value)
    assert ("family_first" in quoted) == (by_value.value > diagnosis.questions[0].value)


def test_a_dearer_way_of_finding_out_is_worth_less_for_the_same_bits():
    kinds = KNOWLEDGE.ask_kinds
    price = {name: kind.minutes * kind.harm for name, kind in kinds.items()}
    assert (
        price["recall"]
        < price["look"]
        <= price["feel"]
        < price["wipe"]
        < price["spot"]
        < price["scrap"]
        < price["wait"]
    )


def test_it_asks_for_a_missing_detail_of_a_step_where_rules_look_at_it():
    asked = {question.open.id for question in DIAGNOSER.diagnose(case(UNEVEN)).open_questions}
    assert "step 1 wet_edge" in asked
    assert "step 1 grit" not in asked and "step 1 applied" not in asked


def test_after_several_answers_not_known_it_stops_and_can_be_told_to_go_on():
    now = Consultation(DIAGNOSER, case(UNEVEN))
    asked = []
    while now.prompt is not None:
        asked.append(now.prompt.about)
        now = now.answer("")
    assert len(asked) == KNOWLEDGE.strategies["patience"].figure and now.at_a_loss
    more = now.asked_for_more()
    assert more.prompt is not None and more.prompt.about not in asked
    assert now.back().prompt is not None


def test_it_stops_when_one_cause_is_as_good_as_certain():
    certain = case(UNEVEN.replace("pattern: unknown", "pattern: figure, scrap_same_wood: patchy, lies_at: swirls"))
    diagnosis = DIAGNOSER.diagnose(certain)
    assert diagnosis.first.probability >= KNOWLEDGE.strategies["sure_enough"].figure
    assert diagnosis.questions == []
    assert Consultation(DIAGNOSER, certain).prompt is None


def test_it_stops_only_when_no_worthwhile_answer_would_change_the_first_remedy():
    """At every natural stop of a played example: what is still open is too dear for what it tells, or changes nothing."""
    from diagnose.case import read_cases
    from diagnose.folder import example_files

    checked = 0
    for path in example_files()[::20]:
        for one in read_cases(path, KNOWLEDGE):
            diagnosis = DIAGNOSER.diagnose(one)
            if diagnosis.questions or diagnosis.first.probability >= KNOWLEDGE.strategies["sure_enough"].figure:
                continue
            checked += 1
            least = KNOWLEDGE.strategies["enough_said"].figure
            settled = diagnosis.first.probability >= KNOWLEDGE.strategies["act_on"].figure
            assert not [q for q in diagnosis.open_questions if q.value >= least and (q.changes_work or not settled)]
    assert checked >= 3


def test_what_is_usual_is_shared_out_over_all_answers():
    ahead = DIAGNOSER.diagnose(case(UNEVEN)).ahead
    for name in KNOWLEDGE.findings:
        shares = usual_shares(ahead.of_finding(name))
        assert sum(shares.values()) == pytest.approx(1) and min(shares.values()) > 0


def test_a_finding_is_not_asked_where_it_makes_no_sense():
    asked = {question.open.id for question in DIAGNOSER.diagnose(case(UNEVEN)).open_questions}
    assert not asked & {"damp_rag_takes_colour", "inside_or_outside", "spray_places"}


def test_what_only_the_product_would_tell_is_not_asked_where_the_product_is_not_known():
    def asked(product):
        steps = f"{{do: colourant, product: {product}, applied: rag}}, {{do: clear_coat, product: shellac}}"
        of = case(f"{{page_done: yes, steps: [{steps}], findings: {{complaint: colour_came_off}}}}")
        return {question.open.id for question in DIAGNOSER.diagnose(of).open_questions}

    without = case("{page_done: yes, steps: [{do: colourant, applied: rag}], findings: {complaint: colour_came_off}}")
    assert "step 1 redissolves_in" in {q.open.id for q in DIAGNOSER.diagnose(without).open_questions}
    assert "step 1 redissolves_in" not in asked("unknown") and "step 1 carrier" in asked("unknown")
