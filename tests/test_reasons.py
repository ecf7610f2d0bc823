"""Why not, suppose, overturn: whatever they say is borne out by running the rules again."""

from dataclasses import replace
from pathlib import Path

import pytest
import shipped

from diagnose.case import Given, read_case, read_cases
from diagnose.complaint import Complaint
from diagnose.consultation import Consultation
from diagnose.inquiry import INQUIRIES, inquire, supposed
from diagnose.model import UNKNOWN, UNLISTED
from diagnose.naming import named_cause, named_question
from diagnose.reasons import contrast, given_answers, overturning, pillars, still_open, suppose
from diagnose.yamltree import parse

KNOWLEDGE = shipped.knowledge()
DIAGNOSER = shipped.diagnoser()
CASES = Path(__file__).resolve().parents[1] / "cases"
SOME = sorted(CASES.glob("*.yaml"))[::7] + sorted((CASES / "field").glob("*.yaml"))[::24]
NOT_KNOWN = Given((UNKNOWN,), UNKNOWN)


@pytest.fixture(params=SOME, ids=lambda path: path.stem, scope="module")
def diagnosis(request):
    return DIAGNOSER.diagnose(read_cases(request.param, KNOWLEDGE)[0])


def weight(diagnosis, cause):
    return next(row.weight for row in diagnosis.ranking if row.id == cause)


def answered(diagnosis, *answers):
    case = diagnosis.case
    for asked, answer in answers:
        case = case.with_given(asked.id, Given((answer,), answer))
    return DIAGNOSER.diagnose(case)


def test_two_ledgers_side_by_side_add_up_to_the_gap_between_them(diagnosis):
    for row in diagnosis.ranking[:6]:
        found = contrast(diagnosis, row.id)
        assert row.id == found.other.id != found.first.id
        assert sum(side.gap for side in found.sides) == found.gap
        told = [entry for side in found.sides for entry in (side.first, side.other) if entry]
        assert sorted(map(id, told)) == sorted(map(id, [*found.first.ledger, *found.other.ledger]))


def test_an_answer_that_would_help_brings_the_other_nearer_by_what_was_said(diagnosis):
    found = contrast(diagnosis, diagnosis.ranking[1].id)
    of_findings = [row for row in found.helping if row[0].about[0] == "finding"]
    for asked, answer, gain in of_findings[:8]:
        after = answered(diagnosis, (asked, answer))
        assert found.gap - (weight(after, found.first.id) - weight(after, found.other.id)) == gain > 0


def test_what_closes_the_gap_does_so_and_fewer_answers_do_not(diagnosis):
    for row in diagnosis.ranking[1:4]:
        found = contrast(diagnosis, row.id)
        if found.closing:
            after = answered(diagnosis, *found.closing.answers)
            assert weight(after, row.id) >= weight(after, found.first.id)
            fewer = answered(diagnosis, *found.closing.answers[:-1])
            assert weight(fewer, row.id) < weight(fewer, found.first.id)


def test_each_set_that_overturns_does_and_none_of_its_parts_would(diagnosis):
    for one in overturning(diagnosis):
        after = answered(diagnosis, *one.answers)
        assert after.first.id != diagnosis.first.id
        assert [row.id for row in after.ranking] == [row.id for row in one.diagnosis.ranking]
        for left_out in one.answers if len(one.answers) == 2 else ():
            part = answered(diagnosis, *(pair for pair in one.answers if pair is not left_out))
            assert part.first.id == diagnosis.first.id


def test_one_answer_closes_a_narrow_gap():
    diagnosis = DIAGNOSER.diagnose(read_cases(CASES / "jewel_box.yaml", KNOWLEDGE)[0])
    closing = contrast(diagnosis, "resin_blush").closing
    assert closing and len(closing.answers) == 1 and overturning(diagnosis)


def test_single_answers_that_overturn_are_all_found():
    """Against trying every open answer to a finding by a full run of its own."""
    diagnosis = DIAGNOSER.diagnose(read_cases(CASES / "jewel_box.yaml", KNOWLEDGE)[0])
    sets = overturning(diagnosis, most=10_000)
    found = {(asked.id, answer) for one in sets for asked, answer in one.answers}
    assert all(len(one.answers) == 1 for one in sets)
    tried = {
        (question.open.id, answer)
        for question in still_open(diagnosis)
        if question.open.about[0] == "finding"
        for answer in question.open.answers
        if answered(diagnosis, (question.open, answer)).first.id != diagnosis.first.id
    }
    assert tried and tried == {pair for pair in found if " " not in pair[0]}


def test_what_it_rests_on_carries_it_and_nothing_else_alone_does(diagnosis):
    named = {pillar.name: pillar for pillar in pillars(diagnosis)}
    for name, _ in given_answers(diagnosis):
        without = DIAGNOSER.diagnose(diagnosis.case.with_given(name, NOT_KNOWN))
        if name in named:
            assert without.first.id == named[name].first.id
            now = next(row for row in without.ranking if row.id == diagnosis.first.id)
            assert named[name].fall == pytest.approx(diagnosis.first.probability - now.probability)
        else:
            assert without.first.id == diagnosis.first.id


def test_supposing_is_a_run_again_and_records_nothing(diagnosis):
    before = diagnosis.case
    question = max(still_open(diagnosis), key=lambda q: (q.bits, q.open.id))
    answer = max(question.answers, key=lambda a: a.chance)
    made = suppose(diagnosis, [(question.open, answer)])
    assert made.diagnosis.ranking == answered(diagnosis, (question.open, answer.answer)).ranking
    assert diagnosis.case is before and question.open.id not in dict(given_answers(diagnosis))


def test_every_reply_fits_the_width_and_says_the_same_in_json(diagnosis):
    second = diagnosis.ranking[1].id
    name = next(iter(diagnosis.case.findings))
    for asked in ("how", f"how {second}", f"why not {second}", "overturn", f"suppose {name} = unknown"):
        reply = inquire(diagnosis, asked)
        for width in (40, 60, 80):
            lines = reply.lines(width)
            assert lines and all(len(line) <= width for line in lines)
        assert reply.asked == asked and reply.data
    told = inquire(diagnosis, f"why not {second}").data
    assert sum(side["first"] - side["other"] for side in told["sides"]) == told["gap"]


@pytest.mark.parametrize(
    "asked",
    [
        "",
        "why",
        "why not",
        "why not xyzzy",
        "how xyzzy",
        "suppose",
        "suppose pattern = plaid",
        "overturn now",
        "whence",
    ],
)
def test_what_cannot_be_asked_is_refused_with_what_could_be(asked):
    diagnosis = DIAGNOSER.diagnose(read_cases(CASES / "hall_table.yaml", KNOWLEDGE)[0])
    with pytest.raises(Complaint) as refused:
        inquire(diagnosis, asked)
    assert refused.value.accepted


def test_of_the_leader_it_says_that_it_does_stand_first():
    diagnosis = DIAGNOSER.diagnose(read_cases(CASES / "hall_table.yaml", KNOWLEDGE)[0])
    lines = inquire(diagnosis, f"why not {diagnosis.first.id}").lines(80)
    assert "does stand first" in lines[0]
    assert inquire(diagnosis, "why not none of these").data["other"]["id"] == UNLISTED


def test_a_name_may_be_begun_or_be_one_of_its_words():
    case = read_case(parse("{steps: [{do: colourant}], findings: {complaint: rough}}", "names"), KNOWLEDGE)
    assert named_cause(KNOWLEDGE, "dye lifting") == named_cause(KNOWLEDGE, "dye_lifted_by_wat") == "dye_lifted_by_water"
    assert named_question(KNOWLEDGE, case, "humidity") == "air humidity"
    assert named_question(KNOWLEDGE, case, "step 1 product") == "step 1 product"
    with pytest.raises(Complaint, match="did you mean"):
        named_question(KNOWLEDGE, case, "colour")


def test_a_supposed_answer_is_read_with_or_without_the_sign():
    diagnosis = DIAGNOSER.diagnose(read_cases(CASES / "jewel_box.yaml", KNOWLEDGE)[0])
    for written in ("humidity = 40 %", "humidity 40 %", "air humidity 40 %"):
        name, given = supposed(diagnosis, written)
        assert (name, given.values) == ("air humidity", (0.4,))
    assert supposed(diagnosis, "haze wiped stays")[0] == "haze_wiped"
    assert set(INQUIRIES) == {"how", "why not", "suppose", "overturn"}


def test_told_answers_take_the_place_of_earlier_ones_and_can_be_taken_back():
    case = read_cases(CASES / "jewel_box.yaml", KNOWLEDGE)[0]
    now = Consultation(DIAGNOSER, case)
    told = now.told("thinned_with", Given(("other",), "other"))
    assert told.case.findings["thinned_with"].values == ("other",)
    assert told.diagnosis.first.id == "resin_blush"
    past_the_page = Consultation(DIAGNOSER, replace(case, page_done=True))
    while past_the_page.opening:
        past_the_page = past_the_page.answer("")
    asked = past_the_page.told("haze_when", Given(("this_mix",), "this_mix"))
    assert asked.case.findings["haze_when"].known and asked.case.answered[-1] == "haze_when"
    assert "haze_when" not in asked.back().case.findings
