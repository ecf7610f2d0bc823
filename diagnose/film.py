"""Wet and dry film, coverage, and what a job takes. Films in metres, volumes in litres, areas in m2, else shares."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from diagnose.tables import table

LITRE = 1e-3  # m3


@dataclass(frozen=True, slots=True)
class Build:
    """How thick a class of finish may build in all: where the first source warns and where the last does (m)."""

    id: str
    name: str
    limit: tuple[float, float]
    does: str
    basis: str
    source: str


def volume_solids(weight_solids: float, density: float, volatile_density: float) -> float:
    """Solids by volume from solids by weight: what is not solid has the density of the volatile part.

    1 - (1 - weight solids) * density / density of the volatile part; below 0 where the densities cannot be right.
    """
    return 1 - (1 - weight_solids) * density / volatile_density


def thinned(solids: float, thinner: float) -> float:
    """Volume solids after `thinner` volumes of thinner to one of coating."""
    return solids / (1 + thinner)


def dry_film(wet: float, solids: float) -> float:
    """What is left of a wet film; `solids` by volume, as it goes on."""
    return wet * solids


def wet_film(dry: float, solids: float) -> float:
    return dry / solids


def coverage(wet: float) -> float:
    """Theoretical spreading rate, m2 a litre of what goes on, with nothing lost."""
    return LITRE / wet


def material(area: float, wet: float, coats: int, transfer: float, spare: float = 0.0) -> float:
    """Litres of what goes on: `transfer` is the share that ends on the piece, `spare` the share to have over."""
    return area * wet * coats / LITRE / transfer * (1 + spare)


def coats_to(target: float, dry: float) -> int:
    """How many coats of `dry` build at least `target`."""
    return max(1, ceil(target / dry - 1e-9))


def transfer(way: str) -> tuple[float, float]:
    """Lowest and highest share that ends on the piece. Raises KeyError."""
    low, high = table("film")["ways"][way]["transfer"]
    return float(low), float(high)


def build(finish: str) -> Build:
    """Raises KeyError."""
    row = table("film")["builds"][finish]
    low, high = (float(end) * 1e-6 for end in row["limit"])
    return Build(finish, row["name"], (low, high), row["does"], row["basis"], row["source"])


def too_thick(finish: str, total: float) -> str | None:
    """'yes' past every published limit of the class, 'no' within all, None where sources differ."""
    low, high = build(finish).limit
    if total > high:
        return "yes"
    return "no" if total <= low else None
