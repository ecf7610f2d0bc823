"""Which ingredient a sheet means by a name and a registry number, and how that was taken."""

from __future__ import annotations

import re
from collections.abc import Mapping
from difflib import get_close_matches
from typing import NamedTuple

from diagnose import cas
from diagnose.complaint import Complaint, Place, shown
from diagnose.label_model import Ingredient
from diagnose.load_ingredients import plain, spellings
from diagnose.model import Knowledge


class Taken(NamedTuple):
    """The ingredient (None: not known) and, where it was not named by number or exact name, how it was taken."""

    ingredient: Ingredient | None
    how: str = ""
    withheld: bool = False


def check_number(number: str, place: Place | None, what: str) -> None:
    """Complain of a registry number whose form or check digit is wrong."""
    if not cas.NUMBER.match(number):
        raise Complaint(place, f"{what}: {shown(number)} is no registry (CAS) number", "like 64-17-5, or leave it away")
    if not cas.is_sound(number):
        right = cas.check_digit(number)
        raise Complaint(
            place,
            f"{what}: the check digit of {shown(number)} is wrong",
            f"{number[:-1]}{right} would be right if the other digits are; compare with the sheet",
        )


def taken(name: str, number: str, knowledge: Knowledge, place: Place | None, what: str) -> Taken:
    """The ingredient that `name` and `number` (either may be empty) mean. A number goes before a name."""
    if number:
        check_number(number, place, what)
    by_name, by_number = _tables(knowledge)
    named = by_name.get(plain(name)) if name else None
    numbered = by_number.get(number)
    if named and numbered and named != numbered:
        mine, other = knowledge.ingredients[numbered], knowledge.ingredients[named]
        if not _alike(mine, other):
            raise Complaint(
                place,
                f"{what}: {number} is {mine.name}, but {shown(name)} is {other.name}",
                "correct the one that is wrong, or leave it away",
            )
        return Taken(mine, f"{number} is {mine.name}; taken by its number")
    if numbered:
        return Taken(knowledge.ingredients[numbered])
    if named:
        one = knowledge.ingredients[named]
        if number and len(one.cas) == 1 and is_single(one):  # a class has more numbers than are listed here
            raise Complaint(
                place,
                f"{what}: {shown(name)} has the number {one.cas[0]}, not {number}",
                "correct the one that is wrong, or leave the number away",
            )
        return Taken(one, f"{number} is not known here; taken by its name" if number else "")
    lower = name.casefold()
    if knowledge.label and any(word in lower for word in knowledge.label.withheld):
        return Taken(None, "withheld by its maker", True)
    if number:
        return Taken(None, f"{number} is a valid number that is not known here")
    return _loosely(name, knowledge)


def is_single(one: Ingredient) -> bool:
    """Whether it is one substance, with a registry number of its own; resins and cuts of petroleum go by several."""
    return not one.mixture and one.part != "binder"


def _alike(one: Ingredient, other: Ingredient) -> bool:
    """Whether a sheet may print the name of one and the number of the other: a class, and what may belong to it."""
    both_single = is_single(one) and is_single(other)
    return not both_single and one.part == other.part and set(one.traits) == set(other.traits)


def is_known(name: str, knowledge: Knowledge) -> bool:
    """Whether an ingredient goes by exactly this name."""
    return plain(name) in _tables(knowledge)[0]


def _loosely(name: str, knowledge: Knowledge) -> Taken:
    """The one ingredient whose name stands whole inside this one ('Ethanol (denatured)'); the longest such name."""
    words = _words(name)
    found: dict[str, int] = {}
    for one in knowledge.ingredients.values():
        for other in (one.name, *one.also):
            wanted = _words(other)
            if wanted and len("".join(wanted)) >= 4 and _inside(wanted, words):
                found[one.id] = max(found.get(one.id, 0), len("".join(wanted)))
    most = max(found.values(), default=0)
    best = [name for name, size in found.items() if size == most]
    if len(best) != 1:
        known = {other.casefold() for one in knowledge.ingredients.values() for other in (one.name, *one.also)}
        near = get_close_matches(name.casefold()[:60], sorted(known), n=1, cutoff=0.8)
        return Taken(
            None, f"its name is not known here; did you mean {near[0]}?" if near else "its name is not known here"
        )
    one = knowledge.ingredients[best[0]]
    return Taken(one, f"taken for {one.name}, by a part of its name")


def _words(name: str) -> tuple[str, ...]:
    return tuple(re.findall(r"[^\W_]+", name.casefold()))


def _inside(wanted: tuple[str, ...], words: tuple[str, ...]) -> bool:
    return any(words[start : start + len(wanted)] == wanted for start in range(len(words) - len(wanted) + 1))


def _tables(knowledge: Knowledge) -> tuple[Mapping[str, str], Mapping[str, str]]:
    """Ids of ingredients by spelling and by registry number. A sheet has a dozen lines, so nothing is kept."""
    every = knowledge.ingredients.values()
    by_name = {spelling: one.id for one in every for spelling in spellings(one)}
    return by_name, {number: one.id for one in every for number in one.cas}
