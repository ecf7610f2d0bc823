"""Parts and amounts of a mix, strength, scaling a test board to a job, and rounding to what a shop can measure.

Volumes are litres, masses grams, areas square metres, strengths grams to a litre of the liquid put in. Volumes are
taken to add up. Figures that a shop goes by stand in shared/mixing.yaml and shared/coverage.yaml.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import floor, fsum

from diagnose.complaint import Complaint
from diagnose.tables import table

MILLI = {"volume": 1e-3, "mass": 1.0}  # the tables give mL and g; inside are litres and grams
FARTHEST = 20  # times the wanted total: farther off nobody would mix only to round better


@dataclass(frozen=True, slots=True)
class Part:
    """`amount` is litres, grams or a plain number, as `kind` says: "volume", "mass" or "parts"."""

    name: str
    amount: float
    kind: str


@dataclass(frozen=True, slots=True)
class Measured:
    """A part as it is measured: `amount` in whole steps of `step`; `moved` is the share by which its strength moves."""

    part: Part
    step: float
    amount: float
    moved: float


def kind_of(parts: Sequence[Part], dissolved: bool = False) -> str:
    """What the total is counted in: "parts", "volume" or "mass". Raises Complaint where these are mixed up.

    With `dissolved` what is weighed is dissolved in what is measured by volume, and only the volumes count.
    """
    kinds = {part.kind for part in parts}
    if not parts or fsum(part.amount for part in parts) <= 0:
        raise Complaint(None, "the parts add up to nothing", "at least one part of more than 0, for instance red:3")
    if dissolved and kinds != {"mass", "volume"}:
        raise Complaint(
            None, "nothing here is weighed and dissolved", "with --dissolved give some parts in g, the liquid in mL"
        )
    if "parts" in kinds and len(kinds) > 1:
        raise Complaint(None, "some parts have a unit and some have none", "give all of them a unit, or none of them")
    if kinds == {"mass", "volume"} and not dissolved:
        raise Complaint(
            None,
            "some parts are masses and some volumes",
            "give all in mL or all in g; with --dissolved what is weighed is dissolved in what is measured",
        )
    return "volume" if dissolved else next(iter(kinds))


def whole(parts: Iterable[Part], kind: str) -> float:
    """The total, in what `kind_of` says it is counted in."""
    return fsum(part.amount for part in parts if part.kind == kind)


def to_total(parts: Sequence[Part], kind: str, total: float, into: str = "") -> tuple[Part, ...]:
    """The same mix with this total. Plain parts become amounts of kind `into`."""
    factor = total / whole(parts, kind)
    return tuple(
        replace(part, amount=part.amount * factor, kind=into if into and part.kind == "parts" else part.kind)
        for part in parts
    )


def in_parts(parts: Sequence[Part], kind: str) -> dict[str, tuple[float, float]]:
    """name -> (parts, the least being 1; share of the total), of those parts that count in the total."""
    counted = [part for part in parts if part.kind == kind]
    least, total = min(part.amount for part in counted), whole(parts, kind)
    return {part.name: (part.amount / least, part.amount / total) for part in counted}


def strength(mass: float, volume: float) -> float:
    """Grams to a litre of the liquid that the powder is put into."""
    return mass / volume


def powder_for(wanted: float, volume: float) -> float:
    """Grams of powder that give `volume` litres of liquid this strength."""
    return wanted * volume


def job(used: float, board: float, area: float, coats: int = 1, spare: float = 0.0) -> float:
    """How much a job takes, where one coat of a test board of `board` took `used`; `spare` is a share of it."""
    return used / board * area * coats * (1 + spare)


def needed(area: float, coats: int, coverage: float, spare: float = 0.0) -> float:
    """Litres for an area at a coverage in m2/L."""
    return area * coats / coverage * (1 + spare)


def coverage(coat: str, way: str) -> tuple[float, float, str]:
    """(least, most m2/L, source) of a kind of coat by how it goes on. Raises Complaint."""
    ways = table("coverage")
    if way not in ways or coat not in ways[way]:
        known = ", ".join(f"{kind} by {name}" for name, kinds in ways.items() for kind in kinds)
        raise Complaint(None, f"no coverage is known of {coat} by {way}", f"known: {known}; or give --coverage")
    row = ways[way][coat]
    return float(row["low"]), float(row["high"]), row["source"]


def amounts(coat: str, way: str, area: float, coats: int = 1, spare: float = 0.0) -> tuple[float, float, str]:
    """(fewest litres, most litres, source) for an area, by the kind of coat and how it goes on. Raises Complaint."""
    least, most, source = coverage(coat, way)
    return needed(area, coats, most, spare), needed(area, coats, least, spare), source


def hardens(name: str) -> bool:
    """Whether a part is, by its name, one that sets the whole off (shared/mixing.yaml), so that the pot has a life."""
    word = "".join(letter for letter in name.lower() if letter.isalnum())
    return any(stem in word for stem in table("mixing")["hardening"]["stems"])


def least_step(amount: float, kind: str) -> float:
    """The step in which a shop measures such an amount (shared/mixing.yaml)."""
    rows = table("mixing")["least"][kind]
    size = amount / MILLI[kind]
    row = next((row for row in rows if size <= float(row["up_to"]) * (1 + 1e-9)), rows[-1])
    return float(row["step"]) * MILLI[kind]


def measured(parts: Sequence[Part], kind: str, least: Mapping[str, float] | None = None) -> tuple[Measured, ...]:
    """Each part in whole steps: `least` by kind, or what a shop measures. `kind` is what the total is counted in."""
    steps = [(least or {}).get(part.kind) or least_step(part.amount, part.kind) for part in parts]
    rounded = [replace(part, amount=floor(part.amount / step + 0.5) * step) for part, step in zip(parts, steps)]
    before, after = whole(parts, kind), whole(rounded, kind)
    return tuple(
        Measured(part, step, taken.amount, _moved(part.amount / before, taken.amount, after))
        for part, step, taken in zip(parts, steps, rounded)
    )


def _moved(exact: float, amount: float, total: float) -> float:
    return amount / total / exact - 1 if total else -1.0


def worst(taken: Iterable[Measured]) -> float:
    return max(abs(one.moved) for one in taken)


def rounds_better(
    parts: Sequence[Part], kind: str, least: Mapping[str, float] | None = None, within: float = 0.05
) -> float | None:
    """The next larger total, itself one that can be measured, at which rounding moves no part by more than `within`.

    None where none is found up to FARTHEST times the total.
    """
    total = whole(parts, kind)
    step = least_step(total, kind)
    first = floor(total / step + 1e-6) + 1  # a total that is whole steps itself is no larger one
    for count in range(first, min(floor(FARTHEST * total / step), first + 2000) + 1):
        if worst(measured(to_total(parts, kind, count * step), kind, least)) <= within:
            return count * step
    return None
