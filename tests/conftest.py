"""A small trade of its own for the tests: just enough knowledge to load, so that no test leans on the shipped base."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from diagnose import load
from diagnose.case import Case, read_case
from diagnose.computed import compute
from diagnose.engine import Chain
from diagnose.facts import given_facts
from diagnose.match import RuleIndex
from diagnose.model import Knowledge
from diagnose.rules import Fact, Firing
from diagnose.yamltree import parse

ROOT_CASES = Path(__file__).resolve().parents[1] / "cases"

# Names of carriers, places and fastness are those of the reference tables in shared/, which computations look up.
FILES = {
    "scale.yaml": """\
weights: {slight: 2, fair: 5, strong: 10, decisive: 20}
priors: {common: -7, rare: -14}
cures: {usually: 0.9, sometimes: 0.3}
usual: {mostly: 0.75, seldom: 0.2}
harms: {none: 1, slight: 2, lasting: 5}
standing: {almost certain: 0.95, very likely: 0.8, likely: 0.5, possible: 0.12, unlikely: 0.02, hardly: 0}
""",
    "families.yaml": "lifting: Colour lifting into a coat\n",
    "sources/general.yaml": "handbook: {title: A handbook, publisher: A press, year: 1999, read: no}\n",
    "steps.yaml": """\
sanding: {name: sanding, layer: no, bares: yes, asks: [grit], also: [scuffing]}
wetting: {name: wetting the bare wood, layer: no, bare: yes}
cleaning: {name: wiping down, layer: no, asks: [product]}
stripping: {name: stripping, layer: no, bares: yes, strips: yes}
colourant: {name: dye or stain, layer: yes, also: [stain]}
sealer: {name: sealer, layer: yes}
clear_coat: {name: clear coat, layer: yes, also: [top coat, varnish]}
unknown_coat: {name: a coat of which nothing is known, layer: yes, unknown: yes}
""",
    "attributes.yaml": """\
piece:
  wood: {kind: wood, question: Which wood?}
  form: {question: Solid or veneer?, values: {solid: solid wood, veneer: veneer}}
  surface: {question: Which surface?, many: yes, values: {flat: flat, end_grain: end grain, shaped: shaped}}
  place:
    question: Where?
    values: {direct_sun: in the sun, bright_room: near a window, inside_room: inside, dark: dark}
  age: {kind: time, question: How old?}
  blotchy: {derived: yes, values: {yes: takes stain unevenly, no: takes stain evenly}}
air:
  temperature: {kind: temperature, question: How warm?}
  humidity: {kind: share, question: How humid?}
  surface: {kind: temperature, question: How warm was the surface?}
  dew_point: {kind: temperature, derived: yes}
  dew_margin: {kind: temperature, derived: yes}
step:
  product: {kind: material, question: What was it?}
  ingredients: {kind: material, many: yes, question: What is in it?}
  carrier:
    question: What carries it?
    many: yes
    steps: [colourant, sealer, clear_coat, unknown_coat, wetting, cleaning]
    values:
      {water: water, alcohol: alcohol, glycol_ether: ether, lacquer_solvents: thinner, hydrocarbon: oil, none: nothing}
  retarder: {question: Was a retarder added?, values: {yes: yes, no: no}}
  redissolves_in:
    question: What takes it up again?
    many: yes
    values: {water: water, alcohol: alcohol, nothing: nothing}
  fastness: {derived: yes, values: {fugitive: fugitive, poor: poor, permanent: permanent}}
  dried: {kind: time, question: How long did it dry?}
  needs_dry: {kind: time, derived: yes}
  dried_enough: {derived: yes, values: {yes: yes, no: no}}
  evaporation: {derived: yes, values: {fast: fast, medium: medium, slow: slow}}
  fade_due: {derived: yes, values: {yes: yes, no: no}}
  film: {kind: film, question: How thick?}
  strength: {kind: strength, question: How strong was it mixed?}
  grit: {kind: grit, steps: [sanding], question: To which grit?}
""",
    "strategy.yaml": """\
kinds:
  recall: {name: remember, minutes: 0.5, harm: none}
  look: {name: look, minutes: 1, harm: none}
  wipe: {name: wipe test, minutes: 3, harm: none}
opening: [complaint, wood]
rules:
  worth_its_price: {says: Ask what tells most., because: Time is dear., source: common practice}
  family_first: {says: a, figure: 0.5, because: b, source: common practice}
  worth_a_change: {says: a, figure: 0.1, because: b, source: common practice}
  patience: {says: a, figure: 5, because: b, source: common practice}
  enough_said: {says: Stop., figure: 0.02, because: It is enough., source: common practice}
  act_on: {says: Act., figure: 0.8, because: It is likely enough., source: common practice}
  sure_enough: {says: Stop., figure: 0.97, because: It is sure., source: common practice}
  worth_proposing: {says: Propose., figure: 0.12, because: It may help., source: common practice}
  care_on_a_guess: {says: Mind., figure: 0.25, because: It may harm., source: common practice}
  no_harm_on_a_guess: {says: Wait., figure: 0.5, because: It harms., source: common practice}
  state_not_known: {says: Rank lower., figure: 0.5, because: It is not known., source: common practice}
""",
    "cautions/core.yaml": "flammable: {title: It burns, says: No flame., source: common practice}\n",
    "materials/all.yaml": """\
water: {name: water, for: [wetting, cleaning], traits: {carrier: water}, source: common practice}
water_dye:
  name: water-soluble dye
  also: [water dye powder]
  traits: {carrier: water, redissolves_in: water, fastness: fugitive, needs_dry: 12 h}
  source: handbook
fast_stain: {name: fast stain, traits: {carrier: hydrocarbon, fastness: permanent, needs_dry: 24 h}, source: handbook}
shellac: {name: shellac, traits: {carrier: alcohol, needs_dry: 1 h}, hazards: [flammable], source: common practice}
water_varnish: {name: water varnish, traits: {carrier: [water, glycol_ether], needs_dry: 3 h}, source: common practice}
""",
    "woods/all.yaml": """\
oak: {name: red oak, traits: {blotchy: no}, source: handbook}
pine: {name: white pine, also: [soft pine], traits: {blotchy: yes}, source: handbook}
""",
    "findings/core.yaml": """\
complaint:
  question: What is wrong?
  short: the complaint
  kind: look
  many: yes
  answers: {colour_came_off: colour came off, streaks: streaks, haze: it is milky}
  source: common practice
rag_takes_colour: {question: Does a rag take colour?, short: rag takes colour, kind: wipe, source: common practice}
""",
    "conditions/all.yaml": """\
conditions:
  dry_schedule:
    says: No step brings water.
    rules: [{when: {no step: {carrier: water}}, then: holds, because: None has it., source: common practice}]
  first_wetting:
    says: The colour was the first to wet the wood.
    rules:
      - when: {colour: {do: colourant, nothing before: {do: wetting}}}
        then: holds
        because: So.
        source: common practice
  no_water_later:
    says: Nothing brings water to the colour.
    rules:
      - when: {colour: {do: colourant, nothing after: {carrier: water}}}
        then: holds
        because: So.
        source: common practice
  not_scuffed:
    says: The coat below was not sanded.
    rules:
      - when:
          coat: {do: clear_coat, directly over: lower, nothing between: {do: sanding}}
          lower: {do: [clear_coat, sealer]}
        then: holds
        because: So.
        source: common practice
  water_over_colour:
    says: Water lies on colour that it takes up.
    rules:
      - when: {coat: {carrier: water, directly over: colour}, colour: {redissolves_in: water}}
        then: holds
        because: Water takes it up.
        source: common practice
""",
    "remedies/all.yaml": """\
barrier: {name: A barrier, do: [Seal it.], uses: [shellac], effort: 30 min, harm: none, because: So., source: handbook}
""",
    "causes/colour/dye_lifted.yaml": """\
name: Water takes up the dye
family: lifting
often: common
often source: common practice
mechanism: Water dissolves it.
source: handbook
evidence:
  - answer: rag_takes_colour
    weights: {yes: strong for, no: strong against}
    because: The rag does in small what the coat did.
    source: common practice
  - {condition: water_over_colour, weights: {holds: fair for}, because: It needs water., source: common practice}
remedies: [{do: barrier, cures: usually, because: It stops the water., source: common practice}]
prevention: [{advice: Seal the dye., because: So., uses: [shellac], source: common practice}]
""",
    "causes/colour/streaked.yaml": """\
name: It was wiped late
family: lifting
often: rare
often source: common practice
mechanism: It had set.
source: handbook
evidence:
  - {answer: complaint, weights: {streaks: strong for, otherwise: fair against}, because: So., source: common practice}
remedies: [{do: barrier, cures: sometimes, because: So., source: common practice}]
prevention: [{advice: Wipe at once., because: So., source: common practice}]
""",
}

BOARD = """\
boards:
  dye_board:
    shows: dye_lifted
    name: A dye and a water varnish
    piece: {wood: oak, form: solid}
    ready: [A board of oak.]
    fails: [{do: colourant, product: water_dye}, {do: clear_coat, product: water_varnish}]
    sound: [{do: colourant, product: fast_stain}, {do: clear_coat, product: water_varnish}]
    do: [Coat both halves.]
    see: {fails: The coat turns brown., sound: The coat stays clear.}
    finds: {complaint: colour_came_off, rag_takes_colour: yes}
    says: Water takes up what water dissolved.
    work: 30 min
    waits: 1 day
    uses: [shellac]
    source: common practice
"""


def write_knowledge(folder: Path, **changed: str) -> Path:
    """The small knowledge folder, some files (named by their stem) replaced."""
    for name, text in FILES.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(changed.get(path.stem, text), encoding="utf-8")
    return folder


@pytest.fixture(scope="session")
def knowledge_folder(tmp_path_factory) -> Path:
    return write_knowledge(tmp_path_factory.mktemp("trade") / "knowledge")


@pytest.fixture(scope="session")
def knowledge(knowledge_folder) -> Knowledge:
    return load.load(knowledge_folder)


@pytest.fixture(scope="session")
def case_of(knowledge) -> Callable[[str], Case]:
    """A case from its YAML."""
    return lambda text: read_case(parse(text, "case.yaml"), knowledge)


@dataclass(frozen=True)
class Run:
    """A case after its two runs: what was given, what was computed, and all that is known."""

    case: Case
    given: dict[Fact, str]
    computed: list[Firing]
    firings: list[Firing]
    facts: set[Fact]

    @property
    def reckoned(self) -> dict[Fact, tuple[Fact, ...]]:
        return {firing.fact: firing.premises for firing in self.computed}


@pytest.fixture(scope="session")
def run(knowledge, case_of) -> Callable[[str], Run]:
    """A case from its YAML, run as a diagnosis runs it, without the ranking."""
    index = RuleIndex(knowledge.rules)

    def running(text: str) -> Run:
        case = case_of(text)
        given = given_facts(case, knowledge)
        chain = Chain(index)
        chain.add(given)
        computed = compute(chain.known(), case, knowledge)
        chain.add(firing.fact for firing in computed)
        return Run(case, given, computed, [*chain.firings, *computed], chain.known())

    return running
