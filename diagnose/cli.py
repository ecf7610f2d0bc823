"""The command line. Each command imports what it needs, so that `run` stays quick to start."""

from __future__ import annotations

import argparse
import json
import os
import re
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose import __version__, label_command, plan_command, reckon_command
from diagnose.complaint import Complaint, Place, printable
from diagnose.loose_words import joined

if TYPE_CHECKING:
    from diagnose.diagnosis import Diagnoser, Diagnosis

DONE, FAILED, UNUSABLE = 0, 1, 2


class _Parser(argparse.ArgumentParser):
    """argparse, but its errors are one line, its status is the documented one, and "-5C" is a value and no option."""

    def __init__(self, *given, **named):
        super().__init__(*given, **named)
        self._negative_number_matcher = re.compile(r"-\.?\d")  # argparse asks this of every word that begins with "-"

    def error(self, message: str):
        raise Complaint(None, printable(message), f"see `{self.prog} --help`")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit status. Whatever is wrong with the input is one line on standard error."""
    try:
        words = list(sys.argv[1:] if arguments is None else arguments)
        chosen = _parser().parse_args(joined(words) if words[:1] == ["reckon"] else words)
        status = chosen.run(chosen)
        sys.stdout.flush()
        return status
    except Complaint as complaint:
        print(f"diagnose: {complaint}", file=sys.stderr)
        return UNUSABLE
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except KeyboardInterrupt:
        print("\ndiagnose: stopped", file=sys.stderr)
        return 130


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="diagnose",
        description="Find out why a wood finish failed, what to do about it, and how that was reasoned.",
        epilog="Without a command it starts asking. Example: diagnose run cases/",
    )
    parser.add_argument("--version", action="version", version=__version__)
    _common(parser)
    parser.add_argument(
        "--case", type=Path, metavar="FILE", help="the case file to begin or to take up again (default: a new one here)"
    )
    parser.set_defaults(run=_consult, command="consult")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", parser_class=_Parser)

    run = commands.add_parser(
        "run",
        help="run saved cases",
        description="Diagnose saved case files; a folder runs all in it.",
        epilog="Example: diagnose run cases/hall_table.yaml --format json",
    )
    run.add_argument("files", nargs="+", type=Path, metavar="FILE")
    run.add_argument("--format", choices=("text", "json", "html", "markdown"), default="text")
    run.add_argument(
        "--brief", action="store_true", help="one line a case, and how often the expected cause came first"
    )
    run.add_argument(
        "--ask",
        action="append",
        default=[],
        metavar="QUESTION",
        help="instead of the report: how [CAUSE], why not CAUSE, suppose QUESTION = ANSWER, overturn; may be repeated",
    )
    _common(run)
    run.set_defaults(run=_run)

    explain = commands.add_parser(
        "explain",
        help="explain a cause, finding, material, remedy, rule ...",
        description="Everything the knowledge says about one name.",
        epilog="Example: diagnose explain complaint",
    )
    explain.add_argument("name", metavar="NAME")
    explain.add_argument("--format", choices=("text", "json", "html", "markdown"), default="text")
    _common(explain)
    explain.set_defaults(run=_explain)

    learn = commands.add_parser(
        "learn",
        help="lessons and practice for apprentices",
        description="Without a name: what there is, and where you stand. NAME of a family, cause or test board: the "
        "lesson. `practice`, with families or causes where wanted: cases whose cause is not told.",
        epilog="Example: diagnose learn practice lifting --seed 7",
    )
    learn.add_argument(
        "names", nargs="*", metavar="NAME", help="a family, a cause, a test board, or `practice [NAME ...]`"
    )
    learn.add_argument("--format", choices=("text", "json"), default="text")
    learn.add_argument("--whole", action="store_true", help="the whole lesson at once, not part by part")
    learn.add_argument(
        "--seed", type=_seed, metavar="N", help="practice: the case of that number, the same for everybody"
    )
    learn.add_argument(
        "--from", choices=("library", "rules"), default="", dest="source", help="practice: saved or made-up cases only"
    )
    learn.add_argument("--drill", action="store_true", help="practice: only causes that you took for one another")
    learn.add_argument(
        "--cases", nargs="+", type=Path, default=(), metavar="FILE", help="practice: these saved cases alone"
    )
    learn.add_argument(
        "--progress", type=Path, metavar="FILE", help="where your progress is kept (default: your data folder)"
    )
    _common(learn)
    learn.set_defaults(run=_learn)

    plan_command.add_to(commands, _common)
    reckon_command.add_to(commands, _Parser)
    label_command.add_to(commands, _common)

    audit = commands.add_parser(
        "audit",
        help="check the knowledge base",
        description="Check the knowledge base and run the example cases that lie beside its causes.",
        epilog="Example: diagnose audit --against knowledge cases/hall_table.yaml",
    )
    audit.add_argument("--format", choices=("text", "json"), default="text")
    audit.add_argument(
        "--against",
        type=Path,
        metavar="DIR",
        help="show every example and case whose ranking differs from that of an earlier knowledge folder",
    )
    audit.add_argument(
        "cases", nargs="*", type=Path, metavar="CASES", help="with --against: compare these, not the examples"
    )
    _common(audit)
    audit.set_defaults(run=_audit)
    return parser


def _common(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--knowledge",
        type=Path,
        metavar="DIR",
        default=argparse.SUPPRESS,
        help="a shop's own knowledge, laid over what is shipped",
    )


def _ready(chosen: argparse.Namespace) -> Diagnoser:
    from diagnose.keeping import ready

    return ready(getattr(chosen, "knowledge", None))


def case_files(paths: Iterable[Path]) -> list[Path]:
    """The YAML files named, and those in the folders named, in order of name."""
    found: list[Path] = []
    for path in paths:
        if path.is_dir():
            inside = sorted(p for p in path.rglob("*.yaml") if p.is_file() and not p.name.startswith("."))
            if not inside:
                raise Complaint(Place(str(path)), "holds no case file", "a folder with .yaml files in it")
            found += inside
        else:
            found.append(path)
    return found


def _run(chosen: argparse.Namespace) -> int:
    from diagnose.case import read_cases
    from diagnose.expectation import failed, tally
    from diagnose.layout import terminal_width, wrap
    from diagnose.report_json import as_json
    from diagnose.report_text import report

    if chosen.ask and chosen.format not in ("text", "json"):
        raise Complaint(None, f"--ask does not answer as {chosen.format}", "--format text or json")
    diagnoser = _ready(chosen)
    cases = [case for path in case_files(chosen.files) for case in read_cases(path, diagnoser.knowledge)]
    diagnoses = [diagnoser.diagnose(case) for case in cases]
    complaints = [failed(diagnosis) for diagnosis in diagnoses]
    width = terminal_width()
    if chosen.ask:
        sys.stdout.write(_asked(diagnoses, chosen, width))
    elif chosen.format == "json":
        sys.stdout.write(as_json(diagnoses, complaints))
    elif chosen.format == "html":
        from diagnose.report_html import as_html

        sys.stdout.write(as_html(diagnoses))
    elif chosen.format == "markdown":
        from diagnose.report_markdown import as_markdown

        sys.stdout.write(as_markdown(diagnoses))
    elif chosen.brief:
        for diagnosis, wrong in zip(diagnoses, complaints):
            first = diagnosis.first
            print(f"{'FAILED ' if wrong else ''}{printable(diagnosis.case.id)}: {first.name} ({first.word})")
        if counted := tally(diagnoses):
            missed = counted.cases - counted.in_three
            print(
                f"Of {counted.cases} cases that say what is right: first in {counted.first}, in the first three in "
                f"{counted.in_three}, missed in {missed}; mean Brier score {counted.brier:.3f}"
            )
    else:
        sys.stdout.write(("\n" + "=" * width + "\n\n").join(report(diagnosis, width) for diagnosis in diagnoses))
    for diagnosis, wrong in zip(diagnoses, complaints):
        for one in wrong:
            print("\n".join(wrap(f"{diagnosis.case.id}: {one}", width)), file=sys.stderr)
    return FAILED if any(complaints) else DONE


def _asked(diagnoses: Sequence[Diagnosis], chosen: argparse.Namespace, width: int) -> str:
    """The replies to `--ask`, case by case, as text or as {"cases": [{case, asked: [{ask, ...}]}]}."""
    from diagnose.inquiry import inquire
    from diagnose.layout import heading, join

    rows, lines = [], []
    for diagnosis in diagnoses:
        replies = [inquire(diagnosis, asked) for asked in chosen.ask]
        rows.append({"case": diagnosis.case.id, "asked": [{"ask": reply.asked, **reply.data} for reply in replies]})
        for reply in replies:
            lines += heading(f"{diagnosis.case.id}: {reply.asked}", width) + reply.lines(width)
    if chosen.format == "json":
        return json.dumps({"cases": rows}, indent=1) + "\n"
    return join(lines)


def _explain(chosen: argparse.Namespace) -> int:
    from diagnose.explain import explain_json, outlines
    from diagnose.layout import terminal_width

    knowledge = _ready(chosen).knowledge
    if chosen.format == "json":
        sys.stdout.write(explain_json(knowledge, chosen.name))
        return DONE
    told = outlines(knowledge, chosen.name)
    if chosen.format == "html":
        from diagnose.report_html import explanation

        sys.stdout.write(explanation(told, knowledge.version))
    elif chosen.format == "markdown":
        from diagnose.report_markdown import explanation

        sys.stdout.write(explanation(told))
    else:
        from diagnose.report_text import explanation

        sys.stdout.write(explanation(told, terminal_width()))
    return DONE


def _learn(chosen: argparse.Namespace) -> int:
    import secrets
    from datetime import date

    from diagnose.learning import LARGEST_SEED, Wanted, learn

    wanted = Wanted(
        chosen.names,
        date.today().isoformat(),
        lambda: secrets.randbelow(LARGEST_SEED),
        chosen.format,
        chosen.whole,
        chosen.seed,
        chosen.source,
        chosen.drill,
        chosen.cases,
        chosen.progress,
        getattr(chosen, "knowledge", None),
    )
    learn(_ready(chosen), wanted)
    return DONE


def _seed(written: str) -> int:
    if not written.isdigit() or len(written) > 9:
        raise argparse.ArgumentTypeError(f"{written[:40]!r} is no seed: a whole number of at most nine digits")
    return int(written)


def _audit(chosen: argparse.Namespace) -> int:
    from diagnose.audit import audit
    from diagnose.flaws import as_json, as_text

    if chosen.against:
        return _compare(chosen)
    complaints = audit(own=getattr(chosen, "knowledge", None))
    sys.stdout.write(as_json(complaints) if chosen.format == "json" else as_text(complaints))
    return FAILED if complaints else DONE


def _compare(chosen: argparse.Namespace) -> int:
    from diagnose.case import read_cases
    from diagnose.compare import as_text, compare
    from diagnose.diagnosis import Diagnoser
    from diagnose.folder import example_files
    from diagnose.load import load

    own = getattr(chosen, "knowledge", None)
    before, after = Diagnoser(load(chosen.against, own)), Diagnoser(load(own=own))
    files = case_files(chosen.cases) or example_files(own=own)
    count = sum(len(read_cases(path, after.knowledge)) for path in files)
    sys.stdout.write(as_text(compare(before, after, files), count))
    return DONE


def _consult(chosen: argparse.Namespace) -> int:
    from diagnose.terminal import consult

    return consult(_ready(chosen), chosen.case)
