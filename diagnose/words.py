"""Facts, steps and findings as a finisher would say them. Every screen and report takes its wording from here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagnose import units
from diagnose.case import Case, Given, Step
from diagnose.complaint import printable
from diagnose.model import Attribute, Knowledge
from diagnose.rules import Fact

if TYPE_CHECKING:
    from diagnose.asking import Open


def value_words(attribute: Attribute, value: str | float, knowledge: Knowledge) -> str:
    if isinstance(value, int | float):
        return units.show(float(value), attribute.kind)
    things = {"material": knowledge.materials, "wood": knowledge.woods}.get(attribute.kind)
    if things:
        return things[value].name
    return attribute.values.get(value, value)


def given_words(given: Given, attribute: Attribute, knowledge: Knowledge) -> str:
    if not given.known:
        return "not known"
    return ", ".join(value_words(attribute, value, knowledge) for value in given.values)


def answer_words(finding: str, given: Given, knowledge: Knowledge) -> str:
    if not given.known:
        return "not known"
    return "; ".join(knowledge.findings[finding].answers[value] for value in given.values)


def question_said(name: str, case: Case, knowledge: Knowledge) -> str:
    """The words of a question by its name (as `question_name` gives it), with the step it is about."""
    match name.split():
        case [finding]:
            return knowledge.findings[finding].question
        case ["step", number, attribute]:
            return f"Step {number}: {knowledge.attributes['step', attribute].question}"
        case [of, attribute]:
            return knowledge.attributes[of, attribute].question
    raise ValueError(name)


def given_said(name: str, given: Given | None, case: Case, knowledge: Knowledge) -> str:
    """What was answered to the question of that name, in words."""
    if given is None:
        return "not asked"
    match name.split():
        case [finding]:
            return answer_words(finding, given, knowledge)
        case ["step", _, attribute]:
            return given_words(given, knowledge.attributes["step", attribute], knowledge)
        case [of, attribute]:
            return given_words(given, knowledge.attributes[of, attribute], knowledge)
    raise ValueError(name)


def answer_said(asked: Open, answer: str, knowledge: Knowledge) -> str:
    """An answer that could be given to an open question, in few words."""
    if asked.about[0] == "finding":
        return f"{knowledge.findings[asked.about[1]].short}: {asked.answers[answer]}"
    return f"{open_words(asked)} {asked.answers[answer]}"


def open_words(asked: Open) -> str:
    """An open question, with the step it is about."""
    return f"Step {asked.about[1]}: {asked.question}" if asked.about[0] == "step" else asked.question


def step_words(step: Step, knowledge: Knowledge, number: bool = False) -> str:
    """'dye or stain: water-soluble dye in water, with a rag', led by 'step 3, ' where the number is wanted."""
    kind, *said = (part for part in step_parts(step, knowledge) if part)
    kind = f"step {step.number}, {kind}" if number else kind
    return printable(f"{kind}: {', '.join(said)}" if said else kind)


def step_parts(step: Step, knowledge: Knowledge) -> tuple[str, str, str]:
    """What was done, with what and how, and how long it dried: ('dye or stain', 'water-soluble dye', 'dried 14 h')."""
    known = {name: given for name, given in step.given.items() if given.known}
    dried = f"dried {known.pop('dried').written}" if "dried" in known else ""
    details = ", ".join(_detail(name, given, knowledge) for name, given in known.items())
    return knowledge.step_kinds[step.do].name, details, dried


def _detail(name: str, given: Given, knowledge: Knowledge) -> str:
    words = given_words(given, knowledge.attributes["step", name], knowledge)
    return f"{_plain(name)}: {words}" if words in ("yes", "no") else words


def piece_words(case: Case, knowledge: Knowledge) -> str:
    shown = [
        given_words(case.piece[name], knowledge.attributes["piece", name], knowledge)
        for name in ("wood", "form", "state")
        if name in case.piece and case.piece[name].known
    ]
    return ", ".join(shown) or "not described"


def fact_words(fact: Fact, knowledge: Knowledge, case: Case) -> str:
    """One fact as a sentence without its full stop."""
    relation = fact[0]
    if relation == "answer":
        finding = knowledge.findings[fact[1]]
        return f"{finding.short}: {finding.answers[fact[2]]}"
    if relation in ("piece", "air"):
        attribute = knowledge.attributes[relation, fact[1]]
        return f"{relation}, {_plain(fact[1])}: {value_words(attribute, fact[2], knowledge)}"
    if relation == "step":
        if fact[2] == "do":
            return f"{_step(fact[1], case, knowledge)}"
        attribute = knowledge.attributes["step", fact[2]]
        return f"{_step(fact[1], case, knowledge)}, {_plain(fact[2])}: {value_words(attribute, fact[3], knowledge)}"
    if relation == "condition":
        says = knowledge.conditions[fact[1]].says.rstrip(".")
        return says if fact[2] == "holds" else f"ruled out: {says[0].lower()}{says[1:]}"
    if relation == "weigh":
        return f"weighs {fact[3]:+d} on {knowledge.causes[fact[1]].name}"
    if relation == "over":
        return f"{_step(fact[1], case, knowledge)} lies directly over {_step(fact[2], case, knowledge)}"
    if relation == "after":
        return f"step {fact[1]} came after step {fact[2]}"
    if relation == "between":
        return f"step {fact[1]} was done between steps {fact[3]} and {fact[2]}"
    if relation.startswith("none"):
        where = {
            "none": "in the whole schedule",
            "none_before": f"before step {fact[1]}",
            "none_after": f"after step {fact[1]}",
            "none_between": f"between {_layer(fact[2])} and step {fact[1]}",
        }[relation]
        attribute = knowledge.attributes["step", fact[-2]]
        value = value_words(attribute, fact[-1], knowledge)
        return f"no step {where} is {value}" if fact[-2] == "do" else f"no step {where} has {_plain(fact[-2])} {value}"
    if relation == "caution":
        return f"{knowledge.cautions[fact[1]].title} ({fact[2]} {fact[3]})"
    if relation in ("proposed", "fits", "barred"):
        return f"{relation}: {knowledge.remedies[fact[1]].name}"
    if relation == "advised":
        return f"advised against: {knowledge.causes[fact[1]].name}"
    return " ".join(map(str, fact))


def minutes_words(minutes: float) -> str:
    """Time of work: '45 min', '2 h'."""
    return f"{minutes:.0f} min" if minutes <= 90 else units.show(minutes * 60, "time")


def how_strongly(decibans: int) -> str:
    """A weight in everyday words: ten decibans are ten to one."""
    weight = abs(decibans)
    return "decisively" if weight >= 15 else "strongly" if weight >= 8 else "fairly" if weight >= 4 else "a little"


def _layer(number: int) -> str:
    return f"step {number}" if number else "the bare wood"


def _step(number: int, case: Case, knowledge: Knowledge) -> str:
    if not number:
        return "the bare wood"
    return f"step {number} ({knowledge.step_kinds[case.steps[number - 1].do].name})"


def _plain(name: str) -> str:
    return name.replace("_", " ")
