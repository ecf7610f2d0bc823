"""Shares as safety data sheets print them ('30 - <60 %', '>= 5', '60 to 80 %', 'balance'), as intervals."""

from __future__ import annotations

import re

from diagnose.complaint import Complaint, Place, shown
from diagnose.shares import WHOLE, Interval

ACCEPTED = "a share or a range by mass, such as 5 %, <5 %, 10 - 30 %, 30 to <60 % or balance"
REST = re.compile(r"\b(balance|remainder|rest|to 100|q\.?\s?s\.?)(?![\w])", re.IGNORECASE)

# Words for signs, as English and German sheets print them; written as signs before anything is read.
_WORDS = tuple(
    (re.compile(words, re.IGNORECASE), sign)
    for words, sign in (
        (r"(?<=[\d%])\s*\b(?:up to|bis zu|bis)\s*(?=[\d<>≤≥]|less\b|unter\b|weniger\b)", " to "),
        (r"\b(?:between|from|zwischen|von)\s+(?=\d)", ""),
        (r"\b(?:(?:not|no) (?:more|greater) than|at most|up ?to|bis(?: zu)?|höchstens|nicht mehr als|"
         r"max(?:imum|imal)?\b\.?)\s*:?\s*(?=\d)", "<= "),
        (r"\b(?:less than|fewer than|below|under|weniger als|kleiner als|unter)\s*(?=\d)", "< "),
        (r"\b(?:(?:not|no) less than|at least|mindestens|nicht weniger als|min(?:imum|imal)?\b\.?)\s*:?\s*(?=\d)",
         ">= "),
        (r"\b(?:more than|greater than|above|over|mehr als|größer als|über)\s*(?=\d)", "> "),
        (r"(?<![-–—\d.,<>=≤≥])(?<!\bto )(\d+(?:[.,]\d+)?\s*%)\s*\(?(?:max(?:imum|imal)?\b\.?|or less\b|oder weniger\b)"
         r"(?!\s*\d)\)?", r"<= \1"),
        (r"(?<![-–—\d.,<>=≤≥])(?<!\bto )(\d+(?:[.,]\d+)?\s*%)\s*\(?(?:min(?:imum|imal)?\b\.?|or more\b|oder mehr\b)"
         r"(?!\s*\d)\)?", r">= \1"),
    )
)  # fmt: skip
_SIGN = r"(?:>=|=>|≥|<=|=<|≤|>|<|~|ca\.?\s|about\s)"
_NUMBER = r"\d+(?:[.,]\d+)*"  # a comma is read in order to be complained of
_UNIT = r"(?:(?:(?:gew|wt|weight|masse|mass|w|m|vol|v)\b\.?\s?-?\s?)?%|(?:percent|per cent|prozent|ppm|mg/kg|g/kg)\b)"
_KIND = (
    r"(?:\s*\(?\s*(?:w/w|wt\.?|gew\.?|weight|by weight|by wt\.?|by mass|m/m|v/v|vol\.?|by volume|volume)(?![\w])\)?)?"
)
_SHARE = re.compile(  # without a word between, '>=5 <10 %' is one share and '5 % <10 %' is two
    rf"(?<![\w.,/+])(?:(?P<least>>=|=>|≥|>)|{_SIGN})?\s?(?<![\w.,])(?P<one>-?{_NUMBER})\s*(?P<unit>(?:{_UNIT})?){_KIND}"
    rf"(?:(?:\s*(?:-|–|—|−|to\b|\.\.+|and\b|bis\b|und\b)\s*(?P<sign>{_SIGN})?|(?(least)\s*(?P<sign_alone><=?|=<|≤)|(?!)))"
    rf"\s*(?P<two>{_NUMBER})\s*(?P<unit_two>(?:{_UNIT})?){_KIND})?"
    r"(?![\w.,'’]|/\d|-\d*[A-Za-z])",
    re.IGNORECASE,
)
_WORD_FOLLOWS = re.compile(r"\s*[a-z]{3,}")  # '<2% aromatics' is part of a name
_ASIDE = re.compile(r"\([^()]*\)")  # 'Ethanol (96 %)': a strength
_VOLUME = re.compile(r"\bv/v\b|\bvol\b|\bvol\.|\bby volume\b|\bvolume\b|\bv\.?-?%", re.IGNORECASE)
_PER = {"ppm": 1e6, "mg/kg": 1e6, "g/kg": 1e3}
_THOUSANDS = re.compile(r"(\d{1,3})[.,](\d{3})")
# a figure that stands alone, no part of a word: 10 in 'Ethanol 10', not 2 in '2-butoxyethanol'
_ALONE = re.compile(r"(?<![\w.,/'’-])(?<!-\s)[<>=≤≥~]*\s?(\d+(?:[.,/]\d+)*)(?![\w'’.,/]|\s?-\s?[\w(])(\s*%)?")


def signs(written: str) -> str:
    """`written` with words for signs ('up to', 'weniger als') written as signs where a figure follows."""
    for words, sign in _WORDS:
        written = words.sub(sign, written)
    return written


def alone(name: str) -> list[re.Match[str]]:
    """The figures in what is left of a line that stand alone, those in brackets left aside."""
    bare = _ASIDE.sub(lambda found: " " * len(found.group()), name)
    return [one for one in _ALONE.finditer(bare) if not _WORD_FOLLOWS.match(name, one.end()) or not one[2]]


def share(written: str, place: Place | None, what: str) -> Interval:
    """One share, nothing else beside it. Complains of anything that would have to be guessed."""
    if REST.fullmatch(written.strip()):
        return WHOLE
    written = signs(written)
    found = find(written, place, what)
    if found is None or written[: found.start()].strip(" ()") or written[found.end() :].strip(" ().w"):
        raise Complaint(place, f"{what}: {shown(written)} is no share", ACCEPTED)
    return _read(found, place, what, False)


def shares_in(line: str, place: Place | None, what: str, percent: bool) -> tuple[Interval | None, str]:
    """The share that stands in a line, and the line without it. `percent`: a heading said that figures are percent."""
    rest = REST.search(line)
    if rest:
        return WHOLE, f"{line[: rest.start()]} {line[rest.end() :]}"
    line = signs(line)
    found = find(line, place, what, percent)
    if found is None:
        return None, line
    return _read(found, place, what, percent), f"{line[: found.start()]} {line[found.end() :]}"


def find(written: str, place: Place | None, what: str, percent: bool = False) -> re.Match[str] | None:
    """The one spot of `written` that reads as a share; clear ones (a range, a sign, a unit) go before bare numbers, and
    what stands in brackets counts only where nothing else does."""
    aside = [one.span() for one in _ASIDE.finditer(written)]
    every = list(_SHARE.finditer(written))
    outside = [one for one in every if not any(low <= one.start() < high for low, high in aside)]
    spots = outside if any(_clear(one) for one in outside) or (percent and outside) else every
    clear = [one for one in spots if _clear(one)]
    chosen = clear or spots
    if len(chosen) > 1:
        alone = [one for one in chosen if not _WORD_FOLLOWS.match(written, one.end())]
        chosen = alone if len(alone) == 1 else chosen
    if len(chosen) > 1:
        both = " and ".join(shown(" ".join(one.group().split())) for one in chosen[:2])
        raise Complaint(place, f"{what}: {both} both read as its share", "one share in a line")
    return chosen[0] if chosen else None


def _clear(one: re.Match[str]) -> bool:
    return bool(one["two"] or one["unit"] or re.match(_SIGN, one.group().strip(), re.IGNORECASE))


def _plainly(found: re.Match[str], written: str, place: Place | None, what: str) -> None:
    """Complain of a comma, and of three digits behind a point where these could be thousands."""
    small = any(unit and unit.lower() in _PER for unit in (found["unit"], found["unit_two"]))
    for number in filter(None, (found["one"], found["two"])):
        thousands = _THOUSANDS.fullmatch(number) if small else None
        if thousands and int(thousands[1]):
            one, two = int(thousands[1]), f"{thousands[1]}{thousands[2]}"
            raise Complaint(
                place, f"{what}: {shown(number)} could be {two} or {one}", f"write it as {two}, or as {number[:-4]}.0"
            )
        if "," in number and number.count(",") + number.count(".") > 1:
            raise Complaint(place, f"{what}: {shown(number)} is no figure", ACCEPTED)
        if "," in number:
            raise Complaint(
                place, f"{what}: {shown(number)} has a decimal comma", f"use a point: {written.replace(',', '.')}"
            )
        if number.count(".") > 1:
            raise Complaint(place, f"{what}: {shown(number)} is no figure", ACCEPTED)


def _read(found: re.Match[str], place: Place | None, what: str, percent: bool) -> Interval:
    written = " ".join(found.group().split())
    if _VOLUME.search(written):
        raise Complaint(place, f"{what}: {shown(written)} is by volume", "percent by mass, as section 3 gives it")
    _plainly(found, written, place, what)
    sign = re.match(_SIGN, written, re.IGNORECASE)
    mark = sign.group().strip() if sign else ""
    units = {("%" if "%" in unit else unit.lower()) for unit in (found["unit"], found["unit_two"]) if unit}
    if len(units) > 1:
        raise Complaint(place, f"{what}: {shown(written)} mixes two units", ACCEPTED)
    unit = units.pop() if units else ""
    if not unit and not found["two"] and not mark and not percent:
        raise Complaint(place, f"{what}: {shown(written)} has no unit", "write 30 % if it is percent by mass")
    per = _PER.get(unit, 100.0)
    one = float(found["one"]) / per
    if one < 0:
        raise Complaint(place, f"{what}: {shown(written)} is negative", ACCEPTED)
    if found["two"]:
        low, high = one, float(found["two"]) / per
        if mark in ("<", "<=", "=<", "≤") and not (found["sign"] or found["sign_alone"]):
            raise Complaint(place, f"{what}: {shown(written)} has no lower end", ACCEPTED)
        if low > high:
            raise Complaint(place, f"{what}: the range {shown(written)} is reversed", "the smaller figure first")
    elif mark in ("<", "<=", "=<", "≤"):
        low, high = 0.0, one
    elif mark in (">", ">=", "=>", "≥"):
        low, high = one, 1.0
    elif mark:  # about
        raise Complaint(place, f"{what}: {shown(written)} says 'about'", "a range: how far off may it be?")
    else:
        low = high = one
    if high > 1 + 1e-12:
        raise Complaint(place, f"{what}: {shown(written)} is more than 100 %", ACCEPTED)
    return Interval(round(low, 9), round(min(high, 1.0), 9))
