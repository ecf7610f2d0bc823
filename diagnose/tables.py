"""The reference tables in `shared/`, read when first needed."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.complaint import Complaint, Place

if TYPE_CHECKING:
    from diagnose.yamltree import Node


@cache
def table(name: str) -> dict:
    """`shared/NAME.yaml` as plain nested dicts, lists and strings; numbers are still text (see `number`)."""
    from diagnose.yamltree import load  # here, since the modules of sums are imported at every start

    return _plain(load(file_of(name)))


def file_of(name: str) -> Path:
    """Where `shared/NAME.yaml` lies. Raises Complaint."""
    beside = Path(__file__).resolve().parent
    for folder in (beside / "shared", beside.parent / "shared"):
        if (folder / f"{name}.yaml").is_file():
            return folder / f"{name}.yaml"
    raise Complaint(Place(f"shared/{name}.yaml"), "is missing", "install the program again")


def _plain(node: Node):
    if isinstance(node.value, str):
        return node.value
    if isinstance(node.value, tuple):
        return [_plain(item) for item in node.value]
    return {key: _plain(value) for key, value in node.value.items()}
