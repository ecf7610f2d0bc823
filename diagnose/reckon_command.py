"""`diagnose reckon WHAT ...`: the trade's sums. Each sum is a module with `add_to` (its words) and `reckon` (a Sum)."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path

# WHAT -> (module, one line of help)
SUMS = {
    "air": ("reckon_air", "dew point, wet bulb, and whether the air is fit to coat in"),
    "moisture": ("reckon_moisture", "moisture that wood comes to, and how a panel moves with the seasons"),
    "film": ("reckon_film", "wet and dry film, coverage, what a job takes, build, viscosity cups"),
    "light": ("reckon_light", "light received, and how long a colour lasts in it"),
    "drying": ("reckon_drying", "what cold, damp and a thick film do to a waiting time"),
    "mix": ("reckon_mix", "parts to amounts, a test board to a job, powder strength, a recipe kept"),
    "cut": ("reckon_cut", "shellac cuts: flakes, alcohol, thinning, age"),
}


def add_to(commands: argparse._SubParsersAction, parser_class: type[argparse.ArgumentParser]) -> None:
    """Put the command and its sums among the commands."""
    reckon = commands.add_parser(
        "reckon",
        help="the trade's sums: " + ", ".join(SUMS),
        description="Reckon what the trade reckons, in either system of units.",
        epilog="Example: diagnose reckon air 12C 85%",
    )
    sums = reckon.add_subparsers(title="sums", metavar="WHAT", required=True, parser_class=parser_class)
    for name, (module, says) in SUMS.items():
        one = sums.add_parser(name, help=says)
        one.add_argument("--format", choices=("text", "json", "html", "markdown"), default="text")
        one.add_argument("--work", action="store_true", help="show the formula and the source of each figure")
        one.add_argument(
            "--knowledge", type=Path, metavar="DIR", default=argparse.SUPPRESS, help="a shop's own woods and products"
        )
        made = import_module(f"diagnose.{module}")
        made.add_to(one)
        one.set_defaults(run=_run, reckon=made.reckon)


def _run(chosen: argparse.Namespace) -> int:
    from diagnose.forms import in_form
    from diagnose.sums import as_json, outline

    reckon: Callable = chosen.reckon
    reckoned = reckon(chosen)
    if chosen.format == "json":
        sys.stdout.write(as_json(reckoned, chosen.work))
    else:
        sys.stdout.write(in_form(outline(reckoned, chosen.work), chosen.format, "Reckoned"))
    return 0
