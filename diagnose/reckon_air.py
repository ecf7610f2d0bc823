"""`diagnose reckon air`: is the air fit to coat in? Words in, a Sum out."""

from __future__ import annotations

import argparse

from diagnose import air, units
from diagnose.sums import Figure, Remark, Sum

PSYCHROLIB = "PsychroLib, after ASHRAE Handbook Fundamentals 2017, chapter 1"


def add_to(parser: argparse.ArgumentParser) -> None:
    parser.description = "Dew point and wet bulb of the air."
    parser.epilog = "Example: diagnose reckon air 12C 85%"
    parser.add_argument("temperature", metavar="TEMPERATURE", help="of the air, for instance 12C or 65F")
    parser.add_argument("humidity", metavar="HUMIDITY", help="relative humidity, for instance 85%%")


def reckon(chosen: argparse.Namespace) -> Sum:
    """Raises Complaint."""
    temperature = units.parse(chosen.temperature, "temperature", None, "temperature")
    humidity = units.parse(chosen.humidity, "share", None, "humidity")
    dew = air.dew_point(temperature, humidity)
    given = (
        ("air", units.in_both(temperature, "temperature")),
        ("relative humidity", units.show(humidity, "share")),
    )
    figures = (
        Figure("dew_point", "dew point", round(dew, 1), "temperature", "saturation pressure inverted", PSYCHROLIB),
    )
    remarks: tuple[Remark, ...] = ()
    return Sum("The air", given, figures, remarks)
