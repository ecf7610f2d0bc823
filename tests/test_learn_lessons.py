"""Lessons: all that belongs to a family, in words that say what the weights say, with the cautions of its boards."""

import io
import json

import pytest
import shipped
from conftest import BOARD, write_knowledge

from diagnose.boards import board_cautions
from diagnose.complaint import Complaint
from diagnose.diagnosis import Diagnoser
from diagnose.lesson import SAFETY, boards_of, causes_of, lesson
from diagnose.lesson_checks import apart, parting_words, separating_subject, weights_words
from diagnose.lesson_text import lesson_json, lesson_text, part_text
from diagnose.load import load
from diagnose.plain import PlainConsole
from diagnose.progress import LessonRead, Practised, Progress
from diagnose.study import Study, screens
from diagnose.tutor import ENOUGH, overview

DIAGNOSER = shipped.diagnoser()
KNOWLEDGE = DIAGNOSER.knowledge


def flat(text):
    return " ".join(text.split())


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    """The small base with one test board."""
    folder = write_knowledge(tmp_path_factory.mktemp("lessons") / "base")
    (folder / "boards").mkdir()
    (folder / "boards" / "lifting.yaml").write_text(BOARD)
    return Diagnoser(load(folder))


@pytest.mark.parametrize("family", sorted(KNOWLEDGE.families))
def test_a_family_names_every_cause_its_boards_and_their_cautions(family):
    text = flat(lesson_text(lesson(DIAGNOSER, family), 80))
    causes = causes_of(KNOWLEDGE, family)
    assert causes and [cause.prior for cause in causes] == sorted((c.prior for c in causes), reverse=True)
    for cause in causes:
        assert flat(cause.name) in text and flat(cause.mechanism) in text
        for other in cause.look_alikes:
            assert flat(KNOWLEDGE.causes[other].name) in text
        for advice in cause.prevention:
            assert flat(advice.advice) in text
            for use in advice.uses:
                assert all(flat(KNOWLEDGE.cautions[hazard].says) in text for hazard in KNOWLEDGE.materials[use].hazards)
    for board in boards_of(KNOWLEDGE, causes):
        for sentence in (board.name, board.fails_show, board.sound_shows, board.says, *board.ready, *board.do):
            assert flat(sentence) in text
        for caution in board_cautions(DIAGNOSER, board):
            assert flat(caution.title) in text and flat(caution.says) in text
        assert flat(SAFETY) in text


def test_a_board_is_shown_with_its_cautions_wherever_it_is_shown(small):
    for name in ("lifting", "dye_lifted", "dye_board", "A dye and a water varnish"):
        told = lesson(small, name)
        (part,) = (part for part in told.parts if part.id == "boards")
        (entry,) = part.entries
        cautions = next(block for block in entry.blocks if block.title == "Cautions")
        assert [one.text for one in cautions.says] == ["It burns. No flame.", SAFETY]
        text = flat(part_text(told, part, 80))
        for words in (
            "Have ready: - A board of oak.",
            "The failing half: 1. dye or stain: water-soluble dye",
            "The sound half: 1. dye or stain: fast stain",
            "About 30 min of work; to be seen after 24 h.",
            "Failing half: The coat turns brown.",
            "Sound half: The coat stays clear.",
            "Do: 1. Coat both halves.",
        ):
            assert words in text


def test_a_cause_and_a_board_have_lessons_of_their_own():
    told = lesson(DIAGNOSER, "dye_lifted_by_water")
    assert (told.kind, told.of) == ("cause", "dye_lifted_by_water")
    assert lesson(DIAGNOSER, told.title) == told == lesson(DIAGNOSER, "dye lifting")
    assert {"causes", "look", "apart", "next", "questions", "answers"} <= {part.id for part in told.parts}
    for part in told.parts:
        assert part.entries


@pytest.mark.parametrize("name, near", [("liftin", "lifting"), ("dye_lifted_by_watr", "dye_lifted_by_water")])
def test_a_name_that_is_slightly_off_offers_the_nearest(name, near):
    with pytest.raises(Complaint, match=f"there is no lesson on '{name}'; did you mean .*{near}"):
        lesson(DIAGNOSER, name)


def test_questions_and_answers_are_numbered_alike():
    for family in list(KNOWLEDGE.families)[::4]:
        told = {part.id: part for part in lesson(DIAGNOSER, family).parts}
        counts = [len(told[name].entries[0].blocks[0].says) for name in ("questions", "answers")]
        assert counts[0] == counts[1] >= 5


def test_what_parts_look_alikes_says_the_weights_of_both():
    for cause in list(KNOWLEDGE.causes.values())[::9]:
        said = apart(KNOWLEDGE, cause)
        assert len(said) == len(cause.look_alikes)
        for (text, source), (other, subject) in zip(said, cause.look_alikes.items()):
            assert text.startswith(KNOWLEDGE.causes[other].name) and source
            ours, theirs = (
                next((link.weights for link in c.links if link.subject == subject), {})
                for c in (cause, KNOWLEDGE.causes[other])
            )
            gaps = [ours.get(a, 0) - theirs.get(a, 0) for a in {*ours, *theirs}] + [0]
            assert (f"for {cause.name} ({max(gaps)})" in text) == (max(gaps) > 0)
            assert (f"for {KNOWLEDGE.causes[other].name} ({-min(gaps)})" in text) == (min(gaps) < 0)


def test_two_causes_that_are_no_look_alikes_are_parted_by_the_best_question():
    one, other = KNOWLEDGE.causes["dye_lifted_by_water"], KNOWLEDGE.causes["dye_faded"]
    assert other.id not in one.look_alikes and one.id not in other.look_alikes
    subject = separating_subject(KNOWLEDGE, one, other)
    text, _ = parting_words(KNOWLEDGE, one, other, subject)
    assert one.name in text and other.name in text
    alike = KNOWLEDGE.causes["stain_not_dry"]
    assert separating_subject(KNOWLEDGE, one, alike) == one.look_alikes["stain_not_dry"]
    assert separating_subject(KNOWLEDGE, one, one) is None


def test_weights_in_words():
    words = {"a": "this", "b": "that", "c": "else", "d": "more", "e": "none"}
    assert weights_words({"a": 10, "b": -5}, words) == "strongly for (+10): this; fairly against (-5): that"
    assert weights_words({"a": 20, **dict.fromkeys("bcde", -10)}, words).endswith(
        "strongly against (-10): any other answer"
    )


def test_lessons_of_the_small_base_are_whole(small):
    assert lesson_text(lesson(small, "lifting"), 60)
    assert lesson_text(lesson(small, "streaked"), 60)


@pytest.mark.parametrize("width", [36, 60, 80])
def test_no_line_of_a_lesson_is_wider_than_asked(width):
    for name in ("haze", "dye_faded"):
        for line in lesson_text(lesson(DIAGNOSER, name), width).splitlines():
            assert len(line) <= width or max(map(len, line.split())) > width - 12, line


def test_the_json_holds_what_the_text_holds(small):
    told = lesson(small, "lifting")
    whole = json.loads(lesson_json(told))
    assert (whole["lesson"], whole["kind"], whole["title"]) == ("lifting", "family", told.title)
    text = flat(lesson_text(told, 80))
    for part in whole["parts"]:
        assert set(part) == {"part", "title", "entries"} and part["title"].upper() in text
        for entry in part["entries"]:
            assert set(entry) == {"of", "head", "blocks"} and flat(entry["head"]) in text
            for block in entry["blocks"]:
                assert set(block) == {"title", "says"}
                assert all(flat(one["text"]) in text for one in block["says"])
    assert any(
        one["source"] for part in whole["parts"] for e in part["entries"] for b in e["blocks"] for one in b["says"]
    )


# -- part by part ----------------------------------------------------------------------------------------------------------


def read(written, name="fading", height=30, width=60):
    out = io.StringIO()
    console = PlainConsole(io.StringIO(written), out)
    console.width = width
    study = Study(lesson(DIAGNOSER, name), console, height)
    assert study.run() == 0
    return out.getvalue(), study


def test_enter_alone_goes_through_the_whole_lesson_and_ends():
    said, study = read("\n" * 1000)
    assert "That was the last part." in said
    for part in study.lesson.parts:
        assert part.title.upper()[:20] in said
    for cause in causes_of(KNOWLEDGE, "fading"):
        assert cause.name in flat(said)


@pytest.mark.parametrize(
    "line, says",
    [("3", "WHAT TO LOOK FOR"), ("look for", "WHAT TO LOOK FOR"), ("next", "PREVENTING"), ("whole", "ANSWERS TO THEM")],
)
def test_a_part_is_chosen_by_number_or_words(line, says):
    said, _ = read(f"{line}\nleave\n")
    assert says in said


@pytest.mark.parametrize("line", ["0", "99", "-1", "zzz", "²", "%s", "part"])
def test_what_is_no_part_is_answered_kindly(line):
    said, study = read(f"{line}\n")
    assert "no part goes by that" in said and study.at == -1


def test_back_list_and_the_end_of_input():
    said, study = read("2\nback\nlist\n")
    assert study.at == 0 and said.count("Lesson: ") == 2
    read("")


@pytest.mark.parametrize("height", [8, 20, 50])
def test_screens_lose_nothing_and_are_never_higher_than_asked(height):
    lines = lesson_text(lesson(DIAGNOSER, "fading"), 60).splitlines()
    made = list(screens(lines, height))
    assert [line for screen in made for line in screen] == lines
    assert all(0 < len(screen) <= height for screen in made)


# -- what is best next -----------------------------------------------------------------------------------------------------


def practised(cause, verdict):
    return Practised("2026-03-31", "x", cause, verdict, cause == verdict)


def test_best_next_goes_from_lessons_to_practice_to_drills():
    first = overview(KNOWLEDGE, Progress()).next[0]
    family = first.removeprefix("learn ")
    assert family in KNOWLEDGE.families
    read_it = LessonRead("2026-03-30", family)
    assert overview(KNOWLEDGE, Progress((read_it,))).next[0] == f"learn practice {family}"
    cause = causes_of(KNOWLEDGE, family)[0].id
    enough = (practised(cause, cause),) * ENOUGH
    after = overview(KNOWLEDGE, Progress((read_it, *enough)))
    assert after.next[0].startswith("learn ") and family not in after.next[0]
    assert (after.practised, after.right) == (ENOUGH, ENOUGH)
    wrong = (practised(cause, "given_up"),) * ENOUGH
    assert overview(KNOWLEDGE, Progress((read_it, *wrong))).next[0] == f"learn practice {family}"
    assert overview(KNOWLEDGE, Progress(wrong)).next[0] == f"learn {family}"
    confused = practised("dye_faded", "wood_darkened")
    assert overview(KNOWLEDGE, Progress((read_it, *wrong, confused))).next[0] == "learn practice --drill"
    learnt = [LessonRead("2026-03-30", name) for name in KNOWLEDGE.families]
    for name in KNOWLEDGE.families:
        learnt += [practised(causes_of(KNOWLEDGE, name)[0].id, causes_of(KNOWLEDGE, name)[0].id)] * ENOUGH
    assert overview(KNOWLEDGE, Progress(tuple(learnt))).next[0] == "learn practice"


def test_what_the_knowledge_no_longer_has_does_not_hurt():
    gone = Progress((LessonRead("2026-03-30", "gone"), practised("gone", "dye_faded"), practised("dye_faded", "gone")))
    view = overview(KNOWLEDGE, gone)
    assert view.practised == 2 and view.confused == ()
