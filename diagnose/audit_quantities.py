"""The audit of quantities: a text that writes out by hand what quantities.py would reckon and write."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from diagnose.complaint import Place, shown
from diagnose.flaws import Flaw
from diagnose.folder import shipped, texts_of

# Only what cannot be anything else: one quantity in two units, close together. A fraction of an inch is left alone.
_BETWEEN = r"[\s(,=/or]{1,6}(?:about )?[\d to.]+\s*"
_FILM = r"(?:mil|[µμu]m|micromet\w+|microns?)\b"
_BY_HAND = {
    "temperature": rf"\d\s*°?\s*C\b{_BETWEEN}°?\s*F\b|\d\s*°?\s*F\b{_BETWEEN}°?\s*C\b",
    "film": rf"\d\s*{_FILM}{_BETWEEN}{_FILM}",
    "length": rf"\d\s*[cm]?m\b{_BETWEEN}(?:in|inch|inches|ft|feet)\b(?=\s*(?:[).,;]|$))",
    "cut": r"\d\s*g (?:of flakes )?to (?:a|the) litre\b.{0,20}\b(?:pound|lb)\b|"
    r"\b(?:pound|lb)[- ](?:cut|to the gallon)\b.{0,12}\d\s*g\b|\bg of flakes to\b",
    "strength": r"\d\s*g(?:/L| to (?:a|the) litre)\b.{0,40}\b(?:oz|ounces?)\b",
}
_PATTERNS = {kind: re.compile(pattern) for kind, pattern in _BY_HAND.items()}


def quantities(folder: Path | None = None, own: Path | None = None) -> Iterator[Flaw]:
    """Conversions written out by hand, by their place in the files."""
    for one, label in ((folder or shipped(), ""), *(((own, str(own)),) if own else ())):
        for path, text in texts_of(one).items():
            yield from _in_text(text, f"{label or one.resolve().name}/{path}", str(path))


def _in_text(text: str, name: str, of: str) -> Iterator[Flaw]:
    for number, line in enumerate(text.splitlines(), 1):
        if line.lstrip().startswith("#"):
            continue
        for kind, pattern in _PATTERNS.items():
            for found in pattern.finditer(line):
                what = f"{shown(found[0], 60)} is a conversion by hand; write {{{kind} ...}}"
                yield Flaw("hand-conversion", Place(name, number, found.start() + 1), what, of)
