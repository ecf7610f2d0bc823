"""Coats over a bottle are judged by every fault of the schedule, not by colour alone."""

import pytest
from labels import SHEETS, bottle, coats

from diagnose.label_outline import outline
from diagnose.report_text import explanation

WAX = "for: [wax]\ncarnauba wax 20 - 30 %\nStoddard solvent 60 - 70 %\n"
CATALYSED = (
    "for: [clear_coat]\nurea-formaldehyde resin 25 - 35 %\nalkyd resin 10 - 15 %\nxylene 20 - 30 %\n"
    "p-toluenesulfonic acid 1 - 2 %\n"
)
DANISH = "for: [oil]\nlinseed oil 30 - 40 %\nStoddard solvent 55 - 65 %\ncobalt neodecanoate 0.1 - 0.5 %\n"
STEARATE = "for: [sealer]\nnitrocellulose 15 - 20 %\nzinc stearate 2 - 4 %\nn-butyl acetate 60 - 70 %\n"


def words(text):
    return " ".join(explanation([outline(bottle(text), tuple(coats(text).values()))], 80).split())


def test_no_coat_is_safe_over_wax():
    assert {one.verdict for one in coats(WAX).values()} == {"barrier"}
    assert "coat_over_wax_or_polish" in {harm.condition for harm in coats(WAX)["oil_varnish"].harms}
    assert "every coat tried" not in words(WAX).partition("Needs a barrier")[0]


def test_a_hard_slick_coat_is_scuffed_first():
    assert all(one.scuff for one in coats(CATALYSED).values() if one.verdict == "safe")
    assert "After scuffing" in words(CATALYSED)


@pytest.mark.parametrize("coat", ["nitrocellulose_lacquer", "catalysed_varnish", "two_part_polyurethane"])
def test_strong_solvents_are_not_safe_over_an_oil(coat):
    assert coats(DANISH)[coat].verdict == "barrier"


def test_what_weighs_less_is_told_beside():
    assert "film_over_oil" in {harm.condition for harm in coats(DANISH)["oil_varnish"].minds}
    assert "Mind" in words(DANISH) and "no fault known of" in words(DANISH).lower()


def test_a_stearate_on_the_list_may_be_a_sanding_sealer():
    assert "sanding_sealer" in bottle(STEARATE).could_be
    assert coats(STEARATE)["oil_polyurethane"].verdict == "open"
    assert coats(STEARATE)["nitrocellulose_lacquer"].verdict == "safe"  # it melts into it


def test_colour_is_not_to_be_sanded():
    for name in ("ngr_dye", "ngr_mostly_water", "oil_stain"):
        assert not any(one.scuff for one in coats(SHEETS[name]).values()), name
