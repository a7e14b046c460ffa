"""How likely each set of causes is before anything was seen.

``how_often`` is the share of a cause among jobs with exactly one fault. Taken as independent chances those shares
would sum to one and make two jobs in five doubles, so the odds are scaled until the wanted share of faulty jobs
has two or more; "nothing wrong" and "not in the book" have their own stated chances. Context factors multiply the
odds before the scaling, so that a car with much done to it does not grow more faults, only other ones.

What a car is told not to have been through speaks as well. Where the book says how often a context holds (q) and a
cause is m times as likely in it, the share m q of that cause's jobs comes with the context, and the rest without it.
Ways into one fault seldom come together (a fitting is new because lines were made, or because the regulator was), so
their shares add up: with contexts denied, the cause keeps (1 - sum of m q) / (1 - sum of q) of its odds, and never
less than ``LEFT`` of its jobs, since work is forgotten. Nothing is taken from a cause of which one context is told to
hold, since then the fault has its reason.

A sizing cause is a fact about the car as built. The known fields of the car are evidence about it: they move its
odds by the ratio of how often the fault-free draws of this car meet its condition to how often those of an unknown
car do. With nothing known the ratio is one and ``how_often`` stands; with everything known the draws decide. Two
sizing conditions that cannot hold together (the drop is mostly in the return, mostly in the seat) share their draws,
so a pair of them is weighed by how often the draws meet both.

Some faults bring others: dirt wears the pump, a gauge that reads low makes somebody turn the screw. Such a pair weighs
its two odds times the factor that the book states (``leads_to``).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from diag.inference.fault_sets import Floats, Ints
from diag.rulebook.built import denied, lacks_of
from diag.rulebook.causes import Cause
from diag.rulebook.model import Knobs, RuleBook


@dataclass(frozen=True)
class Prior:
    """Log chances: a set's is ``log_some`` plus its members' ``log_odds`` (C,). ``shares`` (C,): of single faults.

    ``log_told`` (C,), where a complaint opened the job, is what each cause lost in ``log_odds`` because just this
    symptom was told first of all that it shows: minus the log of the effective number of its symptoms. Symptoms of
    two causes add and do not multiply, so a set gets back what its members lost too often (``told_weights``).
    """

    log_none: float
    log_out: float
    log_some: float
    log_odds: Floats
    shares: Floats
    log_pairs: Mapping[tuple[int, int], float]  # what a pair weighs besides its odds
    log_told: Floats | None = None

    def told_weights(self, *members: Ints) -> Floats:
        """Log weight that sets of several cause indices get back of the first complaint's: (m,) each to (m,).

        Of N symptoms the one told is picked with chance 1/N. Counted from those of a sound car, one cause has n, so
        its weight is 1/n; causes with n and m have n + m - 1 together, so their weight is not 1/(n m).
        """
        if self.log_told is None:
            return np.zeros(len(members[0]))
        count = np.exp(-self.log_told)
        together = sum(count[each] for each in members) - (len(members) - 1.0)
        lost = sum(self.log_told[each] for each in members)
        most = np.maximum.reduce([count[each] for each in members])
        return np.asarray(-np.log(np.maximum(together, most)) - lost)

    def pair_weights(self, first: Ints, second: Ints) -> Floats:
        """Log weight of pairs of cause indices besides their odds: (m,)."""
        if not self.log_pairs:
            return np.zeros(len(first))
        return np.asarray(self._pair_table[first, second])

    @cached_property
    def _pair_table(self) -> Floats:
        size = len(self.log_odds)
        table = np.zeros((size, size))
        for (i, j), weight in self.log_pairs.items():
            table[i, j] = table[j, i] = weight
        return table


@dataclass(frozen=True)
class Sizing:
    """What the base draws say about sizing causes, by cause index.

    ``shares``: share of draws that meet the condition, for this car and for an unknown one. ``together``: for two
    causes, how much less often both hold than if they were independent.
    """

    shares: Mapping[int, tuple[float, float]] = field(default_factory=dict)
    together: Mapping[tuple[int, int], float] = field(default_factory=dict)


def elementary(odds: Floats) -> tuple[float, float, float]:
    """Sums over all single, double and triple products of the odds (Newton's identities)."""
    p1, p2, p3 = float(odds.sum()), float((odds**2).sum()), float((odds**3).sum())
    return p1, max((p1 * p1 - p2) / 2.0, 0.0), max((p1**3 - 3.0 * p1 * p2 + 2.0 * p3) / 6.0, 0.0)


def scale_for(odds: Floats, two_or_more: float) -> float:
    """The factor on the odds at which this share of non-empty sets (of up to three) has two or more members."""
    e1, e2, e3 = elementary(odds)
    if e2 <= 0.0 or e1 <= 0.0:
        return 1.0 / e1 if e1 > 0.0 else 1.0
    # share = (s e2 + s^2 e3) / (e1 + s e2 + s^2 e3): a quadratic in s with one positive root
    a, b, c = (1.0 - two_or_more) * e3, (1.0 - two_or_more) * e2, -two_or_more * e1
    return float(2.0 * -c / (b + np.sqrt(b * b - 4.0 * a * c)))


def usual_contexts(book: RuleBook) -> dict[str, float]:
    """The contexts of which the book says in what share of jobs they hold."""
    return {name: found.how_often.share for name, found in book.contexts.items() if found.how_often is not None}


def prior_of(
    causes: Mapping[str, Cause],
    knobs: Knobs,
    contexts: Mapping[str, bool],
    sizing: Sizing,
    context_shares: Mapping[str, float] | None = None,
) -> Prior:
    """The prior over sets.

    Args:
        contexts: which contexts hold and which do not; one that is unknown changes nothing.
        sizing: what the fault-free draws say about sizing causes.
        context_shares: in what share of jobs a context holds; one that is not named changes nothing when it is denied.
    """
    odds = np.array([_odds(cause, contexts, context_shares or {}) for cause in causes.values()], dtype=float)
    odds = odds * scale_for(odds, knobs.two_or_more)
    none = knobs.none
    for index, (here, usual) in sizing.shares.items():
        moved = _odds_of(here) / _odds_of(usual)
        odds[index] *= moved
        none *= min(1.0, (1.0 - here + SOFT) / (1.0 - usual + SOFT))
    some = max(1.0 - none - knobs.out_of_book, TINIEST)
    together = {**sizing.together, **_brought(causes)}
    pairs = {key: float(np.log(factor)) for key, factor in together.items()}
    total = _total(odds, together) or 1.0
    with np.errstate(divide="ignore"):
        log_odds = np.log(odds)
        log_none, log_out = float(np.log(none)), float(np.log(knobs.out_of_book))
    shares = odds / odds.sum() if odds.sum() > 0.0 else odds
    return Prior(log_none, log_out, float(np.log(some / total)), log_odds, shares, pairs)


def _brought(causes: Mapping[str, Cause]) -> dict[tuple[int, int], float]:
    """Pairs of causes of which one brings the other, with their factor."""
    place = {name: at for at, name in enumerate(causes)}
    named = [(name, other, factor) for name, cause in causes.items() for other, factor in cause.leads_to.items()]
    found = ((place[name], place[other], factor) for name, other, factor in named if other in place)
    return {(min(i, j), max(i, j)): factor for i, j, factor in found}


TINIEST = 1e-12
SOFT = 0.005
"""Added to a share and to its complement before they are compared: a few draws in a thousand prove nothing."""


def _odds_of(share: float) -> float:
    return (share + SOFT) / (1.0 - share + SOFT)


def _total(odds: Floats, together: Mapping[tuple[int, int], float]) -> float:
    """Sum of the weights of all non-empty sets of up to three; ``together`` are the pairs that are not independent."""
    if not together:
        return sum(elementary(odds))
    joined = sorted({index for pair in together for index in pair})
    plain, sized = elementary(np.delete(odds, joined)), elementary(odds[joined])
    place = {index: at for at, index in enumerate(joined)}
    both = np.multiply.outer(odds[joined], odds[joined])
    factor = np.ones_like(both)
    for (i, j), times in together.items():
        factor[place[i], place[j]] = factor[place[j], place[i]] = times
    np.fill_diagonal(factor, 0.0)
    doubles = float((both * factor).sum()) / 2.0
    # The sum over i, j, k of what each pair weighs is the trace of the third power of the weights' matrix.
    root = np.sqrt(odds[joined])
    weights = factor * np.multiply.outer(root, root)
    triples = float(np.trace(weights @ weights @ weights)) / 6.0
    ones = plain[0] + sized[0]
    twos = plain[1] + plain[0] * sized[0] + doubles
    threes = plain[2] + plain[1] * sized[0] + plain[0] * doubles + triples
    return float(ones + twos + threes)


LEFT = 0.08
"""The least share of a cause's jobs in which none of its contexts holds, or was thought of: judgement."""


def _odds(cause: Cause, contexts: Mapping[str, bool], usual: Mapping[str, float]) -> float:
    if denied(cause.fits, lacks_of(contexts)):
        return 0.0
    result = cause.how_often.share
    for context, factor in cause.more_likely_when.items():
        if contexts.get(context):
            result *= factor
    return result * _without(cause, contexts, usual)


def _without(cause: Cause, contexts: Mapping[str, bool], usual: Mapping[str, float]) -> float:
    """What is left of a cause's odds with some of the contexts denied of which it comes."""
    ways = {name: factor for name, factor in cause.more_likely_when.items() if factor > 1.0 and name in usual}
    no = [name for name in ways if contexts.get(name) is False]
    if not no or any(contexts.get(name) for name in ways):
        return 1.0
    shown = sum(ways[name] * usual[name] for name in no)
    return min(1.0, max(1.0 - shown, LEFT) / max(1.0 - sum(usual[name] for name in no), LEFT))
