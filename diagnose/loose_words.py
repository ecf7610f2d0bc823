"""Quantities as people write them loosely: fractions, ranges, commas, an area as two sides, a unit as its own word."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

_FRACTION = re.compile(r"\s*(?:(\d{1,4})[\s-]+)?(\d{1,3})\s*/\s*(\d{1,3})(?=\s*[^\d\s./])")
_RANGE = re.compile(r"\s*(\d[\d.]{0,9})\s*[^\d\s-]{0,12}\s*(?:-|–|\bto\b)\s*(\d[\d.]{0,9})\s*([^\d\s].{0,12})\s*\Z")
_NUMBER = re.compile(r"-?\d[\d.,]*\Z|\d{1,3}/\d{1,3}\Z")
_SIDE = r"(\d[\d./]{0,11})\s*([^\d\sx×]{0,6}?)"
_SIDES = re.compile(rf"\s*{_SIDE}\s*(?:x|×|by)\s*{_SIDE}\s*\Z", re.IGNORECASE)


def without_fraction(written: str) -> str:
    """'2 1/2 lb' as '2.5 lb'; anything else as it is."""
    found = _FRACTION.match(written)
    if not found or int(found[3]) == 0:
        return written
    value = int(found[1] or 0) + Fraction(int(found[2]), int(found[3]))
    return f"{float(value):.12f}".rstrip("0").rstrip(".") + written[found.end() :]


def one_end(written: str, kind: str) -> str | None:
    """What to write in place of a range such as '4-6 h', or None where it is none."""
    found = _RANGE.match(written)
    if not found:
        return None
    first, last = (f"{end} {found[3].strip()}" for end in found.groups()[:2])
    return f"one end: {last}, the longer, is the safe one" if kind == "time" else f"one end: {first} or {last}"


def with_point(written: str) -> str:
    """The same figures with a point for the comma, as what to write instead."""
    return re.sub(r"(\d),(\d)", r"\1.\2", written.strip())


def sides(written: str) -> tuple[str, str] | None:
    """'8 ft x 4 ft' or '8 x 4 ft' as two lengths, or None where it is no such thing."""
    found = _SIDES.match(written)
    if not found or not found[4]:
        return None
    return f"{found[1]} {found[2] or found[4]}", f"{found[3]} {found[4]}"


def joined(words: Sequence[str]) -> list[str]:
    """Words of a command, those of one quantity put together: 20 C; 8 fl oz; 2 1/2 lb; 8 ft x 4 ft."""
    from diagnose.units import is_unit

    found: list[str] = []
    left = list(words)
    while left:
        word = left.pop(0)
        if _NUMBER.match(word):
            if "/" not in word and left and re.fullmatch(r"\d{1,3}/\d{1,3}", left[0]):
                word += " " + left.pop(0)
            for count in (3, 2, 1):
                unit = left[:count]
                if len(unit) == count and not any(part.startswith("-") for part in unit) and is_unit("".join(unit)):
                    word += " " + " ".join(left[:count])
                    del left[:count]
                    break
        before = found[-1].lower() if found else ""
        second_side = before.endswith((" x", " ×")) and word[:1].isdigit()
        if second_side or (word.lower() in ("x", "×") and before[:1].isdigit()):
            found[-1] += " " + word
        else:
            found.append(word)
    return found
