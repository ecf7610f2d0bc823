"""Two states of a knowledge base compared over a library of cases."""

import pytest
from conftest import write_knowledge

from diagnose.cli import main
from diagnose.compare import Changed, as_text, compare
from diagnose.diagnosis import Diagnoser
from diagnose.load import load

CASES = """\
- case: lifted
  steps: [{do: colourant, product: water_dye}, {do: clear_coat, product: water_varnish}]
  findings: {rag_takes_colour: yes}
- case: hazy
  findings: {complaint: haze}
"""


@pytest.fixture
def library(tmp_path):
    path = tmp_path / "library.yaml"
    path.write_text(CASES)
    return path


def states(tmp_path, old, new):
    before, after = (write_knowledge(tmp_path / name) for name in ("before", "after"))
    path = after / "causes/colour/dye_lifted.yaml"
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new))
    return Diagnoser(load(before)), Diagnoser(load(after))


def test_nothing_moves_where_nothing_changed(tmp_path, library):
    before, after = states(tmp_path, "It needs water.", "Water it needs.")
    assert list(compare(before, after, [library])) == []


def test_a_case_that_moves_is_shown_with_the_rule_that_moved_it(tmp_path, library):
    (move,) = compare(*states(tmp_path, "yes: strong for", "yes: fair against"), [library])
    assert move.case == "lifted"
    assert move.before[0][0] == "dye_lifted" and move.after[0][0] == "unlisted"
    assert move.changed == (Changed("dye_lifted", "dye_lifted/rag_takes_colour", 10, -5),)
    assert "dye_lifted/rag_takes_colour: +10 -> -5" in as_text([move], 2) and "1 of 2 cases" in as_text([move], 2)


def test_a_link_that_has_gone_or_come_is_named(tmp_path, library):
    link = "  - {condition: water_over_colour, weights: {holds: fair for}, because: It needs water., source: common practice}\n"
    (move,) = compare(*states(tmp_path, link, ""), [library])
    assert move.changed == (Changed("dye_lifted", "dye_lifted/water_over_colour", 5, None),)
    assert "+5 -> not there" in as_text([move], 2)


def test_a_case_that_one_state_cannot_read_is_told(tmp_path, library):
    before, after = states(tmp_path, "It needs water.", "Water.")
    library.write_text("findings: {complaint: gremlins}\n")
    (move,) = compare(before, after, [library])
    assert "gremlins" in move.unread and "cannot be compared" in as_text([move], 1)


def test_the_command_compares_the_shipped_base_with_an_earlier_folder(tmp_path, library, capsys):
    library.write_text("findings: {complaint: haze}\n")
    assert main(["audit", "--against", str(write_knowledge(tmp_path / "earlier")), str(library)]) == 0
    out = capsys.readouterr().out
    assert "cases moved" in out and str(library) in out
