"""The base while it is being read: what has been met so far, and the small readers that need to look it up."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from diagnose import reading
from diagnose.complaint import Complaint, shown, would_accept
from diagnose.label_model import Ingredient, LabelWords
from diagnose.model import (
    AskKind,
    Attribute,
    Board,
    Cause,
    Caution,
    Change,
    Citation,
    Condition,
    Exemption,
    Finding,
    Remedy,
    Source,
    StepKind,
    Strategy,
    Term,
    Thing,
)
from diagnose.rules import Rule
from diagnose.yamltree import Node

PRACTICE = ("common practice", "from memory")
_PRACTICE = re.compile(rf"(?:{'|'.join(PRACTICE)})(?: \(.+\)|, .+)?\Z")


@dataclass
class Draft:
    weights: dict[str, int] = field(default_factory=dict)
    priors: dict[str, int] = field(default_factory=dict)
    cures: dict[str, float] = field(default_factory=dict)
    usual: dict[str, float] = field(default_factory=dict)
    standing: list[tuple[float, str]] = field(default_factory=list)
    harms: dict[str, float] = field(default_factory=dict)
    families: dict[str, str] = field(default_factory=dict)
    terms: dict[str, Term] = field(default_factory=dict)
    sources: dict[str, Source] = field(default_factory=dict)
    attributes: dict[tuple[str, str], Attribute] = field(default_factory=dict)
    step_kinds: dict[str, StepKind] = field(default_factory=dict)
    cautions: dict[str, Caution] = field(default_factory=dict)
    materials: dict[str, Thing] = field(default_factory=dict)
    woods: dict[str, Thing] = field(default_factory=dict)
    ask_kinds: dict[str, AskKind] = field(default_factory=dict)
    strategies: dict[str, Strategy] = field(default_factory=dict)
    findings: dict[str, Finding] = field(default_factory=dict)
    conditions: dict[str, Condition] = field(default_factory=dict)
    remedies: dict[str, Remedy] = field(default_factory=dict)
    causes: dict[str, Cause] = field(default_factory=dict)
    boards: dict[str, Board] = field(default_factory=dict)
    changes: dict[str, Change] = field(default_factory=dict)
    opening: tuple[str, ...] = ()
    passing_words: dict[str, tuple[str, ...]] = field(default_factory=dict)
    rules: list[Rule] = field(default_factory=list)
    ingredients: dict[str, Ingredient] = field(default_factory=dict)
    label: LabelWords | None = None
    own: str = ""  # how the names of files in a shop's own folder begin
    exemptions: list[Exemption] = field(default_factory=list)
    closures: set[tuple[str, str, str]] = field(default_factory=set)

    def cite(self, node: Node, what: str) -> tuple[Citation, ...]:
        """One citation or a list: `key` or `key, section`; `common practice` and `from memory` stand for no page."""
        found = reading.each(node, f"{what}, source", self._citation)
        if not found:
            raise Complaint(node.place, f"{what}: no source is named", "a key of sources.yaml or `common practice`")
        return found

    def _citation(self, node: Node, what: str) -> Citation:
        written = reading.text(node, what)
        head, _, section = written.partition(",")
        if _PRACTICE.match(written):
            return Citation(None, practice=written, own=self._is_own(node))
        key = reading.as_name(head)
        if key not in self.sources:
            raise Complaint(
                node.place,
                f"{what}: {shown(head)} is not in sources.yaml",
                would_accept(key, [*self.sources, *PRACTICE]),
            )
        return Citation(self.sources[key], section.strip(), own=self._is_own(node))

    def _is_own(self, node: Node) -> bool:
        return bool(self.own) and node.place.file.startswith(self.own)

    def hazards(self, node: Node | None, what: str) -> tuple[str, ...]:
        return self._each_once(node, f"{what}, hazards", self.cautions)

    def uses(self, node: Node | None, what: str) -> tuple[str, ...]:
        return self._each_once(node, f"{what}, uses", self.materials)

    def _each_once(self, node: Node | None, what: str, known: dict) -> tuple[str, ...]:
        named = () if node is None else reading.words(node, what, known)
        twice = [word for word in named if named.count(word) > 1]
        if twice:
            raise Complaint(node.place, f"{what}: {shown(twice[0])} is named twice", "each once")
        return named

    def new(self, known: dict, table: Node, key: str, what: str) -> str:
        """A name not yet taken in `known`."""
        place = table.keys[key]
        name = reading.name(Node(key, place), what)
        if name in known:
            raise Complaint(
                place,
                f"{what} {shown(name)} is defined twice",
                f"first at {known[name].place}" if hasattr(known[name], "place") else "keep one",
            )
        return name
