"""What must not change, or only in one direction, when a case or the base is said in another way."""

from dataclasses import replace

import shipped
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.case import Given, read_cases
from diagnose.diagnosis import Diagnoser
from diagnose.folder import example_files
from diagnose.model import UNLISTED
from diagnose.rules import Rule, Var

KNOWLEDGE = shipped.knowledge()
DIAGNOSER = shipped.diagnoser()
CASES = [case for path in example_files() for case in read_cases(path, KNOWLEDGE)]
cases = st.sampled_from(CASES)
few = settings(max_examples=30, deadline=None, derandomize=True)


def weights(diagnosis):
    return {row.id: row.weight for row in diagnosis.ranking}


@settings(max_examples=80, deadline=None, derandomize=True)
@given(st.data())
def test_an_answer_that_speaks_for_a_cause_never_lowers_it(data):
    case = data.draw(cases)
    before = weights(DIAGNOSER.diagnose(case))
    links = [
        (cause.id, link.subject, answer)
        for cause in KNOWLEDGE.causes.values()
        for link in cause.links
        for answer, weight in link.weights.items()
        if weight > 0 and link.about == "answer" and link.subject not in case.findings
    ]
    cause, finding, answer = data.draw(st.sampled_from(links))
    more = case.with_given(finding, Given((answer,), answer))
    assert weights(DIAGNOSER.diagnose(more))[cause] >= before[cause]


def new(name):
    """Another name, in another order of the alphabet."""
    return f"{chr(ord('a') + hash_of(name) % 26)}_{name}"


def hash_of(name):
    return sum(ord(letter) * (place + 3) for place, letter in enumerate(name))


RENAMED_AT = {"answer": (1,), "condition": (1,), "weigh": (1, 2), "sensible": (1,), "opens": (1,)}


def renamed_fact(pattern):
    at = RENAMED_AT.get(pattern[0], ())
    return tuple(new(t) if i in at and not isinstance(t, Var) else t for i, t in enumerate(pattern))


def renamed_knowledge():
    """The base with findings, conditions, causes and links under other names, and its rules in another order."""
    causes = {}
    for cause in KNOWLEDGE.causes.values():
        links = tuple(
            replace(link, id=new(link.id), cause=new(cause.id), subject=new(link.subject)) for link in cause.links
        )
        causes[new(cause.id)] = replace(cause, id=new(cause.id), links=links)
    rules = [
        Rule(new(r.name), tuple(map(renamed_fact, r.when)), renamed_fact(r.then), r.because, r.source)
        for r in KNOWLEDGE.rules
    ]
    attributes = {name for _, name in KNOWLEDGE.attributes}
    return replace(
        KNOWLEDGE,
        causes=causes,
        rules=tuple(reversed(rules)),
        findings={new(f.id): replace(f, id=new(f.id)) for f in KNOWLEDGE.findings.values()},
        conditions={new(c.id): replace(c, id=new(c.id)) for c in KNOWLEDGE.conditions.values()},
        opening=tuple(name if name in attributes else new(name) for name in KNOWLEDGE.opening),
    )


RENAMED = Diagnoser(renamed_knowledge())


@few
@given(cases)
def test_the_names_of_things_do_not_matter(case):
    other = replace(case, findings={new(name): value for name, value in case.findings.items()})
    expected = {new(n) if n != UNLISTED else n: w for n, w in weights(DIAGNOSER.diagnose(case)).items()}
    assert weights(RENAMED.diagnose(other)) == expected


def with_steps(case, change):
    return replace(case, steps=tuple(replace(step, given=change(step)) for step in case.steps))


def by_ingredients(step):
    """The step's product given as what is in it: the one class, and whatever else is in it."""
    both = [step.given[name] for name in ("product", "ingredients") if name in step.given]
    if not any(given.known for given in both):
        return dict(step.given)
    values = tuple(value for given in both if given.known for value in given.values)
    rest = {name: value for name, value in step.given.items() if name not in ("product", "ingredients")}
    return {**rest, "ingredients": Given(values, ", ".join(values))}


def spelled_out(step):
    """The step with everything that its product and ingredients bring said outright, where a finisher could say it."""
    named = [step.given[name] for name in ("product", "ingredients") if name in step.given]
    materials = [value for given in named if given.known for value in given.values]
    brought: dict[str, tuple[str, ...]] = {}
    for name, value in (trait for material in materials for trait in KNOWLEDGE.materials[material].traits):
        attribute = KNOWLEDGE.attributes["step", name]
        if attribute.kind == "choice" and not attribute.derived and name not in step.given:
            brought[name] = (*brought.get(name, ()), value)
    return {**step.given, **{name: Given(values, ", ".join(values)) for name, values in brought.items()}}


@few
@given(cases)
def test_a_schedule_told_by_ingredients_and_by_product_class_comes_to_the_same(case):
    expected = weights(DIAGNOSER.diagnose(case))
    assert weights(DIAGNOSER.diagnose(with_steps(case, by_ingredients))) == expected
    assert weights(DIAGNOSER.diagnose(with_steps(case, spelled_out))) == expected
