"""The network of published_network.py as a base of our kind: a cause for each fault, a link for each finding."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import log10

import yaml
from network import Network

from diagnose.complaint import Place
from diagnose.diagnosis import Diagnoser
from diagnose.folder import shipped
from diagnose.model import Cause, Finding, Knowledge, Link, Remedy, Treatment
from diagnose.rules import Rule

MOST_DECIBANS = 30
NOWHERE = Place("win95pts")


@dataclass(frozen=True)
class Words:
    """How a base says figures: whole decibans as they are, or the nearest of the words of scale.yaml."""

    weights: tuple[int, ...] = ()
    priors: tuple[int, ...] = ()
    usual: tuple[float, ...] = ()

    def weight(self, ratio: float) -> int:
        exact = 10 * log10(ratio) if ratio > 0 else -MOST_DECIBANS
        return max(-MOST_DECIBANS, min(MOST_DECIBANS, self._nearest(exact, self.weights)))

    def prior(self, odds: float) -> int:
        return self._nearest(10 * log10(odds), self.priors)

    def shares(self, of_one: float) -> dict[str, float]:
        """Of the answers "0" and "1"; at least one in a thousand each, so that no answer is thought impossible."""
        of_one = min(0.999, max(0.001, of_one))
        if self.usual:
            rarer = min(self.usual, key=lambda word: abs(log10(word) - log10(min(of_one, 1 - of_one))))
            of_one = rarer if of_one < 0.5 else 1 - rarer
        return {"0": 1 - of_one, "1": of_one}

    @staticmethod
    def _nearest(exact: float, words: tuple[int, ...]) -> int:
        return min(words, key=lambda word: abs(word - exact)) if words else round(exact)


def scale_words() -> Words:
    scale = yaml.safe_load((shipped() / "scale.yaml").read_text(encoding="utf-8"))
    weights = scale["weights"].values()
    shares = tuple(share for share in scale["usual"].values() if share <= 0.5)
    return Words((0, *weights, *(-w for w in weights)), tuple(scale["priors"].values()), shares)


def base_of(network: Network, words: Words, shipped_base: Knowledge, findings: list[str]) -> Diagnoser:
    """The network as causes, findings, links and rules of our kind, strategy and scale as shipped."""
    asked = {
        node: Finding(
            node, node, node, "look", False, {"0": "state 0", "1": "state 1"}, (), "", "",
            words.shares(float(network.usual[node][1])), "", (), NOWHERE,
        )
        for node in findings
    }  # fmt: skip
    causes, rules = {}, [Rule(f"{node}/sensible", (("always",),), ("sensible", node)) for node in findings]
    for number, fault in enumerate(network.faults, 1):
        links = []
        for node in findings:
            here, usual = network.each[node][number], network.usual[node]
            weights = {
                str(s): words.weight(float(here[s] / max(usual[s], 1e-9))) for s in (0, 1) if here[s] or usual[s]
            }
            weights = {answer: weight for answer, weight in weights.items() if weight}
            name = f"{fault}/{node}"
            if weights:
                links.append(Link(name, fault, "answer", node, weights, "", (), name, NOWHERE))
            for answer, weight in weights.items():
                rules.append(Rule(f"{name}/{answer}", (("answer", node, answer),), ("weigh", fault, name, weight)))
        causes[fault] = Cause(
            fault, fault, (), (), "", "", words.prior(network.odds[number]), "", (), "", (), {}, tuple(links),
            (Treatment(fault, 0.9, "usually", "", ()),), (), NOWHERE,
        )  # fmt: skip
    remedies = {
        fault: Remedy(fault, fault, (), "", False, (), (), 10.0, "none", "", (), NOWHERE) for fault in network.faults
    }
    of_wood = (
        "attributes",
        "step_kinds",
        "materials",
        "woods",
        "conditions",
        "cautions",
        "sources",
        "families",
        "terms",
    )
    emptied = {name: {} for name in of_wood}
    return Diagnoser(
        replace(
            shipped_base, **emptied, findings=asked, causes=causes, remedies=remedies, rules=tuple(rules), closures=(),
            opening=(), opens_when=(), exemptions=(), version="win95pts",
        )
    )  # fmt: skip
