"""The outside check: published cases with settled causes. Their source stands in each file.

They were at hand while the knowledge was written, so they show that it can say and settle them, not how it does on
cases that nobody prepared for.
"""

from pathlib import Path

from diagnose.case import read_cases
from diagnose.diagnosis import Diagnoser
from diagnose.expectation import failed, tally
from diagnose.load import load

FIELD = Path(__file__).resolve().parents[1] / "cases" / "field"


def test_field_cases_have_their_settled_cause_in_the_first_three():
    diagnoser = Diagnoser(load())
    diagnoses = [
        diagnoser.diagnose(c) for path in sorted(FIELD.glob("*.yaml")) for c in read_cases(path, diagnoser.knowledge)
    ]
    assert len(diagnoses) >= 24
    assert {d.case.id: failed(d) for d in diagnoses if failed(d)} == {}
    assert all(d.case.source and d.case.notes for d in diagnoses)
    counted = tally(diagnoses)
    assert counted.cases == len(diagnoses) == counted.in_three
    # "almost certain" must not be wrong, whatever else is
    for diagnosis in diagnoses:
        if diagnosis.first.word == "almost certain":
            assert diagnosis.first.id in diagnosis.case.expect.in_first_three


def test_troubles_outside_the_families_are_never_called_likely():
    """Plain statements of faults whose cause is not in this base (common practice): nothing may stand as likely."""
    diagnoser = Diagnoser(load())
    from diagnose.case import read_case
    from diagnose.yamltree import parse

    strangers = {
        "tacky in a cold shop": "{air: {temperature: 64 F}, steps: [{do: clear_coat, product: oil_polyurethane}], "
        "findings: {complaint: film_soft}}",
        "oil left under varnish": "{steps: [{do: oil, product: drying_oil, excess: left, dried: 1 day}, "
        "{do: clear_coat, product: oil_polyurethane}], findings: {complaint: film_soft}}",
        "moisture blush": "{air: {humidity: 85 %, temperature: 30 C}, steps: [{do: clear_coat, "
        "product: nitrocellulose_lacquer, applied: spray}], findings: {complaint: haze, noticed: next_coat}}",
        "hot plate": "{piece: {wood: oak}, findings: {complaint: marked, noticed: long_after}}",
        "coats parting": "{steps: [{do: clear_coat, product: catalysed_varnish}, {do: sanding, grit: 320, paper: worn}, "
        "{do: clear_coat, product: catalysed_varnish}], findings: {complaint: film_loose, noticed: long_after}}",
        "fisheyes": "{piece: {wood: maple, state: refinished}, steps: [{do: stripping}, {do: sanding}, "
        "{do: colourant, product: oil_stain, dried: 24 h}, {do: clear_coat, product: oil_polyurethane}], "
        "findings: {complaint: film_flawed, noticed: next_coat, how_many: all_over}}",
        "wrinkled glaze": "{steps: [{do: sealer, product: nitrocellulose_lacquer}, {do: glaze, product: oil_stain, "
        "dried: 24 h}, {do: clear_coat, product: acrylic_lacquer}], findings: {complaint: film_flawed, noticed: next_coat}}",
    }
    for name, text in strangers.items():
        diagnosis = diagnoser.diagnose(read_case(parse(text, name), diagnoser.knowledge))
        top = next(row for row in diagnosis.ranking if row.cause)
        assert top.probability < 0.5, f"{name}: {top.id} {top.probability:.2f}"


def test_the_tally_counts_what_it_says():
    diagnoser = Diagnoser(load())
    from diagnose.case import Case, Expect

    nothing_said = diagnoser.diagnose(Case("empty", expect=Expect(first=("unlisted",))))
    counted = tally([nothing_said, diagnoser.diagnose(Case("no expectation"))])
    assert (counted.cases, counted.first, counted.in_three) == (1, 1, 1)
    expected = sum((row.probability - (row.id == "unlisted")) ** 2 for row in nothing_said.ranking)
    assert counted.brier == expected
    assert tally([diagnoser.diagnose(Case("no expectation"))]) is None


def test_shipped_cases_come_to_what_they_say():
    """The invented demonstrations: one for each family, and one whose cause is not in the base."""
    diagnoser = Diagnoser(load())
    shipped = sorted(FIELD.parent.glob("*.yaml"))
    diagnoses = [diagnoser.diagnose(c) for path in shipped for c in read_cases(path, diagnoser.knowledge)]
    assert all(d.case.invented for d in diagnoses)
    assert {d.case.id: failed(d) for d in diagnoses if failed(d)} == {}
    families = {d.first.cause.family for d in diagnoses if d.first.cause and d.first.probability >= 0.8}
    assert families == set(diagnoser.knowledge.families)
