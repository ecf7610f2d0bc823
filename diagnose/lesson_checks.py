"""What the weights of the base teach, in words: what to look for, what an answer speaks for, what parts look-alikes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagnose.model import Cause, Knowledge, Link
from diagnose.words import how_strongly

MOST_LOOKS = 12
MOST_CAUSES = 4  # told of one question
CONDITION = {"holds": "it is so", "ruled_out": "it is not so"}


@dataclass(frozen=True, slots=True)
class Look:
    """A question worth asking: how to find out, and what its answers say, each with its source."""

    of: str
    head: str
    how: tuple[str, ...]
    says: tuple[tuple[str, str], ...]


def showing(knowledge: Knowledge, causes: Sequence[Cause]) -> Iterator[tuple[str, list[tuple[str, int]]]]:
    """How causes show themselves at first sight: questions of the opening page, each answer with the number of causes
    that it speaks for, the commonest first. Only what speaks for at least half of them together."""
    for name in knowledge.opening:
        if name not in knowledge.findings:
            continue
        for_ = {
            answer: sum(cause.weight_of(name, answer) > 0 for cause in causes)
            for answer in knowledge.findings[name].answers
        }
        told = sum(any(cause.weight_of(name, answer) > 0 for answer in for_) for cause in causes)
        if told * 2 >= len(causes) and told:
            counted = sorted(((n, answer) for answer, n in for_.items() if n), key=lambda pair: (-pair[0], pair[1]))
            yield name, [(knowledge.findings[name].answers[answer], n) for n, answer in counted]


def looks(knowledge: Knowledge, causes: Sequence[Cause]) -> list[Look]:
    """The questions that move these causes most, by how often each is met and how far it is moved."""
    complaint = knowledge.opening[0]
    links: dict[str, list[tuple[float, Cause, Link]]] = defaultdict(list)
    for cause in causes:
        for link in cause.links:
            if link.about == "answer" and link.subject != complaint:
                links[link.subject].append((10 ** (cause.prior / 10) * _range(link), cause, link))
    by_worth = sorted(links, key=lambda name: (-sum(worth for worth, _, _ in links[name]), name))
    return [
        _look(knowledge, name, [(c, link) for _, c, link in links[name]], len(causes) > 1)
        for name in by_worth[:MOST_LOOKS]
    ]


def _look(knowledge: Knowledge, name: str, links: Sequence[tuple[Cause, Link]], several: bool) -> Look:
    finding = knowledge.findings[name]
    kind = knowledge.ask_kinds[finding.kind]
    first = sorted(links, key=lambda pair: (-_range(pair[1]), -pair[0].prior, pair[0].id))[:MOST_CAUSES]
    says = tuple(
        (
            (f"{cause.name} - " if several else "") + f"{weights_words(link.weights, finding.answers)}. {link.because}",
            "; ".join(map(str, link.source)),
        )
        for cause, link in first
    )
    if len(links) > len(first):
        left = len(links) - len(first)
        says = (*says, (f"It moves {left} more of these causes.", ""))
    return Look(name, f"{finding.question} ({kind.name}, {kind.minutes:g} min)", finding.how, says)


def _range(link: Link) -> int:
    return max(0, *link.weights.values()) - min(0, *link.weights.values())


def weights_words(weights: Mapping[str, int], answers: Mapping[str, str]) -> str:
    """'strongly for it (+10): this or that; fairly against (-5): another': every answer that weighs anything."""
    groups: dict[int, list[str]] = defaultdict(list)
    for answer, weight in weights.items():
        if weight:
            groups[weight].append(answers[answer])
    parts = []
    for weight, words in sorted(groups.items(), reverse=True):
        many = len(words) > 3 and len(weights) == len(answers) and len(groups) > 1
        said = "any other answer" if many and len(words) == max(map(len, groups.values())) else " or ".join(words)
        parts.append(f"{how_strongly(weight)} {'for' if weight > 0 else 'against'} ({weight:+d}): {said}")
    return "; ".join(parts)


def apart(knowledge: Knowledge, cause: Cause) -> list[tuple[str, str]]:
    """For each look-alike: what tells it apart, and which answer speaks for which, with the sources."""
    return [
        parting_words(knowledge, cause, knowledge.causes[other], subject)
        for other, subject in cause.look_alikes.items()
    ]


def parting_words(knowledge: Knowledge, one: Cause, other: Cause, subject: str) -> tuple[str, str]:
    """What a finding or condition says of two causes, and its sources."""
    if subject in knowledge.findings:
        check, answers = knowledge.findings[subject].question, knowledge.findings[subject].answers
    else:
        check, answers = f"whether this is so: {knowledge.conditions[subject].says}", CONDITION
    ours, theirs = _weights(one, subject), _weights(other, subject)
    gaps = {answer: ours.get(answer, 0) - theirs.get(answer, 0) for answer in answers}
    for_one, for_other = max(gaps, key=gaps.__getitem__), min(gaps, key=gaps.__getitem__)
    said = []
    if gaps[for_one] > 0:
        said.append(f"'{answers[for_one]}' speaks {how_strongly(gaps[for_one])} for {one.name} ({gaps[for_one]})")
    if gaps[for_other] < 0:
        gap = -gaps[for_other]
        said.append(f"'{answers[for_other]}' speaks {how_strongly(gap)} for {other.name} ({gap})")
    sources = [
        str(citation) for c in (one, other) for link in c.links if link.subject == subject for citation in link.source
    ]
    return f"{other.name}. Told apart by: {check} {'; '.join(said)}.", "; ".join(dict.fromkeys(sources))


def separating_subject(knowledge: Knowledge, one: Cause, other: Cause) -> str | None:
    """What parts two causes: the check that the base names where it calls them look-alikes, else the question whose
    answers part them most for its price; None where none does."""
    named = one.look_alikes.get(other.id) or other.look_alikes.get(one.id)
    if named:
        return named
    best, found = 0.0, None
    for subject in sorted({link.subject for cause in (one, other) for link in cause.links if link.about == "answer"}):
        finding = knowledge.findings[subject]
        kind = knowledge.ask_kinds[finding.kind]
        ours, theirs = _weights(one, subject), _weights(other, subject)
        gaps = [ours.get(answer, 0) - theirs.get(answer, 0) for answer in finding.answers]
        worth = (max(gaps) - min(gaps)) / (kind.minutes * kind.harm) ** 0.5
        if worth > best:
            best, found = worth, subject
    return found


def movers(knowledge: Knowledge, causes: Iterable[Cause]) -> list[tuple[str, str, list[str]]]:
    """(finding, answer, names of the causes it speaks for), those that speak strongest first; not of first looks."""
    found: dict[tuple[str, str], list[tuple[int, str]]] = defaultdict(list)
    for cause in causes:
        for link in cause.links:
            if link.about == "answer" and link.subject not in knowledge.opening:
                for answer, weight in link.weights.items():
                    if weight > 0:
                        found[link.subject, answer].append((weight, cause.name))
    by_weight = sorted(found.items(), key=lambda item: (-sum(weight for weight, _ in item[1]), item[0]))
    return [
        (*about, [f"{name} ({weight:+d})" for weight, name in sorted(pairs, reverse=True)])
        for about, pairs in by_weight
    ]


def _weights(cause: Cause, subject: str) -> Mapping[str, int]:
    return next((link.weights for link in cause.links if link.subject == subject), {})
