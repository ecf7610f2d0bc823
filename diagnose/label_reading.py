"""The sheet of a product: what it is sold as and what section 3 lists, from YAML or from lines copied as they stand."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path, PurePath

from diagnose import label_names, label_share, reading, units
from diagnose.complaint import Complaint, Place, shown, would_accept
from diagnose.label_model import Ingredient
from diagnose.label_share import share, shares_in
from diagnose.model import Knowledge
from diagnose.shares import Interval, tightened
from diagnose.yamltree import LARGEST_FILE, Node, parse, read_file

TOP = (
    *("product", "invented", "notes", "for", "claims", "ingredients", "complete", "hazards", "flash", "solids"),
    *("density", "mixes_with_water", "source"),
)
FIELDS = ("name", "cas", "share")
MOST_LINES = 60
STDIN = "standard input"
IN_WATER = ("mixes", "partly", "no")

_YAML = re.compile(r"^ingredients\s*:", re.MULTILINE)
_KEY = re.compile(rf"(?:{'|'.join(key for key in TOP if key != 'ingredients')})\s*:")
_CAS = re.compile(r"(?<![\w-])0*\d{2,7}-\d{2}-\d(?![\w-])")
_ODD_CAS = re.compile(r"\bCAS(?:[- ]?(?:no|number|nr))?\.?\s*[:#]?\s*([\d-]{5,14})", re.IGNORECASE)
# numbers of other lists beside it: EC (203-539-1), REACH (01-2119457435-35), index (603-064-00-3)
_OTHER_NUMBER = re.compile(
    r"(?:\(?\b(?:(?:EC|EG|EINECS|ELINCS|REACH|index|reg(?:istration|istrierungs)?\.?)[- ]?)+"
    r"(?:(?:no|number|nummer|nr)\b)?\.?\s*[:#]?\)?\s*)?(?<![\w-])(?:\d{3}-\d{3}-\d{2}-[\dX]|\d{3}-\d{3}-\d|\d\d-\d{10}-\d\d(?:-[\dXx]{4})?)(?![\w-])",
    re.IGNORECASE,
)
_CODE = re.compile(r"\b(?:EUH\d{3}|H\d{3})[A-Za-z]{0,2}(?:[-/+]\s?\d{3}[A-Za-z]{0,2})*\b")
_HAZARD_CLASS = re.compile(
    r"\b(?:(?:flam|ox|self-react|pyr)\. ?(?:liq|sol|gas|aerosol)|aerosol|acute tox|skin (?:corr|irrit|sens)|"
    r"eye (?:dam|irrit)|resp\. ?sens|muta|carc|repr|stot (?:se|re)|asp\. ?tox|"
    r"aquatic (?:acute|chronic)|met\. ?corr)\b\.? ?\d ?[A-D]?\b(?: ?\((?:oral|dermal|inhal\w*)\))?",
    re.IGNORECASE,
)
_MARK = re.compile(r"\[\d{1,2}\]")  # of a footnote
_TITLE = re.compile(r"(?:section|abschnitt)\s+\d|\d{1,2}\.\d{1,2}\.?\s+[^\W\d]", re.IGNORECASE)
_FOOTNOTE = re.compile(
    r"[*†\d\[\])( .]*(?:note|remark|the exact|(?:for )?(?:the )?full text|see section|substances? with|"
    r"anmerkung|hinweis|(?:vollständiger )?wortlaut|(?:den )?volltext|siehe|stoffe? mit)\b",
    re.IGNORECASE,
)
_HEADING = re.compile(
    r"\b(cas|components?|ingredients?|chemical name|stoffname|bezeichnung|inhaltsstoffe?|"
    r"substance|concentration|weight|wt|section|%|percent)\b|%",
    re.IGNORECASE,
)
_DENSITY = re.compile(r"\s*(\d+(?:\.\d+)?)\s*(g/ml|g/cm3|g/cm³|kg/l|lb/gal|g/l)\s*\Z", re.IGNORECASE)
_PER_LITRE = {"g/ml": 1.0, "g/cm3": 1.0, "g/cm³": 1.0, "kg/l": 1.0, "g/l": 0.001, "lb/gal": 0.119826427}


@dataclass(frozen=True, slots=True)
class Listed:
    """One line of section 3. `share`: fraction by mass as listed; `rest`: it takes what the others leave;
    `how`: how the name was taken where it was not exact; `ingredient` is None where it is not known."""

    name: str
    cas: str
    share: Interval
    written: str
    ingredient: Ingredient | None
    how: str = ""
    withheld: bool = False
    rest: bool = False
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Sheet:
    """What is known of a bottle. Shares are fractions by mass, `flash` degrees C, `density` kg/L; None where not given.

    `complete`: nothing else is in it. `in_water` is mixes, partly, no, or empty.
    """

    product: str
    listed: tuple[Listed, ...]
    steps: tuple[str, ...] = ()
    claims: tuple[str, ...] = ()
    statements: tuple[str, ...] = ()
    flash: float | None = None
    solids: Interval | None = None
    density: float | None = None
    in_water: str = ""
    complete: bool = False
    invented: bool = False
    notes: str = ""
    source: str = ""
    places: dict[str, Place] = field(default_factory=dict)
    file: str = ""


def read_sheet(text: str, name: str, knowledge: Knowledge) -> Sheet:
    """The sheet in `text`; `name` is used in places. Raises Complaint."""
    if knowledge.label is None:
        raise Complaint(
            Place("label.yaml"), "is missing from the knowledge folder", "the words of labels are read there"
        )
    if not text.strip():
        raise Complaint(Place(name, 1, 1), "is empty", "the lines of section 3, or a table with `ingredients:`")
    read = _from_yaml if _YAML.search(text) else _from_lines
    return _checked(read(text, name, knowledge), knowledge)


def _from_yaml(text: str, name: str, knowledge: Knowledge) -> Sheet:
    return _from_node(parse(text, name), name, knowledge)


def read_node(node: Node, name: str, knowledge: Knowledge) -> Sheet:
    """The sheet that a YAML table is, checked. Raises Complaint."""
    return _checked(_from_node(node, name, knowledge), knowledge)


def _from_node(node: Node, name: str, knowledge: Knowledge) -> Sheet:
    row = reading.table(node, "the sheet", TOP, ("ingredients",))
    listed = reading.each(row["ingredients"], "ingredients", lambda node, what: _listed(node, knowledge))
    return _sheet(row, listed, name, knowledge)


def _sheet(row: Mapping[str, Node], listed: tuple[Listed, ...], name: str, knowledge: Knowledge) -> Sheet:
    words = knowledge.label

    def quantity(key: str, kind: str) -> float | None:
        return units.parse(reading.text(row[key], key), kind, row[key].place, key) if key in row else None

    def one(key: str, known: Iterable[str]) -> str:
        return reading.word(row[key], key, known) if key in row else ""

    def said(key: str) -> str:
        return reading.text(row[key], key) if key in row else ""

    return Sheet(
        said("product") or ("the bottle" if name == STDIN else PurePath(name).stem.replace("_", " ")),
        listed,
        reading.each(row["for"], "for", lambda node, what: _use(node, what, knowledge)) if "for" in row else (),
        reading.words(row["claims"], "claims", words.claims) if "claims" in row else (),
        _codes(row["hazards"], knowledge) if "hazards" in row else (),
        quantity("flash", "temperature"),
        share(reading.text(row["solids"], "solids"), row["solids"].place, "solids") if "solids" in row else None,
        _density(row["density"]) if "density" in row else None,
        one("mixes_with_water", IN_WATER),
        "complete" in row and reading.yes_no(row["complete"], "complete"),
        "invented" in row and reading.yes_no(row["invented"], "invented"),
        said("notes"),
        said("source"),
        {key: node.place for key, node in row.items()},
        name,
    )


def _use(node: Node, what: str, knowledge: Knowledge) -> str:
    """A kind of step that leaves a coat, or one of the uses of label.yaml."""
    kinds, uses = knowledge.step_kinds, knowledge.label.uses
    known = [*(kind for kind in kinds if kinds[kind].layer), *uses]
    written = reading.text(node, what)
    if written in kinds and not kinds[written].layer:
        serves = [use.id for use in uses.values() if use.step == written]
        raise Complaint(
            node.place,
            f"{what}: {shown(written)} is work, and leaves no coat",
            f"what the bottle is, such as {' or '.join(serves) or ', '.join(known[:3])}",
        )
    return reading.word(node, what, known)


def _listed(node: Node, knowledge: Knowledge) -> Listed:
    if isinstance(node.value, str):
        return _line(reading.text(node, "an ingredient"), node.place, False, knowledge)
    row = reading.table(node, "an ingredient", FIELDS, ("share",))
    name = reading.text(row["name"], "an ingredient, name") if "name" in row else ""
    number = reading.text(row["cas"], "an ingredient, cas") if "cas" in row else ""
    if not name and not number:
        raise Complaint(node.place, "an ingredient has neither name nor cas", "one of them, or both")
    what = f"ingredient {shown(name or number)}"
    place = row["cas"].place if "cas" in row else row["name"].place
    found = label_names.taken(name, number, knowledge, place, what)
    written = reading.text(row["share"], what)
    return _made(name, number, share(written, row["share"].place, what), written, found, row["share"].place)


def _made(name: str, number: str, part: Interval, written: str, found: label_names.Taken, place: Place) -> Listed:
    rest = bool(label_share.REST.fullmatch(written.strip()))
    return Listed(name or number, number, part, written, found.ingredient, found.how, found.withheld, rest, place)


def _codes(node: Node, knowledge: Knowledge) -> tuple[str, ...]:
    return reading.each(node, "hazards", lambda one, what: _code(reading.text(one, what), one.place, knowledge))


def _code(written: str, place: Place, knowledge: Knowledge) -> str:
    """'H225', also as 'H225: Highly flammable ...' or with the letters of a sub-class, 'H360D'."""
    known = knowledge.label.statements
    found = re.match(r"\s*(EUH\d{3}|H\d{3})", written)
    if not found:
        raise Complaint(place, f"hazards: {shown(written)} is no hazard statement", "codes such as H225 or EUH066")
    if found[1] not in known:
        raise Complaint(place, f"hazards: {found[1]} is not known here", would_accept(found[1].lower(), known))
    return found[1]


def _density(node: Node) -> float:
    written = reading.text(node, "density")
    found = _DENSITY.match(written)
    value = float(found[1]) * _PER_LITRE[found[2].lower()] if found else 0.0
    if not 0.5 <= value <= 3:
        raise Complaint(node.place, f"density: {shown(written)} cannot be", "for instance 0.87 g/mL or 7.3 lb/gal")
    return value


def _from_lines(text: str, name: str, knowledge: Knowledge) -> Sheet:
    """Lines of section 3 as they stand; lines such as `solids: 20 %` between them say the rest."""
    lines = text.splitlines()
    keyed = [line if _KEY.match(line) else "" for line in lines]
    heads = [line for line in lines if "%" in line and not re.search(r"\d", line) and _HEADING.search(line)]
    listed: list[Listed] = []
    statements: list[str] = []
    wrong: list[Complaint] = []
    for number, (line, key) in enumerate(zip(lines, keyed), 1):
        place = Place(name, number, len(line) - len(line.lstrip()) + 1)
        words = line.replace("\t", "  ").strip(" ;|•*·")
        if not words or key or words.startswith("#"):
            continue
        codes = _CODE.findall(words)
        try:
            if codes and not _CODE.sub("", words).strip(" ,;.:/+"):
                statements += [_code(code, place, knowledge) for code in _each_code(codes)]
            elif not _is_aside(words):
                listed.append(_line(words, place, bool(heads), knowledge))
        except Complaint as complaint:
            wrong.append(complaint)
        if len(listed) > MOST_LINES:
            raise Complaint(place, f"more than {MOST_LINES} ingredients", "section 3 alone")
    _all_at_once(wrong)
    row = reading.table(parse("\n".join(keyed), name), "the sheet", TOP) if any(keyed) else {}
    sheet = _sheet(row, tuple(listed), name, knowledge)
    return replace(sheet, statements=tuple(dict.fromkeys([*sheet.statements, *statements])))


def _is_aside(words: str) -> bool:
    """Whether a line is a heading or a footnote: such a line has no registry number and no share."""
    if _HEADING.search(words) and not re.search(r"\d", words):
        return True
    said = _CAS.search(words) or "%" in words
    return bool(not said and (_TITLE.match(words) or _FOOTNOTE.match(words)))


def _each_code(codes: Iterable[str]) -> Iterator[str]:
    """'H226-304-372' as three codes."""
    for code in codes:
        first, *others = re.split(r"[-/+]\s?", code)
        yield from (first, *(f"H{other}" for other in others))


def _all_at_once(wrong: list[Complaint]) -> None:
    """Raise what is wrong with several lines as one complaint."""
    if len(wrong) > 1:
        others = [f"line {one.place.line}: {one.wrong}; {one.accepted}" for one in wrong[1:5] if one.place]
        more = [f"and {len(wrong) - 5} lines more"] if len(wrong) > 5 else []
        raise Complaint(wrong[0].place, wrong[0].wrong, " | ".join([wrong[0].accepted, *others, *more]))
    if wrong:
        raise wrong[0]


def _line(line: str, place: Place, percent: bool, knowledge: Knowledge) -> Listed:
    """One ingredient as it stands on a line: name, number and share in any order."""
    what = f"ingredient {shown(line)}"
    line = _MARK.sub(" ", _OTHER_NUMBER.sub(" ; ", line))
    numbers = [number.lstrip("0") for number in _CAS.findall(line)]
    if len(numbers) > 1:
        raise Complaint(place, f"{what}: {numbers[0]} and {numbers[1]} both read as its number", "one in a line")
    odd = _ODD_CAS.search(line)
    if not numbers and odd:
        label_names.check_number(odd[1], place, what)
    rest = _CAS.sub(" ; ", _HAZARD_CLASS.sub(" ", _CODE.sub(" ", line)))
    part, name = shares_in(rest, place, what, percent)
    if part is None:
        raise Complaint(place, f"{what} has no share", f"{label_share.ACCEPTED}; one ingredient in a line")
    codes = re.sub(r"\(?\bCAS(?:[- ]?(?:no|number|nr))?\b\.?\s*[:#]?\)?", " ", name, flags=re.IGNORECASE)
    name = " ".join(re.sub(r"\s*[;|:]\s*|\s+[-–—]+\s*$|^\s*[-–—]+\s+", " ", codes).split()).strip(" ,-–—()")
    name += ")" * (name.count("(") - name.count(")"))
    number = numbers[0] if numbers else ""
    if not name and not number:
        raise Complaint(place, f"{what} has neither name nor number", "'Ethanol 64-17-5 30 - 60 %'")
    _nothing_dropped(name, rest, place, what, knowledge)
    found = label_names.taken(name, number, knowledge, place, what)
    written = "balance" if label_share.REST.search(rest) else _written(rest)
    return _made(name, number, part, written, found, place)


def _nothing_dropped(name: str, line: str, place: Place, what: str, knowledge: Knowledge) -> None:
    """Complain of a figure that is neither the share nor belongs to the name (a known one, or 'Pigment Red 101'). What
    stands before the registry number, and the share behind that, is the name."""
    if label_names.is_known(name, knowledge):
        return
    before = line.split(";")[0] if ";" in line and any(map(str.isalpha, line.split(";")[0])) else ""
    for figure in label_share.alone(name):
        ahead = re.findall(r"[^\W\d_]+", name[: figure.start()].casefold())
        counts = ahead and ahead[-1] in knowledge.label.numbered
        if not counts and not re.search(rf"(?<![\d.,]){re.escape(figure[1])}(?![\d.,])", before):
            raise Complaint(
                place, f"{what}: {shown(figure[1])} is not understood", "one share in a line, and no other figure"
            )


def _written(line: str) -> str:
    spot = label_share.find(label_share.signs(line), None, "", True)
    return " ".join(spot.group().split()) if spot else ""


def _checked(sheet: Sheet, knowledge: Knowledge) -> Sheet:
    """Complain of what can only be seen over the whole list."""
    if not sheet.listed:
        place = sheet.places.get("ingredients", Place(sheet.file, 1, 1))
        raise Complaint(place, "no ingredient is listed", "at least one line of section 3: name, number, share")
    seen: dict[object, Listed] = {}
    for one in sheet.listed:
        # two cuts of petroleum may go by one name and different numbers
        keys: list[object] = [("name", label_names.plain(one.name), one.cas if one.how else "")]
        keys += [("cas", one.cas)] if one.cas else []
        single = one.ingredient is not None and len(one.ingredient.cas) == 1 and not one.ingredient.mixture
        keys += [("same", one.ingredient.id)] if single else []
        for key in keys:
            if key in seen and not one.withheld:
                first = seen[key].place
                raise Complaint(
                    one.place,
                    f"{shown(one.name)} is listed twice (first in line {first.line if first else '?'})",
                    "once, with its whole share",
                )
            seen[key] = one
    low = sum(one.share.low for one in sheet.listed)
    if low > 1 + 1e-9:
        raise Complaint(
            sheet.places.get("ingredients", sheet.listed[0].place),
            f"the lower ends of the shares add up to {low * 100:g} %, which is more than there is",
            "compare with the sheet: they can be 100 % at most",
        )
    high = sum(one.share.high for one in sheet.listed)
    if sheet.complete and high < 1 - 1e-9:
        raise Complaint(
            sheet.places.get("complete"),
            f"the list is said to be complete, but its upper ends add up to {high * 100:g} % only",
            "wider shares, or leave `complete:` away",
        )
    if sum(one.rest for one in sheet.listed) > 1:
        raise Complaint(sheet.listed[-1].place, "two ingredients take the balance", "one at most")
    tightened([one.share for one in sheet.listed], Interval(0, 1))
    return sheet


def read_text(path: Path | None, stdin: Callable[[], bytes]) -> tuple[str, str]:
    """The text of the file, or of standard input for none or `-`, and the name it goes by. Raises Complaint."""
    if path is not None and str(path) != "-":
        return read_file(path), str(path)
    try:
        return stdin()[: LARGEST_FILE + 1].decode("utf-8-sig"), STDIN
    except UnicodeDecodeError:
        raise Complaint(Place(STDIN), "is not UTF-8 text", "the lines of section 3 as plain text") from None
