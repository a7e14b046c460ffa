"""What to believe after everything that was told: a pure function of model and evidence."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from diag.inference.evidence import Evidence
from diag.inference.fault_sets import (
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
from diag.inference.model import Model
from diag.inference.noisy_or import Told, gather, linked_groups, log_likelihood, not_in_book, stages_of
from diag.inference.prior import Prior, prior_of
from diag.inference.readings.likelihood import (
    COARSE_PAIR,
    ENOUGH,
    LEADING,
    LIKELY_PAIR,
    SLACK,
    PhysicsTerms,
    physics_terms,
)

NOTHING_WRONG = "nothing-wrong"
NOT_IN_BOOK = "not-in-book"
DIGITS = 6  # posteriors are rounded to 1e-6, so that runs on other machines agree
MOST_IN_TRIPLES = 80  # columns; a larger book drops triples of its least likely causes, see tests for the error
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
    """Log-likelihood of all evidence per set of columns.

    Empty set, singles (V,), pairs (P,), "not in the book", and triples (T,) of the columns ``keep`` (K,), whose pairs
    have the ranks ``pair_ranks`` among all pairs.
    """

    nothing: float
    singles: Floats
    pairs: Floats
    out: float
    keep: Ints
    pair_ranks: Ints
    triples: Floats


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
    words = float(nothing[0]), singles, pairs
    out = not_in_book(model.words, told, prior.shares)
    terms = physics_terms(model.physics, evidence, cols, stages)
    if terms is not None:
        _solve_what_matters(terms, prior, cols, words)
        out += terms.not_in_book(prior.shares)
        whole = float(nothing[0]) + terms.nothing, singles + terms.singles, pairs + terms.pairs
    else:
        whole = words
    keep = _columns_for_triples(prior, cols, whole)
    i, j = layout(len(keep)).pairs.members
    ranks = plan.pair_rank[keep[i], keep[j]]
    triples = _triples(model, told, cols.only(keep) if len(keep) < len(cols.base) else cols, words, keep, ranks)
    if terms is not None and len(triples):
        triples += terms.triples(keep, ranks)
    return Likelihoods(*whole, out, keep, ranks, triples)


Words = tuple[float, Floats, Floats]  # log-likelihood of the empty set, of singles and of pairs


def _triples(model: Model, told: Told, cols: Columns, words: Words, keep: Ints, ranks: Ints) -> Floats:
    """Log-likelihood of the words for every triple of the kept columns."""
    size = len(keep)
    plan = layout(size)
    if not plan.triples.count:
        return np.empty(0)
    joined = joined_triples(size, linked_groups(model.words, told, cols))
    if len(joined) == plan.triples.count:
        return log_likelihood(model.words, told, cols, plan.triples)
    nothing, singles, pairs = words
    result = triples_from_pairs(nothing, singles[keep], pairs[ranks])
    result[joined] = log_likelihood(model.words, told, cols, pick(plan.triples, joined))
    return result


def _small_sets(prior: Prior, cols: Columns, logs: Words) -> tuple[Floats, Floats, float]:
    """Weights of singles (V,) and pairs (P,) as shares of all sets of up to two, and the log of their total."""
    i, j = layout(len(cols.base)).pairs.members
    weight = prior.log_some + prior.log_odds[cols.base] + cols.log_weight
    lone = weight + logs[1]
    both = weight[i] + weight[j] - prior.log_some + logs[2] + prior.pair_weights(cols.base[i], cols.base[j])
    both[same_cause_pairs(cols)] = -np.inf
    empty = prior.log_none + logs[0]
    top = max(empty, lone.max(initial=-np.inf), both.max(initial=-np.inf))
    lone, both = np.exp(lone - top), np.exp(both - top)
    total = float(lone.sum() + both.sum() + np.exp(empty - top))
    return lone / total, both / total, top + float(np.log(total))


def _with_pairs(lone: Floats, both: Floats) -> Floats:
    """Chance per column (V,) from the weights of singles and pairs."""
    i, j = layout(len(lone)).pairs.members
    return np.asarray(lone + np.bincount(i, both, len(lone)) + np.bincount(j, both, len(lone)))


def _columns_for_triples(prior: Prior, cols: Columns, logs: Words) -> Ints:
    """The columns whose triples are counted: all of a book of up to ``MOST_IN_TRIPLES``, else the likeliest."""
    size = len(cols.base)
    if size <= MOST_IN_TRIPLES:
        return np.arange(size)
    lone, both, _ = _small_sets(prior, cols, logs)
    chance = _with_pairs(lone, both)
    return np.sort(np.argsort(-chance, kind="stable")[:MOST_IN_TRIPLES])


def _solve_what_matters(terms: PhysicsTerms, prior: Prior, cols: Columns, words: Words) -> None:
    """Predict singles and pairs in as many draws as their chance deserves."""

    def shares() -> tuple[Floats, Floats]:
        logs = words[0] + terms.nothing, words[1] + terms.singles, words[2] + terms.pairs
        return _small_sets(prior, cols, logs)[:2]

    physics = terms.physics
    terms.sharpen(_with_pairs(*shares()))
    ranks = terms.candidates(shares()[1])
    terms.solve_pairs(ranks, min(COARSE_PAIR, physics.draws))
    ranks = ranks[shares()[1][ranks] * np.exp(0.5 * SLACK) > LIKELY_PAIR]
    spoke = terms.solve_pairs(ranks, physics.draws)
    terms.sharpen_leaders(_with_pairs(*shares()))
    terms.solve_pairs(ranks[(shares()[1][ranks] > LEADING) & (spoke < ENOUGH)], physics.count)


def belief(model: Model, evidence: Evidence) -> Belief:
    """The exact posterior over sets of up to three causes, the empty set and "not in the book".

    Raises:
        UnknownNameError: the evidence names a sign, answer, reading or point that the book does not have.
    """
    stages = stages_of(evidence)
    prior = prior_of(model.book.causes, model.book.knobs, model.contexts(evidence.contexts), model.sizing)
    if evidence.complaint:
        causes, out = model.told_first(evidence.complaint)
        prior = replace(prior, log_odds=prior.log_odds + causes, log_out=prior.log_out + out)
    cols = columns(len(model.causes), cures_of(model, evidence, stages))
    logs = likelihoods(model, evidence, prior, cols, stages)
    return _posterior(model, evidence, prior, cols, logs, stages[-1])


def _posterior(model: Model, evidence: Evidence, prior: Prior, cols: Columns, logs: Likelihoods, stage: int) -> Belief:
    from diag.inference.explain import misfit  # explain recomputes beliefs, so it sits above this module

    plan = layout(len(cols.base))
    weight = prior.log_odds[cols.base] + cols.log_weight
    singles = logs.singles + weight
    pairs = logs.pairs + plan.pairs.total(weight)
    i, j = plan.pairs.members
    joint = prior.pair_weights(cols.base[i], cols.base[j])
    joint[same_cause_pairs(cols)] = -np.inf
    pairs += joint
    small = layout(len(logs.keep))
    triples = logs.triples + small.triples.total(weight[logs.keep])
    if prior.log_pairs or not cols.plain:
        kept = joint[logs.pair_ranks]
        triples += sum(kept[rank] for rank in small.triple_pairs)
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
        top + float(np.log(total)),
        lambda: misfit(model, evidence),
    )


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
