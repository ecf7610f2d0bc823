"""What a person means by the name of a wood or a product, where a sum needs the knowledge for it."""

from __future__ import annotations

import argparse

from diagnose.complaint import Complaint, shown
from diagnose.model import Thing


def wood_id(chosen: argparse.Namespace, written: str) -> str:
    """The id of the wood that `written` means. Raises Complaint."""
    return _thing(chosen, written, "woods", "wood").id


def wood(chosen: argparse.Namespace, written: str) -> Thing:
    """The wood that `written` means. Raises Complaint."""
    return _thing(chosen, written, "woods", "wood")


def product(chosen: argparse.Namespace, written: str, *needed: str) -> Thing:
    """The material that `written` means; Complains where it brings none of the traits `needed`."""
    found = _thing(chosen, written, "materials", "product")
    brought = {name for name, _ in found.traits}
    for name in needed:
        if name not in brought:
            words = name.replace("_", " ")
            raise Complaint(None, f"of {shown(found.id)} the {words} is not known", "a product with one, or say it")
    return found


def traits(thing: Thing, name: str) -> list:
    """All values that a material brings of an attribute."""
    return [value for trait, value in thing.traits if trait == name]


def _thing(chosen: argparse.Namespace, written: str, what: str, word: str) -> Thing:
    from diagnose.keeping import diagnoser
    from diagnose.naming import named

    things = getattr(diagnoser(getattr(chosen, "knowledge", None)).knowledge, what)
    return things[named(written, {id_: (thing.name, *thing.also) for id_, thing in things.items()}, word)]
