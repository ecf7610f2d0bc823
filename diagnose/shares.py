"""Shares known between two ends, and what follows from their adding up to the whole. All are fractions by mass."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from math import fsum
from typing import NamedTuple

DIGITS = 9  # sums of shares are rounded to so many, so that 0.1 + 0.2 is 0.3 whatever the order


class Interval(NamedTuple):
    low: float
    high: float


WHOLE = Interval(0.0, 1.0)
ALL = Interval(1.0, 1.0)
NOTHING = Interval(0.0, 0.0)


def tightened(parts: Sequence[Interval], whole: Interval = ALL) -> list[Interval]:
    """`parts`, each no wider than it can be when all of them add up to something in `whole`.

    Sound for every mixture that `parts` allow; raises ValueError where they allow none.
    """
    low, high = _total(parts)
    found = []
    for part in parts:
        least = max(part.low, round(whole.low - fsum((high, -part.high)), DIGITS))
        most = min(part.high, round(whole.high - fsum((low, -part.low)), DIGITS))
        if least > most:
            raise ValueError("these shares cannot add up")
        found.append(Interval(least, most))
    return found


def together(parts: Sequence[Interval], surely: Collection[int], maybe: Collection[int] = ()) -> Interval:
    """The share of those numbered in `surely`, with or without those in `maybe`, in a whole of all `parts`."""
    inside, both = set(surely), {*surely, *maybe}
    low = _total([part for n, part in enumerate(parts) if n in inside])[0]
    high = _total([part for n, part in enumerate(parts) if n in both])[1]
    rest_high = _total([part for n, part in enumerate(parts) if n not in inside])[1]
    rest_low = _total([part for n, part in enumerate(parts) if n not in both])[0]
    least = max(low, round(1 - rest_high, DIGITS), 0.0)
    return Interval(least, max(least, min(high, round(1 - rest_low, DIGITS), 1.0)))


def ratio(part: Interval, least_rest: float, most_rest: float) -> Interval:
    """The share of `part` in itself and a rest; nothing in nothing is none."""
    least = part.low / (part.low + most_rest) if part.low > 0 else 0.0
    most = part.high / (part.high + least_rest) if part.high > 0 else 0.0
    return Interval(round(least, DIGITS), round(most, DIGITS))


def mean(shares: Sequence[Interval], values: Sequence[Interval]) -> Interval:
    """The least and greatest mean of `values` that `shares`, free of each other, allow; (0, 0) where nothing is there.

    For every order of values the extreme lies where all below some value take one end and all above it the other.
    """
    if not shares:
        return NOTHING
    return Interval(_extreme(shares, [v.low for v in values], True), _extreme(shares, [v.high for v in values], False))


def _extreme(shares: Sequence[Interval], values: Sequence[float], least: bool) -> float:
    order = sorted(range(len(values)), key=lambda n: (values[n], shares[n]))
    found = []
    for cut in range(len(order) + 1):
        taken = [shares[n].high if (place < cut) == least else shares[n].low for place, n in enumerate(order)]
        total = fsum(taken)
        if total > 0:
            found.append(fsum(share * values[n] for share, n in zip(taken, order)) / total)
    if not found:
        return 0.0
    return min(found) if least else max(found)


def _total(parts: Sequence[Interval]) -> tuple[float, float]:
    return round(fsum(p.low for p in parts), DIGITS), round(fsum(p.high for p in parts), DIGITS)
