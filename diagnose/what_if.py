"""What if: a change to a schedule in a line of words, and what it would do.

One line is one of: `step 4 dried = 24 h`, `air humidity = 50 %`, `piece place = dark`, `without step 5`,
`swap step 3 and step 4`, `after step 3: sealer, dewaxed shellac`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from diagnose.case import Case, check_order, spellings
from diagnose.complaint import Complaint, shown, would_accept
from diagnose.edits import put_in, read, swapped, with_product, without
from diagnose.model import Knowledge, Step
from diagnose.reading import as_name
from diagnose.threats import Threat

ACCEPTED = (
    "`step 4 dried = 24 h`, `air humidity = 50 %`, `piece place = dark`, `without step 5`, `swap step 3 and step 4` or "
    "`after step 3: sealer, dewaxed shellac`"
)


@dataclass(frozen=True, slots=True)
class Effect:
    """What a change does: threats that go, that come, and those whose weight differs (before, after)."""

    asked: tuple[str, ...]
    case: Case
    gone: tuple[Threat, ...]
    come: tuple[Threat, ...]
    moved: tuple[tuple[Threat, Threat], ...]


def effect(asked: tuple[str, ...], case: Case, before: dict[str, Threat], after: dict[str, Threat]) -> Effect:
    """Compare the threats of a schedule before and after it was changed to `case`."""
    return Effect(
        asked,
        case,
        tuple(threat for name, threat in before.items() if name not in after),
        tuple(threat for name, threat in after.items() if name not in before),
        tuple((before[name], t) for name, t in after.items() if name in before and before[name].pull != t.pull),
    )


def changed(case: Case, lines: Sequence[str], knowledge: Knowledge) -> Case:
    """The schedule with the changes that `lines` ask for, made together: every number in them is that of a step of the
    schedule as it was. Raises Complaint."""
    asked = []
    for line in lines:
        fits = ((re.fullmatch(pattern, line.strip(), re.IGNORECASE), change) for pattern, change in FORMS)
        found = next(((match, change) for match, change in fits if match), None)
        if found is None:
            raise Complaint(None, f"{shown(line)} is no change that is known here", f"one of: {ACCEPTED}")
        asked.append(found)
    # what numbers the steps anew comes last, from the top down, so that the numbers of the others still hold
    for match, change in sorted(asked, key=lambda pair: (ORDER[pair[1]], -int(pair[0].groupdict().get("number") or 0))):
        case = change(case, match, knowledge)
    check_order(case.steps, knowledge)
    return case


def _attribute(case: Case, found: re.Match, knowledge: Knowledge) -> Case:
    of, number, name, written = found["of"].lower(), found["number"], as_name(found["name"]), found["value"]
    if (of == "step") != bool(number):
        raise Complaint(None, f"{shown(found[0])} does not say which step", "for instance `step 4 dried = 24 h`")
    known = {a.id: a for (owner, _), a in knowledge.attributes.items() if owner == of and not a.derived}
    if name not in known or name == "do":
        offered = would_accept(name, [one for one in known if one != "do"])
        raise Complaint(None, f"{shown(name)} cannot be changed of {of}", offered)
    attribute = known[name]
    about = of
    if of == "step":
        step = case.steps[_number(number, case) - 1]
        if attribute.steps and step.do not in attribute.steps:
            raise Complaint(None, f"{name} does not fit {step.do}", "it is for " + ", ".join(attribute.steps))
        about = f"step {step.number}"
        if name == "product":
            return with_product(case, step.number, read(written, attribute, knowledge).values[0], knowledge)
    return case.with_given(f"{about} {name}", read(written, attribute, knowledge))


def _without(case: Case, found: re.Match, knowledge: Knowledge) -> Case:
    return without(case, _number(found["number"], case))


def _swap(case: Case, found: re.Match, knowledge: Knowledge) -> Case:
    lower, upper = (_number(found[name], case) for name in ("one", "other"))
    if lower == upper:
        raise Complaint(None, f"step {lower} cannot change places with itself", "two different steps")
    return swapped(case, lower, upper)


def _after(case: Case, found: re.Match, knowledge: Knowledge) -> Case:
    number = 0 if found["number"] == "0" else _number(found["number"], case)
    kind, _, product = (part.strip() for part in found["step"].partition(","))
    kinds = spellings(knowledge.attributes["step", "do"], knowledge)
    products = spellings(knowledge.attributes["step", "product"], knowledge)
    if not product and as_name(kind) not in knowledge.step_kinds and as_name(kind) in products:
        told = f"write for instance `after step {number}: sealer, {kind}`"
        raise Complaint(None, f"{shown(kind)} is a product, and not what is done with it", told)
    if as_name(kind) not in kinds:
        raise Complaint(None, f"{shown(kind)} is no kind of step", would_accept(as_name(kind), kinds))
    given = {"product": read(product, knowledge.attributes["step", "product"], knowledge)} if product else {}
    return put_in(case, number, Step(0, kinds[as_name(kind)], given))


def _number(written: str, case: Case) -> int:
    if not 1 <= int(written) <= len(case.steps):
        count = len(case.steps)
        accepted = f"1 to {count}" if count else "a schedule with steps"
        raise Complaint(None, f"there is no step {written}", accepted)
    return int(written)


ORDER = {_attribute: 0, _swap: 1, _without: 2, _after: 2}
Form = Callable[[Case, re.Match, Knowledge], Case]
FORMS: tuple[tuple[str, Form], ...] = (
    (r"(?P<of>step|air|piece)(?: (?P<number>\d{1,3}))?,? (?P<name>[a-z_ ]+?) ?= ?(?P<value>.+)", _attribute),
    (r"(?:without|leave out|drop) step (?P<number>\d{1,3})", _without),
    (r"swap (?:steps? )?(?P<one>\d{1,3}) and (?:step )?(?P<other>\d{1,3})", _swap),
    (r"after step (?P<number>\d{1,3}) ?[:,] ?(?P<step>.+)", _after),
)
