"""The words that work at any prompt of a session, each a name, what it does and how."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.asking import Answer, guides
from diagnose.casefile import NotSaved, save
from diagnose.complaint import Complaint
from diagnose.diagnosis import Diagnosis
from diagnose.inquiry import HOW_LEVELS, Reply, how, inquire, supposed
from diagnose.layout import percent, wrap
from diagnose.naming import named_question
from diagnose.prompts import Prompt
from diagnose.reasons import still_open
from diagnose.report_text import report, standing
from diagnose.words import answer_words, how_strongly

if TYPE_CHECKING:
    from diagnose.session import Session


@dataclass(frozen=True, slots=True)
class Word:
    """A word that works at any prompt. `run` returns False to leave."""

    name: str
    says: str
    run: Callable[[Session, str], bool]
    at_end: bool = False


def _back(session: Session, _: str) -> bool:
    earlier = session.now.back()
    if earlier is None:
        session.say("There is no answer to take back.")
    else:
        session._move(earlier)
    return True


def _why(session: Session, rest: str) -> bool:
    now, width = session.now, session.console.width
    if rest.lower().startswith("not"):
        return _put_back(session, f"why {rest}")
    prompt = now.prompt
    if prompt is None:
        session.say("Nothing is being asked.")
        return True
    question = now.chosen if not now.opening else None
    if now.wanted:
        question = next((q for q in still_open(now.diagnosis) if q.open.id == now.wanted), None)
        if question is None:
            session.say("You chose to answer it.")
            return True
    if question is None:
        rules = [rule for rule in now.diagnoser.knowledge.rules if _uses(rule.when, prompt)]
        first = now.diagnoser.knowledge.strategies["first_looks"]
        session.say(
            f"{first.says} (strategy {first.id}) This is part of that page: {len(rules)} rules of the base look at "
            "it. If you don't know, they stay silent; nothing is read into that."
        )
        return True
    lines = []
    for strategy in guides(now.diagnosis.ahead, question, now.diagnosis.open_questions):
        lines += wrap(f"{strategy.says} (strategy {strategy.id})", width)
    told = f"This one takes about {question.open.kind.minutes:g} min and is expected to tell {question.bits:.2f} bits"
    lines += wrap(f"{told} about the causes that stand.", width)
    for answer in question.answers:
        said = question.open.answers[answer.answer]
        lines += wrap(f"{said} ({percent(answer.chance)} expected): {_moved(session, answer)}", width, "  - ")
    if prompt.shows:
        lines += wrap(prompt.shows, width, "  ")
    session.show(lines)
    return True


def _moved(session: Session, answer: Answer) -> str:
    """'strongly for X (+10); a little against Y (-2)': the causes that matter most of those an answer moves."""
    now = session.now
    knowledge, chances = now.diagnoser.knowledge, now.diagnosis.ahead.chances
    moved = sorted(answer.moves, key=lambda pair: (-abs(pair[1]) * chances[pair[0]] - abs(pair[1]) / 1e3, pair[0]))
    said = [
        f"{how_strongly(weight)} {'for' if weight > 0 else 'against'} {knowledge.causes[cause].name} ({weight:+d})"
        for cause, weight in moved[:4]
    ]
    return "; ".join(said) or "leaves all as it is"


def _uses(patterns, prompt: Prompt) -> bool:
    about = prompt.about
    for pattern in patterns:
        if about[0] == "finding" and pattern[:2] == ("answer", about[1]):
            return True
        if about[0] in ("piece", "air") and pattern[:2] == about[:2]:
            return True
        if (
            about[0] in ("do", "step")
            and pattern[0] == "step"
            and pattern[2] == (about[2] if about[0] == "step" else "do")
        ):
            return True
    return False


def _standing(session: Session, _: str) -> bool:
    now, width = session.now, session.console.width
    lines = standing(now.diagnosis, width, most=8) if now.case.findings else ["Nothing was said yet."]
    for name, given in now.case.findings.items():
        knowledge = now.diagnoser.knowledge
        lines += wrap(f"{knowledge.findings[name].short}: {answer_words(name, given, knowledge)}", width, "  - ")
    session.show(lines)
    return True


def _how(session: Session, rest: str) -> bool:
    """Asked again about the same thing it climbs: from the weights to the mechanisms to rules, sources and chain."""
    if not session.now.case.findings:
        session.say("Nothing was said yet.")
        return True
    about = (rest, session.now.case)
    session.climbed = (*about, min(session.climbed[2] + 1, len(HOW_LEVELS) - 1) if session.climbed[:2] == about else 0)
    return _put_back(session, f"how {rest}", lambda now: how(now, rest, session.climbed[2]))


def _suppose(session: Session, rest: str) -> bool:
    return _put_back(session, f"suppose {rest}")


def _overturn(session: Session, rest: str) -> bool:
    return _put_back(session, f"overturn {rest}")


def _put_back(session: Session, asked: str, ask: Callable[[Diagnosis], Reply] | None = None) -> bool:
    """A question put back to the program about the case as it stands."""
    if not session.now.case.findings:
        session.say("Nothing was said yet.")
        return True
    try:
        reply = ask(session.now.diagnosis) if ask else inquire(session.now.diagnosis, asked)
        session.show(reply.lines(session.console.width))
    except Complaint as complaint:
        session.refuse(complaint)
    return True


def _tell(session: Session, rest: str) -> bool:
    """Answer a question of the user's own choice, asked for or not, or one that was answered, otherwise."""
    now = session.now
    if not now.case.findings:
        session.say("Say what is wrong first; then anything can be told.")
        return True
    try:
        try:
            name, given = supposed(now.diagnosis, rest)
        except Complaint:
            wanted = named_question(now.diagnoser.knowledge, now.case, rest)
            session.now = replace(now, wanted=wanted)
            return True
        session.told(name, given)
    except Complaint as complaint:
        session.refuse(complaint)
    return True


def _save(session: Session, where: str) -> bool:
    if not where:
        session.store()
        if not session.unsaved:
            session.say(f"Saved in {session.path}; so is every answer as it is given. `save OTHER.yaml` writes a copy.")
        return True
    other = Path(where)
    if other.suffix not in (".yaml", ".yml"):
        session.say("A case file's name ends in .yaml.")
        return True
    if other.exists():
        session.say(f"{other} exists already; nothing was written over it. Choose another name.")
        return True
    try:
        save(session.now.case, other, session.now.diagnoser.knowledge.version)
        session.say(f"A copy is in {other}.")
    except NotSaved as error:
        session.say(f"NOT SAVED in {other}: {error}.")
    return True


def _leave(session: Session, sure: str) -> bool:
    if session.unsaved and sure != "anyway":
        session.say(
            f"The last answers are NOT SAVED ({session.unsaved}). `save OTHER.yaml` keeps them, "
            "`leave anyway` drops them."
        )
        return True
    session.say(session.left())
    return False


def _help(session: Session, _: str) -> bool:
    lines = []
    for word in WORDS:
        lines += wrap(word.says, session.console.width, f"  {word.name:<9}")
    lines += wrap(
        "An answer is its number, its words or the beginning of them; Enter alone means you don't know.",
        session.console.width,
    )
    session.show(lines)
    return True


def _report(session: Session, _: str) -> bool:
    if session.now.case.findings:
        session.console.say(report(session.now.diagnosis, session.console.width))
    else:
        session.say("Nothing was said yet.")
    return True


def _more(session: Session, _: str) -> bool:
    more = session.now.asked_for_more()
    if more.prompt is None:
        session.say("No question is left that would tell anything.")
    else:
        session.now = more
    return True


WORDS = (
    Word("back", "take the last answer back", _back),
    Word("why", "why this is asked, and what each answer would move; `why not CAUSE`: why not that one", _why),
    Word("how", "how the first cause comes to stand there; again: why, and the sources; `how CAUSE` of another", _how),
    Word("suppose", "`suppose QUESTION = ANSWER`: what would stand if that were so", _suppose),
    Word("overturn", "what would put another cause first, and which of your answers carry it", _overturn),
    Word("tell", "`tell QUESTION = ANSWER`: answer it unasked, or otherwise than before", _tell),
    Word("standing", "where the causes stand now", _standing),
    Word("save", "where it is saved; with a name, write a copy", _save),
    Word("leave", "end here; it can be taken up again", _leave),
    Word("help", "these words", _help),
    Word("report", "everything, with the reasoning", _report, at_end=True),
    Word("more", "ask further although enough is known", _more, at_end=True),
)
