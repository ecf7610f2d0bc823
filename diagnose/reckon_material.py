"""What `diagnose reckon mix --area` takes where no test board tells: material for an area by coverage."""

from __future__ import annotations

import argparse

from diagnose import units
from diagnose.complaint import Complaint
from diagnose.reckon_words import PRACTICE, only, read
from diagnose.sums import Figure, Remark, Sum

Given = tuple[tuple[str, str], ...]  # label, words


def coverage_of(chosen: argparse.Namespace) -> tuple[float, float, str]:
    """(least, most m2/L, source): as given, or by the kind of coat and how it goes on."""
    from diagnose.mixing import coverage

    if chosen.coverage:
        if chosen.kind or chosen.by:
            raise Complaint(None, "--coverage and --kind say the same twice", "one of them")
        given = read(chosen.coverage, "coverage", "coverage")
        return given, given, "the coverage given"
    if not (chosen.kind and chosen.by):
        raise Complaint(
            None, "how far it goes is not said", "--board and --used, --coverage 10 m2/L, or --kind and --by"
        )
    return coverage(chosen.kind, chosen.by)


def covers(least: float, most: float, source: str) -> Figure:
    formula = "as given" if least == most else "table, by the kind of coat and how it goes on"
    value = least if least == most else (least, most)
    return Figure("coverage", "coverage reckoned with", value, "coverage", formula, source)


def covers_given(chosen: argparse.Namespace, least: float, most: float) -> Given:
    how = () if chosen.coverage else (("coat", f"{chosen.kind} by {chosen.by}".replace("_", " ")),)
    ends = " to ".join(dict.fromkeys(units.in_both(end, "coverage") for end in (least, most)))
    return (*how, ("coverage", ends))


def material(chosen: argparse.Namespace) -> Sum:
    from diagnose.mixing import needed

    only(chosen, ("area", "spare", "coats", "coverage", "kind", "by"), "--area without parts")
    area, spare = read(chosen.area, "area", "area"), read(chosen.spare, "share", "spare") or 0.0
    least, most, source = coverage_of(chosen)
    low, high = (needed(area, chosen.coats or 1, covers, spare) for covers in (most, least))
    figure = Figure(
        *("material", "material", low if low == high else (low, high), "volume"),
        *("area * coats / coverage * (1 + spare)", source),
    )
    remarks = (
        Remark("label_first", True, "The coverage on the label of the product comes before any table.", PRACTICE),
    )
    given = (*job_given(chosen, area, spare), *covers_given(chosen, least, most))
    return Sum("Material for an area", given, (covers(least, most, source), figure), remarks)


def job_given(chosen: argparse.Namespace, area: float, spare: float) -> Given:
    return (
        ("area", units.in_both(area, "area")),
        ("coats", str(chosen.coats or 1)),
        ("to spare", units.show(spare, "share") if spare else "nothing"),
    )
