"""README.md and DEVELOPERS.md say what is so: every command in them runs, every relation and word is there."""

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from diagnose.commands import WORDS
from diagnose.load import load

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
COMMANDS = [line.strip() for line in README.splitlines() if re.match(r"    diagnose(\s|$)", line)]


def test_readme_begins_with_the_job_in_one_paragraph_and_then_the_two_commands():
    parts = README.split("\n\n")
    assert parts[0].startswith("# ") and len(parts[1]) > 300 and not parts[1].startswith(("#", " ", "|"))
    lines = [line.strip() for line in README.splitlines() if line.startswith("    python3 -m venv")]
    assert len(lines) == 2
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert all(line in script for line in lines)


@pytest.mark.parametrize("command", sorted(set(COMMANDS)))
def test_every_command_of_the_readme_runs(command, tmp_path):
    words = shlex.split(command)[1:]
    words = [str(ROOT / w) if (ROOT / w).exists() else w for w in words]
    done = subprocess.run(
        [sys.executable, "-m", "diagnose", *words],
        cwd=tmp_path,
        env={"PYTHONPATH": str(ROOT), "PATH": "", "XDG_DATA_HOME": str(tmp_path)},
        input="rough\n",
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr or done.stdout
    assert done.stdout
    if command == "diagnose audit":
        assert done.stdout == "no flaws\n"


def test_the_words_of_a_session_are_in_the_readme():
    for word in WORDS:
        assert f"`{word.name}`" in README


def test_the_words_of_a_practice_and_the_entries_of_progress_are_in_the_readme():
    from diagnose.classroom_words import WORDS
    from diagnose.progress import PRACTICE

    for name in (*(word.name for word in WORDS), *PRACTICE):
        assert f"`{name}`" in README, name


def test_the_json_of_lessons_is_in_the_readme(tmp_path):
    import json

    described = README[README.index("## Learning") : README.index("## A shop's own")]
    for words in (("learn",), ("learn", "lifting")):
        done = subprocess.run(
            [sys.executable, "-m", "diagnose", *words, "--format", "json", "--progress", str(tmp_path / "p.yaml")],
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=True,
        )

        def keys(value):
            for key, inner in value.items() if isinstance(value, dict) else ():
                yield key
                yield from keys(inner)
            for inner in value if isinstance(value, list) else ():
                yield from keys(inner)

        assert not {key for key in keys(json.loads(done.stdout)) if not re.search(rf"\b{key}\b", described)}


def test_every_part_of_a_case_file_is_in_the_readme():
    from diagnose.case import EXPECT, TOP

    for name in (*TOP, *EXPECT):
        assert f"`{name}`" in README or f"`{name}:" in README, name


def test_the_json_of_the_readme_names_every_key():
    import json

    done = subprocess.run(
        [sys.executable, "-m", "diagnose", "run", "cases/hall_table.yaml", "--format", "json"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    described = README[README.index("## JSON") :]

    def keys(value):
        if isinstance(value, dict):
            for key, inner in value.items():
                yield key
                yield from keys(inner) if key != "answers" else ()
        elif isinstance(value, list):
            for inner in value:
                yield from keys(inner)

    missing = {key for key in keys(json.loads(done.stdout)) if not re.search(rf"\b{key}\b", described)}
    assert not missing


def test_the_readme_says_how_a_sheet_is_written_and_what_json_it_gives():
    import json

    from diagnose.label_reading import FIELDS, TOP

    start = README.index("## Before it goes on")
    described = README[start : README.index("## A shop's own")]
    for name in (*TOP, *load().label.claims):
        assert f"`{name}`" in described, name
    assert all(name in described for name in FIELDS)
    for path in sorted((ROOT / "shared" / "examples" / "labels").glob("*.sheet")):
        done = subprocess.run(
            [sys.executable, "-m", "diagnose", "label", str(path), "--format", "json"],
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=True,
        )

        def keys(value, named=()):
            for key, inner in value.items() if isinstance(value, dict) else ():
                if value not in named:
                    yield key
                yield from keys(inner, named)
            for inner in value if isinstance(value, list) else ():
                yield from keys(inner, named)

        data = json.loads(done.stdout)
        found = {*keys(data, (data["amounts"], data["answers"]))}
        assert not {key for key in found if not re.search(rf"\b{key}\b", described)}


def test_developers_page_names_every_relation():
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    relations = {rule.then[0] for rule in load().rules} | {p[0] for rule in load().rules for p in rule.when}
    assert all(f"`{relation}`" in text for relation in relations - {"always", "opens"})
