"""The compiled knowledge kept between runs: the same as compiling anew, and never trusted where it is not as written."""

import json
import os
import shutil
from pathlib import Path

import pytest

from diagnose import keeping
from diagnose.case import read_cases
from diagnose.diagnosis import Diagnoser
from diagnose.load import load
from diagnose.packing import pack, unpack
from diagnose.report_json import as_json

ROOT = Path(__file__).resolve().parents[1]
SHOP = ROOT / "shared" / "example_shop"


@pytest.fixture(scope="module")
def anew():
    return Diagnoser(load())


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    monkeypatch.delenv(keeping.OFF, raising=False)
    return keeping.place()


def diagnosed(diagnoser, name="hall_table"):
    cases = read_cases(ROOT / "cases" / f"{name}.yaml", diagnoser.knowledge)
    return as_json([diagnoser.diagnose(case) for case in cases])


def test_packed_and_unpacked_the_knowledge_is_what_it_was(anew):
    back = unpack(json.loads(json.dumps(pack(anew))))
    assert tuple(back.knowledge.rules) == tuple(anew.knowledge.rules)
    for name in type(anew.knowledge).__slots__:
        if name != "rules":
            assert getattr(back.knowledge, name) == getattr(anew.knowledge, name), name
    assert back.index.alone == anew.index.alone and back.index.joining == anew.index.joining


@pytest.mark.parametrize("name", ["hall_table", "toy_chest", "bar_front"])
def test_what_was_kept_diagnoses_the_same(anew, place, name):
    keeping.diagnoser()
    (kept,) = place.glob("*.json")
    assert keeping._take(kept, kept.stem) is not None
    assert diagnosed(keeping.diagnoser(), name) == diagnosed(anew, name)


def test_only_the_user_may_read_or_write_it(place):
    keeping.diagnoser()
    (kept,) = place.glob("*.json")
    assert kept.stat().st_mode & 0o077 == 0 and place.stat().st_mode & 0o077 == 0


DAMAGE = {
    "cut short": lambda path: path.write_bytes(path.read_bytes()[:-1000]),
    "empty": lambda path: path.write_bytes(b""),
    "one byte changed": lambda path: path.write_bytes(path.read_bytes().replace(b"shellac", b"shellak", 1)),
    "not JSON, sum and all": lambda path: path.write_bytes(keeping._sum(path.stem, b"[[").encode() + b"\n[["),
    "another form": lambda path: path.write_bytes(keeping._sum(path.stem, b"[1]").encode() + b"\n[1]"),
    "writable by others": lambda path: path.chmod(0o666),
    "in a folder writable by others": lambda path: path.parent.chmod(0o777),
    "a folder of its name": lambda path: (path.unlink(), path.mkdir()),
}


@pytest.mark.parametrize("damage", DAMAGE.values(), ids=DAMAGE)
def test_what_is_not_as_it_was_written_is_left_aside(place, damage, monkeypatch):
    keeping.diagnoser()
    (kept,) = place.glob("*.json")
    damage(kept)
    made = []
    monkeypatch.setattr(keeping, "_compiled", lambda own: made.append(own) or "compiled anew")
    monkeypatch.setattr(keeping, "_keep", lambda *_: None)
    assert keeping.diagnoser() == "compiled anew" and made == [None]


def test_another_content_is_never_taken_for_it(place, monkeypatch):
    keeping.diagnoser()
    (kept,) = place.glob("*.json")
    other = kept.with_name("0" * 64 + ".json")
    shutil.copy(kept, other)
    assert keeping._take(other, other.stem) is None
    before = keeping._digest(None)
    assert keeping._digest(SHOP) != before


def test_a_change_of_a_table_that_texts_are_written_from_is_another_content(tmp_path, monkeypatch):
    before = keeping._digest(None)
    changed = tmp_path / "shellac.yaml"
    changed.write_text(keeping.file_of("shellac").read_text().replace("value: 0.1,", "value: 0.2,"))
    monkeypatch.setattr(keeping, "file_of", lambda name: changed)
    assert keeping._digest(None) != before


def test_a_place_that_cannot_be_written_only_costs_time(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("no folder")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "file"))
    assert keeping.diagnoser().knowledge.causes


def test_the_oldest_are_dropped(place, anew):
    place.mkdir(parents=True)
    for number in range(7):
        path = place / f"{number}.json"
        keeping._keep(anew, path, str(number))
        os.utime(path, (number, number))
    keeping._keep(anew, place / "last.json", "last")
    assert {path.stem for path in place.iterdir()} == {"last", "6", "5", "4"}
