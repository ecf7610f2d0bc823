"""Small readers and remarks that the sums of mixing share."""

from __future__ import annotations

import argparse

from diagnose import units
from diagnose.complaint import Complaint, shown
from diagnose.sums import Remark

PRACTICE = "common practice"
ARITHMETIC = "arithmetic"
OPTIONS = (
    *("parts", "recipe", "dissolved", "volume", "mass", "board", "used", "area", "coats", "spare", "coverage", "kind"),
    *("by", "powder", "liquid", "strength", "least", "keep"),
)


def read(words: list[str] | None, kind: str, what: str) -> float | None:
    """An option in the inner unit of its kind, None where it is not there. Raises Complaint."""
    if words is None:
        return None
    value = units.parse(units.spoken(" ".join(words)), kind, None, what)
    if value <= 0 and kind != "share":
        raise Complaint(None, f"{what}: {shown(' '.join(words))} is nothing", "more than 0")
    return value


def only(chosen: argparse.Namespace, allowed: tuple[str, ...], about: str) -> None:
    """Complain of an option that this sum would pass over in silence."""
    for name in OPTIONS:
        if getattr(chosen, name) and name not in allowed:
            word = {"liquid": "--in", "parts": "a part"}.get(name, f"--{name}")
            raise Complaint(None, f"{word} does not go with {about}", "leave it away")


def noticeable() -> float:
    """The share by which rounding may move a part before it is warned of."""
    from diagnose.tables import table

    return float(table("mixing")["noticeable"]["value"]) / 100


def too_coarse(what: str, better: str) -> Remark:
    """The warning that rounding moves `what`, and what would be better."""
    says = (
        f"Rounding moves {what}: more than {noticeable() * 100:g} %, which may show. {better[0].upper()}{better[1:]}."
    )
    return Remark("rounding", False, says, PRACTICE)


def least(steps: list[list[str]]) -> dict[str, float]:
    """--least, by kind."""
    from diagnose.recipe import read_amount

    found: dict[str, float] = {}
    for words in steps:
        step, kind = read_amount(" ".join(words), None, "least")
        if kind == "parts" or kind in found:
            raise Complaint(
                None, f"least: {shown(' '.join(words))} cannot be used", "one in g and one in mL: 1 g, 5 mL"
            )
        found[kind] = step
    return found


def step(size: float, kind: str) -> str:
    """A least step in words, in the metric system."""
    return units.in_both(size, kind).split(" (")[0]
