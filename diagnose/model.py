"""What the knowledge consists of, once read and checked: plain frozen records, nothing that acts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from diagnose.citation import OWN as OWN
from diagnose.citation import Citation, Source
from diagnose.complaint import Place
from diagnose.label_model import Ingredient, LabelWords
from diagnose.rules import Rule

UNKNOWN = "unknown"
UNLISTED = "unlisted"


@dataclass(frozen=True, slots=True)
class Attribute:
    """One thing that can be said of the piece, a step or the air. `kind` is choice, text or a kind of quantity.
    `find_out`: the findings that tell of it where it is not known, cheapest first; `goes_with`: the attribute without
    which nobody knows this one, so that it is not asked where that one was asked and not known."""

    id: str
    of: str
    kind: str
    values: Mapping[str, str]
    many: bool
    question: str
    steps: tuple[str, ...]
    derived: bool
    place: Place
    find_out: tuple[str, ...] = ()
    goes_with: str = ""


@dataclass(frozen=True, slots=True)
class StepKind:
    """A kind of step. `layer`: leaves a coat; `bare`: is done on bare wood only; `bares`: may lay the wood bare again;
    `strips`: takes off all that lies below; `unknown`: might be anything. `seat_of`: stages of causes, or stage/family,
    that sit in the layer it leaves where nothing tells more; where it leaves none, in the wood."""

    id: str
    name: str
    layer: bool
    bare: bool
    bares: bool
    strips: bool
    unknown: bool
    asks: tuple[str, ...]
    also: tuple[str, ...]
    hazards: tuple[str, ...]
    seat_of: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Thing:
    """A material (of steps) or a wood (of the piece): a name, the traits it brings and the hazards it carries."""

    id: str
    name: str
    also: tuple[str, ...]
    steps: tuple[str, ...]
    traits: tuple[tuple[str, str], ...]
    hazards: tuple[str, ...]
    says: str
    source: tuple[Citation, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Finding:
    """One question to the finisher. `answers` maps each answer to its words; `kind` prices the asking. `find_out`: the
    findings that tell of the same where this one is not known, cheapest first."""

    id: str
    question: str
    short: str
    kind: str
    many: bool
    answers: Mapping[str, str]
    how: tuple[str, ...]
    shows: str
    group: str
    usual: Mapping[str, float]
    harms: str
    source: tuple[Citation, ...]
    place: Place
    find_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Condition:
    """Something that the schedule, the piece or the air brings about; holds, ruled out, or not known.

    `in_plan`: what it is in a schedule not yet carried out: a fault (good practice avoids it), an exposure (the wood,
    the place or the kind of finish bring it), a guard (it keeps from a failure), or "" where it only parts causes.
    """

    id: str
    says: str
    group: str
    place: Place
    in_plan: str = ""


@dataclass(frozen=True, slots=True)
class Link:
    """Evidence from a finding or a condition to a cause: decibans per answer, with the mechanism and the source."""

    id: str
    cause: str
    about: str
    subject: str
    weights: Mapping[str, int]
    because: str
    source: tuple[Citation, ...]
    group: str
    place: Place


@dataclass(frozen=True, slots=True)
class Treatment:
    """A cause's use of a remedy: how often it cures, and why."""

    remedy: str
    cures: float
    often: str
    because: str
    source: tuple[Citation, ...]


@dataclass(frozen=True, slots=True)
class Advice:
    advice: str
    because: str
    uses: tuple[str, ...]
    hazards: tuple[str, ...]
    source: tuple[Citation, ...]


@dataclass(frozen=True, slots=True)
class Remedy:
    """What can be done to this piece. `minutes` of work; `harm` is none, slight or lasting."""

    id: str
    name: str
    do: tuple[str, ...]
    check: str
    conditional: bool
    uses: tuple[str, ...]
    hazards: tuple[str, ...]
    minutes: float
    harm: str
    because: str
    source: tuple[Citation, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Caution:
    id: str
    title: str
    says: str
    source: tuple[Citation, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Cause:
    id: str
    name: str
    also: tuple[str, ...]
    terms: tuple[str, ...]
    stage: str
    family: str
    prior: int
    often: str
    often_source: tuple[Citation, ...]
    mechanism: str
    source: tuple[Citation, ...]
    look_alikes: Mapping[str, str]
    links: tuple[Link, ...]
    treatments: tuple[Treatment, ...]
    prevention: tuple[Advice, ...]
    place: Place

    def weight_of(self, finding: str, answer: str) -> int:
        """Decibans that this answer alone puts on the cause; 0 where it says nothing."""
        return sum(
            link.weights.get(answer, 0) for link in self.links if (link.about, link.subject) == ("answer", finding)
        )


@dataclass(frozen=True, slots=True)
class Given:
    """What was given for one attribute or finding: its values (SI inside), as written, and where."""

    values: tuple[str | float, ...]
    written: str
    place: Place | None = None

    @property
    def known(self) -> bool:
        return self.values != (UNKNOWN,)


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the schedule, numbered from 1 upwards from the bare wood.

    `again`: how many steps were added together with this one as repeats of the one before; `with_product`: the product
    was named in the same answer. Both serve going back, and are not kept in files.
    """

    number: int
    do: str
    given: Mapping[str, Given]
    place: Place | None = None
    again: int = 0
    with_product: bool = False


@dataclass(frozen=True, slots=True)
class Board:
    """A test board: one half made to show a cause, the other as near to it as can be and sound.

    `fails` and `sound` are the two schedules; `finds` is what is found on the failing half, `otherwise` what is
    answered differently of the sound one. `minutes` of work; `waits`: seconds from the start to what is to be seen.
    """

    id: str
    cause: str
    name: str
    piece: Mapping[str, Given]
    air: Mapping[str, Given]
    ready: tuple[str, ...]
    fails: tuple[Step, ...]
    sound: tuple[Step, ...]
    do: tuple[str, ...]
    fails_show: str
    sound_shows: str
    finds: Mapping[str, Given]
    otherwise: Mapping[str, Given]
    says: str
    minutes: float
    waits: float
    uses: tuple[str, ...]
    hazards: tuple[str, ...]
    source: tuple[Citation, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Only:
    """What an attribute has to be for a change to make sense: one of `values`, or a quantity that compares so."""

    attribute: str
    values: tuple[str, ...]
    sign: str = ""
    bound: float = 0.0


@dataclass(frozen=True, slots=True)
class Change:
    """Something that can be done otherwise while a schedule is still a plan.

    `how` is set (a step's `attribute` to one of `values`), wait (its drying time to one of `values`; "needed" is what
    the product needs in this air), air (`attribute` of the air), product (another that fits the step), between (`steps`
    put in under a layer), first (`steps` put before the first layer), order (two neighbouring layers change places) or
    drop (the step left out). `kinds`: for which kinds of step, all where empty; of `order` both. `only`: what has to be
    so of the step or the air as it is. `minutes` prices it.
    """

    id: str
    name: str
    how: str
    kinds: tuple[str, ...]
    attribute: str
    values: tuple[str, ...]
    steps: tuple[Step, ...]
    only: tuple[Only, ...]
    minutes: float
    because: str
    source: tuple[Citation, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Term:
    """A word that standards or the trade give to what is seen."""

    id: str
    name: str
    also: tuple[str, ...]
    says: str
    source: tuple[Citation, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class AskKind:
    """What a way of finding out costs: minutes, and a factor for the harm it may do. `needs`: what a finding of this
    kind has to say for anyone to be able to do it and read it (how, shows, harms)."""

    id: str
    name: str
    minutes: float
    harm: float
    needs: tuple[str, ...] = ()

    @property
    def price(self) -> float:
        return self.minutes * self.harm


@dataclass(frozen=True, slots=True)
class Strategy:
    """A named rule of how to go about it, with what it rests on; `figure` is read by the program where it has one."""

    id: str
    says: str
    figure: float | None
    because: str
    source: tuple[Citation, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Exemption:
    """A flaw that the audit is to leave alone: its code, what it is about, and why that is as it should be."""

    code: str
    of: str
    because: str
    place: Place


@dataclass(frozen=True, slots=True)
class Knowledge:
    """The whole base. `rules` is what it compiles to; `version` changes with any byte of it.

    `opens_when` names what the opening page asks only when something is so. `own` says what a shop's own folder added,
    changed or put in place of a shipped entry, by name. `passing_words`, by kind of thing, are said beside a name and
    tell nothing.
    """

    attributes: Mapping[tuple[str, str], Attribute]
    step_kinds: Mapping[str, StepKind]
    materials: Mapping[str, Thing]
    woods: Mapping[str, Thing]
    findings: Mapping[str, Finding]
    conditions: Mapping[str, Condition]
    causes: Mapping[str, Cause]
    remedies: Mapping[str, Remedy]
    cautions: Mapping[str, Caution]
    sources: Mapping[str, Source]
    families: Mapping[str, str]
    terms: Mapping[str, Term]
    ask_kinds: Mapping[str, AskKind]
    strategies: Mapping[str, Strategy]
    standing: tuple[tuple[float, str], ...]
    harm_factors: Mapping[str, float]
    rules: Sequence[Rule]
    closures: tuple[tuple[str, str, str], ...]
    version: str
    opening: tuple[str, ...] = ()
    exemptions: tuple[Exemption, ...] = ()
    own: Mapping[str, str] = field(default_factory=dict)
    opens_when: tuple[str, ...] = ()
    boards: Mapping[str, Board] = field(default_factory=dict)
    passing_words: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    changes: Mapping[str, Change] = field(default_factory=dict)
    ingredients: Mapping[str, Ingredient] = field(default_factory=dict)
    label: LabelWords | None = None

    def rule_names(self) -> list[str]:
        """The names of all rules in their order, without unpacking them where they are kept packed."""
        rules = self.rules
        return list(rules.names()) if hasattr(rules, "names") else [rule.name for rule in rules]
