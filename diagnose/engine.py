"""Compiled rules on the experta engine, facts in, firings out.

experta owns the fact list, the agenda and the firing of rules. Its matcher is replaceable; ours (`IndexedMatcher`) uses
the index of `diagnose.match`, and experta's own Rete stays available as the yardstick that tests compare it with.
"""

from __future__ import annotations

import inspect
from collections.abc import Iterable, Sequence

from diagnose.experta_compat import AS, MATCH, Activation, KnowledgeEngine, Matcher, P, ReteMatcher
from diagnose.experta_compat import Fact as EngineFact
from diagnose.experta_compat import Rule as EngineRule
from diagnose.match import RuleIndex, Store, close
from diagnose.rules import Compare, Fact, Firing, Rule, Var, instantiate

_VARIABLE = "of_"  # keeps the names of our variables apart from those of experta and of the captured facts


class Said(EngineFact):
    """A flat fact: its entries as positional fields, and how many they are, so that no pattern matches a longer one.

    Entries are plain words and numbers, so what experta would freeze and check in each of them is known beforehand.
    """

    entries: Fact = ()

    def has_field_constraints(self) -> bool:
        return False

    def has_nested_accessor(self) -> bool:
        return False

    def validate(self) -> None:
        pass


def said(fact: Fact) -> Said:
    made = _made(fact)
    made.entries = fact
    return made


def _made(entries: Sequence) -> Said:
    """A fact or pattern of these entries, without going through the checks of each."""
    made = Said()
    dict.update(made, enumerate(entries))
    dict.__setitem__(made, "size", len(entries))
    return made


def _entries(fact: Said) -> Fact:
    return fact.entries


def _engine_pattern(pattern, position: int):
    terms = []
    for term in pattern:
        if isinstance(term, Var):
            terms.append(getattr(MATCH, _VARIABLE + term.name))
        elif isinstance(term, Compare):
            terms.append(P(term.holds))
        else:
            terms.append(term)
    return getattr(AS, f"p{position}") << _made(terms)


# experta inspects the signature of every rule's function; handing it over spares that for hundreds of rules a case
_SIGNATURE = inspect.signature(lambda engine, **context: None)


def _engine_rule(rule: Rule) -> EngineRule:
    """The experta rule for `rule`: declares its conclusion and records the firing on its engine."""

    def conclude(engine, **context):
        premises = tuple(_entries(context[f"p{i}"]) for i in range(len(rule.when)))
        bound = {name.removeprefix(_VARIABLE): value for name, value in context.items() if name.startswith(_VARIABLE)}
        fact = instantiate(rule.then, bound)
        engine.firings.append(Firing(rule.name, premises, fact))
        engine.declare(said(fact))

    conclude.__name__ = rule.name
    conclude.__signature__ = _SIGNATURE
    return EngineRule(*(_engine_pattern(p, i) for i, p in enumerate(rule.when)))(conclude)


class IndexedMatcher(Matcher):
    """Activations from the rule index; nothing is ever retracted here, so nothing is ever removed."""

    def __init__(self, engine):
        super().__init__(engine)
        self.reset()

    def reset(self):
        self.store = Store(self.engine.index)
        self.handles: dict[Fact, EngineFact] = {}

    def changes(self, adding=None, deleting=None):
        added = []
        for handle in adding or ():
            if not isinstance(handle, Said):
                continue
            fact = _entries(handle)
            self.handles[fact] = handle
            for rule, premises, bound in self.store.add(fact):
                facts = [self.handles[premise] for premise in premises]
                context = {_VARIABLE + name: value for name, value in bound.items()}
                context |= {f"p{i}": premise for i, premise in enumerate(facts)}
                added.append(Activation(self.engine.engine_rule(rule), facts, context))
        return added, []


class Chain(KnowledgeEngine):
    """One forward chaining over one case: `add` facts, which runs the rules to their end, as often as wanted."""

    __matcher__ = IndexedMatcher

    def __init__(self, index: RuleIndex):
        self.index = index
        self.firings: list[Firing] = []
        super().__init__()
        self.reset()

    def engine_rule(self, rule: Rule) -> EngineRule:
        """experta's rule for `rule`; made once and shared by all chains on this index."""
        built = self.index.built
        if rule.name not in built:
            built[rule.name] = _engine_rule(rule)
        return built[rule.name]

    def get_rules(self):
        return [self.engine_rule(rule) for rule in self.index.rules]

    def add(self, facts: Iterable[Fact]) -> None:
        """Declare `facts` and fire every rule that follows."""
        self.declare(*(said(fact) for fact in facts))
        try:
            self.run()
        finally:
            self.running = False  # an exception inside a rule would leave the engine half-running

    def store(self) -> Store:
        """All facts, filed by the index, ready to be looked ahead from."""
        if isinstance(self.matcher, IndexedMatcher):
            return self.matcher.store
        store = Store(self.index)
        close(store, self.known())
        return store

    def known(self) -> set[Fact]:
        return {_entries(fact) for fact in self.facts.values() if isinstance(fact, Said)}


class ReteChain(Chain):
    """The same on experta's own matcher."""

    __matcher__ = ReteMatcher
