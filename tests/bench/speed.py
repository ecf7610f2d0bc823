"""Figures on speed, printed and never asserted: python tests/bench/speed.py

Whole-process figures are medians of several runs and shown as a ratio to a bare interpreter that imports the same
third-party modules, since machines differ. Figures inside the process are medians over the example cases.
"""

from __future__ import annotations

import gc
import statistics
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

RUNS = 7
BARE = "import diagnose.experta_compat, yaml"


def process_seconds(*command: str) -> float:
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        subprocess.run([sys.executable, *command], cwd=ROOT, capture_output=True, check=False)
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def inside() -> list[tuple[str, float]]:
    """Milliseconds, medians: loading the base, one case, the state after one answer with its next question."""
    from diagnose.case import read_cases
    from diagnose.diagnosis import Diagnoser
    from diagnose.engine import ReteChain
    from diagnose.folder import example_files
    from diagnose.load import load

    def timed(work) -> float:
        start = time.perf_counter()
        work()
        return (time.perf_counter() - start) * 1e3

    loading = statistics.median(timed(load) for _ in range(RUNS))
    diagnoser = Diagnoser(load())
    gc.freeze()  # as the command line does once the base is built
    cases = [case for path in example_files()[::12] for case in read_cases(path, diagnoser.knowledge)]
    one_case = [timed(lambda case=case: diagnoser.diagnose(case)) for case in cases]
    answers = [timed(lambda case=case: diagnoser.diagnose(case).questions) for case in cases]
    stock = [timed(lambda case=case: diagnoser.diagnose(case, ReteChain)) for case in cases[:1]]
    return [
        (f"load and compile {len(diagnoser.knowledge.rules)} rules", loading),
        (f"one case (median of {len(cases)})", statistics.median(one_case)),
        ("one case, slowest", max(one_case)),
        ("state and next question after an answer (median)", statistics.median(answers)),
        ("state and next question after an answer, slowest", max(answers)),
        ("one case on experta's own matcher, network built anew (one case)", statistics.median(stock)),
    ]


def main() -> None:
    case = str(next((ROOT / "cases").glob("*.yaml")))
    bare = process_seconds("-c", BARE)
    run = process_seconds("-m", "diagnose", "run", case)
    lazy = subprocess.run(
        [
            sys.executable,
            "-c",
            f"import sys; from diagnose.cli import main; main(['run', {case!r}]); "
            "print('prompt_toolkit' in sys.modules, file=sys.stderr)",
        ],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    print(f"bare interpreter with the same modules   {bare * 1e3:8.0f} ms")
    print(f"diagnose run, one case                   {run * 1e3:8.0f} ms   ratio {run / bare:.1f}")
    print(f"prompt_toolkit imported by run           {lazy.stderr.strip():>8}")
    for name, value in inside():
        print(f"{name:<70} {value:8.1f} ms")


if __name__ == "__main__":
    main()
