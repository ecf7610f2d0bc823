"""Checking the knowledge base as a whole: examples that hold, nothing dead, look-alikes that can be told apart.

What cannot even be read is complained of by the loader. Each complaint here has a code (`CODES`), a place and a mend.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from diagnose.case import Case, read_cases
from diagnose.complaint import Place
from diagnose.diagnosis import Diagnoser, Diagnosis
from diagnose.expectation import failed
from diagnose.load import CASES, example_files, load
from diagnose.model import Cause, Knowledge
from diagnose.rules import Fact

PARTS = 5  # decibans: the least by which a check must part two look-alikes

CODES = {
    "no-confirming-example": "A cause needs an example case beside it that expects it first.",
    "no-near-miss": "A cause needs an example case beside it that looks like it and expects it not to come first.",
    "stray-examples": "A file of example cases lies beside no cause.",
    "example-fails": "An example case does not come to what it expects.",
    "unused-finding": "A question that no evidence, condition, remedy or other question uses cannot matter.",
    "unused-condition": "A condition that nothing uses cannot matter.",
    "unused-remedy": "A remedy that no cause names is never proposed.",
    "dead-condition": "A condition that holds in no example is untested and may be impossible.",
    "no-remedy": "A cause without a remedy leaves the finisher alone; `leave it` with its reason is a remedy too.",
    "no-prevention": "A cause without prevention teaches nothing for the next piece.",
    "no-look-alikes": "A cause must name what looks like it and the check that parts them.",
    "not-parted": f"The check named for a look-alike must part the two by at least {PARTS} decibans.",
    "broken-sentence": "An instruction must begin with a capital; a comma inside [...] splits a sentence in two.",
    "unexercised-link": "Evidence that no example meets is untested.",
}


@dataclass(frozen=True, slots=True)
class Flaw:
    code: str
    place: Place
    what: str


def audit(folder: Path | None = None) -> list[Flaw]:
    """Every flaw found in `folder`, in order of place. Raises Complaint for what cannot be read."""
    knowledge = load(folder)
    diagnoser = Diagnoser(knowledge)
    examples = {path: read_cases(path, knowledge) for path in example_files(folder)}
    diagnoses = {(path, case.id): diagnoser.diagnose(case) for path, cases in examples.items() for case in cases}
    flaws = [
        *_examples(knowledge, examples, diagnoses),
        *_unused(knowledge),
        *_exercise(knowledge, list(diagnoses.values())),
        *_causes(knowledge),
        *_sentences(knowledge),
    ]
    return sorted(flaws, key=lambda flaw: (flaw.place.file, flaw.place.line, flaw.code, flaw.what))


def _examples(
    knowledge: Knowledge, examples: dict[Path, list[Case]], diagnoses: dict[tuple[Path, str], Diagnosis]
) -> Iterator[Flaw]:
    beside = {path.name.removesuffix(CASES): cases for path, cases in examples.items()}
    for path in examples:
        if path.name.removesuffix(CASES) not in knowledge.causes:
            yield Flaw("stray-examples", Place(str(path), 1, 1), f"no cause is named {path.name.removesuffix(CASES)}")
    for cause in knowledge.causes.values():
        cases = beside.get(cause.id, [])
        if not any(case.expect.first == (cause.id,) for case in cases):
            yield Flaw("no-confirming-example", cause.place, f"{cause.id} has no example that expects it first")
        if not any(cause.id in case.expect.not_first for case in cases):
            yield Flaw("no-near-miss", cause.place, f"{cause.id} has no near miss")
    for (path, case_id), diagnosis in diagnoses.items():
        for wrong in failed(diagnosis):
            yield Flaw("example-fails", diagnosis.case.expect.place or Place(str(path)), f"{case_id}: {wrong}")


def _unused(knowledge: Knowledge) -> Iterator[Flaw]:
    used = {pattern[:2] for rule in knowledge.rules for pattern in rule.when}
    for finding in knowledge.findings.values():
        if ("answer", finding.id) not in used:
            yield Flaw("unused-finding", finding.place, f"nothing uses the answers to {finding.id}")
    for condition in knowledge.conditions.values():
        if ("condition", condition.id) not in used:
            yield Flaw("unused-condition", condition.place, f"nothing uses {condition.id}")
    named = {treatment.remedy for cause in knowledge.causes.values() for treatment in cause.treatments}
    for remedy in knowledge.remedies.values():
        if remedy.id not in named:
            yield Flaw("unused-remedy", remedy.place, f"no cause names {remedy.id}")


def _sentences(knowledge: Knowledge) -> Iterator[Flaw]:
    told = [(f.id, f.place, f.how) for f in knowledge.findings.values()]
    told += [(r.id, r.place, r.do) for r in knowledge.remedies.values()]
    for name, place, sentences in told:
        for sentence in sentences:
            if sentence[0].islower():
                yield Flaw("broken-sentence", place, f"{name}: '{sentence}'")


def _exercise(knowledge: Knowledge, diagnoses: list[Diagnosis]) -> Iterator[Flaw]:
    met: set[Fact] = {step.fact for diagnosis in diagnoses for step in diagnosis.trace}
    for condition in knowledge.conditions.values():
        if ("condition", condition.id, "holds") not in met:
            yield Flaw("dead-condition", condition.place, f"{condition.id} holds in no example")
    weighed = {fact[2] for fact in met if fact[0] == "weigh"}
    for cause in knowledge.causes.values():
        for link in cause.links:
            if link.id not in weighed:
                yield Flaw("unexercised-link", link.place, f"no example meets {link.id}")


def _causes(knowledge: Knowledge) -> Iterator[Flaw]:
    for cause in knowledge.causes.values():
        if not cause.treatments:
            yield Flaw("no-remedy", cause.place, f"{cause.id} has no remedy")
        if not cause.prevention:
            yield Flaw("no-prevention", cause.place, f"{cause.id} has no prevention")
        if not cause.look_alikes:
            yield Flaw("no-look-alikes", cause.place, f"{cause.id} names no look-alike")
        for other, check in cause.look_alikes.items():
            apart = parting(cause, knowledge.causes[other], check)
            if apart < PARTS:
                yield Flaw("not-parted", cause.place, f"{check} parts {cause.id} from {other} by {apart} decibans only")


def parting(one: Cause, other: Cause, subject: str) -> int:
    """By how many decibans a finding, or a condition, can shift one cause against the other."""
    weights = [
        next((dict(link.weights) for link in cause.links if link.subject == subject), {}) for cause in (one, other)
    ]
    answers = set(weights[0]) | set(weights[1])
    gaps = [weights[0].get(answer, 0) - weights[1].get(answer, 0) for answer in answers] + [0]
    return max(gaps) - min(gaps)


def as_text(flaws: list[Flaw]) -> str:
    lines = [f"{flaw.place}: [{flaw.code}] {flaw.what}" for flaw in flaws]
    return "\n".join([*lines, f"{len(flaws)} flaws" if flaws else "no flaws"]) + "\n"


def as_json(flaws: list[Flaw]) -> str:
    rows = [
        {
            "code": f.code,
            "file": f.place.file,
            "line": f.place.line,
            "column": f.place.column,
            "what": f.what,
            "mend": CODES[f.code],
        }
        for f in flaws
    ]
    return json.dumps({"flaws": rows}, indent=1) + "\n"
