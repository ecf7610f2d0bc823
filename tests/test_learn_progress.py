"""The progress file: written whole or not at all, at its end, by several at once, and never over what cannot be read."""

import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose import casefile, progress
from diagnose.casefile import NotSaved
from diagnose.complaint import Complaint
from diagnose.progress import LessonRead, Practised, Progress, ProgressFile, parsed, with_entry
from diagnose.yamltree import LARGEST_FILE

ROOT = Path(__file__).resolve().parents[1]
LESSON = LessonRead("2026-03-30", "lifting")
DONE = Practised(
    "2026-03-31",
    "made_dye_faded",
    "dye_faded",
    "wood_darkened",
    False,
    ("noticed", "step 2 wet_edge"),
    ("wood_darkened",),
    12.5,
    4,
    2,
    "practice fading --seed 7",
)


def test_what_is_added_is_read_back(tmp_path):
    path = tmp_path / "not" / "yet" / "there" / "learning.yaml"
    kept = ProgressFile.opened(path)
    for entry in (LESSON, DONE, Practised("2026-04-01", "no: #1 'x'", "a", "unlisted", True)):
        kept.add(entry)
    assert ProgressFile.opened(path).progress == kept.progress
    assert kept.progress.practised[0] == DONE and kept.progress.read == {"lifting": "2026-03-30"}
    assert path.read_text().startswith("# What was read and practised")


names = st.from_regex(r"[a-z][a-z0-9_]{0,20}", fullmatch=True)
days = st.dates().map(lambda day: day.isoformat())
entries = st.one_of(
    st.builds(LessonRead, days, names),
    st.builds(
        Practised,
        days,
        st.text(st.characters(exclude_categories=("C", "Z")), min_size=1, max_size=20).filter(
            lambda t: t not in ("~", "null")
        ),
        names,
        names,
        st.booleans(),
        st.lists(names, max_size=3).map(tuple),
        st.lists(names, max_size=3).map(tuple),
        st.integers(0, 4000).map(lambda n: n / 2),
        st.integers(0, 4000).map(lambda n: n / 2),
        st.integers(0, 9),
        st.sampled_from(["", "practice --seed 7", "practice a b --seed 12 --from rules"]),
    ),
)


@given(st.lists(entries, max_size=5))
def test_any_entries_go_through_the_file(made):
    text = ""
    for entry in made:
        text = with_entry(text, entry, "p.yaml")
    assert parsed(text, "p.yaml").entries == tuple(made)


def test_what_else_stands_in_the_file_stays(tmp_path):
    path = tmp_path / "learning.yaml"
    path.write_text("# mine\n- {day: 2026-01-02, read: use}  # twice over\n# a note at the end")
    ProgressFile.opened(path).add(DONE)
    text = path.read_text()
    assert text.startswith(
        "# mine\n- {day: 2026-01-02, read: use}  # twice over\n# a note at the end\n- day: 2026-03-31"
    )


@pytest.mark.parametrize(
    "text", ["[{day: 2026-01-02, read: use}]", "[]", "", "# nothing yet\n", "- day: 2026-01-02\n  read: use"]
)
def test_a_list_in_another_form_is_taken_up_too(text):
    before = parsed(text, "p.yaml").entries
    assert parsed(with_entry(text, LESSON, "p.yaml"), "p.yaml").entries == (*before, LESSON)


def test_the_oldest_of_too_many_go(monkeypatch):
    monkeypatch.setattr(progress, "KEPT", 3)
    text = ""
    for number in range(5):
        text = with_entry(text, LessonRead("2026-01-02", f"lesson_{number}"), "p.yaml")
    assert [entry.of for entry in parsed(text, "p.yaml").entries] == ["lesson_2", "lesson_3", "lesson_4"]


def test_what_is_written_can_always_be_read(monkeypatch):
    monkeypatch.setattr(progress, "LARGEST", 5000)
    text, many = "", tuple(f"check_{number}" for number in range(40))
    for number in range(30):
        text = with_entry(text, replace(DONE, hints=number + 1, checks=many), "p.yaml")
        assert len(text.encode()) <= 5000
    assert [entry.hints for entry in parsed(text, "p.yaml").entries][-2:] == [29, 30]
    assert progress.LARGEST < LARGEST_FILE and progress.KEPT == 1000


DAMAGE = [
    ("- {day: 2026-01-02, read: use", 2, "is not YAML"),
    ("{day: 2026-01-02}", 1, "expected a list"),
    ("- use", 1, "an entry is a word"),
    ("- {day: yesterday, read: use}", 1, "is not a day"),
    ("- {day: 2026-01-02, read: Use!}", 1, "cannot be a name"),
    ("- {day: 2026-01-02, reed: use}", 1, "did you mean read"),
    ("- {day: 2026-01-02, read: use}\n- {day: 2026-01-02, case: x, cause: a, verdict: b}", 2, "lacks `right:`"),
    ("- {day: 2026-01-02, case: x, cause: a, verdict: b, right: maybe}", 1, "is not known"),
    ("- {day: 2026-01-02, case: x, cause: a, verdict: b, right: no, minutes: -3}", 1, "not a number that fits"),
    ("- {day: 2026-01-02, case: x, cause: a, verdict: b, right: no, minutes: nan}", 1, "not a number that fits"),
    ("- {day: 2026-01-02, read: use, cause: a}", 1, "has no 'cause'"),
]


@pytest.mark.parametrize("text, line, says", DAMAGE)
def test_a_damaged_file_is_told_with_its_place_and_never_written_over(tmp_path, text, line, says):
    path = tmp_path / "learning.yaml"
    path.write_text(text)
    with pytest.raises(Complaint, match=says) as told:
        ProgressFile.opened(path)
    assert told.value.place.file == str(path) and told.value.place.line == line
    kept = ProgressFile(path)  # damaged while a practice was going on
    with pytest.raises(NotSaved, match=says):
        kept.add(DONE)
    assert path.read_text() == text and kept.progress.practised == (DONE,)


def test_where_nothing_can_be_written_it_is_said_and_still_counts(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("no folder")
    kept = ProgressFile.opened(tmp_path / "file.yaml")
    kept.path = tmp_path / "file" / "learning.yaml"
    with pytest.raises(NotSaved, match=r"learning\.yaml"):
        kept.add(DONE)
    assert kept.progress.practised == (DONE,)
    path = tmp_path / "learning.yaml"
    ProgressFile(path).add(LESSON)
    before = path.read_text()

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(casefile.os, "replace", full)
    with pytest.raises(NotSaved, match="No space left on device"):
        ProgressFile.opened(path).add(DONE)
    assert path.read_text() == before and not list(tmp_path.glob("*.part")) + list(tmp_path.glob(".*.part"))


def test_a_name_that_is_none_is_told_before_anything_is_practised(tmp_path):
    with pytest.raises(Complaint, match=r"ends in \.yaml"):
        ProgressFile.opened(tmp_path / "learning.txt")
    (tmp_path / "folder.yaml").mkdir()
    with pytest.raises(Complaint, match="is a folder"):
        ProgressFile.opened(tmp_path / "folder.yaml")


WRITER = """
import sys
from pathlib import Path
from diagnose.progress import LessonRead, ProgressFile
kept = ProgressFile.opened(Path(sys.argv[1]))
for number in range(15):
    kept.add(LessonRead("2026-03-31", f"{sys.argv[2]}_{number}"))
"""


def test_two_writers_lose_nothing_of_each_other(tmp_path):
    path = tmp_path / "learning.yaml"
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, str(path), name], cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)}
        )
        for name in ("one", "two")
    ]
    assert [writer.wait() for writer in writers] == [0, 0]
    read = [entry.of for entry in ProgressFile.opened(path).progress.entries]
    for name in ("one", "two"):
        assert [of for of in read if of.startswith(name)] == [f"{name}_{n}" for n in range(15)]


def test_one_who_holds_the_file_too_long_is_not_waited_for_for_ever(tmp_path, monkeypatch):
    from filelock import FileLock

    monkeypatch.setattr(progress, "WAITS", 0.1)
    path = tmp_path / "learning.yaml"
    with (
        FileLock(path.with_name(".learning.yaml.lock")),
        pytest.raises(NotSaved, match="another program is writing it"),
    ):
        ProgressFile(path).add(LESSON)
    ProgressFile(path).add(LESSON)
    assert ProgressFile.opened(path).progress == Progress((LESSON,))


def test_it_lies_where_the_user_keeps_such_things(monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert progress.default_path() == tmp_path / "diagnose-wood-finish" / "learning.yaml"
    monkeypatch.delenv("XDG_DATA_HOME")
    monkeypatch.setenv("HOME", str(tmp_path))
    assert progress.default_path() == tmp_path / ".local" / "share" / "diagnose-wood-finish" / "learning.yaml"

    def nowhere():
        raise RuntimeError("Could not determine home directory.")

    monkeypatch.setattr(progress.Path, "home", nowhere)
    with pytest.raises(Complaint, match="--progress FILE"):
        progress.default_path()
