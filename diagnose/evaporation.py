"""How fast a carrier or a blend of carriers leaves, in the three classes that matter to the hand."""

from __future__ import annotations

from collections.abc import Iterable
from math import exp, fsum, log

from diagnose.tables import table


def relative_rate(carriers: Iterable[str], retarder: bool = False) -> float | None:
    """Rate, n-butyl acetate = 1: the geometric mean of the carriers (shared/evaporation.yaml); None for none."""
    known = table("evaporation")["carriers"]
    rates = [float(known[carrier]["rate"]) for carrier in sorted(set(carriers)) if carrier in known]
    if not rates:
        return None
    mean = exp(fsum(log(rate) for rate in rates) / len(rates))
    return mean * float(table("evaporation")["retarder"]["factor"]) if retarder else mean


def evaporation_class(rate: float) -> str:
    """'fast', 'medium' or 'slow' for a relative rate."""
    classes = table("evaporation")["classes"]
    if rate >= float(classes["fast_from"]["value"]):
        return "fast"
    return "slow" if rate < float(classes["slow_below"]["value"]) else "medium"
