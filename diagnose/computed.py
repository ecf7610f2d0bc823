"""Facts that are computed, not matched: each with the facts it came from, so that it can be traced like any other.

They rest on what was given and on what materials and woods bring, never on behaviour rules, so they are made once,
between the first run of the engine and the second.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator

from diagnose.case import Case
from diagnose.drying import needed_time
from diagnose.evaporation import evaporation_class, relative_rate
from diagnose.light import fade_due
from diagnose.model import Knowledge
from diagnose.rules import Fact, Firing, fact_order

Computation = Callable[["Known"], Iterator[Firing]]


class Known:
    """The facts at hand, by subject: `step[3]["carrier"]` is the set of its values."""

    def __init__(self, facts: set[Fact], case: Case, knowledge: Knowledge):
        self.case = case
        self.knowledge = knowledge
        self.step: dict[int, dict[str, set]] = defaultdict(lambda: defaultdict(set))
        self.piece: dict[str, set] = defaultdict(set)
        self.air: dict[str, set] = defaultdict(set)
        self.over = sorted((fact[1], fact[2]) for fact in facts if fact[0] == "over")
        for fact in facts:
            if fact[0] == "step":
                self.step[fact[1]][fact[2]].add(fact[3])
            elif fact[0] in ("piece", "air"):
                getattr(self, fact[0])[fact[1]].add(fact[2])

    def one(self, subject: str, name: str):
        """The single value of a piece or air attribute, or None."""
        values = getattr(self, subject)[name]
        return next(iter(values)) if len(values) == 1 else None


def compute(facts: set[Fact], case: Case, knowledge: Knowledge) -> list[Firing]:
    """Everything that can be computed from `facts`, in a fixed order."""
    known = Known(facts, case, knowledge)
    return [firing for computation in COMPUTATIONS for firing in computation(known)]


def _firing(name: str, premises, fact: Fact) -> Firing:
    return Firing(f"reckon/{name}", tuple(sorted(premises, key=fact_order)), fact)


def _evaporation(known: Known) -> Iterator[Firing]:
    for number, traits in sorted(known.step.items()):
        retarder = "yes" in traits["retarder"]
        rate = relative_rate(traits["carrier"], retarder)
        if rate is not None:
            premises = [("step", number, "carrier", c) for c in traits["carrier"]]
            premises += [("step", number, "retarder", "yes")] if retarder else []
            yield _firing("evaporation", premises, ("step", number, "evaporation", evaporation_class(rate)))


def _dried_enough(known: Known) -> Iterator[Firing]:
    temperature = known.one("air", "temperature")
    for number, traits in sorted(known.step.items()):
        if len(traits["dried"]) == 1 and traits["needs_dry"]:
            (dried,) = traits["dried"]
            stated = max(traits["needs_dry"])
            enough = "yes" if dried >= needed_time(stated, temperature) else "no"
            premises = [("step", number, "dried", dried), ("step", number, "needs_dry", stated)]
            premises += [("air", "temperature", temperature)] if temperature is not None else []
            yield _firing("drying time", premises, ("step", number, "dried_enough", enough))


def _fade_due(known: Known) -> Iterator[Firing]:
    place, age = known.one("piece", "place"), known.one("piece", "age")
    if place is None or age is None:
        return
    for number, traits in sorted(known.step.items()):
        for fastness in sorted(traits["fastness"]):
            due = fade_due(fastness, place, age)
            if due:
                premises = [("step", number, "fastness", fastness), ("piece", "place", place), ("piece", "age", age)]
                yield _firing("light received", premises, ("step", number, "fade_due", due))


def _dew(known: Known) -> Iterator[Firing]:
    temperature, humidity = known.one("air", "temperature"), known.one("air", "humidity")
    if temperature is None or not humidity:
        return
    from diagnose.air import dew_point

    dew = dew_point(temperature, humidity)
    if dew is None:
        return
    dew = round(dew, 2)
    premises = [("air", "temperature", temperature), ("air", "humidity", humidity)]
    yield _firing("dew point", premises, ("air", "dew_point", dew))
    surface = known.one("air", "surface")
    if surface is not None:
        yield _firing(
            "dew margin",
            [("air", "dew_point", dew), ("air", "surface", surface)],
            ("air", "dew_margin", round(surface - dew, 2)),
        )


def _closures(known: Known) -> Iterator[Firing]:
    """What the schedule does not contain. A step that might have it, for all that is known, forbids the conclusion."""
    numbers = [step.number for step in known.case.steps]
    if not numbers:
        return  # nothing was listed, so nothing is known to be absent
    for relation, name, value in known.knowledge.closures:
        clear = {n for n in numbers if _cannot_be(known, n, name, value)}
        why = {n: _evidence(known, n, name) for n in clear}
        if relation == "none":
            if len(clear) == len(numbers):
                yield _firing("absent", [f for n in numbers for f in why[n]], ("none", name, value))
        elif relation == "none_between":
            for upper, lower in known.over:
                inside = [n for n in numbers if lower < n < upper]
                if clear.issuperset(inside):
                    premises = [("over", upper, lower), *(f for n in inside for f in why[n])]
                    yield _firing("absent", premises, (relation, upper, lower, name, value))
        else:
            for number in numbers:
                others = [n for n in numbers if (n < number if relation == "none_before" else n > number)]
                if clear.issuperset(others):
                    premises = [
                        ("step", number, "do", known.case.steps[number - 1].do),
                        *(f for n in others for f in why[n]),
                    ]
                    yield _firing("absent", premises, (relation, number, name, value))


def _cannot_be(known: Known, number: int, name: str, value: str) -> bool:
    kind = known.case.steps[number - 1].do
    if known.knowledge.step_kinds[kind].unknown:
        return False
    if name == "do":
        return kind != value
    values = known.step[number][name]
    if values:
        return value not in values
    attribute = known.knowledge.attributes["step", name]
    return bool(attribute.steps) and kind not in attribute.steps


def _evidence(known: Known, number: int, name: str) -> list[Fact]:
    kind = ("step", number, "do", known.case.steps[number - 1].do)
    return [kind, *(("step", number, name, v) for v in known.step[number][name])] if name != "do" else [kind]


COMPUTATIONS: tuple[Computation, ...] = (_evaporation, _dried_enough, _fade_due, _dew, _closures)
