"""Reading a case: what is wrong with it is told once, in its place, with what would be accepted."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.case import MOST_STEPS, read_cases
from diagnose.complaint import Complaint
from diagnose.computed import compute
from diagnose.engine import Chain
from diagnose.facts import given_facts, layers
from diagnose.match import RuleIndex
from diagnose.model import UNKNOWN

GOOD = """\
case: table
title: Red in the brush
piece: {wood: soft pine, form: solid, surface: [flat, end grain], age: 3 months}
air: {temperature: 65 F, humidity: 55 %}
steps:
  - {do: sanding, grit: P220}
  - {do: stain, product: Water Dye Powder, dried: 12 h, redissolves_in: unknown}
  - {do: top coat, ingredients: [water, shellac], film: 4 mil}
findings: {complaint: [streaks, colour came off], rag_takes_colour: not known}
expect: {first: dye_lifted, at_least: {dye_lifted: very likely}, because: it must}
"""


@pytest.fixture
def complaint(tmp_path, knowledge):
    """The complaint that a case file of this text brings, its text checked for the place it claims."""

    def complaining(text: str) -> Complaint:
        path = tmp_path / "case.yaml"
        path.write_text(text, encoding="utf-8")
        with pytest.raises(Complaint) as caught:
            read_cases(path, knowledge)
        found = caught.value
        place = f"{path}:{found.place.line}:{found.place.column}"
        assert str(found) == f"{place}: {found.wrong}; {found.accepted}"
        assert found.place.line >= 1 and found.accepted
        return found

    return complaining


def read(tmp_path, knowledge, text: str):
    (tmp_path / "case.yaml").write_text(text, encoding="utf-8")
    return read_cases(tmp_path / "case.yaml", knowledge)


def test_a_good_case_is_read_with_units_and_other_names(tmp_path, knowledge):
    (case,) = read(tmp_path, knowledge, GOOD)
    assert case.id == "table"
    assert {name: given.values for name, given in case.piece.items()} == {
        "wood": ("pine",),
        "form": ("solid",),
        "surface": ("flat", "end_grain"),
        "age": (3 * 2629746.0,),
    }
    assert case.air["temperature"].values == (pytest.approx(18.333333333),)
    assert case.air["temperature"].written == "65 F"
    assert [(step.number, step.do) for step in case.steps] == [(1, "sanding"), (2, "colourant"), (3, "clear_coat")]
    assert case.steps[1].given["product"].values == ("water_dye",)
    assert case.steps[2].given["ingredients"].values == ("water", "shellac")
    assert case.steps[2].given["film"].values == (101.6e-6,)
    assert case.findings["complaint"].values == ("streaks", "colour_came_off")
    assert case.expect.first == ("dye_lifted",)
    assert dict(case.expect.at_least) == {"dye_lifted": "very likely"}
    assert case.steps[1].place.line == 7


def test_unknown_is_an_answer_and_no_fact(tmp_path, knowledge):
    (case,) = read(tmp_path, knowledge, GOOD)
    assert case.findings["rag_takes_colour"].values == (UNKNOWN,)
    assert not case.findings["rag_takes_colour"].known
    facts = given_facts(case, knowledge)
    assert not any(UNKNOWN in fact for fact in facts)
    assert ("open", 2, "redissolves_in") in facts  # said to be unknown: a material may still speak for it
    assert ("open", 2, "dried") not in facts


def test_a_file_may_hold_several_cases_and_takes_its_own_name(tmp_path, knowledge):
    assert [case.id for case in read(tmp_path, knowledge, "- {case: a}\n- {case: b}\n")] == ["a", "b"]
    assert [case.id for case in read(tmp_path, knowledge, "findings: {}\n")] == ["case"]


@pytest.mark.parametrize("empty", ["", "~", "null", "{}"])
def test_an_empty_part_is_a_part_not_given(tmp_path, knowledge, empty):
    (case,) = read(tmp_path, knowledge, f"piece: {empty}\nair: {empty}\nfindings: {empty}\n")
    assert not case.piece and not case.air and not case.findings and not case.steps


@pytest.mark.parametrize(
    "text, line, column, wrong, accepted",
    [
        # not a case at all
        ("", 1, 1, "is empty", "expected a table"),
        ("just words", 1, 1, "the case is a word or number", "expected a table"),
        ("[]", 1, 1, "holds no case", "a table with"),
        ("a: b: c", 1, 5, "is not YAML", "check indents"),
        ("piece:\n\twood: oak", 2, 1, "is not YAML", "check indents"),
        ("piece: {wood: oak\nair: {}", 2, 4, "is not YAML", "check indents"),
        # names
        ("peice: {wood: oak}", 1, 1, "the case has no 'peice'", "did you mean piece?"),
        ("piece:\n  wod: oak", 2, 3, "piece has no 'wod'", "did you mean wood?"),
        ("piece: {blotchy: yes}", 1, 9, "piece has no 'blotchy'", "known: "),  # derived: never the user's to say
        (
            "findings:\n  rag_takes_color: yes",
            2,
            3,
            "findings has no 'rag_takes_color'",
            "did you mean rag_takes_colour?",
        ),
        ("steps: [{do: sanding, gritt: 220}]", 1, 23, "step 1 has no 'gritt'", "did you mean grit?"),
        # words
        ("piece: {wood: okk}", 1, 15, "piece, wood: 'okk' is not known", "did you mean oak?"),
        ("steps:\n- do: sandin", 2, 7, "step 1, do: 'sandin' is not known", "did you mean sanding"),
        (
            "steps: [{do: sealer, product: shelac}]",
            1,
            31,
            "step 1, product: 'shelac' is not known",
            "did you mean shellac?",
        ),
        ("findings: {complaint: hazy}", 1, 23, "findings, complaint: 'hazy' is not known", "did you mean haze?"),
        ("findings: {rag_takes_colour: perhaps}", 1, 30, "'perhaps' is not known", "known: no, yes"),
        ("invented: perhaps", 1, 11, "invented: 'perhaps' is not known", "known: no, yes"),
        ("expect: {first: dye_lift}", 1, 17, "'dye_lift' is not known", "did you mean dye_lifted?"),
        ("expect: {at_least: {dye_lifted: likly}}", 1, 33, "'likly' is not a standing", "did you mean likely"),
        ("expect: {at_least: {gremlins: likely}}", 1, 21, "'gremlins' is not known", "known: dye_lifted"),
        # units
        ("air: {temperature: 20}", 1, 20, "air, temperature: '20' has no unit", "write for instance 18 C or 65 F"),
        ("steps:\n- {do: sealer, dried: 12}", 2, 23, "step 1, dried: '12' has no unit", "20 min, 12 h"),
        ("air: {temperature: 12 h}", 1, 20, "has a unit that does not fit", "18 C or 65 F"),
        ("air: {humidity: 130 %}", 1, 17, "air, humidity: '130 %' cannot be", "between 0 and 100 %"),
        ("air: {temperature: 400 F}", 1, 20, "air, temperature: '400 F' cannot be", "between -40 and 120 C"),
        ("steps: [{do: sealer, film: '1,5 mil'}]", 1, 28, "has a decimal comma", "use a point"),
        ("piece: {age: long}", 1, 14, "piece, age: 'long' is not a quantity", "20 min"),
        # shapes
        ("piece: [wood, oak]", 1, 8, "piece is a list", "expected a table"),
        ("- [a]", 1, 3, "the case is a list", "expected a table"),
        ("findings: [complaint]", 1, 11, "findings is a list", "expected a table"),
        ("air: damp", 1, 6, "air is a word or number", "expected a table"),
        ("steps: {do: sanding}", 1, 8, "steps is a table", "expected a list"),
        ("steps: [sanding]", 1, 9, "step 1 is a word or number", "expected a table"),
        ("steps: [[{do: sanding}]]", 1, 9, "step 1 is a list", "expected a table"),
        ("steps: [{grit: 220}]", 1, 9, "step 1 lacks `do:`", "required"),
        ("steps: [{do: {kind: sanding}}]", 1, 14, "step 1, do is a table", "expected a list"),
        ("piece: {age: [1 day]}", 1, 14, "piece, age is a list", "plain text"),
        ("title: [a]", 1, 8, "title is a list", "plain text"),
        ("case:", 1, 6, "case is empty", "leave the line away"),
        ("expect: first", 1, 9, "expect is a word or number", "expected a table"),
        ("expect: {at_least: likely}", 1, 20, "expect, at_least is a word or number", "expected a table"),
        # how many
        ("piece: {form: [solid, veneer]}", 1, 15, "piece, form takes one value, not 2", "or `unknown`"),
        ("piece: {surface: []}", 1, 18, "piece, surface is empty", "or `unknown`"),
        ("findings: {rag_takes_colour: [yes, no]}", 1, 30, "takes one answer, not 2", "or `unknown`"),
        ("findings: {complaint: []}", 1, 23, "findings, complaint is empty", "or `unknown`"),
        ("steps: [{do: [sanding, sealer]}]", 1, 14, "step 1, do takes one value, not 2", "or `unknown`"),
        # sense
        ("steps: [{do: unknown}]", 1, 14, "what was done is not named", "`unknown_coat`"),
        ("steps: [{do: sealer, grit: 220}]", 1, 22, "step 1: grit does not fit sealer", "it is for sanding"),
        # twice
        ("piece: {}\nair: {}\npiece: {}", 3, 1, "'piece' stands twice (first in line 1)", "keep one"),
        ("findings:\n  complaint: haze\n  complaint: streaks", 3, 3, "'complaint' stands twice", "keep one"),
        ("- case: a\n- case: a", 2, 3, "two cases are named 'a'", "a name of its own"),
        ("- piece: {}\n- piece: {}", 2, 3, "two cases are named 'case'", "a name of its own"),
    ],
)
def test_each_fault_is_told_in_its_place_with_what_would_do(complaint, text, line, column, wrong, accepted):
    found = complaint(text)
    assert (found.place.line, found.place.column) == (line, column)
    assert wrong in found.wrong
    assert accepted in found.accepted


def test_a_missing_file_and_a_folder_are_told(tmp_path, knowledge):
    for path, wrong in ((tmp_path / "none.yaml", "there is no such file"), (tmp_path, "is a folder")):
        with pytest.raises(Complaint) as caught:
            read_cases(path, knowledge)
        assert str(caught.value) == f"{path}: {wrong}; {caught.value.accepted}"
        assert caught.value.accepted


def test_the_first_fault_alone_is_told(complaint):
    assert complaint("piece: {wood: okk}\nair: {humidity: 130 %}").place.line == 1


def test_more_steps_than_anybody_takes(complaint):
    found = complaint("steps:\n" + "- {do: cleaning}\n" * (MOST_STEPS + 2))
    assert found.place.line == MOST_STEPS + 2  # the first one too many
    assert f"more than {MOST_STEPS} steps" in found.wrong


@pytest.mark.parametrize(
    "steps, at",
    [
        (["sealer", "wetting"], 2),
        (["colourant", "sanding", "sealer", "wetting"], 4),
        (["unknown_coat", "cleaning", "wetting"], 3),
    ],
)
def test_work_on_bare_wood_over_a_coat_is_refused(complaint, steps, at):
    found = complaint("steps:\n" + "".join(f"- {{do: {do}}}\n" for do in steps))
    assert (found.place.line, found.place.column) == (at + 1, 3)
    assert found.wrong.startswith(f"step {at}, wetting, is work on bare wood")
    assert "in the order they were done" in found.accepted


@pytest.mark.parametrize(
    "steps",
    [
        ["wetting", "sealer"],
        ["sealer", "sanding", "wetting"],
        ["sealer", "stripping", "wetting", "sealer"],
        ["cleaning", "wetting"],
    ],
)
def test_work_on_bare_wood_is_fine_where_the_wood_may_be_bare(tmp_path, knowledge, steps):
    (case,) = read(tmp_path, knowledge, "steps:\n" + "".join(f"- {{do: {do}}}\n" for do in steps))
    assert [step.do for step in case.steps] == steps


def test_steps_lie_on_one_another_and_stripping_takes_all_off(tmp_path, knowledge):
    text = "steps: [{do: sealer}, {do: stripping}, {do: sanding}, {do: colourant}, {do: sanding}, {do: clear_coat}]"
    (case,) = read(tmp_path, knowledge, text)
    assert layers(case, knowledge) == [4, 6]
    facts = given_facts(case, knowledge)
    assert {fact for fact in facts if fact[0] == "over"} == {("over", 4, 0), ("over", 6, 4)}
    assert {fact for fact in facts if fact[0] == "between"} == {
        ("between", 1, 4, 0),
        ("between", 2, 4, 0),
        ("between", 3, 4, 0),
        ("between", 5, 6, 4),
    }
    assert {fact for fact in facts if fact[0] == "after"} == {
        ("after", later, earlier) for later in range(1, 7) for earlier in range(1, later)
    }


WORDS = st.sampled_from(
    [
        "case",
        "piece",
        "air",
        "steps",
        "findings",
        "expect",
        "not_sayable",
        "invented",
        "wood",
        "form",
        "surface",
        "age",
        "temperature",
        "humidity",
        "do",
        "product",
        "ingredients",
        "dried",
        "grit",
        "complaint",
        "rag_takes_colour",
        "first",
        "at_least",
        "because",
        "oak",
        "sanding",
        "sealer",
        "clear_coat",
        "wetting",
        "shellac",
        "haze",
        "yes",
        "unknown",
        "20 C",
        "55 %",
        "12 h",
        "130 %",
        "1,5 h",
        "likely",
        "dye_lifted",
        "~",
        "",
        "ü",
        "{",
        "\x1b[2J",
    ]
)


def flow(value) -> str:
    """Any nest of words as YAML, every word quoted."""
    if isinstance(value, str):
        return "'" + value.replace("\x1b", "\\e") + "'"
    if isinstance(value, list):
        return f"[{', '.join(map(flow, value))}]"
    return "{" + ", ".join(f"{flow(key)}: {flow(entry)}" for key, entry in value.items()) + "}"


NESTS = st.recursive(
    WORDS, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(WORDS, inner, max_size=3), max_leaves=10
)


def _likely(*words: str) -> st.SearchStrategy:
    """Mostly what belongs there, now and then anything."""
    return st.integers(0, 9).flatmap(lambda chance: NESTS if chance == 9 else st.sampled_from(words))


PARTS = st.fixed_dictionaries(
    {},
    optional={
        "piece": st.fixed_dictionaries(
            {}, optional={"wood": _likely("oak", "soft pine", "unknown"), "age": _likely("3 days", "2 years")}
        ),
        "air": st.fixed_dictionaries(
            {}, optional={"temperature": _likely("20 C", "-5 C", "90 F"), "humidity": _likely("0 %", "55 %", "100 %")}
        ),
        "steps": st.lists(
            st.fixed_dictionaries(
                {"do": _likely("sanding", "sealer", "clear coat", "stripping")},
                optional={
                    "product": _likely("shellac", "water", "unknown"),
                    "dried": _likely("12 h", "0 s"),
                    "carrier": _likely("water"),
                },
            ),
            max_size=4,
        ),
        "findings": _likely("", "~"),
        "invented": _likely("yes", "no"),
    },
)


def test_any_nest_of_words_is_a_case_or_one_complaint(tmp_path, knowledge):
    """Whatever is read can also be run."""
    path, met, index = tmp_path / "nest.yaml", Counter(), RuleIndex(knowledge.rules)

    @given(st.one_of(NESTS, PARTS))
    @settings(max_examples=500, deadline=None, derandomize=True, database=None)
    def read_it(value):
        path.write_text(flow(value), encoding="utf-8")
        try:
            cases = read_cases(path, knowledge)
        except Complaint as found:
            met["refused"] += 1
            assert found.place.line == 1 and found.place.column >= 1
            assert str(found).isprintable()
        else:
            met["read"] += 1
            for case in cases:
                chain = Chain(index)
                chain.add(given_facts(case, knowledge))
                met["computed"] += len(compute(chain.known(), case, knowledge))

    read_it()
    assert met["read"] > 50 and met["refused"] > 200 and met["computed"] > 50  # else it says nothing of one of them
