"""Shares as safety data sheets print them ('30 - <60 %', '>= 5', '60 to 80 %', 'balance'), as intervals."""

from __future__ import annotations

import re

from diagnose.complaint import Complaint, Place, shown
from diagnose.shares import WHOLE, Interval

ACCEPTED = "a share or a range by mass, such as 5 %, <5 %, 10 - 30 %, 30 to <60 % or balance"
REST = re.compile(r"\b(balance|remainder|rest|to 100|q\.?\s?s\.?)(?![\w])", re.IGNORECASE)

_SIGN = r"(?:>=|=>|≥|<=|=<|≤|>|<|~|ca\.?\s|about\s)"
_NUMBER = r"\d+(?:\.\d+)?"
_UNIT = r"(?:%|percent\b|per cent\b|ppm\b|mg/kg\b|g/kg\b)"
_KIND = r"(?:\s*\(?\s*(?:w/w|wt\.?|weight|by weight|by mass|m/m|v/v|vol\.?|by volume|volume)(?![\w])\)?)?"
_SHARE = re.compile(
    rf"(?<![\w.,/+]){_SIGN}?\s?(?<![\w.,])(?P<one>-?{_NUMBER})\s*(?P<unit>{_UNIT}?){_KIND}"
    rf"(?:\s*(?:-|–|—|−|to\b|\.\.+|and\b)\s*(?P<sign>{_SIGN})?\s*(?P<two>{_NUMBER})\s*(?P<unit_two>{_UNIT}?){_KIND})?"
    r"(?![\w.,'’]|-\d*[A-Za-z])",
    re.IGNORECASE,
)
_COMMA = re.compile(r"(?<![\w,.-])\d{1,3},\d{1,3}(?![\w,.]|-\s?[A-Za-z\d(])")
_WORD_FOLLOWS = re.compile(r"\s*[a-z]{3,}")  # '<2% aromatics' is part of a name
_VOLUME = re.compile(r"\bv/v\b|\bvol\b|\bvol\.|\bby volume\b|\bvolume\b", re.IGNORECASE)
_PER = {"ppm": 1e6, "mg/kg": 1e6, "g/kg": 1e3}


def share(written: str, place: Place | None, what: str) -> Interval:
    """One share, nothing else beside it. Complains of anything that would have to be guessed."""
    if REST.fullmatch(written.strip()):
        return WHOLE
    found = find(written, place, what)
    if found is None or written[: found.start()].strip(" ()") or written[found.end() :].strip(" ().w"):
        raise Complaint(place, f"{what}: {shown(written)} is no share", ACCEPTED)
    return _read(found, place, what, False)


def shares_in(line: str, place: Place | None, what: str, percent: bool) -> tuple[Interval | None, str]:
    """The share that stands in a line, and the line without it. `percent`: a heading said that figures are percent."""
    rest = REST.search(line)
    if rest:
        return WHOLE, f"{line[: rest.start()]} {line[rest.end() :]}"
    found = find(line, place, what)
    if found is None:
        return None, line
    return _read(found, place, what, percent), f"{line[: found.start()]} {line[found.end() :]}"


def find(written: str, place: Place | None, what: str) -> re.Match[str] | None:
    """The one spot of `written` that reads as a share; clear ones (a range, a sign, a unit) go before bare numbers."""
    comma = _COMMA.search(written)
    if comma:
        raise Complaint(place, f"{what}: {shown(comma.group())} has a decimal comma", "use a point: 0.5 %")
    spots = list(_SHARE.finditer(written))
    clear = [one for one in spots if one["two"] or one["unit"] or re.match(_SIGN, one.group().strip(), re.IGNORECASE)]
    chosen = clear or spots
    if len(chosen) > 1:
        alone = [one for one in chosen if not _WORD_FOLLOWS.match(written, one.end())]
        chosen = alone if len(alone) == 1 else chosen
    if len(chosen) > 1:
        both = " and ".join(shown(" ".join(one.group().split())) for one in chosen[:2])
        raise Complaint(place, f"{what}: {both} both read as its share", "one share in a line")
    return chosen[0] if chosen else None


def _read(found: re.Match[str], place: Place | None, what: str, percent: bool) -> Interval:
    written = " ".join(found.group().split())
    if _VOLUME.search(written):
        raise Complaint(place, f"{what}: {shown(written)} is by volume", "percent by mass, as section 3 gives it")
    sign = re.match(_SIGN, written, re.IGNORECASE)
    mark = sign.group().strip() if sign else ""
    units = {unit.lower() for unit in (found["unit"], found["unit_two"]) if unit}
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
        if mark in ("<", "<=", "=<", "≤") and found["sign"] is None:
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
