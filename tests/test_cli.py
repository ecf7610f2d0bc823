"""The command line as a user meets it: exit status, one message, no traceback, the documented JSON."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
EXAMPLES = str(ROOT / "knowledge" / "causes" / "colour" / "dye_lifted_by_water.cases.yaml")


def diagnose(*arguments, cwd=ROOT, text_in="", **environment):
    return subprocess.run(
        [sys.executable, "-m", "diagnose", *arguments],
        cwd=cwd,
        input=text_in,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT), "XDG_DATA_HOME": "/nowhere/at/all", **environment},
    )


@pytest.mark.parametrize(
    "name, content, says",
    [
        ("missing.yaml", None, "there is no such file"),
        ("empty.yaml", b"", "is empty"),
        ("broken.yaml", b"findings: [rough\n", "is not YAML"),
        ("binary.yaml", bytes(range(256)), "not UTF-8"),
        ("big.yaml", b"notes: " + b"x" * 50_000_000, "larger than 1 MB"),
        ("term.yaml", b"findings: {complaint: rogh}\n", "did you mean rough"),
        ("unit.yaml", b"air: {temperature: 18}\n", "has no unit"),
        ("humid.yaml", b"air: {humidity: 130 %}\n", "cannot be"),
        ("twice.yaml", b"findings:\n  complaint: rough\n  complaint: haze\n", "stands twice"),
        ("bomb.yaml", b"a: &a [x,x]\nb: &b [*a,*a]\nc: [*b,*b]\n", "anchors and aliases"),
        ("type.yaml", b"findings: rough\n", "expected a table"),
        ("order.yaml", b"steps:\n- do: clear_coat\n- do: wetting\n", "bare wood"),
        ("deep.yaml", b"[" * 500_000, "nest"),
        ("control.yaml", b"notes: \x1b[31mred\n", "character"),
    ],
)
def test_input_that_cannot_be_used_is_one_message_with_status_two(tmp_path, name, content, says):
    path = tmp_path / name
    if content is not None:
        path.write_bytes(content)
    done = diagnose("run", str(path))
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1 and says in done.stderr and str(path) in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    "arguments",
    [
        ("run",),
        ("run", EXAMPLES, "--format", "xml"),
        ("dance",),
        ("--nonsense",),
        ("explain", "xyzzy"),
        ("run", "/"),
        ("run", EXAMPLES, "--knowledge", "nowhere"),
    ],
)
def test_words_that_are_off_are_one_message_too(arguments, tmp_path):
    done = diagnose(*(str(tmp_path) if a == "/" else a for a in arguments))
    assert done.returncode == 2 and done.stderr.count("\n") == 1 and "Traceback" not in done.stderr


def test_an_expectation_that_is_not_met_is_status_one(tmp_path):
    path = tmp_path / "case.yaml"
    path.write_text("findings: {complaint: rough}\nexpect: {first: dye_lifted_by_water}\n")
    done = diagnose("run", str(path))
    assert done.returncode == 1 and "expected dye_lifted_by_water first" in done.stderr


def test_the_json_is_the_documented_object():
    done = diagnose("run", EXAMPLES, "--format", "json")
    assert done.returncode == 0
    cases = json.loads(done.stdout)["cases"]
    facts = [{step["fact"] for step in case["trace"]} for case in cases]
    for case, known in zip(cases, facts):
        assert {"case", "causes", "remedies", "prevention", "cautions", "next_questions", "trace"} <= set(case)
        assert sum(cause["id"] == "unlisted" for cause in case["causes"]) == 1
        for cause in case["causes"]:
            assert {"id", "name", "standing", "probability", "weight", "ledger"} <= set(cause)
            assert sum(entry["weight"] for entry in cause["ledger"]) == cause["weight"]
            assert all(isinstance(entry["weight"], int) for entry in cause["ledger"])
            for entry in cause["ledger"]:
                assert {"rule", "weight", "because", "source", "from"} <= set(entry) and set(entry["from"]) <= known
        for step in case["trace"]:
            assert set(step["from"]) <= known
        for question in case["next_questions"]:
            assert question["finding"] and question["question"] and question["why"]


@pytest.mark.parametrize("form", ["text", "json"])
def test_output_is_byte_identical_over_processes(form):
    """Six processes, each with another hash seed."""
    outputs = {
        diagnose("run", EXAMPLES, "--format", form, PYTHONHASHSEED=str(seed), COLUMNS="80").stdout for seed in range(6)
    }
    assert len(outputs) == 1 and outputs.pop()


@pytest.mark.parametrize("columns", [36, 40, 60, 96, 200])
def test_no_line_is_wider_than_the_terminal(columns):
    done = diagnose("run", EXAMPLES, COLUMNS=str(columns))
    from diagnose.load import load

    words = {
        word for word in done.stdout.split() if len(word) > columns - 12
    }  # a word that cannot be broken may stick out
    for line in done.stdout.splitlines():
        assert len(line) <= columns or words & set(line.split()), line
    assert load()


def test_run_does_not_import_what_it_does_not_need():
    code = (
        f"import sys; from diagnose.cli import main; main(['run', {EXAMPLES!r}]); "
        "print([m for m in ('prompt_toolkit', 'ruamel', 'psychrolib') if m in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.stderr.strip() == "[]"


@pytest.mark.parametrize("command", [(), ("run",), ("explain",), ("audit",), ("learn",)])
def test_every_command_has_help_with_an_example_that_runs(command):
    done = diagnose(*command, "--help", COLUMNS="200")
    assert done.returncode == 0
    (example,) = re.findall(r"Example: diagnose (.+)", done.stdout)
    ran = diagnose(*example.split())
    assert ran.returncode == 0 and ran.stdout, ran.stderr


def test_text_of_a_case_file_cannot_steer_the_terminal(tmp_path):
    path = tmp_path / "case.yaml"
    path.write_text('title: "\\e[31mred\\u202e\\x9b1m"\nfindings: {complaint: rough}\n', encoding="utf-8")
    for form in ("text", "json"):
        done = diagnose("run", str(path), "--format", form)
        assert done.returncode == 0 and not set(done.stdout) & set("\x1b\u202e\x9b")


def test_a_consultation_through_a_pipe(tmp_path):
    done = diagnose(cwd=tmp_path, text_in="rough\n\n\n\ncherry\n")
    assert done.returncode == 0 and "\x1b" not in done.stdout
    assert "wood: black_cherry" in (tmp_path / "finish-1.yaml").read_text()
    done = diagnose("--case", "finish-1.yaml", cwd=tmp_path, text_in="leave\n")
    assert "Taken up where it stopped" in done.stdout and "solid" in done.stdout
