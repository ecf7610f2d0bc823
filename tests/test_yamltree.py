"""YAML as a tree with places: whatever a file holds, the worst that comes of it is one complaint in its place."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose import yamltree
from diagnose.complaint import Complaint, Place
from diagnose.yamltree import DEEPEST, LARGEST_FILE, Node, load, parse, read_file

LINE_BREAK = re.compile("\r\n|[\n\r\x85\u2028\u2029]")  # what YAML 1.1 takes for the end of a line


@pytest.fixture(params=["compiled", "plain"])
def loader(request, monkeypatch):
    """Both parsers that may be at hand: the compiled one is not built everywhere."""
    monkeypatch.setattr(yamltree, "_Loader", yaml.SafeLoader if request.param == "plain" else yamltree._Loader)


def complaint(text: str) -> Complaint:
    with pytest.raises(Complaint) as caught:
        parse(text, "f.yaml")
    return caught.value


def file_complaint(path: Path, raw: bytes) -> Complaint:
    path.write_bytes(raw)
    with pytest.raises(Complaint) as caught:
        load(path)
    assert caught.value.place.file == str(path)
    return caught.value


def plain(node: Node):
    if isinstance(node.value, str):
        return node.value
    if isinstance(node.value, tuple):
        return [plain(item) for item in node.value]
    return {key: plain(value) for key, value in node.value.items()}


def test_every_scalar_stays_as_it_was_written(loader):
    text = "a: no\nb: 0220\nc: 1e3\nd: ~\ne: 2001-01-01\nf: 'q u'\ng:\nh: [yes, 0x1F, .5]\ni: {j: null}"
    assert plain(parse(text, "f.yaml")) == {
        "a": "no",
        "b": "0220",
        "c": "1e3",
        "d": "~",
        "e": "2001-01-01",
        "f": "q u",
        "g": "",
        "h": ["yes", "0x1F", ".5"],
        "i": {"j": "null"},
    }


def test_every_value_and_key_knows_its_place(loader):
    tree = parse("# top\na: 1\nlist:\n  - x\n  - {deep: y}\n", "f.yaml")
    assert tree.place == Place("f.yaml", 2, 1)
    assert tree.keys == {"a": Place("f.yaml", 2, 1), "list": Place("f.yaml", 3, 1)}
    first, second = tree.value["list"].value
    assert (first.place, second.place) == (Place("f.yaml", 4, 5), Place("f.yaml", 5, 5))
    assert second.keys["deep"] == Place("f.yaml", 5, 6)
    assert second.value["deep"].place == Place("f.yaml", 5, 12)


@pytest.mark.parametrize(
    "text, line, column, wrong, accepted",
    [
        ("a: 1\nb: 2\na: 3", 3, 1, "'a' stands twice (first in line 1)", "keep one"),
        ("- {k: 1, k: 2}", 1, 10, "'k' stands twice (first in line 1)", "keep one"),
        ("a:\n  b: 1\n  'b': 2", 3, 3, "'b' stands twice (first in line 2)", "keep one"),
        ("a: &x 1", 1, 4, "anchors and aliases", "write the value out"),
        ("a: 1\nb: *a", 2, 4, "anchors and aliases", "write the value out"),
        ("&x a: 1", 1, 1, "anchors and aliases", "write the value out"),
        ("a: &l [x]\nb: &m [*l, *l]\nc: [*m, *m]", 1, 4, "anchors and aliases", "write the value out"),
        ("x: [1, &y {a: 1}]", 1, 8, "anchors and aliases", "write the value out"),
        ("a: !!python/object/apply:os.system [ls]", 1, 4, "the YAML tag 'tag:yaml.org,2002:python/object/", "leave it"),
        ("a: 1\nb: !!str 2", 2, 4, "the YAML tag 'tag:yaml.org,2002:str'", "leave it"),
        ("!own {a: 1}", 1, 1, "the YAML tag '!own'", "leave it"),
        ("a: 1\n---\nb: 2", 2, 1, "a second document", "one document"),
        ("--- x\n...\n--- y", 3, 1, "a second document", "one document"),
        ("", 1, 1, "is empty", "a table"),
        ("# nothing said\n\n", 1, 1, "is empty", "a table"),
        ("? [a, b]\n: c", 1, 3, "a name must be a plain word", "name: value"),
        ("a: 1\n{b: 1}: 2", 2, 1, "a name must be a plain word", "name: value"),
        ("a: b: c", 1, 5, "is not YAML (mapping values are not allowed", "indents"),
        ("a: 1\n\tb: 2", 2, 1, "is not YAML", "indents"),
        ("a: @b", 1, 4, "is not YAML", "indents"),
        ("a: [1, 2}", 1, 9, "is not YAML", "indents"),
        ("a: 1\n b: 2", 2, 3, "is not YAML", "indents"),
        ('a: "\\q"', 1, 5, "is not YAML (found unknown escape character", "indents"),
    ],
)
def test_each_refusal_has_its_place_and_says_what_would_do(text, line, column, wrong, accepted):
    found = complaint(text)
    assert (found.place.line, found.place.column) == (line, column)
    assert wrong in found.wrong
    assert accepted in found.accepted
    assert str(found) == f"f.yaml:{line}:{column}: {found.wrong}; {found.accepted}"


@pytest.mark.parametrize(
    "text",
    [
        "a: 1\na: 2",
        "a: &x 1",
        "*x",
        "!t a",
        "a\n--- b",
        "",
        "? [a]\n: b",
        "a: [",
        "a: \x00",
        "a: \x07",
        "%YAML 9.0\n--- a",
        "\ufffe",
        "- " * 40,
        "'",
        "{",
        "]",
        "&",
        "%",
        "--- |\n\0",
    ],
)
def test_either_parser_only_ever_complains(loader, text):
    assert complaint(text).place.file == "f.yaml"


def test_an_alias_bomb_is_refused_at_its_first_anchor():
    rows = ["a0: &a0 [x, x]"] + [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 9)}]" for i in range(1, 30)]
    found = complaint("\n".join(rows))
    assert found.place == Place("f.yaml", 1, 5)
    assert "anchors" in found.wrong


@pytest.mark.parametrize("opening, closing", [("[", "]"), ("{a: ", "}")])
def test_flow_nesting_ends_at_the_limit(loader, opening, closing):
    levels = DEEPEST + 1 if opening == "[" else DEEPEST  # a table's names stand one deeper than the table
    assert parse(opening * levels + closing * levels, "f.yaml").place == Place("f.yaml", 1, 1)
    found = complaint(opening * (levels + 1) + "x" + closing * (levels + 1))
    column = len(opening) * levels + 1
    assert found.place == Place("f.yaml", 1, column if opening == "[" else column + 1)
    assert f"more than {DEEPEST} deep" in found.wrong


def test_block_nesting_ends_at_the_limit(loader):
    rows = [" " * i + "a:" for i in range(40)]
    assert parse("\n".join(rows[:DEEPEST]), "f.yaml").keys["a"] == Place("f.yaml", 1, 1)
    found = complaint("\n".join(rows))
    assert found.place == Place("f.yaml", DEEPEST + 1, DEEPEST + 1)
    assert f"more than {DEEPEST} deep" in found.wrong
    dashes = complaint("- " * 40 + "x")
    assert dashes.place == Place("f.yaml", 1, 2 * (DEEPEST + 1) + 1)


@pytest.mark.parametrize(
    "text",
    [
        "[" * 20000,
        "{a: " * 20000,
        "- " * 20000,
        "? " * 20000,
        "[[{a: " * 9000,
        "\n".join(" " * i + "a:" for i in range(1200)),
    ],
    ids=lambda text: text[:6],
)
def test_nesting_without_end_is_one_complaint(loader, text):
    assert (
        "nest" in complaint(text).wrong
    )  # the compiled parser has a limit of its own, which a line of `[` meets first


@pytest.mark.parametrize("sign", ["\x00", "\x01", "\x07", "\x1b", "\x7f", "\x80", "\ufffe"])
def test_signs_that_yaml_does_not_allow_are_told_in_their_line(loader, sign):
    found = complaint(f"a: 1\nb: 2\nc: {sign}\nd: 4")
    assert found.place.line == 3
    assert "a character that YAML does not allow" in found.wrong
    assert "without control characters" in found.accepted
    assert str(found).isprintable()


def test_a_byte_order_mark_is_no_part_of_the_text(tmp_path):
    (tmp_path / "f.yaml").write_bytes(b"\xef\xbb\xbfa: 1")
    tree = load(tmp_path / "f.yaml")
    assert plain(tree) == {"a": "1"}
    assert tree.keys["a"].column == 1


@pytest.mark.parametrize(
    "raw, line, column",
    [
        (b"\xff", 1, 1),
        (b"a: \xff", 1, 4),
        (b"a: 1\nb: \xc3(", 2, 4),
        (b"a: 1\r\nb: \xff", 2, 4),
        (b"\xff\xfea\x00", 1, 1),
        (b"a: \xed\xa0\x80", 1, 4),
    ],
)
def test_text_in_another_coding_is_told_where_it_begins(tmp_path, raw, line, column):
    found = file_complaint(tmp_path / "f.yaml", raw)
    assert (found.place.line, found.place.column) == (line, column)
    assert found.wrong == "is not UTF-8 text"
    assert "UTF-8" in found.accepted


def test_a_file_may_be_as_large_as_the_limit_and_no_larger(tmp_path):
    path = tmp_path / "f.yaml"
    path.write_bytes(b"a: " + b"x" * (LARGEST_FILE - 3))
    assert len(load(path).value["a"].value) == LARGEST_FILE - 3
    found = file_complaint(path, b"a: " + b"x" * (LARGEST_FILE - 2))
    assert "larger than 1 MB" in found.wrong
    # Size is told first: no more than the limit is ever read, so what lies behind cannot matter.
    assert "larger than 1 MB" in file_complaint(path, b"\xff" * (LARGEST_FILE + 1)).wrong


def test_paths_that_hold_no_text_are_complaints(tmp_path):
    (tmp_path / "plain").write_text("a: 1")
    for path, wrong in (
        (tmp_path / "missing.yaml", "no such file"),
        (tmp_path, "is a folder"),
        (tmp_path / "plain" / "below", "cannot be read"),
        (Path("nul\0.yaml"), "cannot be read"),
    ):
        with pytest.raises(Complaint, match=wrong) as caught:
            read_file(path)
        assert caught.value.accepted


@settings(max_examples=400, deadline=None, derandomize=True)
@given(st.one_of(st.text(), st.text(alphabet="ab:-?&*!|>'\"%@`{}[],#~ \n\t\x00\x85\u2028é")))
def test_any_text_is_read_or_complained_of_within_it(text):
    lines = len(LINE_BREAK.split(text))
    try:
        tree = parse(text, "f.yaml")
    except Complaint as found:
        assert found.place.file == "f.yaml"
        assert str(found).isprintable()
        # The end of the text may be told as the beginning of a line that is not there.
        assert 1 <= found.place.line <= lines + 1
        assert found.place.column >= 1
    else:
        assert 1 <= tree.place.line <= lines


@settings(max_examples=300, deadline=None, derandomize=True)
@given(raw=st.one_of(st.binary(), st.text().map(lambda text: text.encode("utf-16")), st.text().map(str.encode)))
def test_any_bytes_are_read_or_complained_of(tmp_path_factory, raw):
    path = tmp_path_factory.getbasetemp() / "any.yaml"
    path.write_bytes(raw)
    try:
        tree = load(path)
    except Complaint as found:
        assert found.place.file == str(path)
        assert str(found).isprintable()
    else:
        assert isinstance(tree, Node)


@settings(max_examples=300, deadline=None, derandomize=True)
@given(
    st.recursive(
        st.text(alphabet="abé😀 1", min_size=1, max_size=6).map(str.strip).filter(bool),
        lambda inner: st.one_of(
            st.lists(inner, max_size=3), st.dictionaries(st.sampled_from(["k", "Maß", "é w"]), inner, max_size=3)
        ),
        max_leaves=12,
    )
)
def test_what_was_written_is_read_and_every_place_points_at_it(value):
    text = yaml.safe_dump(value, allow_unicode=True, default_style=None)
    lines = text.split("\n")
    tree = parse(text, "f.yaml")
    assert plain(tree) == (value if isinstance(value, str) else yaml.load(text, Loader=yaml.BaseLoader))

    def check(node: Node) -> None:
        here = lines[node.place.line - 1][node.place.column - 1 :]
        if isinstance(node.value, str):
            assert here.lstrip("'\"").startswith(node.value)
        elif isinstance(node.value, tuple):
            assert here[0] in "-["
            for item in node.value:
                check(item)
        else:
            for key, place in node.keys.items():
                assert lines[place.line - 1][place.column - 1 :].lstrip("'\"? ").startswith(key)
                check(node.value[key])

    check(tree)


# Known gaps in the places told.


def test_sign_not_allowed_is_told_in_its_line_behind_letters_of_several_bytes():
    assert complaint("ééééé: \x01\nb: 1\nc: 2").place.line == 1


def test_sign_not_allowed_is_told_in_its_column():
    assert complaint("a: 1\nb: \x00").place == Place("f.yaml", 2, 4)


def test_other_coding_behind_a_byte_order_mark_is_told_where_it_begins(tmp_path):
    assert file_complaint(tmp_path / "f.yaml", b"\xef\xbb\xbfa\n\xff").place.line == 2


def test_other_coding_is_told_in_its_column_behind_letters_of_several_bytes(tmp_path):
    assert file_complaint(tmp_path / "f.yaml", "é: ".encode() + b"\xff").place.column == 4


def test_a_pipe_is_refused_instead_of_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe.yaml")
    with pytest.raises(Complaint, match="is not a plain file"):
        read_file(tmp_path / "pipe.yaml")


def test_half_a_surrogate_pair_is_a_complaint():
    assert complaint("a: \ud800").place.line == 1
