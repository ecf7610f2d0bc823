"""A schedule before it is carried out: its dangers, what would take each away, what cannot be judged, what keeps it
sound. Every change proposed was tried: the rules were run on the changed schedule.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from diagnose.case import Case
from diagnose.diagnosis import Diagnoser, Diagnosis
from diagnose.edits import NUMBER_ANEW, Edit, edits, needed
from diagnose.facts import WOOD, layers
from diagnose.model import Board, Cause, Caution, Remedy, Step, Treatment
from diagnose.remedies import cost
from diagnose.rules import Fact
from diagnose.section import Place, given_below, place_of
from diagnose.threats import FAULT, GUARD, HOLDS, RULED_OUT, Forecast, Threat, grounds

EASED = 5  # decibans that a change must take off for it to be told where it does not take a danger away
BROUGHT = 45.0  # minutes: what each smaller fault that a change brings counts against it
LEFT = 240.0  # minutes: what it counts against a change that a serious fault only grows smaller
SMALL = 30.0  # minutes: what may be spent on a smaller fault
MOST_MENDED = 6
MOST_TRIED = 12  # against so many of the most pressing dangers changes are tried
MOST_STEPS = 24  # a longer schedule is judged, but no changes are tried on it: each try takes seconds


Tried = tuple[Edit, Mapping[str, Threat]]  # an edit, and what the schedule could fail by after it


@dataclass(frozen=True, slots=True)
class Way:
    """A change tried out. `left`: decibans that the schedule still puts on the failure (None: no longer told of);
    `brings`: faults that the changed schedule has and this one has not."""

    edit: Edit
    left: int | None
    brings: tuple[Threat, ...]

    @property
    def price(self) -> float:
        return self.edit.minutes + BROUGHT * grounds(self.brings)

    @property
    def safe(self) -> bool:
        return not any(threat.serious for threat in self.brings)


@dataclass(frozen=True, slots=True)
class Danger:
    """A threat, where in the layers it sits, the steps it rests on, what would lessen it (the least change first), and
    the mildest remedy should it come to pass."""

    threat: Threat
    place: Place
    steps: frozenset[int]
    ways: tuple[Way, ...]
    cure: tuple[Treatment, Remedy] | None


@dataclass(frozen=True, slots=True)
class Safeguard:
    """A condition that keeps failures away, and which."""

    fact: Fact
    against: tuple[Cause, ...]


@dataclass(frozen=True, slots=True)
class Wait:
    """Seconds that a step is given, and needs in this air; None where that is not known."""

    step: int
    given: float | None
    needed: float | None

    @property
    def short(self) -> bool:
        return self.given is not None and self.needed is not None and self.given < self.needed


@dataclass(frozen=True)
class Plan:
    """All that can be said of a schedule. `faults` are what the schedule brings on itself, `natures` what the wood, the
    place and the kind of finish bring. `mended`: the schedule after the edits of `mending`, where any were needed."""

    diagnosis: Diagnosis
    faults: tuple[Danger, ...]
    natures: tuple[Danger, ...]
    safeguards: tuple[Safeguard, ...]
    waits: tuple[Wait, ...]
    boards: tuple[Board, ...]
    mending: tuple[Edit, ...]
    left: tuple[Threat, ...]

    @property
    def serious(self) -> tuple[Danger, ...]:
        return tuple(danger for danger in self.faults if danger.threat.serious)

    @property
    def sound(self) -> bool:
        return not self.serious

    @property
    def unnamed(self) -> tuple[Step, ...]:
        """Layers of which it is not told what they are, so that they cannot be judged."""
        kinds = self.diagnosis.knowledge.step_kinds
        layers_ = (step for step in self.case.steps if kinds[step.do].layer and "product" in kinds[step.do].asks)
        told = ("product", "ingredients", "carrier", "binder_kind")
        return tuple(
            step for step in layers_ if not any(name in step.given and step.given[name].known for name in told)
        )

    @property
    def cautions(self) -> tuple[tuple[Caution, tuple[str, ...]], ...]:
        """Those that its steps and the piece call for, each with what does."""
        called = ((c, tuple(n for n in by if n.startswith(("step ", "piece ")))) for c, by in self.diagnosis.cautions)
        return tuple((caution, by) for caution, by in called if by)

    @property
    def case(self) -> Case:
        return self.diagnosis.case


def too_long(case: Case) -> bool:
    """Whether a schedule is too long for changes to be tried on it."""
    return len(case.steps) > MOST_STEPS


class Planner:
    """A knowledge base made ready; looks at any number of schedules."""

    def __init__(self, diagnoser: Diagnoser):
        self.diagnoser = diagnoser
        self.knowledge = diagnoser.knowledge
        self.forecast = Forecast(diagnoser.knowledge, diagnoser.index)

    def plan(self, case: Case) -> Plan:
        """Look at a schedule; what was found on a piece is left aside."""
        diagnosis = self.diagnoser.diagnose(replace(case, findings={}))
        facts = diagnosis.store.facts
        threats = self.forecast.threats(facts)
        rests = {name: _steps(threat, diagnosis) for name, threat in threats.items()}
        pressing = list(threats)[:MOST_TRIED]
        steps = frozenset().union(*(rests[name] for name in pressing))
        grave = frozenset().union(*(rests[name] for name in pressing if threats[name].serious))
        made = edits(diagnosis.case, steps, grave, facts, self.knowledge) if not too_long(case) else ()
        tried = [(edit, self.threats(edit.case)) for edit in made]
        dangers = [self._danger(threat, rests[name], tried, threats, diagnosis) for name, threat in threats.items()]
        mending, threatened = self._mend(diagnosis.case, threats, tried) if tried else ((), threats)
        return Plan(
            diagnosis,
            tuple(danger for danger in dangers if danger.threat.fault),
            tuple(danger for danger in dangers if not danger.threat.fault),
            tuple(self._safeguards(diagnosis, threats)),
            tuple(_waits(diagnosis.case, facts, diagnosis)),
            tuple(board for board in self.knowledge.boards.values() if board.cause in threats),
            mending,
            tuple(threat for threat in threatened.values() if threat.fault),
        )

    def threats(self, case: Case) -> dict[str, Threat]:
        """What a schedule could fail by, most pressing first."""
        return self.forecast.threats(self.forecast.facts(case))

    def _danger(
        self,
        threat: Threat,
        steps: frozenset[int],
        tried: Iterable[Tried],
        now: Mapping[str, Threat],
        diagnosis: Diagnosis,
    ) -> Danger:
        ways = [
            way
            for edit, after in tried
            if (not edit.steps or set(edit.steps) & steps) and (way := _way(threat, edit, after, now))
        ]
        ordered = sorted(
            ways, key=lambda way: (not way.safe, way.left is not None, way.price, way.edit.change.id, way.edit.value)
        )
        return Danger(threat, _place(threat, diagnosis), steps, tuple(ordered), self._cure(threat.cause, diagnosis))

    def _cure(self, cause: Cause, diagnosis: Diagnosis) -> tuple[Treatment, Remedy] | None:
        """The remedy of a cause with the best chance for its cost, of those that the schedule does not bar."""
        pairs = [(treatment, self.knowledge.remedies[treatment.remedy]) for treatment in cause.treatments]
        fit = [pair for pair in pairs if ("barred", pair[1].id) not in diagnosis.trace]
        return max(fit, key=lambda pair: (pair[0].cures / cost(self.knowledge, pair[1]), pair[1].id), default=None)

    def _safeguards(self, diagnosis: Diagnosis, threats: Mapping[str, Threat]) -> list[Safeguard]:
        """Guards that hold, and faults that are ruled out by how the steps were done and lie on one another; those
        first that keep off what is met most and what they weigh most against."""
        found: list[tuple[int, Safeguard]] = []
        for fact in sorted(fact for fact in diagnosis.store.facts if fact[0] == "condition"):
            kind = self.knowledge.conditions[fact[1]].in_plan
            guards = kind == GUARD and fact[2] == HOLDS
            if not guards and not (kind == FAULT and fact[2] == RULED_OUT and _told(fact, diagnosis)):
                continue
            against = {}
            for cause, link in self.forecast.links(fact[1]):
                weight = -link.weights.get(HOLDS, 0) if guards else link.weights.get(HOLDS, 0)
                if weight > 0 and cause.id not in threats:
                    against[cause.id] = weight + cause.prior
            if against:
                causes = sorted(against, key=lambda name: (-against[name], name))
                shown = tuple(self.knowledge.causes[name] for name in causes)
                found.append((max(against.values()), Safeguard(fact, shown)))
        return [guard for _, guard in sorted(found, key=lambda pair: (-pair[0], pair[1].fact))]

    def _mend(
        self, case: Case, threats: Mapping[str, Threat], tried: Sequence[Tried]
    ) -> tuple[tuple[Edit, ...], Mapping[str, Threat]]:
        """The least changes, one after the other, that leave no serious fault, then small ones against smaller faults;
        and what the schedule could fail by after them."""
        done: list[Edit] = []
        while len(done) < MOST_MENDED and any(threat.serious for threat in threats.values()):
            tried = tried if not done else self._tries(case, threats)
            best = _best([((edit,), after) for edit, after in tried], threats) or _best(self._pairs(tried), threats)
            if best is None:
                break
            done += best[0]
            case, threats = best[0][-1].case, best[1]
        if done or any(threat.serious for threat in threats.values()):
            tried = ()
        for edit in self._small(case, threats, tried):
            again = self._again(edit, case, self.forecast.facts(case))
            after = self.threats(again.case) if again else threats
            if again and _faults(after) < _faults(threats):
                done.append(again)
                case, threats = again.case, after
        return tuple(done), threats

    def _pairs(self, tried: Sequence[Tried]) -> Iterable[tuple[tuple[Edit, ...], Mapping[str, Threat]]]:
        """Two small changes made together, for a fault that has two grounds."""
        small = [e for e, _ in tried if len(e.steps) == 1 and e.minutes <= SMALL and e.change.how not in NUMBER_ANEW]
        for count, first in enumerate(small):
            facts = self.forecast.facts(first.case)
            for other in small[count + 1 :]:
                again = self._again(other, first.case, facts)
                if again and (again.change, again.steps) != (first.change, first.steps):
                    yield (first, again), self.threats(again.case)

    def _again(self, edit: Edit, case: Case, facts: Collection[Fact]) -> Edit | None:
        """The same edit of another schedule, where it can be made there."""
        same = (e for e in edits(case, edit.steps, (), facts, self.knowledge) if e.change is edit.change)
        return next((e for e in same if (e.value, e.steps) == (edit.value, edit.steps)), None)

    def _small(self, case: Case, threats: Mapping[str, Threat], tried: Sequence[Tried]) -> list[Edit]:
        """For each fault the least change that takes it away and brings none; those that number the steps anew last,
        from the top down, so that the numbers of the others hold."""
        diagnosis = self.diagnoser.diagnose(case)
        faults = [threat for threat in threats.values() if threat.fault][:MOST_TRIED]
        rests = {threat.cause.id: _steps(threat, diagnosis) for threat in faults}
        steps = frozenset().union(*rests.values())
        tried = tried or [
            (e, self.threats(e.case)) for e in edits(case, steps, (), diagnosis.store.facts, self.knowledge)
        ]
        found: dict[tuple, Edit] = {}
        for name, below in rests.items():
            on_it = ((edit, after) for edit, after in tried if not edit.steps or set(edit.steps) & below)
            ways = (way for edit, after in on_it if (way := _way(threats[name], edit, after, threats)))
            small = [way for way in ways if way.left is None and not way.brings and way.price <= SMALL]
            if small:
                best = min(small, key=lambda way: (way.price, way.edit.change.id)).edit
                found[best.change.id, best.steps] = best
        return sorted(found.values(), key=lambda edit: (edit.change.how in NUMBER_ANEW, -edit.step))

    def _tries(self, case: Case, threats: Mapping[str, Threat]) -> list[Tried]:
        """Every edit of the steps that serious faults rest on."""
        diagnosis = self.diagnoser.diagnose(case)
        grave = frozenset().union(*(_steps(threat, diagnosis) for threat in threats.values() if threat.serious))
        return [(e, self.threats(e.case)) for e in edits(case, grave, grave, diagnosis.store.facts, self.knowledge)]


def _faults(threats: Mapping[str, Threat]) -> tuple[int, int]:
    """How many faults are serious, and how many there are."""
    return sum(t.serious for t in threats.values()), sum(t.fault for t in threats.values())


def _best(
    tried: Iterable[tuple[tuple[Edit, ...], Mapping[str, Threat]]], threats: Mapping[str, Threat]
) -> tuple[tuple[Edit, ...], Mapping[str, Threat]] | None:
    """Of changes made together the cheapest that leave fewer serious faults."""
    serious = [name for name, threat in threats.items() if threat.serious]
    found = []
    for made, after in tried:
        if sum(threat.serious for threat in after.values()) < len(serious):
            brought = grounds(threat for name, threat in after.items() if threat.fault and name not in threats)
            price = sum(edit.minutes for edit in made) + BROUGHT * brought
            price += LEFT * sum(name in after for name in serious)
            found.append((price, [(edit.change.id, edit.steps, edit.value) for edit in made], (made, after)))
    return min(found, key=lambda row: row[:-1])[-1] if found else None


def _way(threat: Threat, edit: Edit, after: Mapping[str, Threat], now: Mapping[str, Threat]) -> Way | None:
    """What an edit does to one threat; None where it hardly lessens it."""
    still = after.get(threat.cause.id)
    if still and threat.pull - still.pull < EASED:
        return None
    new = (t for name, t in after.items() if name not in now or (t.serious and not now[name].serious))
    brings = (t for t in new if t.fault)
    return Way(edit, still.pull if still else None, tuple(brings))


def _told(fact: Fact, diagnosis: Diagnosis) -> bool:
    """Whether something that the schedule says rules it out, and not only that nothing of the kind is in it."""
    premises = set(given_below(fact, diagnosis.trace))
    return not any(p[0] == "none" for p in premises) and any(
        p[0] in ("over", "between", "none_between", "air") or (p[0] == "step" and p[2] != "do") for p in premises
    )


def _steps(threat: Threat, diagnosis: Diagnosis) -> frozenset[int]:
    """Numbers of the steps that the signs for a threat rest on."""
    of_steps = ("step", "over", "none_between", "none_before", "none_after")
    found: set[int] = set()
    for sign in threat.signs:
        if sign.decibans > 0:
            for fact in given_below(sign.fact, diagnosis.trace):
                if fact[0] in of_steps:
                    found |= {n for n in fact[1:3] if isinstance(n, int) and n != WOOD}
    return frozenset(found)


def _place(threat: Threat, diagnosis: Diagnosis) -> Place:
    """Where in the layers it sits: the heaviest signs decide."""
    lying = frozenset([WOOD, *layers(diagnosis.case, diagnosis.knowledge)])
    signs = [sign for sign in threat.signs if sign.decibans > 0]
    places = [(sign.decibans, place_of(sign.fact, diagnosis, lying, threat.cause)) for sign in signs]
    told = [(weight, place) for weight, place in places if place]
    whole = Place()
    for weight, place in told:
        if weight == max(weight for weight, _ in told):
            whole |= place
    return whole


def _waits(case: Case, facts: Collection[Fact], diagnosis: Diagnosis) -> Iterable[Wait]:
    for number in layers(case, diagnosis.knowledge):
        given = case.steps[number - 1].given.get("dried")
        wait = Wait(number, given.values[0] if given and given.known else None, needed(number, case, facts))
        if wait.given is not None or wait.needed is not None:
            yield wait
