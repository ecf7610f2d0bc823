"""What a person means by a name: a cause or a question, by its id, its words, their beginning or one word of them."""

from __future__ import annotations

from collections.abc import Collection, Container, Iterable, Mapping

from diagnose.case import Case
from diagnose.complaint import Complaint, nearest, shown
from diagnose.model import UNLISTED, Knowledge
from diagnose.reading import as_name

NEAR = 5  # names offered where one fits several, or none
MOST_NAMED = 9  # names of causes offered where several fit


def named(written: str, things: Mapping[str, Iterable[str]], what: str) -> str:
    """The one of `things` (id -> its other names) that `written` means. Raises Complaint with what it might be."""
    word = as_name(written)
    names: dict[str, set[str]] = {}
    for thing, others in things.items():
        for name in (thing, *others):
            names.setdefault(as_name(name), set()).add(thing)
    if word in names and len(names[word]) == 1:
        return next(iter(names[word]))
    parts = set(word.split("_")) - {""}
    begun = {thing for name, owners in names.items() if word and name.startswith(word) for thing in owners}
    inside = {thing for name, owners in names.items() if parts and parts <= set(name.split("_")) for thing in owners}
    for fitting in (begun, inside):
        if len(fitting) == 1:
            return next(iter(fitting))
    near = sorted(begun | inside) or sorted({t for n in nearest(word, names) for t in names[n]})
    offered = (
        f"did you mean {', '.join(near[:NEAR])}?" if near else f"a name from `diagnose explain`, such as {min(things)}"
    )
    raise Complaint(
        None, f"{shown(written)} names no {what}" if not near else f"{shown(written)} is not one {what}", offered
    )


def named_cause(knowledge: Knowledge, written: str, among: Collection[str] = ()) -> str:
    """The cause that is meant by its name, one of its other names, or parts of them; of several that fit the one
    `among` those in question. "None of these" and its like are `unlisted`. Raises Complaint."""
    words = as_name(written).strip("_")
    if words in (UNLISTED, "none_of_these", "none", "something_else", "nothing_listed"):
        return UNLISTED
    spelled = {
        as_name(name): cause.id for cause in knowledge.causes.values() for name in (cause.id, cause.name, *cause.also)
    }
    if words in spelled:
        return spelled[words]
    parts = words.split("_")
    found = {cause for name, cause in spelled.items() if all(part in name for part in parts)}
    if len(found & set(among)) == 1:  # of several that fit, the one already suspected is meant
        return (found & set(among)).pop()
    if len(found) == 1:
        return found.pop()
    if found:
        names = sorted(knowledge.causes[cause].name for cause in found)
        more = f" ... ({len(names)} in all)" if len(names) > MOST_NAMED else ""
        raise Complaint(None, f"{shown(written)} fits {len(names)} causes", "; ".join(names[:MOST_NAMED]) + more)
    near = [knowledge.causes[spelled[name]].name for name in nearest(words, spelled)]
    accepted = f"did you mean {' or '.join(dict.fromkeys(near))}?" if near else "its name or a part of it"
    raise Complaint(None, f"no cause goes by {shown(written)}", accepted)


def named_question(knowledge: Knowledge, case: Case, written: str) -> str:
    """The question that is meant, as `Case.given_for` names it: a finding, or a detail of piece, air or a step."""
    questions: dict[str, tuple[str, ...]] = {f.id: (f.short, f.question) for f in knowledge.findings.values()}
    for (of, name), attribute in knowledge.attributes.items():
        if attribute.derived or name == "do":
            continue
        if of != "step":
            questions[f"{of} {name}"] = (name, attribute.question)
            continue
        for step in case.steps:
            if not attribute.steps or step.do in attribute.steps:
                questions[f"step {step.number} {name}"] = ()
    return named(written, questions, "question")


def loosely(word: str, known: Mapping[str, str], passing: Container[str]) -> str | None:
    """The spelling that is meant once the `passing` words of a longer name are left away ('satin nitro lacquer').

    `known`: spelling -> thing. The spelling that takes up most of the words counts, if it means one thing only; nothing
    but passing words and numbers may be left over.
    """
    said = word.split("_")
    best: list[str] = []
    for spelling in known:
        parts = spelling.split("_")
        if set(parts) <= set(said) and all(one in parts or one in passing or one.isdecimal() for one in said):
            size = len(best[0].split("_")) if best else 0
            best = [spelling] if len(parts) > size else [*best, spelling] if len(parts) == size else best
    return best[0] if len({known[spelling] for spelling in best}) == 1 else None
