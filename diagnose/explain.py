"""Looking a name up: everything the knowledge says about it, as outlines or as JSON."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping

from diagnose import entries as write
from diagnose.blocks import Outline, Part, Points, Text
from diagnose.complaint import Complaint, shown, would_accept
from diagnose.entries import Entry
from diagnose.flaws import CODES
from diagnose.model import OWN, UNLISTED, Knowledge
from diagnose.reading import as_name

MOST_NEAR = 5  # names offered for one that is not there

NONE_OF_THESE = Entry(
    "cause",
    UNLISTED,
    "none of the causes in this base",
    (("what it is", ("The yardstick: it stands at 0 decibans in every ranking, and wins where nothing fits.",)),),
)


def entries(knowledge: Knowledge, name: str) -> list[Entry]:
    """Every entry that goes by `name` (id, spelled name or other name). Raises Complaint with the nearest names."""
    word = as_name(name)
    found = [
        of(knowledge, thing)
        for things, of in _tables(knowledge)
        for key, thing in things.items()
        if word in _names(key, thing)
    ]
    found += [NONE_OF_THESE] if word == UNLISTED else []
    found += [Entry("audit code", name, name, (("what it means", (CODES[name],)),))] if name in CODES else []
    found = found or _rules(knowledge, name)
    if not found:
        known = {n for things, _ in _tables(knowledge) for key, thing in things.items() for n in _names(key, thing)}
        known |= {*CODES, *(knowledge.rule_names() if "/" in name else ())}
        holding = sorted(n for n in known if word and word in n.split("_"))[:MOST_NEAR]
        near = f"did you mean {' or '.join(holding)}?" if holding else ""
        near = near or would_accept(name if "/" in name else word, known, "for instance")
        raise Complaint(None, f"nothing is named {shown(name)}", near)
    return found


def _rules(knowledge: Knowledge, name: str) -> list[Entry]:
    """The rule of that name; of the beginning of several names (`water_over_dye/1`) all of them."""
    named = enumerate(knowledge.rule_names())
    fitting = [(n, one) for n, one in named if one == name or (name and one.startswith(f"{name}/"))]
    exact = [n for n, one in fitting if one == name]
    return [write.of_rule(knowledge.rules[number]) for number in exact or [number for number, _ in fitting]]


def outlines(knowledge: Knowledge, name: str) -> list[Outline]:
    """The entries of that name as outlines, for every written form."""
    return [_outline(knowledge, entry) for entry in entries(knowledge, name)]


def _outline(knowledge: Knowledge, entry: Entry) -> Outline:
    own = (f"{OWN} knowledge, {knowledge.own[entry.id]}",) if entry.id in knowledge.own else ()
    parts = (
        Part(as_name(title), f"{title[0].upper()}{title[1:]}", (Points(says) if len(says) > 1 else Text(says[0]),))
        for title, says in entry.sections
    )
    return Outline(entry.title, (f"{entry.kind} {entry.id}", *own), tuple(parts))


def explain_json(knowledge: Knowledge, name: str) -> str:
    rows = [
        {
            "kind": e.kind,
            "id": e.id,
            "title": e.title,
            "own": knowledge.own.get(e.id),
            "sections": [{"title": t, "says": list(s)} for t, s in e.sections],
        }
        for e in entries(knowledge, name)
    ]
    return json.dumps({"entries": rows}, indent=1) + "\n"


def _tables(knowledge: Knowledge) -> Iterator[tuple[Mapping, Callable[[Knowledge, object], Entry]]]:
    """Every kind of thing that has a name, with what writes its entry."""
    yield knowledge.causes, write.of_cause
    yield knowledge.findings, write.of_finding
    yield knowledge.conditions, write.of_condition
    yield knowledge.remedies, write.of_remedy
    yield knowledge.materials, write.of_thing
    yield knowledge.woods, write.of_thing
    yield knowledge.ingredients, write.of_ingredient
    yield knowledge.cautions, write.of_caution
    yield knowledge.terms, write.of_term
    yield {name: (name, says) for name, says in knowledge.families.items()}, write.of_family
    yield knowledge.boards, write.of_board
    yield knowledge.changes, write.of_change
    yield knowledge.step_kinds, write.of_step_kind
    yield knowledge.ask_kinds, write.of_ask_kind
    yield knowledge.strategies, write.of_strategy
    yield knowledge.sources, write.of_source
    yield {f"{of} {name}": attribute for (of, name), attribute in knowledge.attributes.items()}, write.of_attribute


def _names(key: str, thing) -> set[str]:
    own = (
        getattr(thing, "id", key),
        getattr(thing, "name", key),
        *getattr(thing, "also", ()),
        *getattr(thing, "cas", ()),
    )
    return {as_name(name) for name in (key, *own)}
