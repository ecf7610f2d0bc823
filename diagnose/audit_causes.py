"""The audit of causes and remedies: complete, reachable, parted from each other, with their cautions."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from itertools import combinations

from diagnose.flaws import PARTS, Flaw
from diagnose.model import Cause, Knowledge, Step

Weights = Mapping[str, Mapping[str, int]]  # finding or condition -> answer -> decibans


def causes(knowledge: Knowledge) -> Iterator[Flaw]:
    for cause in knowledge.causes.values():
        if not cause.treatments:
            yield Flaw("no-remedy", cause.place, f"{cause.id} has no remedy", cause.id)
        if not cause.prevention:
            yield Flaw("no-prevention", cause.place, f"{cause.id} has no prevention", cause.id)
        if not cause.look_alikes:
            yield Flaw("no-look-alikes", cause.place, f"{cause.id} names no look-alike", cause.id)
        for other, check in cause.look_alikes.items():
            apart = parting(cause, knowledge.causes[other], check)
            if apart < PARTS:
                yield Flaw(
                    "not-parted",
                    cause.place,
                    f"{check} parts {cause.id} from {other} by {apart} decibans only",
                    f"{cause.id} / {other}",
                )
        if best_score(cause) <= 0:
            yield Flaw("unreachable-cause", cause.place, f"{cause.id} never comes above `none of these`", cause.id)
    yield from _never_parted(knowledge)
    yield from _cautions(knowledge)
    yield from _sentences(knowledge)


def parting(one: Cause, other: Cause, subject: str) -> int:
    """By how many decibans a finding, or a condition, can shift one cause against the other."""
    return _gap(_weights(one).get(subject, {}), _weights(other).get(subject, {}))


def best_score(cause: Cause) -> int:
    """Decibans with every answer in its favour, one link of each group."""
    best: dict[str, int] = defaultdict(int)
    for link in cause.links:
        best[link.group] = max(best[link.group], *link.weights.values())
    return cause.prior + sum(best.values())


def _weights(cause: Cause) -> Weights:
    return {link.subject: link.weights for link in cause.links}


def _gap(one: Mapping[str, int], other: Mapping[str, int]) -> int:
    gaps = [one.get(answer, 0) - other.get(answer, 0) for answer in {*one, *other}] + [0]
    return max(gaps) - min(gaps)


def _never_parted(knowledge: Knowledge) -> Iterator[Flaw]:
    """Pairs that share a complaint in their favour and that no question beyond the opening complaint parts."""
    complaint = knowledge.opening[0]
    weights = {cause.id: _weights(cause) for cause in knowledge.causes.values()}
    favours = {
        name: {answer for answer, weight in subjects.get(complaint, {}).items() if weight > 0}
        for name, subjects in weights.items()
    }
    for one, other in combinations(sorted(knowledge.causes), 2):
        if not favours[one] & favours[other]:
            continue
        asked = (s for s in {*weights[one], *weights[other]} if s in knowledge.findings and s != complaint)
        if all(_gap(weights[one].get(s, {}), weights[other].get(s, {})) < PARTS for s in asked):
            yield Flaw(
                "never-parted",
                knowledge.causes[one].place,
                f"no question parts {one} from {other} by {PARTS} decibans",
                f"{one} / {other}",
            )


def _cautions(knowledge: Knowledge) -> Iterator[Flaw]:
    """Remedies and advice whose words name a dangerous solvent, bleach or stripper that they do not list.

    Only what cleans, strips or bleaches is looked for: coats are named in many a sentence that does not use them.
    """
    layers = {kind.id for kind in knowledge.step_kinds.values() if kind.layer}
    names = {
        word.lower(): thing
        for thing in knowledge.materials.values()
        if thing.hazards and thing.steps and not layers & set(thing.steps)
        for word in (thing.id.replace("_", " "), *thing.also)
        if len(word) > 3
    }
    if not names:
        return
    spelled = re.compile(r"\b(" + "|".join(sorted(map(re.escape, names), key=len, reverse=True)) + r")\b")
    told = [(r.id, r.place, r.do, r.uses, r.hazards) for r in knowledge.remedies.values()]
    told += [
        (f"{cause.id}, prevention {number}", cause.place, (advice.advice,), advice.uses, advice.hazards)
        for cause in knowledge.causes.values()
        for number, advice in enumerate(cause.prevention, 1)
    ]
    for board in knowledge.boards.values():
        used = {*board.uses, *(product for step in (*board.fails, *board.sound) for product in _products(step))}
        told.append((board.id, board.place, (*board.ready, *board.do), used, board.hazards))
    for name, place, sentences, uses, hazards in told:
        covered = {*hazards, *(h for use in uses for h in knowledge.materials[use].hazards)}
        for word in sorted(_named(spelled, sentences)):
            missing = [h for h in names[word].hazards if h not in covered]
            if missing:
                yield Flaw("no-caution", place, f"{name} names {word} without {' and '.join(missing)}", name)


def _products(step: Step) -> Iterator[str]:
    for name in ("product", "ingredients"):
        if name in step.given and step.given[name].known:
            yield from step.given[name].values


def _named(spelled: re.Pattern, sentences: Iterable[str]) -> set[str]:
    return {word for sentence in sentences for word in spelled.findall(sentence.lower())}


def _sentences(knowledge: Knowledge) -> Iterator[Flaw]:
    told = [(f.id, f.place, f.how) for f in knowledge.findings.values()]
    told += [(r.id, r.place, r.do) for r in knowledge.remedies.values()]
    told += [(b.id, b.place, (*b.ready, *b.do)) for b in knowledge.boards.values()]
    for name, place, sentences in told:
        for sentence in sentences:
            if sentence[0].islower():
                yield Flaw("broken-sentence", place, f"{name}: '{sentence}'", name)
