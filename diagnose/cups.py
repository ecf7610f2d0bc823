"""Seconds of a viscosity cup to cSt and back, by the formulas of shared/cups.yaml, inside their ranges."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import sqrt

from diagnose.tables import table


@dataclass(frozen=True, slots=True)
class Cup:
    """A cup of a standard: v = a (t - b) where `line`, else v = a t - b / t; t in s within `range`, v in cSt."""

    id: str
    name: str
    line: bool
    a: float
    b: float
    range: tuple[float, float]
    at: float
    source: str

    def viscosity(self, seconds: float) -> float:
        return self.a * (seconds - self.b) if self.line else self.a * seconds - self.b / seconds

    def seconds(self, viscosity: float) -> float:
        if self.line:
            return viscosity / self.a + self.b
        return (viscosity + sqrt(viscosity**2 + 4 * self.a * self.b)) / (2 * self.a)

    def measures(self, seconds: float) -> bool:
        return self.range[0] <= seconds <= self.range[1]

    @property
    def formula(self) -> str:
        if self.line:
            return f"v = {self.a:g} (t - {self.b:g})"
        return f"v = {self.a:g} t - {self.b:g}/t"


def cup(name: str) -> Cup:
    """Raises KeyError."""
    row = table("cups")["cups"][name]
    low, high = (float(end) for end in row["range"])
    return Cup(
        name,
        row["name"],
        row["form"] == "line",
        float(row["a"]),
        float(row["b"]),
        (low, high),
        float(row["at"]),
        row["source"],
    )


def cups() -> list[str]:
    return list(table("cups")["cups"])


def plain(written: str) -> str:
    """'ISO 2431 4 mm', 'ASTM D1200 No. 4' or 'iso4' as the names of the table are written: iso4, d1200_4."""
    word = re.sub(r"\bno\b|astm|mm|53211|2431|[^a-z0-9]", "", written.lower())
    return re.sub(r"^(d1200|d4212)(\d)$", r"\1_\2", word)


def usual_spray() -> tuple[float, float]:
    """The viscosity, cSt, that is usual where wood finishes are sprayed."""
    row = table("cups")["spray"]
    low, high = (cup(row["cup"]).viscosity(float(seconds)) for seconds in row["seconds"])
    return low, high
