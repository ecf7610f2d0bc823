"""Rule bases to compare engines on: small worlds in which joins, comparisons, chains and circles really happen.

A rule is mostly grown from facts that hold: their entries are loosened into variables (the same one for the same
entry), into comparisons, or left as they are. So rules fire, and on each other's conclusions; the others are drawn
blindly.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from random import Random

from diagnose.match import RuleIndex, Store, close
from diagnose.rules import COMPARISONS, Compare, Fact, Firing, Pattern, Rule, Var, bind, instantiate

# Words that look like numbers, need quoting or are empty stand beside numbers: an engine which mixes them up shows.
WORDS = ("a", "b", "3", 'q"u\\o te', "")
NUMBERS = (-1, 0, 2, 2.5, 3)
WIDTHS = {"p": 2, "q": 2, "r": 3, "s": 3, "alone": 1}  # entries of each relation, its name included
VARIABLES = ("x", "y", "z", "coat", "under_it")
MOST_FIRINGS = 250  # more would test patience, not agreement


@dataclass(frozen=True)
class Base:
    rules: tuple[Rule, ...]
    given: tuple[Fact, ...]

    def index(self) -> RuleIndex:
        return RuleIndex(self.rules)

    def closed(self) -> list[Firing]:
        return close(Store(self.index()), self.given)


def base_of(seed: int) -> Base:
    """A rule base, the same for the same seed; its closure is finite (no rule makes a new entry) and small."""
    random = Random(seed)
    while True:
        base = _base(random)
        if small(base):
            return base


def _base(random: Random) -> Base:
    entries = random.sample(WORDS, random.randint(1, 3)) + random.sample(NUMBERS, random.randint(1, 3))
    given = list({_fact(random, entries): None for _ in range(random.randint(2, 9))})
    pool, rules = list(given), []
    for number in range(random.randint(2, 8)):
        blind = random.random() < 0.25
        rule = _drawn(random, entries, number) if blind else _grown(random, entries, pool, number)
        rules.append(rule)
    return Base(tuple(rules), tuple(given))


def _fact(random: Random, entries: list) -> Fact:
    relation = random.choice(list(WIDTHS))
    return (relation, *(random.choice(entries) for _ in range(WIDTHS[relation] - 1)))


def _grown(random: Random, entries: list, pool: list[Fact], number: int) -> Rule:
    """A rule that some facts of `pool` complete; what it then concludes joins the pool."""
    premises = [random.choice(pool) for _ in range(random.choice((1, 2, 2, 3)))]
    names: dict[object, str] = {}
    when = tuple(_loosened(random, fact, names) for fact in premises)
    bound: dict = {}
    for pattern, fact in zip(when, premises):
        bound = bind(pattern, fact, bound) or bound
    then = _conclusion(random, entries, sorted(bound))
    if random.random() < 0.2:  # back to where it came from: a circle
        then = tuple(term if not isinstance(term, Compare) else random.choice(entries) for term in random.choice(when))
    pool.append(instantiate(then, bound))
    return Rule(f"grown/{number}=x", when, then)


def _loosened(random: Random, fact: Fact, names: dict) -> Pattern:
    terms: list = [fact[0]]
    for entry in fact[1:]:
        chance = random.random()
        if chance < 0.25:
            terms.append(entry)
        elif chance < 0.45 and not isinstance(entry, str):
            terms.append(
                random.choice(
                    [
                        Compare(sign, bound)
                        for sign in COMPARISONS
                        for bound in NUMBERS
                        if Compare(sign, bound).holds(entry)
                    ]
                )
            )
        else:
            terms.append(Var(names.setdefault(entry, VARIABLES[len(names) % len(VARIABLES)])))
    return tuple(terms)


def _drawn(random: Random, entries: list, number: int) -> Rule:
    def term():
        return random.choice(
            (
                Var(random.choice(VARIABLES[:3])),
                Var(random.choice(VARIABLES[:3])),
                random.choice(entries),
                Compare(random.choice(list(COMPARISONS)), random.choice(NUMBERS)),
            )
        )

    when = []
    for _ in range(random.randint(1, 3)):
        relation = random.choice(list(WIDTHS))
        when.append((relation, *(term() for _ in range(WIDTHS[relation] - 1))))
    return Rule(f"drawn/{number}", tuple(when), _conclusion(random, entries, sorted(variables(when))))


def _conclusion(random: Random, entries: list, bound: list[str]) -> Pattern:
    relation = random.choice(list(WIDTHS))
    return (
        relation,
        *(
            Var(random.choice(bound)) if bound and random.random() < 0.7 else random.choice(entries)
            for _ in range(WIDTHS[relation] - 1)
        ),
    )


def variables(when) -> set[str]:
    return {term.name for pattern in when for term in pattern if isinstance(term, Var)}


def small(base: Base) -> bool:
    """Whether the base stays below `MOST_FIRINGS`, found without running further than that."""
    store, waiting, firings = Store(base.index()), list(base.given), 0
    while waiting:
        for rule, _, bound in store.add(waiting.pop()):
            firings += 1
            if firings > MOST_FIRINGS:
                return False
            waiting.append(instantiate(rule.then, bound))
    return True


def features(base: Base, firings: list[Firing]) -> set[str]:
    """What a run really exercised; the tests assert that all of it was met often enough."""
    by_name = {rule.name: rule for rule in base.rules}
    given, found = set(base.given), set()
    ways: dict[Fact, set[str]] = {}
    for firing in firings:
        rule = by_name[firing.rule]
        names = [variables([pattern]) for pattern in rule.when]
        terms = [term for pattern in rule.when for term in pattern[1:]]
        held = [term.name for term in terms if isinstance(term, Var)]
        ways.setdefault(firing.fact, set()).add(firing.rule)
        found |= {
            name
            for name, so in {
                "join through a variable": any(one & other for i, one in enumerate(names) for other in names[:i]),
                "variable twice": len(held) != len(set(held)),
                "comparison": any(isinstance(term, Compare) for term in terms),
                "constant": any(not isinstance(term, Var | Compare) for term in terms),
                "three premises": len(rule.when) == 3,
                "chain of rules": any(premise not in given for premise in firing.premises),
                "one fact under two patterns": len(set(firing.premises)) < len(firing.premises),
            }.items()
            if so
        }
    if any(len(names) > 1 for names in ways.values()):
        found.add("several rules, one fact")
    if _circular(firings):
        found.add("circle")
    return found


def _circular(firings: list[Firing]) -> bool:
    """Whether some fact helps, over one or more firings, to conclude itself."""
    under: dict[Fact, set[Fact]] = {}
    for firing in firings:
        under.setdefault(firing.fact, set()).update(firing.premises)
    for start in under:
        seen: set[Fact] = set()
        waiting = list(under[start])
        while waiting:
            fact = waiting.pop()
            if fact == start:
                return True
            if fact not in seen:
                seen.add(fact)
                waiting.extend(under.get(fact, ()))
    return False


def smallest(base: Base, fails: Callable[[Base], bool]) -> Base:
    """`base` without every rule and fact that `fails` does not need: what a report of a failure should show."""
    shrinking = True
    while shrinking:
        shrinking = False
        for field in ("rules", "given"):
            parts = getattr(base, field)
            for i in range(len(parts)):
                less = Base(**{"rules": base.rules, "given": base.given, field: parts[:i] + parts[i + 1 :]})
                if fails(less):
                    base, shrinking = less, True
                    break
    return base
