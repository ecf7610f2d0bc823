"""Schedules looked at beforehand: dangers, the changes proposed, what if, what is not told.

The test boards are the outside of these checks: each has a half made to fail and one as near to it as can be and sound,
written for lessons and held by the audit to what they show, not written for plans.
"""

from __future__ import annotations

import json
import random
from dataclasses import replace
from pathlib import Path

import pytest

from diagnose.case import Case, read_case, read_cases
from diagnose.edits import edits, needed
from diagnose.model import Given
from diagnose.plan_json import plan_object
from diagnose.plan_outline import outline
from diagnose.plan_words import grouped, verdict
from diagnose.planning import Planner
from diagnose.report_markdown import explanation as as_markdown
from diagnose.report_text import explanation as as_text
from diagnose.threats import EXPOSURE, FAULT, GUARD
from diagnose.unjudged import blanks
from diagnose.yamltree import parse
from tests.shipped import diagnoser

DIAGNOSER = diagnoser()
KNOWLEDGE = DIAGNOSER.knowledge
PLANNER = Planner(DIAGNOSER)
EXAMPLES = Path(__file__).resolve().parents[1] / "shared" / "examples" / "plans"
BOARDS = list(KNOWLEDGE.boards.values())
APART = [board for board in BOARDS if board.fails != board.sound]


def half(board, steps) -> Case:
    return Case(board.id, piece=board.piece, air=board.air, steps=steps)


def threats(board, steps):
    return PLANNER.threats(half(board, steps))


@pytest.mark.parametrize("board", APART, ids=lambda board: board.id)
def test_a_failing_half_is_pulled_to_its_failure_at_least_as_much_as_the_sound_one(board):
    fails, sound = (threats(board, steps).get(board.cause) for steps in (board.fails, board.sound))
    assert (fails.pull if fails else 0) >= (sound.pull if sound else 0)
    if fails and fails.serious:
        assert not (sound and sound.serious)


def test_of_the_boards_that_differ_in_their_schedule_most_failures_are_told_beforehand_and_few_sound_halves_are_not():
    told = [board for board in APART if board.cause in threats(board, board.fails)]
    cleared = [board for board in told if board.cause not in threats(board, board.sound)]
    wrongly = [board for board in APART if any(threat.serious for threat in threats(board, board.sound).values())]
    assert len(told) >= 0.6 * len(APART)
    assert len(cleared) >= 0.8 * len(told)
    assert len(wrongly) <= 0.15 * len(APART)


@pytest.mark.parametrize(
    "board, cause",
    [  # what any finisher would warn of: the causes' own files give the sources
        ("waterborne_over_water_dye", "dye_lifted_by_water"),
        ("shellac_over_spirit_dye", "dye_lifted_by_alcohol"),
        ("varnish_over_wax", "finish_over_wax_or_polish"),
        ("lacquer_wrinkles_varnish", "hot_solvent_over_soft_coat"),
        ("waterborne_over_yesterdays_oil", "waterborne_over_uncured_oil"),
        ("shellac_wax_under_waterborne", "waxed_shellac_under_coat"),
        ("oil_left_standing", "oil_too_thick"),
        ("spirit_dye_by_hand", "fast_carrier_hand_streaks"),
        ("edge_left_to_dry", "lap_marks_in_colour"),
        ("varnish_on_aromatic_cedar", "antioxidant_wood"),
    ],
)
def test_what_any_finisher_would_warn_of_is_serious_and_not_where_it_was_prevented(board, cause):
    board = KNOWLEDGE.boards[board]
    assert threats(board, board.fails)[cause].serious
    assert not (found := threats(board, board.sound).get(cause)) or not found.serious


def plan_of(name: str):
    board = KNOWLEDGE.boards[name]
    return PLANNER.plan(half(board, board.fails))


@pytest.fixture(scope="module")
def dyed():
    return plan_of("waterborne_over_water_dye")


def test_the_forecast_derives_what_the_engine_derives():
    for board in random.Random(5).sample(BOARDS, 12):
        case = half(board, board.fails)
        engine = {
            fact for fact in DIAGNOSER.diagnose(case).store.facts if fact[0] in ("condition", "step", "piece", "air")
        }
        ahead = {fact for fact in PLANNER.forecast.facts(case) if fact[0] in ("condition", "step", "piece", "air")}
        assert ahead == engine


def test_every_change_does_what_is_said_of_it(dyed):
    for danger in (*dyed.faults, *dyed.natures):
        for way in danger.ways:
            after = PLANNER.threats(way.edit.case)
            still = after.get(danger.threat.cause.id)
            assert way.left == (still.pull if still else None)
            assert way.left is None or way.left <= danger.threat.pull - 5
            assert {threat.cause.id for threat in way.brings} <= set(after)


def test_the_classical_ways_out_of_lifted_dye_are_among_those_proposed(dyed):
    """A barrier, another carrier, another coat; a light pass only lessens it (dye_lifted_by_water, its prevention)."""
    danger = next(danger for danger in dyed.faults if danger.threat.cause.id == "dye_lifted_by_water")
    gone = {way.edit.change.id for way in danger.ways if way.left is None}
    assert {"shellac_barrier", "other_product"} <= gone
    assert "sprayed" in {way.edit.change.id for way in danger.ways if way.left is not None}
    assert danger.place.interfaces == {(4, 5)}
    prices = [way.price for way in danger.ways if way.safe and way.left is None]
    assert prices == sorted(prices)


@pytest.mark.parametrize(
    "name",
    [
        "sponged_in_a_hurry",
        "waterborne_over_water_dye",
        "lacquer_wrinkles_varnish",
        "stain_wiped_late",
        "brushed_back_and_forth",
    ],
)
def test_the_mended_schedule_has_no_serious_fault_and_no_more_faults(name):
    plan = plan_of(name)
    assert not plan.sound and plan.mending
    after = PLANNER.threats(plan.mending[-1].case)
    assert not any(threat.serious for threat in after.values())
    assert sum(threat.fault for threat in after.values()) < len(plan.faults)
    assert {threat.cause.id for threat in plan.left} == {name for name, t in after.items() if t.fault}


def test_what_was_found_is_left_aside():
    board = KNOWLEDGE.boards["waterborne_over_water_dye"]
    case = half(board, board.fails)
    told = replace(case, findings=board.finds)
    assert plan_object(PLANNER.plan(told), ())["dangers"] == plan_object(PLANNER.plan(case), ())["dangers"]


def test_not_knowing_something_brings_no_fault():
    for board in random.Random(7).sample(APART, 15):
        case = half(board, board.fails)
        known = {name for name, t in PLANNER.threats(case).items() if t.fault}
        for step in case.steps:
            for name in step.given:
                unknown = case.with_given(f"step {step.number} {name}", Given(("unknown",), "unknown"))
                gone = case.with_given(f"step {step.number} {name}", None)
                faults = {name for name, t in PLANNER.threats(unknown).items() if t.fault}
                assert faults == {name for name, t in PLANNER.threats(gone).items() if t.fault}
                # what is not known can only take away what speaks for a fault, or what spoke against it
                for cause in faults - known:
                    assert any(sign.decibans < 0 for sign in _signs_anyway(case, cause)), (board.id, step.number, name)


def _signs_anyway(case, cause):
    """Every condition that weighs on a cause, told or not."""
    links = [link for link in KNOWLEDGE.causes[cause].links if link.about == "condition"]
    facts = PLANNER.forecast.facts(case)
    return [
        type("Sign", (), {"decibans": link.weights.get(status, 0)})
        for link in links
        for status in ("holds", "ruled_out")
        if ("condition", link.subject, status) in facts
    ]


def test_what_is_not_told_is_named_where_an_answer_would_bring_a_serious_fault(dyed):
    now = {danger.threat.cause.id: danger.threat for danger in (*dyed.faults, *dyed.natures)}
    found = blanks(dyed.diagnosis, PLANNER.forecast, now)
    untold = {blank.about: {v: brought for v, (_, brought) in zip(blank.tried, blank.would)} for blank in found}
    brought = untold["step", 4, "wet_edge"]["lost"]
    assert "lap_marks_in_colour" in {threat.cause.id for threat in brought}
    for about, would in untold.items():
        for value, threats_ in would.items():
            case = dyed.case.with_given(" ".join(map(str, about)), Given((value,), str(value)))
            after = PLANNER.threats(case)
            assert all(after[threat.cause.id].serious for threat in threats_)


def test_a_sound_schedule_is_said_to_be_sound_and_why():
    board = KNOWLEDGE.boards["waterborne_over_water_dye"]
    plan = PLANNER.plan(half(board, board.sound))
    assert plan.sound
    assert verdict(plan, ()).startswith("Sound")
    guards = {guard.fact[1] for guard in plan.safeguards}
    assert "barrier_over_colour" in guards
    assert "What keeps it sound".upper() in as_text([outline(plan, ())], 80)


def test_edits_leave_the_schedule_in_order_and_number_it_anew():
    board = KNOWLEDGE.boards["lacquer_wrinkles_varnish"]
    case = half(board, board.fails)
    facts = PLANNER.forecast.facts(case)
    everywhere = range(1, len(case.steps) + 1)
    made = list(edits(case, everywhere, everywhere, facts, KNOWLEDGE))
    assert {edit.change.how for edit in made} >= {"set", "wait", "product", "between", "first", "order"}
    for edit in made:
        assert [step.number for step in edit.case.steps] == list(range(1, len(edit.case.steps) + 1))
        assert edit.case != case


def test_needed_drying_grows_in_the_cold_and_is_rounded_up():
    board = KNOWLEDGE.boards["waterborne_over_water_dye"]
    case = half(board, board.fails)
    facts = PLANNER.forecast.facts(case)
    cold = case.with_given("air temperature", Given((10.0,), "10 C"))
    assert needed(4, cold, facts) > needed(4, case, facts)
    assert needed(5, cold, facts) % 900 == 0


def test_every_form_says_the_same(dyed):
    untold = blanks(dyed.diagnosis, PLANNER.forecast, {})
    told = outline(dyed, untold)
    said = " ".join(as_text([told], 80).split())
    for danger in [group[0] for group in grouped(dyed.faults)]:
        assert danger.threat.cause.name in said
        assert danger.threat.cause.name in as_markdown([told])
    data = json.loads(json.dumps(plan_object(dyed, untold)))
    assert [d["cause"] for d in data["dangers"]] == [d.threat.cause.id for d in (*dyed.faults, *dyed.natures)]
    facts = {row["fact"] for row in data["trace"]}
    assert facts >= {sign["fact"] for danger in data["dangers"] for sign in danger["signs"]}
    assert facts >= {premise for row in data["trace"] for premise in row["from"]}


def test_every_condition_that_can_bring_a_failure_says_what_it_is_in_a_plan():
    """A condition that weighs for some cause by at least `fair` where it holds is a fault or an exposure, or is only
    known after the event (age, wear) or tells causes apart; these last are named here one by one."""
    only_tells_apart = {
        *("aged_oil_film", "film_decades_old", "coat_within_its_first_month", "old_colour_in_the_wood"),
        *("wax_used", "wax_on_it", "last_coat_sprayed", "planed_surface", "veneered_face", "epoxy_in_it"),
        *("water_carries_last_coat", "light_pass_would_hold", "conditioner_under_colour"),
    }
    for name, condition in KNOWLEDGE.conditions.items():
        heaviest = max((link.weights.get("holds", 0) for _, link in PLANNER.forecast.links(name)), default=0)
        if heaviest >= 5 and condition.in_plan not in (FAULT, EXPOSURE):
            assert name in only_tells_apart, name
    assert {c.in_plan for c in KNOWLEDGE.conditions.values()} == {FAULT, EXPOSURE, GUARD, ""}


def test_guards_speak_against_something():
    for name, condition in KNOWLEDGE.conditions.items():
        if condition.in_plan == GUARD:
            assert min(link.weights.get("holds", 0) for _, link in PLANNER.forecast.links(name)) < 0


def test_the_invented_plans_can_be_read():
    found = sorted(EXAMPLES.glob("*.yaml"))
    assert found
    for path in found:
        (case,) = read_cases(path, KNOWLEDGE)
        assert case.invented and case.steps


SANDED = "{do: sanding, grit: 220, paper: fresh, tool: hand, direction: along}"
VARNISH = "{do: clear_coat, product: oil_varnish, applied: wide_brush, coat: thin, dried: 2 days}"


@pytest.mark.parametrize(
    "change, piece_and_air, steps",
    [
        ("warmer", "air: {temperature: 12 C}", [SANDED, VARNISH]),
        ("drier", "air: {temperature: 21 C, humidity: 88 %}", [SANDED, "{do: clear_coat, product: nitrocellulose_lacquer, applied: spray, coat: thin, dried: 4 h}"]),
        ("cooler", "air: {temperature: 33 C, humidity: 30 %}", [SANDED, "{do: clear_coat, product: nitrocellulose_lacquer, applied: spray, coat: thin, dried: 4 h}"]),
        ("warm_piece", "air: {temperature: 21 C, humidity: 50 %, surface: 6 C}", [SANDED, "{do: clear_coat, product: waterborne_acrylic, applied: wide_brush, coat: thin, dried: 1 day}"]),
        ("no_retarder", "air: {temperature: 21 C}", [SANDED, "{do: clear_coat, product: nitrocellulose_lacquer, applied: spray, coat: thin, retarder: yes, dried: 1 day}"]),
        ("by_hand_along", "piece: {wood: black_walnut, form: solid}", ["{do: sanding, grit: 180, paper: fresh, tool: belt}", "{do: colourant, product: water_dye, applied: rag, excess: wiped, dried: 1 day}"]),
        ("sooner", "piece: {wood: black_walnut, form: solid}", [SANDED, "{do: clear_coat, product: catalysed_varnish, applied: spray, coat: thin, dried: 3 days}", "{do: clear_coat, product: catalysed_varnish, applied: spray, coat: thin, dried: 3 days}"]),
    ],
)  # fmt: skip
def test_each_change_that_no_board_calls_for_has_its_use(change, piece_and_air, steps):
    text = piece_and_air + "\nsteps:\n" + "".join(f"  - {step}\n" for step in steps)
    plan = PLANNER.plan(read_case(parse(text, "plan.yaml"), KNOWLEDGE))
    helps = {way.edit.change.id for danger in (*plan.faults, *plan.natures) for way in danger.ways}
    assert change in helps, {
        danger.threat.cause.id: sorted({w.edit.change.id for w in danger.ways}) for danger in plan.faults
    }


def test_what_a_plan_takes_is_what_the_sum_says():
    from diagnose.materials_needed import needs, spare
    from diagnose.mixing import amounts

    (case,) = read_cases(EXAMPLES / "walnut_chest.yaml", KNOWLEDGE)
    (area,) = case.piece["area"].values
    found = {need.step: (need.low, need.high) for need in needs(case, KNOWLEDGE)}
    assert found[7] == amounts("clear_coat", "brush", area, 1, spare())[:2]
    assert found[5] == amounts("sealer", "spray", area, 1, spare())[:2]
    assert needs(replace(case, piece={}), KNOWLEDGE) == []
    unsaid = case.with_given("step 7 applied", None)
    assert {need.step: need.low for need in needs(unsaid, KNOWLEDGE)}[7] is None
    plan = PLANNER.plan(unsaid)
    assert "Not known of: Step 7, clear coat." in " ".join(as_text([outline(plan, ())], 80).split())


def told(text: str):
    return PLANNER.plan(read_case(parse(text, "plan.yaml"), KNOWLEDGE))


def test_wax_under_varnish_is_not_mended_by_waxing_the_bare_wood():
    plan = told(
        "steps:\n  - {do: colourant, product: gel_stain, applied: rag, excess: wiped, dried: 2 days}\n"
        "  - {do: wax, product: paste_wax}\n  - {do: clear_coat, product: oil_polyurethane, applied: wide_brush, dried: 1 week}\n"
    )
    assert not plan.sound
    assert [step.do for step in plan.mending[-1].case.steps] in (
        ["colourant", "clear_coat"],
        ["colourant", "clear_coat", "wax"],
    )


@pytest.mark.parametrize(
    "text, cause",
    [
        ("air: {temperature: 26 C, humidity: 88 %, surface: 24 C}\nsteps:\n  - {do: clear_coat, product: nitrocellulose_lacquer, applied: spray, coat: thin, dried: 1 day}\n", "moisture_blush"),
        ("steps:\n  - {do: clear_coat, product: nitrocellulose_lacquer, applied: spray, dried: 2 h}\n  - {do: clear_coat, product: catalysed_varnish, applied: spray, dried: 1 week}\n", "two_finishes_that_do_not_bond"),
        ("piece: {wood: white_oak, place: outdoors}\nsteps:\n  - {do: clear_coat, product: nitrocellulose_lacquer, applied: spray, dried: 1 week}\n", "finish_unfit_for_wet_place"),
    ],
)  # fmt: skip
def test_faults_that_a_finisher_missed_in_a_trial_are_serious(text, cause):
    """Dew point margin: ISO 8502-4 as in shared/air.yaml; acid-cured over lacquer and indoor films outdoors: common
    practice of labels."""
    assert cause in {danger.threat.cause.id for danger in told(text).serious}


def test_a_stain_alone_is_not_said_to_have_been_coated_wet():
    plan = told("steps:\n  - {do: colourant, product: oil_stain, applied: rag, excess: wiped, dried: 1 h}\n")
    assert "stain_not_dry" not in {danger.threat.cause.id for danger in plan.faults}


def test_coats_of_one_varnish_at_their_own_time_are_no_hard_coat_over_a_soft_one():
    coat = "  - {do: clear_coat, product: spar_varnish, applied: wide_brush, coat: thin, dried: 24 h}\n"
    scuff = "  - {do: sanding, grit: 320, paper: fresh, tool: hand}\n"
    plan = told(f"air: {{temperature: 21 C}}\nsteps:\n{coat}{scuff}{coat}")
    assert "hard_over_soft" not in {danger.threat.cause.id for danger in plan.faults}


def test_what_is_not_named_cannot_be_judged():
    plan = told("steps:\n  - {do: colourant}\n  - {do: clear_coat}\n")
    assert [step.number for step in plan.unnamed] == [1, 2]
    assert verdict(plan, ()).startswith("Cannot be judged")
    assert plan_object(plan, ())["sound"] is False


def test_cold_air_is_never_mended_by_cooler_air():
    plan = told(
        "air: {temperature: 12 C, humidity: 88 %, surface: 10 C}\nsteps:\n  - {do: clear_coat, product: nitrocellulose_lacquer, applied: spray, coat: heavy, dried: 1 h}\n"
    )
    changes = {way.edit.change.id for danger in plan.faults for way in danger.ways}
    assert "cooler" not in changes and changes & {"warmer", "drier"}


def test_one_fault_on_several_coats_is_mended_on_all_of_them():
    coat = "  - {do: clear_coat, product: nitrocellulose_lacquer, applied: spray, coat: heavy, dried: 2 h}\n"
    plan = told(f"steps:\n{coat}{coat}{coat}")
    runs = next(danger for danger in plan.faults if danger.threat.cause.id == "runs_and_sags")
    assert any(way.edit.steps == (1, 2, 3) and way.left is None for way in runs.ways)


def test_a_very_long_schedule_is_judged_but_not_changed():
    scuff = "  - {do: sanding, grit: 320}\n"
    text = (
        "steps:\n  - {do: wax, product: paste_wax}\n"
        + scuff * 24
        + "  - {do: clear_coat, product: oil_varnish, dried: 1 week}\n"
    )
    plan = told(text)
    assert not plan.sound and not plan.mending and not any(danger.ways for danger in plan.faults)
    assert "no changes were tried" in as_text([outline(plan, ())], 80).replace("\n", " ")
