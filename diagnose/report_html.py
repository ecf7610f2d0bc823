"""Diagnoses as one page of HTML that needs nothing from elsewhere: no script, no font, no picture, no network.

The page is made by Jinja2 with autoescaping on; every text that is put in is made printable first, so that nothing of a
case can become markup or turn the direction of what follows. `render` is the frame for any page of this program.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable
from functools import cache
from importlib import resources

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from diagnose import draw_reasoning, draw_section
from diagnose.blocks import Block
from diagnose.complaint import printable
from diagnose.diagnosis import Diagnosis
from diagnose.layout import percent
from diagnose.outline import FIRST_OF_ALL, Outline, outline


def as_html(diagnoses: Iterable[Diagnosis]) -> str:
    """One page for all the cases, with a table of contents."""
    cases = [(diagnosis, outline(diagnosis)) for diagnosis in diagnoses]
    title = cases[0][1].title if len(cases) == 1 else f"{len(cases)} finishes that failed"
    return render("report.html", title, cases=[_case(n, *case) for n, case in enumerate(cases, 1)])


def explanation(outlines: Iterable[Outline], version: str) -> str:
    """One page for what is known of a name."""
    told = list(outlines)
    return render("explanation.html", told[0].title, entries=told, version=version)


def page(told: Outline, kicker: str, version: str) -> str:
    """One page for one outline; `kicker` says above the title what kind of page it is."""
    return render("told.html", told.title, told=told, kicker=kicker, version=version)


def render(template: str, title: str, **given: object) -> str:
    """The page that `template` (in diagnose/page/) makes, in the frame that it extends."""
    style = resources.files("diagnose").joinpath("page/style.css").read_text(encoding="utf-8")
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    # the style is ours and stands in the package, so it alone goes in as it is; its digest is what the policy admits
    return _environment().get_template(template).render(title=title, style=Markup(style), digest=digest, **given)


@cache
def _environment() -> Environment:
    made = Environment(
        loader=PackageLoader("diagnose", "page"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        finalize=lambda value: printable(value) if type(value) is str else value,
    )
    made.filters["percent"] = percent
    made.globals["first_of_all"] = FIRST_OF_ALL
    made.tests["block"] = _is_block
    made.globals["draw_section"] = draw_section
    made.globals["draw_reasoning"] = draw_reasoning
    return made


def _is_block(value: Block, name: str) -> bool:
    return type(value).__name__ == name


def _case(number: int, diagnosis: Diagnosis, told: Outline) -> dict[str, object]:
    return {"id": f"case-{number}", "told": told, "first": diagnosis.first, "version": diagnosis.knowledge.version}
