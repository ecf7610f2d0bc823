"""Test boards at work: each half as a case that can be diagnosed, and the cautions that making them calls for."""

from __future__ import annotations

from diagnose.case import Case
from diagnose.diagnosis import Diagnoser
from diagnose.model import Board, Caution


def halves(board: Board) -> tuple[Case, Case]:
    """The failing and the sound half."""
    common = {"piece": board.piece, "air": board.air, "page_done": True}
    fails = Case(f"{board.id}, failing half", steps=board.fails, findings=board.finds, **common)
    sound = Case(f"{board.id}, sound half", steps=board.sound, findings={**board.finds, **board.otherwise}, **common)
    return fails, sound


def board_cautions(diagnoser: Diagnoser, board: Board) -> list[Caution]:
    """What its steps, the piece, the materials it uses and the work itself call for, by title."""
    knowledge = diagnoser.knowledge
    needed = {*board.hazards, *(hazard for use in board.uses for hazard in knowledge.materials[use].hazards)}
    for half in halves(board):
        for caution, by in diagnoser.diagnose(half).cautions:
            if any(need.startswith(("step ", "piece ")) for need in by):
                needed.add(caution.id)
    return sorted((knowledge.cautions[hazard] for hazard in needed), key=lambda caution: (caution.title, caution.id))
