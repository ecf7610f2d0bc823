"""Reading test boards: two halves in the language of case files, with what to do and what to see."""

from __future__ import annotations

from diagnose import reading, units
from diagnose.case import Case, read_case
from diagnose.complaint import Complaint
from diagnose.draft import Draft
from diagnose.model import Board
from diagnose.yamltree import Node

NEEDED = (
    *("shows", "name", "piece", "ready", "fails", "sound", "do", "see", "finds", "says", "work", "waits"),
    "source",
)
BOARD = (*NEEDED, "air", "otherwise", "uses", "hazards")


def read_boards(node: Node, draft: Draft) -> None:
    """One file: `boards:` with a table of them by id."""
    table = reading.table(node, "this file", ("boards",), ("boards",))["boards"]
    for key, entry in reading.table(table, "the boards").items():
        name = draft.new(draft.boards, table, key, "board")
        what = f"board {key}"
        row = reading.table(entry, what, BOARD, NEEDED)
        fails = _half(entry, row, "fails", "finds", draft)
        sound = _half(entry, row, "sound", "otherwise", draft)
        see = reading.table(row["see"], f"{what}, see", both := ("fails", "sound"), both)
        draft.boards[name] = Board(
            name,
            reading.word(row["shows"], f"{what}, shows", draft.causes),
            reading.text(row["name"], f"{what}, name"),
            fails.piece,
            fails.air,
            _sentences(row["ready"], f"{what}, ready"),
            fails.steps,
            sound.steps,
            _sentences(row["do"], f"{what}, do"),
            *(reading.text(see[half], f"{what}, see, {half}") for half in both),
            fails.findings,
            sound.findings,
            reading.text(row["says"], f"{what}, says"),
            _seconds(row["work"], f"{what}, work") / 60,
            _seconds(row["waits"], f"{what}, waits"),
            draft.uses(row.get("uses"), what),
            draft.hazards(row.get("hazards"), what),
            draft.cite(row["source"], what),
            table.keys[key],
        )


def _half(entry: Node, row: dict[str, Node], steps: str, findings: str, draft: Draft) -> Case:
    """One half as a case. A draft holds by the same names all of the knowledge that a case looks up."""
    parts = {"piece": "piece", "air": "air", steps: "steps", findings: "findings"}
    value = {case_part: row[part] for part, case_part in parts.items() if part in row}
    keys = {case_part: entry.keys[part] for part, case_part in parts.items() if part in row}
    case = read_case(Node(value, entry.place, keys), draft)
    if not case.steps:
        raise Complaint(
            row[steps].place, f"{steps}: no step is listed", "one `- do: ...` per step, from bare wood upwards"
        )
    return case


def _sentences(node: Node, what: str) -> tuple[str, ...]:
    found = reading.each(node, what, reading.text)
    if not found:
        raise Complaint(node.place, f"{what} is empty", "a list of sentences")
    return found


def _seconds(node: Node, what: str) -> float:
    """A time: `40 min`, or in two units `1 h 15 min`."""
    words = reading.text(node, what).split()
    parts = [" ".join(words[:2]), " ".join(words[2:])] if len(words) == 4 else [" ".join(words)]
    return sum(units.parse(part, "time", node.place, what) for part in parts)
