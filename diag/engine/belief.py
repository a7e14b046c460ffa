"""What to believe after everything that was told: a pure function of model and evidence."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from diag.engine.evidence import Evidence
from diag.engine.hypotheses import (
    MOST,
    Columns,
    Cure,
    Floats,
    Ints,
    columns,
    joined_triples,
    layout,
    pick,
    same_cause_pairs,
    triples_from_pairs,
)
from diag.engine.model import Model
from diag.engine.physics_evidence import PhysicsTerms
from diag.engine.priors import Prior, prior_of
from diag.engine.words import Told, gather, linked_groups, log_likelihood, not_in_book, stages_of

NOTHING_WRONG = "nothing-wrong"
NOT_IN_BOOK = "not-in-book"
DIGITS = 6  # posteriors are rounded to 1e-6, so that runs on other machines agree
LIVE = 1e-3  # a cause below this is not worth a pair's prediction
ROW_FLOOR = 1e-7  # sets below this are left out of the rows handed on, never out of the sums
MOST_ROWS = 1500


@dataclass(frozen=True)
class Misfit:
    """How badly the worst entry fits: ``surprise`` in log10 units above what the model expects, 0 when none."""

    surprise: float
    entry: int | None


@dataclass(frozen=True, eq=False)
class Belief:
    """The posterior.

    ``rows`` (R, 3) holds sets of causes *still present now*, as indices into ``causes``, filled up with C. Row 0 is
    the empty set, the last row is "not in the book" (also all C); ``weights`` (R,) sum to one. ``marginal`` (C,) is
    the chance that a cause is present now, ``ever`` (C,) that it was at some time of this job.
    """

    rows: Ints
    weights: Floats
    causes: tuple[str, ...]
    marginal: Floats
    ever: Floats
    nothing: float
    out_of_book: float
    log_evidence: float
    _misfit: Callable[[], Misfit] = field(repr=False, compare=False)

    def ranked(self) -> list[tuple[str, float]]:
        """Every cause with its chance, and the two exits "nothing-wrong" and "not-in-book"; likeliest first."""
        pairs = [(cause, round(float(p), DIGITS)) for cause, p in zip(self.causes, self.marginal, strict=True)]
        pairs.append((NOTHING_WRONG, round(self.nothing, DIGITS)))
        pairs.append((NOT_IN_BOOK, round(self.out_of_book, DIGITS)))
        return sorted(pairs, key=lambda pair: (-pair[1], pair[0]))

    @cached_property
    def misfit(self) -> Misfit:
        """The entry that fits least with all the others. Computed when first asked for."""
        return self._misfit()

    @property
    def surprise(self) -> float:
        """How many powers of ten the least fitting entry is rarer than the model expects of such an entry."""
        return self.misfit.surprise

    @property
    def least_fitting_entry(self) -> int | None:
        """The number of the entry to repeat first, when something was told at all."""
        return self.misfit.entry


@dataclass(frozen=True)
class Likelihoods:
    """Log-likelihood of all evidence per set of columns: empty set, singles (V,), pairs (P,), triples (T,)."""

    nothing: float
    singles: Floats
    pairs: Floats
    triples: Floats
    out: float


def cures_of(model: Model, evidence: Evidence, stages: Sequence[int]) -> list[Cure]:
    """The cures that the epochs tell of; ids that the book no longer has are skipped."""
    return [
        Cure(stage, model.index[cause], epoch.botch)
        for epoch, stage in zip(evidence.epochs, stages, strict=True)
        for cause in sorted(epoch.cured)
        if cause in model.index
    ]


def likelihoods(model: Model, evidence: Evidence, prior: Prior, cols: Columns, stages: Sequence[int]) -> Likelihoods:
    """Words and readings together, for every set of up to three columns."""
    plan = layout(len(cols.base))
    told = gather(model.words, evidence.findings, stages)
    nothing, singles, pairs = (
        log_likelihood(model.words, told, cols, sets) for sets in (plan.nothing, plan.singles, plan.pairs)
    )
    out = not_in_book(model.words, told, prior.shares)
    terms = model.physics.terms(evidence, cols, stages) if model.physics is not None else None
    if terms is not None:
        _solve_live_pairs(terms, prior, cols, float(nothing[0]), singles, pairs)
        out += terms.not_in_book(prior.shares)
    triples = _triples(model, told, cols, terms, (float(nothing[0]), singles, pairs))
    if terms is not None:
        nothing, singles, pairs = nothing + terms.nothing, singles + terms.singles, pairs + terms.pairs
    return Likelihoods(float(nothing[0]), singles, pairs, triples, out)


def _triples(
    model: Model, told: Told, cols: Columns, terms: PhysicsTerms | None, words: tuple[float, Floats, Floats]
) -> Floats:
    size = len(cols.base)
    plan = layout(size)
    nothing, singles, pairs = words
    if not plan.triples.count:
        return np.empty(0)
    joined = joined_triples(size, linked_groups(model.words, told, cols))
    if len(joined) == plan.triples.count:
        result = log_likelihood(model.words, told, cols, plan.triples)
    else:
        result = triples_from_pairs(nothing, singles, pairs)
        result[joined] = log_likelihood(model.words, told, cols, pick(plan.triples, joined))
    if terms is not None:
        result += terms.triples()
    return result


def _solve_live_pairs(
    terms: PhysicsTerms, prior: Prior, cols: Columns, nothing: float, singles: Floats, pairs: Floats
) -> None:
    """Predict the readings of two physical causes together, where both may still be present."""
    i, j = layout(len(cols.base)).pairs.members
    weight = prior.log_some + prior.log_odds[cols.base] + cols.log_weight
    lone = weight + singles + terms.singles
    both = weight[i] + weight[j] - prior.log_some + pairs + terms.pairs
    both += prior.pair_weights(cols.base[i], cols.base[j])
    both[same_cause_pairs(cols)] = -np.inf
    empty = prior.log_none + nothing + terms.nothing
    top = max(empty, lone.max(initial=-np.inf), both.max(initial=-np.inf))
    chance, double = np.exp(lone - top), np.exp(both - top)
    total = chance.sum() + double.sum() + np.exp(empty - top)
    chance += np.bincount(i, double, len(lone)) + np.bincount(j, double, len(lone))
    terms.solve_pairs(chance / total, double / total, LIVE)


def belief(model: Model, evidence: Evidence) -> Belief:
    """The exact posterior over sets of up to three causes, the empty set and "not in the book".

    Raises:
        UnknownNameError: the evidence names a sign, answer, reading or point that the book does not have.
    """
    stages = stages_of(evidence)
    prior = prior_of(model.book.causes, model.book.knobs, model.contexts(evidence.contexts), model.sizing)
    cols = columns(len(model.causes), cures_of(model, evidence, stages))
    logs = likelihoods(model, evidence, prior, cols, stages)
    return _posterior(model, evidence, prior, cols, logs, stages[-1])


def _posterior(
    model: Model, evidence: Evidence, prior: Prior, cols: Columns, logs: Likelihoods, stage: int
) -> Belief:
    from diag.engine.explain import misfit  # explain recomputes beliefs, so it sits above this module

    plan = layout(len(cols.base))
    weight = prior.log_odds[cols.base] + cols.log_weight
    singles = logs.singles + weight
    pairs = logs.pairs + plan.pairs.total(weight)
    triples = logs.triples + plan.triples.total(weight)
    if prior.log_pairs:
        i, j = plan.pairs.members
        joint = prior.pair_weights(cols.base[i], cols.base[j])
        pairs += joint
        triples += sum(joint[rank] for rank in plan.triple_pairs)
    clash = same_cause_pairs(cols)
    if len(clash):
        pairs[clash] = -np.inf
        bad = np.zeros(plan.pairs.count, dtype=bool)
        bad[clash] = True
        ij, ik, jk = plan.triple_pairs
        triples[bad[ij] | bad[ik] | bad[jk]] = -np.inf
    every = np.concatenate(
        [
            [logs.nothing + prior.log_none],
            singles + prior.log_some,
            pairs + prior.log_some,
            triples + prior.log_some,
            [logs.out + prior.log_out],
        ]
    )
    top = float(every.max())
    every -= top
    np.exp(every, out=every)
    total = float(every.sum())
    every /= total
    ever, marginal = _marginals(cols, every, stage)
    rows, weights = _rows(cols, every, stage)
    return Belief(
        rows,
        weights,
        model.causes,
        marginal,
        ever,
        float(weights[0]),
        float(every[-1]),
        top + float(np.log(total)),
        lambda: misfit(model, evidence),
    )


def _marginals(cols: Columns, every: Floats, stage: int) -> tuple[Floats, Floats]:
    """Chance per cause of being in the set at all, and of still being there: (C,) each."""
    size = len(cols.base)
    plan = layout(size)
    per_column = every[1 : 1 + size].copy()
    at = 1 + size
    for sets in (plan.pairs, plan.triples):
        part = every[at : at + sets.count]
        for member in sets.members:
            per_column += np.bincount(member, part, size)
        at += sets.count
    ever = np.bincount(cols.base, per_column, cols.causes)
    now = np.bincount(cols.base, np.where(cols.active(stage), per_column, 0.0), cols.causes)
    return ever, now


def _rows(cols: Columns, every: Floats, stage: int) -> tuple[Ints, Floats]:
    """The sets worth handing on, by what is still there now, with weights that sum to one."""
    size = len(cols.base)
    plan = layout(size)
    keep = np.flatnonzero(every[:-1] > ROW_FLOOR)
    if len(keep) > MOST_ROWS:
        keep = np.sort(keep[np.argpartition(-every[keep], MOST_ROWS)[:MOST_ROWS]])
    keep = np.union1d(keep, np.arange(1 + size))
    members = np.full((len(keep), MOST), size, dtype=np.intp)
    start = 0
    for width, sets in enumerate((plan.nothing, plan.singles, plan.pairs, plan.triples)):
        here = np.flatnonzero((keep >= start) & (keep < start + sets.count))
        for slot in range(width):
            members[here, slot] = sets.members[slot][keep[here] - start]
        start += sets.count
    now = np.append(np.where(cols.active(stage), cols.base, cols.causes), cols.causes)
    rows = now[members]
    weights = every[keep]
    if not cols.plain:
        rows, where = np.unique(np.sort(rows, axis=1), axis=0, return_inverse=True)
        weights = np.bincount(where.ravel(), weights, len(rows))
        order = np.lexsort((*rows.T[::-1], (rows < cols.causes).sum(axis=1)))
        rows, weights = rows[order], weights[order]
    rows = np.vstack([rows, np.full((1, MOST), cols.causes, dtype=np.intp)])
    weights = np.append(weights, every[-1])
    return rows, weights / weights.sum()
