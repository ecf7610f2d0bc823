"""Matching: each rule fires once on each set of facts that completes it, in whatever order the facts come."""

from __future__ import annotations

from collections import Counter
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rule_bases import Base, base_of

from diagnose.engine import Chain
from diagnose.match import RuleIndex, Store, close
from diagnose.rules import Compare, Fact, Rule, Var, bind, fact_order, instantiate

bases = st.integers(0, 2**32).map(base_of)


def counted(firings) -> Counter:
    return Counter((f.rule, f.premises, f.fact) for f in firings)


def closed_naively(base: Base) -> tuple[set[Fact], set]:
    """Every rule on every choice of facts, over and over: slow, and too plain to be wrong."""
    facts, firings = set(base.given), set()
    while True:
        for rule in base.rules:
            fitting = [[fact for fact in facts if bind(pattern, fact, {}) is not None] for pattern in rule.when]
            for premises in product(*fitting):
                bound: dict | None = {}
                for pattern, fact in zip(rule.when, premises):
                    bound = None if bound is None else bind(pattern, fact, bound)
                if bound is not None:
                    firings.add((rule.name, premises, instantiate(rule.then, bound)))
        more = {fact for _, _, fact in firings}
        if more <= facts:
            return facts, firings
        facts |= more


@settings(max_examples=150, deadline=None, derandomize=True)
@given(bases)
def test_index_finds_what_trying_everything_finds(base):
    store = Store(base.index())
    firings = close(store, base.given)
    facts, expected = closed_naively(base)
    assert set(store.facts) == facts
    assert counted(firings) == Counter(expected)  # as a count: each exactly once


@settings(max_examples=150, deadline=None, derandomize=True)
@given(bases, st.randoms(use_true_random=False), st.integers(0, 9))
def test_order_and_batches_of_facts_do_not_matter(base, random, cut):
    shuffled = list(base.given)
    random.shuffle(shuffled)
    first, second = Chain(base.index()), Chain(base.index())
    first.add(base.given)
    second.add(shuffled[:cut])
    second.add(shuffled[cut:])
    assert second.known() == first.known()
    assert counted(second.firings) == counted(first.firings)
    store = Store(base.index())
    assert counted(close(store, shuffled)) == counted(first.firings)
    assert set(store.facts) == first.known()


@settings(max_examples=100, deadline=None, derandomize=True)
@given(bases, st.randoms(use_true_random=False))
def test_order_of_rules_does_not_matter(base, random):
    rules = list(base.rules)
    random.shuffle(rules)
    assert counted(Base(tuple(rules), base.given).closed()) == counted(base.closed())


@settings(max_examples=100, deadline=None, derandomize=True)
@given(bases, st.integers(0, 9))
def test_child_store_adds_to_its_parent_and_leaves_it_alone(base, cut):
    index = base.index()
    parent = Store(index)
    before = close(parent, base.given[:cut])
    kept = dict(parent.facts)
    child = Store(index, parent)
    after = close(child, base.given[cut:])
    assert parent.facts == kept
    whole = Store(index)
    assert counted([*before, *after]) == counted(close(whole, base.given))
    assert {*parent.facts, *child.facts} == set(whole.facts)
    assert not set(parent.facts) & set(child.facts)
    assert all(fact in child for fact in whole.facts)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(bases)
def test_facts_told_twice_fire_nothing_anew(base):
    chain = Chain(base.index())
    chain.add([*base.given, *base.given])
    fired = counted(chain.firings)
    chain.add(base.given)
    chain.add(sorted(chain.known(), key=fact_order))
    assert counted(chain.firings) == fired
    assert fired == counted(base.closed())


def test_one_index_serves_many_stores():
    index = RuleIndex([Rule("r", (("p", Var("x")),), ("hit", Var("x")))])
    one, other = Store(index), Store(index)
    close(one, [("p", 1)])
    assert ("hit", 1) in one
    assert ("hit", 1) not in other
    assert close(other, [("p", 2)])[0].premises == (("p", 2),)


def test_one_fact_may_stand_under_several_patterns_of_a_rule():
    rule = Rule("r", (("p", Var("x")), ("p", Var("y"))), ("q", Var("x"), Var("y")))
    firings = close(Store(RuleIndex([rule])), [("p", 1), ("p", 2)])
    assert Counter(f.premises for f in firings) == Counter({(("p", a), ("p", b)): 1 for a in (1, 2) for b in (1, 2)})


def test_premises_stand_in_the_order_of_the_patterns():
    rule = Rule("r", (("b", Var("x")), ("a", Var("x"))), ("c", Var("x")))
    for facts in ([("a", 1), ("b", 1)], [("b", 1), ("a", 1)]):
        (firing,) = close(Store(RuleIndex([rule])), facts)
        assert firing.premises == (("b", 1), ("a", 1))


def test_a_circle_of_rules_comes_to_an_end():
    rules = [Rule("there", (("p", Var("x")),), ("q", Var("x"))), Rule("back", (("q", Var("x")),), ("p", Var("x")))]
    chain = Chain(RuleIndex(rules))
    chain.add([("p", 1)])
    assert counted(chain.firings) == Counter({("there", (("p", 1),), ("q", 1)): 1, ("back", (("q", 1),), ("p", 1)): 1})


def test_index_hands_a_fact_only_to_patterns_whose_constants_it_has():
    rules = [Rule(f"r{i}", (("step", Var("s"), "carrier", f"c{i}"),), ("hit", i)) for i in range(50)]
    index = RuleIndex(rules)
    (key,) = index.keys_of(("step", 1, "carrier", "c7"))
    assert index.alone[key] == [7] and index.joining[key] == []
    assert list(index.keys_of(("step", 1, "binder", "c7"))) == []
    assert list(index.keys_of(("other", 1, "carrier", "c7"))) == []


@pytest.mark.parametrize(
    "pattern, fact, bound",
    [
        (("p", Var("x"), Var("x")), ("p", 1, 1), {"x": 1}),
        (("p", Var("x"), Var("x")), ("p", 1, 2), None),
        (("p", Var("x")), ("p", 1, 2), None),
        (("p", Var("x"), "b"), ("p", "a", "b"), {"x": "a"}),
        (("p", Var("x"), "b"), ("p", "a", "c"), None),
        (("p", Compare(">", 2)), ("p", 3), {}),
        (("p", Compare(">", 2)), ("p", 2), None),
        (("p", Compare("!=", 2)), ("p", "two"), None),
    ],
)
def test_binding(pattern, fact, bound):
    assert bind(pattern, fact, {}) == bound


def test_binding_leaves_what_it_was_given_alone():
    bound = {"x": 1}
    assert bind(("p", Var("x"), Var("y")), ("p", 1, 2), bound) == {"x": 1, "y": 2}
    assert bind(("p", Var("x"), Var("y")), ("p", 3, 2), bound) is None
    assert bound == {"x": 1}


def test_an_exception_in_a_rule_leaves_the_engine_ready_to_run_again():
    chain = Chain(RuleIndex([Rule("r", (("p", Var("x")),), ("hit", Var("unbound")))]))
    with pytest.raises(KeyError):
        chain.add([("p", 1)])
    assert chain.running is False
