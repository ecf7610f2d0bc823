"""Reading findings (the questions) and conditions (what a schedule brings about), and compiling their rules."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from diagnose import reading
from diagnose.complaint import Complaint, shown
from diagnose.draft import Draft
from diagnose.load_vocabulary import answers
from diagnose.model import Condition, Finding
from diagnose.rules import Rule, Var
from diagnose.when import STATUS, alternatives, variables
from diagnose.yamltree import Node

IN_PLAN = ("fault", "exposure", "guard")
YES_NO = {"yes": "yes", "no": "no"}


def read_findings(node: Node, draft: Draft) -> None:
    """The findings themselves; their `ask when` is compiled later, when all names are known."""
    for key, entry in reading.table(node, "the findings").items():
        name = draft.new(draft.findings, node, key, "finding")
        what = f"finding {key}"
        row = reading.table(
            entry,
            what,
            (
                "question",
                "short",
                "kind",
                "many",
                "answers",
                "how",
                "shows",
                "group",
                "usual",
                "harms",
                "ask when",
                "find out",
                "source",
            ),
            ("question", "short", "kind", "source"),
        )
        possible = answers(row["answers"], what) if "answers" in row else dict(YES_NO)
        usual = {}
        for answer, often in reading.table(row["usual"], f"{what}, usual", possible).items() if "usual" in row else ():
            usual[answer] = draft.usual[reading.word(often, f"{what}, usual", draft.usual)]
        draft.findings[name] = Finding(
            name,
            reading.text(row["question"], what),
            reading.text(row["short"], what),
            reading.word(row["kind"], f"{what}, kind", draft.ask_kinds),
            "many" in row and reading.yes_no(row["many"], f"{what}, many"),
            possible,
            reading.each(row.get("how"), f"{what}, how", reading.text),
            reading.text(row["shows"], f"{what}, shows") if "shows" in row else "",
            reading.name(row["group"], f"{what}, group") if "group" in row else name,
            usual,
            reading.text(row["harms"], f"{what}, harms") if "harms" in row else "",
            draft.cite(row["source"], what),
            node.keys[key],
        )


def compile_asking(node: Node, draft: Draft) -> None:
    """A finding makes sense always, or where its `ask when` is met: rules that conclude ("sensible", finding)."""
    for key, entry in node.value.items():
        if "ask when" in entry.value:
            ways = alternatives(entry.value["ask when"], draft, f"finding {key}, ask when")
        else:
            ways = [(("always",),)]
        add_rules(draft, f"ask/{key}", ways, ("sensible", key))


def compile_find_out(node: Node, draft: Draft) -> None:
    """What else tells the same where a finding is not known; read when all findings are, as any may name any."""
    for key, entry in node.value.items():
        if "find out" in entry.value:
            others = [other for other in draft.findings if other != key]
            told = find_out(entry.value["find out"], f"finding {key}", others, draft)
            draft.findings[key] = replace(draft.findings[key], find_out=told)


def compile_attribute_find_out(node: Node, draft: Draft) -> None:
    """Which findings tell of an attribute that is not known."""
    for of, group in node.value.items():
        for key, entry in group.value.items():
            if "find out" in entry.value:
                told = find_out(entry.value["find out"], f"{of} {key}", draft.findings, draft)
                draft.attributes[of, key] = replace(draft.attributes[of, key], find_out=told)


def find_out(node: Node, what: str, known: Iterable[str], draft: Draft) -> tuple[str, ...]:
    """The findings named, cheapest first; of those that cost the same, the first named."""
    named = reading.words(node, f"{what}, find out", known)
    if not named:
        raise Complaint(node.place, f"{what}: `find out:` names nothing", "ids of findings, or leave the line away")
    if len(set(named)) < len(named):
        raise Complaint(node.place, f"{what}: `find out:` names a finding twice", "each once")
    return tuple(sorted(named, key=lambda name: draft.ask_kinds[draft.findings[name].kind].price))


def compile_opening(node: Node, draft: Draft) -> None:
    """The opening page: names of findings, or of attributes of piece or air, some only `when` something is so."""
    names = [*draft.findings, *(name for of, name in draft.attributes if of != "step")]
    asked = []
    for item in reading.items(node.value["opening"], "opening"):
        if isinstance(item.value, str):
            asked.append(reading.word(item, "opening", names))
            continue
        row = reading.table(item, "opening", ("ask", "when"), ("ask", "when"))
        name = reading.word(row["ask"], "opening", names)
        asked.append(name)
        add_rules(draft, f"open/{name}", alternatives(row["when"], draft, f"opening, {name}"), ("opens", name))
    draft.opening = tuple(asked)


def compile_cautions(node: Node, draft: Draft) -> None:
    """A caution that the piece itself calls for `when` something is so: ("caution", id, "piece", "piece")."""
    for key, entry in node.value.items():
        if "when" in entry.value:
            ways = alternatives(entry.value["when"], draft, f"caution {key}, when")
            add_rules(draft, f"caution/{key}", ways, ("caution", key, "piece", "piece"))


def read_conditions(node: Node, draft: Draft) -> None:
    table = reading.table(node, "this file", ("conditions", "traits"))
    for key, entry in reading.table(table["conditions"], "the conditions").items() if "conditions" in table else ():
        name = draft.new(draft.conditions, table["conditions"], key, "condition")
        known = ("says", "group", "in a plan", "rules")
        row = reading.table(entry, f"condition {key}", known, ("says", "rules"))
        draft.conditions[name] = Condition(
            name,
            reading.text(row["says"], key),
            reading.name(row["group"], f"condition {key}, group") if "group" in row else name,
            table["conditions"].keys[key],
            reading.word(row["in a plan"], f"condition {key}, in a plan", IN_PLAN) if "in a plan" in row else "",
        )


def compile_conditions(node: Node, draft: Draft) -> None:
    """The behaviour rules: of conditions (holds, ruled out), and of traits that steps or the piece take on."""
    table = node.value
    for key, entry in table["conditions"].value.items() if "conditions" in table else ():
        rules = reading.items(entry.value["rules"], f"condition {key}, rules")
        if not rules:
            raise Complaint(entry.place, f"condition {key} has no rules", "say at least once when it holds")
        for number, rule in enumerate(rules, 1):
            what = f"condition {key}, rule {number}"
            row = reading.table(rule, what, fields := ("when", "then", "because", "source"), fields)
            status = STATUS[reading.word(row["then"], f"{what}, then", STATUS)]
            add_rules(
                draft,
                f"{key}/{number}",
                alternatives(row["when"], draft, what),
                ("condition", key, status),
                reading.text(row["because"], what),
                "; ".join(map(str, draft.cite(row["source"], what))),
            )
    for key, rule in table["traits"].value.items() if "traits" in table else ():
        what = f"trait rule {key}"
        row = reading.table(rule, what, fields := ("when", "then", "because", "source"), fields)
        ways = alternatives(row["when"], draft, what)
        for subject, changes in reading.table(row["then"], f"{what}, then").items():
            if subject not in ("piece", "air") and any(subject not in variables(way) for way in ways):
                raise Complaint(
                    row["then"].keys[subject],
                    f"{what}: {shown(subject)} is not a step of its `when`",
                    "a step named there, or piece",
                )
            of = subject if subject in ("piece", "air") else "step"
            for trait, value in reading.table(changes, what, [a for o, a in draft.attributes if o == of]).items():
                chosen = reading.word(value, f"{what}, {trait}", draft.attributes[of, trait].values)
                head = (of, trait) if of != "step" else ("step", Var(subject), trait)
                add_rules(
                    draft,
                    f"trait/{key}/{subject}.{trait}",
                    ways,
                    (*head, chosen),
                    reading.text(row["because"], what),
                    "; ".join(map(str, draft.cite(row["source"], what))),
                )


def add_rules(draft: Draft, name: str, ways, then, because: str = "", source: str = "") -> None:
    """One rule per alternative; a rule with several carries the number of the alternative in its name."""
    for number, way in enumerate(ways, 1):
        draft.rules.append(Rule(name if len(ways) == 1 else f"{name}/way{number}", way, then, because, source))
