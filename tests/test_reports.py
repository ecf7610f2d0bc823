"""The written forms of a diagnosis: one content in text, Markdown and HTML, and nothing of a case becomes markup."""

import base64
import hashlib
import re
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import pytest

from diagnose.blocks import Jobs, Ledger, Map
from diagnose.case import read_case, read_cases
from diagnose.draw_section import NARROW, WIDE, draw_section
from diagnose.keeping import diagnoser
from diagnose.outline import outline
from diagnose.report_html import as_html
from diagnose.report_markdown import as_markdown, escaped
from diagnose.report_text import report
from diagnose.yamltree import parse

CASES = Path(__file__).resolve().parents[1] / "cases"
SHIPPED = diagnoser(None)
NAMES = ("hall_table", "gilded_frame", "travelling_case", "plate_ring", "toy_chest")
VOID = {"meta", "input", "br", "link", "img"}

HOSTILE = r"""
case: "<b>x"
title: "<script>alert(1)</script> \"q\" 'q' & [a](http://example.org/x) ![i](javascript:x) \u202Eback\u202C \u0007 `c` *b* <http://example.org> www.example.org"
notes: "</style><img src=x onerror=alert(1)>\n\n# heading\n- item {{ 7*7 }} {% raw %}"
source: "</title><svg onload=alert(2)> a@example.org"
steps: [{do: clear_coat, dried: "12 h"}]
findings: {complaint: haze}
"""


def diagnosed(name):
    (case,) = read_cases(CASES / f"{name}.yaml", SHIPPED.knowledge)
    return SHIPPED.diagnose(case)


def hostile():
    return SHIPPED.diagnose(read_case(parse(HOSTILE, "case.yaml"), SHIPPED.knowledge))


class Tree(HTMLParser):
    """Checks that tags are closed in order; keeps every start tag with its attributes, and the text outside style."""

    def __init__(self, html):
        super().__init__(convert_charrefs=True)
        self.open, self.tags, self.text, self.style, self.inputs = [], [], [], "", []
        self.feed(html)
        self.close()
        assert not self.open

    def handle_starttag(self, tag, attributes):
        names = [name for name, _ in attributes]
        assert len(names) == len(set(names)), (tag, names)
        self.tags.append((tag, dict(attributes)))
        if tag == "input":
            self.inputs.append("label" in self.open)
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open and self.open.pop() == tag, tag

    def handle_data(self, data):
        if self.open and self.open[-1] == "style":
            self.style += data
        else:
            self.text.append(data)

    @property
    def words(self):
        return " ".join(" ".join(self.text).split())


def paragraphs(told):
    """Every piece of wording of an outline."""
    for part in told.parts:
        yield part.title
        for block in part.blocks:
            if not isinstance(block, Map):
                yield from strings(block)


def strings(value):
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for inner in value:
            yield from strings(inner)
    elif hasattr(value, "__dataclass_fields__"):
        for name in value.__dataclass_fields__:
            if name not in ("kind", "seat"):  # how it looks, not what it says
                yield from strings(getattr(value, name))


@pytest.mark.parametrize("name", NAMES)
def test_every_form_says_all_of_the_outline(name):
    diagnosis = diagnosed(name)
    said = [words for words in paragraphs(outline(diagnosis)) if words]
    assert len(said) > 30

    def plain(text):
        return re.sub(r"\W+", "", text).lower()

    forms = {
        "html": Tree(as_html([diagnosis])).words,
        "markdown": as_markdown([diagnosis]),
        "text": report(diagnosis, 80),
    }
    for form, text in forms.items():
        squeezed = plain(text)
        assert [words for words in said if plain(words) not in squeezed] == [], form


@pytest.mark.parametrize("name", NAMES)
def test_the_ledger_and_the_map_add_up_to_the_weight_of_the_first_cause(name):
    diagnosis = diagnosed(name)
    blocks = [block for part in outline(diagnosis).parts for block in part.blocks]
    ledgers = [block for block in blocks if isinstance(block, Ledger)]
    assert bool(ledgers) == (diagnosis.first.cause is not None)
    for ledger in ledgers:
        assert sum(row.decibans for row in ledger.rows) == ledger.total == diagnosis.first.weight
    for drawn in (block.drawn for block in blocks if isinstance(block, Map)):
        assert sum(edge.decibans for edge in drawn.edges if edge.decibans is not None) == diagnosis.first.weight
        keys = {node.key for node in drawn.nodes}
        assert all(edge.start in keys and edge.end in keys for edge in drawn.edges)


@pytest.mark.parametrize("name", NAMES)
def test_the_table_of_the_page_adds_up(name):
    diagnosis = diagnosed(name)
    table = re.search(r'<table class="ledger">.*?</table>', as_html([diagnosis]), re.S)
    assert bool(table) == (diagnosis.first.cause is not None)
    if table:
        *column, total = map(int, re.findall(r'<td class="figure">([+-]\d+)</td>', table[0]))
        assert len(column) == len(diagnosis.first.ledger) and sum(column) == total == diagnosis.first.weight


@pytest.mark.parametrize("name", NAMES)
def test_the_page_is_well_formed_and_its_ids_are_its_own(name):
    html = as_html([diagnosed(name), hostile()])
    tree = Tree(html)
    ids = [attributes["id"] for _, attributes in tree.tags if "id" in attributes]
    assert len(ids) == len(set(ids)) > 10
    for tag, attributes in tree.tags:
        for name_ in ("aria-labelledby", "aria-describedby"):
            assert set(attributes.get(name_, "").split()) <= set(ids)
        if tag == "a":
            assert attributes["href"][0] == "#" and attributes["href"][1:] in ids
    assert [tag for tag, _ in tree.tags].count("h1") == 1
    assert {"main", "header", "nav", "footer", "svg", "title"} <= {tag for tag, _ in tree.tags}


def test_headings_go_down_one_level_at_a_time():
    for html in (as_html([diagnosed("hall_table")]), as_html([diagnosed("hall_table"), diagnosed("plate_ring")])):
        levels = [int(tag[1]) for tag, _ in Tree(html).tags if re.fullmatch(r"h[1-6]", tag)]
        assert levels[0] == 1 and all(later <= earlier + 1 for earlier, later in pairwise(levels))


def test_the_policy_admits_the_style_of_the_page_and_nothing_else():
    tree = Tree(as_html([diagnosed("hall_table")]))
    policy = next(a["content"] for t, a in tree.tags if a.get("http-equiv") == "Content-Security-Policy")
    digest = base64.b64encode(hashlib.sha256(tree.style.encode()).digest()).decode()
    assert policy.split("; ") == [
        "default-src 'none'", f"style-src 'sha256-{digest}'", "base-uri 'none'", "form-action 'none'"
    ]  # fmt: skip
    assert not [a for _, a in tree.tags if "style" in a or any(name.startswith("on") for name in a)]


@pytest.mark.parametrize("diagnosis", [diagnosed("hall_table"), hostile()], ids=["plain", "hostile"])
def test_the_page_loads_nothing_and_runs_nothing(diagnosis):
    tree = Tree(as_html([diagnosis]))
    assert not {"script", "link", "img", "iframe", "object", "image", "use", "form"} & {tag for tag, _ in tree.tags}
    for _, attributes in tree.tags:
        assert not {"src", "srcset", "action", "data", "xlink:href"} & set(attributes)
        assert not any("://" in (value or "") for name, value in attributes.items() if name != "xmlns")
    assert "url(" not in tree.style and "@import" not in tree.style


def test_nothing_of_a_case_becomes_html():
    html = as_html([hostile()])
    tree = Tree(html)
    assert "<script>alert(1)</script> \"q\" 'q' &" in tree.words and "{{ 7*7 }} {% raw %}" in tree.words
    assert "\\u202eback\\u202c \\u0007" in tree.words
    assert not [c for c in html if not c.isprintable() and c != "\n"]


def test_nothing_of_a_case_becomes_markdown():
    text = as_markdown([hostile()])
    assert r"\<script\>alert(1)\</script\>" in text and r"\[a\](http\://example.org/x)" in text
    assert r"\!\[i\](javascript:x)" in text and r"\`c\` \*b\*" in text and r"www\.example.org" in text
    assert r"\\u202eback\\u202c \\u0007" in text and r"a\@example.org" in text
    assert "\n# heading" not in text and "\n- item" not in text
    unescaped = re.sub(r"\\.", "", text)
    assert not re.search(r"[<\[\]](?! \])", unescaped.replace("- [ ]", "")) and "://" not in unescaped


@pytest.mark.parametrize(
    "text, written",
    [
        ("- item", r"\- item"),
        ("+5", r"\+5"),
        ("1. first", r"1\. first"),
        ("12) twelfth", r"12\) twelfth"),
        ("---", r"\---"),
        ("> quoted", r"\> quoted"),
        ("# head", r"\# head"),
        ("a\n\n    code", "a code"),
        ("~~~", r"\~\~\~"),
        ("&amp;", r"\&amp;"),
        ("half-inch, 2.5 mm", "half-inch, 2.5 mm"),
    ],
)
def test_markdown_is_escaped_where_it_would_act(text, written):
    assert escaped(text) == written


def test_every_instruction_has_a_box_with_its_words_beside_it():
    diagnosis = diagnosed("hall_table")
    tree = Tree(as_html([diagnosis]))
    jobs = next(b for part in outline(diagnosis).parts for b in part.blocks if isinstance(b, Jobs))
    assert len(tree.inputs) == sum(len(job.do) for job in jobs.items) > 10 and all(tree.inputs)
    assert as_markdown([diagnosis]).count("\n- [ ] ") == len(tree.inputs)


def test_several_cases_make_one_page_with_a_table_of_contents():
    diagnoses = [diagnosed(name) for name in NAMES]
    html = as_html(diagnoses)
    contents = re.search(r"<nav.*?</nav>", html, re.S)[0]
    assert all(diagnosis.first.word in contents for diagnosis in diagnoses)
    assert contents.count('<a href="#case-') == len(NAMES) == html.count("<article")


def test_every_drawing_has_a_title_and_words_for_what_it_shows():
    html = as_html([diagnosed("hall_table")])
    drawings = re.findall(r'<svg class="picture.*?</svg>', html, re.S)
    assert len(drawings) == 4
    for drawing in drawings:
        assert re.search(r"<title id=.+?>.+</title>", drawing) and re.search(r"<desc id=.+?>.{40,}</desc>", drawing)
    section, reasoning = drawings[0], drawings[2]
    assert "the trouble sits here: between step 5 and step 4" in section and 'class="torn"' in section
    assert 'class="weighs against"' in reasoning and 'class="weighs for"' in reasoning


@pytest.mark.parametrize("width", [36, 40, 60, 80])
def test_the_terminal_draws_the_layers_within_its_width(width):
    text = report(diagnosed("hall_table"), width)
    lines = text.splitlines()
    drawn = lines[next(n for n, line in enumerate(lines) if line.startswith("THE PIECE")) :]
    drawn = drawn[: next(n for n, line in enumerate(drawn) if line.startswith("WHAT WAS"))]
    assert all(len(line) <= width for line in drawn)
    assert sum(line.startswith("  +--") for line in drawn) == 2 and sum(line.startswith("  +~~") for line in drawn) == 1
    marked = " ".join(" ".join(drawn).split())
    assert ">>> the trouble sits here: between step 5 and step 4 <<<" in marked


def test_work_on_the_top_coat_is_joined_to_it():
    text = "steps: [{do: sanding, grit: 180}, {do: clear_coat}, {do: sanding, grit: 1000}, {do: cleaning}]"
    diagnosis = SHIPPED.diagnose(read_case(parse(text, "case.yaml"), SHIPPED.knowledge))
    (strata,) = next(part for part in outline(diagnosis).parts if part.id == "piece").blocks
    for width in (WIDE, NARROW):
        drawn = draw_section(strata, width)
        assert sum(one.classes == "diamond" for one in drawn.shapes) == 3
        assert sum(one.classes == "worked" for one in drawn.shapes) == 2
