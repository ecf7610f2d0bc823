"""Keeping a case on disk: written whole or not at all, one consultation at a time, the user's own comments kept."""

from __future__ import annotations

import contextlib
import io
import os
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path

from diagnose.case import TOP, Case, Given, read_case
from diagnose.complaint import Complaint, Place
from diagnose.model import Knowledge
from diagnose.yamltree import load, read_file


class NotSaved(Exception):
    """The case could not be written; its text says why. Nothing on disk was changed."""


def open_case(path: Path, knowledge: Knowledge) -> Case:
    """The single case in `path`, or a new one where there is no such file yet."""
    if not path.exists():
        if path.suffix not in (".yaml", ".yml"):
            raise Complaint(Place(str(path)), "is not the name of a case file", "a name that ends in .yaml")
        return Case(id=path.stem, path=path)
    tree = load(path)
    if isinstance(tree.value, tuple):
        raise Complaint(tree.place, "holds a list of cases", "a file with one case can be taken up")
    return read_case(tree, knowledge, path)


def free_name(folder: Path) -> Path:
    """The first of finish-1.yaml, finish-2.yaml ... that does not exist in `folder`."""
    number = 1
    while (path := folder / f"finish-{number}.yaml").exists():
        number += 1
    return path


@contextlib.contextmanager
def held(path: Path) -> Iterator[None]:
    """Hold `path` against a second consultation. Complains when another holds it or the folder cannot be written to."""
    from filelock import FileLock, Timeout

    lock = path.with_name(f".{path.name}.lock")
    try:
        with FileLock(lock, timeout=0):
            try:
                yield
            finally:
                with contextlib.suppress(OSError):
                    lock.unlink()
    except Timeout:
        raise Complaint(
            Place(str(path)),
            "another consultation has this case open",
            "finish that one, or name another file with --case",
        ) from None
    except OSError as error:
        raise Complaint(
            Place(str(path)),
            f"cannot be written here ({error.strerror})",
            "name a file in a folder that you may write to with --case",
        ) from None


def save(case: Case, path: Path, version: str) -> None:
    """Write `case` to `path`, keeping what else stands in the file. Raises NotSaved."""
    try:
        original = read_file(path) if path.exists() else ""
        write_whole(path, case_text(case, version, original))
    except OSError as error:
        raise NotSaved(error.strerror or str(error)) from None
    except Complaint as complaint:
        raise NotSaved(str(complaint)) from None


def write_whole(path: Path, text: str) -> None:
    """Put `text` in place of `path` in one step: written beside it, flushed to disk, renamed over it."""
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, path.stat().st_mode & 0o777 if path.exists() else 0o644)
        os.replace(name, path)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise


def case_text(case: Case, version: str, original: str = "") -> str:
    """The case as YAML; comments and entries of `original` that the case does not change stay as they are."""
    from ruamel.yaml import YAML
    from ruamel.yaml.comments import CommentedMap

    yaml = YAML()
    yaml.preserve_quotes = True
    yaml.width = 1000
    document = yaml.load(original) if original.strip() else CommentedMap()
    _put(document, "case", document.get("case", case.id))
    _put(document, "page_done", "yes" if case.page_done else None)
    for of in ("piece", "air", "findings"):
        _update(document, of, getattr(case, of))
    steps = document.get("steps") or []
    written = [steps[i] if i < len(steps) and _do(steps[i]) == step.do else {} for i, step in enumerate(case.steps)]
    for entry, step in zip(written, case.steps):
        entry.setdefault("do", step.do)
        _merge(entry, step.given, keep=("do",))
    _put(document, "steps", written or None)
    _put(document, "diagnosed_with", version)
    _put(document, "answered", list(case.answered) or None)
    stream = io.StringIO()
    yaml.dump(document, stream)
    return stream.getvalue()


def _do(entry: object) -> object:
    return entry.get("do") if isinstance(entry, Mapping) else None


def _put(document, key: str, value) -> None:
    """Set or take away an entry; a new one goes where the order of a case file has it."""
    if value is None:
        document.pop(key, None)
    elif key in document:
        document[key] = value
    else:
        earlier = TOP[: TOP.index(key)]
        document.insert(sum(name in earlier for name in document), key, value)


def _update(document, key: str, given: Mapping[str, Given]) -> None:
    if not given:
        document.pop(key, None)
        return
    if not isinstance(document.get(key), dict):
        document.pop(key, None)
        _put(document, key, {})
    _merge(document[key], given)


def _merge(table: dict, given: Mapping[str, Given], keep: tuple[str, ...] = ()) -> None:
    for name in [name for name in table if name not in given and name not in keep]:
        del table[name]
    for name, value in given.items():
        plain = value.written if len(value.values) == 1 else list(value.values)
        if name not in table or _read(table[name]) != _read(plain):
            table[name] = plain


def _read(value) -> tuple[str, ...]:
    return tuple(map(str, value)) if isinstance(value, list) else (str(value),)
