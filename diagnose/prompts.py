"""One question as it is put, and what is understood of an answer: numbers, words, their beginnings, longer names."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from diagnose import units
from diagnose.case import Given
from diagnose.complaint import Complaint, nearest, shown
from diagnose.model import UNKNOWN
from diagnose.naming import loosely
from diagnose.reading import as_name

DONE = "done"
AGAIN = "again"  # another step like the last; `again 3` for three more
STEM = 5  # letters by which two words are taken to begin alike
DONT_KNOW = (
    *(
        UNKNOWN,
        "?",
        "don't know",
        "dont know",
        "i don't know",
        "i dont know",
        "dunno",
        "not known",
        "not sure",
        "no idea",
    ),
    *("skip", "n/a"),
)

About = tuple[str | int, ...]  # ("finding", id), ("piece" or "air", name), ("do", number) or ("step", number, name)


@dataclass(frozen=True, slots=True)
class Prompt:
    """One thing to ask. `options` are shown and numbered; `spellings` is every accepted word -> its value.

    `short`: the options were shown before, so their ids will do; `of`: what the question is about, where not the piece;
    `passing`: words beside a name that tell nothing; `general`: names that only repeat what kind of step it was, and so
    leave the answer unknown; `products`, where it is asked what was done: spelling -> (material, steps it is used in).
    """

    about: About
    question: str
    options: tuple[tuple[str, str], ...] = ()
    spellings: Mapping[str, str] | None = None
    many: bool = False
    quantity: str = ""
    how: tuple[str, ...] = ()
    shows: str = ""
    harms: str = ""
    needed: bool = False
    of: str = ""
    short: bool = False
    passing: tuple[str, ...] = ()
    general: tuple[str, ...] = ()
    products: Mapping[str, tuple[str, tuple[str, ...]]] | None = None


def understand(prompt: Prompt, written: str) -> Given:
    """What was typed, as a value of the prompt: a number, a word, the beginning of one, several with commas.

    Nothing typed, or any way of saying so, is "don't know".
    """
    written = " ".join(written.split())
    if not written or written.lower().replace("’", "'") in DONT_KNOW:
        return Given((UNKNOWN,), UNKNOWN)
    if prompt.about[0] == "do" and times_again(written):
        return Given((AGAIN,), written)
    if prompt.quantity:
        written = units.spoken(written)
        return Given((units.parse(written, prompt.quantity, None, "that"),), written)
    parts = [part for part in (p.strip() for p in written.split(",")) if part] if prompt.many else [written]
    chosen = tuple(dict.fromkeys(_one(prompt, part) for part in parts))
    return Given(chosen, ", ".join(chosen))


def times_again(written: str) -> int:
    """How many further steps like the last are meant: 1 for "again", 3 for "again 3", 0 where it is no such word."""
    found = re.fullmatch(r"(?:the )?(?:same )?again(?:[ ,x]+(\d{1,3}))?", written.strip().lower())
    return int(found[1] or 1) if found else 0


def product_said(prompt: Prompt, written: str, kind: str) -> str:
    """The material that an answer to "what was done" names, where it fits that kind of step; "" otherwise."""
    material, steps = _product(prompt, written)
    return material if kind in steps else ""


def names_product(prompt: Prompt, written: str) -> bool:
    return bool(_product(prompt, written)[0])


def _product(prompt: Prompt, written: str) -> tuple[str, tuple[str, ...]]:
    products, word = prompt.products or {}, as_name(written)
    if word in products:
        return products[word]
    meant = loosely(word, {spelling: material for spelling, (material, _) in products.items()}, prompt.passing)
    return products[meant] if meant else ("", ())


def _one(prompt: Prompt, written: str) -> str:
    ids = [value for value, _ in prompt.options]
    if written.isdecimal():
        if 1 <= int(written[:6]) <= len(ids):
            return ids[int(written) - 1]
        raise Complaint(None, f"there is no number {shown(written)} here", f"1 to {len(ids)}" if ids else "a name")
    word = as_name(written)
    by_words = {as_name(words): value for value, words in prompt.options}
    known = {**prompt.spellings, **by_words}
    if word in known:
        return known[word]
    if meant := loosely(word, known, prompt.passing):
        return known[meant]
    begun = {value for spelling, value in known.items() if spelling.startswith(word)}
    begun = begun & set(ids) or begun  # what is offered here goes before what is not
    if len(word) >= 2 and len(begun) == 1:
        return begun.pop()
    if loosely(word, dict.fromkeys(prompt.general, UNKNOWN), prompt.passing):
        return UNKNOWN
    _, steps = _product(prompt, written)
    if steps:
        return steps[0]
    told = {value for value, words in prompt.options if set(word.split("_")) <= _words(words)}
    if "_" in word and len(told) == 1:
        return told.pop()
    inside = {value for spelling, value in known.items() if word in spelling.split("_")}
    inside = inside & set(ids) or inside
    near = sorted(begun | inside | told) or _alike(word, prompt) or nearest(word, prompt.spellings)
    numbers = {value: f"{number} " for number, value in enumerate(ids, 1)}
    names = [numbers.get(value, "") + value.replace("_", " ") for value in near[:4]]
    accepted = (
        f"did you mean {' or '.join(names)}?" if near else "a number or a word of the list, or Enter for don't know"
    )
    raise Complaint(None, f"{shown(written)} is not one of the answers", accepted)


def _alike(word: str, prompt: Prompt) -> list[str]:
    """The options that share most of the words typed, or words that begin alike ('bubbling', 'bubbles')."""
    stems = {one[:STEM] for one in word.split("_") if len(one) >= STEM}
    shared = {value: len(stems & {one[:STEM] for one in _words(words)}) for value, words in prompt.options}
    most = max(shared.values(), default=0)
    return [value for value, count in shared.items() if count == most and most]


def _words(text: str) -> set[str]:
    return set(re.findall(r"[a-z0-9]+", text.lower()))
