"""What the sheet of a bottle tells of its behaviour: shares become facts, and the rules of the base do the rest.

Knows no screen and no file. A conclusion is drawn only where it holds for every mixture that the sheet allows; what
could be so as well stays open, with what would settle it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import ceil, floor, log10

from diagnose.blend import Blend, Distance, blend, distances
from diagnose.case import Case
from diagnose.diagnosis import Diagnoser
from diagnose.engine import Chain
from diagnose.facts import given_facts
from diagnose.label_amounts import Content, Reckoned, amounts, contents, not_listed
from diagnose.label_model import Answer
from diagnose.label_reading import Sheet
from diagnose.load_ingredients import ENDS
from diagnose.model import Caution, Knowledge, Step
from diagnose.rules import Fact, Firing
from diagnose.shares import Interval
from diagnose.trace import Trace, trace_of

BOTTLE = 1  # the number of the one step that a bottle is
LISTED = "listed"  # the relation of facts that say what is in it
COLOURS, COATS = "colourant", "clear_coat"
DIRECT = ("dye_class", "fastness")  # traits that a listed ingredient brings by itself, without a rule of amounts


@dataclass(frozen=True, slots=True)
class Told:
    """One answer: what is surely so (each value with the fact that the trace holds), what surely not, and what could
    be (values that nothing rules out). `moot`: by another answer there is nothing left to ask."""

    answer: Answer
    values: tuple[str, ...]
    never: tuple[str, ...]
    open: tuple[str, ...]
    moot: bool = False


@dataclass(frozen=True)
class Bottle:
    """Everything that the sheet tells of itself; what coats do to it is label_coats.py's."""

    sheet: Sheet
    knowledge: Knowledge
    by: Diagnoser
    step: Step
    use: str  # a kind of step or one of the uses of label.yaml; empty where nothing tells
    inside: tuple[Content, ...]
    amounts: Mapping[str, Reckoned]
    blend: Blend | None
    distances: tuple[Distance, ...]
    told: tuple[Told, ...]
    trace: Trace
    disagrees: tuple[str, ...]
    fired: frozenset[str]
    could_be: tuple[str, ...]  # materials with a fault of their own that nothing rules out
    cautions: tuple[tuple[Caution, tuple[str, ...]], ...]

    def answer(self, name: str) -> Told:
        return next(told for told in self.told if told.answer.id == name)

    def fact(self, attribute: str, value: str | float) -> Fact:
        return ("step", BOTTLE, attribute, value)


def read_bottle(sheet: Sheet, diagnoser: Diagnoser) -> Bottle:
    """Run the rules over what `sheet` says. Raises Complaint where its figures contradict each other."""
    knowledge = diagnoser.knowledge
    words = knowledge.label
    inside = contents(sheet)
    reckoned = amounts(inside, words, sheet.solids)
    leaving = blend(inside, words)
    said = sheet.steps[0] if sheet.steps else ""
    # a step needs a kind: what is no coat is looked at as colour, and nothing that rests on that is told of it
    step = Step(BOTTLE, said if said in knowledge.step_kinds else COLOURS, {})
    case = Case(id=sheet.product, steps=(step,))
    given = {**given_facts(case, knowledge), **_said(sheet, inside, knowledge)}
    firings = _firings(inside, reckoned, leaving, knowledge)
    engine = Chain(diagnoser.index)
    engine.add({**given, **{firing.fact: "" for firing in firings}})
    trace = trace_of(given, [*firings, *engine.firings])
    found: dict[str, list[str]] = {}
    for one in trace.of("step"):
        found.setdefault(one.fact[2], []).append(one.fact[3])
    uses = [use for use in knowledge.attributes["step", "used_as"].values if use in found.get("used_as", ())]
    use = said or next(iter(uses), "")
    if not said and use in knowledge.step_kinds:
        step = Step(BOTTLE, use, {})
    found["used_as"] = [use]
    return Bottle(
        sheet,
        knowledge,
        diagnoser,
        step,
        use,
        inside,
        reckoned,
        leaving,
        distances(inside),
        tuple(_told(answer, found, knowledge) for answer in words.answers.values()),
        trace,
        tuple(found.get("disagrees", ())),
        frozenset(firing.rule for firing in engine.firings),
        tuple(found.get("could_be", ())),
        _cautions(sheet, inside, knowledge),
    )


def listed_words(content: Content) -> str:
    return f"{content.name}: {share_words(content.share)}"


def share_words(share: Interval, digits: int = 3) -> str:
    """'30 to 60 %', 'up to 5 %', '12 %'; rounded outwards to so many significant digits."""
    low, high = _outwards(share.low * 100, digits, floor), _outwards(share.high * 100, digits, ceil)
    if low == high:
        return f"{low:g} %"
    if low == 0:
        return "anything" if high >= 100 else f"up to {high:g} %"
    return f"at least {low:g} %" if high >= 100 else f"{low:g} to {high:g} %"


def _outwards(value: float, digits: int, way: Callable[[float], int]) -> float:
    if value <= 0:
        return 0.0
    unit = 10.0 ** (floor(log10(value)) - digits + 1)
    return round(way(round(value / unit, 6)) * unit, 9)


def _said(sheet: Sheet, inside: tuple[Content, ...], knowledge: Knowledge) -> dict[Fact, str]:
    """What the sheet says as facts, each with the place where it stands."""
    facts: dict[Fact, str] = {("step", BOTTLE, "read_from", "sheet"): sheet.file}

    def origin(key: str) -> str:
        return f"{key.replace('_', ' ')} ({sheet.places[key]})" if key in sheet.places else key

    for content in inside:
        place = content.listed.place if content.listed else None
        how = f" ({place})" if place else ": not every part of a product has to be listed"
        facts[LISTED, listed_words(content)] = f"section 3{how}"
    for attribute, key, values in (
        ("claim", "claims", sheet.claims),
        ("not_claimed", "claims", [claim for claim in knowledge.label.claims if claim not in sheet.claims]),
        ("statement", "hazards", sheet.statements),
        ("water_solubility", "mixes_with_water", (sheet.in_water,) if sheet.in_water else ()),
        ("flash", "flash", (sheet.flash,) if sheet.flash is not None else ()),
    ):
        facts |= {("step", BOTTLE, attribute, value): origin(key) for value in values}
    facts |= {("step", BOTTLE, "not_listed", name): "not on the list" for name in not_listed(inside, knowledge.label)}
    return facts


def _firings(
    inside: tuple[Content, ...], reckoned: Mapping[str, Reckoned], leaving: Blend | None, knowledge: Knowledge
) -> list[Firing]:
    """What is computed from the list: both ends of every amount, how the blend leaves, traits of what is surely in."""
    on = {number: (LISTED, listed_words(content)) for number, content in enumerate(inside)}
    found = []
    for name, amount in reckoned.items():
        premises = tuple(on[number] for number in amount.rests_on) or tuple(on.values())
        for end, share in zip(ENDS, amount.share):
            found.append(Firing("reckon/shares", premises, ("step", BOTTLE, f"{name}_{end}", share)))
    if leaving:
        premises = tuple(on[row.number] for row in leaving.leaving)
        for attribute, pace in (("leaves_first", leaving.early), ("leaves_last", leaving.late)):
            if pace:
                found.append(Firing("reckon/evaporation", premises, ("step", BOTTLE, attribute, pace)))
    for number, content in enumerate(inside):
        if content.ingredient and content.share.low > 0:
            for trait, value in content.ingredient.traits:
                if trait in DIRECT:
                    rule = f"ingredient/{content.ingredient.id}"
                    found.append(Firing(rule, (on[number],), ("step", BOTTLE, trait, value)))
    return found


def _told(answer: Answer, found: Mapping[str, list[str]], knowledge: Knowledge) -> Told:
    attribute = knowledge.attributes["step", answer.attribute]
    values = tuple(value for value in attribute.values if value in found.get(answer.attribute, ()))
    values = values[:1] if answer.worst else values
    never = tuple(found.get(answer.opposite, ())) if answer.opposite else ()
    if answer.opposite:
        could = (value for value in knowledge.attributes["step", answer.opposite].values if value in attribute.values)
        left = tuple(value for value in could if value not in never and value not in values)
        left = left if attribute.many or not values else ()
    else:
        left = () if values else tuple(attribute.values)
    moot = any(set(wanted) & set(found.get(name, ())) for name, wanted in answer.unless)
    return Told(answer, values, never, left, moot)


def _cautions(
    sheet: Sheet, inside: tuple[Content, ...], knowledge: Knowledge
) -> tuple[tuple[Caution, tuple[str, ...]], ...]:
    """The cautions of what may be in the bottle and of its hazard statements, each with what needs it."""
    needs: dict[str, list[str]] = {}
    for content in inside:
        for hazard in content.ingredient.hazards if content.ingredient and content.share.high > 0 else ():
            needs.setdefault(hazard, []).append(content.name)
    for code in sheet.statements:
        for hazard in knowledge.label.statements[code].hazards:
            needs.setdefault(hazard, []).append(code)
    return tuple((knowledge.cautions[hazard], tuple(dict.fromkeys(by))) for hazard, by in needs.items())
