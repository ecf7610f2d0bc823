"""Where a statement rests: publications, and citations of them or of common practice."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.complaint import Place

OWN = "this shop's own"  # said of whatever rests on a folder laid over the shipped one


@dataclass(frozen=True, slots=True)
class Source:
    """A publication. `read` is yes, in part, second hand or no (cited from memory)."""

    id: str
    title: str
    publisher: str
    year: str
    read: str
    place: Place


@dataclass(frozen=True, slots=True)
class Citation:
    """Where a statement rests: a source and the section in it, or `common practice` (source None)."""

    source: Source | None
    section: str = ""
    practice: str = ""
    own: bool = False

    def __str__(self) -> str:
        return f"{self._words()} ({OWN})" if self.own else self._words()

    def _words(self) -> str:
        if self.source is None:
            return self.practice
        parts = [self.source.title, self.source.publisher, self.source.year, self.section]
        tail = {"no": " (cited from memory)", "second hand": " (read as quoted elsewhere)"}.get(self.source.read, "")
        return ", ".join(part for part in parts if part) + tail
