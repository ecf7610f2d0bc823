"""Shellac cuts. A cut is grams of flakes to a litre of ALCOHOL; the flakes add to the volume of what comes out.

Volumes are litres, masses grams, cuts grams to a litre of alcohol. The figures stand in shared/shellac.yaml.
"""

from __future__ import annotations

from diagnose.tables import table
from diagnose.units import KINDS

POUND_CUT = KINDS["strength"].units["lb/gal"][0]  # g/L of a one-pound cut, US gallon
IMPERIAL_CUT = KINDS["strength"].units["lb/impgal"][0]


def displaced() -> float:
    """Litres by which a gram of flakes adds to the volume of the alcohol that it dissolves in."""
    return float(table("shellac")["displaced"]["value"]) / POUND_CUT


def strongest() -> float:
    """The strongest cut (g/L of alcohol) that is reckoned with; flakes hardly dissolve beyond."""
    return float(table("shellac")["strongest"]["value"]) * POUND_CUT


def swelling(cut: float) -> float:
    """Litres of solution from one litre of alcohol."""
    return 1 + cut * displaced()


def to_dissolve(cut: float, volume: float) -> tuple[float, float]:
    """(grams of flakes, litres of alcohol) for `volume` litres of solution of this cut."""
    alcohol = volume / swelling(cut)
    return cut * alcohol, alcohol


def solids(cut: float) -> tuple[float, float]:
    """Share of flakes in the solution (by mass, by volume)."""
    by_mass = cut / (cut + float(table("shellac")["alcohol_density"]["value"]))
    return by_mass, cut * displaced() / swelling(cut)


def to_thin(cut: float, wanted: float) -> float:
    """Parts of alcohol to one part of solution by volume that take `cut` down to `wanted`. Needs 0 < wanted <= cut.

    One litre of solution holds 1/(1 + d*cut) litres of alcohol, and its flakes are to come to `wanted` grams to a
    litre: (cut/wanted - 1) / (1 + d*cut).
    """
    if not 0 < wanted <= cut:
        raise ValueError("a solution can only be thinned to a weaker cut")
    return (cut / wanted - 1) / swelling(cut)


def thinned_to_volume(cut: float, wanted: float, volume: float) -> tuple[float, float]:
    """(litres of solution, litres of alcohol) that give `volume` litres of the `wanted` cut."""
    solution = volume / (1 + to_thin(cut, wanted))
    return solution, volume - solution


def within_shelf_life(months: float) -> str:
    """'both', 'one' or 'neither' of the published shelf lives still covers a solution of that age."""
    life = table("shellac")["shelf_life"]
    short, long = (float(life[name]["value"]) for name in ("short", "long"))
    return "both" if months <= short else "one" if months <= long else "neither"
