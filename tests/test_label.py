"""`diagnose label`: what a bottle's ingredient list tells, how sure it is, and what it leaves open."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from labels import NAMED, SHEETS, bottle, coats, sheet, values, yaml_of
from shipped import diagnoser

from diagnose.case import read_cases
from diagnose.complaint import Complaint
from diagnose.diagnosis import Diagnoser
from diagnose.label_keep import keep
from diagnose.label_outline import outline
from diagnose.load import load

ROOT = Path(__file__).resolve().parents[1]


def never(text, answer):
    return set(bottle(text).answer(answer).never)


def run(*words, text="", cwd=ROOT):
    return subprocess.run(
        [sys.executable, "-m", "diagnose", "label", *map(str, words)],
        cwd=cwd,
        input=text,
        env={"PYTHONPATH": str(ROOT), "PATH": "", "HOME": str(cwd)},
        capture_output=True,
        text=True,
        check=False,
    )


# what the trade knows of such bottles


def test_a_true_ngr_dye_hardly_raises_grain_and_wants_no_solvent_of_its_own_over_it():
    ngr = SHEETS["ngr_dye"]
    assert values(ngr, "raises_grain") == {"hardly"} and not bottle(ngr).disagrees
    assert values(ngr, "carrier") == {"alcohol", "glycol_ether", "lacquer_solvents"}
    assert values(ngr, "binder") == {"none"} and values(ngr, "dye_class") == {"metal_complex"}
    assert {"alcohol", "lacquer_solvents"} <= values(ngr, "redissolves_in")
    assert coats(ngr)["waterborne_acrylic"].verdict == coats(ngr)["oil_varnish"].verdict == "safe"
    assert coats(ngr)["dewaxed_shellac"].verdict == coats(ngr)["nitrocellulose_lacquer"].verdict == "barrier"
    assert {"shellac", "lacquer"} <= values(ngr, "tones") and "oil" in never(ngr, "tones")


def test_what_is_sold_as_non_grain_raising_and_is_mostly_water_is_caught():
    stain = SHEETS["ngr_mostly_water"]
    assert values(stain, "raises_grain") == {"yes"} and "ngr_mostly_water" in bottle(stain).disagrees
    assert coats(stain)["waterborne_acrylic"].verdict == "barrier"
    assert "dewaxed_shellac" in coats(stain)["waterborne_acrylic"].barriers
    assert coats(stain)["nitrocellulose_lacquer"].verdict == coats(stain)["oil_varnish"].verdict == "safe"


def test_an_oil_stain_is_slow_raises_no_grain_and_is_no_natural_oil():
    stain = SHEETS["oil_stain"]
    assert values(stain, "working_time") == {"long"} and values(stain, "raises_grain") == {"hardly"}
    assert values(stain, "binder_kind") == {"oil"} and values(stain, "redissolves_in") == {"nothing"}
    assert set(bottle(stain).disagrees) == {"natural_oil_with_driers", "natural_oil_thinned"}
    assert "oily_rags" in {caution.id for caution, _ in bottle(stain).cautions}


def test_a_waterborne_coat_holds_solvent_and_raises_grain_although_water_is_not_listed():
    coat = SHEETS["waterborne_coat"]
    assert values(coat, "main_carrier") == {"water"} and values(coat, "raises_grain") == {"yes"}
    assert {"waterborne_with_solvent", "no_voc_with_solvent"} == set(bottle(coat).disagrees)
    assert values(coat, "binder") == {"full"} and values(coat, "binder_kind") == {"acrylic"}


def test_shellac_may_hold_wax_unless_its_label_says_otherwise():
    shellac = SHEETS["shellac"]
    assert bottle(shellac).step.do == "clear_coat" and values(shellac, "binder_kind") == {"shellac"}
    assert coats(shellac)["oil_polyurethane"].verdict == "open"
    assert ("product", "waxed_shellac") in coats(shellac)["oil_polyurethane"].wants
    dewaxed = shellac + "claims: [dewaxed]\n"
    assert coats(dewaxed)["oil_polyurethane"].verdict == "safe"


def test_a_lacquer_toner_is_taken_up_by_lacquer_and_withstands_oil_varnish():
    toner = SHEETS["lacquer_toner"]
    assert values(toner, "redissolves_in") == {"lacquer_solvents"} and bottle(toner).blend.early == "fast"
    assert coats(toner)["nitrocellulose_lacquer"].verdict == "barrier"
    assert coats(toner)["oil_varnish"].verdict == "safe"


def test_what_is_withheld_leaves_everything_open():
    secret = SHEETS["concentrate"]
    told = {one.answer.id: set(one.values) for one in bottle(secret).told}
    assert {name for name, found in told.items() if found} == {"carrier"} and told["carrier"] == {"glycol_ether"}
    assert {one.verdict for one in coats(secret).values()} == {"open"} and not bottle(secret).disagrees


@pytest.mark.parametrize(
    ("claims", "rows", "found"),
    [
        ("dye", [("red iron oxide", "", 5, 6), ("ethanol", "", 90, 95)], "dye_with_pigment"),
        ("pigment", [("acid dye", "", 1, 2), ("water", "", 90, 95)], "pigment_with_dye"),
        ("lightfast", [("bismarck brown", "", 1, 2), ("ethanol", "", 90, 99)], "lightfast_yet_fades"),
        ("waterborne", [("ethanol", "", 60, 70), ("water", "", 20, 30)], "waterborne_mostly_solvent"),
        ("non_grain_raising", [("ethanol", "", 60, 70), ("water", "", 30, 35)], "ngr_some_water"),
        ("solvent_free", [("d-limonene", "", 5, 10), ("linseed oil", "", 80, 95)], "solvent_free_with_solvent"),
        ("penetrating", [("linseed oil", "", 80, 95)], "penetrating_with_film"),
        ("dewaxed", [("shellac", "", 20, 30), ("ethanol", "", 60, 70), ("carnauba wax", "", 1, 2)], "dewaxed_with_wax"),
        (
            "no_wipe",
            [("linseed oil", "", 8, 9), ("red iron oxide", "", 8, 9), ("mineral spirits", "", 83, 84)],
            "no_wipe_with_pigment",
        ),
        ("fast_drying", [("acetone", "", 60, 70), ("butyl carbitol", "112-34-5", 25, 35)], "fast_with_slow_tail"),
        ("dye", [("acrylic polymer", "", 20, 30), ("water", "", 60, 70), ("acid dye", "", 1, 2)], "dye_with_binder"),
    ],
)
def test_claims_that_the_list_contradicts(claims, rows, found):
    rows = [(name, "" if name == "butyl carbitol" and not cas else cas, low, high) for name, cas, low, high in rows]
    assert found in bottle(yaml_of(rows, f"claims: [{claims}]")).disagrees
    assert found not in bottle(yaml_of(rows)).disagrees


def test_every_rule_of_bottles_stays_silent_in_ordinary_cases():
    cases = [
        case for path in sorted((ROOT / "cases").glob("*.yaml")) for case in read_cases(path, diagnoser().knowledge)
    ]
    for case in cases[:6]:
        assert not {rule for rule in diagnoser().diagnose(case).fired if rule.startswith("trait/bottle_")}


# the examples that the audit reads


def test_an_example_that_comes_to_something_else_is_a_flaw(tmp_path):
    from diagnose.audit_labels import labels, read_examples

    path = tmp_path / "sheets.cases.yaml"
    example = (
        "- product: water dye\n  complete: yes\n"
        "  ingredients: [{name: water, share: 97 %}, {name: acid dye, share: 3 %}]\n  expect: {HERE}\n"
    )

    def flaws(expect):
        path.write_text(example.replace("HERE", expect))
        found = labels(diagnoser(), read_examples(path, diagnoser().knowledge), set())
        return [flaw.what for flaw in found if flaw.code == "example-fails"]

    right = "raises_grain: yes, fastness: poor, disagrees: open, coats: {waterborne_acrylic: barrier}"
    assert flaws(right) == []
    assert flaws("raises_grain: hardly") == ["water dye: raises_grain comes to yes, not hardly"]
    assert flaws("raises_grain: open") == ["water dye: raises_grain comes to yes, not open"]
    assert flaws("coats: {waterborne_acrylic: safe}") == ["water dye: waterborne_acrylic is barrier, not safe"]


def test_an_answer_that_contradicts_itself_is_a_flaw(tmp_path):
    from dataclasses import replace

    from diagnose.audit_labels import _contradictions, read_examples

    path = tmp_path / "sheets.cases.yaml"
    path.write_text("- {ingredients: [{name: water, share: 100 %}], expect: {raises_grain: yes}}\n")
    (example,) = read_examples(path, diagnoser().knowledge)
    of = bottle("water 100 %\n")
    assert not list(_contradictions(of, example))
    wrong = tuple(replace(one, never=("water",)) if one.answer.id == "carrier" else one for one in of.told)
    (flaw,) = _contradictions(replace(of, told=wrong), example)
    assert flaw.code == "contradiction" and "surely not water" in flaw.what


# keeping


def test_a_kept_bottle_is_a_material_that_cases_can_name(tmp_path):
    said = keep(bottle(SHEETS["ngr_mostly_water"]), tmp_path / "shop")
    assert "walnut_non_grain_raising_stain" in said
    knowledge = load(own=tmp_path / "shop")
    kept = knowledge.materials["walnut_non_grain_raising_stain"]
    assert ("carrier", "water") in kept.traits and kept.steps == ("colourant",)
    case = tmp_path / "case.yaml"
    case.write_text(
        "steps:\n  - {do: colourant, product: walnut_non_grain_raising_stain}\n"
        "  - {do: clear_coat, product: waterborne_acrylic}\nfindings: {}\n"
    )
    found = Diagnoser(knowledge).diagnose(read_cases(case, knowledge)[0])
    assert ("condition", "water_over_water_soluble_colour", "holds") in found.trace
    assert ("condition", "water_reached_wood", "holds") in found.trace


def test_only_what_is_sure_is_kept(tmp_path):
    keep(bottle(SHEETS["concentrate"]), tmp_path)
    assert load(own=tmp_path).materials["universal_colour_concentrate"].traits == ()


def test_nothing_is_written_over(tmp_path):
    keep(bottle(SHEETS["ngr_dye"]), tmp_path)
    before = (tmp_path / "materials" / "amber_ngr_dye.yaml").read_text()
    with pytest.raises(Complaint, match="already"):
        keep(bottle(SHEETS["ngr_dye"]), tmp_path)
    (tmp_path / "materials" / "amber_ngr_dye.yaml").rename(tmp_path / "materials" / "ours.yaml")
    with pytest.raises(Complaint, match=r"ours\.yaml"):
        keep(bottle(SHEETS["ngr_dye"]), tmp_path)
    assert (tmp_path / "materials" / "ours.yaml").read_text() == before
    with pytest.raises(Complaint, match="goes by shellac already"):
        keep(bottle(yaml_of([("shellac", "", 20, 30), ("ethanol", "", 70, 80)], "product: Shellac")), tmp_path)


# the command


def test_every_form_says_every_answer(tmp_path):
    path = ROOT / "shared" / "examples" / "labels" / "ngr_mostly_water.sheet"
    forms = {form: run(path, "--format", form) for form in ("text", "markdown", "html", "json")}
    assert {done.returncode for done in forms.values()} == {0}
    of = bottle(SHEETS["ngr_mostly_water"])
    told = outline(of, tuple(coats(SHEETS["ngr_mostly_water"]).values()))
    for part in told.parts:
        assert part.title.upper() in forms["text"].stdout and part.title in forms["html"].stdout
    flat = " ".join(forms["text"].stdout.split())
    for part in told.parts:
        for block in part.blocks:
            for pair in getattr(block, "items", ()):
                assert not isinstance(pair, str) or " ".join(pair.split()) in flat
    data = json.loads(forms["json"].stdout)
    assert data["answers"]["raises_grain"]["is"][0]["value"] == "yes"
    facts = {step["fact"] for step in data["trace"]}
    for answer in data["answers"].values():
        assert all(one["fact"] in facts for one in answer["is"])
    assert all(set(step["from"]) <= facts for step in data["trace"])


def test_standard_input_and_a_dash():
    lines = "Ethanol 64-17-5 30 - <60 %\n67-63-0 isopropanol <5\nTrade secret resin 10-30%\n"
    one, two = run(text=lines), run("-", text=lines)
    assert one.returncode == two.returncode == 0 and one.stdout == two.stdout and "standard input" in one.stdout


@pytest.mark.parametrize("width", [40, 60, 80])
def test_no_line_is_wider_than_the_terminal(width):
    from diagnose.report_text import explanation

    for text in SHEETS.values():
        lines = explanation([outline(bottle(text), tuple(coats(text).values()))], width).splitlines()
        assert max(map(len, lines)) <= width


def test_bad_input_is_one_line_and_status_2(tmp_path):
    for text in ("", "Ethanol 64-17-4 30 %\n", "ingredients: []\n", "a\0b", "ingredients: {a: b}\n", "Ethanol\n"):
        done = run(text=text)
        assert done.returncode == 2 and done.stderr.count("\n") == 1 and not done.stdout, text
    assert run(tmp_path / "none.sheet").returncode == 2
    kept = run(ROOT / "shared" / "examples" / "labels" / "ngr_dye.sheet", "--keep", tmp_path / "shop")
    again = run(ROOT / "shared" / "examples" / "labels" / "ngr_dye.sheet", "--keep", tmp_path / "shop")
    assert (kept.returncode, again.returncode) == (0, 2) and "already" in again.stderr


def test_nothing_of_a_sheet_reaches_the_terminal_raw():
    done = run(text='product: "a\\e[31mred"\ningredients: [{name: "eth\\u202eanol", share: 5 %}]\n')
    assert done.returncode == 0 and "\x1b" not in done.stdout and "\u202e" not in done.stdout


def test_named_substances_are_known():
    known = {name for name, _ in NAMED if sheet(yaml_of([(name, "", 1, 2)])).listed[0].ingredient}
    assert known == {name for name, _ in NAMED} - {"trade secret additive"}
