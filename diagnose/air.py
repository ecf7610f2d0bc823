"""Moist air at the bench, by PsychroLib (ASHRAE Handbook Fundamentals 2017, chapter 1)."""

from __future__ import annotations


def dew_point(temperature: float, humidity: float) -> float:
    """Dew point in C of air at `temperature` (C) and relative `humidity` (0 to 1, above 0)."""
    import psychrolib  # here, since most runs need no air

    psychrolib.SetUnitSystem(psychrolib.SI)
    return psychrolib.GetTDewPointFromRelHum(temperature, humidity)
