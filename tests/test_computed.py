"""What is computed: right by published figures, traceable, and silent where something is not known."""

from __future__ import annotations

from math import sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.air import dew_point
from diagnose.drying import needed_time
from diagnose.evaporation import evaporation_class, relative_rate
from diagnose.light import dose, fade_due, first_fade
from diagnose.tables import table
from diagnose.trace import trace_of

HOUR, DAY = 3600.0, 86400.0


def relations(run, *names) -> set:
    return {fact for fact in run.reckoned if fact[0] in names}


def told(run, attribute: str) -> set:
    """What is known in the end of this attribute of any step."""
    return {fact for fact in run.facts if fact[0] == "step" and fact[2] == attribute}


# Dew point, by shared/air.yaml, whose rows name their sources. The first column was computed as the program computes;
# the others were not (a second library; the Magnus form with the constants of Alduchov and Eskridge, 1996, and of the
# World Meteorological Organization), so only they can find it wrong. Below 0 C the program means frost, they do not.

ROWS = [row for row in table("air")["dew_and_wet_bulb_table"] if float(row["dew_point_C"]) > 0]


def test_the_table_of_dew_points_is_worth_testing_against():
    assert len(ROWS) >= 25
    assert all(row["source"] and row["also"] for row in table("air")["dew_and_wet_bulb_table"])


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['dry_bulb_F']}F-{row['rh_pct']}")
def test_dew_point_is_within_a_tenth_of_a_degree(row):
    humidity = float(row["rh_pct"]) / 100
    exact = (float(row["dry_bulb_F"]) - 32) / 1.8  # the rows were computed at whole degrees Fahrenheit
    assert float(row["dry_bulb_C"]) == pytest.approx(exact, abs=0.06)
    for column in ("dew_point_C", "dew_point_C_coolprop", "dew_point_C_magnus_AE", "dew_point_C_magnus_WMO"):
        assert dew_point(exact, humidity) == pytest.approx(float(row[column]), abs=0.1), column


@given(st.floats(5, 40), st.floats(0.3, 1), st.floats(0.3, 1))
@settings(max_examples=200, deadline=None, derandomize=True)
def test_damper_air_has_the_higher_dew_point_and_never_one_above_itself(temperature, one, other):
    low, high = sorted((one, other))
    assert dew_point(temperature, low) <= dew_point(temperature, high) + 0.005
    assert dew_point(temperature, high) <= temperature + 0.005


def test_dew_point_and_margin_enter_with_what_they_were_computed_from(run):
    done = run("air: {temperature: 68 F, humidity: 60 %, surface: 14 C}")
    dew = ("air", "dew_point", 12.01)  # 20 C at 60 %: 12.0 C in any psychrometric table
    assert done.reckoned[dew] == (("air", "humidity", 0.6), ("air", "temperature", 20.0))
    assert done.reckoned[("air", "dew_margin", 1.99)] == (dew, ("air", "surface", 14.0))
    trace = trace_of(done.given, done.firings)
    assert [step.fact for step in trace.below([("air", "dew_margin", 1.99)])][-1] == ("air", "dew_margin", 1.99)


@pytest.mark.parametrize(
    "air",
    [
        "{temperature: 20 C}",
        "{humidity: 60 %}",
        "{temperature: 20 C, humidity: unknown}",
        "{}",
        "{surface: 10 C}",
        "{temperature: 20 C, humidity: 0 %}",
    ],
)
def test_no_dew_point_without_both(run, air):
    assert not relations(run(f"air: {air}"), "air")


def test_air_drier_than_any_does_no_harm(run):
    assert not relations(run("air: {temperature: -40 C, humidity: 0.001 %}"), "air")


# Evaporation, relative to n-butyl acetate = 1, by the rates and bounds of shared/evaporation.yaml.


@pytest.mark.parametrize(
    "carriers, retarder, speed",
    [
        ("alcohol", "no", "fast"),
        ("lacquer_solvents", "no", "fast"),
        ("water", "no", "slow"),
        ("hydrocarbon", "no", "slow"),
        ("glycol_ether", "no", "slow"),
        ("[alcohol, water]", "no", "medium"),
        ("lacquer_solvents", "yes", "medium"),
        ("alcohol", "yes", "medium"),
        ("[water, hydrocarbon]", "unknown", "slow"),
    ],
)
def test_evaporation_class_of_a_step(run, carriers, retarder, speed):
    done = run(f"steps: [{{do: sealer, carrier: {carriers}, retarder: {retarder}}}]")
    fact = ("step", 1, "evaporation", speed)
    assert told(done, "evaporation") == {fact}
    named = carriers.strip("[]").split(", ")
    expected = {("step", 1, "carrier", name) for name in named} | (
        {("step", 1, "retarder", "yes")} if retarder == "yes" else set()
    )
    assert set(done.reckoned[fact]) == expected


def test_evaporation_rests_on_the_carrier_that_a_material_brings(run):
    done = run("steps: [{do: sealer, product: shellac}, {do: sealer}, {do: sealer, carrier: none}]")
    assert told(done, "evaporation") == {("step", 1, "evaporation", "fast")}


def test_a_blend_is_the_geometric_mean_of_its_carriers_and_order_does_not_matter():
    rates = {name: float(row["rate"]) for name, row in table("evaporation")["carriers"].items()}
    assert relative_rate(["water"]) == pytest.approx(rates["water"])
    assert relative_rate(["water", "alcohol"]) == pytest.approx(sqrt(rates["water"] * rates["alcohol"]))
    assert relative_rate(["alcohol", "water", "water"]) == relative_rate(["water", "alcohol"])
    assert relative_rate(["alcohol", "none"]) == relative_rate(["alcohol"])
    assert relative_rate(["none"]) is None and relative_rate([]) is None
    factor = float(table("evaporation")["retarder"]["factor"])
    assert relative_rate(["alcohol"], retarder=True) == pytest.approx(rates["alcohol"] * factor)


def test_evaporation_classes_meet_at_their_bounds():
    classes = table("evaporation")["classes"]
    fast, slow = float(classes["fast_from"]["value"]), float(classes["slow_below"]["value"])
    assert [evaporation_class(rate) for rate in (fast, fast - 1e-9, slow, slow - 1e-9)] == [
        "fast",
        "medium",
        "medium",
        "slow",
    ]


# Drying: stated for 20 C, twice as long for each 10 C less (shared/drying.yaml).


@pytest.mark.parametrize("temperature, factor", [(20, 1), (10, 2), (0, 4), (15, sqrt(2)), (30, 1), (None, 1)])
def test_cold_doubles_drying_and_warmth_is_no_gain(temperature, factor):
    assert needed_time(6 * HOUR, temperature) == pytest.approx(6 * HOUR * factor)


@pytest.mark.parametrize(
    "dried, air, enough",
    [
        ("12 h", "{}", "yes"),
        ("11.9 h", "{}", "no"),
        ("23 h", "{temperature: 10 C}", "no"),
        ("24 h", "{temperature: 10 C}", "yes"),
        ("11.9 h", "{temperature: 35 C}", "no"),
        ("12 h", "{temperature: unknown}", "yes"),
    ],
)
def test_dried_enough(run, dried, air, enough):
    done = run(f"steps: [{{do: colourant, product: water_dye, dried: {dried}}}]\nair: {air}")
    (fact,) = [f for f in done.reckoned if f[2:3] == ("dried_enough",)]
    assert fact == ("step", 1, "dried_enough", enough)
    assert ("step", 1, "needs_dry", 12 * HOUR) in done.reckoned[fact]
    assert (("air", "temperature", 10.0) in done.reckoned[fact]) == ("10 C" in air)


def test_of_several_ingredients_the_slowest_sets_the_time(run):
    done = run("steps: [{do: sealer, ingredients: [shellac, water_varnish], dried: 2 h}]")
    fact = ("step", 1, "dried_enough", "no")
    assert done.reckoned[fact] == (("step", 1, "dried", 2 * HOUR), ("step", 1, "needs_dry", 3 * HOUR))


@pytest.mark.parametrize(
    "step",
    ["{do: sealer, dried: 2 h}", "{do: sealer, product: shellac}", "{do: sealer, product: shellac, dried: unknown}"],
)
def test_no_word_on_drying_without_both_times(run, step):
    assert not told(run(f"steps: [{step}]"), "dried_enough")


# Light, by the places and doses of shared/light.yaml.


def test_dose_is_light_times_hours_times_days():
    row = table("light")["places"]["inside_room"]
    expected = float(row["lux"]) * float(row["hours_a_day"]) * 365.2425 / 1e6
    assert dose("inside_room", 365.2425 * DAY) == pytest.approx(expected)
    assert dose("dark", 1e9) == 0


@pytest.mark.parametrize("place, column", [("direct_sun", "uv"), ("inside_room", "no_uv")])
def test_first_fade_asks_whether_the_light_has_ultraviolet(place, column):
    assert first_fade("poor", place) == tuple(float(v) for v in table("light")["fastness"]["poor"][column])


@pytest.mark.parametrize("fastness", sorted(table("light")["fastness"]))
def test_fading_is_due_past_the_band_not_due_well_before_it_and_open_between(fastness):
    low, high = first_fade(fastness, "direct_sun")
    day = dose("direct_sun", DAY)
    assert fade_due(fastness, "direct_sun", high / day * DAY * 1.0001) == "yes"
    assert fade_due(fastness, "direct_sun", low / 2 / day * DAY * 0.9999) == "no"
    assert fade_due(fastness, "direct_sun", low / 2 / day * DAY * 1.0001) is None
    assert fade_due(fastness, "direct_sun", high / day * DAY * 0.9999) is None
    assert fade_due(fastness, "dark", 1e9) == "no"


def test_fade_due_rests_on_place_age_and_fastness(run):
    done = run("piece: {place: direct_sun, age: 1 year}\nsteps: [{do: colourant, product: water_dye}, {do: sealer}]")
    fact = ("step", 1, "fade_due", "yes")
    assert told(done, "fade_due") == {fact}
    assert set(done.reckoned[fact]) == {
        ("step", 1, "fastness", "fugitive"),
        ("piece", "place", "direct_sun"),
        ("piece", "age", 31556952.0),
    }


@pytest.mark.parametrize("piece", ["{place: direct_sun}", "{age: 1 year}", "{place: unknown, age: 1 year}", "{}"])
def test_no_word_on_fading_without_place_and_age(run, piece):
    assert not told(run(f"piece: {piece}\nsteps: [{{do: colourant, product: water_dye}}]"), "fade_due")


# What the schedule does not contain.

NONES = ("none", "none_before", "none_after", "none_between")
DRY = ("none", "carrier", "water")


def test_nothing_listed_concludes_nothing(run):
    for text in ("piece: {}", "steps: []", "findings: {complaint: haze}"):
        assert not relations(run(text), *NONES)


@pytest.mark.parametrize(
    "steps, absent",
    [
        ("{do: sealer, carrier: alcohol}", True),
        ("{do: sealer, product: shellac}", True),
        ("{do: sanding}", True),  # sanding carries nothing: the attribute is not one of its own
        ("{do: sealer, carrier: water}", False),
        ("{do: sealer, product: water_varnish}", False),
        ("{do: sealer}", False),  # it may have held water, for all that is known
        ("{do: sealer, carrier: unknown}", False),
        ("{do: sealer, product: unknown}", False),
        ("{do: unknown_coat, carrier: alcohol}", False),  # whatever is said of it, it may have been more
        ("{do: sealer, carrier: alcohol}, {do: unknown_coat}", False),
        ("{do: sealer, carrier: alcohol}, {do: sealer}", False),
        ("{do: sealer, carrier: alcohol}, {do: sanding}", True),
    ],
)
def test_none_needs_every_step_to_be_known_without_it(run, steps, absent):
    done = run(f"steps: [{steps}]")
    assert (DRY in done.facts) is absent
    assert (("condition", "dry_schedule", "holds") in done.facts) is absent


def test_none_rests_on_every_step(run):
    done = run("steps: [{do: sealer, carrier: alcohol}, {do: sanding}]")
    assert set(done.reckoned[DRY]) == {
        ("step", 1, "do", "sealer"),
        ("step", 1, "carrier", "alcohol"),
        ("step", 2, "do", "sanding"),
    }


@pytest.mark.parametrize(
    "steps, before",
    [
        (["wetting", "colourant"], {1}),
        (["sanding", "colourant"], {1, 2}),
        (["colourant", "sanding", "colourant"], {1, 2, 3}),
        (["colourant", "sanding", "wetting", "colourant"], {1, 2, 3}),  # the wetting itself has none before it either
        (["unknown_coat", "colourant"], {1}),
    ],
)
def test_none_before_looks_at_earlier_steps_only(run, steps, before):
    done = run("steps:\n" + "".join(f"- {{do: {do}}}\n" for do in steps))
    found = {fact[1] for fact in relations(done, "none_before")}
    assert found == before
    colour = {n for n, do in enumerate(steps, 1) if do == "colourant"}
    assert (("condition", "first_wetting", "holds") in done.facts) is bool(colour & found)


@pytest.mark.parametrize(
    "steps, after",
    [
        ("{do: colourant, product: water_dye}, {do: sealer, product: shellac}", {1, 2}),
        ("{do: colourant}, {do: sealer, product: water_varnish}", {2}),
        ("{do: colourant}, {do: sealer}", {2}),  # the sealer may hold water, for all that is known
        ("{do: colourant}, {do: unknown_coat, carrier: alcohol}, {do: sealer, carrier: alcohol}", {2, 3}),
    ],
)
def test_none_after_looks_at_later_steps_only(run, steps, after):
    done = run(f"steps: [{steps}]")
    assert {fact[1] for fact in relations(done, "none_after")} == after
    assert (("condition", "no_water_later", "holds") in done.facts) is (1 in after)


@pytest.mark.parametrize(
    "steps, clear",
    [
        (["sealer", "clear_coat"], {(1, 0), (2, 1)}),
        (["sealer", "sanding", "clear_coat"], {(1, 0)}),
        (["sanding", "sealer", "clear_coat"], {(3, 2)}),
        (["sealer", "cleaning", "clear_coat", "sanding"], {(1, 0), (3, 1)}),
        (
            ["sealer", "unknown_coat", "clear_coat"],
            {(1, 0), (2, 1), (3, 2)},
        ),  # what might be anything is no neighbour's between
        (["sanding", "cleaning"], set()),
    ],
)
def test_none_between_looks_between_neighbouring_layers_only(run, steps, clear):
    done = run("steps:\n" + "".join(f"- {{do: {do}}}\n" for do in steps))
    found = {fact[1:3]: premises for fact, premises in done.reckoned.items() if fact[0] == "none_between"}
    assert set(found) == clear
    for (upper, lower), premises in found.items():
        inside = {("step", n, "do", steps[n - 1]) for n in range(lower + 1, upper)}
        assert set(premises) == {("over", upper, lower), *inside}


def test_every_computed_fact_rests_on_facts_of_the_case(run):
    done = run(
        "piece: {place: direct_sun, age: 2 years}\nair: {temperature: 12 C, humidity: 70 %, surface: 11 C}\n"
        "steps: [{do: sanding}, {do: colourant, product: water_dye, dried: 3 h}, {do: clear_coat, carrier: water}]"
    )
    names = {firing.rule for firing in done.computed}
    assert names == {
        f"reckon/{name}"
        for name in ("evaporation", "drying time", "light received", "dew point", "dew margin", "absent")
    }
    trace = trace_of(done.given, done.firings)
    for firing in done.computed:
        assert firing.premises and set(firing.premises) <= done.facts
        assert trace[firing.fact].premises == firing.premises


def test_a_step_that_has_it_is_never_passed_over(run):
    done = run("steps: [{do: sanding, product: water}]")
    assert ("step", 1, "carrier", "water") in done.facts
    assert DRY not in done.facts
