"""Cases made from the rules, and which case comes next: true to their cause, the same for a seed, drills for what was
confused."""

from dataclasses import replace
from math import isclose
from random import Random

import pytest
import shipped
from conftest import ROOT_CASES

from diagnose.asking import usual_shares
from diagnose.case import read_cases
from diagnose.complaint import Complaint
from diagnose.flaws import LIKELY
from diagnose.folder import example_files
from diagnose.model import UNLISTED
from diagnose.practice_draw import LIBRARY, RULES, Library, confused, draw, drill, scope_of, settled
from diagnose.practice_made import DERIVED, made, shares, speaks_elsewhere
from diagnose.progress import Practised

DIAGNOSER = shipped.diagnoser()
KNOWLEDGE = DIAGNOSER.knowledge
LIBRARY_CASES = Library(KNOWLEDGE, example_files(), sorted(ROOT_CASES.rglob("*.yaml")))
CAUSES = sorted(KNOWLEDGE.causes)
SEEDS = range(50)


def made_for(seed):
    """A cause by the seed, and the case made of it."""
    cause = KNOWLEDGE.causes[Random(seed).choice(CAUSES)]
    return cause, made(DIAGNOSER, cause, LIBRARY_CASES.confirming(cause.id), f"seed {seed}")


@pytest.mark.parametrize("seed", SEEDS)
def test_a_made_case_comes_to_its_cause_and_every_answer_makes_sense(seed):
    cause, exercise = made_for(seed)
    assert exercise is not None, cause.id
    diagnosis = DIAGNOSER.diagnose(exercise.case)
    assert diagnosis.first.id == cause.id and diagnosis.first.probability >= LIKELY
    assert exercise.made and exercise.case.invented and exercise.causes == (cause.id,)
    assert KNOWLEDGE.opening[0] in exercise.case.findings
    for name, given in exercise.case.findings.items():
        assert ("sensible", name) in diagnosis.store, name
        assert given.known and set(given.values) <= set(KNOWLEDGE.findings[name].answers)
    left = [o for o in diagnosis.ahead.open_questions() if o.about[0] == "finding"]
    weighed = {link.subject for link in cause.links}
    assert all(o.id in KNOWLEDGE.opening and o.id not in weighed for o in left)  # all else is answered


@pytest.mark.parametrize("seed", SEEDS[:8])
def test_a_made_case_is_the_same_for_a_seed_and_another_for_another(seed):
    cause, exercise = made_for(seed)
    again = made(DIAGNOSER, cause, LIBRARY_CASES.confirming(cause.id), f"seed {seed}")
    assert again == exercise
    other = made(DIAGNOSER, cause, LIBRARY_CASES.confirming(cause.id), f"another {seed}")
    assert other.case != exercise.case


@pytest.mark.parametrize("seed", SEEDS[:12])
def test_another_wood_changes_nothing_that_is_concluded_and_is_no_sheet_taken_for_a_board(seed):
    cause, exercise = made_for(seed)
    examples = LIBRARY_CASES.confirming(cause.id)

    def derived(case):
        facts = DIAGNOSER.diagnose(replace(case, findings={})).store.facts
        return {fact for fact in facts if fact[0] in DERIVED}

    def schedule(case):
        return [(s.do, {n: g.values for n, g in s.given.items()}) for s in case.steps]

    alike = [case for case in examples if schedule(case) == schedule(exercise.case)]
    assert alike
    assert any(derived(case) == derived(exercise.case) for case in alike)
    wood, form = (exercise.case.piece.get(name) for name in ("wood", "form"))
    if wood and form and form.values == ("solid",):
        assert "plywood" not in wood.values[0] and wood.values[0] != "fibreboard"


def test_answers_are_drawn_as_the_weights_say():
    cause = KNOWLEDGE.causes["dye_lifted_by_water"]
    elsewhere = speaks_elsewhere(KNOWLEDGE, cause)
    ahead = DIAGNOSER.diagnose(LIBRARY_CASES.confirming(cause.id)[0]).ahead
    usual = usual_shares(ahead.of_finding("damp_rag_takes_colour"))
    drawn = shares(KNOWLEDGE, cause, "damp_rag_takes_colour", elsewhere)
    weights = {"much": 10, "none": -10, "little": -elsewhere.get(("damp_rag_takes_colour", "little"), 0)}
    assert {a: cause.weight_of("damp_rag_takes_colour", a) for a in weights} == {"much": 10, "none": -10, "little": 0}
    raised = {a: usual[a] * 10 ** (weights[a] / 10) for a in usual}
    assert all(isclose(drawn[a], raised[a] / sum(raised.values())) for a in usual)
    for name in KNOWLEDGE.findings:
        assert isclose(sum(shares(KNOWLEDGE, cause, name, elsewhere).values()), 1)


def test_where_a_cause_is_silent_what_speaks_for_others_is_drawn_less():
    cause = KNOWLEDGE.causes["dye_lifted_by_water"]
    elsewhere = speaks_elsewhere(KNOWLEDGE, cause)
    assert not any(cause.weight_of(finding, answer) for finding, answer in elsewhere)
    (finding, answer), most = max(elsewhere.items(), key=lambda item: item[1])
    assert most > 0
    assert shares(KNOWLEDGE, cause, finding, elsewhere)[answer] < shares(KNOWLEDGE, cause, finding, {})[answer]


def test_what_an_example_does_not_tell_of_the_page_and_the_cause_does_not_weigh_is_not_made_up():
    cause = KNOWLEDGE.causes["shellac_wrong_thinner"]
    exercise = made(DIAGNOSER, cause, LIBRARY_CASES.confirming(cause.id), "7")
    told = {name for case in LIBRARY_CASES.confirming(cause.id) for name in case.findings}
    weighed = {link.subject for link in cause.links}
    assert set(exercise.case.findings) & set(KNOWLEDGE.opening) <= told | weighed


def test_no_examples_no_case():
    assert made(DIAGNOSER, KNOWLEDGE.causes["dye_lifted_by_water"], [], "7") is None


# -- drawing ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("names", [(), ("lifting",), ("dye_faded", "wood_darkened")])
def test_a_draw_follows_from_its_seed_and_stays_in_its_scope(names):
    scope = scope_of(KNOWLEDGE, names)
    drawn = [draw(DIAGNOSER, LIBRARY_CASES, scope, seed) for seed in range(6)]
    assert drawn == [draw(DIAGNOSER, LIBRARY_CASES, scope, seed) for seed in range(6)]
    assert len({exercise.case.id for exercise in drawn}) > 1
    assert all(set(exercise.causes) & set(scope.causes) for exercise in drawn)
    words = " ".join(["practice", *names])
    assert all(exercise.again.startswith(f"{words} --seed ") for exercise in drawn)


@pytest.mark.parametrize("source, is_made", [(RULES, True), (LIBRARY, False)])
def test_a_source_is_kept_to(source, is_made):
    for seed in range(4):
        exercise = draw(DIAGNOSER, LIBRARY_CASES, scope_of(KNOWLEDGE, ["fading"]), seed, source)
        assert exercise.made is is_made and exercise.again.endswith(f"--from {source}")


def test_saved_cases_are_settled_and_leave_something_to_find():
    for cause in CAUSES[::12]:
        for exercise in LIBRARY_CASES.told(cause):
            assert cause in exercise.causes == settled(exercise.case)
            assert KNOWLEDGE.opening[0] in exercise.case.findings
    none = LIBRARY_CASES.told(UNLISTED)
    assert none and all(exercise.causes == (UNLISTED,) for exercise in none)
    field = [case.id for path in sorted((ROOT_CASES / "field").glob("*")) for case in read_cases(path, KNOWLEDGE)]
    told = {exercise.case.id for cause in CAUSES for exercise in LIBRARY_CASES.told(cause)}
    assert len(told & set(field)) > len(field) / 2  # the others tell nothing beyond their opening page


def test_what_cannot_be_drawn_is_told_with_the_nearest_names():
    with pytest.raises(Complaint, match="did you mean lifting"):
        scope_of(KNOWLEDGE, ["liftin"])
    with pytest.raises(Complaint, match="no case can be drawn"):
        draw(DIAGNOSER, Library(KNOWLEDGE, []), scope_of(KNOWLEDGE, ["lifting"]), 7)


def practised(*pairs):
    return [Practised("2026-03-31", "x", cause, verdict, cause == verdict) for cause, verdict in pairs]


A, B, C = "dye_lifted_by_water", "stain_not_dry", "dye_faded"
PAIR = tuple(sorted((A, B)))


def test_a_pair_is_confused_until_it_is_told_apart_often_enough():
    assert confused(practised((A, B)), KNOWLEDGE) == {PAIR: 1}
    assert confused(practised((A, B), (B, A)), KNOWLEDGE) == {PAIR: 2}
    assert confused(practised((A, B), (A, A)), KNOWLEDGE) == {PAIR: 0.5}
    assert confused(practised((A, B), (A, A), (B, B)), KNOWLEDGE) == {}
    assert confused(practised((A, B), (A, A), (B, B), (A, A), (B, A)), KNOWLEDGE) == {PAIR: 1}
    assert confused(practised((C, C), (A, "given_up"), (A, "unlisted"), ("gone", A)), KNOWLEDGE) == {}


def drilled(entries, only=False, names=()):
    """How many of a hundred seeds give the pair to drill."""
    scope = scope_of(KNOWLEDGE, names)
    return sum(drill(entries, KNOWLEDGE, scope, seed, only) != scope for seed in range(100))


def test_drills_come_more_often_while_they_go_wrong():
    once, thrice = drilled(practised((A, B))), drilled(practised((A, B), (B, A), (A, B)))
    assert 10 < once < thrice < 80
    assert drilled(practised((A, B), (A, A))) < once and drilled([]) == 0
    assert drilled(practised((A, B)), only=True) == 100
    assert drilled(practised((A, B)), names=["fading"]) == 0  # elsewhere
    with pytest.raises(Complaint, match="no two causes were confused"):
        drilled([], only=True)


def test_a_drill_gives_cases_of_both():
    scope = drill(practised((A, B)), KNOWLEDGE, scope_of(KNOWLEDGE, []), 3, True)
    assert set(scope.causes) == {A, B}
    causes = {cause for seed in range(8) for cause in draw(DIAGNOSER, LIBRARY_CASES, scope, seed, RULES).causes}
    assert causes == {A, B}
