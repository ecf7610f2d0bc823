"""Changes to a schedule in words: what goes, what comes, and what cannot be made."""

from __future__ import annotations

import pytest

from diagnose.case import Case
from diagnose.complaint import Complaint
from diagnose.threats import Forecast
from diagnose.what_if import changed, effect
from tests.shipped import diagnoser

KNOWLEDGE = diagnoser().knowledge
FORECAST = Forecast(KNOWLEDGE, diagnoser().index)


@pytest.fixture(scope="module")
def dyed() -> Case:
    board = KNOWLEDGE.boards["waterborne_over_water_dye"]
    return Case(board.id, piece=board.piece, air=board.air, steps=board.fails)


def threats(case: Case):
    return FORECAST.threats(FORECAST.facts(case))


@pytest.mark.parametrize(
    "line, gone, come",
    [
        ("after step 4: sealer, dewaxed shellac", "dye_lifted_by_water", None),
        ("step 4 product = non-grain-raising dye stain", "dye_lifted_by_water", None),
        ("step 5 worked = overworked", None, "first_coat_overworked"),
        ("without step 5", "dye_lifted_by_water", None),
        ("swap step 4 and step 5", "dye_lifted_by_water", "colour_on_a_barrier"),
        ("STEP 4 dried = 20 min", None, None),
    ],
)
def test_what_if(dyed, line, gone, come):
    after_case = changed(dyed, [line], KNOWLEDGE)
    assert after_case.steps != dyed.steps
    found = effect((line,), after_case, threats(dyed), threats(after_case))
    assert gone is None or gone in {threat.cause.id for threat in found.gone}
    if come:
        assert come in {threat.cause.id for threat in found.come}


@pytest.mark.parametrize(
    "line, wrong",
    [
        ("make it better", "is no change that is known here"),
        ("without step 99", "there is no step 99"),
        ("swap 4 and 4", "cannot change places with itself"),
        ("step 4 sparkle = much", "cannot be changed of step"),
        ("step dried = 4 h", "does not say which step"),
        ("air 2 humidity = 50 %", "does not say which step"),
        ("air humidity = 130 %", "cannot be"),
        ("step 4 dried = 12", "has no unit"),
        ("step 4 product = moonshine", "is not known"),
        ("after step 4: dancing", "is no kind of step"),
        ("after step 4: orange shellac", "is a product"),
        ("after step 5: wetting, water", "is work on bare wood"),
        ("step 1 carrier = water", "does not fit sanding"),
    ],
)
def test_a_change_that_cannot_be_made_is_told_in_one_message(dyed, line, wrong):
    with pytest.raises(Complaint) as caught:
        changed(dyed, [line], KNOWLEDGE)
    assert wrong in caught.value.wrong and caught.value.accepted


def test_changes_made_together_speak_of_the_steps_as_they_were(dyed):
    made = changed(dyed, ["without step 2", "after step 4: sealer, dewaxed shellac", "step 5 coat = thin"], KNOWLEDGE)
    assert [step.do for step in made.steps] == ["sanding", "sanding", "colourant", "sealer", "clear_coat"]
    assert made.steps[4].given["coat"].values == ("thin",)
    backwards = ["step 5 coat = thin", "after step 4: sealer, dewaxed shellac", "without step 2"]
    assert changed(dyed, backwards, KNOWLEDGE).steps == made.steps
