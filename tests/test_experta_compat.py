"""The engine on a Python that lacks a name it still reads: put there for the import, gone after it.

Each test asks a fresh interpreter, since in this one the engine is imported already.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import diagnose

PROGRAM = Path(diagnose.__file__).resolve().parent.parent


def python(*lines: str) -> subprocess.CompletedProcess:
    return subprocess.run(
        [sys.executable, "-c", "\n".join(lines)],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
        env={**os.environ, "PYTHONPATH": str(PROGRAM)},
    )


def check(*lines: str) -> None:
    done = python(*lines)
    assert done.returncode == 0, done.stderr


def test_engine_imports_and_the_borrowed_name_is_gone_again():
    check(
        "import collections, collections.abc",
        "before = set(vars(collections))",
        "assert 'Mapping' not in before",
        "import diagnose.experta_compat",
        "assert set(vars(collections)) == before, set(vars(collections)) ^ before",
    )


def test_engine_does_not_import_without_help():
    """Once this fails, the module has outlived its use."""
    done = python("import experta")
    assert done.returncode == 1
    assert "Mapping" in done.stderr.strip().splitlines()[-1]


def test_engine_runs_once_the_name_is_gone():
    check(
        "from diagnose.engine import Chain, ReteChain",
        "from diagnose.match import RuleIndex",
        "from diagnose.rules import Compare, Rule, Var",
        "import collections",
        "assert not hasattr(collections, 'Mapping')",
        "rule = Rule('r', (('p', Var('x')), ('q', Var('x'), Compare('>', 1))), ('hit', Var('x')))",
        "for kind in (Chain, ReteChain):",
        "    chain = kind(RuleIndex([rule]))",
        "    chain.add([('p', 'a'), ('q', 'a', 2), ('q', 'a', 1)])",
        "    assert ('hit', 'a') in chain.known(), kind",
    )


def test_engine_may_be_imported_by_its_own_name_afterwards():
    check("import diagnose.experta_compat", "import experta", "assert experta.Rule is diagnose.experta_compat.Rule")


def test_name_that_somebody_else_put_there_stays():
    check(
        "import collections, collections.abc",
        "collections.Mapping = theirs = collections.abc.Mapping",
        "import diagnose.experta_compat",
        "assert collections.Mapping is theirs",
    )


def test_name_is_gone_also_when_the_engine_is_missing():
    check(
        "import collections, sys",
        "sys.modules['experta'] = None",
        "try:",
        "    import diagnose.experta_compat",
        "except ImportError:",
        "    assert not hasattr(collections, 'Mapping')",
        "else:",
        "    raise SystemExit('imported an engine that is not there')",
    )


def test_importing_it_is_quiet():
    done = python("import warnings", "warnings.simplefilter('error', ResourceWarning)", "import diagnose.engine")
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
