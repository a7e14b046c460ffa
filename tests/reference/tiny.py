"""Published examples as tiny rule books in YAML: written to a folder, loaded as any book, weighed by the engine.

The prior of a book can say two kinds of example exactly. *Independent* causes: the shares are the odds, and the knobs
``none`` and ``two_or_more`` follow from the same chances; of four and more, given that no more than three hold.
*Exclusive* causes: at most one holds.

A book's knobs have a least value, so it always has a cause that is not in it, slips of the tongue and, among exclusive
causes, pairs. The examples have none of these. They are taken out by arithmetic, never by a tolerance: a belief is
conditioned on the hypotheses the example has, and the slip, which mixes a predicted chance linearly, is solved for.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from diag.decision.next_step import propose
from diag.decision.proposal import Proposal
from diag.fuelsystem.car import car_from_texts
from diag.inference.evidence import Evidence
from diag.inference.model import Model, compile_model
from diag.inference.posterior import Belief, belief
from diag.inference.predictive import outcome_table
from diag.rulebook.knobs import TABLE, TINY
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Yield
from diag.safety.situation import Situation
from tests.inference.books import told
from tests.reference import textbook as cost

FEVER = {
    ("malaria",): 0.9,
    ("flu",): 0.8,
    ("flu", "malaria"): 0.98,
    ("cold",): 0.4,
    ("cold", "malaria"): 0.94,
    ("cold", "flu"): 0.88,
    ("cold", "flu", "malaria"): 0.988,
}
"""Russell and Norvig, noisy-OR table of fever (from memory): inhibitions cold .6, flu .2, malaria .1, no leak."""

Chances = Mapping[str, float]
Floats = NDArray[np.float64]
NEVER = 1e-12  # a book may not say 0 or 1; this is a millionth of the last digit any example prints
ALWAYS = 1.0 - NEVER


def net(p: float, leak: float) -> float:
    """The link with which a cause and a leak together show a sign with chance p."""
    return 1.0 - (1.0 - p) / (1.0 - leak)


def hiding_links(leak: float, first: float, second: float, both: float) -> tuple[float, float, float]:
    """Links of two causes, and what the second hides, for a table in which both show less than noisy-OR says.

    The table is P(sign | neither, first, second, both). Returned are the two links and the second cause's ``hides``.
    """
    u = (1.0 - first) / (1.0 - leak)
    ratio = second / both
    v = (1.0 - ratio) / ((1.0 - leak) * (1.0 - ratio * u))
    return 1.0 - u, 1.0 - v, 1.0 - second / (1.0 - (1.0 - leak) * v)


@dataclass(frozen=True)
class Example:
    """What the book of an example says; every mapping is by id.

    ``states`` are (chance, seen_as); ``checks`` are (minutes, sign); ``remedies`` minutes, by default an hour for
    each cause; ``cures`` the remedies of a cause, best first, by default the one called ``mend-`` and the cause.
    """

    chances: Chances
    exclusive: bool = False
    shows: Mapping[str, Chances] = field(default_factory=dict)
    hides: Mapping[str, Chances] = field(default_factory=dict)
    answers: Mapping[str, Mapping[str, Chances]] = field(default_factory=dict)
    signs: Chances = field(default_factory=dict)
    choices: Mapping[str, Chances] = field(default_factory=dict)
    states: Mapping[str, tuple[float, Chances]] = field(default_factory=dict)
    checks: Mapping[str, tuple[float, str]] = field(default_factory=dict)
    remedies: Chances = field(default_factory=dict)
    cures: Mapping[str, Sequence[str]] = field(default_factory=dict)
    botch: Chances = field(default_factory=dict)
    hand_on: float = 240.0

    def write(self, folder: Path) -> Job:
        """Write the book, load it and compile it for a car of which nothing is known."""
        path = folder / "example.yaml"
        path.write_text(self.text(), encoding="utf-8")
        book = load_book(folder)
        return Job(self, book, compile_model(book, car_from_texts({})))

    def cures_of(self, cause: str) -> list[str]:
        """The remedies of a cause."""
        return list(self.cures.get(cause, [f"mend-{cause}"]))

    def text(self) -> str:
        """The book as YAML."""
        minutes = dict(self.remedies) or dict.fromkeys((r for c in self.chances for r in self.cures_of(c)), 60.0)
        sections: dict[str, list[dict[str, object]]] = {
            "causes": [self._cause(c, share) for c, share in self._shares().items()],
            "signs": [{"sign": s, **_asked(s), "chance": leak} for s, leak in self.signs.items()]
            + [
                {"sign": s, **_asked(s), "choices": {a: {"words": a, "usual": p} for a, p in usual.items()}}
                for s, usual in self.choices.items()
            ],
            "states": [
                {"state": s, "title": s, "chance": chance, "seen_as": seen} for s, (chance, seen) in self.states.items()
            ],
            "checks": [
                {"check": c, **_step(c, spent), "yields": [{"sign": sign}]} for c, (spent, sign) in self.checks.items()
            ],
            "remedies": [
                {"remedy": r, **_step(r, spent)} | ({"botch": self.botch[r]} if r in self.botch else {})
                for r, spent in minutes.items()
            ],
        }
        lines = [
            "format: 1",
            'version: "1"',
            'areas: {example: "a published example"}',
            f"knobs: {_flow(self._knobs())}",
        ]
        for name, entries in sections.items():
            if entries:
                lines += [f"{name}:", *(f"  - {_flow(entry)}" for entry in entries)]
        return "\n".join(lines) + "\n"

    def _cause(self, cause: str, share: float) -> dict[str, object]:
        links = {"shows": self.shows, "hides": self.hides, "answers": self.answers}
        return {
            "cause": cause,
            "title": cause,
            "area": "example",
            "kind": "damage",
            "in_words": cause,
            "how_often": {"share": share, "basis": "source", "why": "the example's"},
            "remedies": self.cures_of(cause),
            "confirmed_by": [c for c in self.checks if c == f"test-{cause}"],
            **{name: by_cause[cause] for name, by_cause in links.items() if by_cause.get(cause)},
        }

    def _shares(self) -> dict[str, float]:
        """How often, up to a common factor: chances of exclusive causes, odds of independent ones."""
        weight = dict(self.chances) if self.exclusive else {c: p / (1.0 - p) for c, p in self.chances.items()}
        total = 2.0 * sum(weight.values())
        return {c: w / total for c, w in weight.items()}

    def _knobs(self) -> dict[str, object]:
        figures: dict[str, object] = {name: default for name, (_, _, default) in TABLE.items()}
        figures |= {  # the examples' witnesses are all alike and never slip
            "witness_slips": {"first": TINY, "second": TINY},
            "witness_levels": {"nobody here": {"first": 0.5, "second": 0.5}},
            "in_between": {"partly": 0.5, "sometimes": 0.5},
        }
        figures |= {"out_of_book": TINY, "sure_wrong": TINY, "hand_on_minutes": self.hand_on}
        p = list(self.chances.values())
        if self.exclusive:
            one = math.fsum(p)
            none = max(1.0 - one, 0.0)
            more = TINY
            figures["none"] = max((1.0 - TINY) * none * (1.0 - more) / (one + none * (1.0 - more)), TINY)
            figures["two_or_more"] = more
        else:
            odds = [q / (1.0 - q) for q in p]
            one, two, three = (math.fsum(math.prod(c) for c in combinations(odds, k)) for k in (1, 2, 3))
            figures["none"] = (1.0 - TINY) / (1.0 + one + two + three)
            figures["two_or_more"] = (two + three) / (one + two + three) if len(p) > 1 else TINY
        return {n: {"is": v, "basis": "source", "why": "the example's"} for n, v in figures.items()}


def _asked(name: str) -> dict[str, object]:
    return {"title": name, "ask": f"{name}?", "means": name}


def _step(name: str, minutes: float) -> dict[str, object]:
    return {"title": name, "why": name, "steps": [name], "minutes": minutes}


def _flow(value: object) -> str:
    """YAML on one line; numbers as plain decimals, which is all a book takes."""
    if isinstance(value, Mapping):
        return (
            "{" + ", ".join(f"{k if k.isidentifier() else json.dumps(k)}: {_flow(v)}" for k, v in value.items()) + "}"
        )
    if isinstance(value, float | int):
        return f"{value:.30f}"
    if isinstance(value, str):
        return json.dumps(value)
    assert isinstance(value, Sequence)
    return "[" + ", ".join(_flow(v) for v in value) + "]"


@dataclass(frozen=True)
class Job:
    """The loaded book, ready to be told something."""

    example: Example
    book: RuleBook
    model: Model

    def told(self, *answers: str) -> Seen:
        """Answers as ``sign+``, ``sign-`` or ``sign=answer``; none of them can be wrong."""
        findings = []
        for at, answer in enumerate(answers):
            sign, _, choice = answer.partition("=")
            findings.append(told(sign, choice, entry=at) if choice else told(sign[:-1], sign[-1], entry=at))
        return Seen(self, Evidence(tuple(findings)))


@dataclass(frozen=True)
class Seen:
    """What the engine believes after some answers, among the hypotheses that the example has."""

    job: Job
    evidence: Evidence

    @cached_property
    def belief(self) -> Belief:
        """The engine's own, with everything a book always has."""
        return belief(self.job.model, self.evidence)

    @cached_property
    def numbers(self) -> NDArray[np.intp]:
        """The rows of the belief that are hypotheses of the example."""
        rows = self.belief.rows
        size = (rows < len(self.belief.causes)).sum(axis=1)
        ours = np.ones(len(rows), dtype=bool)
        ours[-1] = False  # not in the book
        if self.job.example.exclusive:
            ours &= size <= 1
            ours[0] = math.fsum(self.job.example.chances.values()) < 1.0 - 1e-9
        return np.flatnonzero(ours)

    @cached_property
    def weights(self) -> Floats:
        """Chances of those hypotheses."""
        chosen = self.belief.weights[self.numbers]
        return np.asarray(chosen / chosen.sum())

    @cached_property
    def sets(self) -> list[frozenset[str]]:
        """The causes of each of those hypotheses."""
        names = (*self.belief.causes, "")
        return [frozenset(names[c] for c in self.belief.rows[n]) - {""} for n in self.numbers]

    def chance(self, *causes: str) -> float:
        """P(any of these causes)."""
        if not self.job.example.exclusive and len(causes) == 1:  # the exact sum over all sets, tiny ones included
            at = self.belief.causes.index(causes[0])
            return float(self.belief.marginal[at]) / (1.0 - self.belief.out_of_book)
        return math.fsum(w for w, s in zip(self.weights, self.sets, strict=True) if s & set(causes))

    def exactly(self, *causes: str) -> float:
        """P(these causes and no other)."""
        return float(self.weights[self.sets.index(frozenset(causes))])

    @property
    def probability(self) -> float:
        """P(all that was told)."""
        start = self.job.told()
        kept, kept_before = (float(s.belief.weights[s.numbers].sum()) for s in (self, start))
        return math.exp(self.belief.log_evidence) * kept / kept_before

    def table(self, sign: str) -> tuple[tuple[str, ...], Floats]:
        """Answers, and P(answer | hypothesis, what was told) without the slip."""
        answers, mixed = outcome_table(self.job.model, self.evidence, self.belief, self.numbers, Yield(sign))
        slip = self.job.book.knobs.sure_wrong
        other = slip / (len(answers) - 1)
        return answers, np.clip((mixed - other) / (1.0 - slip - other), 0.0, 1.0)

    def predicted(self, sign: str, answer: str = "present") -> float:
        """P(answer | what was told)."""
        answers, chances = self.table(sign)
        return float(self.weights @ chances[:, answers.index(answer)])

    def given(self, sign: str, *causes: str) -> float:
        """P(sign present | exactly these causes, what was told)."""
        return float(self.table(sign)[1][self.sets.index(frozenset(causes)), 0])

    @property
    def bits(self) -> float:
        """Entropy of the hypotheses."""
        return cost.entropy(self.weights) / math.log(2)

    def gain(self, sign: str) -> float:
        """Bits that asking about a sign would tell about the hypotheses."""
        return cost.information(self.weights, self.table(sign)[1]) / math.log(2)

    def proposal(self) -> Proposal:
        """What the engine would do next."""
        return propose(self.job.model, self.belief, self.evidence, Situation())
