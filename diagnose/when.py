"""Compiling a `when:` of the knowledge into patterns.

    when:
      coat: {carrier: water, directly over: colour, nothing between: {do: sealer}}
      colour: {do: colourant, redissolves_in: [water, alcohol]}
      piece: {blotch_prone: yes}
      answers: {rag_takes_colour: yes}

Each name that is not reserved stands for a step. A list of values means any of them; a list of tables means any of
them. Both are expanded into separate rules here, since the engine expands `or` slowly.
"""

from __future__ import annotations

import re
from itertools import product

from diagnose import reading, units
from diagnose.complaint import Complaint, shown, would_accept
from diagnose.draft import Draft
from diagnose.model import Attribute
from diagnose.reading import NAME
from diagnose.rules import Compare, Pattern, Var
from diagnose.yamltree import Node

SUBJECTS = ("piece", "air", "answers", "conditions", "no step")
MOST_ALTERNATIVES = 256
STATUS = {"holds": "holds", "ruled out": "ruled_out", "ruled_out": "ruled_out"}
_SIGNS = {"under": "<", "over": ">", "at least": ">=", "at most": "<="}
_COMPARISON = re.compile(r"(under|over|at least|at most)\s+(.+)\Z")

Alternatives = list[tuple[Pattern, ...]]


def alternatives(node: Node, draft: Draft, what: str) -> Alternatives:
    """Every way in which `node` can be met, each a conjunction of patterns."""
    if isinstance(node.value, tuple):
        found = [way for item in node.value for way in alternatives(item, draft, what)]
        if not found:
            raise Complaint(node.place, f"{what} is an empty list", "at least one table")
        return found
    table = reading.table(node, what)
    if not table:
        raise Complaint(node.place, f"{what} is empty", "name at least one thing that must be so")
    names = [key for key in table if key not in SUBJECTS]
    for key in names:
        if not NAME.match(key) or key in ("wood", "step"):
            raise Complaint(
                node.keys[key],
                f"{what}: {shown(key)} cannot name a step",
                would_accept(key, SUBJECTS, "a new lower-case word, or one of"),
            )
    choices: list[list[tuple[Pattern, ...]]] = []
    for key, entry in table.items():
        label = f"{what}, {key}"
        if not reading.table(entry, label):
            raise Complaint(entry.place, f"{label} is empty", "name at least one thing that must be so")
        if key == "answers":
            choices += _answers(entry, draft, label)
        elif key == "conditions":
            choices += _conditions(entry, draft, label)
        elif key == "no step":
            choices.append([_absent(entry, draft, label, "none", ())])
        elif key in ("piece", "air"):
            for name, value in reading.table(entry, label).items():
                attribute = _attribute(entry, name, key, draft, label)
                choices.append(_values(value, attribute, draft, label, (key, name)))
        else:
            choices += _step(key, entry, names, draft, label)
    combined = [tuple(p for part in way for p in part) for way in product(*choices)]
    if len(combined) > MOST_ALTERNATIVES:
        raise Complaint(node.place, f"{what} has {len(combined)} alternatives", f"{MOST_ALTERNATIVES} at most")
    return combined


def _attribute(node: Node, name: str, of: str, draft: Draft, what: str) -> Attribute:
    if (of, name) not in draft.attributes:
        raise Complaint(
            node.keys[name],
            f"{what} has no {shown(name)}",
            would_accept(name, [a for o, a in draft.attributes if o == of]),
        )
    return draft.attributes[of, name]


def _values(node: Node, attribute: Attribute, draft: Draft, what: str, head: tuple) -> list[tuple[Pattern, ...]]:
    """One alternative per value of the attribute that is allowed."""
    label = f"{what}, {attribute.id}"
    if attribute.kind in units.KINDS:
        written = reading.text(node, label)
        return [tuple((*head, comparison(part, attribute, node, label)) for part in written.split(" and "))]
    known = {"material": draft.materials, "wood": draft.woods}.get(attribute.kind, attribute.values)
    return [((*head, value),) for value in _chosen(node, known, label)]


def comparison(written: str, attribute: Attribute, node: Node, what: str) -> Compare:
    """`under 12 h` and its like. Raises Complaint."""
    found = _COMPARISON.match(written.strip())
    if not found:
        raise Complaint(
            node.place,
            f"{what}: {shown(written)} is not a comparison",
            f"under, over, at least or at most {units.KINDS[attribute.kind].example}",
        )
    return Compare(_SIGNS[found[1]], units.parse(found[2], attribute.kind, node.place, what))


def _chosen(node: Node, known, what: str) -> tuple[str, ...]:
    chosen = reading.words(node, what, known)
    if not chosen:
        raise Complaint(node.place, f"{what} names no value", "one of its values, or a list of them")
    return chosen


def _answers(node: Node, draft: Draft, what: str) -> list[list[tuple[Pattern, ...]]]:
    choices = []
    for name, value in reading.table(node, what, draft.findings).items():
        chosen = _chosen(value, draft.findings[name].answers, f"{what}, {name}")
        choices.append([(("answer", name, one),) for one in chosen])
    return choices


def _conditions(node: Node, draft: Draft, what: str) -> list[list[tuple[Pattern, ...]]]:
    return [
        [(("condition", name, STATUS[reading.word(value, f"{what}, {name}", STATUS)]),)]
        for name, value in reading.table(node, what, draft.conditions).items()
    ]


def _absent(node: Node, draft: Draft, what: str, relation: str, subjects: tuple) -> tuple[Pattern, ...]:
    """Patterns that say no such step is there: all the values named must be absent."""
    patterns = []
    for name, value in reading.table(node, what).items():
        attribute = _attribute(node, name, "step", draft, what)
        if attribute.kind in units.KINDS:
            raise Complaint(
                node.keys[name], f"{what}: the absence of a quantity cannot be known", "an attribute with values"
            )
        known = draft.materials if attribute.kind == "material" else attribute.values
        for one in _chosen(value, known, f"{what}, {name}"):
            draft.closures.add((relation, name, one))
            patterns.append((relation, *subjects, name, one))
    return tuple(patterns)


def _step(name: str, node: Node, names: list[str], draft: Draft, what: str) -> list[list[tuple[Pattern, ...]]]:
    choices: list[list[tuple[Pattern, ...]]] = []
    table = reading.table(node, what)
    me = Var(name)

    def other(value: Node, label: str) -> Var | int:
        chosen = reading.word(value, label, [*(n for n in names if n != name), "wood"])
        return 0 if chosen == "wood" else Var(chosen)

    for key, value in table.items():
        label = f"{what}, {key}"
        if key in ("directly over", "after"):
            choices.append([(({"directly over": "over"}.get(key, key), me, other(value, label)),)])
        elif key == "between":
            ends = reading.items(value, label)
            if len(ends) != 2:
                raise Complaint(value.place, f"{label} takes two steps", "[upper, lower]")
            choices.append([(("between", me, other(ends[0], label), other(ends[1], label)),)])
        elif key in ("nothing before", "nothing after"):
            choices.append([_absent(value, draft, label, key.replace("nothing", "none").replace(" ", "_"), (me,))])
        elif key == "nothing between":
            if "directly over" not in table:
                raise Complaint(
                    node.keys[key], f"{label} needs `directly over`", "say which two layers it lies between"
                )
            lower = other(table["directly over"], label)
            choices.append([_absent(value, draft, label, "none_between", (me, lower))])
        else:
            attribute = _attribute(node, key, "step", draft, what)
            choices.append(_values(value, attribute, draft, what, ("step", me, key)))
    if not choices:
        raise Complaint(node.place, f"{what} says nothing of the step", "for instance {do: colourant}")
    return choices


def variables(patterns: tuple[Pattern, ...]) -> set[str]:
    return {term.name for pattern in patterns for term in pattern if isinstance(term, Var)}
