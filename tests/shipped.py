"""The shipped knowledge, compiled once for all tests of a process."""

from functools import cache

from diagnose.diagnosis import Diagnoser
from diagnose.load import load

knowledge = cache(load)


@cache
def diagnoser() -> Diagnoser:
    return Diagnoser(knowledge())
