"""What a bottle is for: said by its sheet, told by what is in it, or not told; never guessed."""

import pytest
from labels import bottle, coats, sheet
from shipped import diagnoser

from diagnose.complaint import Complaint
from diagnose.label import read_bottle
from diagnose.label_keep import keep
from diagnose.label_outline import outline
from diagnose.label_reading import STDIN
from diagnose.load import load
from diagnose.report_text import explanation

HARDENER = "HDI trimer 28182-81-2 70 - 80 %\nn-butyl acetate 123-86-4 20 - 30 %\n"
CATALYST = "p-toluenesulfonic acid 104-15-4 25 - 40 %\nethanol 64-17-5 50 - 70 %\n"
EPOXY = "epoxy resin 25068-38-6 80 - 100 %\n"
THINNER = "acetone 67-64-1 30 - 40 %\ntoluene 108-88-3 60 - 70 %\n"
STRIPPER = "dichloromethane 75-09-2 70 - 85 %\nmethanol 67-56-1 5 - 10 %\n"
BLEACH = "hydrogen peroxide 7722-84-1 27 - 35 %\nwater 7732-18-5 65 - 73 %\n"
NOT_TOLD = "2-butoxyethanol 111-76-2 5 - 15 %\n"


def words(text):
    return explanation([outline(bottle(text), tuple(coats(text).values()))], 80)


@pytest.mark.parametrize(
    ("text", "use"),
    [
        *((HARDENER, "hardener"), (CATALYST, "hardener"), (EPOXY, "epoxy_part"), (THINNER, "thinner")),
        *((STRIPPER, "stripper"), (BLEACH, "bleach"), (NOT_TOLD, "")),
        ("shellac 9000-59-3 20 - 30 %\nethanol 60 - 80 %\n", "clear_coat"),
        ("metal complex dye 2 - 5 %\nethanol 60 - 80 %\n", "colourant"),
        ("claims: [dye]\nethanol 60 - 80 %\n", "colourant"),
    ],
)
def test_what_is_in_it_tells_what_it_is_for(text, use):
    assert bottle(text).use == use
    assert bool(coats(text)) == (use in ("clear_coat", "colourant"))


def test_what_it_is_for_is_not_guessed():
    said = words(NOT_TOLD)
    assert "not told what it is for" in said and "COATS OVER IT" not in said and "glycol ether" in said


def test_half_of_a_product_says_nothing_of_the_mixed_coat():
    for half in (HARDENER, CATALYST, EPOXY):
        assert "half of a two-part product" in " ".join(words(half).split()).lower()


@pytest.mark.parametrize(
    ("text", "says"), [(STRIPPER, "wax"), (BLEACH, "rinse"), (THINNER, "thin"), ("for: [stripper]\n" + NOT_TOLD, "wax")]
)
def test_what_is_no_coat_has_its_own_advice(text, says):
    assert "WHAT IT IS" in words(text) and says in words(text)


def test_for_takes_what_is_no_coat_and_says_what_a_word_is():
    assert sheet("for: [thinner]\nacetone 30 %\n").steps == ("thinner",)
    with pytest.raises(Complaint, match=r"'stripping' is work, and leaves no coat.*stripper"):
        sheet("for: [stripping]\nacetone 30 %\n")


@pytest.mark.parametrize("text", [HARDENER, THINNER, STRIPPER, BLEACH, NOT_TOLD])
def test_what_is_no_colour_is_not_kept_as_one(text, tmp_path):
    keep(bottle("product: our bottle\n" + text), tmp_path)
    kept = load(own=tmp_path).materials["our_bottle"]
    assert "colourant" not in kept.steps and diagnoser()


def test_a_pasted_sheet_is_kept_only_by_a_name(tmp_path):
    of = read_bottle(sheet("shellac 20 - 30 %\nethanol 60 - 80 %\n", STDIN), diagnoser())
    with pytest.raises(Complaint, match="has no name; `product:`"):
        keep(of, tmp_path)


def test_what_it_could_be_is_kept_in_words(tmp_path):
    text = "product: our sealer\nfor: [sealer]\nnitrocellulose 15 - 20 %\nzinc stearate 2 - 4 %\nn-butyl acetate 60 - 70 %\n"
    keep(bottle(text), tmp_path)
    says = load(own=tmp_path).materials["our_sealer"].says
    assert "sanding sealer with stearate" in says and "do not see it" in says
