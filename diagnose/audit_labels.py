"""The audit of what reads labels: example sheets come to what they expect, every rule of bottles fires in one of them,
nothing contradicts itself, and no amount and no row of figures is there for nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from diagnose import reading
from diagnose.complaint import Complaint, Place
from diagnose.diagnosis import Diagnoser
from diagnose.flaws import Flaw
from diagnose.folder import CASES, shipped
from diagnose.label import Bottle, read_bottle
from diagnose.label_amounts import EVAPORATES
from diagnose.label_coats import under_coats
from diagnose.label_reading import Sheet, read_node
from diagnose.load_ingredients import ENDS
from diagnose.model import Knowledge
from diagnose.tables import table
from diagnose.yamltree import Node, load

FIGURES = "solvents"  # the reference table that ingredients name rows of


@dataclass(frozen=True, slots=True)
class Example:
    """A sheet and what it must come to: answers and `disagrees` by name, coats by their verdict."""

    sheet: Sheet
    answers: Mapping[str, tuple[str, ...]]
    coats: Mapping[str, str]
    place: Place


def label_files(folder: Path | None = None, own: Path | None = None) -> list[Path]:
    """The example sheets that lie beside the ingredients."""
    return sorted(path for one in (folder or shipped(), own) if one for path in one.glob(f"ingredients/*{CASES}"))


def read_examples(path: Path, knowledge: Knowledge) -> list[Example]:
    """A list of sheets as `diagnose label` reads them, each with `expect:`. Raises Complaint."""
    return [_example(node, str(path), knowledge) for node in reading.items(load(path), "the examples")]


def _example(node: Node, name: str, knowledge: Knowledge) -> Example:
    row = reading.table(node, "an example")
    expect = row.get("expect")
    if expect is None:
        raise Complaint(node.place, "an example lacks `expect:`", "answers that the sheet must come to")
    sheet = Node({key: value for key, value in row.items() if key != "expect"}, node.place, node.keys)
    answers = {answer.attribute: answer for answer in knowledge.label.answers.values()}
    known = [*answers, *(answer.opposite for answer in answers.values() if answer.opposite), "disagrees", "coats"]
    wanted, coats = {}, {}
    for key, value in reading.table(expect, "expect", known).items():
        if key == "coats":
            for coat, verdict in reading.table(value, "expect, coats", knowledge.label.coats).items():
                coats[coat] = reading.word(verdict, f"expect, {coat}", ("safe", "barrier", "open"))
        else:
            values = [*knowledge.attributes["step", key].values, "open"]
            wanted[key] = reading.words(value, f"expect, {key}", values)
    return Example(read_node(sheet, name, knowledge), wanted, coats, expect.place)


def labels(diagnoser: Diagnoser, examples: Iterable[Example], fired: set[str]) -> Iterator[Flaw]:
    """What is wrong with the examples and with what they show; the rules that fired are put into `fired`."""
    knowledge = diagnoser.knowledge
    if knowledge.label is None:
        return
    for example in examples:
        bottle = read_bottle(example.sheet, diagnoser)
        fired |= {step.rule for step in bottle.trace}
        fired |= bottle.fired
        yield from _unmet(bottle, example)
        yield from _contradictions(bottle, example)
    yield from _unused(knowledge)


def _unmet(bottle: Bottle, example: Example) -> Iterator[Flaw]:
    named = bottle.sheet.product
    for attribute, wanted in example.answers.items():
        found = sorted(step.fact[3] for step in bottle.trace.of("step") if step.fact[2] == attribute)
        if found != sorted(value for value in wanted if value != "open"):
            said = f"{named}: {attribute} comes to {', '.join(found) or 'nothing'}, not {', '.join(wanted)}"
            yield Flaw("example-fails", example.place, said, named)
    verdicts = {one.coat.id: one.verdict for one in under_coats(bottle)} if example.coats else {}
    for coat, verdict in example.coats.items():
        if verdicts[coat] != verdict:
            yield Flaw("example-fails", example.place, f"{named}: {coat} is {verdicts[coat]}, not {verdict}", named)


def _contradictions(bottle: Bottle, example: Example) -> Iterator[Flaw]:
    """An answer with two values where one is allowed, or a value that is both so and not so."""
    for told in bottle.told:
        attribute = bottle.knowledge.attributes["step", told.answer.attribute]
        both = sorted(set(told.values) & set(told.never))
        if both or (len(told.values) > 1 and not attribute.many):
            said = f"{attribute.id} is {', '.join(told.values)}" + (
                f" and surely not {', '.join(both)}" if both else ""
            )
            yield Flaw("contradiction", example.place, f"{bottle.sheet.product}: {said}", attribute.id)


def _unused(knowledge: Knowledge) -> Iterator[Flaw]:
    looked_at = {pattern[2] for rule in knowledge.rules for pattern in rule.when if pattern[0] == "step"}
    shown = {name for answer in knowledge.label.answers.values() for name in answer.amounts}
    for name in knowledge.label.amounts:
        if name not in (*shown, EVAPORATES) and not looked_at & {f"{name}_{end}" for end in ENDS}:
            yield Flaw("unused-amount", knowledge.label.place, f"nothing looks at the amount {name}", name)
    named = {ingredient.figures for ingredient in knowledge.ingredients.values()}
    for row in table(FIGURES):
        if row not in named:
            yield Flaw(
                "unused-figures", Place(f"shared/{FIGURES}.yaml"), f"no ingredient names the figures of {row}", row
            )
