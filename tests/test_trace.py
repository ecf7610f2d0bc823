"""The trace: the same whatever order things came in, and sound from every fact down to what was said."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from rule_bases import base_of

from diagnose.engine import Chain
from diagnose.match import Store, close
from diagnose.rules import Firing
from diagnose.trace import Step, Trace, trace_of

bases = st.integers(0, 2**32).map(base_of)
A, B, C, D = ("a",), ("b",), ("c",), ("d",)


def origins(facts) -> dict:
    return {fact: f"said {fact}" for fact in facts}


def steps_of(trace: Trace, facts) -> dict:
    return {fact: trace[fact] for fact in facts if fact in trace}


@settings(max_examples=200, deadline=None, derandomize=True)
@given(bases, st.randoms(use_true_random=False))
def test_same_trace_whatever_the_order_of_facts_and_firings(base, random):
    shuffled = list(base.given)
    random.shuffle(shuffled)
    first, second = Chain(base.index()), Chain(base.index())
    first.add(base.given)
    second.add(shuffled)
    firings = [*second.firings, *close(Store(base.index()), shuffled)]  # twice over: repeats must not matter either
    random.shuffle(firings)
    one = trace_of(origins(base.given), first.firings)
    other = trace_of(origins(shuffled), firings)
    assert list(one) == list(other)
    assert steps_of(one, first.known()) == steps_of(other, first.known())


@settings(max_examples=200, deadline=None, derandomize=True)
@given(bases)
def test_everything_known_is_in_the_trace_and_rests_on_what_was_given(base):
    chain = Chain(base.index())
    chain.add(base.given)
    trace = trace_of(origins(base.given), chain.firings)
    fired = set(chain.firings)
    for fact in chain.known():
        step = trace[fact]
        if fact in base.given:
            assert step == Step(fact, "given", (), 0, f"said {fact}")
        else:
            assert Firing(step.rule, step.premises, fact) in fired
            # Each premise is known sooner than the fact, so no way down can come back to where it began.
            assert max(trace[premise].depth for premise in step.premises) == step.depth - 1
    assert {step.fact for step in trace} == chain.known()


@settings(max_examples=200, deadline=None, derandomize=True)
@given(bases)
def test_no_fact_has_a_shorter_way_than_the_one_shown(base):
    chain = Chain(base.index())
    chain.add(base.given)
    trace = trace_of(origins(base.given), chain.firings)
    for firing in chain.firings:
        way = max(trace[premise].depth for premise in firing.premises) + 1
        shown = trace[firing.fact]
        assert shown.depth <= way
        if shown.depth == way and shown.rule != "given":
            assert shown.rule <= firing.rule


@settings(max_examples=200, deadline=None, derandomize=True)
@given(bases)
def test_below_is_all_that_a_fact_rests_on_and_nothing_else(base):
    chain = Chain(base.index())
    chain.add(base.given)
    trace = trace_of(origins(base.given), chain.firings)
    for fact in chain.known():
        below = [step.fact for step in trace.below([fact])]
        needed = {fact}
        while (wider := needed.union(*(trace[one].premises for one in needed))) != needed:
            needed = wider
        assert set(below) == needed
        assert len(below) == len(set(below))
        for place, one in enumerate(below):
            assert set(trace[one].premises) <= set(below[:place])


def test_shortest_way_wins_over_the_first_by_name():
    firings = [Firing("aa", (B,), C), Firing("zz", (A,), C), Firing("m", (A,), B)]
    step = trace_of({A: "said"}, firings)[C]
    assert (step.rule, step.premises, step.depth) == ("zz", (A,), 1)


def test_of_equally_short_ways_the_first_by_name_wins_then_the_first_premises():
    firings = [Firing("y", (A,), C), Firing("x", (B,), C), Firing("x", (A,), C)]
    for order in (firings, firings[::-1]):
        step = trace_of({A: "said", B: "said"}, order)[C]
        assert (step.rule, step.premises) == ("x", (A,))


def test_what_was_given_stays_given_though_a_rule_concludes_it_too():
    step = trace_of({A: "said", B: "said too"}, [Firing("r", (A,), B)])[B]
    assert (step.rule, step.origin, step.premises) == ("given", "said too", ())


def test_a_circle_without_ground_is_left_out():
    trace = trace_of({A: "said"}, [Firing("r1", (B,), C), Firing("r2", (C,), B), Firing("r3", (D,), D)])
    assert [step.fact for step in trace] == [A]
    assert B not in trace and C not in trace and D not in trace


def test_a_circle_is_entered_from_its_ground():
    trace = trace_of({A: "said"}, [Firing("r1", (B,), C), Firing("r2", (C,), B), Firing("r3", (A,), C)])
    assert [(step.fact, step.rule) for step in trace] == [(A, "given"), (C, "r3"), (B, "r2")]


def test_bookkeeping_is_kept_but_not_shown():
    hidden = ("open", 1, "carrier")
    trace = trace_of({A: "said", hidden: "not stated"}, [Firing("r", (A, hidden), B)])
    assert hidden in trace
    assert [step.fact for step in trace] == [A, B]
    assert trace.premises(B) == [A]
    assert [step.fact for step in trace.below([B])] == [A, B]


def test_facts_of_a_relation_come_in_the_order_of_their_entries():
    facts = [("step", 10, "do", "x"), ("step", 2, "do", "x"), ("step", "b"), ("over", 1, 0)]
    for order in (facts, facts[::-1]):
        trace = trace_of(origins(order), [])
        assert [step.fact for step in trace.of("step")] == [
            ("step", "b"),
            ("step", 2, "do", "x"),
            ("step", 10, "do", "x"),
        ]


def test_whole_case_rests_on_what_was_said(run):
    """A real case over the small trade: materials, computations and conditions all lead down to the case."""
    done = run(
        "steps:\n- {do: colourant, product: water_dye, dried: 2 h}\n- {do: clear_coat, product: water_varnish}\n"
        "findings: {rag_takes_colour: yes}\nair: {temperature: 20 C, humidity: 60 %}"
    )
    trace = trace_of(done.given, done.firings)
    assert all(fact in trace for fact in done.facts)
    condition = ("condition", "water_over_colour", "holds")
    names = {step.rule for step in trace.below([condition])}
    assert {"given", "water_over_colour/1", "water_dye.redissolves_in=water", "water_varnish.carrier=water"} <= names
    assert trace[("air", "dew_point", 12.01)].rule == "reckon/dew point"
    for step in trace.below([condition]):
        assert (step.rule == "given") == (not step.premises)
