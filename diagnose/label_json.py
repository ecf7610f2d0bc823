"""What a sheet tells, for programs; README.md describes the form."""

from __future__ import annotations

import json

from diagnose.label import Bottle, Told
from diagnose.label_coats import Under
from diagnose.rules import fact_text
from diagnose.shares import Interval


def as_json(bottle: Bottle, coats: tuple[Under, ...]) -> str:
    sheet, words = bottle.sheet, bottle.knowledge.label
    row = {
        "product": sheet.product,
        "invented": sheet.invented,
        "knowledge": bottle.knowledge.version,
        "as": bottle.use or None,
        "claims": list(sheet.claims),
        "statements": [{"code": code, "says": words.statements[code].says} for code in sheet.statements],
        "ingredients": [
            {
                "name": content.name,
                "listed_as": content.listed.name if content.listed else None,
                "ingredient": content.ingredient.id if content.ingredient else None,
                "taken": (content.listed.how or None) if content.listed else None,
                "share": _share(content.share),
            }
            for content in bottle.inside
        ],
        "amounts": {
            name: {"of": words.amounts[name].of, **_share(amount.share)} for name, amount in bottle.amounts.items()
        },
        "evaporation": _evaporation(bottle),
        "distances": [{"to": d.to, **_ends(d.ra, "MPa^0.5")} for d in bottle.distances],
        "answers": {told.answer.id: _answer(told, bottle) for told in bottle.told},
        "disagrees": [{"id": value, **_why(bottle, "disagrees", value)} for value in bottle.disagrees],
        "coats": [_coat(one) for one in coats],
        "cautions": [{"id": caution.id, "title": caution.title, "for": list(by)} for caution, by in bottle.cautions],
        "trace": [
            {
                "fact": step.text,
                "rule": step.rule,
                "from": [fact_text(premise) for premise in bottle.trace.premises(step.fact)],
                **({"said": step.origin} if step.origin else {}),
            }
            for step in bottle.trace
        ],
    }
    return json.dumps(row, indent=1) + "\n"


def _ends(ends: Interval, unit: str) -> dict:
    return {"least": {"value": round(ends.low, 6), "unit": unit}, "most": {"value": round(ends.high, 6), "unit": unit}}


def _share(share: Interval) -> dict:
    return _ends(Interval(share.low * 100, share.high * 100), "%")


def _evaporation(bottle: Bottle) -> dict | None:
    leaving = bottle.blend
    if leaving is None:
        return None
    unit = "n-butyl acetate = 1"
    return {
        "first": {**_ends(leaving.first, unit), "class": leaving.early or None},
        "last": {**_ends(leaving.last, unit), "class": leaving.late or None},
        "of": [{"name": row.name, **_ends(row.rate, unit), "source": row.source} for row in leaving.leaving],
    }


def _answer(told: Told, bottle: Bottle) -> dict:
    return {
        "title": told.answer.title,
        "is": [{"value": value, **_why(bottle, told.answer.attribute, value)} for value in told.values],
        "is_not": list(told.never),
        "open": list(told.open),
        "would_tell": told.answer.want if told.open or not told.values else None,
    }


def _why(bottle: Bottle, attribute: str, value: str) -> dict:
    step = bottle.trace[bottle.fact(attribute, value)]
    rule = bottle.by.rule(step.rule)
    return {
        "rule": step.rule,
        "because": rule.because if rule else None,
        "source": rule.source if rule else None,
        "fact": step.text,
    }


def _coat(one: Under) -> dict:
    return {
        "coat": one.coat.id,
        "verdict": one.verdict,
        "harms": [
            {"condition": h.condition, "rule": h.rule, "because": h.because, "source": h.source} for h in one.harms
        ],
        "barriers": list(one.barriers),
        "would_tell": [f"{name}: {value}" for name, value in one.wants],
        "eases": list(one.eases),
        "scuff": one.scuff,
        "minds": [{"condition": h.condition, "because": h.because, "source": h.source} for h in one.minds],
    }
