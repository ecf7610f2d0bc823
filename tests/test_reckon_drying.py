"""`diagnose reckon drying`, and what drying and film give the rules: laws, worked examples, what a user meets."""

from __future__ import annotations

from math import sqrt

import pytest
import shipped
from hypothesis import given, settings
from hypothesis import strategies as st
from test_reckon_air import reckon, refused, remark  # noqa: F401, the fixtures of the command

from diagnose import drying
from diagnose.case import read_case
from diagnose.tables import table
from diagnose.yamltree import parse

HOUR = 3600.0
QUICK = settings(max_examples=150, deadline=None, derandomize=True)
CARRIERS = st.lists(st.sampled_from(["water", "glycol_ether", "alcohol", "hydrocarbon"]), max_size=2)
FILMS = st.one_of(st.none(), st.sampled_from(["mist", "thin", "normal", "heavy"]), st.floats(20e-6, 400e-6))


def span(temperature=None, humidity=None, coat=None, carriers=()):
    return drying.needed_range(1.0, drying.influences(temperature, humidity, coat, carriers))


@given(st.floats(-10, 40), st.floats(-10, 40), st.floats(0, 1), FILMS, CARRIERS)
@QUICK
def test_warmer_never_lengthens(one, other, humidity, coat, carriers):
    cold, warm = sorted((one, other))
    for longer, shorter in zip(span(cold, humidity, coat, carriers), span(warm, humidity, coat, carriers)):
        assert longer >= shorter >= 1


@given(st.floats(0, 40), st.floats(0, 1), st.floats(0, 1), FILMS, CARRIERS)
@QUICK
def test_damper_never_shortens_and_leaves_other_carriers_alone(temperature, one, other, coat, carriers):
    dry, damp = sorted((one, other))
    for longer, shorter in zip(span(temperature, damp, coat, carriers), span(temperature, dry, coat, carriers)):
        assert longer >= shorter
    if not {"water", "glycol_ether"} & set(carriers):
        assert span(temperature, damp, coat, carriers) == span(temperature, None, coat, carriers)


@given(st.floats(20e-6, 400e-6), st.floats(20e-6, 400e-6))
@QUICK
def test_thicker_never_shortens(one, other):
    thin, thick = sorted((one, other))
    for longer, shorter in zip(span(coat=thick), span(coat=thin)):
        assert longer >= shorter


@given(st.floats(-10, 40), st.floats(0, 1), FILMS, CARRIERS)
@QUICK
def test_the_time_that_feeds_the_rules_lies_in_the_range(temperature, humidity, coat, carriers):
    least, most = span(temperature, humidity, coat, carriers)
    middle = drying.needed_time(1.0, temperature, humidity, coat, carriers)
    assert least * (1 - 1e-9) <= middle <= most * (1 + 1e-9) and middle == pytest.approx(sqrt(least * most))


def test_influences_by_hand():
    """10 C under 20 C: 1.6 to 2.5, about double. 75 % against 50 % RH: up to 0.5/0.25 = 2. Twice as thick: 2 to 4."""
    assert span(10) == pytest.approx((1.6, 2.5)) and drying.needed_time(1, 10) == pytest.approx(2)
    assert span(20, 0.75, None, ["water"]) == pytest.approx((1, 2))
    assert span(20, 1.0, None, ["water"])[1] == pytest.approx(10)  # never without end
    assert span(coat=2 * 101.6e-6) == pytest.approx((2, 4)) and span(coat="heavy") == pytest.approx((1.5, 4))
    assert span(20, 0.5, "normal", ["water"]) == (1, 1) == span()


def test_a_published_find_lies_within_the_range():
    """Polymer in water was found to dry alike at 25 and 90 % RH (Physical Review Letters 131, 248102): factor 1; free
    water leaves by the deficit of vapour, at 90 % a fifth as fast as at 50 %: factor 5."""
    least, most = span(20, 0.90, None, ["water"])
    assert least <= 1 and most >= 4.999


# What `reckon drying` says.


def test_the_sum_is_what_feeds_the_rules(reckon):  # noqa: F811
    told = reckon("drying", *["--stated", "24h", "--air", "12C", "85%", "--film", "heavy", "--carrier", "water"])
    found = drying.influences(12, 0.85, "heavy", ["water"])
    least, most = (end / HOUR for end in drying.needed_range(24 * HOUR, found))
    assert told["needed"] == {"low": pytest.approx(least, rel=1e-3), "high": pytest.approx(most, rel=1e-3), "unit": "h"}
    assert told["damp"]["high"] == pytest.approx(0.5 / 0.15, rel=1e-3)
    assert remark(told, "fit")["holds"] is False
    assert told == reckon(
        "drying", *["--stated", "1day", "--air", "53.6F,85%", "--film", "heavy", "--carrier", "water"]
    )


def test_a_product_brings_time_and_carrier(reckon):  # noqa: F811
    told = reckon("drying", "--product", "waterborne_acrylic", "--air", "20C", "75%")
    assert told["needed"] == {"low": 3.0, "high": 6.0, "unit": "h"}  # 3 h on the label; 0.5/0.25 at 75 %
    oil = reckon("drying", "--product", "oil varnish", "--air", "20C", "75%")
    assert oil["needed"] == {"low": 24.0, "high": 24.0, "unit": "h"}


@pytest.mark.parametrize(
    "waited, enough, word", [("20h", False, "too short"), ("50h", False, "may be"), ("61h", True, "enough")]
)
def test_waited_long_enough(reckon, waited, enough, word):  # noqa: F811
    """24 h at 10 C: 38.4 to 60 h."""
    told = remark(reckon("drying", *f"--stated 24h --air 10C --waited {waited}".split()), "waited")
    assert told["holds"] is enough and word in told["says"]


@pytest.mark.parametrize(
    "words, air, coat, why",
    [
        ("--product shellac", "20C 90%", "shellac", "blushes"),
        ("--product precat_lacquer", "20C 90%", "catalysed", "blushes"),
        ("--stated 1h --carrier water", "20C 100%", "waterborne", "too damp"),
        ("--stated 1h --carrier water", "8C 60%", "waterborne", "do not flow together"),
        ("--stated 1h", "20C 96%", None, "too damp"),
    ],
)
def test_no_wait_is_enough_in_air_that_is_not_fit(reckon, words, air, coat, why):  # noqa: F811
    told = reckon("drying", *words.split(), "--air", *air.split(), "--waited", "20h")
    assert remark(told, "waited")["holds"] is False and "cannot be called enough" in remark(told, "waited")["says"]
    alone = reckon("air", *air.split(), *(("--coat", coat) if coat else ()))
    for name in ("fit", "do"):  # the same function, the same words
        assert remark(told, name) == remark(alone, name) and remark(told, name)["holds"] is False
    assert why in remark(told, "fit")["says"]


def test_cold_asks_for_warmth_and_not_for_waiting_as_well(reckon):  # noqa: F811
    for air in ("8C", "8C 60%"):
        told = reckon("drying", *f"--stated 1h --carrier water --air {air} --waited 2h".split())
        assert not any("wait up to" in row["says"] for row in told["remarks"])


def test_water_does_not_dry_in_air_that_is_full_of_it(reckon):  # noqa: F811
    full, damp = (reckon("drying", *f"--stated 1h --carrier water --air 20C {h}%".split()) for h in (100, 70))
    assert "does not dry" in remark(full, "no_drying")["says"] and remark(damp, "no_drying") is None


def test_warmth_and_dry_air_are_said_to_be_no_gain(reckon):  # noqa: F811
    told = reckon("drying", *["--stated", "4h", "--air", "30C", "30%", "--carrier", "water"])
    assert told["needed"]["high"] == 4 and remark(told, "no_gain")


@pytest.mark.parametrize(
    "words, says",
    [
        ("", "which time"),
        ("--stated 24", "has no unit"),
        ("--stated 0h", "no time at all"),
        ("--stated -3h", "cannot be"),
        ("--stated 1,5h", "decimal comma"),
        ("--stated 24h --air 12", "has no unit"),
        ("--stated 24h --air 12,5C 85%", "decimal comma"),
        ("--stated 24h --air 12C 130%", "between 0 and 100 %"),
        ("--stated 24h --air 12C 13C", "too much"),
        ("--stated 24h --air 85% 90%", "unit that does not fit"),
        ("--stated 24h --air warm", "is not a quantity"),
        ("--stated 24h --film hevy", "did you mean heavy?"),
        ("--stated 24h --film 100", "has no unit"),
        ("--stated 24h --film 0um", "is nothing"),
        ("--stated 24h --carrier watr", "did you mean water?"),
        ("--product water", "needs dry is not known"),
        ("--product xyzzy", "names no product"),
    ],
)
def test_bad_drying_is_refused_in_one_line(refused, words, says):  # noqa: F811
    assert says in refused("drying", *words.split())


# What drying and film give the rules.


def facts_of(text: str) -> set:
    diagnoser = shipped.diagnoser()
    diagnosis = diagnoser.diagnose(read_case(parse(text, "case.yaml"), diagnoser.knowledge))
    return set(diagnosis.store.facts)


@pytest.mark.parametrize(
    "air, film, dried, enough",
    [
        ("{temperature: 20 C}", "", "3 h", "yes"),
        ("{temperature: 20 C, humidity: 50 %}", "", "3 h", "yes"),
        ("{temperature: 20 C, humidity: 85 %}", "", "3 h", None),  # at the middle 1.8 times as long
        ("{temperature: 20 C, humidity: 85 %}", "", "6 h", "yes"),
        ("{temperature: 20 C, humidity: 85 %}", "", "2 h", "no"),
        ("{temperature: 10 C, humidity: 85 %}", "", "5 h", "no"),
        ("{}", ", wet_film: 8 mil", "6 h", None),  # twice the usual: 2 to 4 times as long
        ("{}", ", wet_film: 8 mil", "9 h", "yes"),
        ("{}", ", coat: heavy", "3 h", "yes"),  # left to the conditions
    ],
)
def test_dried_enough_asks_for_more_in_damp_and_under_thick_films(air, film, dried, enough):
    step = f"{{do: clear_coat, product: waterborne_acrylic, dried: {dried}{film}}}"
    facts = facts_of(f"air: {air}\nsteps: [{step}]")
    assert {fact[3] for fact in facts if fact[0] == "step" and fact[2] == "dried_enough"} == (
        {enough} if enough else set()
    )


def test_damp_says_nothing_of_what_no_water_carries():
    facts = facts_of(
        "air: {temperature: 20 C, humidity: 95 %}\nsteps: [{do: clear_coat, product: oil_varnish, dried: 24 h}]"
    )
    assert ("step", 1, "dried_enough", "yes") in facts


COAT = "{do: clear_coat, product: precat_lacquer, wet_film: %s, solids: %s}"


@pytest.mark.parametrize(
    "steps, over",
    [
        ([COAT % ("100 um", "30 %")] * 2, "no"),  # 60 um
        ([COAT % ("100 um", "30 %")] * 3, None),  # 90 um: past the stricter limit only
        ([COAT % ("6 mil", "35 %")] * 3, "yes"),  # 160 um
        ([COAT % ("6 mil", "35 %")] * 3 + ["{do: clear_coat}"], "yes"),  # thicker still, whatever that was
        ([COAT % ("100 um", "30 %"), "{do: clear_coat}"], None),  # that may have been thick
        (["{do: unknown_coat}", COAT % ("100 um", "30 %")], None),
        (["{do: colourant, product: water_dye}", COAT % ("100 um", "30 %")], "no"),  # a dye has no film
        ([COAT % ("6 mil", "35 %")] * 3 + ["{do: stripping}", COAT % ("100 um", "30 %")], "no"),
        (["{do: clear_coat, wet_film: 300 um, solids: 60 %}"], None),  # nobody knows what it was
    ],
)
def test_the_build_is_summed_over_the_layers_that_lie(steps, over):
    facts = facts_of("steps:\n" + "".join(f"- {step}\n" for step in steps))
    assert {fact[2] for fact in facts if fact[:2] == ("piece", "over_built")} == ({over} if over else set())
    holds = {fact[2] for fact in facts if fact[:2] == ("condition", "film_over_limit")}
    assert holds == {"yes": {"holds"}, "no": {"ruled_out"}, None: set()}[over]


def test_the_dry_film_rests_on_wet_film_and_solids():
    diagnoser = shipped.diagnoser()
    case = read_case(parse("steps: [" + COAT % ("4 mil", "30 %") + "]", "case.yaml"), diagnoser.knowledge)
    trace = diagnoser.diagnose(case).trace
    fact = ("step", 1, "dry_film", 3.048e-05)  # 4 mil at 30 %: 1.2 mil
    assert set(trace[fact].premises) == {("step", 1, "wet_film", 0.0001016), ("step", 1, "solids", 0.3)}


def test_a_comb_reading_of_six_mil_is_a_heavy_coat():
    facts = facts_of("steps: [{do: clear_coat, product: oil_varnish, wet_film: 6 mil}]")
    assert ("step", 1, "coat", "heavy") in facts and ("condition", "heavy_coat_laid", "holds") in facts
    assert ("step", 1, "coat", "heavy") not in facts_of(
        "steps: [{do: clear_coat, product: oil_varnish, wet_film: 4 mil}]"
    )


def test_all_rows_of_the_tables_say_what_they_rest_on():
    for name in ("drying", "film", "cups", "light", "coating_air", "wood_moisture", "wood_movement"):
        for row in rows(table(name)):
            assert row["basis"] in ("published", "computed", "memory", "common practice") and row["source"], (name, row)


def rows(value):
    """Every table that claims a basis or a source."""
    if isinstance(value, dict):
        if "basis" in value or "source" in value:
            yield value
        for inner in value.values():
            yield from rows(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from rows(inner)
