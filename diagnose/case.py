"""A case: what a finisher could write on one page, and how it is read from a file and checked.

A case file is YAML; see README.md for an annotated one. It holds one case, or a list of cases.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path

from diagnose import reading, units
from diagnose.complaint import Complaint, Place, shown, would_accept
from diagnose.model import UNKNOWN, UNLISTED, Attribute, Given, Knowledge, Step
from diagnose.yamltree import Node, load

MOST_STEPS = 60
TOP = (
    "case",
    "title",
    "invented",
    "source",
    "notes",
    "not_sayable",
    "piece",
    "air",
    "steps",
    "findings",
    "expect",
    "diagnosed_with",
    "page_done",
    "answered",
)
EXPECT = ("first", "in_first_three", "not_first", "at_least", "at_most", "because")


@dataclass(frozen=True, slots=True)
class Expect:
    """What a saved case must come to: used by examples, field cases and tests."""

    first: tuple[str, ...] = ()
    in_first_three: tuple[str, ...] = ()
    not_first: tuple[str, ...] = ()
    at_least: Mapping[str, str] = field(default_factory=dict)
    at_most: Mapping[str, str] = field(default_factory=dict)
    because: str = ""
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Case:
    id: str
    title: str = ""
    invented: bool = False
    source: str = ""
    notes: str = ""
    not_sayable: tuple[str, ...] = ()
    piece: Mapping[str, Given] = field(default_factory=dict)
    air: Mapping[str, Given] = field(default_factory=dict)
    steps: tuple[Step, ...] = ()
    findings: Mapping[str, Given] = field(default_factory=dict)
    expect: Expect = field(default_factory=Expect)
    diagnosed_with: str = ""
    page_done: bool = False
    answered: tuple[str, ...] = ()
    path: Path | None = None

    def given_for(self, about: str) -> Given | None:
        """What was answered to a question by its name: a finding, "piece NAME", "air NAME" or "step 3 NAME"."""
        match about.split():
            case [name]:
                return self.findings.get(name)
            case ["piece" | "air" as of, name]:
                return getattr(self, of).get(name)
            case ["step", number, name] if number.isdigit() and 1 <= int(number[:4]) <= len(self.steps):
                return self.steps[int(number) - 1].given.get(name)
        return None

    def with_given(self, about: str, given: Given | None) -> Case:
        """The case with this answer to the question of that name, or without any where `given` is None."""
        match about.split():
            case [name]:
                return replace(self, findings=_put(self.findings, name, given))
            case ["piece" | "air" as of, name]:
                return replace(self, **{of: _put(getattr(self, of), name, given)})
            case ["step", number, name]:
                step = self.steps[int(number) - 1]
                changed = replace(step, given=_put(step.given, name, given))
                return replace(self, steps=(*self.steps[: step.number - 1], changed, *self.steps[step.number :]))
        raise ValueError(about)


def question_name(about: tuple[str | int, ...]) -> str:
    """How `given_for` and `with_given` name a question: "complaint", "piece figure", "step 3 wet_edge"."""
    return " ".join(map(str, about[1:] if about[0] == "finding" else about))


def _put(table: Mapping[str, Given], name: str, given: Given | None) -> dict[str, Given]:
    if given is None:
        return {key: value for key, value in table.items() if key != name}
    return {**table, name: given}


def read_cases(path: Path, knowledge: Knowledge) -> list[Case]:
    """The case or cases in one file. Raises Complaint."""
    tree = load(path)
    nodes = tree.value if isinstance(tree.value, tuple) else (tree,)
    cases = [read_case(node, knowledge, path) for node in nodes]
    if not cases:
        raise Complaint(tree.place, "holds no case", "a table with `findings:` and `steps:`")
    seen: set[str] = set()
    for case, node in zip(cases, nodes):
        if case.id in seen:
            raise Complaint(node.place, f"two cases are named {shown(case.id)}", "a name of its own for each")
        seen.add(case.id)
    return cases


def read_case(node: Node, knowledge: Knowledge, path: Path | None = None) -> Case:
    row = reading.table(node, "the case", TOP)
    case_id = reading.text(row["case"], "case") if "case" in row else (path.stem if path else "case")
    plain = {key: reading.text(row[key], key) for key in ("title", "source", "notes", "diagnosed_with") if key in row}
    case = Case(
        id=case_id,
        path=path,
        **plain,
        invented="invented" in row and reading.yes_no(row["invented"], "invented"),
        page_done="page_done" in row and reading.yes_no(row["page_done"], "page_done"),
        not_sayable=reading.each(row.get("not_sayable"), "not_sayable", reading.text),
        piece=_given_table(row.get("piece"), "piece", knowledge),
        air=_given_table(row.get("air"), "air", knowledge),
        steps=_steps(row["steps"], knowledge) if "steps" in row else (),
        findings=_findings(row["findings"], knowledge) if "findings" in row and not _is_empty(row["findings"]) else {},
        expect=_expect(row["expect"], knowledge) if "expect" in row else Expect(),
    )
    check_order(case.steps, knowledge)
    return replace(case, answered=reading.each(row.get("answered"), "answered", partial(_answered, case=case)))


def read_value(node: Node, attribute: Attribute, knowledge: Knowledge, what: str) -> Given:
    """One attribute's value as given: a word of its list, a quantity with its unit, or `unknown`."""
    if isinstance(node.value, str) and reading.as_name(node.value) in (UNKNOWN, "not_known"):
        return Given((UNKNOWN,), UNKNOWN, node.place)
    if attribute.kind in units.KINDS:
        written = reading.text(node, what)
        return Given((units.parse(written, attribute.kind, node.place, what),), written, node.place)
    known = spellings(attribute, knowledge)
    chosen = tuple(dict.fromkeys(known[word] for word in reading.words(node, what, known)))
    if not chosen:
        raise Complaint(node.place, f"{what} is empty", "a value, or `unknown`")
    if len(chosen) > 1 and not attribute.many:
        raise Complaint(
            node.place, f"{what} takes one value, not {len(chosen)}", "keep the one that fits best, or `unknown`"
        )
    return Given(chosen, ", ".join(chosen), node.place)


def spellings(attribute: Attribute, knowledge: Knowledge) -> Mapping[str, str]:
    """Every accepted spelling of an attribute's values -> the value: ids, names and other names of things and steps."""
    if attribute.kind in ("material", "wood"):
        things = knowledge.materials if attribute.kind == "material" else knowledge.woods
        entries = {thing.id: (thing.name, *thing.also) for thing in things.values()}
    elif attribute.id == "do":
        entries = {kind.id: kind.also for kind in knowledge.step_kinds.values()}
    else:
        return {value: value for value in attribute.values}
    found = {reading.as_name(other): value for value, others in entries.items() for other in others}
    return {**found, **{value: value for value in entries}}


def _is_empty(node: Node) -> bool:
    return isinstance(node.value, str) and node.value.strip() in ("", "~", "null", "{}")


def _answered(node: Node, what: str, case: Case) -> str:
    """One entry of the order in which the chosen questions were answered; it must name an answer that is there."""
    written = reading.text(node, what)
    if case.given_for(written) is None:
        raise Complaint(node.place, f"{what}: {shown(written)} names no answer of this case", "leave the line away")
    return written


def _given_table(node: Node | None, of: str, knowledge: Knowledge) -> dict[str, Given]:
    if node is None or _is_empty(node):
        return {}
    known = {name: a for (owner, name), a in knowledge.attributes.items() if owner == of and not a.derived}
    return {
        name: read_value(value, known[name], knowledge, f"{of}, {name}")
        for name, value in reading.table(node, of, known).items()
    }


def _steps(node: Node, knowledge: Knowledge) -> tuple[Step, ...]:
    if isinstance(node.value, dict):
        raise Complaint(
            node.place, "steps is a table", "expected a list: one `- do: ...` per step, from bare wood upwards"
        )
    entries = reading.items(node, "steps")
    if len(entries) > MOST_STEPS:
        raise Complaint(
            entries[MOST_STEPS].place, f"more than {MOST_STEPS} steps", "only what was done to this surface"
        )
    return tuple(_step(entry, number, knowledge) for number, entry in enumerate(entries, 1))


def _step(node: Node, number: int, knowledge: Knowledge) -> Step:
    what = f"step {number}"
    known = {name: a for (owner, name), a in knowledge.attributes.items() if owner == "step" and not a.derived}
    row = reading.table(node, what, known, ("do",))
    do = read_value(row["do"], known["do"], knowledge, f"{what}, do")
    if not do.known:
        raise Complaint(
            row["do"].place,
            f"{what}: what was done is not named",
            "`unknown_coat` for a coat of which nothing is known",
        )
    kind = do.values[0]
    given = {}
    for name, value in row.items():
        if name == "do":
            continue
        if known[name].steps and kind not in known[name].steps:
            raise Complaint(
                node.keys[name], f"{what}: {name} does not fit {kind}", "it is for " + ", ".join(known[name].steps)
            )
        given[name] = read_value(value, known[name], knowledge, f"{what}, {name}")
    return Step(number, kind, given, node.place)


def _findings(node: Node, knowledge: Knowledge) -> dict[str, Given]:
    found = {}
    for name, value in reading.table(node, "findings", knowledge.findings).items():
        finding = knowledge.findings[name]
        if isinstance(value.value, str) and reading.as_name(value.value) in (UNKNOWN, "not_known"):
            found[name] = Given((UNKNOWN,), UNKNOWN, value.place)
            continue
        chosen = tuple(dict.fromkeys(reading.words(value, f"findings, {name}", finding.answers)))
        if not chosen:
            raise Complaint(value.place, f"findings, {name} is empty", "an answer, or `unknown`")
        if len(chosen) > 1 and not finding.many:
            raise Complaint(
                value.place, f"findings, {name} takes one answer, not {len(chosen)}", "keep one, or `unknown`"
            )
        found[name] = Given(chosen, ", ".join(chosen), value.place)
    return found


def _expect(node: Node, knowledge: Knowledge) -> Expect:
    row = reading.table(node, "expect", EXPECT)
    causes = [*knowledge.causes, UNLISTED]
    named = partial(reading.words, known=causes)
    standing = [word for _, word in knowledge.standing]
    return Expect(
        *(named(row[key], f"expect, {key}") if key in row else () for key in ("first", "in_first_three", "not_first")),
        at_least=_standings(row, "at_least", causes, standing),
        at_most=_standings(row, "at_most", causes, standing),
        because=reading.text(row["because"], "expect, because") if "because" in row else "",
        place=node.place,
    )


def _standings(row: Mapping[str, Node], key: str, causes: list[str], known: list[str]) -> dict[str, str]:
    found = {}
    for name, node in reading.table(row[key], f"expect, {key}").items() if key in row else ():
        cause = reading.word(Node(name, row[key].keys[name]), f"expect, {key}", causes)
        found[cause] = reading.text(node, f"expect, {key}")
        if found[cause] not in known:
            raise Complaint(node.place, f"{shown(found[cause])} is not a standing", would_accept(found[cause], known))
    return found


def check_order(steps: tuple[Step, ...], knowledge: Knowledge) -> None:
    """Work on bare wood cannot come after a coat unless something between could have bared the wood again."""
    coat = None
    for step in steps:
        kind = knowledge.step_kinds[step.do]
        if kind.bare and coat is not None:
            raise Complaint(
                step.place,
                f"step {step.number}, {step.do}, is work on bare wood but step {coat}, a coat, lies under it",
                "list the steps in the order they were done, with the stripping or sanding between",
            )
        if kind.layer and not kind.bare:
            coat = step.number
        elif kind.bares:
            coat = None
