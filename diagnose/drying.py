"""What air and film do to a stated drying time: a range, since the figures are rough.

Times are in seconds, temperatures in C, humidity a share, films in metres.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from math import prod, sqrt

from diagnose.tables import table


@dataclass(frozen=True, slots=True)
class Influence:
    """One thing that lengthens drying: by which factor at the least and at the most."""

    name: str
    least: float
    most: float
    source: str


def cold(temperature: float) -> Influence:
    """Colder than the stated temperature each step about doubles the time; warmth is not counted as gain, because the
    film skins over and labels do not promise it."""
    row = table("drying")["doubles_every"]
    steps = max(0.0, float(table("drying")["stated_at"]["value"]) - temperature) / float(row["value"])
    return Influence("cold", float(row["least"]) ** steps, float(row["most"]) ** steps, row["source"])


def damp(humidity: float, carriers: Collection[str]) -> Influence | None:
    """Damp slows what water and glycol ether carry; None for other carriers."""
    row = table("drying")["humidity"]
    if not set(row["carriers"]) & set(carriers):
        return None
    stated = float(table("drying")["stated_humidity"]["value"]) / 100
    most = min(humidity, float(row["damp_most"]) / 100)
    return Influence("damp", 1.0, max(1.0, (1 - stated) / (1 - most)), row["source"])


def film(coat: str) -> Influence:
    """How heavy the coat was, as attributes.yaml has it: a thick film dries slower. Raises KeyError."""
    row = table("drying")["films"][coat]
    low, high = (float(end) for end in row["thickness"])
    return Influence("film", low, high**2, _thick_source())


def wet_film(wet: float) -> Influence:
    """The same of a measured wet film."""
    times = max(1.0, wet / (float(table("drying")["usual_wet"]["value"]) * 1e-6))
    return Influence("film", times, times**2, _thick_source())


def influences(
    temperature: float | None = None,
    humidity: float | None = None,
    coat: str | float | None = None,
    carriers: Collection[str] = (),
) -> tuple[Influence, ...]:
    """Whatever of this is known and bears on drying; `coat` is a word of attributes.yaml or a wet film."""
    found = [cold(temperature)] if temperature is not None else []
    if humidity is not None and (slowed := damp(humidity, carriers)):
        found.append(slowed)
    if coat is not None:
        found.append(film(coat) if isinstance(coat, str) else wet_film(coat))
    return tuple(one for one in found if one.most > 1)


def needed_range(stated: float, found: Collection[Influence]) -> tuple[float, float]:
    """Least and most time needed where the class usually needs `stated`."""
    return stated * prod(one.least for one in found), stated * prod(one.most for one in found)


def needed_time(
    stated: float,
    temperature: float | None = None,
    humidity: float | None = None,
    coat: str | float | None = None,
    carriers: Collection[str] = (),
) -> float:
    """The middle of that range (its geometric mean): twice as long for each 10 C less, all else as stated."""
    least, most = needed_range(stated, influences(temperature, humidity, coat, carriers))
    return sqrt(least * most)


def _thick_source() -> str:
    return table("drying")["late_stage"]["source"]
