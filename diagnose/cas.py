"""Registry numbers of substances (CAS) and their check digit."""

from __future__ import annotations

import re

NUMBER = re.compile(r"\d{2,7}-\d{2}-\d\Z")


def check_digit(number: str) -> str:
    """The last digit that a number of this form must have: the others, counted from the right, each times its place,
    modulo ten."""
    digits = number.rpartition("-")[0].replace("-", "")
    return str(sum(place * int(digit) for place, digit in enumerate(reversed(digits), 1)) % 10)


def is_sound(number: str) -> bool:
    """Whether `number` has the form of a registry number and the check digit that belongs to it."""
    return bool(NUMBER.match(number)) and number[-1] == check_digit(number)
