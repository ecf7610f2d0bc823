"""A shop's own knowledge folder laid over the shipped one: it adds, and takes the place of what has the same name.

A file of the shop's own has the form that such a file has in the shipped folder, and holds no more than what differs.
Tables such as steps.yaml are laid over entry by entry, down to single words; a finding, condition, remedy, material,
wood, caution, source, cause or test board is replaced whole. Everything the shop says is marked so where it is cited.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import PurePosixPath

from diagnose.complaint import Complaint, Place, would_accept
from diagnose.yamltree import Node

Trees = Mapping[PurePosixPath, Node]
SINGLE = (
    *("scale.yaml", "families.yaml", "terms.yaml", "steps.yaml", "attributes.yaml"),
    *("strategy.yaml", "exemptions.yaml", "passing_words.yaml", "changes.yaml", "label.yaml"),
)
PARTS = (
    *("sources", "cautions", "materials", "ingredients", "woods"),
    *("findings", "conditions", "remedies", "causes", "boards"),
)
NESTED = ("conditions", "traits", "boards")  # tables of tables in the files of conditions/ and boards/


def lay_over(shipped: Trees, own: Trees) -> tuple[list[tuple[PurePosixPath, Node]], dict[str, str]]:
    """All files to read, and what the shop's own folder did: name -> "added" or "in place of the shipped one"."""
    trees = dict(shipped)
    added: list[tuple[PurePosixPath, Node]] = []
    done: dict[str, str] = {}
    for path, tree in own.items():
        part = path.parts[0]
        if len(path.parts) == 1:
            done |= dict.fromkeys(_names(tree), "changed")
            trees[path] = _merged(trees[path], tree) if path in trees else tree
            continue
        if part == "causes":
            names = {path.stem}
            replaced = [other for other in trees if other.parts[0] == part and other.stem == path.stem]
            for other in replaced:
                del trees[other]
        else:
            names = set(_names(tree))
            replaced = []
            for other in [other for other in trees if other.parts[0] == part]:
                trees[other], gone = _without(trees[other], names)
                replaced += gone
        done |= dict.fromkeys(names, "added")
        done |= {getattr(name, "stem", name): "in place of the shipped one" for name in replaced}
        added.append((path, tree))
    return [*trees.items(), *added], done


def check_parts(trees: Trees) -> None:
    """Complain of a file that would never be read."""
    for path, tree in trees.items():
        known = SINGLE if len(path.parts) == 1 else PARTS
        if path.parts[0] not in known:
            what = (
                "is no file of a knowledge folder" if len(path.parts) == 1 else "lies in no part of a knowledge folder"
            )
            raise Complaint(Place(tree.place.file), what, would_accept(path.parts[0], (*SINGLE, *PARTS)))


def _names(tree: Node) -> Iterator[str]:
    """The entries a file defines."""
    if isinstance(tree.value, dict):
        for key, node in tree.value.items():
            if key in NESTED and isinstance(node.value, dict):
                yield from node.value
            else:
                yield key


def _without(tree: Node, names: set[str]) -> tuple[Node, list[str]]:
    """`tree` without the entries of these names, and those that went."""
    if not isinstance(tree.value, dict):
        return tree, []
    gone = [key for key in tree.value if key in names]
    left = {key: node for key, node in tree.value.items() if key not in names}
    for key in NESTED:
        if key in left and isinstance(left[key].value, dict):
            left[key], more = _without(left[key], names)
            gone += more
    return tree._replace(value=left, keys={key: place for key, place in (tree.keys or {}).items() if key in left}), gone


def _merged(shipped: Node, own: Node) -> Node:
    """Tables entry by entry; everything else as the shop has it. Lists of exemptions are joined."""
    if isinstance(shipped.value, dict) and isinstance(own.value, dict):
        value = dict(shipped.value)
        for key, node in own.value.items():
            value[key] = _merged(value[key], node) if key in value else node
        return shipped._replace(value=value, keys={**(shipped.keys or {}), **(own.keys or {})})
    if isinstance(shipped.value, tuple) and isinstance(own.value, tuple) and own.place.file.endswith("exemptions.yaml"):
        return shipped._replace(value=(*shipped.value, *own.value))
    return own
