"""Moist air at the bench, by PsychroLib (ASHRAE Handbook Fundamentals 2017, chapter 1)."""

from __future__ import annotations


def dew_point(temperature: float, humidity: float) -> float | None:
    """Dew point in C of air at `temperature` (C) and `humidity` (0 to 1); None where it lies below -100 C."""
    import psychrolib  # here, since most runs need no air

    psychrolib.SetUnitSystem(psychrolib.SI)
    try:
        return psychrolib.GetTDewPointFromRelHum(temperature, humidity)
    except ValueError:
        return None
