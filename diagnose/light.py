"""Light received against light that a colour bears."""

from __future__ import annotations

from diagnose.tables import table

DAY = 86400.0


def dose(place: str, seconds: float) -> float:
    """Mlx h received in `seconds` at a place: lux * hours a day * days / 1e6 (HERIe manual, dose formula)."""
    row = table("light")["places"][place]
    return float(row["lux"]) * float(row["hours_a_day"]) * (seconds / DAY) / 1e6


def first_fade(fastness: str, place: str) -> tuple[float, float]:
    """Lowest and highest dose (Mlx h) to one just noticeable fade for a band of fastness under that place's light."""
    uv = table("light")["places"][place]["uv"] == "yes"
    low, high = table("light")["fastness"][fastness]["uv" if uv else "no_uv"]
    return float(low), float(high)


def fade_due(fastness: str, place: str, seconds: float) -> str | None:
    """'yes' past the highest dose of the band, 'no' below half the lowest, None between: the figures are rough."""
    received = dose(place, seconds)
    low, high = first_fade(fastness, place)
    if received >= high:
        return "yes"
    return "no" if received < low / 2 else None
