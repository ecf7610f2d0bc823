"""Test boards: read and checked with their places, laid over by a shop's own, kept, and held to the rules."""

import json
from pathlib import Path

import pytest
import shipped
from conftest import BOARD, write_knowledge

from diagnose.audit import audit
from diagnose.boards import board_cautions, halves
from diagnose.complaint import Complaint
from diagnose.diagnosis import Diagnoser
from diagnose.flaws import LIKELY, PARTS
from diagnose.load import load
from diagnose.packing import pack, unpack


@pytest.fixture
def base(tmp_path):
    """Writes the small base with a file of boards and loads it."""

    def loaded(text=BOARD, own=None):
        folder = write_knowledge(tmp_path / "base")
        (folder / "boards").mkdir(exist_ok=True)
        (folder / "boards" / "lifting.yaml").write_text(text)
        loaded.folder = folder
        return load(folder, own)

    return loaded


def test_a_board_is_read_with_all_it_says(base):
    board = base().boards["dye_board"]
    assert board.cause == "dye_lifted" and board.minutes == 30 and board.waits == 86400
    assert [step.given["product"].values for step in board.fails] == [("water_dye",), ("water_varnish",)]
    assert board.finds["rag_takes_colour"].values == ("yes",) and board.otherwise == {}
    assert board.fails_show == "The coat turns brown." and board.sound_shows == "The coat stays clear."


def test_work_may_be_told_in_two_units(base):
    assert base(BOARD.replace("work: 30 min", "work: 1 h 15 min")).boards["dye_board"].minutes == 75


def test_the_halves_are_cases_that_differ_as_said(base):
    knowledge = base(BOARD.replace("    says:", "    otherwise: {complaint: streaks}\n    says:"))
    fails, sound = halves(knowledge.boards["dye_board"])
    assert fails.piece == sound.piece and fails.findings["rag_takes_colour"] == sound.findings["rag_takes_colour"]
    assert fails.findings["complaint"].values == ("colour_came_off",)
    assert sound.findings["complaint"].values == ("streaks",)


def test_the_cautions_are_those_of_all_that_is_used(base):
    diagnoser = Diagnoser(base())
    assert [c.id for c in board_cautions(diagnoser, diagnoser.knowledge.boards["dye_board"])] == ["flammable"]
    diagnoser = Diagnoser(base(BOARD.replace("    uses: [shellac]\n", "")))
    assert board_cautions(diagnoser, diagnoser.knowledge.boards["dye_board"]) == []
    step = BOARD.replace("    uses: [shellac]\n", "").replace("product: fast_stain", "product: shellac")
    diagnoser = Diagnoser(base(step))
    assert [c.id for c in board_cautions(diagnoser, diagnoser.knowledge.boards["dye_board"])] == ["flammable"]


@pytest.mark.parametrize(
    "old, new, line, says",
    [
        ("shows: dye_lifted", "shows: dye_lift", 3, "did you mean dye_lifted"),
        ("product: water_dye}", "product: water_die}", 7, "did you mean water_dye"),
        ("do: colourant, product: fast", "do: colorant, product: fast", 8, "did you mean colourant"),
        ("rag_takes_colour: yes", "rag_take_colour: yes", 11, "did you mean rag_takes_colour"),
        ("uses: [shellac]", "uses: [shelac]", 15, "did you mean shellac"),
        ("uses: [shellac]", "hazards: [flamable]", 15, "did you mean flammable"),
        ("wood: oak", "wood: ok", 5, "did you mean oak"),
        ("work: 30 min", "work: 30", 13, "has no unit"),
        ("    waits: 1 day\n", "", 3, "lacks `waits:`"),
        ("see: {fails: The coat turns brown., ", "see: {", 10, "lacks `fails:`"),
        ("source: common practice", "source: hearsay", 16, "not in sources.yaml"),
        ("    ready: [A board of oak.]", "    ready: []", 6, "is empty"),
        ("name: A dye", "title: A dye", 4, "has no 'title'"),
        ("boards:\n", "board:\n", 1, "did you mean boards"),
    ],
)
def test_what_cannot_be_read_is_told_with_its_place_and_the_nearest_names(base, old, new, line, says):
    assert old in BOARD
    with pytest.raises(Complaint, match=says) as told:
        base(BOARD.replace(old, new))
    assert told.value.place.file.endswith("boards/lifting.yaml") and told.value.place.line == line


def test_two_files_cannot_have_one_board(base):
    base()
    (base.folder / "boards" / "more.yaml").write_text(BOARD)
    with pytest.raises(Complaint, match="defined twice"):
        load(base.folder)


def test_a_shop_adds_boards_and_puts_its_own_in_place_of_shipped_ones(base, tmp_path):
    own = tmp_path / "own"
    (own / "boards").mkdir(parents=True)
    text = BOARD.replace("A dye and a water varnish", "Ours")
    (own / "boards" / "ours.yaml").write_text(text + text.removeprefix("boards:\n").replace("dye_board", "second"))
    knowledge = base(own=own)
    assert knowledge.boards["dye_board"].name == "Ours" and set(knowledge.boards) == {"dye_board", "second"}
    assert knowledge.own["dye_board"] == "in place of the shipped one" and knowledge.own["second"] == "added"
    assert all(citation.own for citation in knowledge.boards["second"].source)


def test_boards_are_kept_like_all_else(base):
    made = Diagnoser(base())
    assert unpack(json.loads(json.dumps(pack(made)))).knowledge.boards == made.knowledge.boards


def test_the_audit_names_no_board_that_is_as_it_should_be(base):
    base()
    assert not [flaw for flaw in audit(base.folder) if flaw.of == "dye_board"]


def test_a_board_that_names_something_dangerous_must_list_it(base):
    base(BOARD.replace("[Coat both halves.]", "[Wipe with spirits.]"))
    more = {
        "materials/more.yaml": "spirits: {name: spirits, for: [cleaning], hazards: [toxic], source: handbook}",
        "cautions/more.yaml": "toxic: {title: T, says: S., source: handbook}",
    }
    for name, text in more.items():
        (base.folder / name).write_text(text)
    told = [flaw.what for flaw in audit(base.folder) if flaw.code == "no-caution"]
    assert told == ["dye_board names spirits without toxic"]


def test_the_shipped_boards_show_what_they_say_and_belong_to_their_family():
    knowledge = shipped.knowledge()
    for board in knowledge.boards.values():
        assert Path(board.place.file).stem == knowledge.causes[board.cause].family, board.id
        assert set(board.otherwise).isdisjoint({"complaint"}), board.id
    for board in list(knowledge.boards.values())[::6]:  # the audit diagnoses all of them
        fails, sound = map(shipped.diagnoser().diagnose, halves(board))
        rows = [next(row for row in one.ranking if row.id == board.cause) for one in (fails, sound)]
        assert fails.first.id == board.cause and fails.first.probability >= LIKELY, board.id
        assert rows[0].weight - rows[1].weight >= PARTS, board.id
