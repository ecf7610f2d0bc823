"""The reasoning as a graph: what was said, the conditions that follow, and the first cause, joined by what they weigh.

It is the trace below the ledger of the first cause, drawn together: one node for each finding, for each step with what
was told of it, for the piece and the air, and for each condition. What weighs on the cause is an edge with its
decibans, so that the edges into the cause add up to its score.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagnose.diagnosis import Diagnosis
from diagnose.ledger import Standing
from diagnose.model import Knowledge
from diagnose.rules import Fact
from diagnose.words import fact_words, step_parts, value_words

SAID, FOLLOWS, CAUSE = range(3)
Key = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Node:
    """`column` is SAID, FOLLOWS or CAUSE; `notes` tell more; `links` are numbers of the chain."""

    key: Key
    column: int
    kind: str
    title: str
    notes: tuple[str, ...] = ()
    links: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Edge:
    """`decibans` is None where one thing follows from another; a number where it weighs on the cause."""

    start: Key
    end: Key
    decibans: int | None = None


@dataclass(frozen=True, slots=True)
class Reasoning:
    """Nodes column by column, top first, with the edges into the cause in the order of the nodes they come from."""

    nodes: tuple[Node, ...]
    edges: tuple[Edge, ...]
    total: int


def reasoning(diagnosis: Diagnosis, number: Mapping[Fact, int], first: Standing) -> Reasoning:
    """The graph of one cause; `number` gives each fact its place in the chain."""
    weights: dict[Key, int] = {}
    met: dict[Key, None] = {}
    prior = first.ledger[0]
    for entry in first.ledger[1:]:
        for fact in entry.facts[:1]:  # all facts of one entry are answers to one finding
            weights[_key(fact)] = entry.weight
        met |= dict.fromkeys(_key(fact) for fact in entry.facts)
    below: dict[Key, list[Fact]] = {}
    edges: dict[Edge, None] = {}
    for step in diagnosis.trace.below(fact for entry in first.ledger for fact in entry.facts):
        key = _key(step.fact)
        below.setdefault(key, []).append(step.fact)
        if key[0] == "condition":
            edges |= dict.fromkeys(Edge(_key(p), key) for p in diagnosis.trace.premises(step.fact))
    used = {edge.start for edge in edges} | set(met)
    nodes = [_node(key, facts, diagnosis, number) for key, facts in below.items() if key in used]
    nodes.append(Node(("prior",), SAID, "prior", "Before anything is said", (prior.because.rstrip("."),)))
    nodes.append(Node(("cause",), CAUSE, "cause", first.name, (f"{first.word}",)))
    edges |= {Edge(("prior",), ("cause",), prior.weight): None}
    edges |= {Edge(key, ("cause",), weight): None for key, weight in weights.items()}
    ordered = _ordered(nodes, edges)
    place = {node.key: n for n, node in enumerate(ordered)}
    return Reasoning(tuple(ordered), tuple(sorted(edges, key=lambda e: (place[e.start], place[e.end]))), first.weight)


def _key(fact: Fact) -> Key:
    """Which node a fact belongs to."""
    match fact[0]:
        case "answer" | "condition":
            return fact[0], fact[1]
        case "step" | "over" | "after" | "none_before" | "none_after" | "none_between":
            return "step", fact[1]
        case "between":
            return "step", fact[2]
        case "none":
            return ("schedule",)
        case relation:
            return (relation,)


def _node(key: Key, facts: list[Fact], diagnosis: Diagnosis, number: Mapping[Fact, int]) -> Node:
    case, knowledge = diagnosis.case, diagnosis.knowledge
    links = tuple(sorted(number[fact] for fact in facts))
    said = [fact_words(fact, knowledge, case) for fact in facts]
    match key[0]:
        case "answer":
            answers = knowledge.findings[key[1]].answers
            title = knowledge.findings[key[1]].short
            return Node(key, SAID, "answer", title, tuple(answers[fact[2]] for fact in facts), links)
        case "condition":
            return Node(key, FOLLOWS, "condition", "; ".join(said), (), links)
        case "step":
            kind, _, _ = step_parts(case.steps[key[1] - 1], knowledge)
            notes = dict.fromkeys(filter(None, (_of_step(fact, knowledge) for fact in facts)))
            return Node(key, SAID, "step", f"step {key[1]}: {kind}", tuple(notes), links)
        case "piece" | "air":
            words = (value_words(knowledge.attributes[fact[:2]], fact[2], knowledge) for fact in facts)
            notes = [f"{_plain(fact[1])}: {said}" for fact, said in zip(facts, words)]
            return Node(key, SAID, key[0], f"the {key[0]}", tuple(notes), links)
    return Node(key, SAID, "schedule", "the whole schedule", tuple(said), links)


def _of_step(fact: Fact, knowledge: Knowledge) -> str:
    """One fact of a step, short, since the node already names the step; "" for what it was."""
    match fact[0]:
        case "step" if fact[2] == "do":
            return ""
        case "step":
            words = value_words(knowledge.attributes["step", fact[2]], fact[3], knowledge)
            return f"{_plain(fact[2])}: {words}"
        case "over":
            return f"lies directly over {_below(fact[2])}"
        case "after":
            return f"came after step {fact[2]}"
        case "between":
            return f"step {fact[1]} was done just before it"
    where = {
        "none_before": "no earlier step",
        "none_after": "no later step",
        "none_between": f"no step since {_below(fact[2])}",
    }[str(fact[0])]
    value = value_words(knowledge.attributes["step", fact[-2]], fact[-1], knowledge)
    return f"{where} is {value}" if fact[-2] == "do" else f"{where} has {_plain(str(fact[-2]))} {value}"


def _below(number: object) -> str:
    return f"step {number}" if number else "the bare wood"


def _plain(name: str) -> str:
    return str(name).replace("_", " ")


def _ordered(nodes: Sequence[Node], edges: Iterable[Edge]) -> list[Node]:
    """Nodes column by column so that few edges cross: what weighs by itself first, then what conditions rest on, then
    the conditions at the height of what they rest on."""
    kinds = ("prior", "answer", "step", "schedule", "piece", "air")
    under: dict[Key, list[Key]] = {}
    for edge in edges:
        if edge.end[0] == "condition":
            under.setdefault(edge.end, []).append(edge.start)
    rests = {key for keys in under.values() for key in keys}

    def order(node: Node) -> tuple:
        return node.key in rests, kinds.index(node.kind), tuple(map(str, node.key[1:2]))

    said = sorted((node for node in nodes if node.column == SAID), key=order)
    height = {node.key: n for n, node in enumerate(said)}

    def middle(node: Node) -> tuple:
        heights = [height.get(key, len(said)) for key in under.get(node.key, ())]
        return sum(heights) / max(1, len(heights)), node.key[1]

    follows = sorted((node for node in nodes if node.column == FOLLOWS), key=middle)
    return [*said, *follows, *(node for node in nodes if node.column == CAUSE)]
