"""A consultation: a plain object that takes an answer and hands back the next state.

It knows no screen and no file. Everything it is, is in its case, so that a saved case taken up again stands just where
it stopped, and going back is leaving away the last answer and running again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from diagnose import units
from diagnose.asking import Question
from diagnose.case import MOST_STEPS, Case, Given, Step, check_order, question_name, spellings
from diagnose.complaint import Complaint, nearest, shown
from diagnose.diagnosis import Diagnoser, Diagnosis
from diagnose.model import UNKNOWN, Attribute, Finding
from diagnose.reading import as_name
from diagnose.words import step_words

DONE = "done"
DONT_KNOW = (
    *(
        UNKNOWN,
        "?",
        "don't know",
        "dont know",
        "i don't know",
        "i dont know",
        "dunno",
        "not known",
        "not sure",
        "no idea",
    ),
    *("skip", "n/a"),
)

About = tuple[str | int, ...]  # ("finding", id), ("piece" or "air", name), ("do", number) or ("step", number, name)


@dataclass(frozen=True, slots=True)
class Prompt:
    """One thing to ask. `options` are shown and numbered; `spellings` is every accepted word -> its value.

    `short`: the options were shown before, so their ids will do; `of`: what the question is about, where not the piece.
    """

    about: About
    question: str
    options: tuple[tuple[str, str], ...] = ()
    spellings: Mapping[str, str] | None = None
    many: bool = False
    quantity: str = ""
    how: tuple[str, ...] = ()
    shows: str = ""
    harms: str = ""
    needed: bool = False
    of: str = ""
    short: bool = False


@dataclass(frozen=True)
class Consultation:
    """`more`: the user asked to go on after it had said enough; `wanted`: the question the user chose to answer."""

    diagnoser: Diagnoser
    case: Case
    more: bool = False
    wanted: str = ""

    @cached_property
    def diagnosis(self) -> Diagnosis:
        return self.diagnoser.diagnose(self.case)

    @cached_property
    def prompt(self) -> Prompt | None:
        """What to ask next; None when enough is known."""
        if self.wanted:
            return self.prompt_for(self.wanted)
        return self._opening() or (None if self.case.page_done else self._schedule()) or self._question()

    @property
    def opening(self) -> bool:
        """Still on the opening page."""
        return not self.case.page_done or self._opening() is not None

    @property
    def chosen(self) -> Question | None:
        """The question behind the current prompt, where it was chosen by what it would tell."""
        if self.wanted:
            return None
        return next(iter(self._questions), None)

    @property
    def at_a_loss(self) -> bool:
        """The last answers in a row were not known, as many as the strategy rule `patience` bears."""
        patience = int(self.diagnoser.knowledge.strategies["patience"].figure)
        last = [self.case.given_for(name) for name in self.case.answered[-patience:]]
        return len(last) == patience and not any(given.known for given in last)

    @cached_property
    def _questions(self) -> list[Question]:
        if self.at_a_loss and not self.more:
            return []
        if self.more and not self.diagnosis.questions:
            return sorted(
                (q for q in self.diagnosis.open_questions if q.bits > 0.001), key=lambda q: (-q.value, q.open.id)
            )[:1]
        return self.diagnosis.questions

    # -- what to ask ---------------------------------------------------------------------------------------------------

    def _opening(self) -> Prompt | None:
        knowledge = self.diagnoser.knowledge
        conditional = knowledge.opens_when
        for name in knowledge.opening:
            if name in conditional and ("opens", name) not in self.diagnosis.trace:
                continue
            if name in knowledge.findings:
                if name not in self.case.findings:
                    return replace(self._finding(name), needed=name == knowledge.opening[0])
                continue
            of = "piece" if ("piece", name) in knowledge.attributes else "air"
            if name not in getattr(self.case, of):
                return self._attribute((of, name), knowledge.attributes[of, name])
        return None

    def _schedule(self) -> Prompt:
        knowledge = self.diagnoser.knowledge
        for step in self.case.steps:
            for name in knowledge.step_kinds[step.do].asks:
                if name not in step.given:
                    return self._step_prompt(step, name)
        number = len(self.case.steps) + 1
        words = (
            "What was done first, from the bare wood on?"
            if number == 1
            else f"What was done next, after step {number - 1}?"
        )
        kinds = {kind.id: kind.name for kind in knowledge.step_kinds.values()}
        accepted = {**spellings(knowledge.attributes["step", "do"], knowledge), DONE: DONE}
        return Prompt(
            ("do", number),
            words,
            (*kinds.items(), (DONE, "that was all")),
            accepted,
            of=f"step {number}",
            short=number > 1,
        )

    def _question(self) -> Prompt | None:
        return self.prompt_for(self.chosen.open.id) if self.chosen else None

    def prompt_for(self, name: str) -> Prompt:
        """The question of that name (as `question_name` gives it), whether or not it would be asked now."""
        match name.split():
            case [finding]:
                return self._finding(finding)
            case ["step", number, attribute]:
                return self._step_prompt(self.case.steps[int(number) - 1], attribute)
            case [of, attribute]:
                return self._attribute((of, attribute), self.diagnoser.knowledge.attributes[of, attribute])
        raise ValueError(name)

    def _step_prompt(self, step: Step, name: str) -> Prompt:
        knowledge = self.diagnoser.knowledge
        prompt = self._attribute(("step", step.number, name), knowledge.attributes["step", name])
        named = replace(step, given={k: v for k, v in step.given.items() if k == "product"})
        return replace(prompt, of=step_words(named, knowledge, number=True))

    def _finding(self, name: str) -> Prompt:
        finding = self.diagnoser.knowledge.findings[name]
        return Prompt(
            ("finding", name),
            finding.question,
            tuple(finding.answers.items()),
            {answer: answer for answer in finding.answers},
            finding.many,
            how=finding.how,
            shows=finding.shows,
            harms=finding.harms,
        )

    def _attribute(self, about: About, attribute: Attribute) -> Prompt:
        if attribute.kind in units.KINDS:
            return Prompt(about, attribute.question, quantity=attribute.kind)
        knowledge = self.diagnoser.knowledge
        accepted = spellings(attribute, knowledge)
        if attribute.kind == "material":
            do = self.case.steps[about[1] - 1].do
            shown_ones = {m.id: m.name for m in knowledge.materials.values() if do in m.steps}
        elif attribute.kind == "wood":
            shown_ones = {}
        else:
            shown_ones = dict(attribute.values)
        return Prompt(about, attribute.question, tuple(shown_ones.items()), accepted, attribute.many)

    def ways_to_find_out(self, about: About) -> list[Finding]:
        """The looks and tests that tell about the same as this question and were not answered, cheapest first."""
        knowledge = self.diagnoser.knowledge
        if about[0] == "do":
            return []
        asked = knowledge.findings[about[1]] if about[0] == "finding" else knowledge.attributes[about[0], about[-1]]
        return [knowledge.findings[name] for name in asked.find_out if name not in self.case.findings]

    # -- what was answered ---------------------------------------------------------------------------------------------

    def answer(self, written: str) -> Consultation:
        """The consultation after this answer to the current prompt. Raises Complaint where it does not fit."""
        prompt = self.prompt
        given = understand(prompt, written)
        if prompt.about[0] == "do":
            return replace(self, case=self._next_step(given))
        if prompt.needed and not given.known:
            raise Complaint(
                None,
                "without a complaint there is nothing to look for",
                "choose what comes nearest, or `something_else`",
            )
        return self.told(question_name(prompt.about), given)

    def told(self, name: str, given: Given) -> Consultation:
        """The consultation with this answer, asked for or not, in place of an earlier one to the same question."""
        case = self.case.with_given(name, given)
        on_page = self.opening or (name not in case.answered and self.case.given_for(name) is not None)
        if not on_page:
            case = replace(case, answered=(*(other for other in case.answered if other != name), name))
        return replace(self, case=case, wanted="")

    def _next_step(self, given: Given) -> Case:
        case = self.case
        if not given.known:  # `done` lets rules conclude what was not done, so it has to be said
            raise Complaint(
                None,
                "whether more was done has to be said",
                f"`{DONE}` for no more, `unknown_coat` for something unknown",
            )
        if given.values == (DONE,):
            return replace(case, page_done=True)
        if len(case.steps) == MOST_STEPS:
            raise Complaint(None, f"more than {MOST_STEPS} steps", f"`{DONE}`")
        steps = (*case.steps, Step(len(case.steps) + 1, given.values[0], {}))
        check_order(steps, self.diagnoser.knowledge)
        return replace(case, steps=steps)

    def back(self) -> Consultation | None:
        """Without the last answer; None where there is none to take back."""
        if self.wanted:
            return replace(self, wanted="")
        case, knowledge = self.case, self.diagnoser.knowledge
        if case.answered:
            case = replace(case.with_given(case.answered[-1], None), answered=case.answered[:-1])
            return replace(self, case=case, more=False)
        if case.page_done:
            return replace(self, case=replace(case, page_done=False), more=False)
        if case.steps:
            last = case.steps[-1]
            asked = [name for name in knowledge.step_kinds[last.do].asks if name in last.given]
            if asked:
                return replace(self, case=case.with_given(f"step {last.number} {asked[-1]}", None))
            return replace(self, case=replace(case, steps=case.steps[:-1]))
        for name in reversed(knowledge.opening):
            for about in (name, f"piece {name}", f"air {name}"):
                if case.given_for(about) is not None:
                    return replace(self, case=case.with_given(about, None))
        return None

    def asked_for_more(self) -> Consultation:
        return replace(self, more=True)


def understand(prompt: Prompt, written: str) -> Given:
    """What was typed, as a value of the prompt: a number, a word, the beginning of one, several with commas.

    Nothing typed, or any way of saying so, is "don't know".
    """
    written = " ".join(written.split())
    if not written or written.lower().replace("’", "'") in DONT_KNOW:
        return Given((UNKNOWN,), UNKNOWN)
    if prompt.quantity:
        return Given((units.parse(written, prompt.quantity, None, "that"),), written)
    parts = [part for part in (p.strip() for p in written.split(",")) if part] if prompt.many else [written]
    chosen = tuple(dict.fromkeys(_one(prompt, part) for part in parts))
    return Given(chosen, ", ".join(chosen))


def _one(prompt: Prompt, written: str) -> str:
    ids = [value for value, _ in prompt.options]
    if written.isdigit():
        if 1 <= int(written[:6]) <= len(ids):
            return ids[int(written) - 1]
        raise Complaint(None, f"there is no number {shown(written)} here", f"1 to {len(ids)}" if ids else "a name")
    word = as_name(written)
    by_words = {as_name(words): value for value, words in prompt.options}
    known = {**prompt.spellings, **by_words}
    if word in known:
        return known[word]
    begun = {value for spelling, value in known.items() if spelling.startswith(word)}
    begun = begun & set(ids) or begun  # what is offered here goes before what is not
    if len(word) >= 2 and len(begun) == 1:
        return begun.pop()
    inside = {value for spelling, value in known.items() if word in spelling.split("_")}
    inside = inside & set(ids) or inside
    near = sorted(begun | inside) or nearest(word, prompt.spellings)
    accepted = (
        f"did you mean {' or '.join(near[:4])}?" if near else "a number or a word of the list, or Enter for don't know"
    )
    raise Complaint(None, f"{shown(written)} is not one of the answers", accepted)
