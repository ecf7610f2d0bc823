"""Where an apprentice stands, and what would be best to do next: plain reckoning over what was read and practised."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.layout import heading, join, wrap
from diagnose.lesson import boards_of, causes_of
from diagnose.model import Knowledge
from diagnose.practice_draw import confused
from diagnose.progress import Practised, Progress

LATEST = 5  # practices of a family that its share of right verdicts is taken from
SURE = 0.8  # share of right verdicts from which a family is held to be learnt
ENOUGH = 3  # practices, below which nothing is concluded from them


@dataclass(frozen=True, slots=True)
class FamilyRow:
    """One family: what there is, when its lesson was read ("" where not), practices and right verdicts in all, and of
    its latest practices the share that was right (None where there was none)."""

    id: str
    title: str
    causes: int
    boards: int
    often: float
    read: str
    practised: int
    right: int
    share: float | None


@dataclass(frozen=True, slots=True)
class Overview:
    """`confused`: (cause, taken for, times), the most confused pair first; `next`: a command and its reason."""

    families: tuple[FamilyRow, ...]
    practised: int
    right: int
    minutes: float
    own_minutes: float
    confused: tuple[tuple[str, str, int], ...]
    next: tuple[str, str]


def overview(knowledge: Knowledge, progress: Progress) -> Overview:
    practised = progress.practised
    rows = tuple(_family(knowledge, family, progress) for family in knowledge.families)
    right = [one for one in practised if one.right]
    return Overview(
        rows,
        len(practised),
        len(right),
        sum(one.minutes for one in right),
        sum(one.own_minutes for one in right),
        tuple(_times(practised, knowledge)),
        _next(knowledge, rows, practised),
    )


def _family(knowledge: Knowledge, family: str, progress: Progress) -> FamilyRow:
    causes = causes_of(knowledge, family)
    names = {cause.id for cause in causes}
    here = [one for one in progress.practised if one.cause in names]
    latest = here[-LATEST:]
    return FamilyRow(
        family,
        knowledge.families[family],
        len(causes),
        len(boards_of(knowledge, causes)),
        sum(10 ** (cause.prior / 10) for cause in causes),
        progress.read.get(family, ""),
        len(here),
        sum(one.right for one in here),
        sum(one.right for one in latest) / len(latest) if latest else None,
    )


def _times(practised: Sequence[Practised], knowledge: Knowledge) -> list[tuple[str, str, int]]:
    """Pairs that still are confused, with how often the one was taken for the other."""
    still = confused(practised, knowledge)
    counted: dict[tuple[str, str], int] = {}
    for one in practised:
        if not one.right and tuple(sorted((one.cause, one.verdict))) in still:
            counted[one.cause, one.verdict] = counted.get((one.cause, one.verdict), 0) + 1
    by_times = sorted(counted.items(), key=lambda pair: (-pair[1], pair[0]))
    return [(cause, verdict, times) for (cause, verdict), times in by_times]


def _next(knowledge: Knowledge, rows: Sequence[FamilyRow], practised: Sequence[Practised]) -> tuple[str, str]:
    """What is confused comes first, then what goes wrong, then what was not read, then what was not practised."""
    pairs = confused(practised, knowledge)
    if pairs:
        one, other = (knowledge.causes[name].name for name in max(pairs, key=lambda pair: (pairs[pair], pair)))
        return "learn practice --drill", f"Two causes were taken for one another: {one} / {other}."
    by_need = sorted((row for row in rows if row.causes), key=lambda row: (-row.often, row.id))
    for row in by_need:
        if row.practised >= ENOUGH and row.share < SURE:
            if not row.read:
                return f"learn {row.id}", f"Verdicts go wrong there, and its lesson was not read: {row.title}."
            return f"learn practice {row.id}", f"Verdicts still go wrong there: {row.title}."
    for row in by_need:
        if not row.read:
            return f"learn {row.id}", f"Of what was not read it is met most often: {row.title}."
        if row.practised < ENOUGH:
            return f"learn practice {row.id}", f"Its lesson was read; practise it now: {row.title}."
    return "learn practice", "All lessons were read; cases of all families keep it fresh."


def overview_text(knowledge: Knowledge, view: Overview, width: int, kept: str) -> str:
    lines = heading("What there is to learn", width)
    for row in view.families:
        done = [f"{_number(row.causes, 'cause')}, {_number(row.boards, 'test board')}"]
        done += [f"read on {row.read}"] if row.read else []
        done += [f"practised {row.practised}, right {row.right}"] if row.practised else []
        lines += wrap(f"{row.id}: {row.title} ({'; '.join(done)})", width, "  - ", "    ")
    lines += heading("Your progress", width)
    if view.practised:
        lines += wrap(
            f"{_number(view.practised, 'case')} practised, {_number(view.right, 'verdict')} right.", width, "  - "
        )
    else:
        lines += wrap("Nothing was practised yet.", width, "  - ")
    if view.right:
        lines += wrap(
            f"Checks on the way to right verdicts: {view.minutes:g} min; the program's own way through the same cases: "
            f"{view.own_minutes:g} min.",
            width,
            "  - ",
        )
    for cause, verdict, times in view.confused:
        names = [knowledge.causes[name].name for name in (verdict, cause)]
        lines += wrap(f"Taken for '{names[0]}' when it was '{names[1]}': {_number(times, 'time')}.", width, "  - ")
    lines += wrap(f"Written down in {kept}, on this machine only.", width, "  - ")
    lines += heading("Best next", width)
    lines += wrap(f"diagnose {view.next[0]}", width, "  ")
    lines += wrap(view.next[1], width, "  ")
    lines += ["", *wrap("`diagnose learn NAME` gives the lesson on a family, cause or test board.", width)]
    lines += wrap("`diagnose learn practice` gives a case whose cause is not told.", width)
    return join(lines[1:])


def _number(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


def overview_json(view: Overview) -> str:
    whole = {
        "families": [
            {
                "family": row.id,
                "title": row.title,
                "causes": row.causes,
                "boards": row.boards,
                "read": row.read or None,
                "practised": row.practised,
                "right": row.right,
            }
            for row in view.families
        ],
        "practised": view.practised,
        "right": view.right,
        "confused": [{"cause": cause, "taken_for": verdict, "times": n} for cause, verdict, n in view.confused],
        "next": {"command": f"diagnose {view.next[0]}", "because": view.next[1]},
    }
    return json.dumps(whole, indent=1) + "\n"
