"""What to believe after everything that was told: a pure function of model and evidence."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from diag.inference.evidence import Evidence
from diag.inference.fault_sets import (
    MOST,
    Columns,
    Floats,
    Ints,
    columns,
    layout,
)
from diag.inference.model import Model
from diag.inference.noisy_or import stages_of
from diag.inference.prior import Prior
from diag.inference.set_likelihood import Likelihoods, PairPrior, cures_of, likelihoods, pair_prior
from diag.inference.witness import Levels, levels_of, slip_now

NOTHING_WRONG = "nothing-wrong"
NOT_IN_BOOK = "not-in-book"
DIGITS = 6  # posteriors are rounded to 1e-6, so that runs on other machines agree
ROW_FLOOR = 1e-7  # sets below this are left out of the rows handed on, never out of the sums
MOST_ROWS = 1500


@dataclass(frozen=True, eq=False)
class Belief:
    """The posterior.

    ``rows`` (R, 3) holds sets of causes *still present now*, as indices into ``causes``, filled up with C. Row 0 is
    the empty set, the last row is "not in the book" (also all C); ``weights`` (R,) sum to one. ``marginal`` (C,) is
    the chance that a cause is present now, ``ever`` (C,) that it was at some time of this job. ``levels`` (L,) is what
    to believe of the joint level of the witnesses, and ``slip`` the chance that the next sure answer is wrong (None
    where nobody is known to answer).
    """

    rows: Ints
    weights: Floats
    causes: tuple[str, ...]
    marginal: Floats
    ever: Floats
    nothing: float
    out_of_book: float
    log_evidence: float
    levels: Floats = field(default_factory=lambda: np.ones(1))
    slip: float | None = None

    def ranked(self) -> list[tuple[str, float]]:
        """Every cause with its chance, and the two exits "nothing-wrong" and "not-in-book"; likeliest first."""
        pairs = [(cause, round(float(p), DIGITS)) for cause, p in zip(self.causes, self.marginal, strict=True)]
        pairs.append((NOTHING_WRONG, round(self.nothing, DIGITS)))
        pairs.append((NOT_IN_BOOK, round(self.out_of_book, DIGITS)))
        return sorted(pairs, key=lambda pair: (-pair[1], pair[0]))


def belief(model: Model, evidence: Evidence) -> Belief:
    """The exact posterior over sets of up to three causes, the empty set and "not in the book".

    Raises:
        UnknownNameError: the evidence names a sign, answer, reading or point that the book does not have.
    """
    stages = stages_of(evidence)
    prior = model.prior(evidence.contexts)
    if evidence.complaint:
        causes, out = model.told_first(evidence.complaint)
        prior = replace(prior, log_odds=prior.log_odds + causes, log_out=prior.log_out + out, log_told=causes)
    cols = columns(len(model.causes), cures_of(model, evidence, stages))
    levels = levels_of(evidence)
    pairs = pair_prior(prior, cols)
    logs = likelihoods(model, evidence, prior, cols, stages, levels, pairs)
    return _posterior(model, evidence, prior, cols, logs, stages[-1], levels, pairs)


def _posterior(
    model: Model,
    evidence: Evidence,
    prior: Prior,
    cols: Columns,
    logs: Likelihoods,
    stage: int,
    levels: Levels,
    pairs: PairPrior,
) -> Belief:
    every, of_level, log_evidence = _weights(prior, cols, logs, levels, pairs)
    families = _families(cols, logs.keep)
    ever, marginal = _marginals(cols, families, every, stage)
    rows, weights = _rows(cols, families, every, stage)
    return Belief(
        rows,
        weights,
        model.causes,
        marginal,
        ever,
        float(weights[0]),
        float(every[-1]),
        log_evidence,
        of_level,
        slip_now(evidence, levels, of_level),
    )


def _weights(
    prior: Prior, cols: Columns, logs: Likelihoods, levels: Levels, pairs: PairPrior
) -> tuple[Floats, Floats, float]:
    """Posterior weight of every set (in the order of ``_families``, then "not in the book") and level; log evidence."""
    plan = layout(len(cols.base))
    weight = prior.log_odds[cols.base] + cols.log_weight
    small = layout(len(logs.keep))
    threes = small.triples.total(weight[logs.keep])
    if prior.log_pairs or not cols.plain:
        kept = pairs.joint[logs.pair_ranks]
        threes += sum(kept[rank] for rank in small.triple_pairs)
    kept_causes = cols.base[logs.keep]
    threes += prior.told_weights(*(kept_causes[member] for member in small.triples.members))
    twos = plan.pairs.total(weight) + pairs.joint + pairs.told
    before = np.concatenate([[prior.log_none - prior.log_some], weight, twos, threes])
    before += prior.log_some
    size = len(before)
    every = np.empty((levels.count, size + 1))
    np.concatenate([logs.nothing[:, None], logs.singles, logs.pairs, logs.triples], axis=1, out=every[:, :size])
    every[:, :size] += before
    every[:, size] = logs.out + prior.log_out
    every += levels.log_share[:, None]
    top = float(every.max())
    every -= top
    np.exp(every, out=every)
    total = float(every.sum())
    every /= total
    return every.sum(axis=0), every.sum(axis=1), top + float(np.log(total))


def _families(cols: Columns, keep: Ints) -> tuple[tuple[Ints, ...], ...]:
    """Members of all sets in the order of the posterior: the empty set, singles, pairs, triples (column indices)."""
    plan, small = layout(len(cols.base)), layout(len(keep))
    triples = small.triples.members if len(keep) == len(cols.base) else tuple(keep[m] for m in small.triples.members)
    return (), plan.singles.members, plan.pairs.members, triples


def _sizes(families: tuple[tuple[Ints, ...], ...]) -> list[int]:
    return [len(members[0]) if members else 1 for members in families]


def _marginals(
    cols: Columns, families: tuple[tuple[Ints, ...], ...], every: Floats, stage: int
) -> tuple[Floats, Floats]:
    """Chance per cause of being in the set at all, and of still being there: (C,) each."""
    per_column = np.zeros(len(cols.base))
    at = 0
    for members, count in zip(families, _sizes(families), strict=True):
        for member in members:
            per_column += np.bincount(member, every[at : at + count], len(per_column))
        at += count
    ever = np.bincount(cols.base, per_column, cols.causes)
    now = np.bincount(cols.base, np.where(cols.active(stage), per_column, 0.0), cols.causes)
    return np.asarray(ever, dtype=float), np.asarray(now, dtype=float)


def _rows(cols: Columns, families: tuple[tuple[Ints, ...], ...], every: Floats, stage: int) -> tuple[Ints, Floats]:
    """The sets worth handing on, by what is still there now, with weights that sum to one."""
    size = len(cols.base)
    keep = np.flatnonzero(every[:-1] > ROW_FLOOR)
    if len(keep) > MOST_ROWS:
        keep = np.sort(keep[np.argpartition(-every[keep], MOST_ROWS)[:MOST_ROWS]])
    keep = np.union1d(keep, np.arange(1 + size))
    chosen = np.full((len(keep), MOST), size, dtype=np.intp)
    start = 0
    for members, count in zip(families, _sizes(families), strict=True):
        here = np.flatnonzero((keep >= start) & (keep < start + count))
        for slot, member in enumerate(members):
            chosen[here, slot] = member[keep[here] - start]
        start += count
    now = np.append(np.where(cols.active(stage), cols.base, cols.causes), cols.causes)
    rows = now[chosen]
    weights = every[keep]
    if not cols.plain:
        rows, where = np.unique(np.sort(rows, axis=1), axis=0, return_inverse=True)
        weights = np.asarray(np.bincount(where.ravel(), weights, len(rows)), dtype=float)
        order = np.lexsort((*rows.T[::-1], (rows < cols.causes).sum(axis=1)))
        rows, weights = rows[order], weights[order]
    rows = np.vstack([rows, np.full((1, MOST), cols.causes, dtype=np.intp)])
    weights = np.append(weights, every[-1])
    return rows, weights / weights.sum()
