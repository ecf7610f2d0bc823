"""Shares as sheets print them: read as they are meant, or complained of with the user's own figure; never guessed."""

import pytest
from labels import sheet

from diagnose.complaint import Complaint
from diagnose.label_share import share


def listed(line):
    (one,) = sheet(line + "\n").listed
    return one


@pytest.mark.parametrize(
    ("line", "low", "high"),
    [
        ("Ethanol 64-17-5 up to 20 %", 0, 0.2),
        ("Ethanol 64-17-5 max. 20 %", 0, 0.2),
        ("Ethanol 64-17-5 max 20%", 0, 0.2),
        ("Ethanol 64-17-5 20 % max.", 0, 0.2),
        ("Ethanol 64-17-5 less than 10 %", 0, 0.1),
        ("Ethanol 64-17-5 not more than 10 %", 0, 0.1),
        ("Ethanol 64-17-5 bis 20 %", 0, 0.2),
        ("Ethanol 64-17-5 bis zu 20 %", 0, 0.2),
        ("Ethanol 64-17-5 weniger als 5 %", 0, 0.05),
        ("Ethanol 64-17-5 höchstens 5 %", 0, 0.05),
        ("Ethanol 64-17-5 5 bis 20 %", 0.05, 0.2),
        ("Ethanol 64-17-5 5 to less than 10 %", 0.05, 0.1),
        ("Ethanol 64-17-5 5 bis unter 10 %", 0.05, 0.1),
        ("Ethanol 64-17-5 between 5 and 10 %", 0.05, 0.1),
        ("Ethanol 64-17-5 more than 50 %", 0.5, 1),
        ("Ethanol 64-17-5 mehr als 50 %", 0.5, 1),
        ("Ethanol 64-17-5 at least 10 %", 0.1, 1),
        ("Ethanol 64-17-5 mindestens 10 %", 0.1, 1),
        ("Ethanol CAS#64-17-5 20-30%", 0.2, 0.3),
        ("Ethanol 64-17-5 25 - 50 Gew.-%", 0.25, 0.5),
        ("Ethanol 64-17-5 25 - 50 wt%", 0.25, 0.5),
        ("Ethanol 64-17-5 25 - 50 wt.-%", 0.25, 0.5),
        ("Ethanol 64-17-5 25 - 50 % (w/w)", 0.25, 0.5),
        ("Ethanol 64-17-5 25 - 50 %w/w", 0.25, 0.5),
        ("Ethanol 64-17-5 1000 ppm", 0.001, 0.001),
    ],
)
def test_words_and_units_of_shares(line, low, high):
    one = listed(line)
    assert one.name == "Ethanol" and one.cas == "64-17-5"
    assert one.share == (pytest.approx(low), pytest.approx(high))


def test_words_stand_alone_in_the_other_form_too():
    assert share("up to 20 %", None, "a share") == (0, 0.2)
    assert share("more than 50 %", None, "a share") == (0.5, 1)
    assert share("5 - 10 Gew.-%", None, "a share") == (0.05, 0.1)


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("Ethanol 64-17-5 2,5-10 %", r"decimal comma; use a point: 2\.5-10 %"),
        ("Ethanol 64-17-5 10,5-20 %", r"decimal comma; use a point: 10\.5-20 %"),
        ("Ethanol 64-17-5 10 - 20,5 %", r"decimal comma; use a point: 10 - 20\.5 %"),
        ("Ethanol 64-17-5 <0,1", r"decimal comma; use a point: <0\.1"),
        ("Ethanol 64-17-5 1.000 ppm", "could be 1000 or 1;"),
        ("Ethanol 64-17-5 1,000 ppm", "could be 1000 or 1;"),
        ("Ethanol 64-17-5 20 Vol.-%", "by volume"),
        ("Ethanol 64-17-5 10 20 %", "'10' is not understood"),
        ("Ethanol 64-17-5 20 % 3.5", r"'3\.5' is not understood"),
        ("Ethanol 64-17-5 5/10 %", "not understood|no share"),
        ("Ethanol 64-17-5 5 % max. 10 %", "both read as its share"),
    ],
)
def test_a_figure_that_is_not_understood_is_told_and_not_dropped(line, says):
    with pytest.raises(Complaint, match=says):
        listed(line)


@pytest.mark.parametrize(
    "name",
    [
        *("C.I. Pigment Red 101", "Pigment Yellow 42", "2-butoxyethanol", "Polysorbate 80", "CI 77491", "aromatic 100"),
        *(
            "Hydrocarbons, C9-C11, n-alkanes, isoalkanes, cyclics, <2 % aromatics",
            "1,2-propanediol",
            "Solvent Black 27",
        ),
        *("2,2,4-trimethyl-1,3-pentanediol monoisobutyrate", "white spirit type 1"),
    ],
)
def test_figures_that_belong_to_a_name_stay_in_it(name):
    one = listed(f"{name} 5 - 10 %")
    assert one.name == name and one.share == (0.05, 0.1)


def test_the_strength_of_an_ingredient_is_not_its_share():
    one = listed("Ethanol (96 %) 64-17-5 20 - 30 %")
    assert one.share == (0.2, 0.3) and one.ingredient.id == "ethanol"
    read = sheet("Component  CAS  %\nEthanol (96 %) 64-17-5 30\n")
    assert read.listed[0].share == (0.3, 0.3)


def test_only_a_line_that_begins_with_a_hash_is_a_comment():
    read = sheet("# Acetone 5 %\n  # water 5 %\nEthanol CAS#64-17-5 20-30%\n")
    assert [one.name for one in read.listed] == ["Ethanol"]
