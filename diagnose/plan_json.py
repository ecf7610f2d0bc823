"""A plan as the documented JSON object. Names and order are stable; README.md lists them."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence

from diagnose.materials_needed import Need, needs
from diagnose.model import Citation, Remedy, Step, Treatment
from diagnose.planning import Danger, Plan, Way
from diagnose.rules import fact_text
from diagnose.section import Place
from diagnose.threats import Sign, Threat
from diagnose.unjudged import Blank


def as_json(plan: Plan, blanks: Sequence[Blank]) -> str:
    return json.dumps(plan_object(plan, blanks), indent=1) + "\n"


def plan_object(plan: Plan, blanks: Sequence[Blank]) -> dict:
    diagnosis, knowledge = plan.diagnosis, plan.diagnosis.knowledge
    trace = diagnosis.trace
    return {
        "case": plan.case.id,
        "title": plan.case.title,
        "invented": plan.case.invented,
        "knowledge": knowledge.version,
        "sound": plan.sound and not plan.unnamed,
        "unnamed": [step.number for step in plan.unnamed],
        "dangers": [_danger(danger, plan) for danger in (*plan.faults, *plan.natures)],
        "mended": {
            "changes": [_edit(Way(edit, None, ())) for edit in plan.mending],
            "steps": [_step(step) for step in plan.mending[-1].case.steps] if plan.mending else [],
            "left": [threat_object(threat) for threat in plan.left],
        },
        "safeguards": [
            {
                "fact": fact_text(guard.fact),
                "because": rule.because if (rule := diagnosis.rule(trace[guard.fact].rule)) else "",
                "source": rule.source if rule else "",
                "against": [cause.id for cause in guard.against],
            }
            for guard in plan.safeguards
        ],
        "not_told": [_blank(blank) for blank in blanks],
        "waits": [
            {"step": wait.step, "given": _time(wait.given), "needed": _time(wait.needed), "short": wait.short}
            for wait in plan.waits
        ],
        "materials": [_need(need) for need in needs(plan.case, knowledge)],
        "boards": [{"id": board.id, "name": board.name, "cause": board.cause} for board in plan.boards],
        "cautions": [
            {"id": c.id, "title": c.title, "says": c.says, "source": _cited(c.source), "for": list(by)}
            for c, by in plan.cautions
        ],
        "trace": [
            {
                "fact": step.text,
                "rule": step.rule,
                "from": [fact_text(p) for p in trace.premises(step.fact)],
                **({"said": step.origin} if step.origin else {}),
            }
            for step in trace
            if step.fact[0] not in ("weigh", "fits", "barred", "proposed", "advised", "caution")
        ],
    }


def threat_object(threat: Threat) -> dict:
    """A threat without the schedule it belongs to."""
    return {
        "cause": threat.cause.id,
        "name": threat.cause.name,
        "brought_by": "schedule" if threat.fault else "nature",
        "serious": threat.serious,
        "weight": threat.score,
        "pull": threat.pull,
    }


def _danger(danger: Danger, plan: Plan) -> dict:
    return {
        **threat_object(danger.threat),
        "at": _place(danger.place),
        "steps": sorted(danger.steps),
        "signs": [_sign(sign) for sign in danger.threat.signs],
        "changes": [_edit(way) for way in danger.ways],
        "cure": _cure(*danger.cure) if danger.cure else None,
    }


def _cure(treatment: Treatment, remedy: Remedy) -> dict:
    return {
        "remedy": remedy.id,
        "cures": treatment.often,
        "effort": _minutes(remedy.minutes),
        "harm": remedy.harm,
    }


def _sign(sign: Sign) -> dict:
    return {
        "fact": fact_text(sign.fact),
        "weight": sign.decibans,
        "because": sign.link.because,
        "source": _cited(sign.link.source),
    }


def _edit(way: Way) -> dict:
    return {
        "change": way.edit.change.id,
        "says": way.edit.change.name,
        "steps": list(way.edit.steps),
        "value": way.edit.value or None,
        "effort": _minutes(way.edit.minutes),
        "leaves": way.left or 0,
        "brings": [{"cause": threat.cause.id, "serious": threat.serious} for threat in way.brings],
    }


def _place(place: Place) -> dict:
    return {
        "layers": sorted(place.layers),
        "interfaces": [{"upper": upper, "lower": lower} for lower, upper in sorted(place.interfaces)],
        "work": sorted(place.work),
    }


def _blank(blank: Blank) -> dict:
    return {
        "about": " ".join(map(str, blank.about)),
        "would_matter": [
            {
                "value": value,
                "brings": [threat.cause.id for threat in brought],
            }
            for value, brought in blank.would
        ],
    }


def _step(step: Step) -> dict:
    return {"do": step.do, **{name: given.written for name, given in step.given.items()}}


def _need(need: Need) -> dict:
    known = need.low is not None and need.high is not None
    amount = {"low": round(need.low, 3), "high": round(need.high, 3), "unit": "L"} if known else None
    return {"step": need.step, "amount": amount, "source": need.source}


def _time(seconds: float | None) -> dict | None:
    return None if seconds is None else {"value": round(seconds / 3600, 3), "unit": "h"}


def _minutes(minutes: float) -> dict:
    return {"value": round(minutes, 1), "unit": "min"}


def _cited(source: Iterable[Citation]) -> str:
    return "; ".join(map(str, source))
