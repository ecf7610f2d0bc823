"""How many questions it takes: python tests/bench/questions.py [-v]

Each field case is played as a consultation. The opening page is filled in with what the case says; each question that is
then chosen is answered from the case, and with "don't know" where the case does not say. Printed: the place of the
settled cause at the stop, how many questions were asked after the page, how many of them the case could answer.

    python tests/bench/questions.py --compare [--sample N] [--jobs N] [--date YYYY-MM-DD]

Ours against other ways of choosing, on N cases of the library: half of them (as many as there are) from cases/, the
others taken evenly from the examples beside the causes. Every case is played twice: answered as published, and with
simulated answers (playing.simulated), where every question gets one. All ways stop by the same rules. Ways of choosing:

- ours: next_questions as it is.
- fixed list: one order for all cases, by the average value after the page over the *other* half of the library, among
  the states in which a question makes sense; what makes no sense in a case is passed over.
- fixed list by complaint: the same, an order for each first complaint.
- fixed list, worth asking: the fixed list, passing over also what is not worth asking now by our own rules.
- random: any question that makes sense (three seeds); any worth asking by our own rules (three seeds).
- exhaustive, on every fifth case: full re-diagnosis for each answer of each open question, by the same value.
- two questions ahead, on every fifteenth case: the best pair (playing.two_deep).

With --date the figures are kept in tests/bench/results/questions.json.
"""

from __future__ import annotations

import argparse
import gc
import json
import multiprocessing
import statistics
import sys
import time
from collections.abc import Iterator
from functools import partial
from itertools import islice
from math import inf
from pathlib import Path

import playing
from playing import Played, State

from diagnose.case import Case, read_cases
from diagnose.consultation import Consultation
from diagnose.diagnosis import Diagnoser
from diagnose.load import load

RESULTS = Path(__file__).parent / "results" / "questions.json"
SEED = 1
SEEDS = 3  # of each random player
EXHAUSTIVE_EVERY, TWO_DEEP_EVERY = 5, 15
CUT = 20  # a case not settled within so many questions counts as so many in the mean
WITHIN = 8
OURS, LIST, LISTS, LIST_WORTH, ANY, WORTH, FULL, TWO = (
    *("ours", "fixed list", "fixed list by complaint", "fixed list, worth asking", "random", "random, worth asking"),
    *("exhaustive", "two questions ahead"),
)


# -- the simple play -------------------------------------------------------------------------------------------------------


def play(diagnoser, case, told=lambda line: None):
    """The consultation at its stop, and how many questions were asked and how many of them the case could answer."""
    now = Consultation(diagnoser, playing.page(diagnoser, case))
    asked = known = 0
    while (prompt := now.prompt) is not None and asked < playing.MOST:
        given = case.findings.get(prompt.about[1]) if prompt.about[0] == "finding" else None
        written = ", ".join(given.values) if given else ""
        asked += 1
        known += bool(given)
        told(f"      {prompt.question[:80]}  {written or '-'}")
        now = now.answer(written)
    return now, asked, known


def simple(told) -> None:
    diagnoser = Diagnoser(load())
    counts, places = [], []
    for path in sorted((playing.ROOT / "cases" / "field").glob("*.yaml")):
        for case in read_cases(path, diagnoser.knowledge):
            now, asked, known = play(diagnoser, case, told)
            right = playing.right(case)
            place = 1 + min(n for n, row in enumerate(now.diagnosis.ranking) if row.id in right)
            first = now.diagnosis.first
            print(f"{place:3} {asked:3} asked {known:2} known  {case.id:44} {first.id} {first.probability:.2f}")
            counts.append(asked)
            places.append(place)
    print(
        f"{len(counts)} cases: median {statistics.median(counts)} questions after the page; settled cause first in "
        f"{places.count(1)}, in the first three in {sum(place <= 3 for place in places)}"
    )


# -- the comparison --------------------------------------------------------------------------------------------------------

BASE: list[Diagnoser] = []  # set before the processes part, so that each has it without its being sent
Lists = dict[str, dict[str, int]]  # first complaint, "" for all cases -> kind of question -> place


def first_complaint(case: Case, diagnoser: Diagnoser) -> str:
    given = case.findings.get(diagnoser.knowledge.opening[0])
    return str(given.values[0]) if given else ""


def value_after_page(case: Case) -> tuple[str, list[tuple[str, float]]]:
    """The first complaint of a case, and what each question is worth once its page is filled in."""
    diagnoser = BASE[0]
    return first_complaint(case, diagnoser), playing.worths(State(diagnoser, playing.page(diagnoser, case)))


def lists_from(seen: list[tuple[str, list[tuple[str, float]]]]) -> Lists:
    values: dict[str, dict[str, list[float]]] = {"": {}}
    for complaint, worths in seen:
        for name, value in worths:
            for of in ("", complaint):
                values.setdefault(of, {}).setdefault(name, []).append(value)
    return {of: playing.order_of(found) for of, found in values.items()}


def play_case(work: tuple[int, Case, Lists]) -> dict:
    """{(way of playing, player): plays} of one case, and what the exhaustive player says of our choices."""
    diagnoser = BASE[0]
    number, case, lists = work
    start = State(diagnoser, playing.page(diagnoser, case))
    own = {**lists[""]}
    for place, name in enumerate(lists.get(first_complaint(case, diagnoser), ())):
        own[name] = place - len(lists[""]) - 1  # first by complaint, then whatever only other complaints met
    players = {OURS: playing.ours, LIST: playing.listed(lists[""]), LISTS: playing.listed(own)}
    players[LIST_WORTH] = playing.listed(lists[""], worth=True)
    beside: list[tuple[bool, float]] = []
    if number % EXHAUSTIVE_EVERY == 0:
        players[FULL] = partial(exhaustive_beside, beside=beside)
    if number % TWO_DEEP_EVERY == 0:
        players[TWO] = playing.two_deep
    plays = {}
    right = playing.right(case)
    for way, answer in (("published", playing.published(case)), ("simulated", playing.simulated(case, start, SEED))):
        settled = right if way == "published" else right[:1]
        met: dict = {}
        for seed in range(SEEDS):
            of = f"{seed} {playing.name_of(case)}"
            players[ANY, seed] = playing.at_random(of)
            players[WORTH, seed] = playing.at_random(of, worth=True)
        for name, choose in players.items():
            key = name if isinstance(name, str) else name[0]
            plays.setdefault((way, key), []).append(playing.play(start, settled, choose, answer, met))
    return {"number": number, "plays": plays, "beside": beside}


def exhaustive_beside(state: State, beside: list):
    """The exhaustive player; notes whether ours would ask the same, and the share of the best value ours attains."""
    best = playing.exhaustive(state)
    chosen = playing.ours(state)
    if best is not None and chosen is not None:
        asked = next(one for one in state.open if one.id == chosen.open.id)
        value = best.value if chosen.open.id == best.open.id else playing.rediagnosed(state, asked).value
        beside.append((chosen.open.id == best.open.id, value / best.value))
    elif (best is None) != (chosen is None):
        beside.append((False, 0.0))
    return best


def figures(plays: list[Played]) -> dict[str, float]:
    """The row of a table. The median counts a case that never settles as longer than any; the mean counts CUT."""
    settled = [inf if one.settled is None else one.settled for one in plays]
    middle = statistics.median(settled)
    return {
        "plays": len(plays),
        "median to settle": None if middle == inf else middle,
        "mean to settle": round(statistics.mean(min(CUT, n) for n in settled), 2),
        "settled on the page": round(sum(n == 0 for n in settled) / len(plays), 3),
        f"settled within {WITHIN}": round(sum(n <= WITHIN for n in settled) / len(plays), 3),
        "settled at the stop": round(sum(n < inf for n in settled) / len(plays), 3),
        "median asked": statistics.median(len(one.asked) for one in plays),
        "first at the stop": round(sum(one.places[-1] == 1 for one in plays) / len(plays), 3),
        "in first three": round(sum(one.places[-1] <= 3 for one in plays) / len(plays), 3),
        "median minutes": statistics.median(one.minutes[-1] for one in plays),
        "mean chance at the stop": round(statistics.mean(one.chances[-1] for one in plays), 3),
    }


HEADS = {
    **{"plays": "plays", "median to settle": "median", "mean to settle": "mean", "settled on the page": "page"},
    **{f"settled within {WITHIN}": f"in {WITHIN}", "settled at the stop": "settled", "median asked": "asked"},
    **{"first at the stop": "first", "in first three": "in 3", "median minutes": "minutes"},
    "mean chance at the stop": "chance",
}


def table(title: str, rows: dict[str, dict[str, float]]) -> Iterator[str]:
    yield f"\n{title}"
    yield f"{'':26}" + "".join(f"{head:>9}" for head in HEADS.values())
    for name, row in rows.items():
        yield f"{name:26}" + "".join(f"{'never' if row[key] is None else row[key]:>9}" for key in HEADS)


def blocks(done: list[dict]) -> Iterator[tuple[str, dict[str, dict[str, float]]]]:
    """Title and rows of each table: all cases, those that the page leaves open, and the smaller samples."""
    every = [(f"{len(done)} cases", done, (OURS, LIST, LISTS, LIST_WORTH, WORTH, ANY))]
    open_ones = [one for one in done if not_settled(one)]
    every.append((f"the {len(open_ones)} of them that the page does not settle", open_ones, every[0][2]))
    for player, others in ((FULL, (OURS, LISTS)), (TWO, (OURS, FULL))):
        some = [one for one in done if ("simulated", player) in one["plays"]]
        both = [one for one in some if all(("simulated", name) in one["plays"] for name in others)]
        every.append((f"{len(both)} cases, {player}", both, (*others, player)))
    for title, some, players in every:
        for way in ("published", "simulated"):
            if some:
                rows = {name: figures([p for one in some for p in one["plays"][way, name]]) for name in players}
                yield f"{title}; answers {way}", rows


def not_settled(one: dict) -> bool:
    (played,) = one["plays"]["published", OURS]
    return played.places[0] > 1 or played.chances[0] < 0.5


def time_ratio(diagnoser: Diagnoser, cases: list[Case]) -> dict[str, float]:
    """What working out all open questions of a state takes: by re-diagnosis over what ours takes, medians of `cases`."""
    light, full = [], []
    for case in cases:
        state = State(diagnoser, playing.page(diagnoser, case))
        start = time.perf_counter()
        questions = state.questions
        ours = time.perf_counter() - start
        if not questions:
            continue
        start = time.perf_counter()
        for asked in state.open:
            playing.rediagnosed(state, asked)
        light.append((time.perf_counter() - start) / ours)
        start = time.perf_counter()
        diagnoser.diagnose(state.case)
        full.append((time.perf_counter() - start) * sum(len(asked.answers) for asked in state.open) / ours)
    return {
        "rules and ranking alone, run from nothing for each answer": round(statistics.median(light), 1),
        "whole diagnoses, one for each answer": round(statistics.median(full), 1),
    }


def compare(sample: int, jobs: int, date: str) -> None:
    diagnoser = Diagnoser(load())
    BASE.append(diagnoser)
    cases, examples = playing.library(diagnoser.knowledge)
    whole = [*cases, *examples]
    gc.freeze()
    first = cases[: sample // 2]
    rest = sample - len(first)
    chosen = [*first, *(examples[i * len(examples) // rest] for i in range(min(rest, len(examples))))]
    halves = {playing.name_of(case): place % 2 for place, case in enumerate(whole)}
    with multiprocessing.get_context("fork").Pool(jobs) as pool:
        seen = pool.map(value_after_page, whole, 20)
        lists = [lists_from(seen[1 - half :: 2]) for half in (0, 1)]
        # exhaustive and two-deep plays fall on numbers spread over published cases and examples alike
        work = [(number, case, lists[halves[playing.name_of(case)]]) for number, case in enumerate(chosen)]
        done = []
        for one in pool.imap_unordered(play_case, work):
            done.append(one)
            print(f"{len(done)} of {len(work)} cases", file=sys.stderr)
    done.sort(key=lambda one: one["number"])
    beside = [pair for one in done for pair in one["beside"]]
    result = {
        "date": date,
        "knowledge": diagnoser.knowledge.version,
        "library": {"cases": len(cases), "examples beside the causes": len(examples)},
        "played": {"cases": len(first), "examples beside the causes": len(chosen) - len(first)},
        "tables": dict(blocks(done)),
        "ours beside the exhaustive choice": {
            "states": len(beside),
            "same question": round(statistics.mean(same for same, _ in beside), 4),
            "mean share of its value": round(statistics.mean(share for _, share in beside), 4),
        },
        "time for a question over ours": time_ratio(
            diagnoser, list(islice(chosen, 0, None, max(1, len(chosen) // 12)))
        ),
    }
    for title, rows in result["tables"].items():
        print(*table(title, rows), sep="\n")
    for title in ("played", "library", "ours beside the exhaustive choice", "time for a question over ours"):
        print(f"\n{title}: " + ", ".join(f"{name} {value}" for name, value in result[title].items()))
    if date:
        RESULTS.parent.mkdir(exist_ok=True)
        RESULTS.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    asked.add_argument("-v", action="store_true", help="print every question of the simple play")
    asked.add_argument("--compare", action="store_true", help="ours against other ways of choosing")
    asked.add_argument("--sample", type=int, default=120, help="cases to compare on (default 120)")
    asked.add_argument("--jobs", type=int, default=1, help="processes (default 1)")
    asked.add_argument("--date", default="", help="keep the figures, under this date")
    given = asked.parse_args()
    if given.compare:
        compare(max(2, given.sample), given.jobs, given.date)
    else:
        simple(print if given.v else lambda line: None)


if __name__ == "__main__":
    main()
