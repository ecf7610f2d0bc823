"""What a diagnosis says of a case as a whole, and what its report makes of it."""

from pathlib import Path

import shipped

from diagnose.case import read_case
from diagnose.expectation import failed
from diagnose.report_text import report
from diagnose.yamltree import parse

DIAGNOSER = shipped.diagnoser()


def diagnose(text):
    return DIAGNOSER.diagnose(read_case(parse(text, "shop.yaml"), DIAGNOSER.knowledge, Path("shop.yaml")))


TWO = """
piece: {wood: red_maple, form: solid, state: new_wood, age: 3 years, place: direct_sun}
steps:
  - {do: sanding, grit: 220}
  - {do: colourant, product: water_dye, applied: rag, dried: 24 h}
  - {do: clear_coat, product: oil_polyurethane, applied: wide_brush}
findings: {complaint: [%s], covered_parts: covered_darker, way_of_change: paler}
"""


def test_a_complaint_that_the_leading_cause_leaves_over_is_named_with_what_leads_for_it_alone():
    diagnosis = diagnose(TWO % "colour_changed, rough")
    assert diagnosis.first.id == "dye_faded"
    ((complaint, row),) = diagnosis.apart
    alone = diagnose(TWO % "rough")
    assert complaint == "rough" and row.id == alone.first.id
    assert f"points to: {row.name}" in " ".join(report(diagnosis).split())


def test_nothing_is_left_over_where_one_complaint_is_given_or_both_are_explained():
    assert diagnose(TWO % "colour_changed").apart == ()
    assert diagnose(TWO % "colour_changed, colour_wrong").apart == ()


def test_an_expectation_can_say_how_high_a_cause_may_stand():
    text = TWO % "colour_changed"
    assert failed(diagnose(text + "expect: {at_most: {dye_faded: almost certain}}\n")) == []
    (complaint,) = failed(diagnose(text + "expect: {at_most: {dye_faded: hardly}}\n"))
    assert complaint.startswith("expected dye_faded to stand at most as hardly, found ")
