"""Mixing against pint and the definitions of the units, laws of scaling and rounding, and recipes that come back."""

import json
from dataclasses import replace
from datetime import date

import pint
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from test_cli import diagnose

from diagnose import mixing, recipe, units
from diagnose.complaint import Complaint
from diagnose.mixing import Part
from diagnose.recipe import Recipe
from diagnose.tables import table

UREG = pint.UnitRegistry()

NAMES = ("red", "brown", "black", "yellow", "water")
numbers = st.floats(min_value=0.01, max_value=1000).map(lambda number: round(number, 4))
plain_parts = st.lists(numbers, min_size=1, max_size=5).map(
    lambda amounts: tuple(Part(name, amount, "parts") for name, amount in zip(NAMES, amounts))
)
totals = st.floats(min_value=0.01, max_value=50)


@pytest.mark.parametrize(
    "kind, unit, in_pint, inner",
    [
        ("volume", "gal", "gallon", "litre"),
        ("volume", "qt", "quart", "litre"),
        ("volume", "pt", "pint", "litre"),
        ("volume", "cup", "cup", "litre"),
        ("volume", "fl oz", "floz", "litre"),
        ("volume", "tbsp", "tablespoon", "litre"),
        ("volume", "tsp", "teaspoon", "litre"),
        ("volume", "imp gal", "imperial_gallon", "litre"),
        ("volume", "imp qt", "imperial_quart", "litre"),
        ("volume", "imp pt", "imperial_pint", "litre"),
        ("volume", "imp fl oz", "imperial_fluid_ounce", "litre"),
        ("mass", "oz", "ounce", "gram"),
        ("mass", "lb", "pound", "gram"),
        ("area", "sq ft", "foot**2", "m**2"),
        ("strength", "oz/gal", "ounce/gallon", "gram/litre"),
        ("strength", "oz/qt", "ounce/quart", "gram/litre"),
        ("strength", "lb/gal", "pound/gallon", "gram/litre"),
        ("strength", "oz/imp gal", "ounce/imperial_gallon", "gram/litre"),
        ("coverage", "sq ft/gal", "foot**2/gallon", "m**2/litre"),
    ],
)
def test_units_are_those_of_pint(kind, unit, in_pint, inner):
    assert units.parse(f"3 {unit}", kind, None, "x") == pytest.approx(
        UREG(f"3 {in_pint}").to(inner).magnitude, abs=2e-9
    )


def reckoned(*words):
    done = diagnose("reckon", "mix", *words, "--format", "json")
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    remarks = {remark["name"]: remark for remark in told.pop("remarks")}
    return {
        name: figure.get("value", (figure.get("low"), figure.get("high"))) for name, figure in told.items()
    }, remarks


@pytest.mark.parametrize(
    "powder, liquid, to_litre, to_quart, to_gallon",
    [
        # 28.349523125 g and 3.785411784 L (NIST Handbook 44, Appendix C): 1 oz in 2 qt = 28.3495 / 1.892706 = 14.978 g/L
        ("1 oz", "2 qt", 14.978, 0.5, 2),
        ("1 oz", "1 qt", 29.957, 1, 4),
        ("1 oz", "1 gal", 7.4892, 0.25, 1),
        ("15 g", "1 L", 15, 0.50072, 2.0029),
        # the imperial gallon is 4.54609 L (Units of Measurement Regulations 1995): 28.349523 / 9.09218 = 3.118 g/L
        ("1 oz", "2 imp gal", 3.118, 0.10408, 0.41634),
    ],
)
def test_strength_of_powder(powder, liquid, to_litre, to_quart, to_gallon):
    told, remarks = reckoned("--powder", powder, "--in", liquid)
    assert (told["strength"], told["oz_per_quart"], told["oz_per_gallon"]) == (to_litre, to_quart, to_gallon)
    assert "hot distilled water" in remarks["hot_water"]["says"] and remarks["hot_water"]["source"] == "common practice"
    assert "mask" in remarks["dust"]["says"]


def test_powder_for_a_strength_and_a_volume_and_how_far_the_scale_moves_it():
    assert reckoned("--strength", "15 g/L", "--volume", "3 L")[0]["powder"] == 45
    told, remarks = reckoned("--strength", "15 g/L", "--volume", "90 mL", "--least", "1 g")
    assert (told["powder"], told["exact"], told["moved"]) == (1, 1.35, -25.93)
    assert not remarks["rounding"]["holds"]
    assert "very_strong" in reckoned("--strength", "70 g/L", "--volume", "1 L")[1]


@given(plain_parts, totals)
def test_parts_add_up_to_the_volume_and_come_back(parts, total):
    made = mixing.to_total(parts, "parts", total, "volume")
    assert sum(part.amount for part in made) == pytest.approx(total)
    back = mixing.to_total(made, "volume", mixing.whole(parts, "parts"))
    assert [part.amount for part in back] == pytest.approx([part.amount for part in parts])
    shares = mixing.in_parts(made, "volume")
    assert sum(share for _, share in shares.values()) == pytest.approx(1)
    least = min(part.amount for part in parts)
    assert [shares[part.name][0] for part in parts] == pytest.approx([part.amount / least for part in parts])


@given(plain_parts, totals, st.randoms(use_true_random=False))
def test_the_order_of_parts_does_not_matter(parts, total, chance):
    shuffled = list(parts)
    chance.shuffle(shuffled)
    made, other = (mixing.to_total(one, "parts", total, "volume") for one in (parts, shuffled))
    assert {p.name: pytest.approx(p.amount) for p in made} == {p.name: p.amount for p in other}
    taken, others = (mixing.measured(one, "volume", {"volume": 0.001}) for one in (made, other))
    assert {t.part.name: pytest.approx(t.moved, abs=1e-9) for t in taken} == {t.part.name: t.moved for t in others}


@given(plain_parts, totals, st.sampled_from([1e-4, 1e-3, 5e-3]))
def test_the_rounding_told_is_the_real_one(parts, total, step):
    made = mixing.to_total(parts, "parts", total, "volume")
    taken = mixing.measured(made, "volume", {"volume": step})
    assert all(one.amount / step == pytest.approx(round(one.amount / step), abs=1e-6) for one in taken)
    assert all(abs(one.amount - one.part.amount) <= step / 2 + 1e-9 for one in taken)
    poured = sum(one.amount for one in taken)
    assume(poured)
    for one in taken:
        strength_before, strength_after = one.part.amount / total, one.amount / poured
        assert one.moved == pytest.approx(strength_after / strength_before - 1, abs=1e-9)


@settings(deadline=None)  # it looks through up to two thousand totals
@given(plain_parts, totals)
def test_a_total_said_to_round_better_does(parts, total):
    made = mixing.to_total(parts, "parts", total, "volume")
    better = mixing.rounds_better(made, "volume")
    if better is not None:
        assert total < better <= mixing.FARTHEST * total * (1 + 1e-9)
        again = mixing.measured(mixing.to_total(made, "volume", better), "volume")
        assert mixing.worst(again) <= 0.05
        step = mixing.least_step(total, "volume")
        assert better / step == pytest.approx(round(better / step), abs=1e-6)


@given(st.floats(min_value=0.001, max_value=5), st.floats(min_value=0.01, max_value=2), st.integers(1, 5))
def test_a_job_of_the_size_of_its_board_takes_what_the_board_took(used, board, coats):
    assert mixing.job(used, board, board) == pytest.approx(used)
    assert mixing.job(used, board, 3 * board, coats, 0.1) == pytest.approx(used * 3 * coats * 1.1)
    assert mixing.needed(board, coats, board / used) == pytest.approx(used * coats)


def test_coverage_is_that_of_the_handbook():
    # 200 to 400 ft2/gal on smooth wood: Finishing of wood, chapter 16 of Wood Handbook (FPL-GTR-190), 2010
    foot, gallon = 0.3048**2, 3.785411784
    low, high, source = mixing.amounts("colourant", "wipe", 400 * foot)
    assert (low, high) == pytest.approx((gallon, 2 * gallon), rel=0.005) and "FPL-GTR-190" in source
    with pytest.raises(Complaint, match=r"known: .*colourant by wipe"):
        mixing.amounts("colourant", "thrown", 1)


def test_a_test_board_is_repeated_at_size():
    # 60 mL on 0.1 m2; 4 m2, two coats, 15 % to spare: 60 * 40 * 2 * 1.15 = 5520 mL, of which 3/24, 1/24 and 20/24
    told, remarks = reckoned(
        *("red:3", "brown:1", "water:20", "--board", "0.1 m2", "--used", "60 mL"),
        *("--area", "4 m2", "--coats", "2", "--spare", "15 %", "--least", "5 mL"),
    )
    assert (told["measure_red"], told["measure_brown"], told["measure_water"]) == (0.69, 0.23, 4.6)
    assert told["total"] == 5.52 and "one_pot" in remarks and "no_spare" not in remarks


@pytest.mark.parametrize("name", ["hardener", "Part B", "acid catalyst", "crosslinker", "cross-linker"])
def test_what_hardens_is_not_mixed_for_all_of_a_job(name):
    _, remarks = reckoned("lacquer:10", f"{name}:1", "--area", "4 m2", "--coverage", "8 m2/L")
    assert "one_pot" not in remarks and "pot life" in remarks["pot_life"]["says"] and not remarks["pot_life"]["holds"]
    assert "pot_life" in reckoned("lacquer:10", f"{name}:1", "--volume", "1 L")[1]
    assert "pot_life" not in reckoned("red:10", "brown:1", "--volume", "1 L")[1]


def test_the_coverage_reckoned_with_is_shown():
    words = ("reckon", "mix", "--area", "9.8 m2", "--kind", "colourant", "--by", "wipe")
    told, _ = reckoned(*words[2:])
    assert told["coverage"] == (4.9, 9.8) and told["material"] == (1, 2)
    said = diagnose(*words, "--work").stdout
    assert said.count("4.9 m2/L") >= 2 and "coverage reckoned with: table" in said and "FPL-GTR-190" in said
    assert reckoned("red:1", "water:1", *words[2:])[0]["coverage"] == (4.9, 9.8)


def test_the_example_recipe_takes_what_its_board_took_and_not_the_pot():
    told, _ = reckoned("--recipe", "shared/examples/recipes/chair_brown.yaml", "--area", "4 m2", "--least", "5 mL")
    assert told["total"] == 0.6  # 15 mL on 0.1 m2


def test_amounts_go_back_to_parts_and_shares():
    told, _ = reckoned("red:5 mL", "brown:2mL", "water:93mL")
    assert (told["parts_red"], told["parts_brown"], told["share_red"]) == (2.5, 1, 5)
    # one US fluid ounce is 29.5735295625 mL
    assert reckoned("red:1floz", "water:29.5735295625mL")[0]["parts_water"] == 1


def test_coarse_rounding_is_warned_of_and_a_better_total_named():
    told, remarks = reckoned("red:3", "brown:1", "water:20", "--volume", "50 mL", "--least", "1 mL")
    # 6.25, 2.083 and 41.67 mL: measured as 6, 2 and 42 of 50
    assert told["moved_red"] == -4.0 and told["moved_brown"] == -4.0 and "rounding" not in remarks
    told, remarks = reckoned("red:3", "brown:1", "water:20", "--volume", "40 mL", "--least", "1 mL")
    # 5, 1.667, 33.33: measured as 5, 2 and 33 of 40, so brown is 2/40 in place of 1/24
    assert told["moved_brown"] == 20.0
    assert not remarks["rounding"]["holds"] and "brown by +20 %" in remarks["rounding"]["says"]
    assert "45 mL" in remarks["rounding"]["says"]  # 5.625, 1.875, 37.5 -> 6, 2, 38: +4.3, +4.3, -0.9 %
    assert reckoned("red:1", "water:1000000", "--volume", "1 L")[1]["rounding"]["says"].endswith("help soon.")


def test_powder_and_liquid_scale_together_once_it_is_said_that_the_powder_is_dissolved():
    told, remarks = reckoned("powder:2g", "water:100mL", "--dissolved", "--volume", "1 L")
    assert (told["measure_powder"], told["measure_water"], told["strength_powder"]) == (20, 1, 20)
    assert "hot_water" in remarks


def test_material_for_an_area_without_a_board():
    told, _ = reckoned("--area", "10 m2", "--coats", "2", "--coverage", "10 m2/L", "--spare", "10 %")
    assert told["material"] == 2.2
    told, _ = reckoned("--area", "9.8 m2", "--kind", "colourant", "--by", "wipe")
    assert told["material"] == (1, 2)
    assert reckoned("red:1", "water:1", "--area", "4.9 m2", "--kind", "colourant", "--by", "wipe")[0]["total"] == 1


def rows(table):
    for value in table.values() if isinstance(table, dict) else table:
        if isinstance(value, dict) and "basis" in value:
            yield value
        elif isinstance(value, (dict, list)):
            yield from rows(value)


@pytest.mark.parametrize("name, count", [("shellac", 7), ("mixing", 14), ("coverage", 13)])
def test_every_row_of_the_tables_says_what_it_rests_on(name, count):
    found = list(rows(table(name)))
    assert len(found) == count
    for row in found:
        assert row["source"] and row["basis"] in ("published", "computed", "memory", "common practice")
        assert float(row["low"]) <= float(row["high"]) if "low" in row else True


PARTS = "red:3 brown:1 water:20"


@pytest.mark.parametrize(
    "words, says",
    [
        ("", "there is nothing to mix"),
        ("red", "'red' is no part"),
        ("red:", "part red: '' is no amount"),
        (":3", "'' cannot name a part"),
        ("red:3 red:2", "stands twice"),
        ("red:0 brown:0", "is not more than nothing"),
        ("red:-3 water:1", "part red: '-3' is not more than nothing"),
        ("red:-3mL water:1mL", "cannot be"),
        ("red:0,5 water:1", "'0,5' has a decimal comma"),
        ("red:3 water:5mL", "some parts have a unit and some have none"),
        ("red:3g water:5mL", "some parts are masses and some volumes"),
        ("red:3mL water:5mL --dissolved", "nothing here is weighed"),
        ("red:3C water:5mL", "part red: '3C' is no amount"),
        (f"{PARTS} --volume 500", "volume: '500' has no unit"),
        (f"{PARTS} --volume 0 mL", "volume: '0 mL' is nothing"),
        (f"{PARTS} --volume 1,5 L", "has a decimal comma"),
        (f"{PARTS} --volume 1 L --mass 1 kg", "both say how much"),
        ("red:3mL water:1mL --mass 1 kg", "the parts are counted by volume, the total by mass"),
        (f"{PARTS} --area 4 m2", "how far it goes is not said"),
        (f"{PARTS} --area 4 m2 --board 0.1 m2", "what the board took is not said"),
        ("red:3mL water:57mL --area 4 m2 --board 0.1 m2", "what is left in the pot was not used"),
        ("red:3g water:57g --area 4 m2 --board 0.1 m2", "--used 15 mL (the pot measured before and after)"),
        (f"{PARTS} --area 4 m2 --used 60 mL", "how large the board was is not said"),
        (f"{PARTS} --area 4 m2 --board 0.1 m2 --used 60", "used: '60' does not go with the parts"),
        (f"{PARTS} --area 4 m2 --board 0 m2 --used 60 mL", "board: '0 m2' is nothing"),
        (f"{PARTS} --area 4 m2 --coverage 10 m2/L --board 0.1 m2", "both say how far it goes"),
        (f"{PARTS} --area 4 m2 --spare 120 % --coverage 10 m2/L", "spare: '120 %' cannot be"),
        (f"{PARTS} --area 4 m2 --coats 0", "is no number of coats"),
        (f"{PARTS} --volume 1 L --spare 10 %", "--spare means nothing beside --volume"),
        (f"{PARTS} --coats 2", "--coats means nothing without the area"),
        (f"{PARTS} --volume 1 L --least 5", "least: '5' cannot be used"),
        (f"{PARTS} --volume 1 L --least 0 mL", "least: '0 mL' is not more than nothing"),
        (f"{PARTS} --date 31.3.2026", "date: '31.3.2026' is no day"),
        (f"{PARTS} --date 2026-02-30", "date: '2026-02-30' is no day"),
        ("--powder 1 oz", "powder and liquid are needed"),
        ("--powder 1 oz --in 2 lb", "in: '2 lb' has a unit that does not fit"),
        ("--powder 1 oz --in 0 qt", "in: '0 qt' is nothing"),
        ("red:3 --powder 1 oz --in 2 qt", "a part does not go with --powder and --in"),
        ("--strength 15 g/L", "a volume is needed"),
        ("--area 4 m2 --kind glitter --by wipe", "no coverage is known of glitter by wipe"),
        ("--recipe nowhere.yaml --volume 1 L", "nowhere.yaml: there is no such file"),
        ("red:3 --recipe nowhere.yaml", "the parts are those of the recipe"),
        ("--recipe nowhere.yaml --notes a", "the recipe has its own name"),
    ],
)
def test_what_cannot_be_is_one_message(words, says):
    done = diagnose("reckon", "mix", *words.split())
    assert done.returncode == 2 and not done.stdout
    assert done.stderr.count("\n") == 1 and says in done.stderr


names = st.text(st.characters(blacklist_categories=("C", "Z"), blacklist_characters=":"), min_size=1, max_size=20)
words = st.text(st.characters(blacklist_categories=("C", "Z")), min_size=1, max_size=30)


@given(
    st.dictionaries(names, numbers, min_size=1, max_size=5),
    st.sampled_from(["parts", "volume", "mass"]),
    words,
    words,
    st.dates(min_value=date(1900, 1, 1)),
    st.none() | numbers,
    st.none() | numbers,
)
def test_a_recipe_kept_is_the_recipe_read(tmp_path_factory, amounts, kind, name, notes, day, batch, area):
    from diagnose.reading import as_name

    assume(len({as_name(one) for one in amounts}) == len(amounts))
    assume(name not in ("~", "null") and notes not in ("~", "null"))
    parts = tuple(Part(one, amount, kind) for one, amount in amounts.items())
    made = Recipe(name, day.isoformat(), parts, batch=batch, board=notes, board_area=area, used=batch, notes=notes)
    made = replace(made, batch_kind="mass" if kind == "mass" else "volume")
    path = tmp_path_factory.mktemp("kept") / "recipe.yaml"
    recipe.keep(made, path)
    back = recipe.read_recipe(path)
    assert [part.name for part in back.parts] == [part.name for part in parts]
    assert [part.amount for part in back.parts] == pytest.approx([part.amount for part in parts])
    for field in ("name", "date", "dissolved", "strength", "board", "notes", "batch_kind"):
        assert getattr(back, field) == getattr(made, field), field
    for field in ("batch", "board_area", "used"):
        assert getattr(back, field) == (None if getattr(made, field) is None else pytest.approx(getattr(made, field)))


def test_a_recipe_is_kept_and_made_again_at_size(tmp_path):
    path = tmp_path / "brown.yaml"
    words = ["red:3", "brown:1", "water:20", "--volume", "60 mL", "--strength", "15 g/L", "--date", "2026-03-31"]
    _, remarks = reckoned(
        *words, "--keep", str(path), "--shown-on", "maple", "board", "7", "--board", "0.1 m2", "--used", "60 mL"
    )
    assert str(path) in remarks["kept"]["says"]
    kept = recipe.read_recipe(path)
    assert (kept.name, kept.date, kept.strength, kept.batch) == ("brown", "2026-03-31", 15, 0.06)
    assert (kept.board, kept.board_area, kept.used) == ("maple board 7", 0.1, 0.06)
    again, _ = reckoned("--recipe", str(path), "--volume", "2.4 L", "--least", "5 mL")
    assert (again["measure_red"], again["measure_brown"], again["measure_water"]) == (0.3, 0.1, 2.0)
    by_area, _ = reckoned("--recipe", str(path), "--area", "4 m2", "--least", "5 mL")
    assert by_area["total"] == 2.4
    done = diagnose("reckon", "mix", *words, "--keep", str(path))
    assert done.returncode == 2 and "is there already" in done.stderr
    assert recipe.read_recipe(path) == kept


@pytest.mark.parametrize(
    "text, says",
    [
        ("", "1:1: is empty"),
        ("name: a\ndate: 2026-03-31\nparts: {}\n", "3:8: the parts add up to nothing"),
        ("name: a\ndate: 2026-03-31\n", "lacks `parts:`"),
        ("name: a\ndate: soon\nparts: {red: 1}\n", "2:7: date: 'soon' is no day"),
        ("name: a\ndate: 2026-03-31\nparts: {red: 1, water: 5 mL}\n", "3:8: some parts have a unit"),
        ("name: a\ndate: 2026-03-31\nparts: {red: 1 g, water: 5 mL}\n", "with dissolved what is weighed"),
        ("name: a\ndate: 2026-03-31\nparts: {red: -1}\n", "3:14: part red: '-1' is not more than nothing"),
        ('name: a\ndate: 2026-03-31\nparts: {red: "0,5"}\n', "3:14: part red: '0,5' has a decimal comma"),
        ("name: a\ndate: 2026-03-31\nparts: {red: 1, Red: 2}\n", "3:17: 'Red' stands twice"),
        ("name: a\ndate: 2026-03-31\nparts: {red: 1}\nbatch: 5\n", "4:8: batch: '5' does not go with the parts"),
        ("name: a\ndate: 2026-03-31\nparts: {red: 1 g}\nused: 5 mL\n", "4:7: used: '5 mL' does not go with the parts"),
        ("name: a\ndate: 2026-03-31\nparts: {red: 1}\nboard area: 0 m2\n", "4:13: board area: '0 m2' is nothing"),
        ("name: a\ndate: 2026-03-31\nparts: {red: 1}\nhue: red\n", "4:1: the recipe has no 'hue'"),
        ("name: a\ndate: 2026-03-31\nparts: [red\n", "is not YAML"),
        ("- a\n", "the recipe is a list"),
    ],
)
def test_a_damaged_recipe_is_told_with_its_place(tmp_path, text, says):
    path = tmp_path / "damaged.yaml"
    path.write_text(text)
    done = diagnose("reckon", "mix", "--recipe", str(path), "--volume", "1 L")
    assert done.returncode == 2 and not done.stdout
    assert done.stderr.startswith(f"diagnose: {path}:") and says in done.stderr


@pytest.mark.parametrize("words", [("--notes", "~"), ("--name", "null"), ("--shown-on", "a" * 3000)])
def test_what_would_not_be_read_back_is_not_kept(tmp_path, words):
    done = diagnose("reckon", "mix", "red:1", "water:2", "--keep", str(tmp_path / "a.yaml"), *words)
    assert done.returncode == 2 and "cannot be kept" in done.stderr and not (tmp_path / "a.yaml").exists()


def test_rounding_everything_away_is_said():
    told, remarks = reckoned("red:3", "water:20", "--volume", "10 mL", "--least", "50 mL")
    assert told["total"] == 0 and told["moved_red"] == -100 and not remarks["rounding"]["holds"]


@pytest.mark.parametrize("form", ["text", "html", "markdown", "json"])
def test_names_of_parts_reach_no_page_raw(form):
    done = diagnose("reckon", "mix", "<b>red</b>:3", "water:20", "--volume", "1 L", "--format", form)
    assert done.returncode == 0 and ("<b>" in done.stdout) == (form in ("text", "json"))


def test_what_cannot_be_written_or_shown_is_refused(tmp_path):
    done = diagnose("reckon", "mix", "red:1", "--keep", str(tmp_path / "no" / "such.yaml"))
    assert done.returncode == 2 and "cannot be written" in done.stderr
    done = diagnose("reckon", "mix", "red:1", "--keep", str(tmp_path / "a.yaml"), "--notes", "a\x1b[31m")
    assert done.returncode == 2 and "cannot be kept" in done.stderr and not (tmp_path / "a.yaml").exists()
