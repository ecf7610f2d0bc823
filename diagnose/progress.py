"""An apprentice's progress in one readable file: what was read, and each practice with its verdict and checks.

The file is a list, one entry for each deed, the newest last, so that a new one is written at its end and whatever else
stands there, comments too, stays. It is written whole or not at all; what cannot be read is never written over.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from diagnose import reading
from diagnose.casefile import NotSaved, write_whole
from diagnose.complaint import Complaint, Place, printable, shown
from diagnose.yamltree import LARGEST_FILE, Node, parse, read_file

KEPT = 1000  # entries; the oldest go first
LARGEST = LARGEST_FILE * 9 // 10  # bytes, so that what was written can always be read
WAITS = 5.0  # seconds for another program that is just writing
HEAD = """\
# What was read and practised with `diagnose learn`, the newest last. It lies on this machine only, and nothing in it is
# sent anywhere. Entries may be taken out.
"""
PRACTICE = ("case", "cause", "verdict", "checks", "suspects", "minutes", "own_minutes", "hints", "again")


@dataclass(frozen=True, slots=True)
class Practised:
    """One practice. `cause` is the settled cause, `verdict` a cause, `unlisted` or `given_up`; minutes are those of the
    checks, `own_minutes` those of the program's own play; `again`: the arguments that give the case once more."""

    day: str
    case: str
    cause: str
    verdict: str
    right: bool
    checks: tuple[str, ...] = ()
    suspects: tuple[str, ...] = ()
    minutes: float = 0
    own_minutes: float = 0
    hints: int = 0
    again: str = ""


@dataclass(frozen=True, slots=True)
class LessonRead:
    """A lesson (a family, a cause or a board) that was shown on a day."""

    day: str
    of: str


@dataclass(frozen=True, slots=True)
class Progress:
    """All that stands in the file, oldest first."""

    entries: tuple[Practised | LessonRead, ...] = ()

    @property
    def practised(self) -> tuple[Practised, ...]:
        return tuple(entry for entry in self.entries if isinstance(entry, Practised))

    @property
    def read(self) -> dict[str, str]:
        """Lesson -> the last day on which it was read."""
        return {entry.of: entry.day for entry in self.entries if isinstance(entry, LessonRead)}


def default_path() -> Path:
    """Where progress is kept unless a file is named: the user's folder for such things. Raises Complaint."""
    try:
        base = os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share"
    except RuntimeError:
        raise Complaint(None, "this user has no home folder to keep progress in", "`--progress FILE`") from None
    return Path(base) / "diagnose-wood-finish" / "learning.yaml"


@dataclass
class ProgressFile:
    """The file, and what is known of it. `progress` grows even where nothing can be written."""

    path: Path
    progress: Progress = field(default_factory=Progress)

    @classmethod
    def opened(cls, path: Path) -> ProgressFile:
        """Raises Complaint, with its place, where the file is not as it was written."""
        return cls(path, read_progress(path))

    def add(self, entry: Practised | LessonRead) -> None:
        """Put `entry` at the end. Raises NotSaved; it then counts until the program ends all the same."""
        self.progress = Progress((*self.progress.entries, entry))
        try:
            self._write(entry)
        except OSError as error:
            raise NotSaved(f"{self.path}: {error.strerror or error}") from None
        except Complaint as complaint:
            raise NotSaved(str(complaint)) from None

    def _write(self, entry: Practised | LessonRead) -> None:
        from filelock import FileLock, Timeout

        self.path.parent.mkdir(parents=True, exist_ok=True)
        try:
            # the lock's file stays: taken away, one who waits for it and one who comes later would both hold it
            with FileLock(self.path.with_name(f".{self.path.name}.lock"), timeout=WAITS):
                text = read_file(self.path) if self.path.exists() else ""
                write_whole(self.path, with_entry(text, entry, str(self.path)))
        except Timeout:
            raise NotSaved(f"{self.path}: another program is writing it") from None


def read_progress(path: Path) -> Progress:
    """What stands in `path`; nothing where there is no such file yet. Raises Complaint."""
    if not path.exists():
        if path.suffix not in (".yaml", ".yml"):
            raise Complaint(Place(str(path)), "is not the name of a progress file", "a name that ends in .yaml")
        return Progress()
    return parsed(read_file(path), str(path))


def parsed(text: str, name: str) -> Progress:
    """The progress in `text`. A file of comments alone holds none yet."""
    if not any(line.strip() and not line.lstrip().startswith("#") for line in text.splitlines()):
        return Progress()
    tree = parse(text, name)
    if not isinstance(tree.value, tuple):
        raise Complaint(tree.place, f"the progress is {tree.kind}", "expected a list, as the program writes it")
    return Progress(tuple(map(_entry, tree.value)))


def _entry(node: Node) -> Practised | LessonRead:
    row = reading.table(node, "an entry", ("day", "read", "right", *PRACTICE), ("day",))
    if "read" in row:
        reading.table(node, "a lesson read", ("day", "read"))
        return LessonRead(_day(row["day"]), reading.name(row["read"], "read"))
    reading.table(node, "a practice", None, ("case", "cause", "verdict", "right"))
    return Practised(
        _day(row["day"]),
        reading.text(row["case"], "case"),
        *(reading.name(row[key], key) for key in ("cause", "verdict")),
        reading.yes_no(row["right"], "right"),
        reading.each(row.get("checks"), "checks", reading.text),
        reading.each(row.get("suspects"), "suspects", reading.name),
        *(_number(row[key], key) if key in row else 0.0 for key in ("minutes", "own_minutes")),
        int(_number(row["hints"], "hints")) if "hints" in row else 0,
        reading.text(row["again"], "again") if "again" in row else "",
    )


def _day(node: Node) -> str:
    from datetime import date

    written = reading.text(node, "day")
    try:
        return date.fromisoformat(written).isoformat()
    except ValueError:
        raise Complaint(node.place, f"{shown(written)} is not a day", "for instance 2026-03-31") from None


def _number(node: Node, what: str) -> float:
    written = reading.text(node, what)
    try:
        value = float(written)
    except ValueError:
        value = -1.0
    if not 0 <= value < 1e9:
        raise Complaint(node.place, f"{what}: {shown(written)} is not a number that fits", "0 or more")
    return value


def with_entry(text: str, entry: Practised | LessonRead, name: str) -> str:
    """`text` with `entry` at its end, all else as it stands; too many entries are cut from the front. Raises Complaint
    where `text` cannot be read."""
    entries = (*parsed(text, name).entries, entry)
    if len(entries) <= KEPT:
        head = text if text.strip() else HEAD
        added = f"{head}{'' if head.endswith(chr(10)) else chr(10)}{entry_text(entry)}"
        try:
            if len(added.encode()) <= LARGEST and parsed(added, name).entries == entries:
                return added
        except Complaint:  # a list in another form, such as [...]: it is written anew
            pass
    written = [entry_text(one) for one in entries[-KEPT:]]
    while sum(len(one.encode()) for one in written) > LARGEST - len(HEAD):
        written = written[len(written) // 10 + 1 :]
    return HEAD + "".join(written)


def entry_text(entry: Practised | LessonRead) -> str:
    """One entry as YAML."""
    if isinstance(entry, LessonRead):
        return f"- {{day: {entry.day}, read: {entry.of}}}\n"
    lines = [
        f"- day: {entry.day}",
        f"case: {_quoted(entry.case)}",
        f"cause: {entry.cause}",
        f"verdict: {entry.verdict}",
        f"right: {'yes' if entry.right else 'no'}",
        f"checks: {_list(entry.checks)}",
        f"suspects: {_list(entry.suspects)}",
        f"minutes: {entry.minutes:g}",
        f"own_minutes: {entry.own_minutes:g}",
        *([f"hints: {entry.hints}"] if entry.hints else []),
        *([f"again: {_quoted(entry.again)}"] if entry.again else []),
    ]
    return "\n  ".join(lines) + "\n"


def _list(words: Sequence[str]) -> str:
    return f"[{', '.join(words)}]"


def _quoted(text: str) -> str:
    """A JSON string is a YAML one; bare where the text is plain."""
    import json

    plain = text.replace("_", "a").replace("-", "a").replace(" ", "a").isalnum() and text.isascii()
    return text if plain and not text.startswith("-") else json.dumps(printable(text), ensure_ascii=False)
