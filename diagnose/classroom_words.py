"""The words of a practice, each a name, what it does and how. Those that a consultation has mean the same here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from diagnose.complaint import Complaint, nearest, shown
from diagnose.inquiry import inquire
from diagnose.layout import wrap
from diagnose.model import UNLISTED
from diagnose.practice import GIVEN_UP, Practice, find_cause, find_checks, number_in, short_of
from diagnose.practice_text import check_lines, how_lines, kind_lines, page_lines, reasoning_text
from diagnose.reading import as_name
from diagnose.report_text import report, standing

if TYPE_CHECKING:
    from diagnose.classroom import Classroom


@dataclass(frozen=True, slots=True)
class Word:
    """`takes`: something may follow it; `after`: it is of use after the verdict only. `run` returns False to leave."""

    name: str
    says: str
    run: Callable[[Classroom, str], bool]
    takes: bool = False
    after: bool = False


def unknown_words(practice: Practice, written: str) -> Complaint:
    """Why `written` makes no check, with what comes nearest."""
    word, number = as_name(written), number_in(written)
    if number is not None:
        last = practice.numbered()[-1][0] if practice.open else 0
        done = 1 <= number <= len(practice.offered)
        wrong = "was made already, or does not arise any more" if done else "is no number here"
        return Complaint(None, f"{shown(written)} {wrong}", f"`checks` lists what is open, up to {last}")
    try:
        cause = find_cause(practice.knowledge, written)
        named = practice.knowledge.causes[cause].name if cause != UNLISTED else "none of these"
        return Complaint(
            None, f"{shown(written)} is no check", f"`suspect {named}` to suspect it, `verdict {named}` to settle on it"
        )
    except Complaint:
        pass
    shorts = {as_name(short_of(practice, o.id)): number for number, o in practice.numbered()}
    near = [f"{shorts[name]} ({name.replace('_', ' ')})" for name in nearest(word, shorts)]
    accepted = f"did you mean {' or '.join(near)}?" if near else "a number, a word of a question, or `help`"
    return Complaint(None, f"nothing here goes by {shown(written)}", accepted)


def _open(room: Classroom) -> None:
    """Complain where the verdict is given already."""
    if room.review:
        raise Complaint(None, "the verdict is given", "`more` for another case, `why`, `report` or `leave`")


def _withheld(room: Classroom) -> None:
    if room.review is None:
        raise Complaint(
            None, "that is withheld until your verdict", "`nudge` for a hint, `verdict NAME` or `concede` to be told"
        )


def _checks(room: Classroom, what: str) -> bool:
    _open(room)
    found = find_checks(room.now, what)
    if not found:
        raise unknown_words(room.now, what) if what else Complaint(None, "nothing is left to look at", "`verdict NAME`")
    room.show(check_lines(room.now, found, room.console.width))
    return True


def _page(room: Classroom, _: str) -> bool:
    width = room.console.width
    lines = page_lines(room.now, width)
    for number, cause in enumerate(room.now.suspects, 1):
        lines += ["", *wrap("Your suspects:", width)] if number == 1 else []
        lines += wrap(_cause_name(room, cause), width, f"{number:>4}  ")
    if not room.review:
        lines += ["", *wrap("Still open:", width), *kind_lines(room.now, width)]
    room.show(lines)
    return True


def _how(room: Classroom, what: str) -> bool:
    _open(room)
    found = find_checks(room.now, what)
    if not what or not found:
        raise unknown_words(room.now, what) if what else Complaint(None, "how what is done", "`how NUMBER`")
    for number, o in found[:3]:
        room.show(["", *how_lines(room.now, number, o, room.console.width)])
    if len(found) > 3:
        room.say(f"{len(found) - 3} more; `checks {what}` lists them.")
    return True


def _cause_name(room: Classroom, cause: str) -> str:
    causes = room.diagnoser.knowledge.causes
    return causes[cause].name if cause in causes else "none of the causes in this base"


def _suspect(room: Classroom, what: str) -> bool:
    _open(room)
    if not what:
        named = [_cause_name(room, cause) for cause in room.now.suspects]
        raise Complaint(
            None, f"whom? Suspected so far: {'; '.join(named) or 'none'}", "`suspect NAME`, a part of it will do"
        )
    cause = find_cause(room.diagnoser.knowledge, what)
    if cause in room.now.suspects:
        room.say(f"Suspected already: {_cause_name(room, cause)}.")
        return True
    room.earlier.append(room.now)
    room.now = room.now.suspect(cause)
    room.say(f"Suspected: {_cause_name(room, cause)}.")
    return True


def _drop(room: Classroom, what: str) -> bool:
    _open(room)
    cause = find_cause(room.diagnoser.knowledge, what, room.now.suspects)
    if cause not in room.now.suspects:
        room.say(f"Was not suspected: {_cause_name(room, cause)}.")
        return True
    room.earlier.append(room.now)
    room.now = room.now.drop(cause)
    room.say(f"Dropped: {_cause_name(room, cause)}.")
    return True


def _causes(room: Classroom, what: str) -> bool:
    knowledge, width = room.diagnoser.knowledge, room.console.width
    word = as_name(what)
    if not word:
        lines = []
        for family, title in knowledge.families.items():
            number = sum(cause.family == family for cause in knowledge.causes.values())
            lines += wrap(f"{title} ({number} causes)", width, f"  {family}: ")
        room.show(lines)
        room.say("`causes FAMILY` lists one family, `causes WORD` those with a word in them.")
        return True
    found = [
        cause
        for cause in knowledge.causes.values()
        if cause.family == word or all(part in as_name(" ".join((cause.name, *cause.also))) for part in word.split("_"))
    ]
    if not found:
        near = nearest(word, [*knowledge.families, *knowledge.causes])
        raise Complaint(
            None, f"no cause or family has {shown(what)}", f"did you mean {' or '.join(near)}?" if near else ""
        )
    room.show([line for cause in sorted(found, key=lambda c: c.name) for line in wrap(cause.name, width, "  - ")])
    return True


def _nudge(room: Classroom, _: str) -> bool:
    """First the kind of check that is worth most now; asked again without a check in between, the check itself."""
    _open(room)
    again = room.nudged == (len(room.now.checks), room.number)
    room.now, best = room.now.hint()
    if best is None:
        room.say("Nothing that the case can answer would tell much more. It is time for a verdict.")
        return True
    if not again:
        room.nudged = (len(room.now.checks), room.number)
        room.say(f"A check of this kind is worth most now: {best.open.kind.name}. `nudge` again names it.")
    else:
        number = room.now.offered.index(best.open.id) + 1
        room.say(f"Worth most now: {number}, {short_of(room.now, best.open.id)}.")
    return True


def _verdict(room: Classroom, what: str) -> bool:
    _open(room)
    if not what and len(room.now.suspects) == 1:
        room.settle(room.now.suspects[0])
        return True
    if not what:
        raise Complaint(None, "which cause is your verdict", "`verdict NAME`, or the number of a suspect on the `page`")
    room.settle(find_cause(room.diagnoser.knowledge, what, room.now.suspects))
    return True


def _concede(room: Classroom, _: str) -> bool:
    _open(room)
    room.settle(GIVEN_UP)
    return True


def _back(room: Classroom, _: str) -> bool:
    _open(room)
    if room.earlier:
        room.now = replace(room.earlier.pop(), hints=room.now.hints)
        named = "; ".join(_cause_name(room, cause) for cause in room.now.suspects)
        room.say(f"Taken back. Suspected now: {named or 'none'}.")
    elif room.now.checks:
        room.say("What was seen cannot be unseen; `back` takes back the naming or dropping of a suspect only.")
    else:
        room.say("There is nothing to take back.")
    return True


def _why(room: Classroom, rest: str) -> bool:
    _withheld(room)
    if rest.lower().startswith("not"):
        return _put_back(room, f"why {rest}")
    room.console.say(reasoning_text(room.review, room.console.width))
    return True


def _suppose(room: Classroom, rest: str) -> bool:
    return _put_back(room, f"suppose {rest}")


def _overturn(room: Classroom, rest: str) -> bool:
    return _put_back(room, f"overturn {rest}")


def _put_back(room: Classroom, asked: str) -> bool:
    """A question put back to the program about the whole case."""
    _withheld(room)
    room.show(inquire(room.review.whole, asked).lines(room.console.width))
    return True


def _standing(room: Classroom, _: str) -> bool:
    _withheld(room)
    room.show(standing(room.review.whole, room.console.width, most=8))
    return True


def _report(room: Classroom, _: str) -> bool:
    _withheld(room)
    room.console.say(report(room.review.whole, room.console.width))
    return True


def _save(room: Classroom, _: str) -> bool:
    room.say(f"Each practice is written to {room.progress.path} with its verdict. There is nothing else to save.")
    return True


def _more(room: Classroom, _: str) -> bool:
    if room.review is None:
        raise Complaint(None, "this case has no verdict yet", "`verdict NAME` or `concede`, then `more`")
    room.begin()
    return True


def _leave(room: Classroom, _: str) -> bool:
    room.say(room.left())
    return False


def _help(room: Classroom, _: str) -> bool:
    lines = []
    for word in WORDS:
        lines += wrap(word.says, room.console.width, f"  {word.name:<9}")
    room.show(lines)
    room.say("A number, or words of a question, makes a check or lists those that fit.")
    return True


WORDS = (
    Word("checks", "what can be looked at; with a kind or a word, those only", _checks, takes=True),
    Word("page", "the case, what was found so far, your suspects", _page),
    Word("how", "how a check is done and what may come of it: how 12", _how, takes=True),
    Word("suspect", "name a suspect: suspect lap marks", _suspect, takes=True),
    Word("drop", "drop a suspect, by name or its number", _drop, takes=True),
    Word("causes", "the families; with a family or a word, its causes", _causes, takes=True),
    Word("nudge", "a hint; it is counted", _nudge),
    Word("verdict", "settle on a cause, by name or a suspect's number", _verdict, takes=True),
    Word("concede", "give up and be told", _concede),
    Word("back", "take back the last naming or dropping of a suspect", _back),
    Word("save", "where it is written down", _save),
    Word("leave", "end here", _leave),
    Word("help", "these words", _help),
    Word("why", "after the verdict: the ledger and the reasoning; `why not CAUSE`", _why, takes=True, after=True),
    Word("suppose", "after the verdict: `suppose QUESTION = ANSWER`", _suppose, takes=True, after=True),
    Word("overturn", "after the verdict: what would put another cause first", _overturn, after=True),
    Word("standing", "after the verdict: where the causes stand", _standing, after=True),
    Word("report", "after the verdict: the whole report on the case", _report, after=True),
    Word("more", "after the verdict: another case", _more, after=True),
)
