"""Reading what can be done otherwise while a schedule is still a plan (changes.yaml)."""

from __future__ import annotations

from diagnose import reading, units
from diagnose.case import read_case, read_value
from diagnose.complaint import Complaint, shown, would_accept
from diagnose.draft import Draft
from diagnose.model import Attribute, Change, Only, Step
from diagnose.when import comparison
from diagnose.yamltree import Node

# What a change does -> the keys that say how, of which each needs all.
WAYS = {
    "set": ("set", "to"),
    "wait": ("wait",),
    "air": ("air", "to"),
    "product": ("product",),
    "between": ("between",),
    "first": ("first",),
    "order": ("order",),
    "drop": ("drop",),
}
COMMON = ("says", "for", "only when", "effort", "because", "source")
NEEDED_TIME = "needed"


def read_changes(node: Node, draft: Draft) -> None:
    """A table of changes by id."""
    for key, entry in reading.table(node, "the changes").items():
        name = draft.new(draft.changes, node, key, "change")
        what = f"change {key}"
        ways = (*WAYS, "to")
        row = reading.table(entry, what, (*COMMON, *ways), ("says", "effort", "because", "source"))
        named = [way for way in WAYS if way in row]
        if len(named) != 1 or not set(WAYS[named[0]]) <= set(row):
            raise Complaint(entry.place, f"{what} does not say what it does", "one of " + ", ".join(WAYS))
        way = named[0]
        attribute = _attribute(row[way], way, what, draft)
        draft.changes[name] = Change(
            name,
            reading.text(row["says"], what),
            way,
            reading.words(row["for"], f"{what}, for", draft.step_kinds) if "for" in row else (),
            attribute.id if attribute else "",
            _values(row["wait" if way == "wait" else "to"], attribute, way, what, draft) if attribute else (),
            _steps(row[way], what, draft) if way in ("between", "first") else (),
            _only(row["only when"], way, what, draft) if "only when" in row else (),
            units.parse(reading.text(row["effort"], what), "time", row["effort"].place, f"{what}, effort") / 60,
            reading.text(row["because"], what),
            draft.cite(row["source"], what),
            node.keys[key],
        )


def _only(node: Node, way: str, what: str, draft: Draft) -> tuple[Only, ...]:
    """Attributes of the step, or of the air where the change is one of the air."""
    of = "air" if way == "air" else "step"
    known = {name: a for (owner, name), a in draft.attributes.items() if owner == of and not a.derived}
    found = []
    for name, value in reading.table(node, f"{what}, only when", known).items():
        label = f"{what}, only when, {name}"
        if known[name].kind in units.KINDS:
            compare = comparison(reading.text(value, label), known[name], value, label)
            found.append(Only(name, (), compare.sign, compare.bound))
        else:
            found.append(Only(name, tuple(reading.words(value, label, known[name].values))))
    return tuple(found)


def _attribute(node: Node, way: str, what: str, draft: Draft) -> Attribute | None:
    if way == "wait":
        return draft.attributes["step", "dried"]
    if way not in ("set", "air"):
        return None
    of = "air" if way == "air" else "step"
    known = {name: a for (owner, name), a in draft.attributes.items() if owner == of and not a.derived}
    written = reading.text(node, f"{what}, {way}")
    if written not in known:
        raise Complaint(
            node.place, f"{what}: {shown(written)} is no attribute of the {of}", would_accept(written, known)
        )
    return known[written]


def _values(node: Node, attribute: Attribute, way: str, what: str, draft: Draft) -> tuple[str, ...]:
    """The values as written; each is one that a case could give."""
    found = []
    for one in reading.items(node, what) if isinstance(node.value, tuple) else (node,):
        written = reading.text(one, what)
        if not (way == "wait" and written == NEEDED_TIME):
            read_value(one, attribute, draft, what)
        found.append(written)
    return tuple(found)


def _steps(node: Node, what: str, draft: Draft) -> tuple[Step, ...]:
    """The steps put in, in the language of case files. A draft holds by the same names what a case looks up."""
    case = read_case(Node({"steps": node}, node.place, {"steps": node.place}), draft)
    if not case.steps:
        raise Complaint(node.place, f"{what} puts in no step", "a list of steps")
    return case.steps
