"""Sheets for the tests of labels: the shipped knowledge, and generated sheets."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from hypothesis import strategies as st
from shipped import diagnoser

from diagnose.label import Bottle, read_bottle
from diagnose.label_coats import Under, under_coats
from diagnose.label_reading import Sheet, read_sheet

LABELS = Path(__file__).resolve().parents[1] / "shared" / "examples" / "labels"
SHEETS = {path.stem: path.read_text(encoding="utf-8") for path in sorted(LABELS.glob("*.sheet"))}

# One of each kind that the rules tell apart, by registry number or name as a sheet prints it.
NAMED = (
    ("water", "7732-18-5"),
    ("ethanol", "64-17-5"),
    ("1-methoxy-2-propanol", "107-98-2"),
    ("acetone", "67-64-1"),
    ("Stoddard solvent", "8052-41-3"),
    ("propylene glycol", "57-55-6"),
    ("linseed oil", "8001-26-1"),
    ("acrylic polymer", ""),
    ("shellac", "9000-59-3"),
    ("nitrocellulose", "9004-70-0"),
    ("metal complex dye", ""),
    ("acid dye", ""),
    ("red iron oxide", "1309-37-1"),
    ("trade secret additive", ""),
)


def sheet(text: str, name: str = "a.sheet") -> Sheet:
    return read_sheet(text, name, diagnoser().knowledge)


@cache
def bottle(text: str) -> Bottle:
    return read_bottle(sheet(text), diagnoser())


@cache
def coats(text: str) -> dict[str, Under]:
    return {one.coat.id: one for one in under_coats(bottle(text))}


def values(text, answer):
    return set(bottle(text).answer(answer).values)


def yaml_of(rows, extra: str = "") -> str:
    """A sheet of (name, cas, low, high) in whole percent."""
    lines = [
        f"  - {{name: {name}, {f'cas: {cas}, ' if cas else ''}share: {low} - {high} %}}"
        for name, cas, low, high in rows
    ]
    return "\n".join(["ingredients:", *lines, *([extra] if extra else [])]) + "\n"


@st.composite
def mixtures(draw):
    """True shares in whole percent that add up to 100, of two to six of `NAMED`, and a sheet's ranges round them."""
    chosen = draw(st.lists(st.sampled_from(NAMED), min_size=2, max_size=6, unique=True))
    cuts = sorted(draw(st.lists(st.integers(0, 100), min_size=len(chosen) - 1, max_size=len(chosen) - 1)))
    true = [high - low for low, high in zip([0, *cuts], [*cuts, 100])]
    slack = draw(st.lists(st.tuples(st.integers(0, 15), st.integers(0, 15)), min_size=len(true), max_size=len(true)))
    rows = [
        (*named, max(0, share - down), min(100, share + up)) for named, share, (down, up) in zip(chosen, true, slack)
    ]
    return true, rows
