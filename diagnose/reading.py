"""Small readers that turn a located YAML node into a checked value, or complain with its place."""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Iterable, Mapping
from typing import TypeVar

from diagnose.complaint import Complaint, shown, would_accept
from diagnose.yamltree import Node

T = TypeVar("T")
NAME = re.compile(r"[a-z][a-z0-9_]{0,59}\Z")


def text(node: Node, what: str) -> str:
    """A non-empty word or sentence, inner white space folded."""
    if not isinstance(node.value, str):
        raise Complaint(node.place, f"{what} is {node.kind}", "expected plain text")
    folded = " ".join(node.value.split())
    if not folded or folded in ("~", "null"):
        raise Complaint(node.place, f"{what} is empty", "write something, or leave the line away")
    return folded


def table(node: Node, what: str, known: Iterable[str] | None = None, needed: Iterable[str] = ()) -> Mapping[str, Node]:
    """A table whose names are all known and among which none that is needed lacks."""
    if not isinstance(node.value, dict):
        raise Complaint(node.place, f"{what} is {node.kind}", "expected a table of `name: value`")
    if known is not None:
        known = list(known)
        for key in node.value:
            if key not in known:
                raise Complaint(node.keys[key], f"{what} has no {shown(key)}", would_accept(key, known))
    for key in needed:
        if key not in node.value:
            raise Complaint(node.place, f"{what} lacks `{key}:`", "it is required")
    return node.value


def items(node: Node, what: str) -> tuple[Node, ...]:
    """The entries of a list; a single value counts as a list of one."""
    if isinstance(node.value, tuple):
        return node.value
    if isinstance(node.value, str):
        return () if node.value.strip() in ("", "~", "null") else (node,)
    raise Complaint(node.place, f"{what} is {node.kind}", "expected a list")


def each(node: Node | None, what: str, read: Callable[[Node, str], T]) -> tuple[T, ...]:
    return () if node is None else tuple(read(item, what) for item in items(node, what))


def word(node: Node, what: str, known: Iterable[str]) -> str:
    """One of the known words; spaces and dashes may stand for the underscores of an id."""
    written = text(node, what)
    known = known if isinstance(known, Container) else list(known)
    if written in known:
        return written
    name = as_name(written)
    if name in known:
        return name
    raise Complaint(node.place, f"{what}: {shown(written)} is not known", would_accept(name, known))


def words(node: Node, what: str, known: Iterable[str]) -> tuple[str, ...]:
    return each(node, what, lambda item, label: word(item, label, known))


def name(node: Node, what: str) -> str:
    """A new id: lower-case letters, digits and underscores."""
    written = text(node, what)
    if not NAME.match(written):
        raise Complaint(
            node.place,
            f"{what}: {shown(written)} cannot be a name",
            "lower-case letters, digits and _, a letter first, 60 at most",
        )
    return written


def yes_no(node: Node, what: str) -> bool:
    return word(node, what, ("no", "yes")) == "yes"


def as_name(written: str) -> str:
    return re.sub(r"[\s\-/]+", "_", written.strip().lower())
