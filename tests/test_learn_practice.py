"""Practice as a plain object: what is offered, what is told, and a look back whose figures are the program's own."""

from dataclasses import replace
from math import isclose, log2

import pytest
import shipped
from conftest import ROOT_CASES

from diagnose.case import Given
from diagnose.complaint import Complaint
from diagnose.consultation import Consultation
from diagnose.folder import example_files
from diagnose.model import UNLISTED
from diagnose.practice import GIVEN_UP, Exercise, begin, find_cause, find_checks, opening_page, own_play, tells
from diagnose.practice_draw import LIBRARY, RULES, Library, draw, scope_of
from diagnose.practice_made import made
from diagnose.practice_review import NEAR_NOTHING, WORTH_A_WORD, review, same_observation
from diagnose.practice_text import review_text

DIAGNOSER = shipped.diagnoser()
KNOWLEDGE = DIAGNOSER.knowledge
SAVED = Library(KNOWLEDGE, example_files(), sorted(ROOT_CASES.rglob("*.yaml")))


def exercise(seed=8, names=("lifting",), source=RULES):
    return draw(DIAGNOSER, SAVED, scope_of(KNOWLEDGE, names), seed, source)


def played(practice, steps):
    """The practice after so many of the checks worth most."""
    for _ in range(steps):
        _, best = practice.hint()
        if best is None:
            break
        practice = practice.check(best.open.id)
    return practice


def flat(text):
    return " ".join(text.split())


# -- the case and its checks -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(6))
def test_the_opening_page_gives_nothing_away(seed):
    whole = exercise(seed, (), LIBRARY).case
    page = opening_page(whole, KNOWLEDGE)
    assert set(page.findings) <= set(KNOWLEDGE.opening) and page.findings == {
        name: given for name, given in whole.findings.items() if name in KNOWLEDGE.opening
    }
    assert (page.id, page.title, page.notes, page.source, page.path) == ("practice", "", "", "", None)
    assert not page.expect.first and not page.expect.in_first_three
    for step, told in zip(whole.steps, page.steps, strict=True):
        hidden = step.given.keys() - told.given.keys()
        assert not hidden & set(KNOWLEDGE.step_kinds[step.do].asks)
        assert all(KNOWLEDGE.attributes["step", name].kind == "choice" for name in hidden)


def test_a_check_tells_what_the_case_says_and_costs_its_price():
    practice = begin(DIAGNOSER, exercise())
    for name in list(practice.open)[:6]:
        after = practice.check(name)
        assert after.checks[-1].given == practice.exercise.case.given_for(name) and after.case.given_for(name)
        assert after.minutes == practice.open[name].kind.minutes
        assert name not in after.open and practice.case.given_for(name) is None
    with pytest.raises(KeyError):
        practice.check("no_such_check")


def test_what_the_case_does_not_say_cannot_be_told_and_costs_nothing():
    practice = begin(DIAGNOSER, exercise(3, (), LIBRARY))
    name = next(name for name in practice.open if not tells(practice.exercise, name))
    after = practice.check(name)
    assert not after.checks[-1].given.known and after.minutes == 0
    assert after.diagnosis.ranking == practice.diagnosis.ranking  # not known weighs nothing


def test_numbers_of_checks_never_change():
    practice = begin(DIAGNOSER, exercise())
    seen = {}
    for _ in range(12):
        numbers = {o.id: number for number, o in practice.numbered()}
        assert all(seen.get(name, number) == number for name, number in numbers.items())
        assert set(numbers) == set(practice.open)
        seen |= numbers
        practice = practice.check(next(iter(practice.open)))
    assert len(set(seen.values())) == len(seen)


def test_only_what_makes_sense_is_offered():
    practice = played(begin(DIAGNOSER, exercise()), 4)
    for name, o in practice.open.items():
        if o.about[0] == "finding":
            assert ("sensible", name) in practice.diagnosis.store
        else:
            assert tells(practice.exercise, name)


@pytest.mark.parametrize("written", ["rag", "wipe test", "look", "a damp white rag on the bare colour", ""])
def test_checks_are_found_by_words_and_kinds(written):
    practice = begin(DIAGNOSER, exercise())
    found = find_checks(practice, written)
    assert found
    if written == "look":
        assert {o.kind.id for _, o in found} == {"look"}
    elif written == "":
        assert found == practice.numbered()
    elif written.startswith("a damp"):
        assert [o.id for _, o in found] == ["damp_rag_takes_colour"]


def test_causes_are_found_by_name_or_part():
    named = KNOWLEDGE.causes["dye_lifted_by_water"].name
    for written in ("dye_lifted_by_water", named, named.upper(), "water coat takes up dye", "dye lifting"):
        assert find_cause(KNOWLEDGE, written) == "dye_lifted_by_water"
    assert find_cause(KNOWLEDGE, "2", ["a", "b"]) == "b"
    assert find_cause(KNOWLEDGE, "none of these") == UNLISTED
    suspects = ["dye_lifted_by_alcohol", "dye_faded"]
    assert find_cause(KNOWLEDGE, "alcohol", suspects) == "dye_lifted_by_alcohol"  # the one that is suspected
    for written, says in (
        ("dye", "fits"),
        ("watr in the coat takes up the dye", "did you mean"),
        ("zzzz", "no cause goes by"),
        ("", "no cause is named"),
        ("3", "no suspect"),
    ):
        with pytest.raises(Complaint, match=says):
            find_cause(KNOWLEDGE, written, suspects)


def test_suspects_come_and_go():
    practice = begin(DIAGNOSER, exercise()).suspect("a").suspect("b").suspect("a")
    assert practice.suspects == ("a", "b") and practice.drop("a").drop("x").suspects == ("b",)


# -- looking back ----------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def wandering():
    """A practice with good checks, checks of no use and checks of one observation, and a wrong verdict."""
    practice = played(begin(DIAGNOSER, exercise()), 2)
    for name in list(practice.open)[:5]:
        practice = practice.check(name)
    practice = played(practice, 1).suspect("stain_not_dry")
    return review(
        practice.commit("dye_lifted_by_solvent" if "dye_lifted_by_solvent" in KNOWLEDGE.causes else "dye_faded")
    )


def test_every_figure_is_that_of_a_case_diagnosed_again(wandering):
    case = opening_page(wandering.practice.exercise.case, KNOWLEDGE)
    for one_check in wandering.checks:
        before = DIAGNOSER.diagnose(case)
        open_ones = {o.id: o for o in before.ahead.open_questions()}
        assert one_check.question == before.ahead.question(open_ones[one_check.check.of])
        rest = [before.ahead.question(o) for name, o in open_ones.items() if tells(wandering.practice.exercise, name)]
        most = max((q.value for q in rest if q.bits >= NEAR_NOTHING), default=None)
        assert (one_check.best.value if one_check.best else None) == most
        case = case.with_given(one_check.check.of, one_check.check.given)
        after = DIAGNOSER.diagnose(case)
        scores = [{row.id: row.weight for row in one.ranking} for one in (before, after)]
        assert dict(one_check.moved) == {
            n: scores[1][n] - scores[0][n] for n in scores[0] if scores[1][n] != scores[0][n]
        }
        unclear = [
            -sum(r.probability * log2(r.probability) for r in one.ranking if r.probability) for one in (before, after)
        ]
        assert isclose(one_check.gained, unclear[0] - unclear[1], abs_tol=1e-9)
        chances = [next(r.probability for r in one.ranking if r.id == wandering.settled.id) for one in (before, after)]
        assert [one_check.before, one_check.after] == chances
    assert wandering.found.case.findings == case.findings


def test_redundant_is_what_nothing_was_to_be_expected_of(wandering):
    assert any(one_check.redundant for one_check in wandering.checks) and not all(
        one_check.redundant for one_check in wandering.checks
    )
    for one_check in wandering.checks:
        assert bool(one_check.redundant) == (one_check.question.bits < NEAR_NOTHING)


def test_one_observation_looked_at_twice_is_called_so():
    """What a group of some cause holds is one observation; what no cause groups is not."""
    cause = KNOWLEDGE.causes["dye_lifted_by_water"]
    assert not same_observation(KNOWLEDGE, "damp_rag_takes_colour", "wood_lost_colour")
    assert same_observation(KNOWLEDGE, "where_colour_went", "how_it_came")  # group tinted_film
    assert {link.group for link in cause.links if link.subject in ("where_colour_went", "how_it_came")} == {
        "tinted_film"
    }


def test_what_was_overlooked_was_worth_most_at_the_end_and_would_have_moved_so():
    impatient = review(begin(DIAGNOSER, exercise()).commit("dye_faded"))
    assert impatient.checks == () and impatient.overlooked and impatient.practice.minutes == 0
    worths = [one.question.value for one in impatient.overlooked]
    assert worths == sorted(worths, reverse=True)
    for one in impatient.overlooked:
        assert one.question.bits >= WORTH_A_WORD
        after = DIAGNOSER.diagnose(impatient.found.case.with_given(one.question.open.id, one.given))
        scores = [{row.id: row.weight for row in d.ranking} for d in (impatient.found, after)]
        assert dict(one.moved) == {n: scores[1][n] - scores[0][n] for n in scores[0] if scores[1][n] != scores[0][n]}
    assert "opening page alone" in flat(review_text(impatient, 80))


def test_who_looked_at_everything_overlooked_nothing():
    cause = KNOWLEDGE.causes["heat_blister"]  # a case of few questions
    practice = begin(DIAGNOSER, made(DIAGNOSER, cause, SAVED.confirming(cause.id), "7"))
    while practice.open:
        practice = practice.check(next(iter(practice.open)))
    back = review(practice.commit(practice.exercise.causes[0]))
    assert back.overlooked == () and "Nothing that would have told much more" in review_text(back, 80)


@pytest.mark.parametrize("seed, names, source", [(8, ("lifting",), RULES), (2, (), LIBRARY), (5, ("haze",), RULES)])
def test_the_programs_own_play_is_its_consultation_answered_by_the_case(seed, names, source):
    given = exercise(seed, names, source)
    own = own_play(DIAGNOSER, given)
    now, asked = Consultation(DIAGNOSER, opening_page(given.case, KNOWLEDGE)), []
    while now.prompt is not None:
        if not now.opening:
            asked.append(now.chosen.open.id)
        about = now.prompt.about[1:] if now.prompt.about[0] == "finding" else now.prompt.about
        answer = given.case.given_for(" ".join(map(str, about)))
        now = now.answer(answer.written if answer and answer.known else "unknown")
    assert [check.of for check in own.checks] == asked
    assert own.verdict == now.diagnosis.first.id
    price = [
        now.diagnosis.ahead.of_finding(n).kind.minutes for n in asked if n in KNOWLEDGE.findings and tells(given, n)
    ]
    price += [KNOWLEDGE.ask_kinds["recall"].minutes for n in asked if n not in KNOWLEDGE.findings and tells(given, n)]
    assert own.minutes == sum(price)


def test_the_difference_of_two_ledgers_adds_up(wandering):
    chosen = next(row for row in wandering.whole.ranking if row.id == wandering.practice.verdict)
    assert sum(one.gap for one in wandering.apart) == wandering.settled.weight - chosen.weight
    text = flat(review_text(wandering, 80))
    assert "Not so." in text and "WHERE THE TWO LEDGERS DIFFER" in text and "WHAT TELLS THE TWO APART" in text


def test_a_right_verdict_is_told_whether_it_was_borne_out():
    right = exercise()
    guessed = review(begin(DIAGNOSER, exercise(1, ("mixing",))).commit(exercise(1, ("mixing",)).causes[0]))
    assert guessed.practice.right and guessed.borne_out.probability < 0.5
    assert "Right. It was:" in flat(review_text(guessed, 80))
    assert "did not yet bear it out" in flat(review_text(guessed, 80)) or "more was to be found out" in flat(
        review_text(guessed, 80)
    )
    sound = review(played(begin(DIAGNOSER, right), 30).commit(right.causes[0]))
    assert sound.borne_out.probability > 0.9 and "LEDGERS DIFFER" not in review_text(sound, 80)


def test_where_the_base_does_not_agree_with_the_case_it_says_so():
    given = exercise()
    second = DIAGNOSER.diagnose(given.case).ranking[2].id
    back = review(begin(DIAGNOSER, replace(given, causes=(second,))).commit(second))
    text = flat(review_text(back, 80))
    assert "the base itself does not put it first" in text and "in place 3" in text


def test_giving_up_and_none_of_these_are_verdicts():
    given = exercise()
    up = review(begin(DIAGNOSER, given).commit(GIVEN_UP))
    assert not up.practice.right and up.apart == () and "You gave it up" in review_text(up, 80)
    none = Exercise(
        "none", replace(given.case, findings={"complaint": Given(("something_else",), "something_else")}), (UNLISTED,)
    )
    back = review(begin(DIAGNOSER, none).commit(UNLISTED))
    assert back.practice.right and "Right. It was: none of the causes in this base" in flat(review_text(back, 80))


@pytest.mark.parametrize("width", [36, 60, 80])
def test_no_line_of_the_look_back_is_wider_than_asked(wandering, width):
    text = review_text(wandering, width)
    assert max(map(len, text.splitlines())) <= width
