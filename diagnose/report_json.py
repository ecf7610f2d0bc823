"""A diagnosis as the documented JSON object. Names and order are stable; README.md lists them."""

from __future__ import annotations

import json
from collections.abc import Iterable

from diagnose.asking import Question
from diagnose.diagnosis import Diagnosis
from diagnose.ledger import Standing
from diagnose.rules import fact_text
from diagnose.section import Section, section


def as_json(diagnoses: Iterable[Diagnosis], checks: Iterable[list[str]] = ()) -> str:
    checks = list(checks)
    cases = [case_object(diagnosis) for diagnosis in diagnoses]
    for case, failed in zip(cases, checks):
        case["failed_expectations"] = failed
    return json.dumps({"cases": cases}, indent=1) + "\n"


def case_object(diagnosis: Diagnosis) -> dict:
    return {
        "case": diagnosis.case.id,
        "title": diagnosis.case.title,
        "invented": diagnosis.case.invented,
        "knowledge": diagnosis.knowledge.version,
        "causes": [_cause(diagnosis, row) for row in diagnosis.ranking],
        "remedies": [
            {
                "id": p.remedy.id,
                "name": p.remedy.name,
                "do": list(p.remedy.do),
                "chance": round(p.chance, 6),
                "fits": p.fits,
                "check_first": None if p.fits else p.remedy.check,
                "effort": {"value": round(p.remedy.minutes, 3), "unit": "min"},
                "harm": p.remedy.harm,
                "for": [
                    {"cause": cause.id, "cures": t.often, "because": t.because, "source": _cited(t.source)}
                    for cause, t in p.reasons
                ],
                "source": _cited(p.remedy.source),
                "cautions": [c.id for c, by in diagnosis.cautions if f"remedy {p.remedy.id}" in by],
            }
            for p in diagnosis.remedies
        ],
        "prevention": [
            {"cause": cause.id, "advice": a.advice, "because": a.because, "source": _cited(a.source)}
            for cause, a in diagnosis.prevention
        ],
        "cautions": [
            {"id": c.id, "title": c.title, "says": c.says, "source": _cited(c.source), "for": list(by)}
            for c, by in diagnosis.cautions
        ],
        "apart": [
            {"complaint": complaint, "cause": row.id, "standing": row.word} for complaint, row in diagnosis.apart
        ],
        "section": _section(section(diagnosis)),
        "next_questions": [_question(q) for q in diagnosis.questions],
        "trace": [
            {
                "fact": step.text,
                "rule": step.rule,
                "from": [fact_text(p) for p in diagnosis.trace.premises(step.fact)],
                **({"said": step.origin} if step.origin else {}),
            }
            for step in diagnosis.trace
        ],
    }


def _section(cut: Section) -> dict:
    failing = cut.failing
    return {
        "layers": [{"step": layer.number, "work": list(layer.work)} for layer in cut.layers],
        "gone": list(cut.gone),
        "failing": {
            "layers": sorted(failing.layers),
            "interfaces": [{"upper": upper, "lower": lower} for lower, upper in sorted(failing.interfaces)],
            "work": sorted(failing.work),
        },
        "told_by": cut.told or None,
        "why": cut.why,
        "from": [fact_text(fact) for fact in cut.by],
    }


def _cause(diagnosis: Diagnosis, row: Standing) -> dict:
    return {
        "id": row.id,
        "name": row.name,
        "standing": row.word,
        "probability": round(row.probability, 6),
        "weight": row.weight,
        "ledger": [
            {
                "rule": e.rule,
                "weight": e.weight,
                "because": e.because,
                "source": e.source,
                "from": [fact_text(fact) for fact in e.facts],
                "counted_with": list(e.with_),
            }
            for e in row.ledger
        ],
    }


def _question(question: Question) -> dict:
    return {
        "finding": question.open.id,
        "question": question.open.question,
        "answers": dict(question.open.answers),
        "why": why_ask(question),
        "bits": round(question.bits, 4),
    }


def why_ask(question: Question) -> str:
    """Which answer would move which causes most, in one line."""
    parts = []
    for answer in question.answers:
        moved = sorted(answer.moves, key=lambda pair: (-abs(pair[1]), pair[0]))[:2]
        if moved:
            parts.append(f"{answer.answer}: " + ", ".join(f"{cause} {weight:+d}" for cause, weight in moved))
    return "; ".join(parts) or "it opens further questions"


def _cited(source) -> str:
    return "; ".join(map(str, source))
