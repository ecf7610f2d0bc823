"""A plan as an outline: what a schedule could fail by and what to change, worded once for every form of output."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose import units
from diagnose.blocks import Block, Job, Jobs, Numbered, Outline, Pairs, Part, Points, Row, Strata, Text, Warnings
from diagnose.facts import WOOD, layers
from diagnose.materials_needed import area_of, needs, spare
from diagnose.model import Cause, Finding, Knowledge
from diagnose.outline import FIRST_OF_ALL, HARMS, Citations, chain_of, needs_words, sources
from diagnose.plan_words import below, done_words, grouped, place_words, verdict, way_words
from diagnose.planning import Danger, Plan, Safeguard, Wait, too_long
from diagnose.threats import Threat
from diagnose.unjudged import Blank
from diagnose.what_if import Effect
from diagnose.words import fact_words, minutes_words, piece_words, step_parts, step_words

MOST_WAYS, MOST_GUARDS, MOST_BLANKS, MOST_SIGNS, MOST_BOARDS = 4, 6, 8, 3, 6
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
        _materials(plan, cited),
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


def _short(plan: Plan, serious: list, smaller: list, blanks: Sequence[Blank]) -> Part:
    pairs = [("The schedule", verdict(plan, blanks))]
    first = next(iter(serious or smaller), None)
    if first:
        danger = first[0]
        pairs.append(("Most pressing", f"{danger.threat.cause.name} - {place_words(danger.place)}"))
        ways = way_words(danger.ways, plan)
        pairs += [("Least change", ways[0])] if ways else []
    if too_long(plan.case):
        pairs.append(("Mind", "so long a schedule is judged, but no changes were tried on it; plan a part of it alone"))
    return Part("short", "In short", (Pairs(tuple(pairs)),))


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
            rows.append(Row("interface", n, f"between step {n} and {below(spot[0])}", mark=_mark(marks[spot])))
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
    do = tuple(ways) or (
        "No single change takes it away." + (" See the schedule with the least changes." if plan.mending else ""),
    )
    return Job(f"{threat.cause.name} - {place_words(danger.place)}", "", do, tuple(says), ())


def _mended(plan: Plan) -> Part | None:
    if not plan.mending:
        return None
    knowledge, after = plan.diagnosis.knowledge, plan.mending[-1].case
    as_they_were = {step_words(step, knowledge) for step in plan.case.steps}
    told = (step_words(step, knowledge) for step in after.steps)
    lines = tuple(words if words in as_they_were else f"{words} <- changed" for words in told)
    air = ", ".join(f"{name} {given.written}" for name, given in after.air.items() if given.known)
    made = "; ".join(dict.fromkeys(done_words(edit, plan) for edit in plan.mending))  # steps have other numbers by then
    head = f"Changed: {made}." + (f" The air: {air}." if air else "")
    serious = [threat for threat in plan.left if threat.serious]
    if serious:
        tail = f"Serious all the same: {'; '.join(threat.cause.name for threat in serious)}."
    elif plan.left:
        tail = f"No serious fault is left. Smaller ones: {'; '.join(threat.cause.name for threat in plan.left)}."
    else:
        tail = "No fault is left that this base knows of."
    return Part("mended", "The schedule with the least changes", (Text(head), Numbered(lines), Text(tail)))


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
    points = [
        f"Step {step.number}, {plan.diagnosis.knowledge.step_kinds[step.do].name}: the product is not named, so what "
        "it carries, dissolves and holds on cannot be judged."
        for step in plan.unnamed
    ]
    points += [_blank(blank, plan.diagnosis.knowledge) for blank in blanks[:MOST_BLANKS]]
    return Part("untold", "What is not told and could matter", (Points(tuple(points)),)) if points else None


def _blank(blank: Blank, knowledge: Knowledge) -> str:
    where = f"Step {blank.about[1]}, " if blank.about[0] == "step" else f"The {blank.about[0]}, "
    by_threats: dict[tuple[str, ...], list[str]] = {}
    for value, brought in blank.would:
        names = tuple(threat.cause.name for threat in brought)
        by_threats.setdefault(names, []).append(value)
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


def _materials(plan: Plan, cited: Citations) -> Part | None:
    """What each coat takes of the area that the plan states."""
    knowledge, area = plan.diagnosis.knowledge, area_of(plan.case)
    told, untold = [], []
    for need in needs(plan.case, knowledge):
        name = f"Step {need.step}, {knowledge.step_kinds[plan.case.steps[need.step - 1].do].name}"
        if need.low is None or need.high is None:
            untold.append(name)
            continue
        low, high = (units.in_both(litres, "volume", 2) for litres in (need.low, need.high))
        told.append(f"{name}: {low} to {high}. {cited.cite(need.source)}")
    if not told or area is None:
        return None
    title = f"What it takes for {units.in_both(area, 'area', 2)}"
    note = f"One coat each, with {units.show(spare(), 'share')} to spare; the label's coverage comes first."
    note += f" Not known of: {'; '.join(untold)}." if untold else ""
    return Part("materials", title, (Points(tuple(told)), Text(note)))


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
    items = [(c.title, needs_words(by), f"{c.says} {cited.of(c.source)}") for c, by in plan.cautions]
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
