"""Light received against light that a colour bears."""

from __future__ import annotations

from math import sqrt

from diagnose.tables import table

DAY = 86400.0
CLASSES = range(1, 9)  # of blue wool, 1 the most fugitive


def daily(lux: float, hours: float) -> float:
    """Mlx h received in a day of `hours` of light."""
    return lux * hours / 1e6


def dose(place: str, seconds: float) -> float:
    """Mlx h received in `seconds` at a place: lux * hours a day * days / 1e6 (HERIe manual, dose formula)."""
    row = table("light")["places"][place]
    return daily(float(row["lux"]), float(row["hours_a_day"])) * (seconds / DAY)


def first_fade(fastness: str, place: str) -> tuple[float, float]:
    """Lowest and highest dose (Mlx h) to one just noticeable fade for a band of fastness under that place's light."""
    return band_doses(fastness, table("light")["places"][place]["uv"] == "yes")


def band_doses(fastness: str, uv: bool) -> tuple[float, float]:
    """Lowest and highest dose (Mlx h) of a band of fastness (attributes.yaml) to one just noticeable fade."""
    low, high = table("light")["fastness"][fastness]["uv" if uv else "no_uv"]
    return float(low), float(high)


def class_doses(blue_wool: int, uv: bool) -> tuple[float, float]:
    """The same of one blue wool class: half a step to either neighbour, since the classes are that coarse."""
    column = "uv" if uv else "no_uv"
    doses = {number: float(table("light")["blue_wool"][str(number)][column]) for number in CLASSES}
    own = doses[blue_wool]
    below = doses.get(blue_wool - 1, own**2 / doses.get(blue_wool + 1, own))
    above = doses.get(blue_wool + 1, own**2 / doses.get(blue_wool - 1, own))
    return sqrt(own * below), sqrt(own * above)


def time_to(dose_: float, lux: float, hours: float) -> float:
    """Seconds in which a dose (Mlx h) is received. Raises ZeroDivisionError where there is no light."""
    return dose_ / daily(lux, hours) * DAY


def fade_due(fastness: str, place: str, seconds: float) -> str | None:
    """'yes' past the highest dose of the band, 'no' below half the lowest, None between: the figures are rough."""
    received = dose(place, seconds)
    low, high = first_fade(fastness, place)
    if received >= high:
        return "yes"
    return "no" if received < low / 2 else None
