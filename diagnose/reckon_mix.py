"""`diagnose reckon mix`: parts to amounts, a test board to a job, powder strength, a recipe to be repeated."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose import units
from diagnose.complaint import Complaint, shown
from diagnose.reckon_material import coverage_of, covers, covers_given, job_given, material
from diagnose.reckon_powder import powder_in, powder_wanted, practice
from diagnose.reckon_words import ARITHMETIC, PRACTICE, least, noticeable, only, read, step, too_coarse
from diagnose.sums import Figure, Remark, Sum

Given = tuple[tuple[str, str], ...]  # label, words

if TYPE_CHECKING:
    from diagnose.mixing import Measured, Part
    from diagnose.recipe import Recipe


def add_to(parser: argparse.ArgumentParser) -> None:
    parser.description = "Colour by measured parts: amounts for a volume or a job, powder strength, recipes kept."
    parser.epilog = "Example: diagnose reckon mix red:3 brown:1 water:20 --volume 500 mL"
    parser.add_argument("parts", nargs="*", metavar="PART", help="NAME:AMOUNT, for instance red:3, red:5mL or red:5g")
    parser.add_argument("--recipe", type=Path, metavar="FILE", help="take the parts from a recipe kept before")
    parser.add_argument("--dissolved", action="store_true", help="what is weighed is dissolved in what is measured")
    total = parser.add_argument_group("how much")
    _quantity(total, "--volume", "VOLUME", "how much to make, for instance 500 mL")
    _quantity(total, "--mass", "MASS", "how much to make by weight, for instance 500 g")
    _quantity(total, "--board", "AREA", "area of the test board that the mix was tried on")
    _quantity(total, "--used", "AMOUNT", "what one coat of that board took, not all that was in the pot")
    _quantity(total, "--area", "AREA", "area of the job, for instance 4 m2")
    total.add_argument("--coats", type=_coats, metavar="N", help="coats of the job (default 1)")
    _quantity(total, "--spare", "SHARE", "to spare, for instance 15 %%")
    _quantity(total, "--coverage", "COVERAGE", "for --area without a board: what the label says, for instance 10 m2/L")
    total.add_argument(
        "--kind", metavar="KIND", help="for --area without a board or a label: colourant, clear_coat ..."
    )
    total.add_argument("--by", metavar="WAY", help="with --kind: wipe, brush or spray")
    powder = parser.add_argument_group("powder")
    _quantity(powder, "--powder", "MASS", "powder, for instance 1 oz")
    _quantity(powder, "--in", "VOLUME", "the liquid that it is dissolved in, for instance 2 qt", dest="liquid")
    _quantity(powder, "--strength", "STRENGTH", "strength wanted, or that the colours were made up at: 15 g/L")
    parser.add_argument(
        "--least", nargs="+", action="append", default=[], metavar="STEP", help="the least step you measure: 1 g, 5 mL"
    )
    kept = parser.add_argument_group("keeping the recipe")
    kept.add_argument("--keep", type=Path, metavar="FILE", help="write the recipe to a new file")
    kept.add_argument("--name", nargs="+", help="what to call it (default: the name of the file)")
    kept.add_argument("--date", metavar="YYYY-MM-DD", help="when it was tried (default: today)")
    kept.add_argument("--shown-on", nargs="+", metavar="BOARD", help="which board shows it")
    kept.add_argument("--notes", nargs="+")


def _quantity(group: argparse._ArgumentGroup, option: str, metavar: str, says: str, dest: str | None = None) -> None:
    group.add_argument(option, nargs="+", metavar=metavar, help=says, **({"dest": dest} if dest else {}))


def _coats(written: str) -> int:
    if not written.isdigit() or not 1 <= int(written[:4]) <= 100 or len(written) > 3:
        raise argparse.ArgumentTypeError(f"{written[:40]!r} is no number of coats: a whole number from 1 to 100")
    return int(written)


def reckon(chosen: argparse.Namespace) -> Sum:
    """Raises Complaint."""
    if chosen.powder or chosen.liquid:
        return powder_in(chosen)
    if not chosen.parts and not chosen.recipe:
        if chosen.strength:
            return powder_wanted(chosen)
        if chosen.area:
            return material(chosen)
        raise Complaint(None, "there is nothing to mix", "write for instance: diagnose reckon mix red:3 water:20")
    return _mix(chosen)


# A mix of parts


def _mix(chosen: argparse.Namespace) -> Sum:
    from diagnose.mixing import hardens, kind_of, to_total

    only(chosen, (*_MIX, "strength", "least", "keep", "kind", "by"), "a mix")
    recipe = _recipe(chosen)
    kind = kind_of(recipe.parts, recipe.dissolved)
    total, into, given, remarks = _total(chosen, recipe, kind)
    heading = (("recipe", f"{recipe.name}, {recipe.date}"),) if chosen.recipe else ()
    written = (("parts", ", ".join(f"{part.name} {_amount(part)}" for part in recipe.parts)),)
    if recipe.strength:
        written += (("colours made up at", units.in_both(recipe.strength, "strength")),)
    written += tuple((label, text) for label, text in (("board", recipe.board), ("notes", recipe.notes)) if text)
    if total is not None:
        parts = to_total(recipe.parts, kind, total, into)
        more, warned = _amounts(parts, into, least(chosen.least))
        figures, remarks = more, [*warned, *remarks]
    else:
        figures = _shares(recipe.parts, kind)
    if chosen.area and (chosen.coverage or chosen.kind):
        figures += (covers(*coverage_of(chosen)),)
    if recipe.dissolved:
        figures += _dissolved(recipe.parts)
    if recipe.dissolved or recipe.strength:
        remarks += practice()
    if total is not None and any(hardens(part.name) for part in recipe.parts):
        remarks.append(_POT_LIFE)
    if (into or kind) != "mass" and len(recipe.parts) > 1:
        remarks.append(_ADD_UP)
    if chosen.keep:
        remarks.append(_kept(chosen, recipe, total, into))
    return Sum("A mix", (*heading, *written, *given), figures, tuple(remarks))


_MIX = ("parts", "recipe", "dissolved", "volume", "mass", "board", "used", "area", "spare", "coats", "coverage")
_ADD_UP = Remark(
    "volumes_add",
    True,
    "Volumes are taken to add up; water and alcohol together come out a few per cent short.",
    "from memory",
)


_POT_LIFE = Remark(
    "pot_life",
    False,
    "What hardens sets from the moment it is stirred in: mix no more at a time than goes on within the pot life of the "
    "data sheet, every pot measured alike; what is left over gets warm and sets, so never close its can.",
    PRACTICE,
)


def _recipe(chosen: argparse.Namespace) -> Recipe:
    """The recipe of the file, or one made of the parts on the command line."""
    from datetime import date

    from diagnose.mixing import Part
    from diagnose.recipe import Recipe, check_date, check_name, read_amount, read_recipe

    if chosen.recipe:
        if chosen.parts or chosen.dissolved or chosen.strength:
            raise Complaint(None, "the parts are those of the recipe", "--recipe without parts of your own")
        if chosen.name or chosen.date or chosen.shown_on or chosen.notes:
            raise Complaint(None, "the recipe has its own name, date, board and notes", "change them in its file")
        return read_recipe(chosen.recipe)
    parts: list[Part] = []
    for word in _joined(chosen.parts):
        name, colon, written = word.rpartition(":")
        if not colon:
            raise Complaint(None, f"{shown(word)} is no part", "write NAME:AMOUNT, for instance red:3 or red:5mL")
        name = check_name(name, [part.name for part in parts], None)
        parts.append(Part(name, *read_amount(written, None, f"part {name}")))
    day = check_date(chosen.date, None) if chosen.date else date.today().isoformat()
    called = " ".join(chosen.name) if chosen.name else chosen.keep.stem if chosen.keep else "mix"
    return Recipe(
        called,
        day,
        tuple(parts),
        chosen.dissolved,
        read(chosen.strength, "strength", "strength"),
        board=" ".join(chosen.shown_on or ()),
        notes=" ".join(chosen.notes or ()),
    )


def _shares(parts: tuple[Part, ...], kind: str) -> tuple[Figure, ...]:
    """Amounts back to parts and shares."""
    from diagnose.mixing import in_parts

    counted = in_parts(parts, kind)
    return (
        *(
            Figure(f"parts_{_id(name)}", f"{name}", count, "", "amount / least amount", ARITHMETIC, "parts")
            for name, (count, _) in counted.items()
        ),
        *(
            Figure(f"share_{_id(name)}", f"share of {name}", share, "share", "amount / total", ARITHMETIC)
            for name, (_, share) in counted.items()
        ),
    )


def _dissolved(parts: tuple[Part, ...]) -> tuple[Figure, ...]:
    """The strength of what is weighed, in what is measured."""
    from diagnose.mixing import strength, whole

    liquid = whole(parts, "volume")
    return tuple(
        Figure(
            *(f"strength_{_id(part.name)}", f"strength of {part.name}", strength(part.amount, liquid), "strength"),
            *("powder / liquid put in", ARITHMETIC),
        )
        for part in parts
        if part.kind == "mass"
    )


def _joined(words: list[str]) -> list[str]:
    """`red:5 mL` came as two words."""
    found: list[str] = []
    for word in words:
        if found and ":" not in word and found[-1][-1:].isdigit() and word.replace(" ", "").isalpha():
            found[-1] += f" {word}"
        else:
            found.append(word)
    return found


def _total(chosen: argparse.Namespace, recipe: Recipe, kind: str) -> tuple[float | None, str, Given, list[Remark]]:
    """(total, what it is counted in, what was given, remarks); the total is None where none was asked for."""
    from diagnose.mixing import hardens

    asked = [name for name in ("volume", "mass", "area") if getattr(chosen, name)]
    if len(asked) > 1:
        raise Complaint(None, f"--{asked[0]} and --{asked[1]} both say how much", "one of --volume, --mass and --area")
    if not asked:
        _no_job(chosen, "without the area of the job", "--area 4 m2")
        return None, "" if kind == "parts" else kind, (), []
    if asked[0] != "area":
        _no_job(chosen, f"beside --{asked[0]}", "--area in place of it")
        total = read(getattr(chosen, asked[0]), asked[0], asked[0])
        if kind not in ("parts", asked[0]):
            raise Complaint(
                None, f"the parts are counted by {kind}, the total by {asked[0]}", f"give the total as --{kind}"
            )
        return total, asked[0], (("to make", units.in_both(total, asked[0])),), []
    area, spare = read(chosen.area, "area", "area"), read(chosen.spare, "share", "spare") or 0.0
    given = job_given(chosen, area, spare)
    remarks = [] if spare else [Remark("no_spare", True, "Nothing to spare is counted in: --spare 15 %.", PRACTICE)]
    if not any(hardens(part.name) for part in recipe.parts):
        says = "Mix all of a job in one pot, and keep the board with its recipe: a second pot is never quite the same."
        remarks.append(Remark("one_pot", True, says, PRACTICE))
    total, into, took = _for_job(chosen, recipe, kind, area, spare)
    return total, into, (*took, *given), remarks


def _no_job(chosen: argparse.Namespace, about: str, accepted: str) -> None:
    """Complain of what only matters for a job by area. The board may be said where the recipe is kept."""
    for name in ("coats", "spare", "coverage", "kind", "by", *(() if chosen.keep else ("board", "used"))):
        if getattr(chosen, name):
            raise Complaint(None, f"--{name} means nothing {about}", accepted)


def _for_job(
    chosen: argparse.Namespace, recipe: Recipe, kind: str, area: float, spare: float
) -> tuple[float, str, Given]:
    """(total, what it is counted in, what the board took) for an area: by the board, or else by coverage."""
    from diagnose.mixing import job, needed
    from diagnose.recipe import read_amount

    board = read(chosen.board, "area", "board") or recipe.board_area
    if chosen.used and not board:
        raise Complaint(None, "how large the board was is not said", "--board 0.1 m2")
    if chosen.coverage or chosen.kind or chosen.by or not board:
        if chosen.board:
            raise Complaint(None, "the board and a coverage both say how far it goes", "one of the two")
        if kind == "mass":
            raise Complaint(None, "a coverage is for volumes, and these parts are masses", "--board and --used in g")
        least, most, _ = coverage_of(chosen)
        return needed(area, chosen.coats or 1, least, spare), "volume", covers_given(chosen, least, most)
    if chosen.used:
        used, into = read_amount(" ".join(chosen.used), None, "used")
        if into == "parts" or kind not in ("parts", into):
            raise Complaint(None, f"used: {shown(' '.join(chosen.used))} does not go with the parts", "60 mL or 60 g")
    elif recipe.used:
        used, into = recipe.used, recipe.batch_kind
    else:
        raise Complaint(
            None,
            "what the board took is not said, and what is left in the pot was not used",
            "--used 15 mL (the pot measured before and after); or --coverage, or --kind and --by, in place of --board",
        )
    took = (("one coat of the board took", f"{units.in_both(used, into)} on {units.in_both(board, 'area')}"),)
    return job(used, board, area, chosen.coats or 1, spare), into, took


def _amounts(parts: tuple[Part, ...], kind: str, least: dict[str, float]) -> tuple[tuple[Figure, ...], list[Remark]]:
    """What to measure of each part, in all, exactly, and what the rounding does."""
    from diagnose.mixing import measured, whole

    taken = measured(parts, kind, least)
    figures = [
        Figure(
            *(f"measure_{_id(one.part.name)}", f"measure of {one.part.name}", one.amount, one.part.kind),
            *(f"part/total of the mix, to the nearest {step(one.step, one.part.kind)}", PRACTICE),
        )
        for one in taken
    ]
    in_all = sum(one.amount for one in taken if one.part.kind == kind)
    figures.append(Figure("total", "in all", in_all, kind, "sum of what is measured", ARITHMETIC))
    if any(abs(one.moved) > 5e-4 for one in taken):
        for one in taken:
            id_, name = _id(one.part.name), one.part.name
            figures += [
                Figure(f"exact_{id_}", f"exactly, {name}", one.part.amount, one.part.kind, "total * share", ARITHMETIC),
                Figure(
                    *(f"moved_{id_}", f"rounding moves {name} by", round(one.moved * 100, 2), ""),
                    *("(rounded/rounded total) / (exact/total) - 1", ARITHMETIC, "%"),
                ),
            ]
    return tuple(figures), _rounding(taken, parts, kind, least, whole(parts, kind))


def _rounding(
    taken: tuple[Measured, ...], parts: tuple[Part, ...], kind: str, least: dict[str, float], total: float
) -> list[Remark]:
    from diagnose.mixing import measured, rounds_better, to_total, worst

    limit = noticeable()
    moved = [one for one in taken if abs(one.moved) > limit]
    if not moved:
        return []
    better = rounds_better(parts, kind, least, limit)
    says = ", ".join(f"{one.part.name} by {one.moved * 100:+.2g} %" for one in moved)
    if better is None:
        return [too_coarse(says, "measure in finer steps (--least); making more does not help soon")]
    left = worst(measured(to_total(parts, kind, better), kind, least))
    amount = units.in_both(better, kind)
    return [too_coarse(says, f"{amount} in all would round better, to {left * 100:.2g} % at most; or measure finer")]


def _kept(chosen: argparse.Namespace, recipe: Recipe, total: float | None, into: str) -> Remark:
    from dataclasses import replace

    from diagnose.recipe import keep

    board = read(chosen.board, "area", "board") or recipe.board_area
    used, used_kind = recipe.used, recipe.batch_kind
    if chosen.used:
        from diagnose.recipe import read_amount

        used, used_kind = read_amount(" ".join(chosen.used), None, "used")
        if used_kind == "parts" or (into and used_kind != into):
            raise Complaint(None, f"used: {shown(' '.join(chosen.used))} does not go with the parts", "60 mL or 60 g")
    keep(replace(recipe, batch=total, batch_kind=into or used_kind, board_area=board, used=used), chosen.keep)
    return Remark("kept", True, f"The recipe is kept in {chosen.keep}.", PRACTICE)


def _id(name: str) -> str:
    from diagnose.reading import as_name

    return as_name(name)


def _amount(part: Part) -> str:
    return f"{part.amount:.6g}" if part.kind == "parts" else units.in_both(part.amount, part.kind)
