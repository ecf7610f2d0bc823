"""A plan as an outline: what a schedule could fail by and what to change, worded once for every form of output."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from diagnose import units
from diagnose.blocks import Block, Job, Jobs, Numbered, Outline, Pairs, Part, Points, Row, Strata, Text, Warnings
from diagnose.edits import Edit
from diagnose.facts import WOOD, layers
from diagnose.model import Cause, Finding, Knowledge
from diagnose.outline import FIRST_OF_ALL, HARMS, Citations, chain_of, sources
from diagnose.planning import Danger, Plan, Safeguard, Wait, Way
from diagnose.section import Place
from diagnose.threats import Threat, grounds
from diagnose.unjudged import Blank
from diagnose.what_if import Effect
from diagnose.words import fact_words, minutes_words, piece_words, step_parts, step_words, value_words

MOST_WAYS, MOST_GUARDS, MOST_BLANKS, MOST_SIGNS, MOST_BOARDS = 4, 6, 8, 3, 6
BROUGHT = 1  # grounds of faults that a change may bring and still be told
TELLING = 10  # decibans from which a finding is worth looking for on a test board


def outline(plan: Plan, blanks: Sequence[Blank]) -> Outline:
    """Everything a written plan says."""
    cited = Citations()
    heads = grouped(plan.faults)
    serious = [group for group in heads if group[0].threat.serious]
    smaller = [group for group in heads if not group[0].threat.serious]
    parts = [
        _short(plan, serious, smaller, blanks),
        _section(plan, heads),
        _dangers(plan, serious, cited),
        _smaller(plan, smaller, cited, 1 + len(serious)),
        _mended(plan),
        _natures(plan, cited),
        _sound(plan, cited),
        _blanks(plan, blanks),
        _waits(plan),
        _trials(plan, [group[0] for group in heads]),
        _cautions(plan, cited),
        _reasoning(plan, [group[0].threat for group in (serious or heads[:1])], cited),
        sources(cited),
    ]
    case = plan.case
    title = (case.title or case.id) + (" (invented)" if case.invented else "")
    about = [f"schedule {case.id}, knowledge {plan.diagnosis.knowledge.version}"]
    about += [f"noted: {' '.join(case.notes.split())}"] if case.notes else []
    return Outline(title, tuple(about), tuple(part for part in parts if part and part.blocks))


def grouped(dangers: Iterable[Danger]) -> list[list[Danger]]:
    """Dangers that sit at one place and rest on the same steps, the most pressing of each group first."""
    groups: dict[tuple[Place, frozenset[int]], list[Danger]] = {}
    loose = []
    for danger in dangers:
        if danger.place:
            groups.setdefault((danger.place, danger.steps), []).append(danger)
        else:
            loose.append([danger])
    return sorted([*groups.values(), *loose], key=lambda group: (not group[0].threat.serious, -group[0].threat.score))


def verdict(plan: Plan, blanks: Sequence[Blank]) -> str:
    """Sound or not, in a sentence; faults that sit at one place and rest on the same steps are counted once."""
    count = sum(group[0].threat.serious for group in grouped(plan.faults))
    if count:
        return f"Not sound: {count} serious fault{'s' if count > 1 else ''}."
    count = len(grouped(plan.faults))
    smaller = f", with {count} smaller faults" if count > 1 else ", with one smaller fault" if count else ""
    untold = " as far as it is told" if blanks else ""
    return f"Sound{untold}{smaller}."


def _short(plan: Plan, serious: list, smaller: list, blanks: Sequence[Blank]) -> Part:
    pairs = [("The schedule", verdict(plan, blanks))]
    first = next(iter(serious or smaller), None)
    if first:
        danger = first[0]
        pairs.append(("Most pressing", f"{danger.threat.cause.name} - {place_words(danger.place)}"))
        ways = way_words(danger.ways, plan)
        pairs += [("Least change", ways[0])] if ways else []
    if not plan.case.steps:
        pairs.append(("Mind", "no step is listed, so there is nothing to judge"))
    return Part("short", "In short", (Pairs(tuple(pairs)),))


def place_words(place: Place) -> str:
    said = [f"between step {upper} and {_below(lower)}" for lower, upper in sorted(place.interfaces)]
    said += [f"step {number}" if number else "the wood" for number in sorted({*place.layers, *place.work})]
    return ", ".join(said) or "the schedule as a whole"


def _below(number: int) -> str:
    return f"step {number}" if number else "the wood"


def _section(plan: Plan, groups: list[list[Danger]]) -> Part:
    case, knowledge = plan.case, plan.diagnosis.knowledge
    marks: dict[object, list[str]] = {}
    for count, group in enumerate(groups, 1):
        place = group[0].place
        for spot in (*place.interfaces, *place.layers, *place.work):
            marks.setdefault(spot, []).append(f"{count}")
    lying = layers(case, knowledge)
    rows = []
    for step in reversed(case.steps):
        n = step.number
        kind = "layer" if n in lying else "gone" if knowledge.step_kinds[step.do].layer else "work"
        seat = next(iter(knowledge.step_kinds[step.do].seat_of), "")
        rows.append(Row(kind, n, *step_parts(step, knowledge), _mark(marks.get(n)), seat))
        for spot in sorted(spot for spot in marks if isinstance(spot, tuple) and spot[1] == n):
            rows.append(Row("interface", n, f"between step {n} and {_below(spot[0])}", mark=_mark(marks[spot])))
    rows.append(Row("wood", WOOD, piece_words(case, knowledge), mark=_mark(marks.get(WOOD))))
    why = "The numbers are those of the faults below." if groups else "No fault was found to mark."
    return Part("piece", "The schedule in section, top coat first", (Strata(tuple(rows), why),))


def _mark(numbers: Sequence[str] | None) -> str:
    if not numbers:
        return ""
    return f"fault{'s' if len(numbers) > 1 else ''} {', '.join(numbers)}"


def _dangers(plan: Plan, groups: list[list[Danger]], cited: Citations) -> Part | None:
    if not groups:
        return None
    note = Text("Under each fault what would take it away, the least change first; each was tried on the rules.")
    jobs = tuple(_job(group, plan, cited) for group in groups)
    return Part("dangers", "What would go wrong", (note, Jobs(jobs)))


def _smaller(plan: Plan, groups: list[list[Danger]], cited: Citations, first: int) -> Part | None:
    """Each in a few lines: where, why, and the least change."""
    lines = []
    for group in groups:
        danger = group[0]
        sign = max((sign for sign in danger.threat.signs), key=lambda sign: sign.decibans)
        says = fact_words(sign.fact, plan.diagnosis.knowledge, plan.case)
        also = f" The same may bring: {'; '.join(one.threat.cause.name for one in group[1:])}." if group[1:] else ""
        ways = way_words(danger.ways, plan)
        helps = f" Helps: {ways[0]}" if ways else ""
        where = place_words(danger.place)
        lines.append(f"{danger.threat.cause.name} - {where}. {says}. {cited.of(sign.link.source)}{also}{helps}")
    return Part("faults", "Smaller faults", (Numbered(tuple(lines), first),)) if lines else None


def _job(group: Sequence[Danger], plan: Plan, cited: Citations) -> Job:
    danger, *others = group
    threat, knowledge = danger.threat, plan.diagnosis.knowledge
    says = []
    for sign in threat.signs:
        if sign.decibans > 0:
            condition = fact_words(sign.fact, knowledge, plan.case)
            says.append(f"{condition}. {sign.link.because} {cited.of(sign.link.source)}")
    eased = [fact_words(sign.fact, knowledge, plan.case) for sign in threat.signs if sign.decibans < 0]
    says += [f"Lessened by: {'; '.join(eased)}."] if eased else []
    also = [other.threat.cause.name for other in others]
    says += [f"The same may bring: {'; '.join(also)}."] if also else []
    if danger.cure:
        treatment, remedy = danger.cure
        price = f"about {minutes_words(remedy.minutes)} of work, {HARMS[remedy.harm]}"
        says.append(f"Should it come to pass, the mildest cure is: {remedy.name} ({price}; {treatment.often} cures).")
    ways = way_words(danger.ways, plan)[:MOST_WAYS]
    do = tuple(ways) or ("No single change takes it away; see the schedule with the least changes.",)
    return Job(f"{threat.cause.name} - {place_words(danger.place)}", "", do, tuple(says), ())


def way_words(ways: Iterable[Way], plan: Plan) -> list[str]:
    """Each change once, the first value that does; of other products all that do as well."""
    kept: dict[tuple, list[Way]] = {}
    safe = [way for way in ways if way.safe]
    clean = any(grounds(way.brings) <= BROUGHT for way in safe)
    for way in safe:
        if (
            grounds(way.brings) <= BROUGHT or not clean
        ):  # what trades one fault for several is told where there is nothing else
            mark = (way.edit.change.id, way.edit.step, way.left is None)
            same = kept.setdefault(mark, [])
            if not same or (way.edit.change.how == "product" and way.brings == same[0].brings):
                same.append(way)
    gone = {mark[:2] for mark in kept if mark[2]}
    return [_way(same, plan) for mark, same in kept.items() if mark[2] or mark[:2] not in gone]


def _way(same: Sequence[Way], plan: Plan) -> str:
    way = same[0]
    edit = way.edit
    where = {
        "air": "The air",
        "first": "Before the first layer",
        "between": f"Under step {edit.step}",
        "order": f"Steps {edit.value} and {edit.step}",
    }.get(edit.change.how, f"Step {edit.step}")
    if edit.change.how == "product":
        names = [one.edit.value for one in same]
        said = f"{where}: {_small(edit.change.name)} ({', '.join(names[:5])}{', ...' if len(names) > 5 else ''})"
    else:
        said = f"{where}: {_done(edit, plan)}"
    tail = [] if way.left is None else ["lessens it only"]
    tail += [f"brings {'; '.join(threat.cause.name for threat in way.brings)}"] if way.brings else []
    return f"{said} ({'; '.join(tail)})." if tail else f"{said}."


def _done(edit: Edit, plan: Plan) -> str:
    """A change in words, without the step it is about."""
    said = _small(edit.change.name)
    if edit.change.how == "product":
        return f"{said} ({edit.value})"
    if edit.change.how not in ("wait", "air") and len(edit.change.values) < 2:
        return said
    attribute = plan.diagnosis.knowledge.attributes.get(("step", edit.change.attribute))
    return f"{said}: {attribute.values.get(edit.value, edit.value) if attribute else edit.value}"


def _small(name: str) -> str:
    return f"{name[0].lower()}{name[1:]}"


def _mended(plan: Plan) -> Part | None:
    if not plan.mending:
        return None
    knowledge, after = plan.diagnosis.knowledge, plan.mending[-1].case
    lines = tuple(step_words(step, knowledge) for step in after.steps)
    made = "; ".join(dict.fromkeys(_done(edit, plan) for edit in plan.mending))  # steps have other numbers by then
    serious = [threat for threat in plan.left if threat.serious]
    if serious:
        tail = f"Serious all the same: {'; '.join(threat.cause.name for threat in serious)}."
    elif plan.left:
        tail = f"No serious fault is left. Smaller ones: {'; '.join(threat.cause.name for threat in plan.left)}."
    else:
        tail = "No fault is left that this base knows of."
    return Part(
        "mended", "The schedule with the least changes", (Text(f"Changed: {made}."), Numbered(lines), Text(tail))
    )


def _natures(plan: Plan, cited: Citations) -> Part | None:
    if not plan.natures:
        return None
    points = []
    for danger in plan.natures:
        sign = next(sign for sign in danger.threat.signs if sign.decibans > 0)
        ways = way_words(danger.ways, plan)[:1]
        helps = f" Helps: {ways[0]}" if ways else ""
        points.append(f"{danger.threat.cause.name}. {sign.link.because} {cited.of(sign.link.source)}{helps}")
    return Part("natures", "What the wood, the place and the kind of finish bring", (Points(tuple(points)),))


def _sound(plan: Plan, cited: Citations) -> Part | None:
    points = tuple(_guard(guard, plan, cited) for guard in plan.safeguards[:MOST_GUARDS])
    return Part("sound", "What keeps it sound", (Points(points),)) if points else None


def _guard(guard: Safeguard, plan: Plan, cited: Citations) -> str:
    trace = plan.diagnosis.trace
    rule = plan.diagnosis.rule(trace[guard.fact].rule)
    said = fact_words(guard.fact, plan.diagnosis.knowledge, plan.case)
    against = " and ".join(cause.name for cause in guard.against[:2])
    why = f" {rule.because} {cited.cite(rule.source)}" if rule else ""
    return f"{said[0].upper()}{said[1:]}.{why} Keeps off: {against}."


def _blanks(plan: Plan, blanks: Sequence[Blank]) -> Part | None:
    unnamed = [step for step in plan.case.steps if _wants_product(step.do, plan) and not _known(step, "product")]
    points = [
        f"Step {step.number}, {plan.diagnosis.knowledge.step_kinds[step.do].name}: the product is not named, so what "
        "it carries, dissolves and holds on cannot be judged."
        for step in unnamed
    ]
    points += [_blank(blank, plan.diagnosis.knowledge) for blank in blanks[:MOST_BLANKS]]
    return Part("untold", "What is not told and could matter", (Points(tuple(points)),)) if points else None


def _wants_product(do: str, plan: Plan) -> bool:
    return "product" in plan.diagnosis.knowledge.step_kinds[do].asks


def _known(step, name: str) -> bool:
    return name in step.given and step.given[name].known


def _blank(blank: Blank, knowledge: Knowledge) -> str:
    where = f"Step {blank.about[1]}, " if blank.about[0] == "step" else f"The {blank.about[0]}, "
    by_threats: dict[tuple[str, ...], list[str]] = {}
    for value, brought in blank.would:
        names = tuple(threat.cause.name for threat in brought)
        by_threats.setdefault(names, []).append(value_words(blank.attribute, value, knowledge))
    said = [f"with {_several(values)}: {'; '.join(names)}" for names, values in by_threats.items()]
    return f"{where}{blank.attribute.id.replace('_', ' ')}: {'. '.join(said)}."


def _several(values: Sequence[str]) -> str:
    return " or ".join(values) if len(values) <= 3 else f"{', '.join(values[:3])} and {len(values) - 3} more"


def _waits(plan: Plan) -> Part | None:
    lines = tuple(_wait(wait, plan) for wait in plan.waits)
    if not lines:
        return None
    total = sum(wait.given or wait.needed or 0.0 for wait in plan.waits)
    note = Text(f"The waits come to about {units.show(total, 'time')} in all. Times are least times; the label rules.")
    return Part("waits", "Drying times in this air", (Points(lines), note))


def _wait(wait: Wait, plan: Plan) -> str:
    knowledge = plan.diagnosis.knowledge
    step = plan.case.steps[wait.step - 1]
    name = f"Step {wait.step}, {knowledge.step_kinds[step.do].name}"
    needs = f"needs about {units.show(wait.needed, 'time')}" if wait.needed is not None else "needs: not known"
    given = f"is given {units.show(wait.given, 'time')}" if wait.given is not None else "no time is stated"
    return f"{name}: {needs}; {given}{' - too short' if wait.short else ''}."


def _trials(plan: Plan, dangers: Sequence[Danger]) -> Part:
    blocks: list[Block] = []
    case, knowledge = plan.case, plan.diagnosis.knowledge
    wood = case.piece.get("wood")
    same = knowledge.woods[wood.values[0]].name if wood and wood.known else "the same wood"
    first = (
        f"One board with the whole schedule, on offcuts of {same} sanded the same way and coated in the same air, "
        "about 100 by 300 mm, each step stopped 50 mm short of the one before, so that every layer can be seen alone."
    )
    points = [first]
    for danger in dangers:
        looks = _looks(danger.threat.cause, knowledge)
        if looks:
            points.append(f"For {danger.threat.cause.name.lower()}: {'; '.join(looks)}.")
    blocks.append(Points(tuple(points)))
    boards = [board for board in plan.boards if any(board.cause == d.threat.cause.id for d in dangers)][:MOST_BOARDS]
    if boards:
        names = "; ".join(f"{board.name} (`diagnose learn {board.id}`)" for board in boards)
        blocks.append(Text(f"Boards that show such a failure beside a sound half: {names}."))
    return Part("trials", "Try on scrap first", tuple(blocks))


def _looks(cause: Cause, knowledge: Knowledge) -> list[str]:
    """The findings that would show a cause best and that a board allows, harmless ones first."""
    found: list[tuple[float, int, Finding, str]] = []
    for link in cause.links:
        if link.about == "answer" and link.subject != knowledge.opening[0]:
            finding = knowledge.findings[link.subject]
            answer, weight = max(link.weights.items(), key=lambda pair: pair[1])
            if weight >= TELLING and answer in finding.answers and finding.kind != "recall":
                found.append((knowledge.ask_kinds[finding.kind].price, -weight, finding, answer))
    ordered = sorted(found, key=lambda row: (row[0], row[1], row[2].id))
    return [f"{finding.short}: {finding.answers[answer]}" for _, _, finding, answer in ordered[:MOST_SIGNS]]


def _cautions(plan: Plan, cited: Citations) -> Part | None:
    items = []
    for caution, by in plan.diagnosis.cautions:
        steps = [need.partition(" ")[2] for need in by if need.startswith("step ")]
        if steps or any(need.startswith("piece ") for need in by):
            needs = f"step{'s' if len(steps) > 1 else ''} {' and '.join(steps)}" if steps else "this piece"
            items.append((caution.title, needs, f"{caution.says} {cited.of(caution.source)}"))
    blocks = (Warnings(tuple(items)), Text(FIRST_OF_ALL, mind=True))
    return Part("cautions", "Cautions", blocks) if items else None


def _reasoning(plan: Plan, threats: Sequence[Threat], cited: Citations) -> Part | None:
    facts = [sign.fact for threat in threats for sign in threat.signs]
    chain, _ = chain_of(plan.diagnosis, facts, cited)
    return Part("reasoning", "How this was reasoned", (chain,)) if chain.links else None


def effect_outline(found: Effect, knowledge: Knowledge) -> Outline:
    """What a change would do to a schedule."""
    lines = [(f"Goes{'' if t.fault else ' (of the wood, place or finish)'}", _weighed(t)) for t in found.gone]
    lines += [("Comes", _weighed(threat)) for threat in found.come]
    for before, after in found.moved:
        way = "Grows smaller" if after.pull < before.pull else "Grows"
        lines.append((way, f"{_weighed(after)} (before: {before.pull:+d})"))
    told: Block = Pairs(tuple(lines)) if lines else Text("Nothing that this base can tell changes.")
    serious = [threat.cause.name for threat in found.come if threat.serious]
    blocks = [told] + ([Text(f"Serious, and new: {'; '.join(serious)}.", mind=True)] if serious else [])
    steps = Numbered(tuple(step_words(step, knowledge) for step in found.case.steps))
    parts = (Part("effect", "What it would do", tuple(blocks)), Part("steps", "The schedule then", (steps,)))
    return Outline(f"What if: {'; '.join(found.asked)}", (), parts)


def _weighed(threat: Threat) -> str:
    kind = "serious" if threat.serious else "smaller"
    return f"{threat.cause.name} - {kind}, {threat.pull:+d} decibans"
