"""`diagnose reckon light`: a published exposure table and ends of the scale, laws, and what a user meets."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_reckon_air import reckon, refused, remark  # noqa: F401, the fixtures of the command

from diagnose import light
from diagnose.tables import table

QUICK = settings(max_examples=150, deadline=None, derandomize=True)
YEAR = 365.2425 * 86400

# Years to the first noticeable fade without ultraviolet at 150 lx and 10 h a day, and at 50 lx and 8 h, and with it at
# 2000 lx and 10 h behind glass: the exposure table after CIE 157:2004 (its doses recalled, not read; years by 365 days).
EXPOSURES = [
    (1, 0.55, 2.1, 0.03),
    (2, 1.83, 6.8, 0.082),
    (3, 5.48, 20.5, 0.205),
    (4, 18.26, 68.5, 0.479),
    (5, 54.79, 205.5, 1.096),
    (6, 182.65, 684.9, 2.74),
    (7, 547.95, 2054.8, 6.849),
    (8, 2009.13, 7534.2, 16.438),
]


@pytest.mark.parametrize("blue_wool, home, museum, window", EXPOSURES)
def test_years_to_the_first_fade_are_those_of_the_exposure_table(blue_wool, home, museum, window):
    for years, lux, hours, uv in ((home, 150, 10, False), (museum, 50, 8, False), (window, 2000, 10, True)):
        soonest, latest = (light.time_to(dose, lux, hours) / YEAR for dose in light.class_doses(blue_wool, uv))
        assert soonest < years < latest  # a class is known to half a step
        assert (soonest * latest) ** 0.5 == pytest.approx(years, rel=0.16)


def test_the_ends_of_the_scale_are_near_what_was_read():
    """0.4 Mlx h (class 1) and 900 Mlx h (class 8) without ultraviolet: CAMEO materials database, citing Michalski 1990."""
    for blue_wool, dose in ((1, 0.4), (8, 900)):
        low, high = light.class_doses(blue_wool, False)
        assert low < dose < high


@pytest.mark.parametrize("lux, hours, days, published", [(50, 8, 365, 0.15), (50, 10, 300, 0.15), (200, 10, 300, 0.6)])
def test_yearly_light_of_museums(lux, hours, days, published):
    """150 000 lx h a year at 50 lx and 600 000 at 200 lx (limits of CIE 157:2004, recalled): about 3000 h of light."""
    assert light.daily(lux, hours) * days == pytest.approx(published, rel=0.03)


def test_bands_are_spanned_by_their_classes():
    for band in table("light")["fastness"].values():
        numbers = [int(word) for word in band["classes"].split(" to ")]
        for column in ("uv", "no_uv"):
            ends = [float(table("light")["blue_wool"][str(n)][column]) for n in (numbers[0], numbers[-1])]
            assert float(band[column][1]) == ends[1] or band["classes"] == "8"
            assert float(band[column][0]) <= ends[0] * 1.01


@given(st.sampled_from(list(light.CLASSES)), st.booleans(), st.floats(1, 1e5), st.floats(0.1, 24))
@QUICK
def test_half_the_light_takes_twice_as_long_and_better_classes_longer(blue_wool, uv, lux, hours):
    low, high = light.class_doses(blue_wool, uv)
    assert light.time_to(low, lux / 2, hours) == pytest.approx(2 * light.time_to(low, lux, hours))
    assert light.daily(lux, hours) * light.time_to(low, lux, hours) / 86400 == pytest.approx(low)
    assert low < high and (blue_wool == 8 or light.class_doses(blue_wool + 1, uv)[0] > low)
    assert light.class_doses(blue_wool, False)[0] > light.class_doses(blue_wool, True)[0]


def test_the_rules_and_the_sum_reckon_alike(reckon):  # noqa: F811
    """`fade_due` of the rules turns at the ends of the range that the sum tells."""
    told = reckon("light", "--place", "bright_room", "--fastness", "moderate")
    year = light.dose("bright_room", YEAR)
    assert told["exposure_year"] == {"value": pytest.approx(year, rel=1e-3), "unit": "Mlx h"}
    latest = told["first_fade"]["high"] * 3600
    assert light.fade_due("moderate", "bright_room", latest * 1.001) == "yes"
    assert light.fade_due("moderate", "bright_room", latest * 0.999) is None


def test_by_hand(reckon):  # noqa: F811
    """5000 lx for 3 h a day are 15 klx h; poor colours bear 0.6 to 3.5 Mlx h in the sky's light: 40 to 233 days."""
    told = reckon("light", "--place", "direct_sun", "--lux", "5000", "lx", "--hours", "3h", "--fastness", "poor")
    assert told["first_fade"]["low"] == pytest.approx(40 * 24) and told["first_fade"]["high"] == pytest.approx(
        233.3 * 24, rel=1e-3
    )
    assert told["first_fade_no_uv"]["low"] > told["first_fade"]["low"]
    assert remark(told, "lasts")["holds"] is False
    assert told == reckon("light", *["--lux", "5000lx", "--hours", "180min", "--uv", "yes", "--fastness", "poor"])


@pytest.mark.parametrize("written", [["class", "3"], ["class 3"], ["3"], ["Class3"], ["blue", "wool", "3"]])
def test_a_class_however_it_is_written(reckon, written):  # noqa: F811
    told = reckon("light", "--place", "inside_room", "--fastness", *written)
    assert told["dose"]["low"] < 3 < told["dose"]["high"] and "first_fade_no_uv" not in told


def test_a_product_brings_its_fastness(reckon):  # noqa: F811
    told = reckon("light", "--place", "direct_sun", "--product", "water_dye")
    assert told["dose"] == reckon("light", "--place", "direct_sun", "--fastness", "poor")["dose"]


def test_no_light_no_fading(reckon):  # noqa: F811
    told = reckon("light", "--place", "dark", "--fastness", "fugitive")
    assert told["exposure_year"]["value"] == 0 and "first_fade" not in told


@pytest.mark.parametrize(
    "words, says",
    [
        ("", "which light"),
        ("--lux 500lx", "which light"),
        ("--place kitchen --fastness poor", "is no place"),
        ("--place direct_son --fastness poor", "did you mean direct_sun?"),
        ("--place dark --fastness pore", "did you mean poor"),
        ("--place dark --fastness class 9", "class 1 to class 8"),
        ("--place dark --fastness class 0", "class 1 to class 8"),
        ("--place dark --lux 500", "has no unit"),
        ("--place dark --lux 5,5 lx", "decimal comma"),
        ("--place dark --lux -5 lx", "cannot be"),
        ("--place dark --lux 9000000 lx", "cannot be"),
        ("--place dark --hours 25h", "0 to 24 h"),
        ("--place dark --hours 3", "has no unit"),
        ("--place dark --uv some", "invalid choice"),
        ("--place dark --product oil_varnish", "fastness is not known"),
        ("--place dark --product xyzzy", "names no product"),
        ("--place dark --product water_dye --fastness poor", "--product or --fastness"),
    ],
)
def test_bad_light_is_refused_in_one_line(refused, words, says):  # noqa: F811
    assert says in refused("light", *words.split())


@pytest.mark.parametrize("fastness", ["permanent", "class 8"])
@pytest.mark.parametrize("place", ["direct_sun", "outdoors"])
def test_the_end_of_the_scale_is_no_claim_of_months(reckon, place, fastness):  # noqa: F811
    told = reckon("light", "--place", place, "--fastness", fastness)
    assert remark(told, "lasts")["holds"] and "at least so fast" in remark(told, "lasts")["says"]
    assert "Wood and binder change before" in remark(told, "wood_first")["says"]
    assert remark(reckon("light", "--place", place, "--fastness", "poor"), "wood_first") is None


def test_a_wood_is_told_with_its_own_change(reckon, refused):  # noqa: F811
    cherry = remark(reckon("light", "--place", "direct_sun", "--product", "pigment_stain", "--wood", "cherry"), "wood")
    assert "darkens in light" in cherry["says"] and not cherry["holds"]
    alone = reckon("light", "--place", "direct_sun", "--wood", "walnut")
    assert "pales" in remark(alone, "wood")["says"] and remark(alone, "fastness") is None
    assert "names no wood" in refused("light", "--place", "direct_sun", "--wood", "xyzzy")
