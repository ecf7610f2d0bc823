"""YAML text as a tree that remembers where everything stood.

Every scalar stays the text that was written (`no` is "no", `0220` is "0220"): what a word means is for its reader to
say. Aliases, tags, several documents and deep nesting are refused; nothing here needs them and strangers misuse them.
"""

from __future__ import annotations

import codecs
import os
import stat
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import yaml

from diagnose.complaint import Complaint, Place, shown

LARGEST_FILE = 1_000_000  # bytes; the longest hand-written case is a hundredth of it
DEEPEST = 24

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class Node(NamedTuple):
    """One YAML value. `value` is str, tuple[Node, ...] or dict[str, Node]; `keys` holds where each key stands."""

    value: str | tuple[Node, ...] | dict[str, Node]
    place: Place
    keys: dict[str, Place] | None = None

    @property
    def kind(self) -> str:
        return {str: "a word or number", tuple: "a list", dict: "a table of `name: value`"}[type(self.value)]


def read_file(path: Path) -> str:
    """The text of a file that may be read as YAML, or a Complaint."""
    place = Place(str(path))
    try:
        if not stat.S_ISREG(os.stat(path).st_mode) and not path.is_dir():
            raise Complaint(place, "is not a plain file", "a pipe or a device is not read; give the path of a file")
        with open(path, "rb") as file:
            raw = file.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise Complaint(place, "there is no such file", "give the path of a case file or of a folder of them") from None
    except IsADirectoryError:
        raise Complaint(place, "is a folder", "give the path of a file") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise Complaint(place, f"cannot be read ({reason})", "give a file that you may read") from None
    if len(raw) > LARGEST_FILE:
        raise Complaint(place, "is larger than 1 MB", "a case or knowledge file is plain YAML text of a few pages")
    raw = raw.removeprefix(codecs.BOM_UTF8)
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError as error:
        place = _place_of(raw[: error.start].decode("utf-8"), None, str(path))
        raise Complaint(place, "is not UTF-8 text", "save it as plain UTF-8 YAML") from None


def parse(text: str, name: str) -> Node:
    """The single document in `text` as a Node; `name` is used in places. Raises Complaint."""
    try:
        events = yaml.parse(text, Loader=_Loader)
        next(events)  # stream start
        start = next(events)
        if isinstance(start, yaml.StreamEndEvent):
            raise Complaint(Place(name, 1, 1), "is empty", "expected a table of `name: value`")
        tree = _node(next(events), events, name, 0)
        next(events)  # document end
        extra = next(events)
        if not isinstance(extra, yaml.StreamEndEvent):
            raise Complaint(_at(extra.start_mark, name), "a second document begins here", "one document in a file")
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        place = _at(mark, name) if mark else Place(name)
        raise Complaint(place, f"is not YAML ({error.problem or error.context})", "check indents and quotes") from None
    except (yaml.YAMLError, UnicodeEncodeError):
        found = yaml.reader.Reader.NON_PRINTABLE.search(text)
        place = _place_of(text, found.start(), name) if found else Place(name)
        raise Complaint(
            place, "holds a character that YAML does not allow", "plain text without control characters"
        ) from None
    return tree


def load(path: Path) -> Node:
    return parse(read_file(path), str(path))


def _place_of(text: str, position: int | None, name: str) -> Place:
    """The place of a character of `text`; of the one after its end where `position` is None."""
    before = text[:position]
    return Place(name, before.count("\n") + 1, len(before) - before.rfind("\n"))


def _at(mark: yaml.Mark, name: str) -> Place:
    return Place(name, mark.line + 1, mark.column + 1)


def _node(event: yaml.Event, events: Iterator[yaml.Event], name: str, depth: int) -> Node:
    mark = event.start_mark
    place = Place(name, mark.line + 1, mark.column + 1)
    if event.anchor is not None:  # an alias has one too
        raise Complaint(place, "YAML anchors and aliases (& and *) are not read here", "write the value out")
    if event.tag not in (None, "!"):
        raise Complaint(place, f"the YAML tag {shown(event.tag)} is not read here", "leave it away")
    if depth > DEEPEST:
        raise Complaint(place, f"is nested more than {DEEPEST} deep", "no file here needs that")
    kind = type(event)
    if kind is yaml.ScalarEvent:
        return Node(event.value, place)
    if kind is yaml.SequenceStartEvent:
        items = []
        while type(event := next(events)) is not yaml.SequenceEndEvent:
            items.append(_node(event, events, name, depth + 1))
        return Node(tuple(items), place)
    table: dict[str, Node] = {}
    keys: dict[str, Place] = {}
    while type(event := next(events)) is not yaml.MappingEndEvent:
        key = _node(event, events, name, depth + 1)
        word = key.value
        if not isinstance(word, str):
            raise Complaint(key.place, "a name must be a plain word", "write `name: value`")
        if word in table:
            raise Complaint(
                key.place, f"{shown(word)} stands twice (first in line {keys[word].line})", "keep one of them"
            )
        keys[word] = key.place
        table[word] = _node(next(events), events, name, depth + 1)
    return Node(table, place, keys)
