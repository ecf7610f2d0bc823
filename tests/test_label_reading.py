"""Reading sheets: lines as copied, YAML, and every way in which they can be wrong."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from labels import sheet
from shipped import knowledge

from diagnose import cas
from diagnose.complaint import Complaint
from diagnose.label_share import share
from diagnose.shares import Interval, mean, tightened


def listed(line):
    (one,) = sheet(line + "\n").listed
    return one


@pytest.mark.parametrize(
    ("line", "name", "number", "low", "high"),
    [
        ("Ethanol 64-17-5 30 - <60 %", "Ethanol", "64-17-5", 0.3, 0.6),
        ("67-63-0 isopropanol <5", "isopropanol", "67-63-0", 0, 0.05),
        ("Trade secret resin 10-30%", "Trade secret resin", "", 0.1, 0.3),
        (">= 30 - < 50 acetone", "acetone", "", 0.3, 0.5),
        ("60 to 80 % water", "water", "", 0.6, 0.8),
        ("2-butoxyethanol\t111-76-2\t5-10", "2-butoxyethanol", "111-76-2", 0.05, 0.1),
        ("1-methoxy-2-propanol | 107-98-2 | 10 – 30 %", "1-methoxy-2-propanol", "107-98-2", 0.1, 0.3),
        ("Ethanol (CAS No. 64-17-5): 5 %", "Ethanol", "64-17-5", 0.05, 0.05),
        ("2-(2-butoxyethoxy)ethanol 112-34-5 ≤ 3 %", "2-(2-butoxyethoxy)ethanol", "112-34-5", 0, 0.03),
        ("Toluene 108-88-3 500 ppm", "Toluene", "108-88-3", 0.0005, 0.0005),
        ("Hydrocarbons, C9-C11, <2% aromatics 30-60 %", "Hydrocarbons, C9-C11, <2% aromatics", "", 0.3, 0.6),
        ("water balance", "water", "", 0, 1),
        ("Ethanol 64-17-5 30 - 60 % H225 H319", "Ethanol", "64-17-5", 0.3, 0.6),
    ],
)
def test_a_line_of_section_3(line, name, number, low, high):
    one = listed(line)
    assert (one.name, one.cas) == (name, number)
    assert one.share == (pytest.approx(low), pytest.approx(high))


def test_headings_comments_and_hazard_lines_are_no_ingredients():
    read = sheet("# copied\nSection 3\nComponent   CAS-No   Weight %\nEthanol 64-17-5 30\nH225 H319\nsolids: 5 %\n")
    assert [one.name for one in read.listed] == ["Ethanol"] and read.statements == ("H225", "H319")
    assert read.listed[0].share == (0.3, 0.3)  # the heading says percent
    assert read.solids == (0.05, 0.05)


def test_how_a_name_was_taken_is_said():
    assert listed("Ethanol 64-17-5 5 %").how == ""
    assert "by a part of its name" in listed("Ethanol, anhydrous grade 5 %").how
    assert listed("proprietary dye 5 %").withheld and listed("proprietary dye 5 %").ingredient is None
    misspelt = listed("Etanol 5 %")
    assert misspelt.ingredient is None and "did you mean ethanol?" in misspelt.how
    unknown = listed("caffeine 58-08-2 5 %")  # a sound number of something that no finish holds
    assert unknown.ingredient is None and "not known" in unknown.how


BAD = [
    ("Ethanol 64-17-4 30 - 60 %", r"check digit of '64-17-4' is wrong; 64-17-5"),
    ("Ethanol CAS 64175 30 %", "no registry"),
    ("Ethanol 60 - 30 %", "reversed"),
    ("Ethanol -5 %", "negative"),
    ("Ethanol 120 %", "more than 100 %"),
    ("Ethanol 0,5 - 1 %", "decimal comma"),
    ("Ethanol 30", "no unit"),
    ("Ethanol 10 - 20 % v/v", "by volume"),
    ("Ethanol", "no share"),
    ("30 - 60 %", "neither name nor number"),
    ("Ethanol 5 % 10 %", "both read as its share"),
    ("Ethanol about 5 %", "says 'about'"),
    ("Ethanol 60 %\nwater 50 %", "add up to 110 %"),
    ("Ethanol 5 %\nethanol 5 %", "listed twice"),
    ("Ethanol 5 %\n64-17-5 5 %", "listed twice"),
    ("Acetone 64-17-5 5 %", "64-17-5 is ethanol, but 'Acetone' is acetone"),
    ("Acetone 58-08-2 5 %", "has the number 67-64-1, not 58-08-2"),
    ("Ethanol 64-17-5 67-64-1 5 %", "both read as its number"),
    ("Ethanol 5 %\nH999", "H999 is not known"),
    ("ingredients: []", "no ingredient is listed"),
    ("ingredients:\n  - {name: ethanol}", "lacks `share:`"),
    ("ingredients:\n  - {share: 5 %}", "neither name nor cas"),
    ("ingredients: [{name: ethanol, share: 5 %}]\nclaims: [organic]", "claims: 'organic' is not known"),
    ("ingredients: [{name: ethanol, share: 5 %}]\nfor: [sanding]", "for: 'sanding' is work, and leaves no coat"),
    ("ingredients: [{name: ethanol, share: 5 %}]\nflash: 8", "no unit"),
    ("ingredients: [{name: ethanol, share: 5 %}]\nsolids: 180 %", "more than 100 %"),
    ("ingredients: [{name: ethanol, share: 5 %}]\ndensity: 90 g/mL", "cannot be"),
    ("ingredients: [{name: ethanol, share: 5 %}]\ncomplete: yes", "upper ends add up to 5 %"),
    ("ingredients: [{name: ethanol, share: 5 %}]\nhazards: [flammable]", "no hazard statement"),
    ("ingredients: [{name: ethanol, share: 5 %}]\nproducts: x", "did you mean product"),
    ("ethanol balance\nwater balance", "two ingredients take the balance"),
    ("", "is empty"),
    ("# nothing\n", "no ingredient is listed"),
]


@pytest.mark.parametrize(("text", "says"), BAD)
def test_bad_input_says_what_is_wrong_and_where(text, says):
    with pytest.raises(Complaint, match=says) as caught:
        sheet(text)
    told = str(caught.value)
    assert told.startswith("a.sheet:") and "\n" not in told and ";" in told


def test_a_complaint_names_the_line():
    with pytest.raises(Complaint) as caught:
        sheet("Ethanol 5 %\n\n  Acetone 67-64-0 5 %\n")
    assert str(caught.value).startswith("a.sheet:3:3")


@given(st.integers(10, 9999999), st.integers(0, 99))
def test_exactly_one_check_digit_is_right(head, middle):
    numbers = [f"{head}-{middle:02}-{digit}" for digit in range(10)]
    sound = [number for number in numbers if cas.is_sound(number)]
    assert len(sound) == 1 and sound[0][-1] == cas.check_digit(numbers[0])


@pytest.mark.parametrize("number", ["7732-18-5", "64-17-5", "67-64-1", "8052-41-3", "9004-70-0", "1333-86-4"])
def test_numbers_printed_on_sheets_are_sound(number):
    assert cas.is_sound(number)


@given(st.integers(10, 9999999), st.integers(0, 99), st.integers(0, 9), st.integers(1, 9))
def test_one_wrong_digit_is_always_found(head, middle, which, by):
    number = f"{head}-{middle:02}-0"
    number = f"{number[:-1]}{cas.check_digit(number)}"
    places = [n for n, sign in enumerate(number) if sign.isdigit()]
    at = places[which % len(places)]
    wrong = f"{number[:at]}{(int(number[at]) + by) % 10}{number[at + 1 :]}"
    if wrong[0] != "0":
        # places times digits modulo ten miss a change only where place times change is a multiple of ten
        place = len(places) - 1 - places.index(at)
        assert cas.is_sound(wrong) == (place > 0 and place * by % 10 == 0)


@given(st.integers(0, 100), st.integers(0, 100))
def test_a_range_reads_as_it_is_written(one, two):
    low, high = sorted((one, two))
    for written in (f"{low} - {high} %", f"{low}-<{high}", f">= {low} to {high} %", f"{low} % – {high} %"):
        assert share(written, None, "a share") == (pytest.approx(low / 100), pytest.approx(high / 100))


@given(st.lists(st.tuples(st.integers(0, 100), st.integers(0, 100)), min_size=1, max_size=6))
def test_tightening_keeps_every_mixture_and_loses_nothing_that_is_possible(ends):
    parts = [Interval(min(pair) / 100, max(pair) / 100) for pair in ends]
    if sum(p.low for p in parts) > 1 + 1e-9 or sum(p.high for p in parts) < 1 - 1e-9:
        with pytest.raises(ValueError, match="add up"):
            tightened(parts)
        return
    for narrow, wide in zip(tightened(parts), parts):
        assert wide.low - 1e-9 <= narrow.low <= narrow.high + 1e-9 <= wide.high + 2e-9
        rest_low = sum(p.low for p in parts) - wide.low
        rest_high = sum(p.high for p in parts) - wide.high
        for end in narrow:  # each end is met by some mixture: the others can make up the rest
            assert rest_low - 1e-6 <= 1 - end <= rest_high + 1e-6


@given(st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1), st.floats(0, 10), st.floats(0, 1)), min_size=1, max_size=5))
def test_the_range_of_a_mean_holds_every_mean(rows):
    shares = [Interval(min(a, b), max(a, b)) for a, b, _, _ in rows]
    values = [Interval(v, v) for _, _, v, _ in rows]
    inside = [s.low + (s.high - s.low) * t for s, (_, _, _, t) in zip(shares, rows)]
    total = sum(inside)
    if total > 1e-6:
        found = mean(shares, values)
        here = sum(share * value.low for share, value in zip(inside, values)) / total
        assert found.low - 1e-6 <= here <= found.high + 1e-6


def test_every_ingredient_is_found_by_each_of_its_names_and_numbers():
    for one in knowledge().ingredients.values():
        for number in one.cas:
            assert listed(f"{number} 5 %").ingredient == one
        found = sheet(f'ingredients: [{{name: "{one.name}", share: 5 %}}]\n').listed[0]
        assert found.ingredient == one and found.how == ""


LINES = st.lists(
    st.one_of(
        st.text(max_size=40),
        st.builds(
            " ".join,
            st.lists(
                st.sampled_from(
                    [
                        *(
                            "Ethanol",
                            "64-17-5",
                            "64-17-4",
                            "30",
                            "-",
                            "<",
                            "60",
                            "%",
                            "to",
                            "balance",
                            "H225",
                            "0,5",
                            "ppm",
                        ),
                        *(
                            "solids: 5 %",
                            "ingredients:",
                            "- {name: x, share: 5 %}",
                            "claims: [dye]",
                            "flash: 8 C",
                            "CAS",
                        ),
                    ]
                ),
                max_size=6,
            ),
        ),
    ),
    max_size=6,
)


@given(LINES)
def test_any_text_is_read_or_complained_of(lines):
    from shipped import diagnoser

    from diagnose.label import read_bottle

    try:
        read = sheet("\n".join(lines))
        of = read_bottle(read, diagnoser())
    except Complaint as complaint:
        assert "\n" not in str(complaint)
    else:
        assert all(0 <= content.share.low <= content.share.high <= 1 for content in of.inside)
