"""Every sum in every form: its own example runs, no line is too wide, the work is shown, and nothing given can steer."""

from __future__ import annotations

import json
import shlex

import pytest

from diagnose.cli import _parser, main
from diagnose.reckon_command import SUMS

MORE = (
    "air -5C 80%",
    "air 68F 55% --coat lacquer",
    "moisture 20C 65% --mc 6%",
    "film --weight-solids 40% --density 0.95kg/L --volatile-density 0.85kg/L --thinner 10% --dry 1mil --target 4mil --area 3m2",
    "film --cup iso4 --seconds 40s --to d4212_2",
    "light --lux 300lx --hours 8h --uv no --fastness class 5",
    "drying --product oil_varnish --air 10C --waited 30h",
)


def examples() -> list[str]:
    """The example at the foot of the help of each sum, and some more."""
    commands = _parser()._subparsers._group_actions[0].choices["reckon"]
    sums = commands._subparsers._group_actions[0].choices
    own = [sums[name].epilog for name in SUMS]
    assert all(epilog.startswith("Example: diagnose reckon ") for epilog in own)
    return [epilog.removeprefix("Example: diagnose reckon ").replace("%%", "%") for epilog in own] + list(MORE)


@pytest.fixture
def out(capsys):
    def run(*words: str) -> str:
        assert main(["reckon", *words]) == 0
        return capsys.readouterr().out

    return run


@pytest.mark.parametrize("example", examples())
@pytest.mark.parametrize("columns", [60, 80])
def test_no_line_of_a_sum_is_wider_than_the_terminal(out, example, columns, monkeypatch):
    monkeypatch.setenv("COLUMNS", str(columns))
    told = out(*shlex.split(example), "--work")
    assert all(len(line) <= columns for line in told.splitlines())
    assert "HOW IT WAS RECKONED" in told and "COMES TO" in told


@pytest.mark.parametrize("example", examples())
def test_every_figure_has_a_unit_and_with_work_a_formula_and_a_source(out, example):
    told = json.loads(out(*shlex.split(example), "--format", "json", "--work"))
    remarks = told.pop("remarks")
    assert told
    for name, figure in told.items():
        assert figure["unit"] or name == "coats", name
        assert figure["formula"] and figure["source"], name
        assert "value" in figure or figure["low"] <= figure["high"], name
    assert all(row["name"] and row["says"] and row["source"] and row["holds"] in (True, False) for row in remarks)


@pytest.mark.parametrize("form, begins", [("html", "<!doctype html>"), ("markdown", "# ")])
@pytest.mark.parametrize("example", examples())
def test_sums_as_a_page_and_as_markdown(out, example, form, begins):
    told = out(*shlex.split(example), "--format", form)
    assert told.lower().startswith(begins) and "label" in told


def test_a_shops_own_products_are_known_to_the_sums(out):
    from pathlib import Path

    shop = Path(__file__).resolve().parents[1] / "shared" / "example_shop"
    told = json.loads(
        out("light", "--place", "direct_sun", "--product", "house_walnut", "--knowledge", str(shop), "--format", "json")
    )
    assert told["first_fade"]["low"] > 0


def test_what_is_given_cannot_steer_the_terminal(capsys):
    for words in (["air", "12C\x1b[2J", "85%"], ["light", "--place", "\x1b]0;x\x07", "--fastness", "poor"]):
        assert main(["reckon", *words]) == 2
        assert "\x1b" not in capsys.readouterr().err
