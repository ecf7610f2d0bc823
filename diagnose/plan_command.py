"""`diagnose plan FILE`: what a schedule could fail by, before it is carried out."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.complaint import Complaint, Place

if TYPE_CHECKING:
    from diagnose.planning import Plan, Planner
    from diagnose.what_if import Effect

DONE = 0
KICKER = "A schedule looked at beforehand"


def add_to(commands: argparse._SubParsersAction, common: Callable[[argparse.ArgumentParser], None]) -> None:
    """Put the command among the commands; `common` adds what all of them take."""
    plan = commands.add_parser(
        "plan",
        help="look at a schedule before it is carried out",
        description="What a schedule could fail by, where, why, and the least change against it. FILE is a case file "
        "without a failure.",
        epilog="Example: diagnose plan shared/examples/plans/maple_top.yaml --if 'step 4 dried = 24 h'",
    )
    plan.add_argument("file", type=Path, metavar="FILE")
    plan.add_argument(
        "--if",
        action="append",
        default=[],
        dest="changes",
        metavar="CHANGE",
        help="what it would be with a change: 'step 4 dried = 24 h', 'air humidity = 50 %%', 'without step 5', "
        "'swap step 3 and step 4', 'after step 3: sealer, dewaxed shellac'; several are made together",
    )
    plan.add_argument("--format", choices=("text", "json", "html", "markdown"), default="text")
    common(plan)
    plan.set_defaults(run=_run)


def _run(chosen: argparse.Namespace) -> int:
    from diagnose.case import read_cases
    from diagnose.keeping import ready
    from diagnose.planning import Planner

    planner = Planner(ready(getattr(chosen, "knowledge", None)))
    cases = read_cases(chosen.file, planner.knowledge)
    if len(cases) != 1:
        raise Complaint(Place(str(chosen.file)), f"holds {len(cases)} cases", "one schedule a file")
    (case,) = cases
    if not case.steps:
        raise Complaint(Place(str(chosen.file)), "lists no step", "`steps:`, from bare wood upwards")
    if case.findings:
        print("diagnose: what was found is left aside; `diagnose run` looks at a failure", file=sys.stderr)
    if chosen.changes:
        _what_if(planner, case, chosen)
        return DONE
    _whole(planner, planner.plan(case), chosen.format)
    return DONE


def _whole(planner: Planner, plan: Plan, form: str) -> None:
    from diagnose.forms import in_form
    from diagnose.plan_outline import outline
    from diagnose.unjudged import blanks

    now = {danger.threat.cause.id: danger.threat for danger in (*plan.faults, *plan.natures)}
    untold = blanks(plan.diagnosis, planner.forecast, now)
    if form == "json":
        from diagnose.plan_json import as_json

        sys.stdout.write(as_json(plan, untold))
        return
    sys.stdout.write(in_form(outline(plan, untold), form, KICKER, planner.knowledge.version))


def _what_if(planner: Planner, case, chosen: argparse.Namespace) -> None:
    from dataclasses import replace

    from diagnose.forms import in_form
    from diagnose.plan_outline import effect_outline
    from diagnose.what_if import changed, effect

    case = replace(case, findings={})
    after = changed(case, chosen.changes, planner.knowledge)
    found = effect(tuple(chosen.changes), after, planner.threats(case), planner.threats(after))
    if chosen.format == "json":
        sys.stdout.write(json.dumps(_effect_object(found), indent=1) + "\n")
        return
    told = effect_outline(found, planner.knowledge)
    sys.stdout.write(in_form(told, chosen.format, KICKER, planner.knowledge.version))


def _effect_object(found: Effect) -> dict:
    from diagnose.plan_json import threat_object

    return {
        "if": list(found.asked),
        "gone": [threat_object(threat) for threat in found.gone],
        "come": [threat_object(threat) for threat in found.come],
        "moved": [{**threat_object(after), "pull_before": before.pull} for before, after in found.moved],
    }
