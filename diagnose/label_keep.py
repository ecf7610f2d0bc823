"""Keeping a bottle as a material in the shop's own folder, so that schedules and cases can name it."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

from diagnose.complaint import Complaint, Place
from diagnose.label import Bottle, Told, share_words
from diagnose.label_reading import STDIN
from diagnose.reading import NAME, as_name
from diagnose.yamltree import load

NOTHING = "nothing"  # what takes the dried colour up where everything that could is ruled out


def keep(bottle: Bottle, folder: Path) -> str:
    """Write the bottle into `folder`/materials and say where. Nothing is written over. Raises Complaint."""
    name = _name(bottle)
    path = folder / "materials" / f"{name}.yaml"
    where = _taken(folder, name) or _known(bottle, name)
    if where:
        raise Complaint(
            Place(str(path)),
            f"a material goes by {name} already ({where})",
            "another `product:`, or take that entry out",
        )
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with open(path, "x", encoding="utf-8") as file:
            file.write(entry(bottle, name))
    except FileExistsError:
        raise Complaint(Place(str(path)), "is there already", "another `product:`, or take that file away") from None
    except OSError as error:
        raise Complaint(
            Place(str(path)), f"cannot be written ({error.strerror})", "--keep with a folder that you may write to"
        ) from None
    return f"kept as {name} in {path}; --knowledge {folder} makes it known to every command"


def _name(bottle: Bottle) -> str:
    if bottle.sheet.file == STDIN and "product" not in bottle.sheet.places:
        raise Complaint(Place(STDIN), "has no name", "`product:` with the name that it is to be kept by")
    plain = re.sub(r"\(.*?\)", " ", bottle.sheet.product)
    name = re.sub(r"_+", "_", re.sub(r"[^a-z0-9_]", "_", as_name(plain))).strip("_")[:60].rstrip("_")
    if not NAME.match(name):
        raise Complaint(
            bottle.sheet.places.get("product", Place(bottle.sheet.file)),
            "the product's name cannot become the name of a material",
            "`product:` with a word that begins with a letter",
        )
    return name


def _taken(folder: Path, name: str) -> Place | None:
    """Where the shop's own folder has a material of this name, in whatever file."""
    for path in sorted((folder / "materials").glob("**/*.yaml")):
        tree = load(path)
        if tree.keys and name in tree.keys:
            return tree.keys[name]
    return None


def _known(bottle: Bottle, name: str) -> Place | None:
    """Where a material that goes by this name is defined."""
    for material in bottle.knowledge.materials.values():
        if name in {as_name(other) for other in (material.id, material.name, *material.also)}:
            return material.place
    return None


def entry(bottle: Bottle, name: str) -> str:
    """The material as it stands in knowledge/materials, its traits only as far as they are surely so."""
    sheet = bottle.sheet
    listed = "; ".join(f"{content.name} {share_words(content.share)}" for content in bottle.inside if content.listed)
    kept = [told for told in bottle.told if told.answer.attribute in bottle.knowledge.label.keeps]
    open_ = [told.answer.title.lower() for told in kept if not (told.moot or _sure(told, bottle))]
    says = f"{listed[0].upper()}{listed[1:]}." + (f" Its sheet does not tell: {', '.join(open_)}." if open_ else "")
    could = bottle.knowledge.attributes["step", "could_be"].values if bottle.could_be else {}
    for one in bottle.could_be:  # a guess is no trait, and the product is its own
        says += f" It may be {could[one]}; rules that go by that product's name do not see it under this one."
    uses = bottle.knowledge.label.uses
    steps = [uses[use].step if use in uses else use for use in sheet.steps or (bottle.use,)]
    steps = [step for step in steps if step]
    invented = "# Invented.\n" if sheet.invented else ""
    lines = [
        "# Written by `diagnose label --keep` from the product's sheet; correct and complete it as you learn more.",
        f"{name}:",
        f"  name: {json.dumps(sheet.product, ensure_ascii=False)}",
        *([f"  for: [{', '.join(steps)}]"] if steps else []),
        *([f"  traits: {{{', '.join(_traits(bottle))}}}"] if any(_traits(bottle)) else []),
        *([f"  hazards: [{', '.join(caution.id for caution, _ in bottle.cautions)}]"] if bottle.cautions else []),
        f"  says: {json.dumps(says, ensure_ascii=False)}",
        "  source: common practice (read off its safety data sheet)",
    ]
    return invented + "\n".join(lines) + "\n"


def _sure(told: Told, bottle: Bottle) -> bool:
    """Whether the answer can be written down: something is so, or everything is ruled out, and of what is left open
    no rule ever concludes that it is absent (a case reads the values that a material does not have as ruled out)."""
    looked_for = {value for _, name, value in bottle.knowledge.closures if name == told.answer.attribute}
    return bool(told.values or told.never) and not looked_for.intersection(told.open)


def _traits(bottle: Bottle) -> Iterator[str]:
    for told in bottle.told:
        name = told.answer.attribute
        if name not in bottle.knowledge.label.keeps or not _sure(told, bottle):
            continue
        attribute = bottle.knowledge.attributes["step", name]
        values = told.values or ((NOTHING,) if NOTHING in attribute.values else ())
        if len(values) == 1:
            yield f"{name}: {values[0]}"
        elif values and attribute.many:
            yield f"{name}: [{', '.join(values)}]"
