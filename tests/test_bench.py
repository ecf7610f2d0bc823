"""The benches of questions: every way of choosing plays a case soundly, and what they measure with is right."""

import subprocess
import sys
from itertools import product
from pathlib import Path

import pytest
import shipped

from diagnose.asking import LookAhead, usual_shares
from diagnose.case import read_cases
from diagnose.consultation import Consultation

BENCH = Path(__file__).parent / "bench"
sys.path.insert(0, str(BENCH))

import playing  # noqa: E402
import questions  # noqa: E402

DIAGNOSER = shipped.diagnoser()
(CASE,) = read_cases(playing.ROOT / "cases" / "field" / "walnut_top_pale_corner.yaml", DIAGNOSER.knowledge)
START = playing.State(DIAGNOSER, playing.page(DIAGNOSER, CASE))
ORDER = playing.order_of({playing.kind_of(q.open): [q.value] for q in START.questions})
PLAYERS = {
    "ours": playing.ours,
    "list": playing.listed(ORDER),
    "list of those worth asking": playing.listed(ORDER, worth=True),
    "random": playing.at_random("1"),
    "random of those worth asking": playing.at_random("1", worth=True),
}


def test_the_opening_page_is_that_of_a_consultation():
    page = START.case
    now = Consultation(DIAGNOSER, page)
    assert not now.opening
    for name in [name for name, given in page.findings.items() if not given.known]:
        before = Consultation(DIAGNOSER, page.with_given(name, None))
        assert before.opening and before.prompt.about == ("finding", name)


@pytest.mark.parametrize("name", PLAYERS)
@pytest.mark.parametrize("way", ["published", "simulated"])
def test_a_player_ends_asks_what_makes_sense_and_nothing_twice(name, way):
    answer = playing.published(CASE) if way == "published" else playing.simulated(CASE, START, 1)
    sensible, met = [], {}

    def choose(state):
        chosen = PLAYERS[name](state)
        sensible.append(chosen is None or chosen.open.id in {one.id for one in state.open})
        return chosen

    played = playing.play(START, playing.right(CASE), choose, answer, met)
    assert played.asked and all(sensible)
    assert len(set(played.asked)) == len(played.asked) < playing.MOST
    assert len(played.places) == len(played.chances) == len(played.minutes) == len(played.asked) + 1
    assert sorted(played.minutes) == list(played.minutes)
    if way == "simulated":
        assert played.known == len(played.asked)


def test_the_exhaustive_and_the_two_question_player_take_a_question_that_is_open():
    late = START
    for asked in START.open[: len(START.open) - 6]:  # few questions left, since these players are slow
        late = playing.State(DIAGNOSER, late.case.with_given(asked.id, playing.NOT_KNOWN))
    assert 0 < len(late.open) <= 8 and late.worth
    for player in (playing.exhaustive, playing.two_deep):
        chosen = player(late)
        assert chosen is not None and chosen.open.id in {one.id for one in late.open}


def test_ours_here_is_what_a_consultation_asks():
    now, asked, known = questions.play(DIAGNOSER, CASE)
    played = playing.play(START, playing.right(CASE), playing.ours, playing.published(CASE))
    assert played.asked == now.case.answered
    assert (len(played.asked), played.known) == (asked, known)
    assert played.chances[-1] == pytest.approx(
        max(r.probability for r in now.diagnosis.ranking if r.id in playing.right(CASE))
    )


def test_a_diagnosis_for_each_answer_gives_the_same_bits_as_the_look_ahead_for_findings():
    findings = [asked for asked in START.open if asked.about[0] == "finding"][::5]
    assert len(findings) > 3
    for asked in findings:
        assert playing.rediagnosed(START, asked).bits == pytest.approx(START.ahead.question(asked).bits, abs=1e-9)


def test_simulated_answers_keep_to_the_case_and_hang_on_nothing_but_the_question():
    first, again = playing.simulated(CASE, START, 1), playing.simulated(CASE, START, 1)
    drawn = [first(asked) for asked in START.open]
    assert drawn == [again(asked) for asked in reversed(START.open)][::-1]
    assert drawn != [playing.simulated(CASE, START, 2)(asked) for asked in START.open]
    ahead = LookAhead(DIAGNOSER.knowledge, START.store, START.case)
    stated = [name for name in CASE.findings if name not in DIAGNOSER.knowledge.opening]
    assert stated and all(first(ahead.of_finding(name)) == CASE.findings[name] for name in stated)


def test_a_simulated_answer_is_drawn_by_usual_share_and_weight():
    asked = next(one for one in START.open if len(one.answers) == 2)
    one, other = asked.answers
    usual, shares = usual_shares(asked), playing.shares_given(asked, {one: 10})
    assert sum(shares.values()) == pytest.approx(1)
    assert shares[one] / shares[other] == pytest.approx(10 * usual[one] / usual[other])


def test_settled_is_from_when_on_it_stands_first_with_a_half_for_good():
    def played(*looks):
        return playing.Played(tuple(p for p, _ in looks), tuple(c for _, c in looks), (0.0,) * len(looks), (), 0)

    assert played((1, 0.9), (1, 0.6)).settled == 0
    assert played((1, 0.9), (1, 0.4), (1, 0.6)).settled == 2
    assert played((2, 0.5), (1, 0.5), (1, 0.7)).settled == 1
    assert played((1, 0.9), (2, 0.3)).settled is None
    row = questions.figures([played((1, 0.9)), played((3, 0.1), (2, 0.3)), played((2, 0.4), (1, 0.6))])
    assert (row["median to settle"], row["settled at the stop"], row["in first three"]) == (1, 0.667, 1.0)
    assert row["mean to settle"] == pytest.approx((0 + questions.CUT + 1) / 3, abs=0.01)


def test_a_list_is_learned_from_the_other_half_only():
    mine, others = [("a", [("one", 1.0)])], [("a", [("two", 1.0)]), ("b", [("two", 3.0), ("three", 2.5)])]
    lists = questions.lists_from(others)
    assert lists[""] == {"three": 0, "two": 1} and lists["b"] == {"two": 0, "three": 1}
    assert "one" not in lists[""] and questions.lists_from(mine)[""] == {"one": 0}


def test_without_pgmpy_the_network_bench_says_so_and_ends_well():
    hidden = (
        "import runpy, sys; sys.modules['pgmpy'] = None; sys.path.insert(0, %r); "
        "sys.argv = ['published_network.py']; runpy.run_path(%r, run_name='__main__')"
    ) % (str(BENCH), str(BENCH / "published_network.py"))
    done = subprocess.run([sys.executable, "-c", hidden], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("skipped: ") and "pgmpy" in done.stdout


def test_exact_inference_is_what_adding_up_every_state_gives():
    numpy = pytest.importorskip("numpy", reason="comes with the extra `bench`")
    from exact import Exact

    draw = numpy.random.default_rng(3)

    def table(parents):
        of_one = draw.uniform(size=(2,) * parents)
        return numpy.array([1 - of_one, of_one])

    shape = {
        "f": (),
        "g": (),
        "a": ("f",),
        "b": ("f", "g"),
        "c": ("a", "b"),
        "d": ("c",),
        "e": (),
        "h": ("e", "a", "c"),
    }
    tables = [((node, *parents), table(len(parents))) for node, parents in shape.items()]
    exact = Exact(tables, ["f", "g"], ["", "f", "g"])
    nodes = exact.nodes
    for given in ({}, {"d": 1}, {"h": 0, "b": 1}, {node: 1 for node in nodes if node != "c"}):
        whole, each = exact.joint(given)
        for number, hypothesis in enumerate(["", "f", "g"]):
            added = {node: [0.0, 0.0] for node in nodes}
            total = 0.0
            for states in product((0, 1), repeat=len(nodes)):
                world = dict(zip(nodes, states)) | {one: int(one == hypothesis) for one in ("f", "g")}
                chance = 1.0
                for names, values in tables:
                    if names[0] in world and names[0] not in ("f", "g"):
                        chance *= values[tuple(world[name] for name in names)]
                wrong = [node for node, state in given.items() if world[node] != state]
                total += chance * (not wrong)
                for node in nodes:
                    if not [one for one in wrong if one != node]:
                        added[node][world[node]] += chance
            assert whole[number] == pytest.approx(total)
            for node in nodes:
                assert each[node][number] == pytest.approx(added[node])
