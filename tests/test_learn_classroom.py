"""Practice and lessons on consoles: right, wrong, vague and impatient apprentices, pipes, and the command line."""

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
import shipped
from conftest import ROOT_CASES
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.classroom import REFUSED_IN_A_ROW, Classroom
from diagnose.classroom_words import WORDS
from diagnose.commands import WORDS as SESSION_WORDS
from diagnose.complaint import Complaint
from diagnose.folder import example_files
from diagnose.plain import PlainConsole
from diagnose.practice import begin
from diagnose.practice_draw import RULES, Library, draw, scope_of
from diagnose.progress import ProgressFile

DIAGNOSER = shipped.diagnoser()
KNOWLEDGE = DIAGNOSER.knowledge
SAVED = Library(KNOWLEDGE, example_files(), sorted(ROOT_CASES.rglob("*.yaml")))
CASES = [draw(DIAGNOSER, SAVED, scope_of(KNOWLEDGE, ["blotch"]), seed, RULES) for seed in (3, 4)]
RIGHT = KNOWLEDGE.causes[CASES[0].causes[0]].name
WRONG = KNOWLEDGE.causes["dye_faded"].name
ROOT = Path(__file__).resolve().parents[1]


def classroom(written="", path=None, width=80):
    out = io.StringIO()
    console = PlainConsole(io.StringIO(written), out)
    console.width = width
    kept = ProgressFile(path or Path("/nowhere/at/all/learning.yaml"))
    return Classroom(DIAGNOSER, console, lambda number: CASES[number % 2], kept, "2026-03-31"), out


def play(written, path=None, width=80):
    """What is said to these lines, white space folded."""
    room, out = classroom(written, path, width)
    assert room.run() == 0
    return " ".join(out.getvalue().split())


def number_of(name):
    return begin(DIAGNOSER, CASES[0]).offered.index(name) + 1


def test_the_right_verdict_after_some_checks(tmp_path):
    path = tmp_path / "learning.yaml"
    name = "lies_at"
    said = play(f"{number_of(name)}\nsuspect {RIGHT}\npage\nverdict 1\nleave\n", path)
    assert f"Suspected: {RIGHT}." in said and f"Right. It was: {RIGHT}." in said
    assert "YOUR CHECKS, IN ORDER" in said and "THE PRICE" in said and f"WHY: {RIGHT.upper()}" in said
    (done,) = ProgressFile.opened(path).progress.practised
    assert done.right and done.cause == done.verdict == CASES[0].causes[0] and done.day == "2026-03-31"
    assert done.checks == (name,) and done.minutes == 1 and done.suspects == (done.cause,)


def test_a_wrong_verdict(tmp_path):
    path = tmp_path / "learning.yaml"
    said = play(f"verdict {WRONG}\n", path)
    assert f"Not so. It was: {RIGHT}. Your verdict: {WRONG}." in said and "WHAT TELLS THE TWO APART" in said
    (done,) = ProgressFile.opened(path).progress.practised
    assert (done.right, done.verdict) == (False, "dye_faded")


def test_giving_up_and_another_case(tmp_path):
    path = tmp_path / "learning.yaml"
    said = play("concede\nmore\nconcede\n", path)
    assert said.count("You gave it up. It was:") == 2 and RIGHT in said
    assert [one.verdict for one in ProgressFile.opened(path).progress.practised] == ["given_up", "given_up"]


@pytest.mark.parametrize("word", ["why", "standing", "report"])
def test_where_the_causes_stand_is_withheld_until_the_verdict(word):
    before = play(f"{word}\n")
    assert "withheld until your verdict" in before and RIGHT not in before and "almost certain" not in before
    after = play(f"concede\n{word}\n")
    assert "withheld" not in after and len(after) > len(play("concede\n"))


def test_no_cause_is_named_before_the_verdict():
    """Neither the page, the lists of checks, how they are done nor the hints give a cause away."""
    said = play("page\nchecks\nhow 1\nnudge\nnudge\n3\nchecks look\nhelp\nsave\nback\n")
    assert not [cause.name for cause in KNOWLEDGE.causes.values() if cause.name in said]
    assert CASES[0].causes[0] not in said


def test_hints_name_the_kind_and_then_the_check():
    room, out = classroom()
    room.begin()
    _, best = room.now.hint()
    room._take("nudge")
    assert best.open.kind.name in out.getvalue().splitlines()[-1] + out.getvalue().splitlines()[-2]
    room._take("nudge")
    assert f"{number_of(best.open.id)}, " in out.getvalue().splitlines()[-1] and room.now.hints == 2
    room._take(str(number_of(best.open.id)))
    room._take("nudge")
    assert "A check of this kind" in out.getvalue().splitlines()[-1] + out.getvalue().splitlines()[-2]


@pytest.mark.parametrize(
    "line, says",
    [
        ("", "nothing was chosen"),
        ("0", "is no number here"),
        ("999999999999", "is no number here"),
        ("-3", "'-3' is no number here"),
        ("²", "nothing here goes by '²'"),
        ("٣٣٣", "is no number here"),
        ("xyzzy", "nothing here goes by 'xyzzy'"),
        (RIGHT, f"`suspect {RIGHT}` to suspect it"),
        ("verdict", "which cause is your verdict"),
        ("verdict dye", "fits"),
        ("verdict zzzz", "no cause goes by"),
        ("suspect", "whom?"),
        ("suspect 4", "no suspect"),
        ("drop", "no cause is named"),
        ("drop dye_faded", "Was not suspected"),
        ("how", "how what is done"),
        ("how zzzz", "nothing here goes by"),
        ("checks zzzz", "nothing here goes by"),
        ("causes zzzzqq", "no cause or family has"),
        ("causes liftng", "did you mean lifting"),
        ("back", "nothing to take back"),
        ("more", "this case has no verdict yet"),
        ("back of the panel", "nothing here goes by"),
        ("VERDICT none of these", "Not so."),
        ("Suspect  none  of  these", "Suspected: none of the causes"),
        ("checks WIPE test", "(3 min each)"),
        ("causes", "lifting: Colour lifting"),
        ("causes lifting", "Water in the coat takes up the dye"),
        ("causes glue", "Dried glue"),
    ],
)
def test_whatever_is_typed_is_answered_kindly(line, says):
    assert says in play(line + "\n")


def test_a_word_of_several_questions_lists_them_and_of_one_makes_the_check():
    assert "Its number makes a check" in play("glue\n") or "min in all" in play("glue\n")
    said = play("where most of the odd places lie\n")
    assert "= " in said and "min in all" in said
    again = play(f"{number_of('lies_at')}\n" * 2)
    assert "was made already" in again


def test_back_takes_back_naming_and_dropping_but_not_what_was_seen():
    said = play("suspect dye_faded\nsuspect wood_darkened\nback\ndrop 1\nback\n1\nback\n")
    assert f"Taken back. Suspected now: {WRONG}." in said and said.count("Taken back") == 2
    assert "cannot be unseen" in said


def test_after_the_verdict_only_looking_back_is_left():
    said = play("concede\n3\n\nsuspect dye\nverdict dye_faded\nback\nnudge\npage\nhelp\n")
    assert said.count("the verdict is given") == 6 and said.count("THE VERDICT") == 1


def test_input_may_end_anywhere():
    for written in ("", "1\n", "suspect dye_faded\n"):
        assert "Left without a verdict; nothing was written down" in play(written)
    assert play("concede\n").endswith("Left.")


def test_lines_that_cannot_be_used_do_not_go_on_for_ever():
    said = play("\n" * 50)
    assert said.count("nothing was chosen") == REFUSED_IN_A_ROW and "lines in a row" in said
    said = play(("zzzz\n" * (REFUSED_IN_A_ROW - 1) + "save\n") * 2)  # something useful begins the count anew
    assert "lines in a row" not in said


def test_where_progress_cannot_be_written_practice_goes_on(tmp_path):
    (tmp_path / "file").write_text("")
    said = play("concede\nmore\nconcede\n", tmp_path / "file" / "learning.yaml")
    assert said.count("NOT WRITTEN DOWN") == 2 and said.count("THE VERDICT") == 2


@pytest.mark.parametrize("width", [40, 60, 80])
def test_no_line_is_wider_than_the_screen(width):
    room, out = classroom("page\nchecks\nhow 2\n2\nsuspect dye_faded\nverdict 1\nwhy\nstanding\nhelp\n", width=width)
    room.run()
    assert max(map(len, out.getvalue().splitlines())) <= width


def test_the_words_of_a_consultation_are_words_of_a_practice():
    """All but `tell`: what is found is told by the case here, not by the apprentice."""
    assert {word.name for word in SESSION_WORDS} - {"tell"} <= {word.name for word in WORDS}


def test_after_the_verdict_questions_can_be_put_back_to_the_program():
    said = play("why not lap marks\nconcede\nwhy not lap marks\noverturn\nsuppose complaint = rough\nwhy not xyzzy\n")
    before, after = said.split("THE VERDICT")
    assert "in all" not in before and "in all" in after
    assert "rests most on" in after or "No single answer carries" in after
    assert "Then would stand" in after and "no cause goes by" in after


LINES = st.one_of(
    st.text(max_size=30),
    st.integers(-5, 60).map(str),
    st.sampled_from([word.name for word in WORDS if word.name not in ("verdict", "concede", "leave")]),
    st.tuples(
        st.sampled_from(["suspect", "drop", "how", "checks", "causes", "back", "why", "more"]), st.text(max_size=12)
    ).map(" ".join),
    st.sampled_from(
        ["suspect 1", "drop 1", "suspect dye", "rag", "look", "suspect glue", "nudge", "٣", "²", "1.5", "%s"]
    ),
)


@settings(max_examples=40, deadline=None)
@given(st.lists(LINES, max_size=6))
def test_nothing_that_is_typed_ends_in_a_traceback(lines):
    room, out = classroom()
    room.console.tells_standing = False
    room.begin()
    for line in lines:
        assert room._take(line) is True or line.split()[:1] == ["leave"]
        assert len(room.standing_line()) > 0
    assert not set(out.getvalue()) - {"\n"} & set(map(chr, range(32)))


def test_prompt_toolkit_drives_the_same_practice(tmp_path):
    from prompt_toolkit import PromptSession
    from prompt_toolkit.input import create_pipe_input
    from prompt_toolkit.output import DummyOutput

    from diagnose.terminal import TerminalConsole

    path = tmp_path / "learning.yaml"
    with create_pipe_input() as keys:
        keys.send_text("1\rsuspect dye_faded\rback\rconcede\rleave\r")
        console = TerminalConsole(PromptSession(input=keys, output=DummyOutput()))
        room = Classroom(DIAGNOSER, console, lambda number: CASES[0], ProgressFile(path), "2026-03-31")
        assert room.run() == 0
    assert len(ProgressFile.opened(path).progress.practised) == 1


# -- the command line ------------------------------------------------------------------------------------------------------


def diagnose(*arguments, text_in="", data=None, cwd=ROOT):
    return subprocess.run(
        [sys.executable, "-m", "diagnose", "learn", *map(str, arguments)],
        cwd=cwd,
        input=text_in,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT), "XDG_DATA_HOME": str(data or "/nowhere/at/all"), "COLUMNS": "80"},
    )


def test_a_practice_through_a_pipe_and_the_same_again(tmp_path):
    first = diagnose("practice", "lifting", "--seed", 7, text_in="1\nconcede\n", data=tmp_path)
    again = diagnose("practice", "lifting", "--seed", 7, text_in="1\nconcede\n", data=tmp_path)
    assert first.returncode == 0 and first.stdout == again.stdout and "\x1b" not in first.stdout
    assert "The same case again: diagnose learn practice lifting --seed 7" in first.stdout
    other = diagnose("practice", "lifting", "--seed", 8, text_in="1\nconcede\n", data=tmp_path)
    assert other.stdout != first.stdout
    kept = ProgressFile.opened(tmp_path / "diagnose-wood-finish" / "learning.yaml").progress
    assert [one.again for one in kept.practised] == ["practice lifting --seed 7"] * 2 + ["practice lifting --seed 8"]


def test_the_overview_follows_what_was_done(tmp_path):
    path = tmp_path / "mine.yaml"
    before = json.loads(diagnose("--format", "json", "--progress", path).stdout)
    assert before["practised"] == 0 and before["next"]["command"].startswith("diagnose learn ")
    assert {row["family"] for row in before["families"]} == set(KNOWLEDGE.families)
    assert sum(row["causes"] for row in before["families"]) == len(KNOWLEDGE.causes)
    diagnose("practice", "dye_faded", "--seed", 1, "--progress", path, text_in="verdict wood_darkened\n")
    diagnose("lifting", "--progress", path)
    after = json.loads(diagnose("--format", "json", "--progress", path).stdout)
    assert after["confused"] == [{"cause": "dye_faded", "taken_for": "wood_darkened", "times": 1}]
    assert after["next"]["command"] == "diagnose learn practice --drill" and after["practised"] == 1
    assert [row["family"] for row in after["families"] if row["read"]] == ["lifting"]
    text = " ".join(diagnose("--progress", path).stdout.split())
    assert "1 case practised, 0 verdicts right" in text
    assert f"Taken for '{KNOWLEDGE.causes['wood_darkened'].name}' when it was '{WRONG}': 1 time." in text
    drilled = diagnose("practice", "--drill", "--progress", path, text_in="concede\n")
    assert drilled.returncode == 0 and "practice dye_faded wood_darkened --seed" in " ".join(drilled.stdout.split())


@pytest.mark.parametrize(
    "arguments, says",
    [
        (["liftin"], "did you mean lifting"),
        (["practice", "liftin"], "did you mean lifting"),
        (["practice", "--seed", "x"], "is no seed"),
        (["practice", "--seed", "-1"], "is no seed"),
        (["practice", "--format", "json"], "has no JSON"),
        (["practice", "--from", "memory"], "invalid choice"),
        (["practice", "--drill"], "no two causes were confused"),
        (["practice", "--cases", "nowhere.yaml"], "there is no such file"),
        (["practice", "--progress", "mine.txt"], "ends in .yaml"),
        (["lifting", "--seed", "7"], "--seed is for practice"),
        (["--drill"], "--drill is for practice"),
    ],
)
def test_what_cannot_be_used_is_one_message(arguments, says, tmp_path):
    done = diagnose(*arguments, data=tmp_path)
    assert done.returncode == 2 and done.stderr.count("\n") == 1 and says in done.stderr
    assert "Traceback" not in done.stderr


def test_a_damaged_progress_file_is_one_message_and_stays_as_it_is(tmp_path):
    path = tmp_path / "mine.yaml"
    path.write_text("- {day: soon, read: use}\n")
    for arguments in ([], ["lifting"], ["practice", "--seed", "7"]):
        done = diagnose(*arguments, "--progress", path)
        assert done.returncode == 2 and done.stdout == "" and f"{path}:1:9" in done.stderr
        assert done.stderr.count("\n") == 1
    assert path.read_text() == "- {day: soon, read: use}\n"


def test_own_cases_alone_are_practised_on_where_they_are_named(tmp_path):
    path = tmp_path / "ours.yaml"
    path.write_text((ROOT / "cases" / "hall_table.yaml").read_text() + "expect: {first: dye_lifted_by_water}\n")
    for names in ([], ["lifting"]):
        done = diagnose("practice", *names, "--cases", path, text_in="concede\nmore\n", data=tmp_path)
        assert done.returncode == 0 and done.stdout.count("Hall table, red dye in the brush") == 1
        assert f"--cases{path}" in "".join(done.stdout.split())
    for names, option, says in (
        (["fading"], [], "none of the cases named settles such a cause"),
        ([], ["--drill"], "not with --drill or --from"),
        ([], ["--from", "rules"], "not with --drill or --from"),
    ):
        done = diagnose("practice", *names, *option, "--cases", path, data=tmp_path)
        assert done.returncode == 2 and says in done.stderr
    unsettled = tmp_path / "unsettled.yaml"
    unsettled.write_text("findings: {complaint: rough}\n")
    done = diagnose("practice", "--cases", unsettled, data=tmp_path)
    assert done.returncode == 2 and "none of the cases named" in done.stderr


def test_a_library_of_own_cases_has_no_others(tmp_path):
    path = tmp_path / "ours.yaml"
    path.write_text((ROOT / "cases" / "hall_table.yaml").read_text() + "expect: {first: dye_lifted_by_water}\n")
    library = Library(KNOWLEDGE, [], [path])
    drawn = draw(DIAGNOSER, library, scope_of(KNOWLEDGE, ["dye_lifted_by_water"]), 7)
    assert drawn.case.id == "hall_table" and not drawn.made
    with pytest.raises(Complaint):
        draw(DIAGNOSER, library, scope_of(KNOWLEDGE, ["dye_faded"]), 7)


def test_stopping_by_key_does_not_claim_that_a_practice_is_saved(capsys):
    from prompt_toolkit import PromptSession
    from prompt_toolkit.input import create_pipe_input
    from prompt_toolkit.output import DummyOutput

    from diagnose.terminal import TerminalConsole

    for saved in (True, False):
        with create_pipe_input() as keys:
            keys.send_text("\x03leave\r")
            console = TerminalConsole(PromptSession(input=keys, output=DummyOutput()), saved=saved)
            assert console.ask([], "") == "leave"
        assert ("saved" in capsys.readouterr().out) is saved
