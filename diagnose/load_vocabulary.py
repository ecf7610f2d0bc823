"""Reading the words of the trade: scales, sources, attributes, step kinds, materials, woods, cautions, strategy."""

from __future__ import annotations

from diagnose import reading
from diagnose.complaint import Complaint, shown, would_accept
from diagnose.draft import Draft
from diagnose.flaws import CODES
from diagnose.model import UNKNOWN, AskKind, Attribute, Caution, Exemption, Source, StepKind, Strategy, Term, Thing
from diagnose.units import KINDS
from diagnose.yamltree import Node

READ = ("yes", "in part", "second hand", "no")
STEP_FLAGS = ("layer", "bare", "bares", "strips", "unknown")
TOLD = ("how", "shows", "harms")  # what a way of asking may need its findings to tell
RESERVED = (UNKNOWN, "back", "why", "standing", "save", "leave", "help", "report", "more")


def _number(node: Node, what: str, low: float, high: float) -> float:
    written = reading.text(node, what)
    try:
        value = float(written)
    except ValueError:
        value = float("nan")
    if not low <= value <= high:
        raise Complaint(node.place, f"{what}: {shown(written)} is not a number that fits", f"{low:g} to {high:g}")
    return value


def read_scale(node: Node, draft: Draft) -> None:
    """Words for weights, priors, cures and usual answers, and the words of standing."""
    table = reading.table(
        node, "the scale", needed=(names := ("weights", "priors", "cures", "usual", "standing", "harms")), known=names
    )
    for name in ("weights", "priors"):
        for key, value in reading.table(table[name], name).items():
            getattr(draft, name)[key] = int(_number(value, f"{name}: {key}", -60, 60))
    for name, most in (("cures", 1), ("usual", 1), ("harms", 100)):
        for key, value in reading.table(table[name], name).items():
            getattr(draft, name)[key] = _number(value, f"{name}: {key}", 0, most)
    steps = [(_number(value, key, 0, 1), key) for key, value in reading.table(table["standing"], "standing").items()]
    draft.standing = sorted(steps, reverse=True)


def read_sources(node: Node, draft: Draft) -> None:
    for key, entry in reading.table(node, "the bibliography").items():
        name = draft.new(draft.sources, node, key, "source")
        row = reading.table(
            entry,
            f"source {key}",
            ("title", "publisher", "year", "read", "note"),
            ("title", "publisher", "year", "read"),
        )
        text = {field: reading.text(row[field], f"source {key}, {field}") for field in ("title", "publisher", "year")}
        draft.sources[name] = Source(
            name, **text, read=reading.word(row["read"], f"source {key}, read", READ), place=node.keys[key]
        )


def read_families(node: Node, draft: Draft) -> None:
    for key, entry in reading.table(node, "the families").items():
        draft.families[draft.new(draft.families, node, key, "family")] = reading.text(entry, key)


def read_terms(node: Node, draft: Draft) -> None:
    """Words that standards give to what is seen."""
    for key, entry in reading.table(node, "the terms").items():
        name = draft.new(draft.terms, node, key, "term")
        row = reading.table(entry, f"term {key}", ("name", "also", "says", "source"), ("name", "says", "source"))
        draft.terms[name] = Term(
            name,
            reading.text(row["name"], key),
            reading.each(row.get("also"), f"term {key}, also", reading.text),
            reading.text(row["says"], key),
            draft.cite(row["source"], f"term {key}"),
            node.keys[key],
        )


def read_passing_words(node: Node, draft: Draft) -> None:
    """Words that people put beside the name of a material or a wood and that tell nothing of its kind."""
    for kind, entry in reading.table(node, "the passing words", ("material", "wood")).items():
        said = (word for one in reading.items(entry, kind) for word in reading.each(one, kind, reading.text))
        draft.passing_words[kind] = tuple(dict.fromkeys(reading.as_name(word) for word in said))


def read_steps(node: Node, draft: Draft) -> None:
    """The kinds of step (`do:`), whether they leave a layer, and which attributes the opening page asks of them."""
    for key, entry in reading.table(node, "the kinds of step").items():
        row = reading.table(entry, key, ("name", *STEP_FLAGS, "asks", "also", "hazards", "seat of"), ("name", "layer"))
        flags = [field in row and reading.yes_no(row[field], f"{key}, {field}") for field in STEP_FLAGS]
        draft.step_kinds[draft.new(draft.step_kinds, node, key, "kind of step")] = StepKind(
            key,
            reading.text(row["name"], key),
            *flags,
            reading.each(row.get("asks"), f"{key}, asks", reading.text),
            reading.each(row.get("also"), f"{key}, also", reading.text),
            draft.hazards(row.get("hazards"), key),
            reading.each(row.get("seat of"), f"{key}, seat of", reading.text),
        )
    draft.attributes["step", "do"] = Attribute(
        "do",
        "step",
        "choice",
        {kind.id: kind.name for kind in draft.step_kinds.values()},
        False,
        "What was done?",
        (),
        False,
        node.place,
    )


ATTRIBUTE = ("kind", "values", "many", "question", "steps", "derived", "find out", "goes with")


def read_attributes(node: Node, draft: Draft) -> None:
    """`piece`, `air` and `step` attributes; a `kind` other than choice names a quantity or a list of things."""
    for of, group in reading.table(node, "the attributes", ("piece", "air", "step")).items():
        for key, entry in reading.table(group, of).items():
            what = f"{of} {key}"
            row = reading.table(entry, what, ATTRIBUTE)
            name = reading.name(Node(key, group.keys[key]), what)
            if (of, name) in draft.attributes:
                raise Complaint(group.keys[key], f"{what} is defined twice", "keep one")
            kind = (
                reading.word(row["kind"], f"{what}, kind", ("choice", "material", "wood", *KINDS))
                if "kind" in row
                else "choice"
            )
            values = {}
            if kind == "choice":
                values = answers(row.get("values") or entry, what)
            derived = "derived" in row and reading.yes_no(row["derived"], f"{what}, derived")
            draft.attributes[of, name] = Attribute(
                name,
                of,
                kind,
                values,
                "many" in row and reading.yes_no(row["many"], f"{what}, many"),
                reading.text(row["question"], f"{what}, question") if "question" in row else "",
                reading.words(row["steps"], f"{what}, steps", draft.step_kinds) if "steps" in row else (),
                derived,
                group.keys[key],
                goes_with=reading.word(row["goes with"], f"{what}, goes with", group.value)
                if "goes with" in row
                else "",
            )
            if not derived and not draft.attributes[of, name].question:
                raise Complaint(group.keys[key], f"{what} lacks `question:`", "say how it is asked, or `derived: yes`")


def answers(node: Node, what: str) -> dict[str, str]:
    """`id: words` pairs of possible values; at least two."""
    found = {}
    for key, entry in reading.table(node, f"{what}, values").items():
        reading.name(Node(key, node.keys[key]), f"{what}, value")
        if key in RESERVED:
            raise Complaint(node.keys[key], f"{what}: {shown(key)} is a word of the program", "choose another name")
        found[key] = reading.text(entry, f"{what}, {key}")
    if len(found) < 2:
        raise Complaint(node.place, f"{what} has fewer than two values", "a question needs a choice")
    return found


def read_cautions(node: Node, draft: Draft) -> None:
    for key, entry in reading.table(node, "the cautions").items():
        name = draft.new(draft.cautions, node, key, "caution")
        row = reading.table(entry, f"caution {key}", ("title", "says", "when", "source"), ("title", "says", "source"))
        draft.cautions[name] = Caution(
            name,
            reading.text(row["title"], key),
            reading.text(row["says"], key),
            draft.cite(row["source"], f"caution {key}"),
            node.keys[key],
        )


def read_things(node: Node, draft: Draft, of: str) -> None:
    """Materials (`of` "step") or woods (`of` "piece") with the traits that they bring."""
    known = draft.materials if of == "step" else draft.woods
    what = "material" if of == "step" else "wood"
    for key, entry in reading.table(node, f"the {what}s").items():
        name = draft.new(known, node, key, what)
        label = f"{what} {key}"
        row = reading.table(
            entry, label, ("name", "also", "for", "traits", "hazards", "says", "source"), ("name", "source")
        )
        traits = []
        for trait, value in reading.table(row["traits"], label).items() if "traits" in row else ():
            attribute = draft.attributes.get((of, trait))
            if attribute is None:
                reading.table(row["traits"], label, [a for o, a in draft.attributes if o == of])
            if attribute.kind in KINDS:
                from diagnose.units import parse

                traits.append(
                    (trait, parse(reading.text(value, label), attribute.kind, value.place, f"{label}, {trait}"))
                )
                continue
            chosen = reading.words(value, f"{label}, {trait}", attribute.values)
            if len(chosen) > 1 and not attribute.many:
                raise Complaint(value.place, f"{label}: {trait} takes one value", "keep one")
            traits += [(trait, one) for one in chosen]
        known[name] = Thing(
            name,
            reading.text(row["name"], label),
            reading.each(row.get("also"), f"{label}, also", reading.text),
            reading.words(row["for"], f"{label}, for", draft.step_kinds) if "for" in row else (),
            tuple(traits),
            draft.hazards(row.get("hazards"), label),
            reading.text(row["says"], label) if "says" in row else "",
            draft.cite(row["source"], label),
            node.keys[key],
        )


def read_strategy(node: Node, draft: Draft) -> None:
    """What each way of asking costs and the named rules of how to go about it."""
    table = reading.table(node, "the strategy", ("kinds", "rules", "opening"), ("kinds", "rules", "opening"))
    for key, entry in reading.table(table["kinds"], "kinds of asking").items():
        row = reading.table(entry, key, ("name", "minutes", "harm", "needs"), ("name", "minutes", "harm"))
        draft.ask_kinds[key] = AskKind(
            key,
            reading.text(row["name"], key),
            _number(row["minutes"], key, 0, 1e5),
            draft.harms[reading.word(row["harm"], f"{key}, harm", draft.harms)],
            reading.words(row["needs"], f"{key}, needs", TOLD) if "needs" in row else (),
        )
    for key, entry in reading.table(table["rules"], "rules of strategy").items():
        name = draft.new(draft.strategies, table["rules"], key, "strategy")
        row = reading.table(entry, key, ("says", "figure", "because", "source"), ("says", "because", "source"))
        draft.strategies[name] = Strategy(
            name,
            reading.text(row["says"], key),
            _number(row["figure"], key, -100, 1e6) if "figure" in row else None,
            reading.text(row["because"], key),
            draft.cite(row["source"], f"strategy {key}"),
            table["rules"].keys[key],
        )


def read_exemptions(node: Node, draft: Draft) -> None:
    """A list of flaws that the audit is to leave alone, each with its reason."""
    for item in reading.items(node, "the exemptions"):
        row = reading.table(item, "an exemption", fields := ("code", "of", "because"), fields)
        code = reading.text(row["code"], "an exemption, code")
        if code not in CODES:
            raise Complaint(row["code"].place, f"{shown(code)} is not a code of the audit", would_accept(code, CODES))
        of, because = (reading.text(row[key], f"an exemption, {key}") for key in ("of", "because"))
        draft.exemptions.append(Exemption(code, of, because, item.place))
