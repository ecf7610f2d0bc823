"""Wood in moist air: the moisture it comes to, and what that does to its width (Wood Handbook, FPL-GTR-282 and 190).

Moisture content is a share of the oven-dry mass (0.12 for 12 %), temperature is in C, humidity a share.
"""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.tables import table

FORMULA = "EMC = 18/W [Kh/(1-Kh) + (K1 Kh + 2 K1 K2 K^2 h^2)/(1 + K1 Kh + K1 K2 K^2 h^2)]; W, K, K1, K2 by temperature"
SOURCE = "Wood Handbook FPL-GTR-282, eq. 4-5 (Hailwood and Horrobin; Simpson 1973)"
CUTS = ("flat", "quarter", "rift")
ALSO_CUT = {"plain": "flat", "plainsawn": "flat", "quartersawn": "quarter", "flatsawn": "flat"}


@dataclass(frozen=True, slots=True)
class Movement:
    """A wood of shared/wood_movement.yaml, (radial, tangential): total shrinkage as shares, change a % MC or None."""

    wood: str
    shrinkage: tuple[float, float]
    change: tuple[float, float] | None
    basis: str
    source: str


def emc(temperature: float, humidity: float) -> float:
    """Equilibrium moisture content of wood (a share) in air that stays so."""
    given = table("wood_moisture")["formula"]["constants"]
    w, k, k1, k2 = (
        sum(float(factor) * temperature**power for power, factor in enumerate(given[name]))
        for name in ("W", "K", "K1", "K2")
    )
    kh = k * humidity
    dissolved = kh / (1 - kh)
    bound = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return 18 / w * (dissolved + bound)


def within_table(temperature: float) -> bool:
    """Whether the formula was compared with the published table at this temperature."""
    low, high = table("wood_moisture")["formula"]["valid"]
    return float(low) <= temperature <= float(high)


def movement(wood: str) -> Movement:
    """Raises KeyError where there are no figures for that wood."""
    row = table("wood_movement")["woods"][wood]
    radial, tangential = (float(value) / 100 for value in row["shrinkage"])
    change = tuple(float(value) for value in row["change"]) if "change" in row else None
    return Movement(wood, (radial, tangential), change, row["basis"], row["source"])


def woods() -> list[str]:
    return list(table("wood_movement")["woods"])


def width_change(width: float, wood: Movement, cut: str, before: float, after: float) -> tuple[float, str]:
    """How much a board `width` wide grows (less than 0: shrinks) from one moisture content to the other, in the unit of
    `width`, and the formula. `cut` is flat (tangential), quarter (radial) or rift (midway). Above fibre saturation
    nothing moves.
    """
    limits = table("wood_movement")["limits"]
    low, high = float(limits["low"]) / 100, float(limits["high"]) / 100
    if wood.change and low <= min(before, after) and max(before, after) <= high:
        coefficient = _across(wood.change, cut)
        return width * coefficient * (after - before) * 100, f"width x {coefficient:.5f} x change of % MC (Table 13-5)"
    saturated = float(table("wood_moisture")["fibre_saturation"]["value"]) / 100
    before, after = min(before, saturated), min(after, saturated)
    total = _across(wood.shrinkage, cut)
    change = width * (after - before) / (saturated / total - saturated + before)
    return change, f"width x (M2 - M1)/(30/{total:.4g} - 30 + M1), M in % MC (chapter 13)"


def _across(pair: tuple[float, float], cut: str) -> float:
    radial, tangential = pair
    return {"flat": tangential, "quarter": radial, "rift": (radial + tangential) / 2}[cut]
