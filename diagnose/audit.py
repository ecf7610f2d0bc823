"""Checking the knowledge base as a whole: examples and test boards that hold, nothing dead, look-alikes parted.

What cannot even be read is complained of by the loader. Each flaw has a code (flaws.py), a place and a mend. What is as
it should be in spite of a code is listed, with its reason, in `exemptions.yaml` of the knowledge folder.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from diagnose.audit_boards import boards
from diagnose.audit_causes import causes
from diagnose.audit_labels import label_files, labels, read_examples
from diagnose.audit_quantities import quantities
from diagnose.audit_rules import exercise, half_told, structure, unused
from diagnose.case import Case, read_cases
from diagnose.complaint import Place
from diagnose.diagnosis import Diagnoser
from diagnose.flaws import Flaw
from diagnose.folder import CASES, example_files
from diagnose.load import load
from diagnose.model import Knowledge
from diagnose.trying import Tried, try_all


def audit(folder: Path | None = None, own: Path | None = None) -> list[Flaw]:
    """Every flaw in `folder` with a shop's `own` laid over it, by place. Raises Complaint where it cannot be read."""
    knowledge = load(folder, own)
    examples = {path: read_cases(path, knowledge) for path in example_files(folder, own)}
    cases = [case for inside in examples.values() for case in inside]
    diagnoser = Diagnoser(knowledge)
    tried = list(try_all(diagnoser, cases))
    sheets = [example for path in label_files(folder, own) for example in read_examples(path, knowledge)]
    fired: set[str] = set()
    of_labels = list(labels(diagnoser, sheets, fired))
    found = [
        *_examples(knowledge, examples),
        *_failures(tried),
        *unused(knowledge),
        *half_told(knowledge),
        *structure(knowledge),
        *exercise(knowledge, tried, fired),
        *of_labels,
        *causes(knowledge),
        *boards(diagnoser),
        *quantities(folder, own),
    ]
    return sorted(exempted(knowledge, found), key=lambda flaw: (flaw.place.file, flaw.place.line, flaw.code, flaw.what))


def exempted(knowledge: Knowledge, flaws: Iterable[Flaw]) -> Iterator[Flaw]:
    """`flaws` without those that are exempted, and the exemptions that nothing needs."""
    needed = set()
    listed = {(exemption.code, exemption.of) for exemption in knowledge.exemptions}
    for flaw in flaws:
        if (flaw.code, flaw.of) in listed:
            needed.add((flaw.code, flaw.of))
        else:
            yield flaw
    for exemption in knowledge.exemptions:
        if (exemption.code, exemption.of) not in needed:
            yield Flaw("needless-exemption", exemption.place, f"nothing has {exemption.code} of {exemption.of}")


def _examples(knowledge: Knowledge, examples: dict[Path, list[Case]]) -> Iterator[Flaw]:
    beside = {path.name.removesuffix(CASES): cases for path, cases in examples.items()}
    for path in examples:
        if path.name.removesuffix(CASES) not in knowledge.causes:
            yield Flaw("stray-examples", Place(str(path), 1, 1), f"no cause is named {path.name.removesuffix(CASES)}")
    for cause in knowledge.causes.values():
        cases = beside.get(cause.id, [])
        if not any(case.expect.first == (cause.id,) for case in cases):
            yield Flaw("no-confirming-example", cause.place, f"no example expects {cause.id} first", cause.id)
        if not any(cause.id in case.expect.not_first for case in cases):
            yield Flaw("no-near-miss", cause.place, f"{cause.id} has no near miss", cause.id)


def _failures(tried: Iterable[Tried]) -> Iterator[Flaw]:
    for one in tried:
        for wrong in one.wrong:
            place = one.case.expect.place or Place(str(one.case.path))
            yield Flaw("example-fails", place, f"{one.case.id}: {wrong}", one.case.id)
