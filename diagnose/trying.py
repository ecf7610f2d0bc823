"""Running many example cases for what the audit needs of each, on as many processors as there are."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from diagnose.case import Case
from diagnose.diagnosis import Diagnoser
from diagnose.expectation import failed
from diagnose.rules import Fact

WORTH_SHARING = 100  # cases, below which starting processes costs more than it saves
KEPT = ("condition", "sensible", "weigh")


@dataclass(frozen=True, slots=True)
class Tried:
    """One example after its run: unmet expectations, the rules that fired, and the facts of the `KEPT` relations."""

    case: Case
    wrong: tuple[str, ...]
    fired: frozenset[str]
    facts: frozenset[Fact]


def try_all(diagnoser: Diagnoser, cases: Sequence[Case]) -> Iterator[Tried]:
    """Every case tried, in order. Results are the same on one processor and on several."""
    shared = len(cases) >= WORTH_SHARING and (os.cpu_count() or 1) > 1
    if not shared or "fork" not in multiprocessing.get_all_start_methods():
        yield from (_try(diagnoser, case) for case in cases)
        return
    global _at_work
    _at_work = (diagnoser, cases)  # forked processes find it here, unpickled
    try:
        with multiprocessing.get_context("fork").Pool() as pool:
            found = pool.imap(_try_numbered, range(len(cases)), chunksize=16)
            yield from (Tried(case, *rest) for case, rest in zip(cases, found))
    finally:
        _at_work = None


_at_work: tuple[Diagnoser, Sequence[Case]] | None = None


def _try_numbered(number: int) -> tuple[tuple[str, ...], frozenset[str], frozenset[Fact]]:
    diagnoser, cases = _at_work
    one = _try(diagnoser, cases[number])
    return one.wrong, one.fired, one.facts


def _try(diagnoser: Diagnoser, case: Case) -> Tried:
    diagnosis = diagnoser.diagnose(case)
    kept = frozenset(fact for fact in diagnosis.store.facts if fact[0] in KEPT)
    return Tried(case, tuple(failed(diagnosis)), diagnosis.fired, kept)
