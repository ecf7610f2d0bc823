"""The consultation as a plain object: what it asks, what it understands, going back."""

import random

import pytest
import shipped

from diagnose.case import Case
from diagnose.casefile import case_text
from diagnose.complaint import Complaint
from diagnose.consultation import DONE, Consultation, understand

DIAGNOSER = shipped.diagnoser()


def begun(*answers):
    now = Consultation(DIAGNOSER, Case("shop"))
    for answer in answers:
        now = now.answer(answer)
    return now


def after_some_answer(now, random_):
    """The consultation after some answer that fits."""
    try:
        return now.answer(some_answer(now.prompt, random_))
    except Complaint:  # work on bare wood after a coat
        return now.answer(DONE)


def some_answer(prompt, random_):
    """One of the options, a quantity, or don't know."""
    if prompt.quantity:
        return random_.choice(
            ["", {"time": "12 h", "temperature": "65 F", "share": "55 %", "grit": "220"}.get(prompt.quantity, "")]
        )
    if prompt.about[0] == "do" and prompt.about[1] > 3:
        return DONE
    options = [value for value, _ in prompt.options] or ["cherry"]
    return random_.choice(options if prompt.needed else [*options, "", "unknown"])


def test_the_opening_page_comes_first_and_needs_a_complaint():
    now = begun()
    assert now.prompt.about == ("finding", "complaint") and now.opening
    with pytest.raises(Complaint, match="nothing to look for"):
        now.answer("")


@pytest.mark.parametrize(
    "written, wood",
    [
        ("cherry", "black_cherry"),
        ("Black Cherry", "black_cherry"),
        ("hard map", "sugar_maple"),
        ("", "unknown"),
        ("?", "unknown"),
        ("don't know", "unknown"),
    ],
)
def test_an_answer_is_a_name_another_name_its_beginning_or_not_known(written, wood):
    now = begun("rough", "first_wet", "all_over", "fibres").answer(written)
    assert now.case.piece["wood"].values == (wood,)


def test_a_word_that_could_be_several_is_asked_back_with_those():
    with pytest.raises(Complaint, match="did you mean") as caught:
        begun("colour_c")
    assert "3 colour came off" in str(caught.value) and "colour changed" in str(caught.value)


@pytest.mark.parametrize(
    "written, says",
    [("99", "there is no number"), ("0", "there is no number"), ("blue banana", "not one of the answers")],
)
def test_what_does_not_fit_is_said_and_changes_nothing(written, says):
    now = begun()
    with pytest.raises(Complaint, match=says):
        now.answer(written)
    assert not now.case.findings


def test_a_quantity_needs_its_unit():
    now = begun("rough", "", "", "", "", "")
    while now.prompt.quantity != "grit":
        now = now.answer("sanding" if now.prompt.about[0] == "do" else "")
    with pytest.raises(Complaint, match=r"not a quantity|cannot be"):
        now.answer("fine")
    assert now.answer("P220").case.steps[0].given["grit"].values == (220.0,)


def test_bare_work_after_a_coat_is_refused_with_the_reason():
    now = begun("rough")
    while now.prompt.about[0] != "do":
        now = now.answer("")
    now = now.answer("clear_coat")
    while now.prompt.about[0] == "step":
        now = now.answer("")
    with pytest.raises(Complaint, match="bare wood"):
        now.answer("wetting")


@pytest.mark.parametrize("seed", range(4))
def test_going_back_undoes_exactly_the_last_answer(seed):
    """Back from any state of a random consultation is the state before it; all the way back is the empty case."""
    random_ = random.Random(seed)
    states = [begun()]
    while states[-1].prompt is not None and len(states) < 40:
        states.append(after_some_answer(states[-1], random_))
    now = states[-1]
    for earlier in reversed(states[:-1]):
        now = now.back()
        assert now.case == earlier.case
        assert now.prompt.about == earlier.prompt.about
    assert now.back() is None


@pytest.mark.parametrize("seed", range(2))
def test_a_saved_consultation_stands_where_it_stopped(seed, tmp_path):
    from diagnose.casefile import open_case

    random_ = random.Random(seed)
    now = begun()
    while now.prompt is not None:
        now = after_some_answer(now, random_)
        path = tmp_path / "shop.yaml"
        path.write_text(case_text(now.case, DIAGNOSER.knowledge.version), encoding="utf-8")
        again = Consultation(DIAGNOSER, open_case(path, DIAGNOSER.knowledge))
        assert (again.prompt and again.prompt.about) == (now.prompt and now.prompt.about)
        assert [row.weight for row in again.diagnosis.ranking] == [row.weight for row in now.diagnosis.ranking]


def test_a_question_is_never_asked_twice():
    random_ = random.Random(5)
    now, asked = begun(), []
    while now.prompt is not None:
        asked.append(now.prompt.about)
        now = after_some_answer(now, random_)
    assert len(asked) == len(set(asked))


def test_several_answers_are_given_with_commas():
    prompt = begun().prompt
    assert understand(prompt, "1, 2").values == (prompt.options[0][0], prompt.options[1][0])


def test_not_knowing_the_next_step_is_never_that_there_was_none():
    """ "That was all" lets rules conclude what was not done; not knowing must not."""
    now = begun("rough")
    while now.prompt.about[0] != "do":
        now = now.answer("")
    assert ("none", "do", "sanding") not in now.answer("").diagnosis.store.facts
    now = now.answer("wetting")
    while now.prompt.about[0] != "do":
        now = now.answer("")
    for answer in ("", "unknown"):
        with pytest.raises(Complaint, match="done"):
            now.answer(answer)
    assert not now.case.page_done and now.answer(DONE).case.page_done


def at_the_steps(*answers):
    now = begun("rough")
    while now.prompt.about[0] != "do":
        now = now.answer("")
    for answer in answers:
        now = now.answer(answer)
    return now


@pytest.mark.parametrize(
    ("written", "material"),
    [
        ("dark walnut oil-based stain", "oil_stain"),
        ("satin nitrocellulose lacquer", "nitrocellulose_lacquer"),
        ("canned clear shellac", "waxed_shellac"),
        ("clear gloss polyurethane varnish", "oil_polyurethane"),
        ("water-based lacquer", "waterborne_acrylic"),
    ],
)
def test_a_product_is_understood_with_words_that_tell_nothing_of_its_kind(written, material):
    do = "colourant" if "stain" in written else "clear_coat"
    now = at_the_steps(do, written)
    assert now.case.steps[0].given["product"].values == (material,)


@pytest.mark.parametrize("written", ["stain of rust", "nitrocellulose paste wax", "two-part alien lacquer"])
def test_a_product_with_a_word_that_may_tell_something_is_not_guessed(written):
    with pytest.raises(Complaint):
        at_the_steps("clear_coat", written)


@pytest.mark.parametrize(
    ("written", "wood"), [("old mahogany", "true_mahogany"), ("solid cherry boards", "black_cherry")]
)
def test_a_wood_is_understood_with_words_that_tell_nothing_of_its_kind(written, wood):
    now = begun("rough")
    while now.prompt.about != ("piece", "wood"):
        now = now.answer("")
    assert now.answer(written).case.piece["wood"].values == (wood,)


@pytest.mark.parametrize("written", ["red pine", "english walnut"])
def test_a_hue_or_a_country_is_part_of_the_name_of_a_wood(written):
    now = begun("rough")
    while now.prompt.about != ("piece", "wood"):
        now = now.answer("")
    with pytest.raises(Complaint):
        now.answer(written)


def test_a_product_may_be_said_where_it_is_asked_what_was_done():
    step = at_the_steps("oil stain").case.steps[0]
    assert (step.do, step.given["product"].values) == ("colourant", ("oil_stain",))
    step = at_the_steps("shellac").case.steps[0]
    assert step.given["product"].values == ("waxed_shellac",)


def test_the_kind_of_step_said_again_as_product_is_not_known():
    assert not at_the_steps("colourant", "dark stain").case.steps[0].given["product"].known


def test_again_repeats_the_last_step_and_is_taken_back_as_one():
    once = at_the_steps("clear_coat", "polyurethane")
    while once.prompt.about[0] == "step":
        once = once.answer("")
    thrice = once.answer("again 2")
    assert [s.do for s in thrice.case.steps] == ["clear_coat"] * 3
    assert thrice.case.steps[2].given == once.case.steps[0].given and thrice.case.steps[2].number == 3
    assert thrice.back().case == once.case
    assert thrice.answer("again").back().case == thrice.case
    with pytest.raises(Complaint, match="more than"):
        once.answer("again 999")


def test_who_knows_nothing_of_the_schedule_need_not_say_more():
    now = at_the_steps("")
    assert now.case.page_done and [step.do for step in now.case.steps] == ["unknown_coat"]
    assert not [fact for fact in now.diagnosis.store.facts if fact[0] == "none"]
    with pytest.raises(Complaint, match="whether more was done has to be said"):
        at_the_steps("sanding", "", "")


@pytest.mark.parametrize(
    ("written", "seconds"),
    [("overnight", 43200), ("an hour", 3600), ("a couple of days", 172800), ("half an hour", 1800)],
)
def test_times_are_understood_as_they_are_said(written, seconds):
    now = at_the_steps("colourant", "oil stain")
    while now.prompt.about[-1] != "dried":
        now = now.answer("")
    given = now.answer(written).case.steps[0].given["dried"]
    assert given.values == (seconds,) and given.written != written  # what it was taken for is shown


def test_words_of_one_option_alone_are_that_option():
    now = at_the_steps("clear_coat", "polyurethane")
    while now.prompt.about[-1] != "applied":
        now = now.answer("")
    assert now.answer("foam brush").case.steps[0].given["applied"].values == ("small_brush",)
    with pytest.raises(Complaint, match="did you mean"):
        now.answer("brush")


def test_a_digit_that_is_no_number_is_refused_kindly():
    with pytest.raises(Complaint):
        begun("\u00b2")


def test_what_would_tell_an_answer_not_known_makes_sense_here_and_was_not_answered():
    now = begun("colour_came_off")
    while now.prompt.about[0] != "do":
        now = now.answer("")
    now = now.answer("colourant")
    ways = [finding.id for finding in now.ways_to_find_out(now.prompt.about)]
    assert now.prompt.about[-1] == "product"
    assert ways and all(("sensible", name) in now.diagnosis.trace and name not in now.case.findings for name in ways)
    assert begun("rough").ways_to_find_out(("finding", "noticed")) == []


@pytest.mark.parametrize(
    ("written", "offered"),
    [
        ("bubbling", "film flawed"),
        ("cracking and chipping", "film loose"),
        ("rough to the touch", "rough"),
        ("streaky patches", "uneven colour"),
    ],
)
def test_words_of_ones_own_are_answered_with_the_options_that_share_them(written, offered):
    with pytest.raises(Complaint, match=f"did you mean.* {offered}"):
        begun(written)
