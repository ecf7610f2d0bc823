"""Seconds of a viscosity cup to cSt and back, by the formulas of shared/cups.yaml, inside their ranges or near them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import sqrt

from diagnose.tables import table

# How far outside the published range a cup is still reckoned, with a caution: in seconds, and in viscosity, since near
# the end of a line a few seconds are all of it. Beyond that nothing is said.
LEEWAY = 0.3
LEAST_VISCOSITY = 0.5


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
        """Whether the formula is published there."""
        return self.range[0] <= seconds <= self.range[1]

    def nearly_measures(self, seconds: float) -> bool:
        """Whether that is in the published range or a little outside it."""
        low, high = self.range
        thick_enough = self.viscosity(seconds) >= LEAST_VISCOSITY * self.viscosity(low) if seconds > 0 else False
        return thick_enough and low * (1 - LEEWAY) <= seconds <= high * (1 + LEEWAY)

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


def usual_spray() -> list[tuple[str, float, float, str]]:
    """(what is sprayed and how, least and most cSt that is usual for it, source)."""
    return [
        (row["name"], *(cup(row["cup"]).viscosity(float(seconds)) for seconds in row["seconds"]), row["source"])
        for row in table("cups")["spray"].values()
    ]
