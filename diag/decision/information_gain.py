"""What each check would tell about the remedy needed, per minute, and whether it saves more than it costs."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.decision.groups import Top
from diag.decision.policy import POLICY
from diag.decision.repair_price import Floats, joint_table, summed_entropy
from diag.rulebook.steps import Check, Yield

Table = tuple[tuple[str, ...], Floats]  # outcome labels, P(outcome | row)
TableOf = Callable[[Yield], Table]


@dataclass(frozen=True, slots=True)
class Prospect:
    """The outcomes of one check: ``chance`` (k,) of each and ``weights`` (rows, k), the posterior times the chance.

    ``labels`` names each outcome by sign or reading; empty when they were sampled.
    """

    check: Check
    weights: Floats
    chance: Floats
    labels: tuple[Mapping[str, str], ...]


@dataclass(frozen=True, slots=True)
class Score:
    """Gain in nats about the remedy needed, its rate per minute, and minutes saved on average (nan: not asked)."""

    gain: float
    minutes: float
    saving: float

    @property
    def rate(self) -> float:
        """Nats per minute."""
        return self.gain / self.minutes


def name_of(yield_: Yield) -> str:
    """How a yield is called in labels: the sign's id, or reading at point."""
    return yield_.sign or f"{yield_.reading} at {yield_.at}"


def prospect(check: Check, fresh: Sequence[Yield], top: Top, table_of: TableOf) -> Prospect | None:
    """All outcomes of a check together: exact when few, sampled with a seed made from its name when many."""
    tables = [(name_of(y), *table_of(y)) for y in fresh]
    tables = [(n, labels, t) for n, labels, t in tables if t.shape[1] > 1]
    if not tables:
        return None
    size = int(np.prod([t.shape[1] for _, _, t in tables]))
    if size <= POLICY.exact_outcomes:
        return _exact(check, tables, top)
    return _sampled(check, [t for _, _, t in tables], top)


def _exact(check: Check, tables: list[tuple[str, tuple[str, ...], Floats]], top: Top) -> Prospect:
    name, labels, joint = tables[0]
    named: list[dict[str, str]] = [{name: label} for label in labels]
    for name, labels, table in tables[1:]:
        joint = joint_table(joint, table)
        named = [{**old, name: label} for old in named for label in labels]
    weights = top.weights[:, None] * joint
    return Prospect(check, weights, weights.sum(axis=0), tuple(named))


def _sampled(check: Check, tables: list[Floats], top: Top) -> Prospect:
    seed = int.from_bytes(hashlib.sha256(check.id.encode()).digest()[:8], "big")
    uniform = np.random.default_rng(seed).random((POLICY.samples, len(tables)))
    rows = np.searchsorted(np.cumsum(top.weights), (np.arange(POLICY.samples) + 0.5) / POLICY.samples)
    rows = np.minimum(rows, len(top.weights) - 1)
    likelihood = np.ones((len(top.weights), POLICY.samples))
    for at, table in enumerate(tables):
        edges = np.cumsum(table[rows], axis=1)
        outcome = np.minimum((uniform[:, at, None] > edges).sum(axis=1), table.shape[1] - 1)
        likelihood *= table[:, outcome]
    weights = top.weights[:, None] * likelihood
    weights /= np.maximum(weights.sum(axis=0), 1e-300) * POLICY.samples
    return Prospect(check, weights, np.full(POLICY.samples, 1.0 / POLICY.samples), ())


def gains(prospects: Sequence[Prospect], top: Top) -> list[float]:
    """Expected fall of the summed entropy of the groups for each check, all in one pass."""
    if not prospects:
        return []
    before = top.prices.shares(top.weights[:, None])[:, 0]
    seen = np.flatnonzero(before >= POLICY.negligible)
    now = float(summed_entropy(before[seen]))
    stacked = np.concatenate([p.weights for p in prospects], axis=1)
    later = summed_entropy(top.prices.shares(stacked)[seen].T)
    result: list[float] = []
    start = 0
    for p in prospects:
        part = later[start : start + len(p.chance)]
        result.append(max(now - float(p.chance @ part), 0.0))
        start += len(p.chance)
    return result


def repair_now(top: Top) -> float:
    """Mean minutes of going straight to the remedies."""
    return float(top.prices.expected(top.weights[:, None])[0])


def saving(p: Prospect, top: Top, now: float, minutes: float) -> float:
    """Minutes saved on average by doing the check first: may be negative."""
    later = float(p.chance @ top.prices.expected(p.weights))
    return now - later - minutes


def sharpest(p: Prospect, top: Top, group: int) -> tuple[int, float]:
    """The outcome that would raise a group's chance most, and that chance; labels must not be empty."""
    shares: NDArray[np.float64] = top.prices.shares(p.weights)[group]
    best = int(np.argmax(np.where(p.chance > 0.01, shares, -1.0)))
    return best, float(shares[best])
