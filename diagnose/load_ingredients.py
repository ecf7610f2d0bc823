"""Reading the ingredients of products, and the words by which the sheet of a product is read (label.yaml)."""

from __future__ import annotations

from diagnose import cas, reading
from diagnose.complaint import Complaint, shown, would_accept
from diagnose.draft import Draft
from diagnose.label_model import Amount, Answer, HazardStatement, Ingredient, LabelWords, Use
from diagnose.model import Attribute
from diagnose.tables import table as reference
from diagnose.yamltree import Node

PARTS = {
    "solvent": "leaves as it dries",
    "binder": "stays and makes the film",
    "dye": "dissolved colour",
    "pigment": "colour in grains",
    "hardener": "reacts with the binder",
    "drier": "speeds the drying of oil",
    "plasticizer": "stays and keeps the film soft",
    "reagent": "acts on the wood itself",
    "additive": "changes little of what is told here",
}
FIELDS = ("name", "also", "cas", "part", "traits", "figures", "hazards", "says", "source", "mixture")
LABEL = (
    *("claims", "statements", "amounts", "unlisted", "withheld", "numbered", "undecided"),
    *("answers", "uses", "harms", "eases", "coats", "barriers", "keeps"),
)
MAY_LACK = ("numbered", "uses")
ANSWER = ("title", "attribute", "opposite", "amounts", "want", "short", "worst", "unless")
OF = ("bottle", "volatile", "listed")
ENDS = ("at_least", "at_most")


def read_ingredients(node: Node, draft: Draft) -> None:
    """The ingredients. No two share a registry number or a name, so that a sheet cannot mean two of them."""
    for key, entry in reading.table(node, "the ingredients").items():
        name = draft.new(draft.ingredients, node, key, "ingredient")
        what = f"ingredient {key}"
        row = reading.table(entry, what, FIELDS, ("name", "part", "says", "source"))
        made = Ingredient(
            name,
            reading.text(row["name"], what),
            reading.each(row.get("also"), f"{what}, also", reading.text),
            reading.each(row.get("cas"), f"{what}, cas", _cas),
            reading.word(row["part"], f"{what}, part", PARTS),
            _traits(row.get("traits"), what, draft),
            _figures(row.get("figures"), key, what),
            draft.hazards(row.get("hazards"), what),
            reading.text(row["says"], what),
            draft.cite(row["source"], what),
            node.keys[key],
            "mixture" in row and reading.yes_no(row["mixture"], f"{what}, mixture"),
        )
        for other in draft.ingredients.values():
            for ours, theirs in ((made.cas, other.cas), (spellings(made), spellings(other))):
                for shared in sorted(set(ours) & set(theirs)):
                    raise Complaint(made.place, f"{what}: {shown(shared)} is also {other.id}", f"see {other.place}")
        draft.ingredients[name] = made


def spellings(ingredient: Ingredient) -> set[str]:
    """Every name it goes by, as `plain` writes it."""
    return {plain(name) for name in (ingredient.id, ingredient.name, *ingredient.also)}


def plain(name: str) -> str:
    """A name without case, spaces and signs, as far as these tell nothing: '1-Methoxy-2-propanol' as sheets vary it."""
    return "".join(sign for sign in name.casefold() if sign.isalnum())


def _cas(node: Node, what: str) -> str:
    number = reading.text(node, what)
    if not cas.is_sound(number):
        right = f"the last digit would be {cas.check_digit(number)}" if cas.NUMBER.match(number) else "like 64-17-5"
        raise Complaint(node.place, f"{what}: {shown(number)} is no registry number", right)
    return number


def _traits(node: Node | None, what: str, draft: Draft) -> tuple[tuple[str, str], ...]:
    traits = []
    known = _traits_known(draft)
    for trait, value in reading.table(node, f"{what}, traits", known).items() if node else ():
        attribute = draft.attributes["step", trait]
        traits += [(trait, one) for one in reading.words(value, f"{what}, {trait}", attribute.values)]
    return tuple(traits)


def _traits_known(draft: Draft) -> list[str]:
    return [name for of, name in draft.attributes if of == "step"]


def _figures(node: Node | None, key: str, what: str) -> str:
    rows = reference("solvents")
    if node is None:
        return key if key in rows else ""
    return reading.word(node, f"{what}, figures", rows)


def read_label(node: Node, draft: Draft) -> None:
    """label.yaml; every amount, claim and hazard statement becomes something that rules can look at in a step."""
    row = reading.table(
        node, "the words of labels", LABEL, tuple(key for key in LABEL if key not in ("numbered", "uses"))
    )
    claims = {
        reading.name(Node(key, row["claims"].keys[key]), "claim"): reading.text(value, f"claim {key}")
        for key, value in reading.table(row["claims"], "claims").items()
    }
    statements = {
        code: _statement(code, value, draft) for code, value in reading.table(row["statements"], "statements").items()
    }
    amounts = {key: _amount(key, value, draft) for key, value in reading.table(row["amounts"], "amounts").items()}
    for amount in amounts.values():
        for end in ENDS:
            _derive(draft, f"{amount.id}_{end}", "share", {}, node)
    _derive(draft, "not_listed", "choice", {amount.id: amount.name for amount in amounts.values()}, node)
    _derive(draft, "claim", "choice", claims, node)
    _derive(draft, "not_claimed", "choice", claims, node)
    _derive(draft, "statement", "choice", {code: one.says for code, one in statements.items()}, node)
    unlisted = reading.table(row["unlisted"], "unlisted", names := ("says", "liquid", "solid", "rate", "source"), names)
    rates = reading.each(unlisted["rate"], "unlisted, rate", _rate)
    if len(rates) != 2:
        raise Complaint(unlisted["rate"].place, "unlisted, rate takes two figures", "[least, most]")
    materials = {key: reading.words(row[key], key, draft.materials) for key in ("coats", "barriers")}
    draft.label = LabelWords(
        claims,
        statements,
        amounts,
        reading.text(unlisted["says"], "unlisted, says"),
        reading.words(unlisted["liquid"], "unlisted, liquid", amounts),
        reading.words(unlisted["solid"], "unlisted, solid", amounts),
        rates,
        draft.cite(unlisted["source"], "unlisted"),
        reading.each(row["withheld"], "withheld", reading.text),
        reading.each(row.get("numbered"), "numbered", reading.text),
        tuple(
            (trait, reading.words(value, f"undecided, {trait}", PARTS))
            for trait, value in reading.table(row["undecided"], "undecided", _traits_known(draft)).items()
        ),
        {key: _answer(key, value, draft, amounts) for key, value in reading.table(row["answers"], "answers").items()},
        {key: _use(key, value, draft) for key, value in reading.table(row["uses"], "uses").items()}
        if "uses" in row
        else {},
        *(
            {key: reading.text(value, key) for key, value in reading.table(row[name], name).items()}
            for name in ("harms", "eases")
        ),
        materials["coats"],
        materials["barriers"],
        reading.words(row["keeps"], "keeps", _traits_known(draft)),
        node.place,
    )


def _use(key: str, node: Node, draft: Draft) -> Use:
    what = f"use {key}"
    row = reading.table(node, what, ("says", "for", "source"), ("says", "source"))
    step = reading.word(row["for"], f"{what}, for", draft.step_kinds) if "for" in row else ""
    return Use(key, reading.text(row["says"], what), step, draft.cite(row["source"], what))


def _derive(draft: Draft, name: str, kind: str, values: dict[str, str], node: Node) -> None:
    if ("step", name) in draft.attributes:
        raise Complaint(node.place, f"{shown(name)} is an attribute of steps already", "another name")
    draft.attributes["step", name] = Attribute(name, "step", kind, values, True, "", (), True, node.place)


def _rate(node: Node, what: str) -> float:
    written = reading.text(node, what)
    try:
        return float(written)
    except ValueError:
        raise Complaint(node.place, f"{what}: {shown(written)} is no number", "n-butyl acetate = 1") from None


def _statement(code: str, node: Node, draft: Draft) -> HazardStatement:
    row = reading.table(node, f"statement {code}", ("says", "hazards"), ("says",))
    hazards = draft.hazards(row.get("hazards"), f"statement {code}")
    return HazardStatement(code, reading.text(row["says"], f"statement {code}"), hazards)


def _amount(key: str, node: Node, draft: Draft) -> Amount:
    what = f"amount {key}"
    row = reading.table(node, what, ("name", "of", "parts", "traits", "barred"), ("name", "of"))
    return Amount(
        key,
        reading.text(row["name"], what),
        reading.word(row["of"], f"{what}, of", OF),
        reading.words(row["parts"], f"{what}, parts", (*PARTS, "unlisted")) if "parts" in row else (),
        _wanted(row.get("traits"), f"{what}, traits", draft),
        _wanted(row.get("barred"), f"{what}, barred", draft),
    )


def _wanted(node: Node | None, what: str, draft: Draft) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Traits, each with the values of which one will do."""
    known = _traits_known(draft)
    return tuple(
        (trait, reading.words(value, f"{what}, {trait}", draft.attributes["step", trait].values))
        for trait, value in (reading.table(node, what, known).items() if node else ())
    )


def _answer(key: str, node: Node, draft: Draft, amounts: dict[str, Amount]) -> Answer:
    what = f"answer {key}"
    row = reading.table(node, what, ANSWER, ("title", "attribute"))
    known = _traits_known(draft)
    return Answer(
        key,
        reading.text(row["title"], what),
        reading.word(row["attribute"], f"{what}, attribute", known),
        reading.word(row["opposite"], f"{what}, opposite", known) if "opposite" in row else "",
        reading.words(row["amounts"], f"{what}, amounts", amounts) if "amounts" in row else (),
        reading.text(row["want"], what) if "want" in row else "",
        "short" in row and reading.yes_no(row["short"], f"{what}, short"),
        "worst" in row and reading.yes_no(row["worst"], f"{what}, worst"),
        _wanted(row.get("unless"), f"{what}, unless", draft),
    )


def check_label(draft: Draft) -> None:
    """Conditions named in label.yaml, which are read later than it."""
    for name in (*draft.label.harms, *draft.label.eases) if draft.label else ():
        if name not in draft.conditions:
            raise Complaint(draft.label.place, f"{shown(name)} is no condition", would_accept(name, draft.conditions))
