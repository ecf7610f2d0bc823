"""Facts that are computed, not matched: each with the facts it came from, so that it can be traced like any other.

They rest on what was given and on what materials and woods bring, never on behaviour rules, so they are made once,
between the first run of the engine and the second.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from copy import copy
from dataclasses import dataclass
from functools import partial

from diagnose.case import Case
from diagnose.drying import influences, needed_time
from diagnose.evaporation import evaporation_class, relative_rate
from diagnose.film import dry_film, too_thick
from diagnose.light import fade_due
from diagnose.model import Knowledge
from diagnose.rules import Fact, Firing, fact_order

Computation = Callable[["Known"], Iterator["Reckoned"]]


class Known:
    """The facts at hand, by subject: `step[3]["carrier"]` is the set of its values."""

    def __init__(self, facts: Iterable[Fact], case: Case, knowledge: Knowledge):
        self.case = case
        self.knowledge = knowledge
        self.step: dict[int, dict[str, set]] = {step.number: defaultdict(set) for step in case.steps}
        self.piece: dict[str, set] = defaultdict(set)
        self.air: dict[str, set] = defaultdict(set)
        self.over: list[tuple[int, int]] = []
        self._take(facts)
        self.over.sort()

    def _take(self, facts: Iterable[Fact]) -> None:
        for fact in facts:
            if fact[0] == "step":
                self.step[fact[1]][fact[2]].add(fact[3])
            elif fact[0] in ("piece", "air"):
                getattr(self, fact[0])[fact[1]].add(fact[2])
            elif fact[0] == "over":
                self.over.append((fact[1], fact[2]))

    def joined_by(self, facts: Collection[Fact]) -> Known:
        """What is known once these facts about steps, piece and air hold as well."""
        more = copy(self)
        more.step = dict(self.step)
        for number in {fact[1] for fact in facts if fact[0] == "step"}:
            more.step[number] = _copied(self.step[number])
        more.piece, more.air = _copied(self.piece), _copied(self.air)
        more._take(facts)
        return more

    def one(self, subject: str, name: str):
        """The single value of a piece or air attribute, or None."""
        values = getattr(self, subject)[name]
        return next(iter(values)) if len(values) == 1 else None


def _copied(table: Mapping[str, set]) -> dict[str, set]:
    return defaultdict(set, {name: set(values) for name, values in table.items()})


@dataclass(frozen=True, slots=True)
class Reckoned:
    """A computed fact; what it rests on is put together only when it is asked for."""

    name: str
    fact: Fact
    rests_on: Callable[[], Iterable[Fact]]

    def firing(self) -> Firing:
        return Firing(f"reckon/{self.name}", tuple(sorted(self.rests_on(), key=fact_order)), self.fact)


def compute(facts: Iterable[Fact], case: Case, knowledge: Knowledge) -> list[Firing]:
    """Everything that can be computed from `facts`, in a fixed order."""
    return [one.firing() for one in reckoned(facts, case, knowledge)]


def reckoned(facts: Iterable[Fact], case: Case, knowledge: Knowledge) -> list[Reckoned]:
    """The same, with what each rests on not yet put together."""
    known = Known(facts, case, knowledge)
    closed = [reckoned for closure in knowledge.closures for reckoned in _closure(known, *closure)]
    return [*_sums(known), *closed]


def computed_further(known: Known, facts: Collection[Fact]) -> list[Fact]:
    """The facts that can be computed where `facts` are new in `known`: all sums, and what these leave absent."""
    named = {fact[-2] for fact in facts if fact[0] in ("step", "piece", "air")}
    closed = (r.fact for closure in known.knowledge.closures if closure[1] in named for r in _closure(known, *closure))
    return [*(reckoned.fact for reckoned in _sums(known)), *closed]


def _sums(known: Known) -> Iterator[Reckoned]:
    return (reckoned for computation in COMPUTATIONS for reckoned in computation(known))


def _evaporation(known: Known) -> Iterator[Reckoned]:
    for number, traits in sorted(known.step.items()):
        retarder = "yes" in traits["retarder"]
        rate = relative_rate(traits["carrier"], retarder)
        if rate is not None:
            premises = [("step", number, "carrier", c) for c in traits["carrier"]]
            premises += [("step", number, "retarder", "yes")] if retarder else []
            fact = ("step", number, "evaporation", evaporation_class(rate))
            yield Reckoned("evaporation", fact, partial(tuple, premises))


def _dried_enough(known: Known) -> Iterator[Reckoned]:
    """'no' short of what the temperature alone asks for; 'yes' past what damp and a thick wet film ask for as well;
    open between, since how much those two lengthen drying is known roughly. A coat that is only called heavy is left
    to the conditions: an answer that took a computed fact away again could not be tried beforehand (asking.py)."""
    temperature, humidity = known.one("air", "temperature"), known.one("air", "humidity")
    for number, traits in sorted(known.step.items()):
        if len(traits["dried"]) != 1 or not traits["needs_dry"]:
            continue
        (dried,) = traits["dried"]
        stated = max(traits["needs_dry"])
        premises: list[Fact] = [("step", number, "dried", dried), ("step", number, "needs_dry", stated)]
        premises += [("air", "temperature", temperature)] if temperature is not None else []
        if dried < needed_time(stated, temperature):
            yield Reckoned("drying time", ("step", number, "dried_enough", "no"), partial(tuple, premises))
            continue
        wet = next(iter(traits["wet_film"])) if len(traits["wet_film"]) == 1 else None
        if dried >= needed_time(stated, temperature, humidity, wet, traits["carrier"]):
            slowed = {one.name for one in influences(None, humidity, wet, traits["carrier"])}
            if "damp" in slowed:
                premises += [
                    ("air", "humidity", humidity),
                    *(("step", number, "carrier", c) for c in traits["carrier"]),
                ]
            premises += [("step", number, "wet_film", wet)] if "film" in slowed else []
            yield Reckoned("drying time", ("step", number, "dried_enough", "yes"), partial(tuple, premises))


def _film(known: Known) -> Iterator[Reckoned]:
    """The dry film of each step whose wet film and solids are known, and whether all together is past its limit."""
    dry: dict[int, float] = {}
    for number, traits in sorted(known.step.items()):
        if len(traits["wet_film"]) == 1 and len(traits["solids"]) == 1:
            (wet,), (solids,) = traits["wet_film"], traits["solids"]
            dry[number] = round(dry_film(wet, solids), 9)
            premises = (("step", number, "wet_film", wet), ("step", number, "solids", solids))
            yield Reckoned("dry film", ("step", number, "dry_film", dry[number]), partial(tuple, premises))
    if dry:
        yield from _over_built(known, dry)


def _over_built(known: Known, dry: Mapping[int, float]) -> Iterator[Reckoned]:
    """'yes' where the layers whose films are known come past every limit of the most delicate of them; 'no' where all
    layers that have a film are known and stay within all its limits."""
    from diagnose.air import coat_of

    films = known.knowledge.attributes["step", "wet_film"].steps
    lying = [upper for upper, _ in known.over]
    kinds = {number: known.case.steps[number - 1].do for number in lying}
    measured = [number for number in lying if number in dry]
    binders = {number: sorted(known.step[number]["binder_kind"]) for number in measured}
    finishes = {coat_of(kind) for kinds_ in binders.values() for kind in kinds_} - {None}
    if not finishes:
        return
    total = sum(dry[number] for number in measured)
    found = {too_thick(finish, total) for finish in finishes}
    whole = all(number in dry and binders[number] for number in lying if not films or kinds[number] in films)
    whole = whole and not any(known.knowledge.step_kinds[kind].unknown for kind in kinds.values())
    verdict = "yes" if "yes" in found else "no" if whole and found == {"no"} else None
    if verdict:
        premises = [("step", number, "dry_film", dry[number]) for number in measured]
        premises += [("step", number, "binder_kind", kind) for number in measured for kind in binders[number]]
        yield Reckoned("build", ("piece", "over_built", verdict), partial(tuple, premises))


def _fade_due(known: Known) -> Iterator[Reckoned]:
    place, age = known.one("piece", "place"), known.one("piece", "age")
    if place is None or age is None:
        return
    for number, traits in sorted(known.step.items()):
        for fastness in sorted(traits["fastness"]):
            due = fade_due(fastness, place, age)
            if due:
                premises = [("step", number, "fastness", fastness), ("piece", "place", place), ("piece", "age", age)]
                yield Reckoned("light received", ("step", number, "fade_due", due), partial(tuple, premises))


def _dew(known: Known) -> Iterator[Reckoned]:
    temperature, humidity = known.one("air", "temperature"), known.one("air", "humidity")
    if temperature is None or not humidity:
        return
    from diagnose.air import dew_point

    dew = dew_point(temperature, humidity)
    if dew is None:
        return
    dew = round(dew, 2)
    premises = [("air", "temperature", temperature), ("air", "humidity", humidity)]
    yield Reckoned("dew point", ("air", "dew_point", dew), partial(tuple, premises))
    surface = known.one("air", "surface")
    if surface is not None:
        premises = (("air", "dew_point", dew), ("air", "surface", surface))
        yield Reckoned("dew margin", ("air", "dew_margin", round(surface - dew, 2)), partial(tuple, premises))


def _closure(known: Known, relation: str, name: str, value: str) -> Iterator[Reckoned]:
    """What the schedule does not contain. A step that might have it, for all that is known, forbids the conclusion."""
    numbers = [step.number for step in known.case.steps]
    if not numbers:
        return  # nothing was listed, so nothing is known to be absent
    clear = {n for n in numbers if _cannot_be(known, n, name, value)}

    def absent(steps: list[int], fact: Fact, *first: Fact) -> Iterator[Reckoned]:
        if clear.issuperset(steps):
            yield Reckoned("absent", fact, lambda: (*first, *(f for n in steps for f in _evidence(known, n, name))))

    if relation == "none":
        yield from absent(numbers, ("none", name, value))
    elif relation == "none_between":
        for upper, lower in known.over:
            inside = [n for n in numbers if lower < n < upper]
            yield from absent(inside, (relation, upper, lower, name, value), ("over", upper, lower))
    else:
        for number in numbers:
            others = [n for n in numbers if (n < number if relation == "none_before" else n > number)]
            kind = ("step", number, "do", known.case.steps[number - 1].do)
            yield from absent(others, (relation, number, name, value), kind)


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


COMPUTATIONS: tuple[Computation, ...] = (_evaporation, _dried_enough, _film, _fade_due, _dew)
