"""Each flaw the audit knows, put into a small base that does not have it, is found, and at its place."""

import json

import pytest
from conftest import BOARD, write_knowledge

from diagnose.audit import audit
from diagnose.flaws import CODES, as_json, as_text

LIFTED = """\
- case: confirms
  title: A dye without binder, a waterborne coat
  piece: {wood: oak, form: solid}
  steps: [{do: colourant, product: water_dye}, {do: clear_coat, product: water_varnish}]
  findings: {complaint: colour_came_off, rag_takes_colour: yes}
  expect: {first: dye_lifted}
- case: near_miss
  title: The rag stays clean
  steps: [{do: colourant, product: fast_stain}]
  findings: {rag_takes_colour: no, complaint: streaks}
  expect: {not_first: dye_lifted}
"""
EMPTY = "findings: {complaint: haze}\n"
FINDING = """\
{name}: {{question: Why?, short: why, kind: look, source: common practice{more}}}
"""
CONDITION = """\
conditions:
  {name}: {{says: So., rules: [{rules}]}}
"""


LABEL = """\
claims: {}
statements: {}
amounts: {volatile: {name: v, of: bottle, parts: solvent}, idle: {name: idle, of: bottle}}
unlisted: {says: So., liquid: [volatile], solid: [], rate: [0, 1], source: handbook}
withheld: []
undecided: {}
answers: {}
harms: {}
eases: {}
coats: []
barriers: []
keeps: []
"""


def rule(when, then="holds"):
    return f"{{when: {when}, then: {then}, because: So., source: common practice}}"


def write(folder, **added):
    """The small base with `added` files: their path with __ for /, their text; a text of (old, new) changes a file."""
    write_knowledge(folder)
    (folder / "causes/colour/dye_lifted.cases.yaml").write_text(LIFTED)
    for name, text in added.items():
        path = folder / (name.replace("__", "/") + ".yaml")
        path.parent.mkdir(exist_ok=True, parents=True)
        if isinstance(text, tuple):
            whole = path.read_text()
            assert text[0] in whole
            text = whole.replace(*text)
        path.write_text(text)
    return folder


PUT_IN = {
    "no-confirming-example": ({"causes__colour__dye_lifted.cases": EMPTY}, "dye_lifted"),
    "no-near-miss": ({"causes__colour__dye_lifted.cases": EMPTY}, "dye_lifted"),
    "stray-examples": ({"causes__colour__gone.cases": EMPTY}, "gone"),
    "example-fails": (
        {"causes__colour__streaked.cases": LIFTED.replace("expect: {first: dye", "expect: {not_first: dye")},
        "confirms",
    ),
    "unreachable-cause": ({"scale": ("strong: 10", "strong: 1")}, "dye_lifted"),
    "not-parted": (
        {
            "causes__colour__streaked": ("evidence", "look-alikes: {dye_lifted: wood_shows}\nevidence"),
            "findings__more": FINDING.format(name="wood_shows", more=""),
        },
        "streaked",
    ),
    "no-remedy": (
        {
            "causes__colour__streaked": (
                "[{do: barrier, cures: sometimes, because: So., source: common practice}]",
                "[]",
            )
        },
        "streaked",
    ),
    "no-prevention": (
        {"causes__colour__streaked": ("[{advice: Wipe at once., because: So., source: common practice}]", "[]")},
        "streaked",
    ),
    "no-look-alikes": (None, "dye_lifted"),
    "no-caution": (
        {
            "remedies__all": ("Seal it.", "Wipe with spirits."),
            "materials__more": "spirits: {name: spirits, for: [cleaning], hazards: [toxic], source: handbook}",
            "cautions__more": "toxic: {title: T, says: S., source: handbook}",
        },
        "barrier",
    ),
    "board-fails-otherwise": (
        {"boards__all": BOARD.replace("rag_takes_colour: yes", "rag_takes_colour: no")},
        "dye_board",
    ),
    "board-not-sound": ({"boards__all": BOARD.replace("fast_stain", "water_dye")}, "dye_board"),
    "hand-conversion": ({"remedies__all": ("Seal it.", "Seal it at 20 C (68 F).")}, "write {temperature ...}"),
    "broken-sentence": ({"remedies__all": ("[Seal it.]", "[Seal it, at once.]")}, "barrier"),
    "unused-finding": ({"findings__more": FINDING.format(name="idle", more="")}, "idle"),
    "unaskable-finding": (
        {
            "findings__more": FINDING.format(name="one", more=", ask when: [{answers: {two: yes}}]")
            + FINDING.format(name="two", more=", ask when: [{answers: {one: yes}}]")
        },
        "one",
    ),
    "never-asked": (
        {"findings__more": FINDING.format(name="one", more=", ask when: [{piece: {form: veneer}}]")},
        "one",
    ),
    "half-told-test": (
        {"strategy": ("minutes: 3, harm: none", "minutes: 3, harm: none, needs: [how]")},
        "rag_takes_colour (wipe) lacks `how:`",
    ),
    "unused-condition": (
        {"conditions__more": CONDITION.format(name="idle", rules=rule("{piece: {form: solid}}"))},
        "idle",
    ),
    "unused-remedy": (
        {"remedies__more": "idle: {name: A, do: [B], effort: 1 min, harm: none, because: C., source: handbook}"},
        "idle",
    ),
    "unused-amount": ({"label": LABEL}, "idle"),
    "unused-figures": ({"label": LABEL}, "acetone"),
    "unused-value": (None, "form: solid"),
    "dead-condition": (
        {"conditions__more": CONDITION.format(name="dead", rules=rule("{piece: {form: veneer}}"))},
        "dead",
    ),
    "unexercised-rule": (
        {"conditions__more": CONDITION.format(name="dead", rules=rule("{piece: {form: veneer}}"))},
        "dead/1",
    ),
    "unexercised-link": ({"causes__colour__dye_lifted.cases": EMPTY}, "dye_lifted/rag_takes_colour"),
    "contradiction": (
        {
            "conditions__more": CONDITION.format(
                name="both",
                rules=rule("{piece: {form: solid, wood: oak}}") + ", " + rule("{piece: {form: solid}}", "ruled out"),
            )
        },
        "both",
    ),
    "subsumed-rule": (
        {
            "conditions__more": CONDITION.format(
                name="twice", rules=rule("{piece: {form: solid, wood: oak}}") + ", " + rule("{piece: {form: solid}}")
            )
        },
        "twice",
    ),
    "circular-rules": (
        {
            "conditions__more": CONDITION.format(name="here", rules=rule("{conditions: {there: holds}}"))
            + CONDITION.format(name="there", rules=rule("{conditions: {here: holds}}"))[len("conditions:\n") :]
        },
        "here",
    ),
    "needless-exemption": ({"exemptions": "[{code: no-remedy, of: streaked, because: So.}]"}, "streaked"),
}


def found(folder):
    return {(flaw.code, flaw.what) for flaw in audit(folder)}


def test_every_code_is_tried_here():
    assert {*PUT_IN, "never-parted"} == set(CODES)  # two causes alike have a test of their own below


@pytest.mark.parametrize("code", sorted(PUT_IN))
def test_a_flaw_that_is_put_in_is_found(code, tmp_path):
    added, name = PUT_IN[code]
    after = found(write(tmp_path / "after", **(added or {})))
    about = [what for one, what in after if one == code and name in what]
    assert about
    if added:  # and it was not there before
        assert not [what for one, what in found(write(tmp_path / "before")) if one == code and what in about]


def test_two_causes_that_no_question_parts(tmp_path):
    folder = write(tmp_path)
    same = (folder / "causes/colour/streaked.yaml").read_text()
    (folder / "causes/colour/late.yaml").write_text(same)
    assert ("never-parted", "no question parts late from streaked by 5 decibans") in found(folder)
    rag = "  - {answer: rag_takes_colour, weights: {yes: fair for}, because: So., source: common practice}\n"
    (folder / "causes/colour/late.yaml").write_text(same.replace("evidence:\n", "evidence:\n" + rag))
    assert not [what for code, what in found(folder) if code == "never-parted"]


def test_an_exemption_silences_its_flaw_only(tmp_path):
    folder = write(tmp_path, exemptions="[{code: no-look-alikes, of: streaked, because: It is alone.}]")
    about = [what for code, what in found(folder) if code in ("no-look-alikes", "needless-exemption")]
    assert about == ["dye_lifted names no look-alike"]


def test_flaws_are_told_with_their_place_and_their_mend(tmp_path):
    flaws = audit(write(tmp_path))
    assert all(flaw.place.file and flaw.code in CODES for flaw in flaws)
    assert f"{flaws[0].place}: [{flaws[0].code}]" in as_text(flaws)
    assert json.loads(as_json(flaws))["flaws"][0]["mend"] == CODES[flaws[0].code]
