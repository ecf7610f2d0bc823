"""The outside check: published cases with settled causes. Their source stands in each file.

They were at hand while the knowledge was written, so they show that it can say and settle them, not how it does on
cases that nobody prepared for.
"""

from pathlib import Path

import pytest
import shipped

from diagnose.case import read_case, read_cases
from diagnose.expectation import failed, tally
from diagnose.yamltree import parse

DIAGNOSER = shipped.diagnoser()
FIELD = Path(__file__).resolve().parents[1] / "cases" / "field"


def diagnosed(text):
    return DIAGNOSER.diagnose(read_case(parse(text, "case.yaml"), DIAGNOSER.knowledge))


def test_field_cases_have_their_settled_cause_in_the_first_three():
    diagnoser = DIAGNOSER
    diagnoses = [
        diagnoser.diagnose(c) for path in sorted(FIELD.glob("*.yaml")) for c in read_cases(path, diagnoser.knowledge)
    ]
    assert len(diagnoses) >= 47
    assert {d.case.id: failed(d) for d in diagnoses if failed(d)} == {}
    assert all(d.case.source and d.case.notes for d in diagnoses)
    counted = tally(diagnoses)
    assert counted.cases == len(diagnoses) == counted.in_three
    # "almost certain" must not be wrong, whatever else is
    for diagnosis in diagnoses:
        if diagnosis.first.word == "almost certain":
            assert diagnosis.first.id in {*diagnosis.case.expect.first, *diagnosis.case.expect.in_first_three}


# Plain statements of a fault with nothing looked at more closely, and the cause a finisher would think of first (common
# practice); None where the trouble is none that this base knows.
BARE = {
    "cold_slows_drying": "{air: {temperature: 64 F}, steps: [{do: clear_coat, product: oil_polyurethane}], "
    "findings: {complaint: film_soft}}",
    "oil_under_coat_not_cured": "{steps: [{do: oil, product: drying_oil, excess: left, dried: 1 day}, "
    "{do: clear_coat, product: oil_polyurethane}], findings: {complaint: film_soft}}",
    "moisture_blush": "{air: {humidity: 85 %, temperature: 30 C}, steps: [{do: clear_coat, "
    "product: nitrocellulose_lacquer, applied: spray}], findings: {complaint: haze, noticed: next_coat}}",
    "no_key_between_coats": "{steps: [{do: clear_coat, product: catalysed_varnish}, {do: sanding, grit: 320, paper: worn}, "
    "{do: clear_coat, product: catalysed_varnish}], findings: {complaint: film_loose, noticed: long_after}}",
    "hot_solvent_over_soft_coat": "{steps: [{do: sealer, product: nitrocellulose_lacquer}, {do: glaze, product: oil_stain, "
    "dried: 24 h}, {do: clear_coat, product: acrylic_lacquer}], findings: {complaint: film_flawed, noticed: next_coat}}",
    "grease_wax_silicone": "{piece: {wood: maple, state: refinished}, steps: [{do: stripping}, {do: sanding}, "
    "{do: colourant, product: oil_stain, dried: 24 h}, {do: clear_coat, product: oil_polyurethane}], "
    "findings: {complaint: film_flawed, film_flaw: craters, noticed: next_coat, how_many: all_over}}",
    "white_heat_or_water_ring": "{piece: {wood: oak}, findings: {complaint: marked, noticed: long_after}}",
}
OUTSIDE = {
    "worm holes": "{piece: {wood: oak, age: 3 years}, findings: {complaint: marked, noticed: long_after}}",
    "tarnished leaf": "{piece: {wood: basswood}, findings: {complaint: something_else, noticed: long_after}}",
    "paint under masking tape": "{steps: [{do: paint, product: waterborne_paint}], findings: {complaint: uneven_colour, "
    "noticed: first_wet, pattern: smears}}",
    "warped top": "{piece: {wood: oak, form: solid}, findings: {complaint: something_else, noticed: days_after}}",
}


@pytest.mark.parametrize("right, text", BARE.items(), ids=BARE)
def test_a_bare_statement_leads_to_the_usual_suspect_but_not_to_certainty(right, text):
    first, *_ = [row for row in diagnosed(text).ranking if row.cause]
    assert first.id == right
    assert first.probability < 0.8


@pytest.mark.parametrize("text", OUTSIDE.values(), ids=OUTSIDE)
def test_a_trouble_that_the_base_does_not_know_makes_nothing_likely(text):
    first, *_ = [row for row in diagnosed(text).ranking if row.cause]
    assert first.probability < 0.5


def test_the_tally_counts_what_it_says():
    diagnoser = DIAGNOSER
    from diagnose.case import Case, Expect

    nothing_said = diagnoser.diagnose(Case("empty", expect=Expect(first=("unlisted",))))
    counted = tally([nothing_said, diagnoser.diagnose(Case("no expectation"))])
    assert (counted.cases, counted.first, counted.in_three) == (1, 1, 1)
    expected = sum((row.probability - (row.id == "unlisted")) ** 2 for row in nothing_said.ranking)
    assert counted.brier == expected
    assert tally([diagnoser.diagnose(Case("no expectation"))]) is None


def test_shipped_cases_come_to_what_they_say():
    """The invented demonstrations: one for each family, and one whose cause is not in the base."""
    diagnoser = DIAGNOSER
    shipped = sorted(FIELD.parent.glob("*.yaml"))
    diagnoses = [diagnoser.diagnose(c) for path in shipped for c in read_cases(path, diagnoser.knowledge)]
    assert all(d.case.invented for d in diagnoses)
    assert {d.case.id: failed(d) for d in diagnoses if failed(d)} == {}
    families = {d.first.cause.family for d in diagnoses if d.first.cause and d.first.probability >= 0.8}
    assert families == set(diagnoser.knowledge.families)
