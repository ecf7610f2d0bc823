"""A consultation: a plain object that takes an answer and hands back the next state.

It knows no screen and no file. Everything it is, is in its case, so that a saved case taken up again stands just where
it stopped, and going back is leaving away the last answer and running again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from diagnose import units
from diagnose.asking import Question
from diagnose.case import MOST_STEPS, Case, Given, Step, check_order, question_name, spellings
from diagnose.complaint import Complaint
from diagnose.diagnosis import Diagnoser, Diagnosis
from diagnose.model import Attribute, Finding
from diagnose.prompts import AGAIN, DONE, About, Prompt, product_said, times_again, understand
from diagnose.reading import as_name
from diagnose.words import step_words


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
        ends = [(DONE, "that was all")] + ([(AGAIN, "the same as the last step, once more")] if number > 1 else [])
        accepted = {**spellings(knowledge.attributes["step", "do"], knowledge), **{word: word for word, _ in ends}}
        materials = spellings(knowledge.attributes["step", "product"], knowledge)
        return Prompt(
            ("do", number),
            words,
            (*kinds.items(), *ends),
            accepted,
            of=f"step {number}",
            short=number > 1,
            passing=knowledge.passing_words.get("material", ()),
            products={word: (name, knowledge.materials[name].steps) for word, name in materials.items()},
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
        passing, general = knowledge.passing_words.get(attribute.kind, ()), ()
        if attribute.kind == "material":
            kind = knowledge.step_kinds[do]
            general = tuple(as_name(name) for name in (kind.id, kind.name, *kind.also))
        shown_first = tuple(shown_ones.items())
        return Prompt(
            about, attribute.question, shown_first, accepted, attribute.many, passing=passing, general=general
        )

    def ways_to_find_out(self, about: About) -> list[Finding]:
        """The looks and tests that make sense here, tell about the same as this question and were not answered,
        cheapest first. On the opening page only for what a coat was: the rest is soon asked in its turn."""
        knowledge, trace = self.diagnoser.knowledge, self.diagnosis.trace
        if about[0] == "do" or (self.opening and about[-1] != "product"):
            return []
        asked = knowledge.findings[about[1]] if about[0] == "finding" else knowledge.attributes[about[0], about[-1]]
        open_ones = [n for n in asked.find_out if n not in self.case.findings and ("sensible", n) in trace]
        return [knowledge.findings[name] for name in open_ones]

    # -- what was answered ---------------------------------------------------------------------------------------------

    def answer(self, written: str) -> Consultation:
        """The consultation after this answer to the current prompt. Raises Complaint where it does not fit."""
        prompt = self.prompt
        given = understand(prompt, written)
        if prompt.about[0] == "do":
            return replace(self, case=self._next_step(prompt, given, written))
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

    def _next_step(self, prompt: Prompt, given: Given, written: str) -> Case:
        case, knowledge = self.case, self.diagnoser.knowledge
        if not given.known:
            return self._steps_not_known()
        if given.values == (DONE,):
            return replace(case, page_done=True)
        do, count = given.values[0], len(case.steps)
        if do == AGAIN:
            times = times_again(written) or 1
            added = [replace(case.steps[-1], number=count + n, again=times) for n in range(1, times + 1)]
        else:
            product = product_said(prompt, written, do) if "product" in knowledge.step_kinds[do].asks else ""
            given = {"product": Given((product,), product)} if product else {}
            added = [Step(count + 1, do, given, with_product=bool(product))]
        if count + len(added) > MOST_STEPS:
            raise Complaint(None, f"more than {MOST_STEPS} steps", f"`{DONE}`")
        steps = (*case.steps, *added)
        check_order(steps, knowledge)
        return replace(case, steps=steps)

    def _steps_not_known(self) -> Case:
        """Where nothing is known of what was done, a coat of which nothing is known ends the schedule: it may have been
        anything. After a step that was told it has to be said whether more was done, for `done` lets rules conclude
        what was not done."""
        unknown = [kind.id for kind in self.diagnoser.knowledge.step_kinds.values() if kind.unknown]
        if self.case.steps or not unknown:
            something = " or ".join(unknown).replace("_", " ")
            accepted = f"`{DONE}` if that was all; `{something}` if more was done and you don't know what"
            raise Complaint(None, "whether more was done has to be said", accepted)
        return replace(self.case, steps=(Step(1, unknown[0], {}, again=1),), page_done=True)

    def back(self) -> Consultation | None:
        """Without the last answer; None where there is none to take back."""
        if self.wanted:
            return replace(self, wanted="")
        case, knowledge = self.case, self.diagnoser.knowledge
        if case.answered:
            case = replace(case.with_given(case.answered[-1], None), answered=case.answered[:-1])
            return replace(self, case=case, more=False)
        if case.page_done:
            unasked = case.steps and case.steps[0].again  # the coat put in where nothing was known
            steps = () if unasked else case.steps
            return replace(self, case=replace(case, page_done=False, steps=steps), more=False)
        if case.steps:
            last = case.steps[-1]
            if last.again:
                return replace(self, case=replace(case, steps=_without_repeats(case.steps)))
            asked = [name for name in knowledge.step_kinds[last.do].asks if name in last.given]
            if asked and not (last.with_product and asked == ["product"]):
                return replace(self, case=case.with_given(f"step {last.number} {asked[-1]}", None))
            return replace(self, case=replace(case, steps=case.steps[:-1]))
        for name in reversed(knowledge.opening):
            for about in (name, f"piece {name}", f"air {name}"):
                if case.given_for(about) is not None:
                    return replace(self, case=case.with_given(about, None))
        return None

    def asked_for_more(self) -> Consultation:
        return replace(self, more=True)


def _without_repeats(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """Without what the last "again" added."""
    return steps[: -steps[-1].again]
