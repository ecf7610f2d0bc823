"""Lessons: what the base knows of a family, a cause or a test board, put in the order in which one learns it.

Nothing here is written for lessons alone: every sentence is the base's own, with its source, or says what the weights
say. A lesson is plain data; lesson_text.py shows it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from diagnose import units
from diagnose.boards import board_cautions
from diagnose.complaint import Complaint, shown, would_accept
from diagnose.diagnosis import Diagnoser
from diagnose.lesson_checks import apart, looks, movers, showing
from diagnose.model import Board, Cause, Caution, Citation, Knowledge
from diagnose.reading import as_name
from diagnose.words import minutes_words, step_words

SAFETY = "The product's own safety data sheet, local rules and licensed practice come before anything said here."
ASKED_ABOUT = 5  # causes, pairs and findings that questions to oneself are made of


@dataclass(frozen=True, slots=True)
class Sentence:
    text: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class Block:
    """Sentences under one title; `steps`: their order matters."""

    title: str
    says: tuple[Sentence, ...]
    steps: bool = False


@dataclass(frozen=True, slots=True)
class Entry:
    """What a part says of one thing, named by its id where it has one."""

    of: str
    head: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Part:
    id: str
    title: str
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class Lesson:
    """`kind` is family, cause or board."""

    kind: str
    of: str
    title: str
    parts: tuple[Part, ...]


def lesson(diagnoser: Diagnoser, name: str) -> Lesson:
    """The lesson that goes by `name`: an id, a name or another name. Raises Complaint with the nearest names."""
    knowledge, word = diagnoser.knowledge, as_name(name)
    for family, title in knowledge.families.items():
        if word in (family, as_name(title)):
            return _of_family(diagnoser, family)
    for board in knowledge.boards.values():
        if word in (board.id, as_name(board.name)):
            return _of_board(diagnoser, board)
    for cause in knowledge.causes.values():
        if word in map(as_name, (cause.id, cause.name, *cause.also)):
            return _of_causes(diagnoser, "cause", cause.id, cause.name, [cause])
    known = {*knowledge.families, *knowledge.boards, *knowledge.causes}
    known |= {as_name(cause.name) for cause in knowledge.causes.values()}
    raise Complaint(None, f"there is no lesson on {shown(name)}", would_accept(word, known, "for instance"))


def causes_of(knowledge: Knowledge, family: str) -> list[Cause]:
    """The causes of a family, the one met most often first."""
    inside = [cause for cause in knowledge.causes.values() if cause.family == family]
    return sorted(inside, key=lambda cause: (-cause.prior, cause.name))


def boards_of(knowledge: Knowledge, causes: Iterable[Cause]) -> list[Board]:
    names = [cause.id for cause in causes]
    found = [board for board in knowledge.boards.values() if board.cause in names]
    return sorted(found, key=lambda board: (names.index(board.cause), board.id))


def _of_family(diagnoser: Diagnoser, family: str) -> Lesson:
    knowledge = diagnoser.knowledge
    return _of_causes(diagnoser, "family", family, knowledge.families[family], causes_of(knowledge, family))


def _of_causes(diagnoser: Diagnoser, kind: str, of: str, title: str, causes: Sequence[Cause]) -> Lesson:
    knowledge = diagnoser.knowledge
    boards = boards_of(knowledge, causes)
    parts = (
        Part("about", "What it is", tuple(_about(knowledge, kind, title, causes, boards))),
        Part("causes", "The causes, those met most often first", tuple(_cause(knowledge, c) for c in causes)),
        Part("look", "What to look for", tuple(_looks(knowledge, causes))),
        Part("apart", "What looks alike, and what tells it apart", tuple(_apart(knowledge, causes))),
        Part("boards", "Making the failure on purpose, and avoiding it", tuple(_board(diagnoser, b) for b in boards)),
        Part("next", "Preventing it on the next piece", tuple(_prevention(knowledge, causes))),
        *_questions(knowledge, causes, boards),
    )
    if kind == "cause":
        parts = parts[1:]
    return Lesson(kind, of, title, tuple(part for part in parts if part.entries))


def _of_board(diagnoser: Diagnoser, board: Board) -> Lesson:
    knowledge = diagnoser.knowledge
    cause = knowledge.causes[board.cause]
    parts = (
        Part("boards", "Making the failure on purpose, and avoiding it", (_board(diagnoser, board),)),
        Part("causes", "The cause that it shows", (_cause(knowledge, cause),)),
    )
    return Lesson("board", board.id, board.name, parts)


def _about(
    knowledge: Knowledge, kind: str, title: str, causes: Sequence[Cause], boards: Sequence[Board]
) -> Iterator[Entry]:
    count = f"{len(causes)} causes and {len(boards)} test board{'s' if len(boards) != 1 else ''} belong to this family."
    yield Entry("", title, (Block("", (Sentence(count),)),))
    for finding, answers in showing(knowledge, causes):
        said = tuple(Sentence(f"{words}: {number} of {len(causes)} causes") for words, number in answers)
        yield Entry(finding, knowledge.findings[finding].question, (Block("", said),))


def _cause(knowledge: Knowledge, cause: Cause) -> Entry:
    also = f" Also called: {', '.join(cause.also)}." if cause.also else ""
    terms = [knowledge.terms[name] for name in cause.terms]
    said = (
        Sentence(f"Met: {cause.often}.{also}", _cited(cause.often_source)),
        *(Sentence(f"In standards: {term.name}.", _cited(term.source)) for term in terms),
        Sentence(cause.mechanism, _cited(cause.source)),
    )
    return Entry(cause.id, cause.name, (Block("", said),))


def _looks(knowledge: Knowledge, causes: Sequence[Cause]) -> Iterator[Entry]:
    for look in looks(knowledge, causes):
        blocks = (
            *([Block("How", tuple(map(Sentence, look.how)), steps=True)] if look.how else []),
            Block("", tuple(Sentence(text, source) for text, source in look.says)),
        )
        yield Entry(look.of, look.head, blocks)


def _apart(knowledge: Knowledge, causes: Sequence[Cause]) -> Iterator[Entry]:
    for cause in causes:
        said = tuple(Sentence(text, source) for text, source in apart(knowledge, cause))
        if said:
            yield Entry(cause.id, cause.name, (Block("", said),))


def _board(diagnoser: Diagnoser, board: Board) -> Entry:
    knowledge = diagnoser.knowledge
    cause = knowledge.causes[board.cause]

    def schedule(title: str, steps) -> Block:
        return Block(title, tuple(Sentence(step_words(step, knowledge)) for step in steps), steps=True)

    times = f"About {minutes_words(board.minutes)} of work; to be seen after {units.show(board.waits, 'time')}."
    return Entry(
        board.id,
        board.name,
        (
            Block("Shows", (Sentence(cause.name), Sentence(times))),
            _cautions(board_cautions(diagnoser, board)),
            Block("Have ready", tuple(map(Sentence, board.ready))),
            schedule("The failing half", board.fails),
            schedule("The sound half", board.sound),
            Block("Do", tuple(map(Sentence, board.do)), steps=True),
            Block(
                "See",
                (Sentence(f"Failing half: {board.fails_show}"), Sentence(f"Sound half: {board.sound_shows}")),
            ),
            Block("What it teaches", (Sentence(board.says, _cited(board.source)),)),
        ),
    )


def _cautions(cautions: Iterable[Caution]) -> Block:
    said = [Sentence(f"{caution.title}. {caution.says}", _cited(caution.source)) for caution in cautions]
    return Block("Cautions", (*said, Sentence(SAFETY)))


def _prevention(knowledge: Knowledge, causes: Sequence[Cause]) -> Iterator[Entry]:
    hazards: set[str] = set()
    for cause in causes:
        said = tuple(Sentence(f"{a.advice} {a.because}", _cited(a.source)) for a in cause.prevention)
        for advice in cause.prevention:
            hazards |= {*advice.hazards, *(h for use in advice.uses for h in knowledge.materials[use].hazards)}
        if said:
            yield Entry(cause.id, cause.name, (Block("", said),))
    if hazards:
        cautions = sorted((knowledge.cautions[hazard] for hazard in hazards), key=lambda c: c.title)
        yield Entry("", "Mind", (_cautions(cautions),))


def _questions(knowledge: Knowledge, causes: Sequence[Cause], boards: Sequence[Board]) -> tuple[Part, Part]:
    """Questions to oneself, and their answers apart from them, numbered alike."""
    asked: list[tuple[str, Sentence]] = []
    for cause in causes[:ASKED_ABOUT]:
        asked.append((f"What happens when: {cause.name}?", Sentence(cause.mechanism, _cited(cause.source))))
    for cause in causes[:ASKED_ABOUT]:
        for other, (text, source) in zip(cause.look_alikes, apart(knowledge, cause)):
            question = f"You suspect: {cause.name}. What would you look at to make sure that it is not: "
            asked.append((f"{question}{knowledge.causes[other].name}?", Sentence(text, source)))
            break
    for finding, answer, names in movers(knowledge, causes)[:ASKED_ABOUT]:
        of = knowledge.findings[finding]
        asked.append((f"'{of.short}: {of.answers[answer]}' - what does that speak for?", Sentence("; ".join(names))))
    for board in boards:
        teaches = Sentence(board.says, _cited(board.source))
        asked.append((f"Test board '{board.name}': what is done otherwise on the sound half, and why?", teaches))
    questions = Block("", tuple(Sentence(question) for question, _ in asked), steps=True)
    answers = Block("", tuple(answer for _, answer in asked), steps=True)
    return (
        Part("questions", "Questions to yourself", (Entry("", "", (questions,)),) if asked else ()),
        Part("answers", "Answers to them", (Entry("", "", (answers,)),) if asked else ()),
    )


def _cited(source: Iterable[Citation]) -> str:
    return "; ".join(map(str, source))
