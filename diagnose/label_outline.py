"""What a sheet tells, as an outline: worded once for text, Markdown and HTML (blocks.py)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diagnose.blocks import Block, Outline, Pairs, Part, Points, Text, Warnings
from diagnose.label import BOTTLE, COATS, COLOURS, LISTED, Bottle, Told, listed_words, share_words
from diagnose.label_amounts import EVAPORATES, Content
from diagnose.label_coats import Harm, Under
from diagnose.load_ingredients import ENDS, PARTS
from diagnose.outline import FIRST_OF_ALL, Citations, chain_from, sources
from diagnose.rules import Fact
from diagnose.shares import Interval, together
from diagnose.words import value_words

ORGANIC = "listed_organic"
OPEN_FROM = 0.05  # a share of the bottle that is not known and is worth saying at once
GUIDE = (
    "A Hansen distance tells how alike two liquids are in what they dissolve: below about 8, what dissolves in the one "
    "mostly dissolves in the other; above about 12 mostly not (bounds from memory). It is a guide for solvents and "
    "resins. It fails for water, which mixes with alcohol at any distance, and says nothing of how fast, of salts and "
    "acid dyes, or of a blend that changes while it dries."
)
RATES = (
    "Rates are relative to n-butyl acetate = 1; sources differ by a fifth and more, so they rank and do not time. "
    "Water leaves the more slowly the damper the air. The last of a blend decides how long an edge stays open, and "
    "how long the next coat has to wait."
)
TRY = "All this is read off a list. Try it on scrap, with the coat that is to follow, before it goes on the piece."
TRIED = (
    "Each coat was tried by the rules over the dried colour, wiped and given its time. What the sheet leaves open was "
    "counted against it."
)
_OF = {"bottle": "", "volatile": " in what evaporates", "listed": ""}


def outline(bottle: Bottle, coats: tuple[Under, ...]) -> Outline:
    """Everything that can be said of the bottle, down to the reasoning and the sources."""
    cited = Citations()
    parts = [
        _short(bottle, coats),
        _what_it_is(bottle, cited),
        _disagrees(bottle, cited),
        _inside(bottle),
        _behaves(bottle, cited),
        _coats(bottle, coats, cited) if coats else None,
        _open(bottle, coats),
        _leaves(bottle),
        _cautions(bottle, cited),
        _chain(bottle, cited),
    ]
    parts.append(sources(cited))
    title = bottle.sheet.product
    invented = " (invented)" if bottle.sheet.invented and "invented" not in title else ""
    return Outline(title + invented, tuple(_about(bottle)), tuple(part for part in parts if part and part.blocks))


def _about(bottle: Bottle) -> Iterator[str]:
    said = "" if bottle.sheet.steps else " (by what is in it; `for:` says otherwise)"
    use = f"as {use_words(bottle)}{said}" if bottle.use else "not told what it is for (`for:` tells)"
    yield f"read from {bottle.sheet.file or 'its sheet'}, {use}; knowledge {bottle.knowledge.version}"
    if bottle.sheet.source:
        yield f"source: {bottle.sheet.source}"
    if bottle.sheet.notes:
        yield f"noted: {bottle.sheet.notes}"


def use_words(bottle: Bottle) -> str:
    if bottle.use in bottle.knowledge.step_kinds:
        return bottle.knowledge.step_kinds[bottle.use].name
    return bottle.knowledge.attributes["step", "used_as"].values[bottle.use]


def _what_it_is(bottle: Bottle, cited: Citations) -> Part | None:
    """What is said of a bottle that is no coat and no colour."""
    use = bottle.knowledge.label.uses.get(bottle.use)
    if use is None:
        return None
    how = "" if bottle.sheet.steps else f" {_why(bottle, 'used_as', use.id, cited)}"
    said = f"It is {use_words(bottle)}.{how} {use.says} {cited.of(use.source)}"
    return Part("use", "What it is", (Text(said, True),))


def words_of(told: Told, bottle: Bottle, values: Iterable[str]) -> str:
    attribute = bottle.knowledge.attributes["step", told.answer.attribute]
    return ", ".join(value_words(attribute, value, bottle.knowledge) for value in values)


def _short(bottle: Bottle, coats: tuple[Under, ...]) -> Part:
    pairs = []
    if not bottle.use:
        kinds = ", ".join((COLOURS, COATS, *bottle.knowledge.label.uses))
        pairs.append(
            ("What it is for", f"not told what it is for; `for:` tells ({kinds} ...), and opens what rests on it")
        )
    elif bottle.use in bottle.knowledge.label.uses:
        pairs.append(("It is", use_words(bottle)))
    for told in bottle.told:
        if told.values and told.answer.short and not told.moot:
            pairs.append((told.answer.title, _sentence(words_of(told, bottle, told.values))))
    for label, verdict, scuff in (
        ("No fault known of directly under", "safe", (False,)),
        ("No fault known of, once scuffed, under", "safe", (True,)),
        ("Needs a barrier under", "barrier", (False, True)),
        ("Not told under", "open", (False, True)),
    ):
        names = [one.coat.name for one in coats if one.verdict == verdict and one.scuff in scuff]
        if names:
            pairs.append((label, "every coat tried" if len(names) == len(coats) else "; ".join(names)))
    if bottle.cautions:
        pairs.append(("Mind, told below", "; ".join(caution.title for caution, _ in bottle.cautions)))
    unknown = [n for n, content in enumerate(bottle.inside) if content.ingredient is None]
    hidden = together([content.share for content in bottle.inside], (), unknown)
    if hidden.high >= OPEN_FROM:
        pairs.append(("Not listed or not known", f"{share_words(hidden, 2)} of the bottle; it widens every answer"))
    if bottle.disagrees:
        count = len(bottle.disagrees)
        pairs.append(("Label against list", f"{count} disagreement{'s' if count > 1 else ''}, told next"))
    return Part("short", "In short", (Pairs(tuple(pairs)), Text(TRY, True)))


def _sentence(words: str) -> str:
    return words[:1].lower() + words[1:] if words[:2].istitle() else words


def _disagrees(bottle: Bottle, cited: Citations) -> Part | None:
    values = bottle.knowledge.attributes["step", "disagrees"].values
    said = [f"{values[value]} {_why(bottle, 'disagrees', value, cited)}" for value in bottle.disagrees]
    return Part("disagrees", "Where label and list disagree", tuple(Text(one, True) for one in said)) if said else None


def _why(bottle: Bottle, attribute: str, value: str, cited: Citations) -> str:
    """The reason of the rule behind a fact, with its source; of an ingredient, what it does."""
    name = bottle.trace[bottle.fact(attribute, value)].rule
    rule = bottle.by.rule(name)
    if rule:
        return f"{rule.because} {cited.cite(rule.source)}"
    one = bottle.knowledge.ingredients.get(name.removeprefix("ingredient/"))
    return f"It stands on the list as {one.name}. {cited.of(one.source)}" if one else ""


def _inside(bottle: Bottle) -> Part:
    pairs = [(content.name, _content_words(content)) for content in bottle.inside if content.listed]
    hidden = [content for content in bottle.inside if content.listed is None and content.share.high > 0]
    blocks: list[Block] = [Pairs(tuple(pairs))]
    if hidden:
        said = "; ".join(listed_words(content) for content in hidden)
        blocks.append(Text(f"{said[0].upper()}{said[1:]}. {bottle.knowledge.label.unlisted_says}"))
    return Part("inside", "What is in it", tuple(blocks))


def _content_words(content: Content) -> str:
    listed, one = content.listed, content.ingredient
    share = share_words(content.share)
    said = [f"{share} ({PARTS[one.part]})" if one else f"{share} (not known here)"]
    if listed.written and content.share != listed.share and not listed.rest:
        said[0] += f"; listed as {listed.written}, narrowed by the rest of the sheet"
    if listed.how:
        how = f"On the sheet: {listed.name}; {listed.how}" if one else f"{listed.how[0].upper()}{listed.how[1:]}"
        said.append(how if how.endswith("?") else f"{how}.")
    elif one and listed.name.casefold() not in (one.name.casefold(), listed.cas):
        said.append(f"On the sheet: {listed.name}.")
    if one is None:
        said.append("It may be anything, so every answer below allows for that.")
    return " ".join([said[0] + ".", *said[1:], *([one.says] if one else [])])


def _behaves(bottle: Bottle, cited: Citations) -> Part:
    pairs = []
    for told in bottle.told:
        says = [f"{words_of(told, bottle, told.values)}."] if told.values else []
        figures = _figures(told, bottle)
        if figures and told.values:
            says[0] = f"{says[0][:-1]} ({figures})."
        if not (figures and len(told.values) > 1):  # with several values the figures say it better than as many reasons
            reasons = (_why(bottle, told.answer.attribute, value, cited) for value in told.values)
            says += list(dict.fromkeys(reasons))
        if told.never and (told.open or bottle.knowledge.attributes["step", told.answer.attribute].many):
            attribute = bottle.knowledge.attributes["step", told.answer.opposite]
            said = "; ".join(value_words(attribute, value, bottle.knowledge) for value in told.never)
            says.append(f"Surely not: {said}.")
        if says and not (told.moot and not told.values):
            pairs.append((told.answer.title, " ".join(says)))
    return Part("behaves", "How it behaves", (Pairs(tuple(pairs)),))


def _figures(told: Told, bottle: Bottle) -> str:
    """The shares that an answer is read from, without those of nothing: 'water 70 to 90 % of what evaporates'."""
    words, found = bottle.knowledge.label.amounts, bottle.amounts
    named = [name for name in told.answer.amounts if found[name].share.high > 0]
    said = "; ".join(f"{words[name].name} {share_words(found[name].share, 2)}" for name in named)
    of = " of what evaporates" if named and words[named[-1]].of == EVAPORATES else ""
    return f"{said}{of}"


def _coats(bottle: Bottle, coats: tuple[Under, ...], cited: Citations) -> Part:
    blocks: list[Block] = [Text(TRIED)]
    materials = bottle.knowledge.materials
    tried = ", ".join(materials[name].name for name in bottle.knowledge.label.barriers)
    for scuff, label in ((False, "Directly"), (True, "After scuffing")):
        safe = [one.coat.name for one in coats if one.verdict == "safe" and one.scuff == scuff]
        if safe:
            blocks.append(Pairs(((label, "; ".join(safe) + ". No fault known of."),)))
    minds: dict[str, tuple[Harm, list[str]]] = {}
    for one in coats:
        for mind in one.minds if one.verdict == "safe" else ():
            minds.setdefault(mind.condition, (mind, []))[1].append(one.coat.name)
    for mind, names in minds.values():
        said = f"{'; '.join(names)}: {mind.does}. {mind.because} {cited.cite(mind.source)}"
        blocks.append(Pairs((("Mind", said),)))
    for verdict, label in (("barrier", "Not directly"), ("open", "Not told")):
        groups: dict[tuple, list[Under]] = {}
        for one in coats:
            if one.verdict == verdict:
                groups.setdefault((one.harms[0].condition, one.barriers, one.wants, one.eases), []).append(one)
        for (_, barriers, wants, eases), same in groups.items():
            harm = same[0].harms[0]
            names = "; ".join(one.coat.name for one in same)
            between = " or ".join(materials[name].name for name in barriers)
            said = [
                f"{names}: {harm.does}." if verdict == "barrier" else f"{names}: {harm.does}, if {_if(bottle, wants)}."
            ]
            said.append(f"{harm.because} {cited.cite(harm.source)}" if verdict == "barrier" else "")
            said.append(
                f"With {between} between, it is safe."
                if between
                else f"None of the barriers tried ({tried}) is surely safe on the colour either. Sprayed as a mist and "
                "let dry, a coat disturbs it least."
            )
            said += [f"{one[0].upper()}{one[1:]}." for one in eases]
            blocks.append(Pairs(((label, " ".join(filter(None, said))),)))
    return Part("coats", "Coats over it", tuple(blocks))


def _if(bottle: Bottle, wants: tuple[tuple[str, str], ...]) -> str:
    said = []
    for name, value in wants:
        if name == "product":
            said.append(f"it is {bottle.knowledge.materials[value].name}")
            continue
        told = next(one for one in bottle.told if one.answer.attribute == name)
        words = value_words(bottle.knowledge.attributes["step", name], value, bottle.knowledge)
        said.append(
            f"{words} takes the dried colour up"
            if name == "redissolves_in"
            else f"{told.answer.title.lower()} is {words}"
        )
    return " or ".join(said) or "what the sheet leaves open is so"


def _open(bottle: Bottle, coats: tuple[Under, ...]) -> Part | None:
    said = []
    for told in bottle.told:
        answer = told.answer
        if not answer.want or told.moot or (told.values and not told.open):
            continue
        figures = f" As listed: {_figures(told, bottle)}." if not told.values and _figures(told, bottle) else ""
        what = f", beside that: {_or([words_of(told, bottle, [value]) for value in told.open])}" if told.values else ""
        said.append(f"{answer.title}{what}. What would tell: {answer.want}.{figures}")
    return Part("open", "Not told by this sheet", (Points(tuple(said)),)) if said else None


def _or(said: list[str]) -> str:
    between = "; " if any("," in one for one in said) else ", "
    return f"{between.join(said[:-1])} or {said[-1]}" if len(said) > 1 else said[0]


def _leaves(bottle: Bottle) -> Part | None:
    leaving = bottle.blend
    if leaving is None:
        return None
    pairs = [(row.name, f"{_rate(row.rate)}, {share_words(row.share)} of the bottle") for row in leaving.leaving]
    ends = (
        ("The whole, to begin with", f"{_rate(leaving.first)}{_class(leaving.early)}"),
        ("Its slowest tenth", f"{_rate(leaving.last)}{_class(leaving.late)}"),
    )
    blocks: list[Block] = [Pairs((*pairs, *ends)), Text(RATES)]
    if bottle.sheet.density:
        low, high = (round(end * bottle.sheet.density * 1000, -1) for end in bottle.amounts[ORGANIC].share)
        blocks.insert(1, Pairs((("Organic solvent on the list", f"{low:g} to {high:g} g in a litre"),)))
    if bottle.distances:
        blocks.append(Pairs(tuple((f"Hansen distance to {d.name}", _range(d.ra)) for d in bottle.distances)))
        blocks.append(Text(GUIDE))
    return Part("leaves", "How its liquid leaves", tuple(blocks))


def _class(pace: str) -> str:
    return f" ({pace})" if pace else " (of more than one class: the sheet leaves too much open)"


def _rate(rate: Interval) -> str:
    return "not known" if rate.high >= 15 else _range(rate)


def _range(ends: Interval) -> str:
    low, high = (f"{end:.2g}" for end in ends)
    return low if low == high else f"{low} to {high}"


def _cautions(bottle: Bottle, cited: Citations) -> Part:
    blocks: list[Block] = [Text(FIRST_OF_ALL, True)]
    statements = bottle.knowledge.label.statements
    if bottle.sheet.statements:
        blocks.append(Points(tuple(f"{code}: {statements[code].says}." for code in bottle.sheet.statements)))
    else:
        blocks.append(Text("No hazard statement was given (section 2 of the sheet has them)."))
    if bottle.cautions:
        rows = ((c.title, "; ".join(by), f"{c.says} {cited.of(c.source)}") for c, by in bottle.cautions)
        blocks.append(Warnings(tuple(rows)))
    return Part("cautions", "Mind", tuple(blocks))


def _chain(bottle: Bottle, cited: Citations) -> Part | None:
    shown = [bottle.fact(told.answer.attribute, value) for told in bottle.told for value in told.values]
    shown += [bottle.fact(told.answer.opposite, value) for told in bottle.told for value in told.never]
    shown += [bottle.fact("disagrees", value) for value in bottle.disagrees]
    told, _ = chain_from(bottle.trace, shown, cited, bottle.by.rule, lambda fact: fact_words(fact, bottle))
    return Part("reasoning", "How this was reasoned", (told,)) if told.links else None


def fact_words(fact: Fact, bottle: Bottle) -> str:
    """One fact of the bottle as a sentence without its full stop."""
    if fact[0] == LISTED:
        return f"in the bottle, {fact[1]}"
    if fact[:2] != ("step", BOTTLE):
        return " ".join(map(str, fact))
    _, _, name, value = fact
    for end in ENDS:
        amount = bottle.knowledge.label.amounts.get(name.removesuffix(f"_{end}"))
        if amount and name.endswith(end):
            return f"{amount.name}{_OF[amount.of]}: {end.replace('_', ' ')} {value * 100:.3g} %"
    attribute = bottle.knowledge.attributes["step", name]
    said = value_words(attribute, value, bottle.knowledge)
    return f"{name.replace('_', ' ')}: {said}".rstrip(".")
