"""A troubleshooter for wood finishes: what happened, why, what to do about it, and how that was reasoned."""

__version__ = "0.1.0"
