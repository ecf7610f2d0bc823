"""How sure a label's answers are: the truth is never outside, and knowing less never tells more."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from labels import SHEETS, bottle, coats, mixtures, values, yaml_of

from diagnose.complaint import Complaint

MORE = settings(max_examples=40, deadline=None)
FEW = settings(max_examples=6, deadline=None)


@given(mixtures())
@MORE
def test_tightened_shares_hold_the_truth(mixed):
    true, rows = mixed
    for share, content in zip(true, bottle(yaml_of(rows)).inside):
        assert content.share.low - 1e-9 <= share / 100 <= content.share.high + 1e-9


@given(mixtures())
@MORE
def test_amounts_hold_the_truth(mixed):
    true, rows = mixed
    found = bottle(yaml_of(rows)).amounts
    sure = bottle(yaml_of([(name, cas, share, share) for (name, cas, _, _), share in zip(rows, true)], "complete: yes"))
    for name, amount in sure.amounts.items():
        assert found[name].share.low - 1e-6 <= amount.share.low and amount.share.high <= found[name].share.high + 1e-6


def sure(text):
    """Everything surely told: (answer, value) and (answer, not value), coats with a sure verdict."""
    of = bottle(text)
    told = {(one.answer.id, value) for one in of.told if not one.answer.worst for value in one.values}
    for one in of.told:  # a bound says that nothing better is so
        if one.answer.worst and one.values:
            order = list(of.knowledge.attributes["step", one.answer.attribute].values)
            told |= {(one.answer.id, f"no better than {value}") for value in order[order.index(one.values[0]) :]}
    told |= {(one.answer.id, f"not {value}") for one in of.told for value in one.never}
    return told | {("disagrees", value) for value in of.disagrees}


def verdicts(text):
    return {(coat, one.verdict) for coat, one in coats(text).items() if one.verdict != "open"}


def test_the_fastness_of_a_mixture_is_that_of_the_worst_listed_and_only_a_bound():
    rows = [("ethanol", "", 86, 90), ("metal complex dye", "", 1, 5), ("red iron oxide", "", 1, 1)]
    of = bottle(yaml_of(rows))
    assert values(yaml_of(rows), "fastness") == {"moderate"} and "at best" in of.answer("fastness").answer.title


@given(mixtures(), st.integers(0, 5), st.integers(1, 20))
@MORE
def test_widening_a_share_never_makes_an_answer_surer(mixed, which, more):
    _, rows = mixed
    which %= len(rows)
    name, cas, low, high = rows[which]
    wider = [*rows]
    wider[which] = (name, cas, max(0, low - more), min(100, high + more))
    assert sure(yaml_of(wider)) <= sure(yaml_of(rows))


@given(mixtures(), st.integers(0, 5), st.integers(1, 20))
@FEW
def test_widening_a_share_never_makes_a_verdict_on_a_coat_surer(mixed, which, more):
    _, rows = mixed
    which %= len(rows)
    name, cas, low, high = rows[which]
    wider = [*rows]
    wider[which] = (name, cas, max(0, low - more), min(100, high + more))
    as_colour = "for: [colourant]"
    assert verdicts(yaml_of(wider, as_colour)) <= verdicts(yaml_of(rows, as_colour))


@given(mixtures(), st.randoms(use_true_random=False))
@FEW
def test_the_order_of_ingredients_does_not_matter(mixed, random):
    _, rows = mixed
    other = random.sample(rows, len(rows))
    assert sure(yaml_of(rows)) == sure(yaml_of(other))
    one, two = bottle(yaml_of(rows)), bottle(yaml_of(other))
    assert {name: found.share for name, found in one.amounts.items()} == {n: f.share for n, f in two.amounts.items()}
    assert (one.blend and (one.blend.first, one.blend.last)) == (two.blend and (two.blend.first, two.blend.last))


@given(mixtures(), st.integers(1, 30))
@MORE
def test_an_unknown_ingredient_is_never_narrower_than_a_known_additive(mixed, low):
    _, rows = mixed
    rows = [(*row[:2], row[2] // 2, row[3]) for row in rows if row[0] != "trade secret additive"]
    assume(rows and sum(row[2] for row in rows) + low <= 100)
    known = bottle(yaml_of([*rows, ("fumed silica", "", low, low + 10)]))
    unknown = bottle(yaml_of([*rows, ("an unheard-of substance", "", low, low + 10)]))
    assert known.inside[len(rows)].ingredient.part == "additive" and unknown.inside[len(rows)].ingredient is None
    for name, amount in known.amounts.items():
        other = unknown.amounts[name].share
        assert other.low <= amount.share.low and amount.share.high <= other.high, name


def test_nothing_listed_widens_and_a_complete_list_narrows():
    rows = [("ethanol", "", 60, 60), ("1-methoxy-2-propanol", "", 30, 30), ("metal complex dye", "", 2, 2)]
    assert bottle(yaml_of(rows)).amounts["water"].share.high > 0.07
    rows[0] = ("ethanol", "", 68, 68)
    assert bottle(yaml_of(rows, "complete: yes")).amounts["water"].share == (0, 0)
    balance = "ethanol balance\n1-methoxy-2-propanol 30 %\nmetal complex dye 2 %\n"
    assert bottle(balance).inside[0].share == (0.68, 0.68)


def test_the_solids_of_the_sheet_bound_what_is_not_listed():
    rows = [("Stoddard solvent", "", 50, 60), ("linseed oil", "", 10, 15)]
    without, with_ = bottle(yaml_of(rows)), bottle(yaml_of(rows, "solids: 15 - 18 %"))
    assert without.amounts["binder"].share.high == 0.5 and with_.amounts["binder"].share.high == 0.18
    with pytest.raises(Complaint, match="contradict each other"):
        bottle(yaml_of(rows, "solids: 5 %"))


def test_evaporation_of_single_solvents_is_that_of_the_table():
    from diagnose.tables import table

    for name, row in (("acetone", "acetone"), ("ethanol", "ethanol"), ("Stoddard solvent", "mineral_spirits")):
        of = bottle(yaml_of([(name, "", 100, 100)]))
        assert of.blend.first == of.blend.last == (float(table("solvents")[row]["rate"]["value"]),) * 2


@given(mixtures())
@FEW
def test_evaporation_of_the_true_mixture_lies_in_the_range(mixed):
    true, rows = mixed
    assume(all(name != "trade secret additive" for name, *_ in rows))
    sure_ = bottle(yaml_of([(n, c, s, s) for (n, c, _, _), s in zip(rows, true)], "complete: yes")).blend
    wide = bottle(yaml_of(rows)).blend
    if sure_ and any(row.share.high > 0 for row in sure_.leaving):
        assert wide.first.low - 1e-9 <= sure_.first.low and sure_.first.high <= wide.first.high + 1e-9
        assert wide.last.low - 1e-9 <= sure_.last.low and sure_.last.high <= wide.last.high + 1e-9


def test_hansen_distance_of_a_pure_solvent_to_itself_is_nothing_and_a_blend_lies_between():
    alone = {d.to: d.ra for d in bottle(yaml_of([("ethanol", "", 100, 100)])).distances}
    assert alone["ethanol"] == (0, 0)
    # Ra of ethanol to water from the figures of the table: dD, dP, dH 15.8 8.8 19.4 and 15.5 16 42.3
    assert alone["water"].low == pytest.approx((4 * 0.3**2 + 7.2**2 + 22.9**2) ** 0.5, abs=0.06)
    mixed = {d.to: d.ra for d in bottle(yaml_of([("ethanol", "", 50, 50), ("water", "", 50, 50)])).distances}
    assert 0 < mixed["water"].low < alone["water"].low
    assert not bottle(SHEETS["concentrate"]).distances
