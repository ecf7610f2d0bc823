"""A session on consoles: plain lines through pipes, prompt_toolkit on a pipe input, saving, the words of any prompt."""

import io
import os
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest
import shipped

from diagnose import casefile
from diagnose.case import Case
from diagnose.casefile import NotSaved, case_text, free_name, held, open_case, save
from diagnose.commands import WORDS
from diagnose.complaint import Complaint
from diagnose.consultation import Consultation
from diagnose.plain import PlainConsole
from diagnose.session import Session

DIAGNOSER = shipped.diagnoser()
ROOT = Path(__file__).resolve().parents[1]
OPENING = "rough\nfirst_wet\nall_over\nfibres\ncherry\nsolid\nnew_wood\n"


def play(tmp_path, written, case=None):
    """Run a session on `written`; returns what it said and the file."""
    path = tmp_path / "shop.yaml"
    out = io.StringIO()
    Session(
        Consultation(DIAGNOSER, case or open_case(path, DIAGNOSER.knowledge)),
        path,
        PlainConsole(io.StringIO(written), out),
    ).run()
    return " ".join(out.getvalue().split()), path


def test_every_answer_is_in_the_file_as_soon_as_it_is_given(tmp_path):
    path = tmp_path / "shop.yaml"
    seen = []

    class Watching(io.StringIO):
        def readline(self, *limit):
            seen.append(path.read_text() if path.exists() else "")
            return super().readline(*limit)

    Session(Consultation(DIAGNOSER, Case("shop")), path, PlainConsole(Watching(OPENING), io.StringIO())).run()
    assert "complaint: rough" in seen[1] and "feel: fibres" in seen[4] and "wood: black_cherry" in seen[5]


def test_the_words_work_at_any_prompt(tmp_path):
    for word in ("why", "standing", "save", "help"):
        said, _ = play(tmp_path, f"{word}\n{OPENING}{word}\n", Case("shop"))
        assert "Sorry" not in said, word
    said, _ = play(tmp_path, "back\n", Case("shop"))
    assert "no answer to take back" in said
    assert {w.name for w in WORDS} >= {"back", "why", "standing", "save", "leave", "help"}


def test_no_answer_of_the_knowledge_is_a_word_of_the_session():
    words = {word.name for word in WORDS}
    for finding in DIAGNOSER.knowledge.findings.values():
        assert not words & set(finding.answers)
    for attribute in DIAGNOSER.knowledge.attributes.values():
        assert not words & set(attribute.values)


def test_going_back_in_a_session_is_saved_too(tmp_path):
    _, path = play(tmp_path, OPENING + "back\nleave\n")
    assert "form: solid" in path.read_text() and "state:" not in path.read_text()


def test_a_hand_written_file_keeps_its_comments_and_other_entries(tmp_path):
    path = tmp_path / "shop.yaml"
    path.write_text(
        "# the walnut box for the fair\ncase: box\nnotes: ask the client  # on Monday\npiece: {wood: black_walnut}\n"
    )
    play(tmp_path, "rough\nfirst_wet\nall_over\nfibres\nsolid\n")
    text = path.read_text()
    assert text.startswith("# the walnut box for the fair\n") and "# on Monday" in text
    again = open_case(path, DIAGNOSER.knowledge)
    assert (
        again.notes == "ask the client"
        and again.piece["wood"].values == ("black_walnut",)
        and again.piece["form"].values == ("solid",)
    )


def test_when_it_cannot_be_saved_it_says_so_and_keeps_the_answers(tmp_path, monkeypatch):
    real, broken = os.replace, True

    def full(source, target):
        if broken:
            raise OSError(28, "No space left on device")
        return real(source, target)

    monkeypatch.setattr(casefile.os, "replace", full)
    said, path = play(tmp_path, OPENING + "leave\n" + "leave anyway\n")
    assert "NOT SAVED: No space left on device" in said and "leave anyway" in said
    assert not path.exists() and not list(tmp_path.glob("*.part"))
    broken = False
    said, path = play(tmp_path, OPENING + "save\n")
    assert "Saved in" in said and "complaint: rough" in path.read_text()


def test_a_failed_write_leaves_the_old_file_whole(tmp_path, monkeypatch):
    path = tmp_path / "shop.yaml"
    save(Case("shop"), path, "v1")
    before = path.read_bytes()
    monkeypatch.setattr(casefile.os, "fsync", lambda _: (_ for _ in ()).throw(OSError(5, "Input/output error")))
    with pytest.raises(NotSaved):
        save(Case("other"), path, "v2")
    assert path.read_bytes() == before and [p.name for p in tmp_path.iterdir()] == ["shop.yaml"]


def test_saving_keeps_the_mode_of_the_file(tmp_path):
    path = tmp_path / "shop.yaml"
    save(Case("shop"), path, "v1")
    path.chmod(0o600)
    save(Case("shop"), path, "v2")
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_copy_never_overwrites(tmp_path):
    other = tmp_path / "copy.yaml"
    said, _ = play(tmp_path, OPENING + f"save {other}\nsave {other}\nsave {tmp_path}/copy.txt\n")
    assert "A copy is in" in said and "exists already" in said and "ends in .yaml" in said
    assert "complaint: rough" in other.read_text()


def test_a_second_consultation_on_one_case_is_told(tmp_path):
    path = tmp_path / "shop.yaml"
    with held(path):
        done = subprocess.run(
            [sys.executable, "-m", "diagnose", "--case", str(path)],
            cwd=ROOT,
            input="",
            capture_output=True,
            text=True,
            check=False,
        )
    assert done.returncode == 2 and done.stderr.count("\n") == 1
    assert "another consultation has this case open" in done.stderr
    with held(path):
        pass


def test_killed_at_any_moment_what_was_acknowledged_is_there(tmp_path):
    """Kill the process (SIGKILL) after each of the first answers was acknowledged; the file holds all of them."""
    answers = ["rough", "first_wet", "all_over", "fibres", "cherry", "solid"]
    for count in range(1, len(answers) + 1):
        path = tmp_path / f"killed-{count}.yaml"
        process = subprocess.Popen(
            [sys.executable, "-m", "diagnose", "--case", str(path)],
            cwd=ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        process.stdin.write("\n".join(answers[:count]) + "\n")
        process.stdin.flush()
        acknowledged, deadline = 0, time.monotonic() + 30
        while (
            acknowledged <= count and time.monotonic() < deadline
        ):  # one prompt more than answers: all are acknowledged
            acknowledged += process.stdout.read(1) == ">"
        process.kill()
        process.wait()
        process.stdout.close()
        process.stdin.close()
        case = open_case(path, DIAGNOSER.knowledge)
        assert len(case.findings) + len(case.piece) == count
        with held(path):  # the dead process does not hold it
            pass


def test_a_folder_that_cannot_be_written_to_is_said_before_anything_is_asked(tmp_path):
    (tmp_path / "file").write_text("")
    done = subprocess.run(
        [sys.executable, "-m", "diagnose", "--case", str(tmp_path / "file" / "x.yaml")],
        cwd=ROOT,
        input="rough\n",
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2 and done.stdout == "" and done.stderr.count("\n") == 1


def test_nothing_is_left_behind_where_the_case_cannot_be_taken_up(tmp_path):
    with pytest.raises(Complaint), held(tmp_path / "case.txt"):
        open_case(tmp_path / "case.txt", DIAGNOSER.knowledge)
    assert list(tmp_path.iterdir()) == []


def test_new_names_are_free(tmp_path):
    (tmp_path / "finish-1.yaml").write_text("")
    assert free_name(tmp_path).name == "finish-2.yaml"


def test_a_list_of_cases_is_not_taken_up(tmp_path):
    path = tmp_path / "many.yaml"
    path.write_text("- case: a\n- case: b\n")
    with pytest.raises(Complaint, match="list of cases"):
        open_case(path, DIAGNOSER.knowledge)


def test_case_text_is_read_back_the_same(tmp_path):
    from diagnose.case import read_cases
    from diagnose.folder import example_files

    for file in example_files():
        for case in read_cases(file, DIAGNOSER.knowledge):
            path = tmp_path / "again.yaml"
            path.write_text(case_text(case, "v"), encoding="utf-8")
            (again,) = read_cases(path, DIAGNOSER.knowledge)

            def strip(table):
                return {name: given.values for name, given in table.items()}

            assert strip(again.findings) == strip(case.findings) and strip(again.piece) == strip(case.piece)
            assert [(s.do, strip(s.given)) for s in again.steps] == [(s.do, strip(s.given)) for s in case.steps]


def test_prompt_toolkit_drives_the_same_session(tmp_path):
    from prompt_toolkit import PromptSession
    from prompt_toolkit.input import create_pipe_input
    from prompt_toolkit.output import DummyOutput

    from diagnose.terminal import TerminalConsole

    path = tmp_path / "shop.yaml"
    with create_pipe_input() as keys:
        keys.send_text("rough\rfirst_wet\rall_over\rfibres\rcherry\rsolid\rback\rveneer\rleave\r")
        console = TerminalConsole(PromptSession(input=keys, output=DummyOutput()))
        status = Session(Consultation(DIAGNOSER, Case("shop")), path, console).run()
    assert status == 0
    assert "form: veneer" in path.read_text()


@pytest.mark.parametrize("width", [40, 60, 80, 96])
def test_the_standing_line_fits_and_names_the_leading_cause(tmp_path, width):
    said = "\n".join(["colour_changed", "long_after", "walnut", "solid", "", "", "direct_sun", "10 years", "done"])
    console = PlainConsole(io.StringIO(said + "\n"), io.StringIO())
    console.width = width
    session = Session(Consultation(DIAGNOSER, Case("shop")), tmp_path / "shop.yaml", console)
    assert session.standing_line() == "nothing said yet"
    session.run()
    leading = next(row for row in session.now.diagnosis.ranking if row.cause)
    line = session.standing_line()
    assert len(line) <= width and leading.name[:8] in line and "none" in line


VAGUE = "rough\n" + "\n" * 8 + "done\n" + "\n" * 6  # a complaint, a page of don't knows, and six more of them


def test_report_works_at_the_end_and_before_anything_was_said(tmp_path):
    said, _ = play(tmp_path, "report\nmore\nstanding\nwhy\n", Case("shop"))
    assert said.count("Nothing was said yet.") == 2 and "part of that page" in said and "(strategy first_looks)" in said
    said, _ = play(tmp_path, VAGUE + "report\n")
    assert "HOW THIS WAS REASONED" in said and "Several answers in a row were not known" in said


def test_more_asks_further_after_it_had_stopped(tmp_path):
    stopped, _ = play(tmp_path, VAGUE, Case("shop"))
    went_on, _ = play(tmp_path, VAGUE + "more\n", Case("shop"))
    before, after = stopped.split("Several answers")[1], went_on.split("Several answers")[1]
    assert after.count("?") > before.count("?")


def test_what_leads_is_said_first_in_the_standing_line(tmp_path):
    path = tmp_path / "shop.yaml"
    session = Session(
        Consultation(DIAGNOSER, Case("shop")).answer("something_else"), path, PlainConsole(io.StringIO(), io.StringIO())
    )
    assert session.standing_line().startswith("Stands now: none of these ")


def test_a_general_name_is_taken_with_what_else_it_may_mean(tmp_path):
    said, path = play(tmp_path, "rough\n\n\n\nmaple\n")
    assert "wood: sugar_maple" in path.read_text()
    assert "if you meant" in said and "red maple" in said
    said, _ = play(tmp_path, "back\nblack_cherry\n")
    assert "if you meant" not in said


def test_plain_lines_that_cannot_be_used_do_not_go_on_for_ever(tmp_path):
    said, path = play(tmp_path, "\n" * 50)
    assert said.count("without a complaint") == 5 and "Left" in said and not path.exists()


def test_stopping_without_a_likely_cause_does_not_call_that_enough(tmp_path):
    """Latex over an old gloss coat, sanding dust between: the work is the same whichever of three causes it was."""
    path = tmp_path / "shop.yaml"
    path.write_text(
        "{piece: {wood: eastern_white_pine, form: solid, state: over_old_finish, surface: upright, place: inside_room, "
        "age: 1 month}, steps: [{do: unknown_coat}, {do: sanding, grit: 400}, {do: paint, product: waterborne_paint, "
        "dried: unknown}], findings: {complaint: film_loose, noticed: days_after, how_many: places, break_look: sheets, "
        "parted_at: between_coats, bared_face: unknown, scuffed_between: dull, touched_between: dust, lets_go_at: anywhere, "
        "dust_taken_off: unknown, water_reaches: unknown}, page_done: yes}"
    )
    said, _ = play(tmp_path, "leave\n")
    assert "stays open" in said and "Enough is known" not in said


def test_how_climbs_from_weights_to_mechanisms_to_sources_and_begins_anew_for_another_state(tmp_path):
    said, _ = play(tmp_path, OPENING + "how\nhow\nhow\n")
    weights, mechanisms, all_of_it = said.split("> ")[-4:-1]
    assert "why each of these weighs so" in weights and "SOURCES" not in weights
    assert "the rules, their sources and the chain" in mechanisms
    assert "HOW THIS WAS REASONED" in all_of_it
    cause = weights.strip().partition(":")[0]
    assert f"WHY: {cause.upper()}" in all_of_it


def test_an_answer_can_be_told_unasked_and_changed(tmp_path):
    said, path = play(tmp_path, OPENING + "tell how many = places\ntell state = refinished\nleave\n")
    text = path.read_text()
    assert "state: refinished" in text and "how_many: places" in text
    assert "only in some places" in said


def test_tell_with_a_question_alone_asks_it_and_back_lets_it_be(tmp_path):
    said, path = play(tmp_path, OPENING + "tell humidity\n45 %\nleave\n")
    assert "How humid" in said and "humidity: 45 %" in path.read_text()
    (tmp_path / "other").mkdir()
    said, path = play(tmp_path / "other", OPENING + "tell humidity\nback\nleave\n")
    assert "How humid" in said and "humidity" not in path.read_text()


@pytest.mark.parametrize(
    "written", ["how xyzzy", "why not", "suppose", "suppose x = y", "tell", "tell xyzzy = 3", "overturn now"]
)
def test_what_cannot_be_asked_back_is_refused_kindly(tmp_path, written):
    said, _ = play(tmp_path, OPENING + written + "\nleave\n")
    assert "Sorry: " in said and "Traceback" not in said


@pytest.mark.parametrize(
    "written", ["how", "why not lap marks", "suppose pattern = rings", "overturn", "tell pattern = rings"]
)
def test_before_anything_was_said_there_is_nothing_to_explain(tmp_path, written):
    said, _ = play(tmp_path, written + "\nleave\n")
    assert "Nothing was said yet." in said or "Say what is wrong first" in said


def test_what_a_general_name_with_words_in_passing_may_also_mean_is_said(tmp_path):
    said, _ = play(tmp_path, "rough\nfirst_wet\nall_over\nfibres\nold oak boards\nleave\n")
    assert "red oak (if you meant white oak" in said


def test_after_several_not_known_the_number_of_a_question_asks_it(tmp_path):
    stopped, _ = play(tmp_path, VAGUE, Case("shop"))
    first = stopped.split("once you have looked or tried:")[1].split("(", 1)[0].removeprefix(" 1 ").strip()
    asked, _ = play(tmp_path, VAGUE + "1\n", Case("shop"))
    assert asked.split("its number asks one of them")[1].count(first[:40]) == 1
    refused, _ = play(tmp_path, VAGUE + "77\n", Case("shop"))
    assert "Nothing is being asked now" in refused


@pytest.mark.parametrize(("written", "also"), [("polyurethane", "waterborne acrylic"), ("shellac", "dewaxed shellac")])
def test_a_product_named_as_the_step_says_what_else_it_may_mean(tmp_path, written, also):
    said, _ = play(tmp_path, OPENING + f"large_flat\n{written}\nleave\n")
    meant = said.split("if you meant ")[1].split(")")[0]
    assert also in meant and "thinner" not in meant and "stripper" not in meant


def test_knowing_nothing_of_what_was_done_is_said_back_plainly(tmp_path):
    said, _ = play(tmp_path, OPENING + "large_flat\n\nleave\n")
    assert "nothing is known of what was done" in said
