"""`diagnose label`: its part of the command line, and what it does."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from diagnose.label import Bottle
    from diagnose.label_coats import Under

DONE = 0


def add_to(commands, common: Callable[[argparse.ArgumentParser], None]) -> None:
    """Put `label` among the commands; `common` adds what all of them take."""
    label = commands.add_parser(
        "label",
        help="read a product's ingredient list: how it will behave, and which coats it is safe under",
        description="Read section 3 of a safety data sheet (YAML, or lines as copied) and tell how the bottle behaves.",
        epilog="Example: diagnose label shared/examples/labels/ngr_dye.sheet",
    )
    label.add_argument(
        "file", nargs="?", type=Path, metavar="FILE", help="the sheet; standard input for - or where none is named"
    )
    label.add_argument("--format", choices=("text", "json", "html", "markdown"), default="text")
    label.add_argument(
        "--keep", type=Path, metavar="DIR", help="write the product as a material into this folder of the shop's own"
    )
    common(label)
    label.set_defaults(run=run)


def run(chosen: argparse.Namespace) -> int:
    from diagnose.keeping import ready
    from diagnose.label import read_bottle
    from diagnose.label_coats import under_coats
    from diagnose.label_reading import read_sheet, read_text

    diagnoser = ready(getattr(chosen, "knowledge", None))
    text, name = read_text(chosen.file, sys.stdin.buffer.read)
    bottle = read_bottle(read_sheet(text, name, diagnoser.knowledge), diagnoser)
    if chosen.keep:
        from diagnose.label_keep import keep

        print(f"diagnose: {keep(bottle, chosen.keep)}", file=sys.stderr)
    coats = under_coats(bottle)
    sys.stdout.write(_written(bottle, coats, chosen.format))
    return DONE


def _written(bottle: Bottle, coats: tuple[Under, ...], form: str) -> str:
    if form == "json":
        from diagnose.label_json import as_json

        return as_json(bottle, coats)
    from diagnose.forms import in_form
    from diagnose.label_outline import outline

    return in_form(outline(bottle, coats), form, "From the ingredient list", bottle.knowledge.version)
