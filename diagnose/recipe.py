"""A colour recipe as a small YAML file, so that a test board can be repeated at size."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from diagnose import reading, units
from diagnose.complaint import Complaint, Place, shown
from diagnose.mixing import Part, kind_of
from diagnose.yamltree import Node, load, parse

FIELDS = ("name", "date", "parts", "dissolved", "strength", "batch", "board", "board area", "used", "notes")
NEEDED = ("name", "date", "parts")
HEAD = "# A colour recipe: `diagnose reckon mix --recipe THIS_FILE --volume 2 L` makes it again at any size.\n"
UNITS = {"parts": "", "volume": "mL", "mass": "g"}
_PLAIN = re.compile(r"-?\d{1,9}(?:\.\d{1,12})?\Z")


@dataclass(frozen=True, slots=True)
class Recipe:
    """`batch` and `used` are litres or grams, `board_area` m2, `strength` g/L; None where that is not said."""

    name: str
    date: str
    parts: tuple[Part, ...]
    dissolved: bool = False
    strength: float | None = None
    batch: float | None = None
    board: str = ""
    board_area: float | None = None
    used: float | None = None
    notes: str = ""
    batch_kind: str = "volume"


def read_amount(written: str, place: Place | None, what: str) -> tuple[float, str]:
    """(amount, kind) of one part: `3`, `5 mL` or `5 g`. Raises Complaint."""
    written = written.strip()
    accepted = "write for instance 3 (parts), 5 mL or 5 g"
    if _PLAIN.match(written):
        amount, kind = float(written), "parts"
    else:
        for kind in ("volume", "mass"):
            try:
                amount = units.parse(written, kind, place, what)
                break
            except Complaint as complaint:
                if "cannot be" in complaint.wrong or "decimal comma" in complaint.wrong:
                    raise
        else:
            raise Complaint(place, f"{what}: {shown(written)} is no amount", accepted)
    if amount <= 0:
        raise Complaint(place, f"{what}: {shown(written)} is not more than nothing", f"{accepted}, or leave it away")
    return amount, kind


def check_name(name: str, taken: list[str], place: Place | None) -> str:
    """The name of a part, printable, short and not taken. Raises Complaint."""
    name = " ".join(name.split())
    if not name or len(name) > 40 or not name.isprintable() or ":" in name:
        raise Complaint(place, f"{shown(name)} cannot name a part", "a few plain words of at most 40 characters")
    if reading.as_name(name) in map(reading.as_name, taken):
        raise Complaint(place, f"{shown(name)} stands twice among the parts", "each part once")
    return name


def read_recipe(path: Path) -> Recipe:
    """A recipe file, checked. Raises Complaint with its place."""
    if not path.exists():
        raise Complaint(Place(str(path)), "there is no such file", "give a recipe that `reckon mix --keep` has written")
    return from_tree(load(path))


def from_tree(node: Node) -> Recipe:
    """A recipe as it was read. Raises Complaint with the place of what is wrong."""
    row = reading.table(node, "the recipe", FIELDS, NEEDED)
    parts: list[Part] = []
    for key, entry in reading.table(row["parts"], "parts").items():
        name = check_name(key, [part.name for part in parts], row["parts"].keys[key])
        amount, kind = read_amount(reading.text(entry, f"part {name}"), entry.place, f"part {name}")
        parts.append(Part(name, amount, kind))
    dissolved = "dissolved" in row and reading.yes_no(row["dissolved"], "dissolved")
    try:
        kind = kind_of(parts, dissolved)
    except Complaint as complaint:
        raise Complaint(row["parts"].place, complaint.wrong, complaint.accepted.replace("--", "")) from None
    batch, batch_kind = _total(row.get("batch"), "batch", kind)
    used, used_kind = _total(row.get("used"), "used", kind if batch is None else batch_kind)
    return Recipe(
        reading.text(row["name"], "name"),
        check_date(reading.text(row["date"], "date"), row["date"].place),
        tuple(parts),
        dissolved,
        _quantity(row.get("strength"), "strength", "strength"),
        batch,
        _words(row.get("board"), "board"),
        _quantity(row.get("board area"), "board area", "area"),
        used,
        _words(row.get("notes"), "notes"),
        used_kind if batch is None else batch_kind,
    )


def check_date(written: str, place: Place | None) -> str:
    """A day as YYYY-MM-DD. Raises Complaint."""
    try:
        if len(written) != 10:
            raise ValueError
        return date.fromisoformat(written).isoformat()
    except ValueError:
        raise Complaint(place, f"date: {shown(written)} is no day", "write it as 2026-03-31") from None


def _words(node: Node | None, what: str) -> str:
    return "" if node is None else reading.text(node, what)


def _quantity(node: Node | None, what: str, kind: str) -> float | None:
    if node is None:
        return None
    value = units.parse(reading.text(node, what), kind, node.place, what)
    if value <= 0:
        raise Complaint(node.place, f"{what}: {shown(str(node.value))} is nothing", "more than 0, or leave it away")
    return value


def _total(node: Node | None, what: str, kind: str) -> tuple[float | None, str]:
    """A total in what the parts are counted in; of plain parts either will do."""
    if node is None:
        return None, "mass" if kind == "mass" else "volume"
    amount, counted = read_amount(reading.text(node, what), node.place, what)
    if counted == "parts" or (kind != "parts" and counted != kind):
        raise Complaint(
            node.place, f"{what}: {shown(str(node.value))} does not go with the parts", "500 mL or 500 g, as they are"
        )
    return amount, counted


def written(recipe: Recipe) -> str:
    """The recipe as YAML text that `read_recipe` takes back."""
    lines = [HEAD, f"name: {_quoted(recipe.name)}", f"date: {recipe.date}", "parts:"]
    lines += [f"  {_quoted(part.name)}: {_amount(part.amount, part.kind)}" for part in recipe.parts]
    lines += ["dissolved: yes"] if recipe.dissolved else []
    for label, value in (
        ("strength", recipe.strength and f"{_number(recipe.strength)} g/L"),
        ("batch", recipe.batch and _amount(recipe.batch, recipe.batch_kind)),
        ("board", recipe.board and _quoted(recipe.board)),
        ("board area", recipe.board_area and f"{_number(recipe.board_area)} m2"),
        ("used", recipe.used and _amount(recipe.used, recipe.batch_kind)),
        ("notes", recipe.notes and _quoted(recipe.notes)),
    ):
        lines += [f"{label}: {value}"] if value else []
    return "\n".join(lines) + "\n"


def _amount(amount: float, kind: str) -> str:
    return f"{_number(amount * 1e3 if kind == 'volume' else amount)} {UNITS[kind]}".rstrip()


def _number(value: float) -> str:
    """All of it that `units.parse` reads, and never with an exponent."""
    return f"{value:.9f}".rstrip("0").rstrip(".")


def _quoted(text: str) -> str:
    """In double quotes as YAML and JSON both have them."""
    return json.dumps(text, ensure_ascii=False)


def keep(recipe: Recipe, path: Path) -> None:
    """Write it to a new file. Raises Complaint; a file that is there is never written over."""
    for what, text in (("name", recipe.name), ("board", recipe.board), ("notes", recipe.notes)):
        if not text.isprintable() or len(text) > 2000:
            raise Complaint(None, f"{what}: {shown(text)} cannot be kept", "plain words on one line")
    content = written(recipe)
    try:
        from_tree(parse(content, ""))
    except Complaint as complaint:  # better found now than when the recipe is wanted
        raise Complaint(None, f"the recipe cannot be kept: {complaint.wrong}", complaint.accepted) from None
    try:
        with open(path, "x", encoding="utf-8") as file:
            file.write(content)
    except FileExistsError:
        raise Complaint(Place(str(path)), "is there already", "give --keep the name of a new file") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise Complaint(Place(str(path)), f"cannot be written ({reason})", "a file in a folder of yours") from None
