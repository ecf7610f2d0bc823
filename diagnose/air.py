"""Moist air at the bench, by PsychroLib (ASHRAE Handbook Fundamentals 2017, chapter 1).

Temperatures are in C, relative humidity as a share (0 to 1), at sea-level pressure. Below 0 C the dew point is the
frost point: the library then reckons over ice.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import ModuleType

from diagnose.tables import table

PRESSURE = 101325.0  # Pa
WARMEST = 60.0  # C; no room that a piece is coated in is warmer


@dataclass(frozen=True, slots=True)
class Window:
    """The air in which a class of coat may go on: ranges in C and as shares, and what goes wrong outside them."""

    id: str
    name: str
    temperature: tuple[float, float]
    humidity: tuple[float, float]
    best_temperature: tuple[float, float]
    best_humidity: tuple[float, float]
    fast: bool
    cold: str
    damp: str
    dry: str
    source: str


def _psychrolib() -> ModuleType:
    import psychrolib  # here, since most runs need no air

    psychrolib.SetUnitSystem(psychrolib.SI)
    return psychrolib


def dew_point(temperature: float, humidity: float) -> float | None:
    """Dew point of air at `temperature` and `humidity`; None where it lies below -100 C."""
    try:
        return _psychrolib().GetTDewPointFromRelHum(temperature, humidity)
    except ValueError:
        return None


def wet_bulb(temperature: float, humidity: float) -> float:
    """The temperature to which evaporating water cools a wet surface in a moving air."""
    return _psychrolib().GetTWetBulbFromRelHum(temperature, humidity, PRESSURE)


def humidity_at(temperature: float, humidity: float, other: float) -> float:
    """Relative humidity of the same air brought to the temperature `other`; above 1 where it would give off water."""
    pressure = _psychrolib().GetSatVapPres
    return humidity * pressure(temperature) / pressure(other)


def highest_humidity(temperature: float, dew: float) -> float:
    """The humidity at which air of `temperature` has its dew point at `dew`; 1 where that lies above the air."""
    return min(1.0, humidity_at(dew, 1.0, temperature))


def warm_enough(temperature: float, humidity: float, wanted: float) -> float | None:
    """To what temperature this air must be warmed, no water added, for the humidity `wanted`; None above 60 C."""
    if humidity <= wanted:
        return temperature
    if humidity_at(temperature, humidity, WARMEST) > wanted:
        return None
    low, high = temperature, WARMEST
    while high - low > 1e-4:
        middle = (low + high) / 2
        low, high = (middle, high) if humidity_at(temperature, humidity, middle) > wanted else (low, middle)
    return high


def margin(fast: bool = False) -> float:
    """Degrees that a surface has to be above the dew point; more under films that chill themselves."""
    return float(table("coating_air")["margin"]["fast" if fast else "least"]["value"])


def window(coat: str) -> Window:
    """The row of shared/coating_air.yaml for a class of coat. Raises KeyError."""
    row = table("coating_air")["classes"][coat]
    temperature, best_temperature = (_range(row[key], 1) for key in ("temperature", "best_temperature"))
    humidity, best_humidity = (_range(row[key], 100) for key in ("humidity", "best_humidity"))
    words = (row[key] for key in ("cold", "damp", "dry", "source"))
    return Window(
        coat, row["name"], temperature, humidity, best_temperature, best_humidity, row["fast"] == "yes", *words
    )


def windows() -> list[str]:
    """The classes of coat that a finisher may name; "any" stands for a coat not named."""
    return [name for name in table("coating_air")["classes"] if name != "any"]


def coat_of(binder_kind: str) -> str | None:
    """The class of coat that a kind of binder (attributes.yaml) belongs to, or None."""
    classes = table("coating_air")["classes"]
    return next((name for name, row in classes.items() if binder_kind in row["binder_kinds"]), None)


def _range(ends: list[str], by: float) -> tuple[float, float]:
    low, high = (float(end) / by for end in ends)
    return low, high
