"""Section 3 as sheets really print it: other numbers, hazard codes, headings, footnotes, and names that sheets vary."""

import pytest
from labels import sheet

from diagnose.complaint import Complaint


def listed(line):
    (one,) = sheet(line + "\n").listed
    return one


@pytest.mark.parametrize(
    "line",
    [
        "1-methoxy-2-propanol 107-98-2 203-539-1 10 - 30 %",
        "1-methoxy-2-propanol  CAS: 107-98-2  EC: 203-539-1  REACH: 01-2119457435-35  10 - 30 %",
        "1-methoxy-2-propanol\t107-98-2\t203-539-1\t01-2119457435-35-XXXX\t603-064-00-3\t10 - 30",
        "1-methoxy-2-propanol CAS-Nr. 107-98-2 EG-Nr. 203-539-1 Index-Nr. 603-064-00-3 10 - 30 %",
        "1-methoxy-2-propanol 107-98-2 10 - 30 % H226-336",
        "1-methoxy-2-propanol 107-98-2 10 - 30 % H226, H336",
        "1-methoxy-2-propanol | 107-98-2 | Flam. Liq. 3, H226; STOT SE 3, H336 | 10 - 30 %",
        "1-methoxy-2-propanol | (CAS-No.) 107-98-2 (EC-No.) 203-539-1 (REACH-no) 01-2119457435-35 | 10 - 30 % | Flam. Liq. 3,"
        " H226 Acute Tox. 4 (Oral), H302",
        "1-methoxy-2-propanol [1] 107-98-2 10 - 30 %",
        "1-methoxy-2-propanol 000107-98-2 10 - 30 %",
    ],
)
def test_what_else_stands_in_the_columns(line):
    one = listed(line)
    assert (one.name, one.cas, one.share) == ("1-methoxy-2-propanol", "107-98-2", (0.1, 0.3))
    assert "107-98-2" in one.ingredient.cas


def test_headings_and_footnotes_are_no_ingredients():
    read = sheet(
        "SECTION 3: Composition/information on ingredients\n3.2. Mixtures\nABSCHNITT 3: Zusammensetzung\n3.2 Gemische\n"
        "Stoffname  CAS-Nr.  EG-Nr.  Gew.-%\n"
        "Ethanol 64-17-5 200-578-6 30 - 60\n"
        "* Note: the exact share is withheld\n[1] Substance with a workplace limit\n"
        "For the full text of H-statements see section 16.\nWortlaut der H-Sätze: siehe Abschnitt 16\n"
        "H226-304-372\nH225, H319\n"
    )
    assert [(one.name, one.share) for one in read.listed] == [("Ethanol", (0.3, 0.6))]
    assert read.statements == ("H226", "H304", "H372", "H225", "H319")


@pytest.mark.parametrize("number", ["8052-41-3", "64742-47-8", "64742-48-9", "64742-88-7", "64742-82-1", "64742-49-0"])
@pytest.mark.parametrize("name", ["mineral spirits", "white spirit", "Odourless mineral spirits"])
def test_petroleum_cuts_go_by_several_numbers(name, number):
    one = listed(f"{name} {number} 30 - 60 %")
    assert number in one.ingredient.cas  # of the two the number says more
    assert not one.how or "by its number" in one.how


@pytest.mark.parametrize(
    ("name", "number"), [("alkyd resin", "63148-69-6"), ("shellac", "9000-59-3"), ("rosin", "8050-15-5")]
)
def test_a_resin_may_go_by_another_number(name, number):
    assert listed(f"{name} {number} 5 - 10 %").ingredient


@pytest.mark.parametrize(
    "line", ["Acetone 64-17-5 5 %", "mineral spirits 64-17-5 5 %", "toluene 1330-20-7 5 %", "Acetone 58-08-2 5 %"]
)
def test_one_substance_has_one_number(line):
    with pytest.raises(Complaint, match="correct the one that is wrong"):
        listed(line)


def test_two_cuts_by_one_name_are_two_ingredients():
    read = sheet("white spirit 64742-47-8 10 - 20 %\nwhite spirit 64742-48-9 20 - 30 %\n")
    assert len(read.listed) == 2


def test_all_that_is_wrong_in_a_sheet_is_told_at_once():
    with pytest.raises(Complaint) as caught:
        sheet("Ethanol 64-17-4 5 %\nAcetone 67-64-1 2,5 %\nwater\n")
    told = str(caught.value)
    assert told.startswith("a.sheet:1:") and "line 2: " in told and "line 3: " in told and "2.5 %" in told
    assert "\n" not in told


def test_a_bracket_that_closes_a_name_stays():
    assert listed("Cobalt bis(2-ethylhexanoate) 136-52-7 <=0.3 %").name == "Cobalt bis(2-ethylhexanoate)"
