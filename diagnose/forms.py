"""An outline in the form that was asked for: text of the terminal's width, Markdown or a page of HTML."""

from __future__ import annotations

from diagnose.blocks import Outline


def in_form(told: Outline, form: str, kicker: str, version: str = "") -> str:
    """`kicker` says above the title of a page what kind of page it is; `version` is that of the knowledge, if any."""
    if form == "html":
        from diagnose.report_html import page

        return page(told, kicker, version)
    if form == "markdown":
        from diagnose.report_markdown import explanation

        return explanation([told])
    from diagnose.layout import terminal_width
    from diagnose.report_text import explanation

    return explanation([told], terminal_width())
