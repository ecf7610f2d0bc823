"""The knowledge folder into one checked, compiled `Knowledge`.

Files are read in the order in which they need each other, so that every name used is already known; whatever is wrong
is told with file, line and column.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path, PurePosixPath

from diagnose import load_boards, load_causes, load_changes, load_findings, load_ingredients, load_vocabulary
from diagnose.complaint import Complaint, Place, shown, would_accept
from diagnose.draft import Draft
from diagnose.folder import shipped, texts_of
from diagnose.model import Knowledge
from diagnose.overlay import check_parts, lay_over
from diagnose.quantities import expanded
from diagnose.reading import NAME
from diagnose.rules import Rule
from diagnose.yamltree import Node, parse

# Strategy rules that the program reads a figure from; every knowledge folder must state them.
FIGURES = (
    *("family_first", "enough_said", "worth_a_change", "act_on", "sure_enough", "patience"),
    *("worth_proposing", "care_on_a_guess", "no_harm_on_a_guess", "state_not_known"),
)


def load(folder: Path | None = None, own: Path | None = None) -> Knowledge:
    """Read, check and compile `folder` (the shipped one where none is given), a shop's `own` folder laid over it.

    Raises Complaint.
    """
    folder = folder or shipped()
    texts = texts_of(folder)
    own_texts = texts_of(own) if own else {}
    trees: list[tuple[PurePosixPath, Node]]
    label = "" if own is None else str(own) if len(own.parts) > 1 else f"./{own}"
    trees, changed = lay_over(_trees(texts, folder.resolve().name), _trees(own_texts, label))
    trees = [(path, expanded(tree)) for path, tree in trees]
    draft = Draft(own=f"{label}/" if own else "")
    single = {path.name: tree for path, tree in trees if len(path.parts) == 1}
    inside: dict[str, list[tuple[PurePosixPath, Node]]] = defaultdict(list)
    for path, tree in trees:
        inside[path.parts[0]].append((path, tree))

    def every(part: str, read: Callable[[Node, Draft], None]) -> None:
        for _, tree in inside[part]:
            read(tree, draft)

    def one(name: str, read: Callable[[Node, Draft], None]) -> None:
        if name not in single:
            raise Complaint(Place(str(folder)), f"has no {name}", "it is part of every knowledge folder")
        read(single[name], draft)

    one("scale.yaml", load_vocabulary.read_scale)
    every("sources", load_vocabulary.read_sources)
    one("families.yaml", load_vocabulary.read_families)
    if "terms.yaml" in single:
        load_vocabulary.read_terms(single["terms.yaml"], draft)
    every("cautions", load_vocabulary.read_cautions)
    one("steps.yaml", load_vocabulary.read_steps)
    one("attributes.yaml", load_vocabulary.read_attributes)
    every("materials", partial(load_vocabulary.read_things, of="step"))
    every("woods", partial(load_vocabulary.read_things, of="piece"))
    if "label.yaml" in single:
        load_ingredients.read_label(single["label.yaml"], draft)
    every("ingredients", load_ingredients.read_ingredients)
    if "passing_words.yaml" in single:
        load_vocabulary.read_passing_words(single["passing_words.yaml"], draft)
    one("strategy.yaml", load_vocabulary.read_strategy)
    every("findings", load_findings.read_findings)
    every("findings", load_findings.compile_find_out)
    one("attributes.yaml", load_findings.compile_attribute_find_out)
    every("conditions", load_findings.read_conditions)
    every("findings", load_findings.compile_asking)
    every("conditions", load_findings.compile_conditions)
    one("strategy.yaml", load_findings.compile_opening)
    every("cautions", load_findings.compile_cautions)
    every("remedies", load_causes.read_remedies)
    every("remedies", load_causes.compile_remedies)
    for path, tree in inside["causes"]:
        load_causes.read_cause(tree, _cause_name(path, tree), path.parent.name, draft)
    every("boards", load_boards.read_boards)
    load_causes.compile_links(draft)
    load_causes.compile_traits(draft)
    load_causes.compile_cautions(draft)
    if "changes.yaml" in single:
        load_changes.read_changes(single["changes.yaml"], draft)
    if "exemptions.yaml" in single:
        load_vocabulary.read_exemptions(single["exemptions.yaml"], draft)
    load_ingredients.check_label(draft)
    _check_references(draft, single)
    return _finish(draft, {**texts, **{path / "own": text for path, text in own_texts.items()}}, changed)


def _trees(texts: Mapping[PurePosixPath, str], label: str) -> dict[PurePosixPath, Node]:
    trees = {path: parse(text, f"{label}/{path}") for path, text in texts.items()}
    check_parts(trees)
    return trees


def _cause_name(path: PurePosixPath, tree: Node) -> str:
    if not NAME.match(path.stem):
        raise Complaint(
            Place(tree.place.file),
            "the file's name becomes the id of the cause and cannot be one",
            "lower-case letters, digits and _, a letter first",
        )
    return path.stem


def _check_references(draft: Draft, single: Mapping[str, Node]) -> None:
    """References that may run forward: strategy figures, look-alikes, attributes a step kind asks for, rule names."""
    strategy_file, steps_file = (Place(single[name].place.file) for name in ("strategy.yaml", "steps.yaml"))
    for name in FIGURES:
        if name not in draft.strategies or draft.strategies[name].figure is None:
            raise Complaint(
                strategy_file, f"the strategy rule '{name}' with its `figure:` is missing", "the program reads it"
            )
    if "recall" not in draft.ask_kinds:
        raise Complaint(strategy_file, "the kind of asking 'recall' is missing", "details of a schedule are asked so")
    if "worth_its_price" not in draft.strategies:
        raise Complaint(strategy_file, "the strategy rule 'worth_its_price' is missing", "`why` quotes it")
    for cause in draft.causes.values():
        for other, finding in cause.look_alikes.items():
            if other not in draft.causes:
                raise Complaint(cause.place, f"look-alike '{other}' is not a cause", would_accept(other, draft.causes))
            if finding not in draft.findings and finding not in draft.conditions:
                raise Complaint(
                    cause.place,
                    f"'{finding}' is neither a finding nor a condition",
                    would_accept(finding, [*draft.findings, *draft.conditions]),
                )
    seats = {seat for cause in draft.causes.values() for seat in (cause.stage, f"{cause.stage}/{cause.family}")}
    for kind in draft.step_kinds.values():
        for seat in kind.seat_of:
            if seat not in seats:
                raise Complaint(
                    steps_file,
                    f"{kind.id} is the seat of {shown(seat)}, but no cause is of that stage or stage/family",
                    would_accept(seat, seats),
                )
        for name in kind.asks:
            if ("step", name) not in draft.attributes:
                raise Complaint(
                    steps_file,
                    f"{kind.id} asks for '{name}', which is no attribute of steps",
                    would_accept(name, [a for o, a in draft.attributes if o == "step"]),
                )
    seen: dict[str, Rule] = {}
    for rule in draft.rules:
        if rule.name in seen:
            raise Complaint(None, f"two rules are named '{rule.name}'", "names of rules must differ")
        seen[rule.name] = rule


def _finish(draft: Draft, texts: Mapping[PurePosixPath, str], changed: Mapping[str, str]) -> Knowledge:
    digest = hashlib.sha256()
    for path, text in texts.items():
        digest.update(f"{path}\0{text}\0".encode())
    return Knowledge(
        attributes=draft.attributes,
        step_kinds=draft.step_kinds,
        materials=draft.materials,
        woods=draft.woods,
        findings=draft.findings,
        conditions=draft.conditions,
        causes=draft.causes,
        remedies=draft.remedies,
        cautions=draft.cautions,
        sources=draft.sources,
        families=draft.families,
        terms=draft.terms,
        ask_kinds=draft.ask_kinds,
        strategies=draft.strategies,
        standing=tuple(draft.standing),
        harm_factors=draft.harms,
        rules=tuple(draft.rules),
        closures=tuple(sorted(draft.closures)),
        version=digest.hexdigest()[:12],
        opening=draft.opening,
        exemptions=tuple(draft.exemptions),
        own=changed,
        opens_when=tuple(dict.fromkeys(rule.then[1] for rule in draft.rules if rule.then[0] == "opens")),
        boards=draft.boards,
        passing_words=draft.passing_words,
        changes=draft.changes,
        ingredients=draft.ingredients,
        label=draft.label,
    )
