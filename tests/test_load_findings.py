"""Reading the questions: what else tells the same where one is not known."""

from __future__ import annotations

import pytest
import shipped
from conftest import FILES, write_knowledge

from diagnose.complaint import Complaint
from diagnose.load import load

MORE = """\
drop_on_scrap: {question: A drop?, short: a drop, kind: wipe, source: handbook}
bare_back: {question: The back?, short: the back, kind: look, source: handbook}
coats_laid: {question: How many coats?, short: coats, kind: recall, find out: %s, source: handbook}
"""


@pytest.fixture
def read(tmp_path):
    """The small base with a question whose `find out` is as given, and an attribute with one."""

    def reading(of_finding: str = "bare_back", of_attribute: str = "bare_back"):
        attributes = FILES["attributes.yaml"].replace(
            "wood: {kind: wood,", f"wood: {{kind: wood, find out: {of_attribute},"
        )
        folder = write_knowledge(tmp_path / "trade", attributes=attributes)
        (folder / "findings" / "more.yaml").write_text(MORE % of_finding, encoding="utf-8")
        return load(folder)

    return reading


def test_what_tells_the_same_comes_cheapest_first_and_then_as_written(read):
    knowledge = read("[rag_takes_colour, drop_on_scrap, bare_back]", "[drop_on_scrap, bare_back]")
    assert knowledge.findings["coats_laid"].find_out == ("bare_back", "rag_takes_colour", "drop_on_scrap")
    assert knowledge.attributes["piece", "wood"].find_out == ("bare_back", "drop_on_scrap")
    assert knowledge.findings["bare_back"].find_out == knowledge.attributes["step", "dried"].find_out == ()


@pytest.mark.parametrize(
    "named, wrong, accepted",
    [
        ("[bare_bak]", "finding coats_laid, find out: 'bare_bak' is not known", "bare_back"),
        ("[coats_laid]", "finding coats_laid, find out: 'coats_laid' is not known", "drop_on_scrap"),
        ("[bare_back, bare_back]", "names a finding twice", "once"),
        ("[]", "names nothing", "leave the line away"),
    ],
)
def test_what_a_finding_cannot_be_found_out_by_is_refused_in_its_line(read, named, wrong, accepted):
    with pytest.raises(Complaint) as told:
        read(named)
    assert wrong in told.value.wrong and accepted in told.value.accepted
    assert told.value.place.file.endswith("more.yaml") and told.value.place.line == 3


def test_what_an_attribute_cannot_be_found_out_by_is_refused_in_its_line(read):
    with pytest.raises(Complaint) as told:
        read(of_attribute="[bare_bak]")
    assert told.value.wrong == "piece wood, find out: 'bare_bak' is not known" and "bare_back" in told.value.accepted
    assert told.value.place.file.endswith("attributes.yaml") and told.value.place.line == 2


def test_only_what_a_finding_can_tell_may_be_needed_of_a_kind(tmp_path):
    strategy = FILES["strategy.yaml"].replace(
        "look, minutes: 1, harm: none", "look, minutes: 1, harm: none, needs: [hwo]"
    )
    with pytest.raises(Complaint) as told:
        load(write_knowledge(tmp_path, strategy=strategy))
    assert told.value.wrong == "look, needs: 'hwo' is not known" and "how" in told.value.accepted


def test_what_finds_out_in_the_shipped_base_is_a_look_or_a_test_and_no_memory():
    knowledge = shipped.knowledge()
    asked = {**knowledge.findings, **knowledge.attributes}
    named = {(key, other) for key, one in asked.items() for other in one.find_out}
    assert len({key for key, _ in named}) > 80
    assert not [pair for pair in named if knowledge.findings[pair[1]].kind == "recall"]


def test_kinds_of_shipped_tests_need_to_tell_what_to_do_what_it_shows_and_what_it_may_harm():
    kinds = load().ask_kinds
    assert {name for name, kind in kinds.items() if {"how", "shows"} <= set(kind.needs)} == {
        *("wipe", "measure", "spot", "scrap")
    }
    assert "harms" in kinds["spot"].needs
