"""Where the knowledge lies: its folder, its files and the examples beside its causes."""

from __future__ import annotations

from pathlib import Path, PurePosixPath

from diagnose.complaint import Complaint, Place
from diagnose.yamltree import read_file

CASES = ".cases.yaml"


def shipped() -> Path:
    """The knowledge folder that comes with the program."""
    beside = Path(__file__).resolve().parent
    for folder in (beside / "knowledge", beside.parent / "knowledge"):
        if folder.is_dir():
            return folder
    raise Complaint(Place(str(beside)), "the knowledge folder is missing", "install the program again")


def texts_of(folder: Path) -> dict[PurePosixPath, str]:
    """The text of every knowledge file in a folder, by its path inside."""
    if not folder.is_dir():
        raise Complaint(Place(str(folder)), "is not a folder", "give the path of a knowledge folder")
    paths = sorted(p for p in folder.rglob("*.yaml") if not p.name.endswith(CASES) and p.is_file())
    return {PurePosixPath(path.relative_to(folder).as_posix()): read_file(path) for path in paths}


def example_files(folder: Path | None = None, own: Path | None = None) -> list[Path]:
    """The example cases that lie beside the causes; the shop's own take the place of shipped ones of that name."""
    folders = [folder or shipped(), *([own] if own else [])]
    found = {path.name: path for one in folders for path in one.glob(f"causes/*/*{CASES}")}
    return sorted(found.values())
