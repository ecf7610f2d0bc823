"""Questions put back to the program about a diagnosis: how, why not, suppose, overturn. One grammar for the prompt of a
consultation and for `diagnose run --ask`; each reply is lines for a screen and an object for JSON."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from diagnose import reasons_text as write
from diagnose.case import Given
from diagnose.complaint import Complaint, shown
from diagnose.consultation import Consultation
from diagnose.diagnosis import Diagnosis
from diagnose.ledger import Standing
from diagnose.naming import named_cause, named_question
from diagnose.prompts import understand
from diagnose.reasons import Contrast, Pillar, Supposed, contrast, overturning, pillars
from diagnose.rules import fact_text

HOW_LEVELS = ("short", "with the mechanisms", "with the rules and sources, down to your own answers")


@dataclass(frozen=True, slots=True)
class Reply:
    """`lines` for a screen of some width; `data` is what JSON says."""

    asked: str
    lines: Callable[[int], list[str]]
    data: dict


def how(diagnosis: Diagnosis, rest: str, level: int = len(HOW_LEVELS) - 1) -> Reply:
    """How a cause (the first unless named) comes to its standing: 0 short, 1 with mechanisms, 2 all of it."""
    cause = named_cause(diagnosis.knowledge, rest) if rest else diagnosis.first.id
    row = diagnosis.standing_of(cause)
    entries = [
        {"weight": e.weight, "because": e.because, "source": e.source, "from": _facts(e.facts)} for e in row.ledger
    ]
    return Reply(
        f"how {rest}".strip(),
        lambda width: write.how_lines(diagnosis, row, width, level),
        {"cause": cause, "weight": row.weight, "ledger": entries},
    )


def why_not(diagnosis: Diagnosis, rest: str) -> Reply:
    """Why a cause does not stand first (or, of the first, why the runner-up does not)."""
    if not rest:
        raise Complaint(None, "why not which cause?", "for instance `why not " + diagnosis.ranking[1].name + "`")
    found = contrast(diagnosis, named_cause(diagnosis.knowledge, rest))
    return Reply(f"why not {rest}", lambda width: write.contrast_lines(diagnosis, found, width), _contrast(found))


def suppose(diagnosis: Diagnosis, rest: str) -> Reply:
    """What would stand if one answer were another."""
    name, given = supposed(diagnosis, rest)
    case = diagnosis.case.with_given(name, given)
    after = diagnosis.by.diagnose(case)
    data = {
        "question": name,
        "answer": list(given.values),
        "before": [_standing(row) for row in diagnosis.ranking[:5]],
        "after": [_standing(row) for row in after.ranking[:5]],
    }
    return Reply(f"suppose {rest}", lambda width: write.difference_lines(diagnosis, after, name, width), data)


def supposed(diagnosis: Diagnosis, rest: str) -> tuple[str, Given]:
    """The question and the answer in "QUESTION = ANSWER" (or without the sign). Raises Complaint."""
    begun = Consultation(diagnosis.by, diagnosis.case)
    head, sign, tail = rest.partition("=")
    if sign:
        name = named_question(diagnosis.knowledge, diagnosis.case, head.strip())
        return name, understand(begun.prompt_for(name), tail.strip())
    words = rest.split()
    for size in range(len(words) - 1, 0, -1):
        try:
            name = named_question(diagnosis.knowledge, diagnosis.case, " ".join(words[:size]))
            return name, understand(begun.prompt_for(name), " ".join(words[size:]))
        except Complaint:
            continue
    example = next((n for n, given in diagnosis.case.findings.items() if given.known), "pattern")
    accepted = f"a question, `=` and an answer, for instance `suppose {example} = unknown`"
    raise Complaint(None, f"{shown(rest)} supposes nothing that is known here" if rest else "suppose what?", accepted)


def overturn(diagnosis: Diagnosis, rest: str) -> Reply:
    """What would put another cause first, and which answers the verdict rests on."""
    if rest:
        raise Complaint(None, f"`overturn` takes nothing after it, not {shown(rest)}", "`overturn` alone")
    sets, rests = overturning(diagnosis), pillars(diagnosis)
    return Reply(
        "overturn",
        lambda width: write.overturn_lines(diagnosis, sets, rests, width),
        {"by": [_supposed(one) for one in sets], "rests_on": [_pillar(one) for one in rests]},
    )


INQUIRIES = {"how": how, "why not": why_not, "suppose": suppose, "overturn": overturn}


def inquire(diagnosis: Diagnosis, asked: str) -> Reply:
    """The reply to one such question. Raises Complaint where it is none."""
    words = asked.split()
    for size in (2, 1):
        ask = INQUIRIES.get(" ".join(words[:size]).lower())
        if ask:
            return ask(diagnosis, " ".join(words[size:]))
    raise Complaint(
        None, f"{shown(asked)} cannot be asked", "how [CAUSE], why not CAUSE, suppose QUESTION = ANSWER, overturn"
    )


def _facts(facts) -> list[str]:
    return [fact_text(fact) for fact in facts]


def _standing(row: Standing) -> dict:
    return {"id": row.id, "standing": row.word, "probability": round(row.probability, 6), "weight": row.weight}


def _supposed(one: Supposed) -> dict:
    answers = [{"question": asked.id, "answer": answer} for asked, answer in one.answers]
    return {"answers": answers, "chance": round(one.chance, 6), "first": _standing(one.diagnosis.first)}


def _pillar(one: Pillar) -> dict:
    return {
        "question": one.name,
        "answer": list(one.given.values),
        "first_without": _standing(one.first),
        "fall": round(one.fall, 6),
    }


def _contrast(found: Contrast) -> dict:
    return {
        "first": _standing(found.first),
        "other": _standing(found.other),
        "gap": found.gap,
        "sides": [
            {
                "from": _facts(side.facts),
                "first": side.first.weight if side.first else 0,
                "other": side.other.weight if side.other else 0,
            }
            for side in found.sides
        ],
        "helping": [
            {"question": asked.id, "answer": answer, "decibans": gain} for asked, answer, gain in found.helping
        ],
        "closing": _supposed(found.closing) if found.closing else None,
    }
