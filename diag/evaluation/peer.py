"""The same hypothesis space as a Bayesian network of a general-purpose library (pyAgrum), for comparison only.

The library is a test dependency: nothing else in the program needs it, and without it ``available`` says no.

Causes are independent with odds o; a chain of counters adds them up and a last node, observed, gives every count the
factor that makes the product equal to the stated prior on sets: so the library does exact inference on the very same
model, by its own means.
"""

from __future__ import annotations

from collections.abc import Sequence
from importlib import import_module
from importlib.util import find_spec
from typing import Any

import numpy as np
from numpy.typing import NDArray

from diag.inference.evidence import Finding
from diag.inference.prior import elementary, scale_for
from diag.rulebook.model import RuleBook

MOST = 3


def available() -> bool:
    """Whether the library is installed."""
    return find_spec("pyagrum") is not None


def library() -> Any:
    """The library's module."""
    return import_module("pyagrum")


def network(book: RuleBook, findings: Sequence[Finding], counted: bool = True) -> Any:
    """A network over the causes and the signs that were asked about (others would only be summed out).

    Args:
        counted: with the prior on the number of faults; else with independent causes only.
    """
    gum = library()
    net = gum.BayesNet("book")
    names = list(book.causes)
    odds = np.array([c.how_often.share for c in book.causes.values()])
    odds = odds * scale_for(odds, book.knobs.two_or_more)
    for name, o in zip(names, odds, strict=True):
        net.add(gum.LabelizedVariable(name, name, 2))
        net.cpt(name).fillWith([1.0 / (1.0 + o), o / (1.0 + o)])
    asked = {f.sign for f in findings}
    for sign in sorted(asked):
        net.addNoisyORNet(gum.LabelizedVariable(sign, sign, 2), book.signs[sign].chance)
        for name in names:
            strength = book.causes[name].shows.get(sign, 0.0)
            if strength > 0.0:
                net.addWeightedArc(name, sign, strength)
    if counted:
        _counter(net, names, odds, book.knobs.none)
    return net


def _counter(net: Any, names: Sequence[str], odds: NDArray[np.float64], none: float) -> None:
    """n0 = c0; n_i = min(n_(i-1) + c_i, 4); then "fits", whose chance per count carries the prior on the number."""
    gum = library()
    last = names[0]
    for at, name in enumerate(names[1:], 1):
        counter = f"count{at}"
        before = 2 if at == 1 else MOST + 2
        net.add(gum.LabelizedVariable(counter, counter, MOST + 2))
        net.addArc(last, counter)
        net.addArc(name, counter)
        for n in range(before):
            for c in range(2):
                row = [0.0] * (MOST + 2)
                row[min(n + c, MOST + 1)] = 1.0
                net.cpt(counter)[{last: n, name: c}] = row
        last = counter
    net.add(gum.LabelizedVariable("fits", "fits", 2))
    net.addArc(last, "fits")
    some = (1.0 - none) / sum(elementary(odds))
    factors = np.array([none, some, some, some, 0.0])
    factors /= factors.max()
    for n in range(MOST + 2):
        net.cpt("fits")[{last: n}] = [1.0 - factors[n], factors[n]]


def soft_evidence(findings: Sequence[Finding]) -> dict[str, list[float] | int]:
    """Answers that may be wrong, as likelihoods of (absent, present)."""
    result: dict[str, list[float] | int] = {}
    for f in findings:
        says, denies = f.sides(f.wrong)
        result[f.sign] = [denies, says]
    return result


def posteriors(net: Any, names: Sequence[str], findings: Sequence[Finding]) -> NDArray[np.float64]:
    """P(cause present) by the library's lazy propagation, with targets set (else it would keep every node)."""
    engine = library().LazyPropagation(net)
    engine.setTargets(set(names))
    counted: dict[str, list[float] | int] = {"fits": 1} if "fits" in net.names() else {}
    engine.setEvidence(soft_evidence(findings) | counted)
    engine.makeInference()
    return np.array([engine.posterior(name)[1] for name in names])
