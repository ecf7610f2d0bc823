"""What cold does to a stated drying time."""

from __future__ import annotations

from diagnose.tables import table


def needed_time(stated: float, temperature: float | None) -> float:
    """Seconds of drying needed at `temperature` (C) where the class usually needs `stated` at room temperature.

    Colder than the stated temperature each step of shared/drying.yaml doubles the time; warmth is not counted as gain,
    because the film skins over and labels do not promise it.
    """
    if temperature is None:
        return stated
    row = table("drying")
    colder = max(0.0, float(row["stated_at"]["value"]) - temperature)
    return stated * 2 ** (colder / float(row["doubles_every"]["value"]))
