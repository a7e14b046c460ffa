"""The stated model written out the slow way, set by set and node by node, to hold the fast engine against."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import combinations, product

from diag.inference.evidence import Finding
from diag.rulebook.findings import PRESENT
from diag.rulebook.model import RuleBook


def noisy_or(book: RuleBook, name: str, present: Sequence[str]) -> float:
    """P(node | present causes)."""
    chance = book.signs[name].chance if name in book.signs else book.states[name].chance
    absent = 1.0 - chance
    kept = 1.0
    for cause in present:
        absent *= 1.0 - book.causes[cause].shows.get(name, 0.0)
        kept *= 1.0 - book.causes[cause].hides.get(name, 0.0)
    return (1.0 - absent) * kept


def likelihood(book: RuleBook, findings: Sequence[Finding], present: Sequence[str]) -> float:
    """P(answers | present causes): every hidden state summed out by brute force."""
    states = list(book.states)
    total = 0.0
    for setting in product((False, True), repeat=len(states)):
        weight = 1.0
        for name, is_on in zip(states, setting, strict=True):
            p = noisy_or(book, name, present)
            weight *= p if is_on else 1.0 - p
        on = [name for name, is_on in zip(states, setting, strict=True) if is_on]
        for sign in {f.sign for f in findings}:
            weight *= _sign(book, [f for f in findings if f.sign == sign], present, on)
        total += weight
    return total


def _sign(book: RuleBook, findings: Sequence[Finding], present: Sequence[str], states: Sequence[str]) -> float:
    sign = book.signs[findings[0].sign]
    if sign.choices:
        rows = [book.causes[c].answers[sign.id] for c in present if sign.id in book.causes[c].answers]
        others = len(sign.choices) - 1
        total = 0.0
        for answer in sign.choices:
            p = sum(row[answer.id] for row in rows) / len(rows) if rows else answer.usual
            total += p * math.prod(1 - f.wrong if f.answer == answer.id else f.wrong / others for f in findings)
        return total
    p = noisy_or(book, sign.id, present)
    absent = 1.0 - p
    for name in states:
        absent *= 1.0 - book.states[name].seen_as.get(sign.id, 0.0)
    on = math.prod(1 - f.wrong if f.answer == PRESENT else f.wrong for f in findings)
    made_up = [f.own_wrong + f.invents * (f.wrong - f.own_wrong) for f in findings]
    off = math.prod(m if f.answer == PRESENT else 1 - m for m, f in zip(made_up, findings, strict=True))
    return on * (1.0 - absent) + off * absent


def prior(book: RuleBook, most: int = 3, denied: frozenset[str] = frozenset()) -> dict[tuple[str, ...], float]:
    """P(set) for all sets of up to ``most`` causes; the scale of the odds found by bisection.

    Args:
        denied: contexts told not to hold.
    """
    share = {c: cause.how_often.share * _unbrought(book, c, denied) for c, cause in book.causes.items()}
    products = [
        [math.prod(share[c] for c in group) for group in combinations(share, size)] for size in range(1, most + 1)
    ]
    sums = [math.fsum(p) for p in products]
    low, high = 1e-9, 1e9
    for _ in range(400):
        middle = math.sqrt(low * high)
        scaled = [s * middle**n for n, s in enumerate(sums, 1)]
        low, high = (middle, high) if sum(scaled[1:]) / sum(scaled) < book.knobs.two_or_more else (low, middle)
    some = 1.0 - book.knobs.none - book.knobs.out_of_book
    weight = {
        group: math.prod(share[c] * low for c in group)
        * math.prod(_brings(book, *pair) for pair in combinations(group, 2))
        for size in range(1, most + 1)
        for group in combinations(share, size)
    }
    total = math.fsum(weight.values())
    return {(): book.knobs.none, **{group: some * w / total for group, w in weight.items()}}


def _unbrought(book: RuleBook, cause: str, denied: frozenset[str], least: float = 0.08) -> float:
    """By how much a cause is rarer among jobs with none of these contexts: every way into it written out.

    A job comes by one context or by none of them. Among jobs of the cause the context comes up as often as among all
    jobs, times the book's factor; what is left over came by none.
    """
    factors = book.causes[cause].more_likely_when
    ways = [x for x in denied if factors.get(x, 1.0) > 1.0 and book.contexts[x].how_often is not None]
    anybody = {x: found.share for x in ways if (found := book.contexts[x].how_often) is not None}
    here = {x: anybody[x] * factors[x] for x in ways}
    by_none = 1.0 - math.fsum(here.values())
    return max(by_none, least) / (1.0 - math.fsum(anybody.values())) if ways else 1.0


def _brings(book: RuleBook, one: str, other: str) -> float:
    """How much likelier two causes are together than by chance."""
    return book.causes[one].leads_to.get(other, book.causes[other].leads_to.get(one, 1.0))


def posterior(book: RuleBook, findings: Sequence[Finding]) -> tuple[Mapping[str, float], float]:
    """Chance per cause, and of nothing wrong, for a book whose ``out_of_book`` is zero."""
    joint = {group: p * likelihood(book, findings, group) for group, p in prior(book).items()}
    total = math.fsum(joint.values())
    marginal = {c: math.fsum(w for group, w in joint.items() if c in group) / total for c in book.causes}
    return marginal, joint[()] / total
