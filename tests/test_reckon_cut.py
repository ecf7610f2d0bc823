"""Shellac cuts against the published table of cuts, the published table of parts, pint, and laws of their own."""

import json

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_cli import diagnose

from diagnose import shellac, units

# lb to a US gallon of alcohol -> g/L of alcohol, oz to a US quart, gallons of solution from one of alcohol, g/L of
# solution, lb to a gallon of solution, solids by mass in per cent. Ounces: Shellac mixing chart (shellac supplier).
# Gallons of the 2, 3 and 4 lb cuts: Table of alcohol to add to change a cut, with the volume gained per pound (a page
# that reprints a woodworking magazine's table). The rest is computed there from these and ethanol of 0.789 g/mL.
CUTS = [
    (0.5, 59.9, 2, 1.05, 57.1, 0.476, 7.1),
    (1, 119.8, 4, 1.1, 108.9, 0.909, 13.2),
    (1.5, 179.7, 6, 1.15, 156.3, 1.304, 18.6),
    (2, 239.7, 8, 1.2, 199.7, 1.667, 23.3),
    (2.5, 299.6, 10, 1.25, 239.7, 2.0, 27.5),
    (3, 359.5, 12, 1.3, 276.5, 2.308, 31.3),
    (4, 479.3, 16, 1.4, 342.4, 2.857, 37.8),
    (5, 599.1, 20, 1.5, 399.4, 3.333, 43.2),
]
# from, to, parts of alcohol as printed (Table of alcohol to add to change a cut), and by (a/b - 1)/(1 + 0.1 a). The
# printed 5 lb -> 3 lb ratio, 7/8, fits nothing else in that table (3/8 would) and is left out.
PARTS = [
    *[(0.5, 0.25, 1, 0.952), (1, 0.25, 3, 2.727), (1, 0.5, 0.875, 0.909), (1.5, 0.25, 4.5, 4.348)],
    *[(1.5, 0.5, 1.667, 1.739), (1.5, 1, 0.333, 0.435), (2, 0.25, 5, 5.833), (2, 0.5, 2, 2.5), (2, 1, 0.667, 0.833)],
    *[(2, 1.5, 0.25, 0.278), (3, 0.25, 8.75, 8.462), (3, 0.5, 3.75, 3.846), (3, 1, 1.5, 1.538), (3, 1.5, 0.75, 0.769)],
    *[(3, 2, 0.333, 0.385), (4, 0.25, 11, 10.714), (4, 0.5, 5, 5.0), (4, 1, 2, 2.143), (4, 1.5, 1.25, 1.19)],
    *[(4, 2, 0.75, 0.714), (4, 3, 0.25, 0.238), (5, 0.25, 12.75, 12.667), (5, 0.5, 5.75, 6.0), (5, 1, 2.75, 2.667)],
    *[(5, 1.5, 1.5, 1.556), (5, 2, 1, 1.0)],
]
cuts = st.floats(min_value=10, max_value=700)


@pytest.mark.parametrize("pounds, to_alcohol, to_quart, gallons, to_solution, pounds_of_solution, by_mass", CUTS)
def test_the_published_table_of_cuts(pounds, to_alcohol, to_quart, gallons, to_solution, pounds_of_solution, by_mass):
    cut = pounds * shellac.POUND_CUT
    assert cut == pytest.approx(to_alcohol, abs=0.05)
    assert units.within(cut, "strength", "oz/qt") == pytest.approx(to_quart, abs=1e-9)
    assert shellac.swelling(cut) == pytest.approx(gallons, abs=1e-9)
    assert cut / shellac.swelling(cut) == pytest.approx(to_solution, abs=0.05)
    assert cut / shellac.swelling(cut) / shellac.POUND_CUT == pytest.approx(pounds_of_solution, abs=0.0005)
    assert shellac.solids(cut)[0] * 100 == pytest.approx(by_mass, abs=0.05)
    assert shellac.solids(cut)[1] == pytest.approx(1 - 1 / gallons, abs=1e-9)


@pytest.mark.parametrize("strong, weak, printed, exact", PARTS)
def test_the_published_table_of_parts(strong, weak, printed, exact):
    parts = shellac.to_thin(strong * shellac.POUND_CUT, weak * shellac.POUND_CUT)
    assert parts == pytest.approx(exact, abs=0.0006)
    assert printed == pytest.approx(parts, rel=0.24)  # printed as simple fractions; that is the largest gap accepted


def test_a_pound_cut_on_either_gallon_is_what_pint_says():
    ureg = pint.UnitRegistry()
    assert pytest.approx(ureg("1 pound / gallon").to("gram / litre").magnitude, rel=1e-12) == shellac.POUND_CUT
    assert pytest.approx(ureg("1 pound / imperial_gallon").to("g/L").magnitude, rel=1e-12) == shellac.IMPERIAL_CUT


@given(cuts, st.floats(min_value=0.001, max_value=100))
def test_what_is_dissolved_comes_to_the_volume_and_the_cut(cut, volume):
    flakes, alcohol = shellac.to_dissolve(cut, volume)
    assert flakes / alcohol == pytest.approx(cut)
    assert alcohol + flakes * shellac.displaced() == pytest.approx(volume)


@given(cuts, st.floats(min_value=0.05, max_value=1), st.floats(min_value=0.05, max_value=1))
def test_thinning_in_two_goes_is_thinning_in_one(cut, first, second):
    between, last = cut * first, cut * first * second
    once = shellac.to_thin(between, last)
    assert (1 + shellac.to_thin(cut, between)) * (1 + once) == pytest.approx(1 + shellac.to_thin(cut, last))


@given(cuts, st.floats(min_value=0.05, max_value=1), st.floats(min_value=0.001, max_value=100))
def test_thinning_keeps_the_flakes_and_adds_only_alcohol(cut, share, volume):
    solution, alcohol = shellac.thinned_to_volume(cut, cut * share, volume)
    assert solution + alcohol == pytest.approx(volume)
    flakes, held = shellac.to_dissolve(cut, solution)
    assert flakes / (held + alcohol) == pytest.approx(cut * share)


def test_four_to_two_to_one_is_four_to_one():
    four, two, one = (pounds * shellac.POUND_CUT for pounds in (4, 2, 1))
    assert (1 + shellac.to_thin(four, two)) * (1 + shellac.to_thin(two, one)) == pytest.approx(22 / 7)
    assert 1 + shellac.to_thin(four, one) == pytest.approx(22 / 7)


def test_a_stronger_cut_is_not_had_by_thinning():
    with pytest.raises(ValueError):
        shellac.to_thin(100, 101)


@pytest.mark.parametrize("months, covered", [(3, "both"), (3.1, "one"), (12, "one"), (12.1, "neither")])
def test_shelf_lives_that_disagree_are_both_kept(months, covered):
    assert shellac.within_shelf_life(months) == covered


def reckoned(*words):
    done = diagnose("reckon", "cut", *words, "--format", "json")
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_half_a_litre_of_a_two_pound_cut():
    told = reckoned("2", "lb", "--volume", "500", "mL")
    # 0.5 L / 1.2 = 0.41667 L of alcohol; times 239.653 g/L = 99.855 g
    assert told["alcohol"] == {"value": 0.41667, "unit": "L"}
    assert told["flakes"] == {"value": 99.855, "unit": "g"}
    assert told["solids_by_mass"] == {"value": 23.298, "unit": "%"}  # 239.653 / (239.653 + 789)


def test_pounds_are_counted_on_the_gallon_that_is_named():
    told = reckoned("2 lb", "--gallon", "imperial")
    assert told["strength"] == {"value": 199.55, "unit": "g/L"}  # 2 * 453.59237 / 4.54609
    assert told["us_cut"]["value"] == 1.6653
    assert reckoned("--cut", "2", "lb/imp", "gal")["strength"] == told["strength"]
    assert reckoned("240", "g/L")["us_cut"]["value"] == 2.0029  # 240 / 119.8264


def test_what_is_at_hand_is_thinned():
    told = reckoned("3 lb cut", "--to", "1 lb", "--have", "1.3 L")
    # 1.3 L of a 3 lb cut were made of 1 L of alcohol; three litres in all are wanted
    assert told["alcohol"]["value"] == 2.0
    assert told["volume"]["value"] == 3.3
    whole = reckoned("3-pound", "--to", "1 lb", "--volume", "3.3 L")
    assert whole["solution"]["value"] == 1.3


@pytest.mark.parametrize("age, holds", [("2 months", True), ("8 months", False), ("2 years", False)])
def test_the_age_of_a_solution(age, holds):
    remarks = {remark["name"]: remark for remark in reckoned("2 lb", "--age", age)["remarks"]}
    assert remarks["shelf_life"]["holds"] is holds
    assert "3 months" in remarks["shelf_life"]["says"] and "12" in remarks["shelf_life"]["says"]
    assert "glass" in remarks["film_test"]["says"]


def test_alcohol_never_goes_without_its_caution_and_the_formula_has_its_source():
    told = diagnose("reckon", "cut", "2 lb", "--work").stdout
    assert "Alcohol burns" in told and "1 + d*cut" in told and "chart" in told
    assert "beyond_tables" in {remark["name"] for remark in reckoned("5.5 lb")["remarks"]}


@pytest.mark.parametrize(
    "words, says",
    [
        ("2", "cut: '2' has no unit"),
        ("", "one cut is needed"),
        ("2 lb --cut 3 lb", "one cut is needed"),
        ("2 kg", "cut: '2 kg' has a unit that does not fit; write for instance 2 lb or 240 g/L"),
        ("2,5 lb", "cut: '2,5 lb' has a decimal comma"),
        ("-2 lb", "cut: '-2 lb' cannot be"),
        ("0 lb", "cut: '0 lb' holds no flakes"),
        ("7 lb", "stronger than dissolves"),
        ("2 lb --volume 500", "volume: '500' has no unit"),
        ("2 lb --volume 0 mL", "volume: '0 mL' is nothing"),
        ("2 lb --volume -5 mL", "volume: '-5 mL' cannot be"),
        ("2 lb --volume 500 g", "volume: '500 g' has a unit that does not fit"),
        ("1 lb --to 2 lb", "is stronger than 1 lb"),
        ("2 lb --have 1 L", "--have says how much solution is thinned"),
        ("2 lb --to 1 lb --have 1 L --volume 1 L", "--have says how much solution is thinned"),
        ("2 lb --age 5", "age: '5' has no unit"),
    ],
)
def test_what_cannot_be_is_one_message(words, says):
    done = diagnose("reckon", "cut", *words.split())
    assert done.returncode == 2 and not done.stdout
    assert done.stderr.count("\n") == 1 and says in done.stderr


def test_an_imperial_seven_pound_cut_is_weaker_than_six_us_pounds():
    assert reckoned("7 lb", "--gallon", "imperial")["us_cut"]["value"] == 5.8287
