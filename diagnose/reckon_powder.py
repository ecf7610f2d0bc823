"""Dye powder: its strength in a liquid, and how much of it a strength and a volume take."""

from __future__ import annotations

import argparse

from diagnose import units
from diagnose.complaint import Complaint
from diagnose.reckon_words import ARITHMETIC, PRACTICE, least, noticeable, only, read, step, too_coarse
from diagnose.sums import Figure, Remark, Sum

NIST = "NIST Handbook 44, Appendix C (avoirdupois ounce 28.349523125 g, US gallon 3.785411784 L)"


def powder_in(chosen: argparse.Namespace) -> Sum:
    from diagnose.mixing import strength

    only(chosen, ("powder", "liquid"), "--powder and --in")
    if not (chosen.powder and chosen.liquid):
        raise Complaint(None, "powder and liquid are needed", "--powder 1 oz --in 2 qt")
    mass, volume = read(chosen.powder, "mass", "powder"), read(chosen.liquid, "volume", "in")
    given = (("powder", units.in_both(mass, "mass")), ("in", units.in_both(volume, "volume")))
    return Sum("Strength of dye powder", given, _strengths(strength(mass, volume)), _powder_remarks(mass / volume))


def powder_wanted(chosen: argparse.Namespace) -> Sum:
    from diagnose.mixing import least_step, powder_for

    only(chosen, ("strength", "volume", "least"), "--strength without parts")
    if not chosen.volume:
        raise Complaint(None, "a volume is needed", "--strength 15 g/L --volume 3 L")
    wanted, volume = read(chosen.strength, "strength", "strength"), read(chosen.volume, "volume", "volume")
    mass = powder_for(wanted, volume)
    size = least(chosen.least).get("mass") or least_step(mass, "mass")
    weighed = round(mass / size) * size
    moved = round((weighed / mass - 1) * 100, 2)
    given = (("strength", units.in_both(wanted, "strength")), ("liquid", units.in_both(volume, "volume")))
    figures = (
        Figure("powder", "weigh of powder", weighed, "mass", f"to the nearest {step(size, 'mass')}", PRACTICE),
        Figure("exact", "exactly", mass, "mass", "strength * volume", ARITHMETIC),
        Figure("moved", "rounding moves the strength by", moved, "", "weighed / exact - 1", ARITHMETIC, "%"),
    )
    remarks = _powder_remarks(wanted)
    if abs(weighed / mass - 1) < 5e-4:
        figures = figures[:1]
    if abs(weighed / mass - 1) > noticeable():
        remarks += (too_coarse(f"the powder by {moved:+.2g} %", "weigh finer (--least), or make more"),)
    return Sum("Dye powder for a volume", given, figures + _strengths(wanted), remarks)


def _strengths(value: float) -> tuple[Figure, ...]:
    ways = (("oz_per_quart", "oz/qt", "oz/US qt"), ("oz_per_gallon", "oz/gal", "oz/US gal"))
    return (
        Figure("strength", "strength", value, "strength", "powder / liquid put in", NIST),
        *(
            Figure(name, f"in {unit}", units.within(value, "strength", inner), "", "g/L in other units", NIST, unit)
            for name, inner, unit in (*ways, ("oz_per_imperial_gallon", "oz/impgal", "oz/imp gal"))
        ),
    )


def _powder_remarks(value: float) -> tuple[Remark, ...]:
    from diagnose.tables import table

    known = table("mixing")["strengths"]
    row = known["seldom_above"]
    usual, strong = (f"about {known[name]['value']} g/L ({known[name]['says']})" for name in ("medium", "strong"))
    says = f"Of dye powder {usual} is a usual full strength, {strong} a strong one; the label's own comes first."
    found = [Remark("scale", True, says, f"{known['medium']['source']}; {known['strong']['source']}")]
    if value > float(row["value"]) * 1.005:
        says = f"More than {row['value']} g/L ({row['says']}) is seldom needed and stays on the wood as dust."
        found.append(Remark("very_strong", False, says, row["source"]))
    return (*found, *practice())


def practice() -> tuple[Remark, ...]:
    from diagnose.tables import table

    spoon = table("mixing")["spoonful"]
    return (
        Remark(
            "hot_water",
            True,
            "Dissolve powder in hot distilled water (or the liquid its label names), let it cool overnight, strain it.",
            PRACTICE,
        ),
        Remark(
            "weigh",
            True,
            f"Weigh powder: a teaspoon of one colour weighs {spoon['low']} oz, of another {spoon['high']} oz.",
            spoon["source"],
        ),
        Remark(
            "dust",
            True,
            "Dye powder flies: open it out of any draught, with gloves and a dust mask; the safety data sheet has the "
            "rest. Heat water only; never a liquid that burns.",
            PRACTICE,
        ),
    )
