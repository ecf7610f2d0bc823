"""Compiling a `when:`: what each form means as patterns, and what is refused."""

from __future__ import annotations

import pytest
from conftest import FILES, write_knowledge

from diagnose.complaint import Complaint
from diagnose.engine import Chain
from diagnose.load import load
from diagnose.match import RuleIndex
from diagnose.rules import Compare, Var

HEAD = "conditions:\n  tried:\n    says: Tried.\n    rules:\n      - when: "
TAIL = "\n        then: holds\n        because: So.\n        source: common practice\n"


@pytest.fixture
def compiled(tmp_path):
    """The patterns of every rule that one condition with this `when:` compiles to."""

    def compiling(when: str) -> list[tuple]:
        cause = FILES["causes/colour/dye_lifted.yaml"].replace("water_over_colour", "tried")
        folder = write_knowledge(tmp_path / "knowledge", dye_lifted=cause)
        (folder / "conditions" / "all.yaml").write_text(HEAD + when + TAIL, encoding="utf-8")
        return [rule.when for rule in load(folder).rules if rule.name.split("/")[0] == "tried"]

    return compiling


COAT, LOWER = Var("coat"), Var("lower")


@pytest.mark.parametrize(
    "when, patterns",
    [
        ("{coat: {do: sealer}}", [(("step", COAT, "do", "sealer"),)]),
        (
            "{coat: {carrier: [water, alcohol]}}",
            [(("step", COAT, "carrier", "water"),), (("step", COAT, "carrier", "alcohol"),)],
        ),
        (
            "[{piece: {wood: oak}}, {air: {humidity: over 70 %}}]",
            [(("piece", "wood", "oak"),), (("air", "humidity", Compare(">", 0.7)),)],
        ),
        (
            "{coat: {dried: over 1 h and at most 2 h}}",
            [(("step", COAT, "dried", Compare(">", 3600.0)), ("step", COAT, "dried", Compare("<=", 7200.0)))],
        ),
        (
            "{coat: {dried: under 1 day}, lower: {grit: at least P180}}",
            [(("step", COAT, "dried", Compare("<", 86400.0)), ("step", LOWER, "grit", Compare(">=", 180.0)))],
        ),
        (
            "{coat: {directly over: lower, after: lower}, lower: {do: sealer}}",
            [(("over", COAT, LOWER), ("after", COAT, LOWER), ("step", LOWER, "do", "sealer"))],
        ),
        ("{coat: {directly over: wood}}", [(("over", COAT, 0),)]),
        (
            "{coat: {between: [lower, wood]}, lower: {do: sealer}}",
            [(("between", COAT, LOWER, 0), ("step", LOWER, "do", "sealer"))],
        ),
        (
            "{coat: {do: sealer, nothing before: {do: [wetting, cleaning]}}}",
            [
                (
                    ("step", COAT, "do", "sealer"),
                    ("none_before", COAT, "do", "wetting"),
                    ("none_before", COAT, "do", "cleaning"),
                )
            ],
        ),
        (
            "{coat: {directly over: lower, nothing between: {do: sanding}}, lower: {do: sealer}}",
            [(("over", COAT, LOWER), ("none_between", COAT, LOWER, "do", "sanding"), ("step", LOWER, "do", "sealer"))],
        ),
        (
            "{no step: {carrier: water}, answers: {complaint: haze}}",
            [(("none", "carrier", "water"), ("answer", "complaint", "haze"))],
        ),
        ("{conditions: {tried: ruled out}}", [(("condition", "tried", "ruled_out"),)]),
    ],
)
def test_each_form_means_what_the_guide_says(compiled, when, patterns):
    assert compiled(when) == patterns


@pytest.mark.parametrize(
    "when, wrong",
    [
        ("{}", "is empty"),
        ("[]", "is an empty list"),
        ("{Coat: {do: sealer}}", "cannot name a step"),
        ("{step: {do: sealer}}", "cannot name a step"),
        ("{coat: {}}", "coat is empty"),
        ("{coat: {do: sealr}}", "'sealr' is not known"),
        ("{coat: {dryed: over 1 h}}", "has no 'dryed'"),
        ("{coat: {dried: 1 h}}", "is not a comparison"),
        ("{coat: {dried: over 1}}", "has no unit"),
        ("{coat: {do: []}}", "names no value"),
        ("{coat: {directly over: lower}}", "'lower' is not known"),
        ("{coat: {directly over: coat}}", "'coat' is not known"),
        ("{coat: {between: [wood]}}", "takes two steps"),
        ("{coat: {nothing between: {do: sanding}}}", "needs `directly over`"),
        ("{answers: {rag: yes}}", "has no 'rag'"),
        ("{conditions: {tried: maybe}}", "'maybe' is not known"),
        ("{coat: {do: sealer, nothing before: {dried: over 1 h}}}", "the absence of a quantity cannot be known"),
        ("{coat: [do, sealer]}", "is a list"),
        ("word", "is a word or number"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_its_line(compiled, when, wrong):
    with pytest.raises(Complaint, match=r"conditions/all\.yaml:5:") as caught:
        compiled(when)
    assert wrong in caught.value.wrong
    assert caught.value.accepted


def test_alternatives_beyond_reason_are_refused(compiled):
    all_carriers = "[water, alcohol, glycol_ether, lacquer_solvents, hydrocarbon, none]"
    when = "{" + ", ".join(f"coat{i}: {{carrier: {all_carriers}}}" for i in range(4)) + "}"
    with pytest.raises(Complaint, match="has 1296 alternatives; 256 at most"):
        compiled(when)


@pytest.mark.parametrize("when", ["{piece: {}}", "{answers: {}}", "{conditions: {}}", "{no step: {}}"])
def test_a_subject_that_says_nothing_is_refused(compiled, when):
    with pytest.raises(Complaint):
        compiled(when)


@pytest.mark.parametrize("name", ["engine", "self"])
def test_a_step_may_bear_any_name_that_loads(tmp_path, compiled, name):
    compiled(f"{{{name}: {{do: sealer}}}}")
    chain = Chain(RuleIndex(load(tmp_path / "knowledge").rules))
    chain.add([("step", 1, "do", "sealer")])
    assert ("condition", "tried", "holds") in chain.known()
