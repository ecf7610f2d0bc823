"""The compiled knowledge as plain JSON values and back, so that it can be kept between runs.

Records become lists of their fields, taken apart and put together again by the types that model.py declares. Rules stay
packed until one is needed: a case meets a few hundred of many thousands.
"""

from __future__ import annotations

import dataclasses
import types
import typing
from collections.abc import Callable, Iterator, Mapping, Sequence

from diagnose import model
from diagnose.complaint import Place
from diagnose.diagnosis import Diagnoser
from diagnose.match import RuleIndex
from diagnose.rules import Compare, Pattern, Rule, Var

Codec = tuple[Callable | None, Callable | None]  # packs, unpacks; None leaves a value as it is


class PackedRules(Sequence):
    """Rules that are unpacked when they are asked for, and then kept."""

    def __init__(self, packed: list[list], said: list[str]):
        self.packed = packed
        self.said = said
        self._rules: list[Rule | None] = [None] * len(packed)

    def __len__(self) -> int:
        return len(self.packed)

    def __getitem__(self, number: int) -> Rule:
        rule = self._rules[number]
        if rule is None:
            name, when, then, because, source = self.packed[number]
            rule = Rule(name, tuple(map(_pattern, when)), _pattern(then), self.said[because], self.said[source])
            self._rules[number] = rule
        return rule

    def __iter__(self) -> Iterator[Rule]:
        return map(self.__getitem__, range(len(self.packed)))

    def sizes(self) -> list[int]:
        """How many patterns each rule has."""
        return [len(row[1]) for row in self.packed]

    def relations(self) -> list[str]:
        """The relation of the fact that each rule concludes."""
        return [row[2][0] for row in self.packed]

    def names(self) -> Iterator[str]:
        return (row[0] for row in self.packed)


def pack(diagnoser: Diagnoser) -> dict:
    """Everything a diagnoser needs, as JSON values."""
    knowledge, index = diagnoser.knowledge, diagnoser.index
    sources = {key: Packer({}).of(model.Source)[0](source) for key, source in knowledge.sources.items()}
    fields = _fields(Packer(knowledge.sources))
    told = dict.fromkeys(text for rule in knowledge.rules for text in (rule.because, rule.source))
    said = {text: number for number, text in enumerate(told)}  # many rules say the same
    return {
        "sources": sources,
        "knowledge": {name: _apply(codec[0], getattr(knowledge, name)) for name, codec in fields.items()},
        "said": list(said),
        "rules": [
            [r.name, [_packed(p) for p in r.when], _packed(r.then), said[r.because], said[r.source]]
            for r in knowledge.rules
        ],
        "index": [
            [key, index.alone[key], [n for pair in index.joining[key] for n in pair]]
            for key in sorted(index.watching, key=repr)
        ],
    }


def unpack(stored: Mapping) -> Diagnoser:
    """The diagnoser that `pack` took apart. Raises KeyError, TypeError, IndexError or ValueError on another form."""
    unpacks = Packer({}).of(model.Source)[1]
    sources = {key: unpacks(value) for key, value in stored["sources"].items()}
    fields = _fields(Packer(sources))
    values = {name: _apply(codec[1], stored["knowledge"][name]) for name, codec in fields.items()}
    rules = PackedRules(stored["rules"], stored["said"])
    knowledge = model.Knowledge(**values, sources=sources, rules=rules)
    table = {
        (key[0], tuple(key[1]), *key[2:]): (alone, list(zip(joining[::2], joining[1::2])))
        for key, alone, joining in stored["index"]
    }
    return Diagnoser(knowledge, RuleIndex(rules, table))


def _fields(packer: Packer) -> dict[str, Codec]:
    hints = typing.get_type_hints(model.Knowledge)
    return {name: packer.of(hint) for name, hint in hints.items() if name not in ("sources", "rules")}


def _apply(change: Callable | None, value):
    return value if change is None else change(value)


class Packer:
    """Makes codecs for the types of model.py. A citation names its source, which is looked up in `sources`."""

    def __init__(self, sources: Mapping[str, model.Source]):
        self.sources = sources
        self._made: dict[type, Codec] = {}

    def of(self, hint) -> Codec:
        if hint in (str, int, float, bool):
            return None, None
        if hint is Place:
            return list, lambda value: Place(*value)
        if dataclasses.is_dataclass(hint):
            return self._record(hint)
        origin, inside = typing.get_origin(hint), typing.get_args(hint)
        if origin in (types.UnionType, typing.Union):
            return self._optional(inside[0])
        if origin is tuple:
            if inside[-1] is not Ellipsis:
                return self._pair(inside)
            packs, unpacks = self.of(inside[0])
            return (
                list if packs is None else lambda value: list(map(packs, value)),
                tuple if unpacks is None else lambda value: tuple(map(unpacks, value)),
            )
        return self._mapping(*inside)

    def _pair(self, hints: Sequence) -> Codec:
        """A tuple of so many entries, each of its own type."""
        codecs = [self.of(hint) for hint in hints]
        if not any(unpacks for _, unpacks in codecs):
            return list, tuple
        return (
            lambda value: [_apply(codec[0], one) for codec, one in zip(codecs, value)],
            lambda value: tuple(_apply(codec[1], one) for codec, one in zip(codecs, value)),
        )

    def _optional(self, hint) -> Codec:
        if hint is model.Source:
            return (lambda source: source and source.id), (lambda key: key and self.sources[key])
        packs, unpacks = self.of(hint)
        return (
            lambda value: None if value is None else _apply(packs, value),
            lambda value: None if value is None else _apply(unpacks, value),
        )

    def _mapping(self, key, value) -> Codec:
        packs, unpacks = self.of(value)
        if key is str:
            return (
                lambda table: {k: _apply(packs, v) for k, v in table.items()},
                None if unpacks is None else lambda table: {k: unpacks(v) for k, v in table.items()},
            )
        return (
            lambda table: [[list(k), _apply(packs, v)] for k, v in table.items()],
            lambda rows: {tuple(k): _apply(unpacks, v) for k, v in rows},
        )

    def _record(self, kind: type) -> Codec:
        if kind not in self._made:
            hints = typing.get_type_hints(kind)
            names = [field.name for field in dataclasses.fields(kind)]
            codecs = [self.of(hints[name]) for name in names]
            packs = [(name, codec[0]) for name, codec in zip(names, codecs)]
            changed = [(place, codec[1]) for place, codec in enumerate(codecs) if codec[1] is not None]

            def unpacks(row: list):
                row = list(row)
                for place, change in changed:
                    row[place] = change(row[place])
                return kind(*row)

            self._made[kind] = (
                lambda record: [_apply(change, getattr(record, name)) for name, change in packs],
                unpacks,
            )
        return self._made[kind]


def _packed(pattern: Pattern) -> list:
    return [
        ["?", term.name] if isinstance(term, Var) else [term.sign, term.bound] if isinstance(term, Compare) else term
        for term in pattern
    ]


def _pattern(packed: list) -> Pattern:
    return tuple(
        term if type(term) is not list else Var(term[1]) if term[0] == "?" else Compare(*term) for term in packed
    )
