"""The audit of test boards: each is a demonstration that the rules must agree with."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.boards import halves
from diagnose.diagnosis import Diagnoser
from diagnose.flaws import LIKELY, PARTS, Flaw
from diagnose.ledger import met_links, score


def boards(diagnoser: Diagnoser) -> Iterator[Flaw]:
    """Boards with which the rules do not agree: a half that fails otherwise than said, or a sound half that is none."""
    for board in diagnoser.knowledge.boards.values():
        fails, sound = map(diagnoser.diagnose, halves(board))
        first, cause = fails.first, diagnoser.knowledge.causes[board.cause]
        if first.id != cause.id or first.probability < LIKELY:
            what = f"{board.id}: the failing half comes to {first.id} ({first.word}), not to {cause.id} as likely"
            yield Flaw("board-fails-otherwise", board.place, what, board.id)
        less = score(cause, met_links(fails.store.facts)) - score(cause, met_links(sound.store.facts))
        if less < PARTS:
            what = f"{board.id}: {cause.id} weighs only {less} decibans less on the sound half"
            yield Flaw("board-not-sound", board.place, what, board.id)
