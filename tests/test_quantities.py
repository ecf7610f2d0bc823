"""What a quantity in a text comes out as is what the functions of the sums give; a bad one is told with its place."""

import json
import re

import pytest
from conftest import write_knowledge
from hypothesis import assume, given
from hypothesis import strategies as st
from shipped import knowledge
from test_cli import diagnose

from diagnose import shellac, units
from diagnose.audit_quantities import quantities
from diagnose.complaint import Complaint, Place
from diagnose.folder import shipped, texts_of
from diagnose.load import load
from diagnose.quantities import NEAR, expanded, sensible, simple_ratio, written
from diagnose.yamltree import parse


@pytest.mark.parametrize(
    "text, comes_to",
    [
        # pounds to grams: Shellac mixing chart (shellac supplier), 2 lb = 239.7 g/L, 1 lb = 119.8, 1/2 lb = 59.9
        ("a {cut 2 lb}.", "a two-pound cut (240 g of flakes to a litre of alcohol)."),
        ("{cut 1 to 2 lb}", "one- to two-pound cut (120 to 240 g of flakes to a litre of alcohol)"),
        ("{cut 0.5 to 1 lb}", "half- to one-pound cut (60 to 120 g of flakes to a litre of alcohol)"),
        ("{cut 1.5 lb}", "one-and-a-half-pound cut (180 g of flakes to a litre of alcohol)"),
        ("{cut 1.2 lb}", "1.2-pound cut (140 g of flakes to a litre of alcohol)"),
        # 1 oz in a US quart is 29.957 g/L, 2 oz in a US gallon 14.978 g/L (NIST Handbook 44, Appendix C)
        ("{strength 60 g/L}", "60 g to a litre (2 oz to a US quart)"),
        ("{strength 15 to 30 g/L}", "15 to 30 g to a litre (2 to 4 oz to a US gallon)"),
        ("{temperature 60 C}", "60 °C (140 °F)"),
        ("{temperature 18 to 22 C}", "18 to 22 °C (64 to 72 °F)"),
        ("{temperature 65 F}", "65 °F (18 °C)"),
        ("{temperature 0 C}", "0 °C (32 °F)"),
        ("{difference 3 C}", "3 °C (5 °F)"),
        ("{film 75 to 100 um}", "75 to 100 µm (3 to 4 mil)"),
        ("{film 4 mil}", "4 mil (100 µm)"),
        ("{length 15 to 20 cm}", "15 to 20 cm (6 to 8 in)"),
        ("{volume 150 mL}", "150 mL (5 fl oz)"),
        ("{mass 30 g}", "30 g (1.1 oz)"),
        ("{ film  100  um }, {mass 1 kg}", "100 µm (4 mil), 1 kg (2.2 lb)"),
        ("{dilute 2 lb to 0.5 lb}", "two parts of a two-pound cut and five parts of alcohol"),
        ("{dilute 5 lb to 2 lb}", "one part of a five-pound cut and one part of alcohol"),  # as printed: 1 part to 1
        ("nothing to write", "nothing to write"),
    ],
)
def test_a_quantity_is_written_out(text, comes_to):
    assert written(text, None) == comes_to


@given(st.sampled_from([quarter / 4 for quarter in range(1, 25)]))
def test_grams_of_a_cut_are_those_of_the_sum(pounds):
    grams = float(re.search(r"\((\d+) g", written(f"{{cut {pounds:g} lb}}", None))[1])
    assert grams == pytest.approx(pounds * shellac.POUND_CUT, rel=0.031)


@given(st.floats(min_value=0.5, max_value=6), st.floats(min_value=0.1, max_value=0.95))
def test_simple_parts_come_out_near_the_cut_that_was_wanted(pounds, share):
    cut = pounds * shellac.POUND_CUT
    try:
        ratio = simple_ratio(cut, cut * share)
    except ValueError:
        assume(False)
    # one litre of solution holds 1/(1 + d*cut) litres of alcohol
    flakes, alcohol = shellac.to_dissolve(cut, ratio.denominator)
    assert flakes / (alcohol + ratio.numerator) == pytest.approx(cut * share, rel=NEAR + 1e-9)


@given(st.floats(min_value=0.001, max_value=5000))
def test_rounding_for_the_bench_stays_close(value):
    assert float(sensible(value)) == pytest.approx(value, rel=0.05, abs=1e-6)


@given(st.integers(-20, 250))
def test_degrees_are_those_of_units(celsius):
    assume(celsius >= 0)
    fahrenheit = int(re.search(r"\((-?\d+) °F", written(f"{{temperature {celsius} C}}", None))[1])
    assert abs(fahrenheit - units.within(celsius, "temperature", "F")) <= 0.5


@pytest.mark.parametrize(
    "text, says",
    [
        ("{dye 2 g}", "'{dye 2 g}' is no quantity known here"),
        ("{cuts 2 lb}", "did you mean cut?"),
        ("{}", "is no quantity known here"),
        ("{cut}", "is not a number, or two, and a unit"),
        ("{cut 2}", "is not a number, or two, and a unit; write for instance {cut 1 to 2 lb}"),
        ("{cut 2,5 lb}", "is not a number"),
        ("{cut 2 g/L}", "the unit has to be lb"),
        ("{cut 2 to 1 lb}", "the range is reversed"),
        ("{cut 7 lb}", "no such cut is used; the strongest is 6 lb"),
        ("{cut 0 lb}", "no such cut is used"),
        ("{temperature 20 K}", "the unit has to be C or F"),
        ("{film 3 mm}", "the unit has to be um or mil"),
        ("{strength 2 oz/gal}", "the unit has to be g/L"),
        ("{difference 3 F}", "the unit has to be C"),
        ("{dilute 1 lb to 2 lb}", "a cut is only thinned to a weaker one"),
        ("{dilute 2 lb}", "is not a cut and the weaker one"),
        ("{dilute 6 lb to 0.1 lb}", "comes to no simple parts"),
        ("{cut 2 lb", "a brace stands alone"),
        ("a } b", "a brace stands alone"),
    ],
)
def test_a_bad_quantity_is_told_with_its_place(text, says):
    with pytest.raises(Complaint) as told:
        expanded(parse(f"remedy:\n  do: [{json.dumps(text)}]\n", "remedies/all.yaml"))
    assert str(told.value).startswith("remedies/all.yaml:2:8: ") and says in str(told.value)


def test_the_loader_writes_quantities_out_and_complains_of_bad_ones(tmp_path):
    write_knowledge(tmp_path)
    path = tmp_path / "remedies" / "all.yaml"
    good = path.read_text()
    path.write_text(good.replace("Seal it.", "'Seal it with a {cut 1 lb}.'"))
    assert load(tmp_path).remedies["barrier"].do == (
        "Seal it with a one-pound cut (120 g of flakes to a litre of alcohol).",
    )
    path.write_text(good.replace("Seal it.", "'Seal it with a {cut 1 lp}.'"))
    with pytest.raises(Complaint, match=r"remedies/all\.yaml:\d+:\d+: .*the unit has to be lb"):
        load(tmp_path)


def test_a_shops_own_folder_names_quantities_too(tmp_path):
    (tmp_path / "remedies").mkdir()
    (tmp_path / "remedies" / "own.yaml").write_text(
        "leave_it_a_day: {name: Leave it, do: ['Keep it at {temperature 20 C}.'], effort: 1 min, harm: none, "
        "because: So., source: common practice}\n"
    )
    assert load(own=tmp_path).remedies["leave_it_a_day"].do == ("Keep it at 20 °C (68 °F).",)
    (tmp_path / "remedies" / "own.yaml").write_text("a: {do: '{temperature 20 K}'}\n")
    done = diagnose("explain", "blush", "--knowledge", str(tmp_path))
    assert done.returncode == 2 and "own.yaml:1:9:" in done.stderr and done.stderr.count("\n") == 1


def test_no_brace_of_the_shipped_knowledge_reaches_a_reader():
    told = [text for remedy in knowledge().remedies.values() for text in (*remedy.do, remedy.because)]
    told += [text for board in knowledge().boards.values() for text in (*board.ready, *board.do, board.says)]
    told += [advice.advice for cause in knowledge().causes.values() for advice in cause.prevention]
    told += [cause.mechanism for cause in knowledge().causes.values()]
    assert not [text for text in told if "{" in text or "}" in text]
    assert sum("g of flakes to a litre of alcohol" in text for text in told) > 40


def test_the_shipped_knowledge_holds_no_conversion_by_hand():
    assert list(quantities()) == []
    assert sum(text.count("{cut ") for text in texts_of(shipped()).values()) > 40


@pytest.mark.parametrize(
    "by_hand, kind",
    [
        ("Keep it at 18 to 22 C (65 to 72 F).", "temperature"),
        ("Warm it to about 60 °C, 140 °F.", "temperature"),
        ("Keep it at 65 °F (18 °C).", "temperature"),
        ("Lay it 3 to 4 mil (75 to 100 micrometres) wet.", "film"),
        ("Lay it 100 µm (4 mil) wet.", "film"),
        ("Hold the gun at 15 to 20 cm (6 to 8 in), square.", "length"),
        ("A trap within 5 m (15 ft) of the gun.", "length"),
        ("A two-pound cut (240 g of flakes to a litre of alcohol).", "cut"),
        ("Shellac, 120 g of flakes to a litre.", "cut"),
        ("About 15 g/L (2 oz per gallon).", "strength"),
        ("About 60 g to a litre of warm water (an ounce to a US pint).", "strength"),
    ],
)
def test_a_conversion_by_hand_is_found(tmp_path, by_hand, kind):
    write_knowledge(tmp_path)
    path = tmp_path / "remedies" / "all.yaml"
    before = path.read_text()
    assert "Seal it." in before and not list(quantities(tmp_path))
    path.write_text(before.replace("Seal it.", f'"{by_hand}"'))
    (flaw, *_) = quantities(tmp_path)
    assert flaw.code == "hand-conversion" and f"{{{kind} ...}}" in flaw.what and flaw.of == "remedies/all.yaml"
    line = path.read_text().splitlines()[flaw.place.line - 1]
    assert line[flaw.place.column - 1 :].startswith(flaw.what[1:6])


@pytest.mark.parametrize(
    "sound",
    [
        "Sand with 180 to 220 grit in two goes.",
        "Keep it at {temperature 20 C} and {film 100 um}.",
        "100 µm at 35 % gives 35 µm, with a tenth of thinner 32 µm.",
        "A nap longer than about 6 mm (1/4 in).",
        "Two boards of 100 x 400 mm, in the shade.",
        "# 20 C (68 F) in a comment is no text.",
        "20 ml in 100 ml; 5 m in a minute",
    ],
)
def test_what_is_no_conversion_is_left_alone(tmp_path, sound):
    (tmp_path / "remedies").mkdir()
    (tmp_path / "remedies" / "all.yaml").write_text(f"{sound}\n")
    assert list(quantities(tmp_path)) == []


def test_the_place_of_a_tree_stays():
    tree = expanded(parse("a: '{cut 1 lb}'\n", "x.yaml"))
    assert tree.value["a"].place == Place("x.yaml", 1, 4)
