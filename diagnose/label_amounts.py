"""How much of what is in a bottle: the ingredients of its sheet, what need not be listed, and shares over both."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from diagnose.complaint import Complaint, Place
from diagnose.label_model import Amount, Ingredient, LabelWords
from diagnose.label_reading import Listed, Sheet
from diagnose.shares import DIGITS, NOTHING, WHOLE, Interval, ratio, tightened, together

LIQUID, SOLID = "liquid that is not listed", "solids that are not listed"
EVAPORATES = "volatile"  # the amount that `of: volatile` is reckoned over
STAYS = ("binder", "dye", "pigment", "hardener", "drier", "plasticizer")
LEAVES = "solvent"


class Content(NamedTuple):
    """One thing in the bottle. `share` is as tight as the sheet allows; `listed` is None for what it leaves out."""

    name: str
    share: Interval
    listed: Listed | None

    @property
    def ingredient(self) -> Ingredient | None:
        return self.listed.ingredient if self.listed else None


def contents(sheet: Sheet) -> tuple[Content, ...]:
    """Everything in the bottle; the shares hold every mixture that the sheet allows. Raises Complaint."""
    names = [one.ingredient.name if one.ingredient else one.name for one in sheet.listed]
    shares = [one.share for one in sheet.listed]
    listed: list[Listed | None] = list(sheet.listed)
    whole_list = sheet.complete or any(one.rest for one in sheet.listed)
    if not whole_list:
        names, shares, listed = [*names, LIQUID, SOLID], [*shares, WHOLE, WHOLE], [*listed, None, None]
    stays = [n for n, one in enumerate(listed) if _part(one, names[n]) == "stays"]
    leaves = [n for n, one in enumerate(listed) if _part(one, names[n]) == "leaves"]
    decided = len(stays) + len(leaves) == len(listed)
    try:
        for _ in range(3):  # each bound narrows the others a little; three rounds are within a rounding of the end
            shares = tightened(shares)
            if sheet.solids:
                low, high = sheet.solids
                _narrow(shares, stays, Interval(low if decided else 0.0, high))
                _narrow(shares, leaves, Interval(1 - high if decided else 0.0, 1 - low))
    except ValueError:
        place = sheet.places.get("solids") or (sheet.listed[0].place if sheet.listed else Place(sheet.file))
        what = (
            "the shares and the solids contradict each other" if sheet.solids else "the shares cannot add up to 100 %"
        )
        raise Complaint(
            place, what, "compare with the sheet; solids are percent by mass of what does not evaporate"
        ) from None
    return tuple(Content(*row) for row in zip(names, shares, listed) if row[1] != NOTHING or row[2])


def _part(one: Listed | None, name: str) -> str:
    if one is None:
        return "leaves" if name == LIQUID else "stays"
    part = one.ingredient.part if one.ingredient else ""
    return "leaves" if part == LEAVES else "stays" if part in STAYS else ""


def _narrow(shares: list[Interval], numbers: Sequence[int], whole: Interval) -> None:
    for number, share in zip(numbers, tightened([shares[n] for n in numbers], whole)):
        shares[number] = share
    if not numbers and whole.low > 0:
        raise ValueError("nothing could be that")


def counted(content: Content, amount: Amount, words: LabelWords) -> str:
    """Whether a content counts to an amount: "surely", "maybe" or "" (not)."""
    if content.listed is None:
        if amount.of == "listed":
            return ""
        could = words.unlisted_liquid if content.name == LIQUID else words.unlisted_solid
        surely = content.name == LIQUID and amount.id == EVAPORATES
        return "surely" if surely else "maybe" if amount.id in could else ""
    one = content.ingredient
    if one is None:
        return "maybe"
    if amount.parts and one.part not in amount.parts:
        return ""
    brought: dict[str, set[str]] = {}
    for trait, value in one.traits:
        brought.setdefault(trait, set()).add(value)
    if any(brought.get(trait, set()) & set(barred) for trait, barred in amount.barred):
        return ""
    lacks = [trait for trait, wanted in amount.traits if not brought.get(trait, set()) & set(wanted)]
    undecided = [trait for trait, parts in words.undecided if one.part in parts]
    if any(trait in brought or trait not in undecided for trait in lacks):
        return ""
    return "maybe" if lacks else "surely"


class Reckoned(NamedTuple):
    """An amount's share, and the numbers of the contents that it was reckoned from."""

    share: Interval
    rests_on: tuple[int, ...]


def amounts(inside: Sequence[Content], words: LabelWords, solids: Interval | None = None) -> Mapping[str, Reckoned]:
    """The share of every amount of label.yaml in what it is of; `solids` as the sheet gives them."""
    shares = [content.share for content in inside]
    stays = {n for n, content in enumerate(inside) if _part(content.listed, content.name) == "stays"}

    def members(amount: Amount) -> tuple[set[int], set[int]]:
        how = [counted(content, amount, words) for content in inside]
        return {n for n, one in enumerate(how) if one == "surely"}, {n for n, one in enumerate(how) if one == "maybe"}

    leaves, may_leave = members(words.amounts[EVAPORATES])
    found = {}
    for amount in words.amounts.values():
        surely, maybe = members(amount)
        part = together(shares, surely, maybe)
        on = surely | maybe
        if solids and on <= stays:  # what else is surely solid leaves so much less of the solids for these
            most = round(solids.high - sum(shares[n].low for n in stays - on), DIGITS)
            part = Interval(part.low, max(part.low, min(part.high, most)))
        if amount.of == EVAPORATES:
            least = together(shares, leaves - surely - maybe).low
            most = together(shares, (), (leaves | may_leave) - surely).high
            part, on = ratio(part, least, most), on | leaves | may_leave
        found[amount.id] = Reckoned(part, tuple(sorted(on)))
    return found


def not_listed(inside: Sequence[Content], words: LabelWords) -> list[str]:
    """Amounts that nothing on the list counts to, nor could."""
    listed = [content for content in inside if content.listed]
    return [a.id for a in words.amounts.values() if not any(counted(content, a, words) for content in listed)]
