"""The compiled knowledge kept between runs, so that a run need not read and check every file of it again.

Kept is plain JSON, named by the content of all knowledge files and of the program. Whatever is not exactly what this
user wrote for exactly this content - stale, damaged, cut short, another's - is left aside, and all is compiled anew. A
place that cannot be written to only costs time.
"""

from __future__ import annotations

import contextlib
import gc
import hashlib
import json
import os
import stat
import tempfile
from pathlib import Path

from diagnose.diagnosis import Diagnoser
from diagnose.folder import shipped, texts_of
from diagnose.packing import pack, unpack
from diagnose.tables import file_of

KEPT = 4  # states at most
TABLES = ("shellac",)  # in shared/: what the quantities in texts are reckoned with
OFF = "DIAGNOSE_KEEP_NOTHING"  # set in the environment, nothing is kept or taken from what was kept


def diagnoser(own: Path | None = None) -> Diagnoser:
    """The shipped knowledge with a shop's `own` laid over it, ready to diagnose. Raises Complaint."""
    if os.environ.get(OFF):
        return _compiled(own)
    digest = _digest(own)
    path = place() / f"{digest}.json"
    found = _take(path, digest)
    if found is None:
        found = _compiled(own)
        _keep(found, path, digest)
    return found


def ready(own: Path | None = None) -> Diagnoser:
    """The same for a command that ends soon: the collector of garbage is held off, since what is built here is large
    and lasts, and walking it again and again would only cost start-up."""
    gc.disable()
    made = diagnoser(own)
    gc.freeze()
    gc.enable()
    return made


def place() -> Path:
    """The folder it is kept in: that of the user for such things."""
    base = os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    return Path(base) / "diagnose-wood-finish"


def _compiled(own: Path | None) -> Diagnoser:
    from diagnose.load import load

    return Diagnoser(load(own=own))


def _digest(own: Path | None) -> str:
    """Of every knowledge file, every module, and the tables that texts are written from, by name and content."""
    whole = hashlib.sha256()
    modules = {path.name: path.read_bytes() for path in sorted(Path(__file__).parent.glob("*.py"))}
    tables = {name: file_of(name).read_bytes() for name in TABLES}
    parts = [modules, tables, {str(path): text.encode() for path, text in texts_of(shipped()).items()}]
    if own:
        parts.append({f"{own}/{path}": text.encode() for path, text in texts_of(own).items()})
    for part in parts:
        for name, content in part.items():
            whole.update(f"{name}\0{len(content)}\0".encode())
            whole.update(content)
        whole.update(b"\1")
    return whole.hexdigest()


def _take(path: Path, digest: str) -> Diagnoser | None:
    """What is kept at `path`, where it is whole, this user's own and writable by nobody else."""
    try:
        with open(path, "rb") as file:
            if not (_mine(os.fstat(file.fileno())) and _mine(os.stat(path.parent))):
                return None
            sum_, _, content = file.read().partition(b"\n")
        if sum_.decode() != _sum(digest, content):
            return None
        return unpack(json.loads(content))
    except (OSError, ValueError, KeyError, TypeError, IndexError, RecursionError):
        return None


def _mine(found: os.stat_result) -> bool:
    return not hasattr(os, "getuid") or (
        found.st_uid == os.getuid() and not found.st_mode & (stat.S_IWGRP | stat.S_IWOTH)
    )


def _sum(digest: str, content: bytes) -> str:
    return hashlib.sha256(digest.encode() + b"\0" + content).hexdigest()


def _keep(made: Diagnoser, path: Path, digest: str) -> None:
    """Write it whole or not at all, and drop the oldest of too many."""
    with contextlib.suppress(OSError):
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        content = json.dumps(pack(made), separators=(",", ":"), ensure_ascii=False).encode()
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(_sum(digest, content).encode() + b"\n" + content)
            os.replace(name, path)
        except BaseException:
            os.unlink(name)
            raise
        kept = sorted(path.parent.glob("*.json"), key=lambda one: one.stat().st_mtime)
        for old in kept[:-KEPT]:
            old.unlink()
