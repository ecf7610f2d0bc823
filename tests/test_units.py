"""Quantities: exact against the published definitions, and nothing taken on guess."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose import loose_words, units
from diagnose.complaint import Complaint, Place

PLACE = Place("f.yaml", 3, 7)

# Exact definitions: NIST Handbook 44, Appendix C, General Tables of Units of Measurement.
INCH = Fraction("0.0254")  # metre
POUND = Fraction("0.45359237")  # kilogram, avoirdupois
GALLON = 231 * INCH**3 * 1000  # litre: the US gallon is 231 cubic inches
OUNCE = POUND * 1000 / 16  # gram
MIL = INCH / 1000
# NIST Special Publication 811, Appendix B.8 and B.9: t/C = (t/F - 32) / 1.8; minute, hour and day.
# A year is the mean year of the Gregorian calendar, 365.2425 days (97 leap years in 400), a month its twelfth.
MINUTE, HOUR, DAY = 60, 3600, 86400
YEAR = Fraction("365.2425") * DAY


def parse(written: str, kind: str) -> float:
    return units.parse(written, kind, PLACE, "step 2, dried")


def complaint(written: str, kind: str) -> Complaint:
    with pytest.raises(Complaint) as caught:
        parse(written, kind)
    assert caught.value.place == PLACE
    assert caught.value.wrong.startswith("step 2, dried: ")
    assert caught.value.accepted
    return caught.value


def test_definitions_are_as_published():
    assert float(GALLON) == 3.785411784 == units.US_GALLON
    assert float(OUNCE) == 28.349523125 == units.OUNCE


@pytest.mark.parametrize(
    "written, kind, exact",
    [
        ("1 mil", "film", MIL),
        ("4 mils", "film", 4 * MIL),
        ("0.1 mil", "film", MIL / 10),
        ("100 um", "film", Fraction(1, 10**4)),
        ("25.4 µm", "film", MIL),
        ("25.4 μm", "film", MIL),
        ("50 microns", "film", Fraction(5, 10**5)),
        ("1 mm", "film", Fraction(1, 1000)),
        ("1 oz/gal", "strength", OUNCE / GALLON),
        ("2 oz/gal", "strength", 2 * OUNCE / GALLON),
        ("1 oz/qt", "strength", OUNCE / (GALLON / 4)),
        ("2 lb/gal", "strength", 2 * 16 * OUNCE / GALLON),
        ("15 g/L", "strength", Fraction(15)),
        ("15 g/l", "strength", Fraction(15)),
        ("90 s", "time", Fraction(90)),
        ("20 min", "time", Fraction(20 * MINUTE)),
        ("1.5 h", "time", Fraction(3, 2) * HOUR),
        ("3 days", "time", Fraction(3 * DAY)),
        ("2 weeks", "time", Fraction(14 * DAY)),
        ("1 month", "time", YEAR / 12),
        ("2 years", "time", 2 * YEAR),
        ("12 hrs", "time", Fraction(12 * HOUR)),
        ("5 minutes", "time", Fraction(5 * MINUTE)),
        ("30 seconds", "time", Fraction(30)),
        ("1 d", "time", Fraction(DAY)),
        ("6 mo", "time", YEAR / 2),
        ("1 yr", "time", YEAR),
        ("55 %", "share", Fraction(55, 100)),
        ("55 percent", "share", Fraction(55, 100)),
        ("0.5 %", "share", Fraction(5, 1000)),
        ("18 C", "temperature", Fraction(18)),
        ("-5 °C", "temperature", Fraction(-5)),
        ("21degC", "temperature", Fraction(21)),
        ("65 F", "temperature", (65 - 32) / Fraction("1.8")),
        ("65 °F", "temperature", (65 - 32) / Fraction("1.8")),
        ("32 F", "temperature", Fraction(0)),
        ("212 F", "temperature", Fraction(100)),
        ("-40 F", "temperature", Fraction(-40)),
        ("98.6 degF", "temperature", Fraction(37)),
        ("220 grit", "grit", Fraction(220)),
        ("P220", "grit", Fraction(220)),
        ("p220", "grit", Fraction(220)),
        ("220", "grit", Fraction(220)),
        ("300 lx", "illuminance", Fraction(300)),
        ("300 lux", "illuminance", Fraction(300)),
    ],
)
def test_conversion_is_exact(written, kind, exact):
    assert parse(written, kind) == round(float(exact), 9)


@pytest.mark.parametrize("written", ["12h", " 12 h ", "12\th", "12 H", "12 Hours", "12.0 h", "012 h"])
def test_spacing_and_case_do_not_matter(written):
    assert parse(written, "time") == 12 * HOUR


@pytest.mark.parametrize(
    "kind, least, most, below, above",
    [
        ("temperature", "-40 C", "120 C", "-40.1 C", "120.1 C"),
        ("temperature", "-40 F", "248 F", "-40.1 F", "248.1 F"),
        ("share", "0 %", "100 %", "-1 %", "100.1 %"),
        ("time", "0 s", "200 years", "-1 s", "201 years"),
        ("film", "0 um", "10 mm", "-1 um", "10.01 mm"),
        ("film", "0 mil", "10000 um", "-1 mil", "394 mil"),
        ("grit", "12", "P10000", "11", "10001 grit"),
        ("strength", "0 g/L", "2000 g/L", "-1 oz/gal", "2000.1 g/L"),
        ("illuminance", "0 lx", "200000 lx", "-1 lx", "200001 lx"),
    ],
)
def test_bounds_themselves_are_in_and_what_lies_beyond_is_not(kind, least, most, below, above):
    spec = units.KINDS[kind]
    assert parse(least, kind) == pytest.approx(spec.least, abs=1e-9)
    assert parse(most, kind) == pytest.approx(spec.most, rel=1e-9)
    for written in (below, above):
        found = complaint(written, kind)
        assert f"'{written}' cannot be" in found.wrong
        assert found.accepted.startswith("between ")


def test_humidity_above_all_says_what_can_be():
    found = complaint("130 %", "share")
    assert found.wrong == "step 2, dried: '130 %' cannot be"
    assert found.accepted == "between 0 and 100 %, for instance 55 %"


@pytest.mark.parametrize("kind", sorted(set(units.KINDS) - {"grit"}))
def test_a_number_without_its_unit_is_not_guessed(kind):
    found = complaint("20", kind)
    assert "'20' has no unit" in found.wrong
    own = "write 20 %" if kind == "share" else f"write for instance {units.KINDS[kind].example}"
    assert found.accepted == own


@pytest.mark.parametrize(
    "written, kind",
    [
        ("12 C", "time"),
        ("12 h", "temperature"),
        ("5 m", "time"),
        ("5 ms", "time"),
        ("55 g/L", "share"),
        ("4 in", "film"),
        ("12 h 30 min", "time"),
        ("20 K", "temperature"),
        ("1e3 s", "time"),
        ("220 h", "grit"),
        ("5 months C", "time"),
        ("10 oz", "strength"),
        ("5 %%", "share"),
        ("3 µ", "film"),
    ],
)
def test_a_foreign_unit_is_refused(written, kind):
    found = complaint(written, kind)
    assert "has a unit that does not fit" in found.wrong
    assert units.KINDS[kind].example in found.accepted


@pytest.mark.parametrize("written", ["1,5 h", "-1,5 C", " 0,5 mm", "1,000 lx"])
@pytest.mark.parametrize("kind", ["time", "temperature", "film"])
def test_a_comma_is_not_guessed_at(written, kind):
    found = complaint(written, kind)
    assert "has a decimal comma" in found.wrong
    assert "point" in found.accepted


@pytest.mark.parametrize(
    "written",
    [
        "",
        "h",
        "about 12 h",
        "12-14 h",
        "--1 h",
        "1.2.3 h",
        "½ h",
        ".5 h",
        "nan h",
        "inf h",
        "12 h\n13",
        "P12 h",
        "1" * 13 + " h",
        "over 12 h",
        "0x10 s",
    ],
)
def test_what_is_no_quantity_is_refused(written):
    complaint(written, "time")


@given(st.text(max_size=20), st.sampled_from(sorted(units.KINDS)))
@settings(max_examples=300, deadline=None, derandomize=True)
def test_any_text_gives_a_value_in_bounds_or_a_complaint(written, kind):
    try:
        value = parse(written, kind)
    except Complaint as found:
        assert str(found).isprintable()
    else:
        assert units.KINDS[kind].least <= value <= units.KINDS[kind].most


WRITTEN = [(kind, unit) for kind, spec in sorted(units.KINDS.items()) for unit in spec.units]


@given(st.sampled_from(WRITTEN), st.decimals(0, 200, places=3))
@settings(max_examples=300, deadline=None, derandomize=True)
def test_a_quantity_means_the_same_in_every_unit_of_its_kind(which, number):
    kind, unit = which
    spec = units.KINDS[kind]
    try:
        value = parse(f"{number} {unit}", kind)
    except Complaint as found:
        assert "cannot be" in found.wrong  # the number may lie out of bounds; the unit always fits
        return
    for other, (factor, offset) in spec.units.items():
        back = (value - offset) / factor
        if abs(back) < 1e11:  # no more than twelve digits are read
            # Twelve places are read, so a year written in seconds keeps fewer of its own than a mil in metres.
            again = parse(f"{back:.9f} {other}", kind)
            assert again == pytest.approx(value, rel=1e-6, abs=1e-8 * max(factor, 1))


ROOM = {  # what `show` is to write without an exponent: see the known gap below
    "temperature": (-40, 120),
    "share": (1e-5, 1),
    "time": (0.01, 200 * float(YEAR)),
    "film": (1e-9, 0.999e-3),
    "grit": (12, 9999),
    "strength": (0.001, 2000),
    "illuminance": (0.001, 9999),
}


@given(st.sampled_from(sorted(ROOM)), st.floats(0, 1))
@settings(max_examples=400, deadline=None, derandomize=True)
def test_what_is_shown_can_be_read_again(kind, share):
    low, high = ROOM[kind]
    value = low + share * (high - low)
    again = parse(units.show(value, kind), kind)
    assert again == pytest.approx(value, rel=0.006, abs=0.006 if kind == "temperature" else 1e-9)


@pytest.mark.parametrize(
    "value, kind, words",
    [
        (12 * HOUR, "time", "12 h"),
        (36 * HOUR, "time", "36 h"),
        (90, "time", "1.5 min"),
        (45, "time", "45 s"),
        (0, "time", "0 s"),
        (3 * DAY, "time", "3 days"),
        (21 * DAY, "time", "3 weeks"),
        (float(YEAR), "time", "1 year"),
        (2 * float(YEAR), "time", "2 years"),
        (float(YEAR) / 2, "time", "6 months"),
        (0.55, "share", "55 %"),
        (18.3333, "temperature", "18.3 C"),
        (101.6e-6, "film", "102 um"),
        (220, "grit", "220 grit"),
        (14.98, "strength", "14.98 g/L"),
        (300, "illuminance", "300 lx"),
    ],
)
def test_values_are_shown_as_a_finisher_writes_them(value, kind, words):
    assert units.show(value, kind) == words


@pytest.mark.parametrize("written, kind", [("1 mm", "film"), ("10000 grit", "grit"), ("20000 lx", "illuminance")])
def test_large_values_are_shown_in_plain_digits(written, kind):
    assert parse(units.show(parse(written, kind), kind), kind) == pytest.approx(parse(written, kind), rel=0.006)


def test_a_standard_grit_may_be_called_grit():
    assert parse("P220 grit", "grit") == 220


@pytest.mark.parametrize(
    "hours, said",
    [
        ((2.18 * 24, 10.4 * 24), "2 to 10 days"),
        ((24 * 7 * 4.76, 24 * 30.4 * 6.39), "5 weeks to 6 months"),
        ((1.76, 3.75), "2 to 4 h"),
        ((3.16,), "3 h"),
        ((1.37 * 8766,), "1.5 years"),
        ((0.01, 0.02), "36 s to 1 min"),
        ((1.01, 0.99), "1 h to 59 min"),
        ((0,), "0 s"),
    ],
)
def test_times_are_said_as_people_say_them(hours, said):
    assert units.roughly(*(hour * 3600 for hour in hours)) == said


@pytest.mark.parametrize(
    "written, kind, exact",
    [
        ("1/2 oz", "mass", OUNCE / 2),
        ("2 1/2 lb", "mass", 40 * OUNCE),
        ("1 1/2 qt", "volume", GALLON * 3 / 8),
        ("1-1/2 qt", "volume", GALLON * 3 / 8),
        ("1/2 oz/gal", "strength", OUNCE / GALLON / 2),
        ("1 imp pint", "volume", Fraction("4.54609") / 8),
        ("2 imperial gallons", "volume", Fraction("4.54609") * 2),
        ("8 ft x 4 ft", "area", 32 * (12 * INCH) ** 2),
        ("8 x 4 ft", "area", 32 * (12 * INCH) ** 2),
        ("300mm x 300mm", "area", Fraction(9, 100)),
    ],
)
def test_fractions_and_sides_are_read(written, kind, exact):
    assert parse(written, kind) == pytest.approx(float(exact), abs=2e-9)


@pytest.mark.parametrize(
    "written, kind, accepted",
    [
        ("4-6 h", "time", "6 h, the longer"),
        ("4 to 6 h", "time", "6 h, the longer"),
        ("3-4 mil", "film", "3 mil or 4 mil"),
        ("12,5 h", "time", "use a point: 12.5 h"),
        ("15", "share", "write 15 %"),
        ("0.15", "share", "write 15 %"),
    ],
)
def test_what_to_write_instead_is_said_with_ones_own_figures(written, kind, accepted):
    assert accepted in complaint(written, kind).accepted


@pytest.mark.parametrize("written", ["1/0 oz", "1/ oz", "3 ft x oz", "x 3 ft", "1/2", "12/31 2026"])
def test_what_only_looks_like_a_fraction_or_sides_is_refused(written):
    for kind in ("mass", "area"):
        complaint(written, kind)


def test_loose_words_of_an_amount():
    assert units.parse(units.spoken("half a pint"), "volume", None, "") == pytest.approx(float(GALLON) / 16)
    assert units.parse(units.spoken("half an imp pint"), "volume", None, "") == pytest.approx(4.54609 / 16)


@pytest.mark.parametrize(
    "words, joined",
    [
        ("reckon air 20 C 65 %", ["reckon", "air", "20 C", "65 %"]),
        ("film --wet 4 mil --solids 30 %", ["film", "--wet", "4 mil", "--solids", "30 %"]),
        ("cut 2 1/2 lb --volume 8 fl oz", ["cut", "2 1/2 lb", "--volume", "8 fl oz"]),
        ("--area 8 ft x 4 ft --coats 2", ["--area", "8 ft x 4 ft", "--coats", "2"]),
        ("--fastness class 3 --place dark", ["--fastness", "class", "3", "--place", "dark"]),
        ("--coats 2 --mass 3 kg red:3 water:5", ["--coats", "2", "--mass", "3 kg", "red:3", "water:5"]),
    ],
)
def test_a_number_and_its_unit_written_apart_belong_together(words, joined):
    assert loose_words.joined(words.split()) == joined
