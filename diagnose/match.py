"""Finding which rules a new fact completes, each (rule, facts) pair exactly once.

Patterns are indexed by their constants: a fact looks up the few keys it can match instead of meeting every rule, and
what follows joins only against facts already filed under the other patterns' keys (semi-naive evaluation; for the
ground part see Dowling & Gallier, J. Logic Programming 1(3), 1984).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence

from diagnose.rules import Compare, Fact, Firing, Pattern, Rule, Var, bind, instantiate

Key = tuple


def _shape(pattern: Pattern) -> tuple[int, ...]:
    """The positions at which the pattern holds a constant."""
    return tuple(i for i, term in enumerate(pattern) if not isinstance(term, Var | Compare))


def _key(entries: tuple, shape: tuple[int, ...]) -> Key:
    return (len(entries), shape, *(entries[i] for i in shape))


Table = Mapping[Key, tuple[list[int], list[tuple[int, int]]]]


class RuleIndex:
    """The rules of a knowledge base, ready to be matched. Holds no facts; may be shared.

    Under the key of a pattern stand the rules that consist of it alone, and (rule, pattern) of all others. `table` is
    that of an earlier index of the same rules.
    """

    def __init__(self, rules: Iterable[Rule], table: Table | None = None):
        self.rules = rules if isinstance(rules, Sequence) else tuple(rules)
        self.sizes = rules.sizes() if hasattr(rules, "sizes") else [len(rule.when) for rule in self.rules]
        self.built: dict[str, object] = {}  # what an engine has made of each rule so far
        self._parts: dict[int, tuple[tuple[Key, ...], tuple[bool, ...]]] = {}
        table = _table(self.rules) if table is None else table
        self.alone = {key: alone for key, (alone, _) in table.items()}
        self.joining = {key: joining for key, (_, joining) in table.items()}
        self.watching = table.keys()
        shapes: dict[tuple[str, int], set[tuple[int, ...]]] = defaultdict(set)
        for key in table:
            shapes[key[2], key[0]].add(key[1])
        self._shapes = {relation: tuple(sorted(found)) for relation, found in shapes.items()}

    def only(self, relations: Container[str]) -> RuleIndex:
        """An index of those rules alone that conclude facts of these relations."""
        rules = self.rules
        concluded = rules.relations() if hasattr(rules, "relations") else [rule.then[0] for rule in rules]
        wanted = [relation in relations for relation in concluded]
        table = {
            key: ([n for n in self.alone[key] if wanted[n]], [pair for pair in self.joining[key] if wanted[pair[0]]])
            for key in self.watching
        }
        return RuleIndex(rules, {key: found for key, found in table.items() if any(found)})

    def parts(self, number: int) -> tuple[tuple[Key, ...], tuple[bool, ...]]:
        """The key of each pattern of a rule, and whether the pattern holds more than constants."""
        if number not in self._parts:
            patterns = self.rules[number].when
            shapes = [_shape(pattern) for pattern in patterns]
            self._parts[number] = (
                tuple(_key(pattern, shape) for pattern, shape in zip(patterns, shapes)),
                tuple(len(shape) < len(pattern) for pattern, shape in zip(patterns, shapes)),
            )
        return self._parts[number]

    def keys_of(self, fact: Fact) -> Iterator[Key]:
        """Every key some pattern has that this fact could match by its constants."""
        for shape in self._shapes.get((fact[0], len(fact)), ()):
            key = _key(fact, shape)
            if key in self.watching:
                yield key


def _table(rules: Sequence[Rule]) -> Table:
    table: dict[Key, tuple[list[int], list[tuple[int, int]]]] = {}
    for number, rule in enumerate(rules):
        for position, pattern in enumerate(rule.when):
            alone, joining = table.setdefault(_key(pattern, _shape(pattern)), ([], []))
            if len(rule.when) == 1:
                alone.append(number)
            else:
                joining.append((number, position))
    return table


class Store:
    """Facts filed for an index. A child store sees its parent's facts and keeps its own additions apart.

    `_met` counts, for each rule, the patterns under whose key some fact is filed; a rule is joined only when that is
    all of them, so that a rule that cannot be complete costs no more than the counting.
    """

    def __init__(self, index: RuleIndex, parent: Store | None = None):
        self.index = index
        self.parent = parent
        self.facts: dict[Fact, int] = {}
        self._filed: dict[Key, list[Fact]] = {}
        self._met: dict[int, int] = {}

    def __contains__(self, fact: Fact) -> bool:
        return fact in self.facts or (self.parent is not None and fact in self.parent)

    def filed(self, key: Key) -> Iterator[Fact]:
        if self.parent is not None:
            yield from self.parent.filed(key)
        yield from self._filed.get(key, ())

    def _any_filed(self, key: Key) -> bool:
        return key in self._filed or (self.parent is not None and self.parent._any_filed(key))

    def _count(self, number: int) -> int:
        store: Store | None = self
        while store is not None:
            if number in store._met:
                return store._met[number]
            store = store.parent
        return 0

    def add(self, fact: Fact) -> Iterator[tuple[Rule, tuple[Fact, ...], dict]]:
        """File `fact` and yield each (rule, premises, bindings) that it completes. A known fact yields nothing."""
        if fact in self:
            return
        self.facts[fact] = len(self.facts)
        index, met = self.index, self._met
        keys = list(index.keys_of(fact))
        for key in keys:
            if not self._any_filed(key):
                if self.parent is None:
                    for number, _ in index.joining[key]:
                        met[number] = met.get(number, 0) + 1
                else:
                    for number, _ in index.joining[key]:
                        met[number] = self._count(number) + 1
            self._filed.setdefault(key, []).append(fact)
        for key in keys:
            for number in index.alone[key]:
                rule = index.rules[number]
                bound = bind(rule.when[0], fact, {}) if index.parts(number)[1][0] else {}
                if bound is not None:
                    yield rule, (fact,), bound
            for number, position in index.joining[key]:
                # of a key that is filed here every rule was counted above, so that no parent need be asked
                if (met[number] if self.parent is None else self._count(number)) < index.sizes[number]:
                    continue
                rule = index.rules[number]
                bound = bind(rule.when[position], fact, {}) if index.parts(number)[1][position] else {}
                if bound is not None:
                    yield from self._join(number, rule, position, fact, 0, bound, ())

    def _join(self, number, rule, fixed, new, position, bound, premises):
        """Complete `premises` from pattern `position` on; patterns before `fixed` may not use the new fact again."""
        if position == len(rule.when):
            yield rule, premises, bound
            return
        if position == fixed:
            yield from self._join(number, rule, fixed, new, position + 1, bound, (*premises, new))
            return
        keys, free = self.index.parts(number)
        for fact in self.filed(keys[position]):
            if position < fixed and fact == new:
                continue
            extended = bind(rule.when[position], fact, bound) if free[position] else bound
            if extended is not None:
                yield from self._join(number, rule, fixed, new, position + 1, extended, (*premises, fact))


def close(store: Store, facts: Iterable[Fact]) -> list[Firing]:
    """Add `facts` and everything that follows; return the firings. Used to look ahead without an engine."""
    firings = []
    waiting = list(facts)
    while waiting:
        for rule, premises, bound in list(store.add(waiting.pop())):
            fact = instantiate(rule.then, bound)
            firings.append(Firing(rule.name, premises, fact))
            if fact not in store:
                waiting.append(fact)
    return firings
