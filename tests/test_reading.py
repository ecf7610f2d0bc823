"""The small readers: what each accepts, and what it says of what it does not."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose import reading
from diagnose.complaint import Complaint, Place, nearest, printable, shown, would_accept
from diagnose.yamltree import Node, parse

KNOWN = ("water_dye", "alcohol_dye", "pigment_stain")


def node(text: str) -> Node:
    return parse(text, "f.yaml")


def complaint(read, *arguments) -> Complaint:
    with pytest.raises(Complaint) as caught:
        read(*arguments)
    return caught.value


def test_text_folds_white_space():
    assert reading.text(node("'  two \n\n  words  '"), "note") == "two words"
    assert reading.text(node("no"), "note") == "no"


@pytest.mark.parametrize("written", ["''", "'   '", "~", "null"])
def test_text_that_says_nothing_is_refused(written):
    found = complaint(reading.text, node(written), "note")
    assert found.wrong == "note is empty"
    assert "leave the line away" in found.accepted


@pytest.mark.parametrize("written, kind", [("[a]", "a list"), ("{a: b}", "a table of `name: value`")])
def test_text_is_neither_list_nor_table(written, kind):
    found = complaint(reading.text, node(written), "note")
    assert (found.wrong, found.accepted) == (f"note is {kind}", "expected plain text")


def test_table_gives_its_entries():
    assert set(reading.table(node("a: 1\nb: 2"), "case", ("a", "b", "c"), ("a",))) == {"a", "b"}
    assert set(reading.table(node("{x: 1}"), "case")) == {"x"}


def test_table_refuses_a_name_it_does_not_know_where_the_name_stands():
    found = complaint(reading.table, node("piece: 1\nfindnigs: 2"), "the case", ("piece", "findings", "steps"))
    assert found.place == Place("f.yaml", 2, 1)
    assert found.wrong == "the case has no 'findnigs'"
    assert found.accepted == "did you mean findings?"


def test_table_misses_what_is_needed():
    found = complaint(reading.table, node("- {a: 1}").value[0], "step 1", ("a", "do"), ("do",))
    assert found.place == Place("f.yaml", 1, 3)
    assert (found.wrong, found.accepted) == ("step 1 lacks `do:`", "it is required")


@pytest.mark.parametrize(
    "written, kind", [("[a: 1]", "a list"), ("word", "a word or number"), ("''", "a word or number")]
)
def test_table_refuses_what_is_none(written, kind):
    found = complaint(reading.table, node(written), "piece")
    assert (found.wrong, found.accepted) == (f"piece is {kind}", "expected a table of `name: value`")


@pytest.mark.parametrize(
    "written, values", [("[a, b]", ["a", "b"]), ("a", ["a"]), ("''", []), ("~", []), ("null", []), ("[]", [])]
)
def test_items_takes_one_value_for_a_list_of_one(written, values):
    assert [item.value for item in reading.items(node(written), "steps")] == values


def test_items_refuses_a_table():
    found = complaint(reading.items, node("a: 1"), "steps")
    assert (found.wrong, found.accepted) == ("steps is a table of `name: value`", "expected a list")


def test_each_reads_every_entry_and_nothing_for_nothing():
    assert reading.each(node("[a, b c]"), "also", reading.text) == ("a", "b c")
    assert reading.each(None, "also", reading.text) == ()
    assert complaint(reading.each, node("[a, [b]]"), "also", reading.text).place == Place("f.yaml", 1, 5)


@pytest.mark.parametrize("written", ["water_dye", "Water dye", "WATER-DYE", "' water/dye '", "water   dye"])
def test_word_takes_spaces_and_dashes_for_underscores(written):
    assert reading.word(node(written), "product", KNOWN) == "water_dye"


def test_word_takes_a_known_word_as_it_stands_first():
    assert reading.word(node("ruled out"), "then", {"ruled out": 1, "ruled_out": 2}) == "ruled out"


def test_word_that_is_not_known_brings_the_nearest():
    found = complaint(reading.word, node("  watr dye"), "product", KNOWN)
    assert found.place == Place("f.yaml", 1, 3)
    assert found.wrong == "product: 'watr dye' is not known"
    assert found.accepted == "did you mean water_dye?"


def test_word_like_none_brings_them_all_where_they_are_few():
    assert complaint(reading.word, node("xyz"), "answer", ("no", "yes")).accepted == "known: no, yes"


def test_words_reads_one_or_many():
    assert reading.words(node("[water dye, alcohol dye]"), "products", KNOWN) == ("water_dye", "alcohol_dye")
    assert reading.words(node("water dye"), "products", KNOWN) == ("water_dye",)
    assert complaint(reading.words, node("[water dye, gravy]"), "products", KNOWN).place == Place("f.yaml", 1, 13)


@pytest.mark.parametrize("written", ["a", "a1_b", "x" * 60])
def test_name_takes_an_id(written):
    assert reading.name(node(written), "finding") == written


@pytest.mark.parametrize("written", ["A", "1a", "_a", "a b", "a-b", "é", "x" * 61, "'a\n\nb'"])
def test_name_refuses_what_is_no_id(written):
    found = complaint(reading.name, node(written), "finding")
    assert "cannot be a name" in found.wrong
    assert "lower-case letters" in found.accepted


@pytest.mark.parametrize("written, meant", [("yes", True), ("no", False), ("Yes", True), ("NO", False)])
def test_yes_and_no(written, meant):
    assert reading.yes_no(node(written), "layer") is meant


@pytest.mark.parametrize("written", ["true", "1", "y", "on", "maybe"])
def test_nothing_else_is_yes_or_no(written):
    assert complaint(reading.yes_no, node(written), "layer").place == Place("f.yaml", 1, 1)


@given(st.text(max_size=30))
@settings(max_examples=200, deadline=None, derandomize=True)
def test_as_name_settles_at_once(written):
    once = reading.as_name(written)
    assert reading.as_name(once) == once
    assert not any(sign.isspace() or sign in "-/" for sign in once)


# The wording of complaints, which all readers share.


def test_nearest_come_closest_first_and_at_most_three():
    known = ["sander", "sanding", "sand", "sands", "sanded", "wax"]
    assert nearest("sandng", known)[0] == "sanding"
    assert len(nearest("sandng", known)) == 3
    assert "wax" not in nearest("sandng", known)
    assert nearest("sandng", reversed(known)) == nearest("sandng", known)


def test_many_known_words_are_not_all_listed():
    known = [f"word_{i:02}" for i in range(40)]
    assert would_accept("qqq", known) == f"known: {', '.join(known[:8])} ... (40 in all)"


def test_a_huge_word_does_not_flood_the_message():
    found = complaint(reading.word, node("x" * 5000), "product", KNOWN)
    assert len(str(found)) < 200
    assert shown("x" * 5000) == "'" + "x" * 37 + "...'"


@pytest.mark.parametrize("sign", ["\x1b", "\x07", "\u202e", "\u2066", "\ud800", "\x00", "\n"])
def test_nothing_that_moves_a_terminal_is_printed(sign):
    assert printable(f"a{sign}b") == f"a\\u{ord(sign):04x}b"
    assert str(Complaint(Place(f"f{sign}.yaml", 1, 2), f"wrong {sign}", f"accepted {sign}")).isprintable()


def test_a_place_without_a_line_is_the_file():
    assert str(Complaint(Place("f.yaml"), "is a folder", "give a file")) == "f.yaml: is a folder; give a file"
    assert str(Complaint(None, "wrong")) == "wrong"
