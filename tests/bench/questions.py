"""How many questions it takes: python tests/bench/questions.py [-v]

Each field case is played as a consultation. The opening page is filled in with what the case says; each question that is
then chosen is answered from the case, and with "don't know" where the case does not say. Printed: the place of the
settled cause at the stop, how many questions were asked after the page, how many of them the case could answer.
"""

from __future__ import annotations

import statistics
import sys
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

MOST = 60


def play(diagnoser, case, told=lambda line: None):
    """The consultation at its stop, and how many questions were asked and how many of them the case could answer."""
    from diagnose.case import Given
    from diagnose.consultation import Consultation
    from diagnose.model import UNKNOWN

    knowledge = diagnoser.knowledge
    opening = {name: given for name, given in case.findings.items() if name in knowledge.opening}
    unknown = Given((UNKNOWN,), UNKNOWN)
    steps = tuple(
        replace(step, given={**dict.fromkeys(knowledge.step_kinds[step.do].asks, unknown), **step.given})
        for step in case.steps
    )
    now = Consultation(diagnoser, replace(case, findings=opening, steps=steps, page_done=True, answered=()))
    asked = known = 0
    while (prompt := now.prompt) is not None and asked < MOST:
        given = case.findings.get(prompt.about[1]) if prompt.about[0] == "finding" else None
        written = ", ".join(given.values) if given else ""
        if not now.opening:
            asked += 1
            known += bool(given)
            told(f"      {prompt.question[:80]}  {written or '-'}")
        now = now.answer(written)
    return now, asked, known


def main() -> None:
    from diagnose.case import read_cases
    from diagnose.diagnosis import Diagnoser
    from diagnose.load import load

    diagnoser = Diagnoser(load())
    told = print if "-v" in sys.argv else lambda line: None
    counts, places = [], []
    for path in sorted((ROOT / "cases" / "field").glob("*.yaml")):
        for case in read_cases(path, diagnoser.knowledge):
            now, asked, known = play(diagnoser, case, told)
            right = {*case.expect.first, *case.expect.in_first_three}
            place = 1 + min(n for n, row in enumerate(now.diagnosis.ranking) if row.id in right)
            first = now.diagnosis.first
            print(f"{place:3} {asked:3} asked {known:2} known  {case.id:44} {first.id} {first.probability:.2f}")
            counts.append(asked)
            places.append(place)
    print(
        f"{len(counts)} cases: median {statistics.median(counts)} questions after the page; settled cause first in "
        f"{places.count(1)}, in the first three in {sum(place <= 3 for place in places)}"
    )


if __name__ == "__main__":
    main()
