"""`explain` knows every name of every kind, and for a name that is off it offers the nearest."""

import json

import pytest
import shipped

from diagnose.complaint import Complaint
from diagnose.explain import _tables, entries, explain_json, outlines
from diagnose.flaws import CODES
from diagnose.report_text import explanation

KNOWLEDGE = shipped.knowledge()


def test_every_thing_of_every_kind_has_something_to_say():
    kinds = set()
    for things, of in _tables(KNOWLEDGE):
        for thing in things.values():
            entry = of(KNOWLEDGE, thing)
            kinds.add(entry.kind)
            assert entry.title and entry.sections, entry.id
            assert all(title and sentences and all(sentences) for title, sentences in entry.sections), entry.id
    assert kinds >= {
        *("cause", "finding", "condition", "remedy", "material", "wood", "caution", "term", "family", "step"),
        *("way of asking", "strategy", "source", "attribute"),
    }


@pytest.mark.parametrize("code", sorted(CODES))
def test_every_audit_code_is_explained(code):
    assert [entry.kind for entry in entries(KNOWLEDGE, code)] == ["audit code"]


def test_rules_are_explained_by_their_name_or_its_beginning():
    names = KNOWLEDGE.rule_names()
    for name in names[:: len(names) // 20]:
        found = entries(KNOWLEDGE, name)
        assert [entry.kind for entry in found] == ["rule"] and found[0].id == name
    begun = entries(KNOWLEDGE, "water_over_water_soluble_colour/1")
    assert len(begun) > 1 and all(e.id.startswith("water_over_water_soluble_colour/1/") for e in begun)


def test_terminal_and_json_say_the_same_sentences():
    for name in ("dye_lifted_by_water", "hard_maple", "damp_rag_takes_colour", "colourant", "blotch"):
        text = " ".join(explanation(outlines(KNOWLEDGE, name), 96).split())
        for entry in json.loads(explain_json(KNOWLEDGE, name))["entries"]:
            for section in entry["sections"]:
                assert all(" ".join(says.split()) in text for says in section["says"])


@pytest.mark.parametrize(
    "name", ["dye_lifted_by_watr", "lifted", "water_over_water_soluble_colour/99", "lap marks x", ""]
)
def test_a_name_that_is_off_is_answered_with_near_ones(name):
    with pytest.raises(Complaint) as refused:
        entries(KNOWLEDGE, name)
    assert refused.value.accepted


@pytest.mark.parametrize("width", [40, 60, 96])
def test_it_keeps_to_the_width(width):
    for name in ("stain_set_before_wiping", "lifting", "which_finish_drops", "sanding"):
        assert all(len(line) <= width for line in explanation(outlines(KNOWLEDGE, name), width).splitlines())
