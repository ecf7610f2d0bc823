"""What a blend of solvents does: how fast its first and its last part leave, and its Hansen distance to others.

Figures are those of shared/solvents.yaml. Rates are relative to n-butyl acetate = 1; shares are fractions by mass.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from math import fsum, sqrt
from typing import NamedTuple

from diagnose.evaporation import evaporation_class
from diagnose.label_amounts import EVAPORATES, LEAVES, LIQUID, Content, counted
from diagnose.label_model import LabelWords
from diagnose.shares import Interval, mean, ratio, together
from diagnose.tables import table

TAIL = 0.1  # the slowest tenth of the liquid decides how long an edge stays open and how soon a coat may follow
ANY_RATE = Interval(0.0, 15.0)  # from what hardly leaves to what is gone while it is poured
MOST_CORNERS = 10  # solvents whose every combination of ends is tried for the range of a distance


class Leaving(NamedTuple):
    """One thing that evaporates: its share, its rate, and where the rate is from."""

    number: int
    name: str
    share: Interval
    rate: Interval
    source: str


class Blend(NamedTuple):
    """`first`: rate at which the whole begins to leave; `last`: rate of its slowest tenth; both as ranges.

    `early` and `late` name the class (fast, medium, slow) where the whole range is of one, else are empty."""

    leaving: tuple[Leaving, ...]
    first: Interval
    last: Interval
    early: str
    late: str


def leaving(inside: Sequence[Content], words: LabelWords) -> tuple[Leaving, ...]:
    """What evaporates or may, slowest last."""
    rows = []
    for number, content in enumerate(inside):
        if counted(content, words.amounts[EVAPORATES], words) and content.share.high > 0:
            rate, source = _rate(content, words)
            rows.append(Leaving(number, content.name, content.share, rate, source))
    return tuple(sorted(rows, key=lambda row: (-row.rate.high, -row.rate.low, row.name)))


def _rate(content: Content, words: LabelWords) -> tuple[Interval, str]:
    one = content.ingredient
    if content.name == LIQUID and content.listed is None:
        return Interval(*words.unlisted_rate), "from memory"
    row = table("solvents").get(one.figures, {}).get("rate") if one and one.figures else None
    if row:
        return Interval(*_ends(row)), f"{row['source']} ({row['basis']})"
    return ANY_RATE, ""


def _ends(row: dict) -> tuple[float, float]:
    low, high = (row["low"], row["high"]) if "low" in row else (row["value"], row["value"])
    return float(low), float(high)


def blend(inside: Sequence[Content], words: LabelWords) -> Blend | None:
    """How the liquid of the bottle leaves; None where nothing evaporates."""
    rows = leaving(inside, words)
    if not rows:
        return None
    first = mean([row.share for row in rows], [row.rate for row in rows])
    last = _tail(inside, rows, words)
    return Blend(rows, first, last, _class(first), _class(last))


def _class(rate: Interval) -> str:
    low, high = evaporation_class(rate.low), evaporation_class(rate.high)
    return low if low == high else ""


def _tail(inside: Sequence[Content], rows: Sequence[Leaving], words: LabelWords) -> Interval:
    """The rate that the slowest tenth of the liquid does not exceed: least and greatest that the shares allow."""
    shares = [content.share for content in inside]
    surely = {r.number for r in rows if counted(inside[r.number], words.amounts[EVAPORATES], words) == "surely"}
    every = {row.number for row in rows}

    def part(slow: set[int]) -> Interval:
        """The share in the liquid of those numbered in `slow`."""
        inner = together(shares, slow & surely, slow - surely)
        return ratio(inner, together(shares, surely - slow).low, together(shares, (), every - slow).high)

    low = next(
        (r for r in sorted(row.rate.low for row in rows) if part(_upto(rows, r, "low")).high >= TAIL), rows[0].rate.low
    )
    high = next(
        (r for r in sorted(row.rate.high for row in rows) if part(_upto(rows, r, "high")).low >= TAIL),
        max(row.rate.high for row in rows),
    )
    return Interval(min(low, high), high)


def _upto(rows: Sequence[Leaving], rate: float, end: str) -> set[int]:
    return {row.number for row in rows if getattr(row.rate, end) <= rate}


class Distance(NamedTuple):
    """Hansen distance Ra (MPa^0.5) from the blend to another liquid, over the range of shares."""

    to: str
    name: str
    ra: Interval


PROBES = ("water", "ethanol", "acetone", "n_butyl_acetate", "mineral_spirits", "stoddard_solvent")


def distances(inside: Sequence[Content]) -> tuple[Distance, ...]:
    """Ra to a few known liquids; empty where a fifth or more of the liquid has no Hansen figures.

    Ra^2 = 4 (dD1 - dD2)^2 + (dP1 - dP2)^2 + (dH1 - dH2)^2, the blend by volume (Hansen's own rule of mixing).
    """
    rows = table("solvents")
    known, other = [], 0.0
    for content in inside:
        one = content.ingredient
        if content.listed is None:
            other += content.share.high if content.name == LIQUID else 0
        elif one is None or (one.part == LEAVES and not _hansen(rows.get(one.figures))):
            other += content.share.high
        elif one.part == LEAVES and content.share.high > 0:
            known.append((content.share, rows[one.figures]))
    middle = fsum((share.low + share.high) / 2 for share, _ in known)
    if not known or other > 0.25 * middle:
        return ()
    mixtures = [[(share.low + share.high) / 2 for share, _ in known]]
    if len(known) <= MOST_CORNERS:
        mixtures += [list(corner) for corner in product(*(sorted({*share}) for share, _ in known)) if sum(corner) > 0]
    points = [_mixed(mixture, [row for _, row in known]) for mixture in mixtures]
    found = []
    for probe in PROBES:
        to = _hansen(rows.get(probe))
        if to:
            ras = [_ra(point, to) for point in points]
            found.append(Distance(probe, rows[probe]["name"], Interval(round(min(ras), 1), round(max(ras), 1))))
    return tuple(found)


def _hansen(row: dict | None) -> tuple[float, float, float] | None:
    if not row or "hansen" not in row or "dD" not in row["hansen"]:
        return None
    return tuple(float(row["hansen"][axis]) for axis in ("dD", "dP", "dH"))


def _mixed(masses: Sequence[float], rows: Sequence[dict]) -> tuple[float, float, float]:
    volumes = [mass / (float(row["density"]["value"]) if "density" in row else 0.9) for mass, row in zip(masses, rows)]
    total = fsum(volumes)
    axes = [_hansen(row) for row in rows]
    return tuple(fsum(volume * axis[n] for volume, axis in zip(volumes, axes)) / total for n in range(3))


def _ra(one: Sequence[float], other: Sequence[float]) -> float:
    return sqrt(4 * (one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2 + (one[2] - other[2]) ** 2)
