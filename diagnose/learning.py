"""What `diagnose learn` does: an overview, a lesson, or practice."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from diagnose.casefile import NotSaved
from diagnose.complaint import Complaint
from diagnose.diagnosis import Diagnoser
from diagnose.folder import example_files, shipped
from diagnose.layout import terminal_width, wrap
from diagnose.lesson import Lesson, lesson
from diagnose.lesson_text import lesson_json, lesson_text
from diagnose.progress import LessonRead, ProgressFile, default_path
from diagnose.tutor import overview, overview_json, overview_text

PRACTICE = "practice"
LARGEST_SEED = 1_000_000


@dataclass(frozen=True, slots=True)
class Wanted:
    """What was asked for on the command line. `day` is today's date; `any_seed` gives a number by chance."""

    names: Sequence[str]
    day: str
    any_seed: Callable[[], int]
    format: str = "text"
    whole: bool = False
    seed: int | None = None
    source: str = ""
    drill: bool = False
    cases: Sequence[Path] = ()
    progress: Path | None = None
    own: Path | None = None


def learn(diagnoser: Diagnoser, wanted: Wanted) -> None:
    """Raises Complaint for what cannot be used, a damaged progress file among it."""
    kept = ProgressFile.opened(wanted.progress or default_path())
    practising = bool(wanted.names) and wanted.names[0] == PRACTICE
    if not practising:
        _only_for_practice(wanted)
    if practising:
        _practise(diagnoser, wanted, kept)
    elif wanted.names:
        _lesson(lesson(diagnoser, " ".join(wanted.names)), wanted, kept)
    else:
        view = overview(diagnoser.knowledge, kept.progress)
        if wanted.format == "json":
            sys.stdout.write(overview_json(view))
        else:
            sys.stdout.write(overview_text(diagnoser.knowledge, view, terminal_width(), str(kept.path)))


def _only_for_practice(wanted: Wanted) -> None:
    options = {
        "--seed": wanted.seed is not None,
        "--from": wanted.source,
        "--drill": wanted.drill,
        "--cases": wanted.cases,
    }
    for option, given in options.items():
        if given:
            raise Complaint(None, f"{option} is for practice", f"`diagnose learn practice {option} ...`")


def _lesson(told: Lesson, wanted: Wanted, kept: ProgressFile) -> None:
    if wanted.format == "json":
        sys.stdout.write(lesson_json(told))
        return
    if wanted.whole or not (sys.stdin.isatty() and sys.stdout.isatty()):
        sys.stdout.write(lesson_text(told, terminal_width()))
    else:
        from diagnose.study import Study
        from diagnose.terminal import console

        Study(told, console(saved=False)).run()
    if kept.progress.read.get(told.of) != wanted.day:
        try:
            kept.add(LessonRead(wanted.day, told.of))
        except NotSaved as error:
            print("\n".join(wrap(f"Not written down that it was read: {error}.", terminal_width())), file=sys.stderr)


def _practise(diagnoser: Diagnoser, wanted: Wanted, kept: ProgressFile) -> None:
    from diagnose.classroom import Classroom
    from diagnose.cli import case_files
    from diagnose.practice import Exercise
    from diagnose.practice_draw import LIBRARY, Library, draw, drill, scope_of, scope_of_cases
    from diagnose.terminal import console

    if wanted.format == "json":
        raise Complaint(None, "a practice is a conversation and has no JSON", "lessons and the overview have")
    scope = scope_of(diagnoser.knowledge, wanted.names[1:])
    if wanted.cases:
        if wanted.drill or wanted.source:
            raise Complaint(None, "--cases names the cases to practise on", "not with --drill or --from")
        library = Library(diagnoser.knowledge, [], case_files(wanted.cases))
        scope = scope_of_cases(library, scope)
    else:
        library = Library(diagnoser.knowledge, example_files(own=wanted.own), case_files(_shipped_cases()))
    given = wanted.seed is not None

    def next_case(number: int) -> Exercise:
        # with a seed the case is the same for everybody, whatever was practised before
        seed = (wanted.seed + number) if given else wanted.any_seed()
        if wanted.cases:
            drawn = draw(diagnoser, library, scope, seed, LIBRARY)
            again = drawn.again.removesuffix(f" --from {LIBRARY}")
            return replace(drawn, again=f"{again} --cases {shlex.join(map(str, wanted.cases))}")
        pair = scope
        if wanted.drill or not given:
            pair = drill(kept.progress.practised, diagnoser.knowledge, scope, seed, wanted.drill)
        return draw(diagnoser, library, pair, seed, wanted.source)

    Classroom(diagnoser, console(saved=False), next_case, kept, wanted.day).run()


def _shipped_cases() -> list[Path]:
    """The demonstrations and published cases, where they lie beside the knowledge; an installed program has none."""
    folder = shipped().parent / "cases"
    return [folder] if folder.is_dir() else []
