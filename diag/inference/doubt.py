"""Which answer to ask again: the one that is likeliest wrong among those that matter.

For every answer given, the chance that it is wrong after everything that was told,

    P(answer j wrong | all) = sum over levels l and sets H of P(l, H | all) * w_l P(not a_j | H) / P(answer j | H, w_l),

here with the mean slip of its witness, which is what the posterior knows of the level; and what asking it again is
worth: the mutual information, in nats, between the second answer and the set of causes (``outcome_table`` gives the
second answer its smaller slip). An answer can be asked again in other words, or a measurement can take its place.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diag.inference.evidence import Evidence, Finding
from diag.inference.fault_sets import Floats, Ints
from diag.inference.model import Model
from diag.inference.posterior import Belief
from diag.inference.predictive import outcome_table
from diag.rulebook.steps import Yield

ROWS = 60  # likeliest sets of causes that are looked at; the rest carries next to nothing


@dataclass(frozen=True)
class Doubt:
    """An answer in doubt: the entry and sign, the chance that it is wrong, and nats about the causes if asked again."""

    entry: int
    sign: str
    wrong: float
    nats: float


def doubts(model: Model, evidence: Evidence, belief: Belief, rows: Ints | None = None) -> list[Doubt]:
    """Every answer that holds now and was asked once, those first that are worth most to ask again.

    Left out: answers given before the last change of the car, which say nothing of it as it is; what was passed on
    from others; what was told as lying between yes and no; wet places, which have a wall of their own; and signs that
    the physics decides, whose misses and false reports are the person's and would come again.

    Args:
        rows: numbers of the rows of the belief that are looked at, sorted; the likeliest where none are named.
    """
    now = len(evidence.epochs) - 1
    if rows is None:
        rows = np.sort(np.argsort(-belief.weights, kind="stable")[:ROWS])
    weights = belief.weights[rows] / belief.weights[rows].sum()
    found = [
        _doubt(model, evidence, belief, rows, weights, finding)
        for finding in evidence.findings
        if finding.epoch == now and _in_question(finding, model)
        if sum(f.sign == finding.sign and f.epoch == now for f in evidence.findings) == 1
    ]
    return sorted(found, key=lambda one: (-one.nats, one.entry))


def _in_question(finding: Finding, model: Model) -> bool:
    """Whether this answer may be put in doubt: a plain one, of a witness, about a sign that is told in words."""
    told_in_words = finding.sign not in model.words.physical and not model.book.signs[finding.sign].wet
    return finding.witness >= 0 and finding.between is None and told_in_words


def _doubt(model: Model, evidence: Evidence, belief: Belief, rows: Ints, weights: Floats, finding: Finding) -> Doubt:
    asked = Yield(sign=finding.sign)
    labels, again = outcome_table(model, evidence, belief, rows, asked)
    overall = weights @ again
    wrong = 1.0 - sum(float(overall[labels.index(answer)]) for answer in finding.choices)
    gained = float((weights[:, None] * again * np.log(np.maximum(again, 1e-300) / np.maximum(overall, 1e-300))).sum())
    return Doubt(finding.entry, finding.sign, round(wrong, 6), round(max(gained, 0.0), 6))
