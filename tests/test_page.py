"""The page in a real browser: quiet, self-contained, fitting its window, accessible, printable.

Needs Chromium and the extra `page`; skipped, with the reason, where either is absent.
"""

import os
import shutil
from pathlib import Path

import pytest

from diagnose.case import read_case, read_cases
from diagnose.explain import outlines
from diagnose.keeping import diagnoser
from diagnose.label_reading import read_sheet
from diagnose.report_html import as_html, explanation, page
from diagnose.yamltree import parse

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
if not CHROMIUM:
    pytest.skip("no chromium on this machine", allow_module_level=True)
playwright = pytest.importorskip("playwright.sync_api", reason="the extra `page` is not installed")
axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="the extra `page` is not installed")

CASES = Path(__file__).resolve().parents[1] / "cases"
EXAMPLES = CASES.parent / "shared" / "examples"
SHIPPED = diagnoser(None)
LONG = """
case: sideboard
title: A sideboard with a long schedule and_one_word_that_is_far_longer_than_any_window_of_a_telephone_could_ever_show
piece: {wood: white_ash, form: veneer, state: refinished, surface: large_flat, age: 2 weeks}
steps:
  - {do: unknown_coat}
  - {do: stripping}
  - {do: sanding, grit: 150}
  - {do: wetting, dried: 2 h}
  - {do: sanding, grit: 220}
  - {do: colourant, product: water_dye, applied: spray, dried: 1 day}
  - {do: sealer, product: dewaxed_shellac, applied: spray, coat: mist, dried: 3 h}
  - {do: filler, dried: 1 day}
  - {do: glaze, product: oil_stain, excess: wiped, dried: 2 days}
  - {do: clear_coat, product: oil_polyurethane, applied: wide_brush, dried: 7 days}
  - {do: cleaning}
  - {do: clear_coat, product: oil_polyurethane, applied: wide_brush}
  - {do: sanding, grit: 1000}
findings: {complaint: film_loose, break_look: sheets, noticed: days_after, lets_go_at: knocked}
"""
BARE = "case: only_a_complaint\nfindings: {complaint: haze}\n"


def shipped(*names):
    return [case for name in names for case in read_cases(CASES / f"{name}.yaml", SHIPPED.knowledge)]


PAGES = {
    "an interface": shipped("hall_table"),
    "nothing fits": shipped("gilded_frame"),
    "two coats cracked": shipped("travelling_case"),
    "in doubt": shipped("plate_ring"),
    "many steps": [read_case(parse(LONG, "long.yaml"), SHIPPED.knowledge)],
    "only a complaint": [read_case(parse(BARE, "bare.yaml"), SHIPPED.knowledge)],
    "a folder": shipped("hall_table", "birch_cradle", "maple_doors"),
}


@pytest.fixture(scope="module")
def browser():
    sandbox = ["--no-sandbox"] if os.geteuid() == 0 else []  # Chromium refuses its sandbox to root
    with playwright.sync_playwright() as started:
        running = started.chromium.launch(executable_path=CHROMIUM, args=sandbox)
        yield running
        running.close()


@pytest.fixture(scope="module", params=PAGES)
def page_file(request, tmp_path_factory):
    path = tmp_path_factory.mktemp("page") / "report.html"
    path.write_text(as_html(map(SHIPPED.diagnose, PAGES[request.param])), encoding="utf-8")
    return path


class Shown:
    """A page opened at a width in a colour scheme, with whatever it said or asked for while it was opened."""

    def __init__(self, browser, path, width, scheme="light"):
        self.context = browser.new_context(viewport={"width": width, "height": 780}, color_scheme=scheme)
        self.page = self.context.new_page()
        self.said, self.asked = [], []
        self.page.on("console", lambda one: self.said.append((one.type, one.text)))
        self.page.on("pageerror", lambda error: self.said.append(("error", str(error))))
        self.page.route("**/*", lambda route: self._route(route, path.as_uri()))
        self.page.goto(path.as_uri())

    def _route(self, route, own):
        if route.request.url == own:
            route.continue_()
        else:
            self.asked.append(route.request.url)
            route.abort()

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1200])
def test_it_is_quiet_fits_its_window_and_is_accessible(browser, page_file, width, scheme):
    check_quiet(browser, page_file, width, scheme)


@pytest.mark.parametrize(("width", "scheme"), [(360, "light"), (1200, "dark")])
def test_so_is_the_page_of_an_explanation(browser, tmp_path, width, scheme):
    path = tmp_path / "explained.html"
    told = outlines(SHIPPED.knowledge, "lap_marks")
    path.write_text(explanation(told, SHIPPED.knowledge.version), encoding="utf-8")
    check_quiet(browser, path, width, scheme)


@pytest.mark.parametrize(("width", "scheme"), [(360, "dark"), (1200, "light")])
def test_so_is_the_page_of_a_plan(browser, tmp_path, width, scheme):
    from diagnose.plan_outline import outline
    from diagnose.planning import Planner

    (case,) = read_cases(EXAMPLES / "plans" / "maple_top.yaml", SHIPPED.knowledge)
    told = outline(Planner(SHIPPED).plan(case), ())
    path = tmp_path / "plan.html"
    path.write_text(page(told, "A schedule looked at beforehand", "0"), encoding="utf-8")
    check_quiet(browser, path, width, scheme)


@pytest.mark.parametrize(("width", "scheme"), [(360, "dark"), (1200, "light")])
def test_so_is_the_page_of_a_label(browser, tmp_path, width, scheme):
    from diagnose.label import read_bottle
    from diagnose.label_coats import under_coats
    from diagnose.label_outline import outline

    name = "ngr_mostly_water.sheet"
    text = (EXAMPLES / "labels" / name).read_text(encoding="utf-8")
    bottle = read_bottle(read_sheet(text, name, SHIPPED.knowledge), SHIPPED)
    told = outline(bottle, under_coats(bottle))
    path = tmp_path / "label.html"
    path.write_text(page(told, "From the ingredient list", "0"), encoding="utf-8")
    check_quiet(browser, path, width, scheme)


def check_quiet(browser, page_file, width, scheme):
    with Shown(browser, page_file, width, scheme) as shown:
        page = shown.page
        assert [said for said in shown.said if said[0] in ("error", "warning")] == [] and shown.asked == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert page.evaluate("getComputedStyle(document.body).fontSize") == "16px"  # the policy let the style in
        found = axe.Axe().run(page).response
        assert found["passes"]
        assert [(v["id"], [node["html"][:200] for node in v["nodes"]]) for v in found["violations"]] == []


@pytest.mark.parametrize("width", [360, 1200])
def test_the_words_of_a_drawing_stay_inside_it(browser, page_file, width):
    with Shown(browser, page_file, width) as shown:
        outside = shown.page.evaluate("""() => [...document.querySelectorAll('svg.picture')].flatMap(svg => {
            const whole = svg.getBoundingClientRect();
            return [...svg.querySelectorAll('text')].filter(text => {
                const box = text.getBoundingClientRect();
                return box.width && (box.left < whole.left - 1 || box.right > whole.right + 1);
            }).map(text => text.textContent);
        })""")
        assert outside == []
        boxes = shown.page.evaluate("""() => [...document.querySelectorAll('svg.picture')].filter(
            svg => svg.getBoundingClientRect().width).map(svg => svg.getAttribute('class'))""")
        assert boxes and all(("narrow" in name) == (width == 360) for name in boxes)


def test_the_boxes_can_be_ticked_by_keyboard_and_by_their_words(browser, page_file):
    with Shown(browser, page_file, 1200) as shown:
        boxes = shown.page.locator("input[type=checkbox]")
        if not boxes.count():
            pytest.skip("no remedy is proposed in this case")
        boxes.first.focus()
        shown.page.keyboard.press("Space")
        assert boxes.first.is_checked()
        shown.page.locator(".ticks label span").first.click()
        assert not boxes.first.is_checked()


def test_the_map_can_be_reached_and_scrolled_by_keyboard_where_it_is_wider_than_the_page(browser, tmp_path):
    path = tmp_path / "report.html"
    path.write_text(as_html(map(SHIPPED.diagnose, PAGES["an interface"])), encoding="utf-8")
    with Shown(browser, path, 780) as shown:
        box = shown.page.locator(".scroll")
        assert box.evaluate("e => e.scrollWidth > e.clientWidth")
        box.focus()
        shown.page.keyboard.press("ArrowRight")
        for _ in range(50):  # the scrolling is animated; the policy of the page forbids waiting within it
            if box.evaluate("e => e.scrollLeft") > 0:
                break
            shown.page.wait_for_timeout(100)
        assert box.evaluate("e => e.scrollLeft") > 0
        assert shown.page.evaluate("document.documentElement.scrollWidth") <= 780


def test_it_prints(browser, page_file, tmp_path):
    with Shown(browser, page_file, 1200) as shown:
        shown.page.emulate_media(media="print")
        assert not shown.page.locator("nav.contents").is_visible()
        assert shown.page.locator("svg.wide").first.is_visible()
        for foot in shown.page.locator("tfoot").all():  # as a footer it would be printed again on every sheet
            assert foot.evaluate("e => getComputedStyle(e).display") == "table-row-group"
        shown.page.pdf(path=tmp_path / "report.pdf", prefer_css_page_size=True)
        printed = (tmp_path / "report.pdf").read_bytes()
        assert printed.startswith(b"%PDF") and printed.count(b"/Type /Page\n") >= 1
        assert b"/MediaBox [0 0 594.95996 841.91998]" in printed or b"/MediaBox [0 0 595 842]" in printed
