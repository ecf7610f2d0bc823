"""Where in the layers the trouble sits, as far as the trace tells."""

from pathlib import Path

import pytest

from diagnose.case import read_case, read_cases
from diagnose.complaint import Complaint
from diagnose.diagnosis import Diagnoser
from diagnose.keeping import diagnoser
from diagnose.load import load
from diagnose.section import section
from diagnose.yamltree import parse
from tests.conftest import FILES, write_knowledge

CASES = Path(__file__).resolve().parents[1] / "cases"
SHIPPED = diagnoser(None)


def shipped(name):
    (case,) = read_cases(CASES / f"{name}.yaml", SHIPPED.knowledge)
    return section(SHIPPED.diagnose(case))


def cut(knowledge, text):
    return section(Diagnoser(knowledge).diagnose(read_case(parse(text, "case.yaml"), knowledge)))


def test_layers_from_the_wood_up_with_the_work_between_them():
    drawn = shipped("hall_table")
    assert [(layer.number, layer.work) for layer in drawn.layers] == [(0, (1, 2, 3)), (4, ()), (5, ())]


def test_a_condition_on_two_layers_points_at_their_interface():
    drawn = shipped("hall_table")
    assert drawn.told == "trace" and drawn.failing.interfaces == {(4, 5)} and not drawn.failing.layers
    assert drawn.by == (("condition", "water_over_water_soluble_colour", "holds"),)
    assert "water-carrying coat lies directly on colour" in drawn.why


@pytest.mark.parametrize(
    "name, layers, interfaces",
    [
        ("birch_cradle", {0}, {(0, 2)}),  # a wood that drinks unevenly, and colour laid straight on it
        ("toy_chest", set(), {(0, 2)}),  # the first water on the wood
        ("window_seat", {1}, set()),  # the colour faded
        ("cabinet_side", {2}, set()),  # a heavy coat ran
        ("travelling_case", {3, 4}, set()),  # both lacquer coats check in the cold, the sealer below does not
    ],
)
def test_shipped_cases(name, layers, interfaces):
    drawn = shipped(name)
    assert drawn.told == "trace"
    assert (set(drawn.failing.layers), set(drawn.failing.interfaces)) == (layers, interfaces)


def test_the_kind_of_trouble_tells_where_no_condition_does():
    drawn = shipped("oak_doors")  # panels shrank: the wood, whatever was laid on it
    assert drawn.told == "kind" and drawn.failing.layers == {0}
    several = shipped("maple_doors")  # fisheyes from the shop's air: in one of the coats
    assert several.told == "kind" and several.failing.layers == {2, 3} and "which of them" in several.why


def test_work_is_marked_where_it_alone_is_to_blame():
    (case,) = read_cases(CASES / "field" / "floor_swirls_under_stain.yaml", SHIPPED.knowledge)
    drawn = section(SHIPPED.diagnose(case))
    assert drawn.failing.work == {1} and not drawn.failing.layers and not drawn.failing.interfaces


def test_nothing_is_marked_where_nothing_tells():
    assert not shipped("gilded_frame").failing  # none of the causes leads
    (case,) = read_cases(CASES / "field" / "oak_table_paper_plate_mark.yaml", SHIPPED.knowledge)
    drawn = section(SHIPPED.diagnose(case))  # a mark in use, of a piece whose layers nobody listed
    assert not drawn.failing and drawn.told == "" and "cannot be told" in drawn.why


def test_layers_below_a_stripping_are_gone(knowledge):
    drawn = cut(knowledge, "steps: [{do: sealer}, {do: stripping}, {do: sanding, grit: 180}, {do: clear_coat}]")
    assert drawn.gone == (1,)
    assert [(layer.number, layer.work) for layer in drawn.layers] == [(0, (2, 3)), (4, ())]


def test_without_seats_and_conditions_nothing_is_marked(knowledge):
    drawn = cut(knowledge, "steps: [{do: colourant}]\nfindings: {rag_takes_colour: yes, complaint: streaks}")
    assert drawn.told == "" and not drawn.failing


def test_seats_are_read_and_checked(tmp_path):
    seated = FILES["steps.yaml"].replace(
        "colourant: {name: dye or stain,", "colourant: {name: dye or stain, seat of: [%s],"
    )
    knowledge = load(write_knowledge(tmp_path / "good", steps=seated % "colour/lifting"))
    drawn = cut(knowledge, "steps: [{do: colourant}]\nfindings: {rag_takes_colour: yes}")
    assert drawn.told == "kind" and drawn.failing.layers == {1}
    with pytest.raises(Complaint, match="colourant is the seat of 'colours'"):
        load(write_knowledge(tmp_path / "bad", steps=seated % "colours"))
