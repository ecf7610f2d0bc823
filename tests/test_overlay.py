"""A shop's own knowledge laid over another: it adds, it replaces, and it is shown as the shop's wherever it speaks."""

import json
from pathlib import Path

import pytest
from conftest import write_knowledge

from diagnose.audit import audit
from diagnose.case import read_case
from diagnose.complaint import Complaint
from diagnose.diagnosis import Diagnoser
from diagnose.explain import explain_json, outlines
from diagnose.load import load
from diagnose.model import OWN
from diagnose.report_text import explanation, report
from diagnose.yamltree import parse

CASE = "steps: [{do: colourant, product: water_dye}, {do: clear_coat, product: water_varnish}]\nfindings: {%s}\n"
LIFTED = """\
name: Ours - water takes up the dye
family: lifting
often: rare
often source: common practice
mechanism: In our shop it is the hard water.
source: handbook
evidence:
  - {answer: rag_takes_colour, weights: {yes: fair for}, because: Our rag., source: common practice}
remedies: [{do: barrier, cures: usually, because: It stops the water., source: common practice}]
prevention: [{advice: Seal the dye., because: So., uses: [shellac], source: common practice}]
"""


@pytest.fixture
def shop(tmp_path):
    """Writes files into the shop's folder and loads the small base with it laid over."""
    base = write_knowledge(tmp_path / "base")
    own = tmp_path / "own"

    def laid(**files):
        for name, text in files.items():
            path = own / (name.replace("__", "/") + ".yaml")
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text)
        return load(base, own)

    laid.base, laid.own = base, own
    return laid


def diagnose(knowledge, findings):
    return Diagnoser(knowledge).diagnose(read_case(parse(CASE % findings, "case.yaml"), knowledge))


def test_a_cause_of_the_same_name_takes_the_place_of_the_shipped_one(shop):
    knowledge = shop(causes__colour__dye_lifted=LIFTED)
    assert knowledge.causes["dye_lifted"].name.startswith("Ours")
    assert knowledge.own["dye_lifted"] == "in place of the shipped one"
    row = next(r for r in diagnose(knowledge, "rag_takes_colour: yes").ranking if r.id == "dye_lifted")
    assert row.weight == -14 + 5 and {OWN in entry.source for entry in row.ledger} == {True}


def test_it_may_lie_under_another_stage(shop):
    knowledge = shop(causes__coat__dye_lifted=LIFTED)
    assert knowledge.causes["dye_lifted"].stage == "coat" and len(knowledge.causes) == 2


def test_new_entries_are_added_and_shown_as_the_shops_own(shop):
    knowledge = shop(
        materials__ours="tea: {name: tea, traits: {carrier: water, redissolves_in: water}, source: common practice}",
        causes__colour__tea_lifted=LIFTED.replace("rare", "common").replace("fair for", "decisive for"),
    )
    assert "tea" in knowledge.materials and knowledge.own["tea_lifted"] == "added"
    said = explanation(outlines(knowledge, "tea_lifted"), 80)
    assert f"{OWN} knowledge, added" in said and OWN not in explanation(outlines(knowledge, "dye_lifted"), 80)
    assert json.loads(explain_json(knowledge, "tea_lifted"))["entries"][0]["own"] == "added"
    text = " ".join(report(diagnose(knowledge, "rag_takes_colour: yes")).split())
    assert f"Our rag. [common practice ({OWN})]" in text


def test_findings_conditions_and_remedies_are_replaced_by_name(shop):
    knowledge = shop(
        findings__ours="rag_takes_colour: {question: Ours?, short: ours, kind: look, source: common practice}",
        conditions__ours="conditions: {dry_schedule: {says: Ours., rules: [{when: {piece: {form: solid}}, then: holds, "
        "because: So., source: common practice}]}}",
        remedies__ours="barrier: {name: Our barrier, do: [Ours.], effort: 1 min, harm: none, because: So., source: handbook}",
    )
    assert knowledge.findings["rag_takes_colour"].question == "Ours?"
    assert knowledge.conditions["dry_schedule"].says == "Ours."
    assert sum(rule.then[1:2] == ("dry_schedule",) for rule in knowledge.rules) == 1
    assert knowledge.remedies["barrier"].name == "Our barrier"
    assert len(knowledge.findings) == 2 and "water_over_colour" in knowledge.conditions


def test_single_tables_are_laid_over_entry_by_entry(shop):
    knowledge = shop(scale="priors: {common: -5}", strategy="rules: {patience: {figure: 9}}\nopening: [complaint]")
    assert knowledge.causes["dye_lifted"].prior == -5 and knowledge.causes["streaked"].prior == -14
    assert knowledge.strategies["patience"].figure == 9 and knowledge.opening == ("complaint",)
    assert knowledge.own["priors"] == "changed"


def test_the_version_tells_the_shops_own_knowledge_apart(shop):
    alone = load(shop.base).version
    assert shop(scale="priors: {common: -5}").version != alone


def test_exemptions_are_joined_and_the_audit_runs_the_shops_examples(shop):
    shop(
        causes__colour__tea_lifted=LIFTED,
        exemptions="[{code: no-look-alikes, of: tea_lifted, because: It is alone.}]",
    )
    example = "findings: {complaint: haze}\nexpect: {first: tea_lifted}\n"
    (shop.own / "causes/colour/tea_lifted.cases.yaml").write_text(example)
    flaws = audit(shop.base, shop.own)
    assert [f.what for f in flaws if f.code == "example-fails"] == [
        "tea_lifted.cases: expected tea_lifted first, found unlisted"
    ]
    assert not [f for f in flaws if f.code == "no-look-alikes" and f.of == "tea_lifted"]


@pytest.mark.parametrize(
    "name, text, what",
    [
        ("finding__ours", "a: b", "lies in no part of a knowledge folder"),
        ("scales", "a: b", "is no file of a knowledge folder"),
        ("findings__ours", "a: {short: b}", "question"),
        ("scale", "priors: {common: much}", "is not a number"),
    ],
)
def test_what_cannot_be_read_is_told_with_its_place(shop, name, text, what):
    with pytest.raises(Complaint, match=what) as told:
        shop(**{name: text})
    assert str(shop.own / name.replace("__", "/")) in str(told.value)


def test_a_folder_that_is_not_there(shop):
    with pytest.raises(Complaint, match="is not a folder"):
        load(shop.base, Path("nowhere"))
