"""Reading remedies and causes, and compiling the evidence, remedy and caution rules they stand for."""

from __future__ import annotations

from diagnose import reading, units
from diagnose.complaint import Complaint, shown
from diagnose.draft import Draft
from diagnose.load_findings import add_rules
from diagnose.model import UNLISTED, Advice, Cause, Link, Remedy, Treatment
from diagnose.rules import Rule, Var
from diagnose.when import STATUS, alternatives
from diagnose.yamltree import Node

REMEDY = ("name", "do", "when", "unless", "check first", "uses", "hazards", "effort", "harm", "because", "source")
CAUSE = (
    "name",
    "also",
    "term",
    "family",
    "often",
    "often source",
    "mechanism",
    "source",
    "look-alikes",
    "evidence",
    "remedies",
    "prevention",
)


def read_remedies(node: Node, draft: Draft) -> None:
    for key, entry in reading.table(node, "the remedies").items():
        name = draft.new(draft.remedies, node, key, "remedy")
        what = f"remedy {key}"
        row = reading.table(entry, what, REMEDY, ("name", "do", "effort", "harm", "because", "source"))
        if "when" in row and "check first" not in row:
            raise Complaint(
                entry.place,
                f"{what} has `when:` but no `check first:`",
                "say what to make sure of where that is not known",
            )
        harm = reading.word(row["harm"], f"{what}, harm", draft.harms)
        effort = units.parse(reading.text(row["effort"], what), "time", row["effort"].place, f"{what}, effort")
        draft.remedies[name] = Remedy(
            name,
            reading.text(row["name"], what),
            reading.each(row["do"], f"{what}, do", reading.text),
            reading.text(row["check first"], what) if "check first" in row else "",
            "when" in row,
            draft.uses(row.get("uses"), what),
            draft.hazards(row.get("hazards"), what),
            effort / 60,
            harm,
            reading.text(row["because"], what),
            draft.cite(row["source"], what),
            node.keys[key],
        )


def compile_remedies(node: Node, draft: Draft) -> None:
    """("fits", remedy) where its `when` is met, ("barred", remedy) where its `unless` is."""
    for key, entry in node.value.items():
        for field, relation in (("when", "fits"), ("unless", "barred")):
            if field in entry.value:
                ways = alternatives(entry.value[field], draft, f"remedy {key}, {field}")
                add_rules(draft, f"{relation}/{key}", ways, (relation, key))


def read_cause(node: Node, name: str, stage: str, draft: Draft) -> None:
    """One cause from its own file. `name` is the file's name and becomes the id."""
    what = f"cause {name}"
    row = reading.table(node, what, CAUSE, tuple(f for f in CAUSE if f not in ("also", "term", "look-alikes")))
    if name in draft.causes or name == UNLISTED:
        raise Complaint(node.place, f"{what} is defined twice", "a file name of its own")
    often = reading.word(row["often"], f"{what}, often", draft.priors)
    links = tuple(_link(item, name, draft) for item in reading.items(row["evidence"], f"{what}, evidence"))
    taken: dict[str, Link] = {}
    for link in links:
        if link.subject in taken:
            raise Complaint(
                link.place, f"{what} weighs {shown(link.subject)} twice", "one entry for each finding or condition"
            )
        taken[link.subject] = link
    draft.causes[name] = Cause(
        name,
        reading.text(row["name"], what),
        reading.each(row.get("also"), f"{what}, also", reading.text),
        reading.words(row["term"], f"{what}, term", draft.terms) if "term" in row else (),
        stage,
        reading.word(row["family"], f"{what}, family", draft.families),
        draft.priors[often],
        often,
        draft.cite(row["often source"], f"{what}, often"),
        reading.text(row["mechanism"], what),
        draft.cite(row["source"], what),
        {key: reading.text(value, what) for key, value in reading.table(row["look-alikes"], what).items()}
        if "look-alikes" in row
        else {},
        links,
        tuple(_treatment(item, what, draft) for item in reading.items(row["remedies"], f"{what}, remedies")),
        tuple(_advice(item, what, draft) for item in reading.items(row["prevention"], f"{what}, prevention")),
        node.place,
    )


def _link(node: Node, cause: str, draft: Draft) -> Link:
    """An entry of `evidence`: `answer: FINDING` weighed by answer, or `condition: NAME` by holds and ruled out."""
    what = f"cause {cause}, evidence"
    row = reading.table(
        node, what, ("answer", "condition", "weights", "group", "because", "source"), ("weights", "because", "source")
    )
    if ("answer" in row) == ("condition" in row):
        raise Complaint(
            node.place, f"{what} needs one of `answer:` and `condition:`", "the finding or condition it weighs"
        )
    about = "answer" if "answer" in row else "condition"
    known = draft.findings if about == "answer" else draft.conditions
    subject = reading.word(row[about], what, known)
    weights: dict[str, int] = {}
    possible = known[subject].answers if about == "answer" else {"holds": "", "ruled_out": ""}
    rest = None
    for key, value in reading.table(row["weights"], f"{what}, {subject}").items():
        weight = _weight(value, draft, f"{what}, {subject}, {key}")
        if key == "otherwise":
            rest = weight
            continue
        key_node = Node(key, row["weights"].keys[key])
        answer = (
            STATUS[reading.word(key_node, what, STATUS)]
            if about == "condition"
            else reading.word(key_node, f"{what}, {subject}", possible)
        )
        weights[answer] = weight
    if rest is not None:
        weights |= {answer: rest for answer in possible if answer not in weights}
    weights = {answer: weights[answer] for answer in possible if weights.get(answer)}
    if not weights:
        raise Complaint(row["weights"].place, f"{what}, {subject} weighs nothing", "at least one answer with a weight")
    return Link(
        f"{cause}/{subject}",
        cause,
        about,
        subject,
        weights,
        reading.text(row["because"], f"{what}, {subject}"),
        draft.cite(row["source"], f"{what}, {subject}"),
        reading.name(row["group"], what) if "group" in row else known[subject].group,
        node.place,
    )


def _weight(node: Node, draft: Draft, what: str) -> int:
    """`strong for`, `fair against`: a word of the scale and a direction; `nothing` weighs nothing."""
    written = reading.text(node, what)
    if written == "nothing":
        return 0
    word, _, direction = written.rpartition(" ")
    if word not in draft.weights or direction not in ("for", "against"):
        raise Complaint(
            node.place,
            f"{what}: {shown(written)} is not a weight",
            f"one of {', '.join(draft.weights)} followed by for or against, or `nothing`",
        )
    return draft.weights[word] if direction == "for" else -draft.weights[word]


def _treatment(node: Node, what: str, draft: Draft) -> Treatment:
    row = reading.table(node, f"{what}, remedies", fields := ("do", "cures", "because", "source"), fields)
    often = reading.word(row["cures"], f"{what}, cures", draft.cures)
    return Treatment(
        reading.word(row["do"], f"{what}, remedies", draft.remedies),
        draft.cures[often],
        often,
        reading.text(row["because"], what),
        draft.cite(row["source"], f"{what}, remedies"),
    )


def _advice(node: Node, what: str, draft: Draft) -> Advice:
    label = f"{what}, prevention"
    row = reading.table(
        node, label, ("advice", "because", "uses", "hazards", "source"), ("advice", "because", "source")
    )
    return Advice(
        reading.text(row["advice"], label),
        reading.text(row["because"], label),
        draft.uses(row.get("uses"), label),
        draft.hazards(row.get("hazards"), label),
        draft.cite(row["source"], label),
    )


def compile_links(draft: Draft) -> None:
    """One rule per link and answer: the evidence as ("weigh", cause, link, decibans)."""
    for cause in draft.causes.values():
        for link in cause.links:
            source = "; ".join(map(str, link.source))
            for answer, weight in link.weights.items():
                draft.rules.append(
                    Rule(
                        f"{link.id}={answer}",
                        ((link.about, link.subject, answer),),
                        ("weigh", cause.id, link.id, weight),
                        link.because,
                        source,
                    )
                )


def compile_traits(draft: Draft) -> None:
    """What a named material or wood brings, where the case does not say otherwise itself; and the hazards of steps."""
    for kind in draft.step_kinds.values():
        for hazard in kind.hazards:
            done = ("step", Var("step"), "do", kind.id)
            draft.rules.append(Rule(f"{kind.id}!{hazard}", (done,), ("caution", hazard, "step", Var("step"))))
    for of, attribute, known in (("step", "product", draft.materials), ("piece", "wood", draft.woods)):
        step = Var("step")
        for thing in known.values():
            is_it = ("step", step, attribute, thing.id) if of == "step" else ("piece", attribute, thing.id)
            source = "; ".join(map(str, thing.source))
            for trait, value in thing.traits:
                opened = ("open", step if of == "step" else "piece", trait)
                then = ("step", step, trait, value) if of == "step" else ("piece", trait, value)
                draft.rules.append(Rule(f"{thing.id}.{trait}={value}", (is_it, opened), then, thing.says, source))
            for hazard in thing.hazards if of == "step" else ():
                draft.rules.append(Rule(f"{thing.id}!{hazard}", (is_it,), ("caution", hazard, "step", step)))


def compile_cautions(draft: Draft) -> None:
    """The hazards of what a remedy uses, once it is proposed; of what the advice of a cause uses, once given."""

    def rules(owner: str, premise, kind: str, uses, hazards):
        for hazard in hazards:
            draft.rules.append(Rule(f"{owner}!{hazard}", (premise,), ("caution", hazard, kind, premise[1])))
        for use in uses:
            for hazard in draft.materials[use].hazards:
                draft.rules.append(
                    Rule(f"{owner} uses {use}!{hazard}", (premise,), ("caution", hazard, kind, premise[1]))
                )

    for remedy in draft.remedies.values():
        rules(f"remedy/{remedy.id}", ("proposed", remedy.id), "remedy", remedy.uses, remedy.hazards)
    for cause in draft.causes.values():
        for number, advice in enumerate(cause.prevention, 1):
            rules(f"prevention/{cause.id}/{number}", ("advised", cause.id), "prevention", advice.uses, advice.hazards)
