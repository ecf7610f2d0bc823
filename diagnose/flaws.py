"""What the audit can find wrong with a knowledge base: stable codes, and a flaw with its place."""

from __future__ import annotations

import json
from dataclasses import dataclass

from diagnose.complaint import Place

PARTS = 5  # decibans: the least by which a check must part two causes, and the halves of a test board
LIKELY = 0.5  # the least chance of its cause on the failing half of a test board

CODES = {
    "no-confirming-example": "A cause needs an example case beside it that expects it first.",
    "no-near-miss": "A cause needs an example case beside it that looks like it and expects it not to come first.",
    "stray-examples": "A file of example cases lies beside no cause.",
    "example-fails": "An example case does not come to what it expects.",
    "unreachable-cause": "A cause that stays below `none of these` with everything in its favour can never be found.",
    "never-parted": f"Two causes with one look need a question or test that can part them by {PARTS} decibans.",
    "not-parted": f"The check named for a look-alike must part the two by at least {PARTS} decibans.",
    "no-remedy": "A cause without a remedy leaves the finisher alone; `leave it` with its reason is a remedy too.",
    "no-prevention": "A cause without prevention teaches nothing for the next piece.",
    "no-look-alikes": "A cause must name what looks like it and the check that parts them.",
    "no-caution": "Work that names something dangerous must list it (`uses`, `hazards`), so that its caution shows.",
    "board-fails-otherwise": "The failing half of a test board must come to the cause it shows, as likely at least.",
    "board-not-sound": f"On the sound half of a test board its cause must weigh at least {PARTS} decibans less.",
    "hand-conversion": "A text names a quantity once, in braces; the program reckons and writes the other units.",
    "broken-sentence": "An instruction must begin with a capital; a comma inside [...] splits a sentence in two.",
    "unused-finding": "A question that no evidence, condition, remedy or other question uses cannot matter.",
    "unaskable-finding": "A question that waits for an answer to a question that is never asked is never asked.",
    "never-asked": "A question that makes sense in no example is untested, and may never make sense.",
    "half-told-test": "A test must say all that its kind needs: what to do, what each outcome means, what it may harm.",
    "unused-condition": "A condition that nothing uses cannot matter.",
    "unused-remedy": "A remedy that no cause names is never proposed.",
    "unused-amount": "An amount of label.yaml that no rule and no answer looks at cannot matter.",
    "unused-figures": "A row of figures of solvents that no ingredient names is never looked at.",
    "unused-value": "A value that no rule looks at tells nothing; leave it away, or say what it means.",
    "dead-condition": "A condition that holds in no example is untested and may be impossible.",
    "unexercised-rule": "A rule of a condition, trait, remedy or caution that fires in no example is untested.",
    "unexercised-link": "Evidence that no example meets is untested.",
    "contradiction": "A condition both holds and is ruled out: by one set of facts, or in an example.",
    "subsumed-rule": "A rule that fires only where another with the same conclusion fires too is redundant.",
    "circular-rules": "Conditions or traits that rest on each other in a circle prove nothing.",
    "needless-exemption": "An exemption that no flaw needs any longer has to go.",
}


@dataclass(frozen=True, slots=True)
class Flaw:
    """`of` names what it is about, for exemptions: an id, or two joined by ' / '."""

    code: str
    place: Place
    what: str
    of: str = ""


def as_text(flaws: list[Flaw]) -> str:
    lines = [f"{flaw.place}: [{flaw.code}] {flaw.what}" for flaw in flaws]
    return "\n".join([*lines, f"{len(flaws)} flaws" if flaws else "no flaws"]) + "\n"


def as_json(flaws: list[Flaw]) -> str:
    rows = [
        {
            "code": f.code,
            "file": f.place.file,
            "line": f.place.line,
            "column": f.place.column,
            "what": f.what,
            "mend": CODES[f.code],
        }
        for f in flaws
    ]
    return json.dumps({"flaws": rows}, indent=1) + "\n"
