"""What the knowledge says of ingredients and of the sheets of products: plain frozen records, nothing that acts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.citation import Citation
from diagnose.complaint import Place


@dataclass(frozen=True, slots=True)
class Ingredient:
    """A substance, or a class of them, as section 3 of a safety data sheet names it. `cas`: its registry numbers;
    `part` says what it is in the bottle (load_ingredients.PARTS); `figures`: its row in shared/solvents.yaml;
    `mixture`: no one substance (a cut of petroleum), so that sheets print it under several numbers."""

    id: str
    name: str
    also: tuple[str, ...]
    cas: tuple[str, ...]
    part: str
    traits: tuple[tuple[str, str], ...]
    figures: str
    hazards: tuple[str, ...]
    says: str
    source: tuple[Citation, ...]
    place: Place
    mixture: bool = False


@dataclass(frozen=True, slots=True)
class Amount:
    """A share that is reckoned over the ingredients of a bottle: of the whole bottle, of what evaporates, or of the
    bottle with nothing counted that is not listed (`of`). It counts ingredients of one of `parts` (any where there are
    none) that bring one of each of `traits` and none of `barred`."""

    id: str
    name: str
    of: str
    parts: tuple[str, ...]
    traits: tuple[tuple[str, tuple[str, ...]], ...]
    barred: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """One thing that is asked of every bottle. `attribute` of the step holds the answer, `opposite` what is surely not
    so; `amounts` are the shares it is read from; `want` is what would tell where the sheet does not; `short`: it stands
    in the summary; `worst`: of several values the first, in the order of the attribute, bounds the answer, which may be
    worse still; `unless`: values of attributes that leave nothing to ask."""

    id: str
    title: str
    attribute: str
    opposite: str
    amounts: tuple[str, ...]
    want: str
    short: bool
    worst: bool
    unless: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class HazardStatement:
    """A hazard statement (H225 ...) in words, and the cautions that it calls for."""

    code: str
    says: str
    hazards: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Use:
    """What a bottle may be that is no coat and no colour; `step`: the kind of work it is for, or empty."""

    id: str
    says: str
    step: str
    source: tuple[Citation, ...]


@dataclass(frozen=True, slots=True)
class LabelWords:
    """What is needed to read the sheet of a product.

    `unlisted_liquid` and `unlisted_solid`: the amounts that may be in what a sheet does not list; `unlisted_rate`: how
    fast such liquid can leave (n-butyl acetate = 1), least and most. `withheld`: words in a name that say so.
    `numbered`: words of a name that a figure follows.
    `undecided`: traits that an ingredient of such a part, where it lacks them, may have in any of their values.
    `harms`: the conditions that count against a coat on the bottle's colour, each with what it does, and `eases` those
    that make it bearable; `coats` and `barriers`: the materials tried over it. `keeps`: the traits that a material made
    of a bottle is given.
    """

    claims: Mapping[str, str]
    statements: Mapping[str, HazardStatement]
    amounts: Mapping[str, Amount]
    unlisted_says: str
    unlisted_liquid: tuple[str, ...]
    unlisted_solid: tuple[str, ...]
    unlisted_rate: tuple[float, ...]
    unlisted_source: tuple[Citation, ...]
    withheld: tuple[str, ...]
    numbered: tuple[str, ...]
    undecided: tuple[tuple[str, tuple[str, ...]], ...]
    answers: Mapping[str, Answer]
    uses: Mapping[str, Use]
    harms: Mapping[str, str]
    eases: Mapping[str, str]
    coats: tuple[str, ...]
    barriers: tuple[str, ...]
    keeps: tuple[str, ...]
    place: Place
