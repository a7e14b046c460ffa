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
    joined_pairs,
    joined_triples,
    layout,
    pick,
    same_cause_pairs,
    triples_from_pairs,
)
from diag.inference.model import Model
from diag.inference.noisy_or import stages_of
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
from diag.inference.witness import Levels, levels_of, slip_now
from diag.inference.word_likelihood import Told, gather, linked_groups, log_likelihood, not_in_book

NOTHING_WRONG = "nothing-wrong"
NOT_IN_BOOK = "not-in-book"
DIGITS = 6  # posteriors are rounded to 1e-6, so that runs on other machines agree
MOST_IN_TRIPLES = 80  # columns; a larger book drops triples of its less likely causes, see tests for the error
KEPT_IN_TRIPLES = 56  # and keeps those of so many
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
    _misfit: Callable[[], Misfit] = field(repr=False, compare=False)
    levels: Floats = field(default_factory=lambda: np.ones(1))
    slip: float | None = None

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
    """Log-likelihood of all evidence per level of the witnesses (L) and set of columns.

    Empty set (L,), singles (L, V), pairs (L, P), "not in the book" (L,), and triples (L, T) of the columns ``keep``
    (K,), whose pairs have the ranks ``pair_ranks`` among all pairs.
    """

    nothing: Floats
    singles: Floats
    pairs: Floats
    out: Floats
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


Words = tuple[Floats, Floats, Floats]  # log-likelihood of the empty set, of singles and of pairs


def likelihoods(
    model: Model, evidence: Evidence, prior: Prior, cols: Columns, stages: Sequence[int], levels: Levels
) -> Likelihoods:
    """Words and readings together, for every level and every set of up to three columns."""
    told = gather(model.words, evidence.findings, stages, levels)
    groups = linked_groups(model.words, told, cols)
    words = _words(model, told, cols, groups)
    out = not_in_book(model.words, told, prior.shares)
    terms = physics_terms(model.physics, evidence, cols, stages)
    mixed = levels.mixed(words[0][:, None])[0], levels.mixed(words[1]), levels.mixed(words[2])
    whole = words
    if terms is not None:
        _solve_what_matters(terms, prior, cols, mixed)
        out = out + terms.not_in_book(prior.shares)
        whole = words[0] + terms.nothing, words[1] + terms.singles, words[2] + terms.pairs
        mixed = mixed[0] + terms.nothing, mixed[1] + terms.singles, mixed[2] + terms.pairs
    keep = _columns_for_triples(prior, cols, mixed)
    i, j = layout(len(keep)).pairs.members
    ranks = layout(len(cols.base)).pair_rank[keep[i], keep[j]]
    kept = cols.only(keep) if len(keep) < len(cols.base) else cols
    triples = _triples(model, told, kept, words, keep, ranks)
    if terms is not None and triples.size:
        triples += terms.triples(keep, ranks)
    return Likelihoods(*whole, out, keep, ranks, triples)


def _words(model: Model, told: Told, cols: Columns, groups: Sequence[Ints]) -> Words:
    """Log-likelihood of the words; pairs that no factor joins follow from their singles, which is exact."""
    plan = layout(len(cols.base))
    nothing = log_likelihood(model.words, told, cols, plan.nothing)[:, 0]
    singles = log_likelihood(model.words, told, cols, plan.singles)
    i, j = plan.pairs.members
    pairs = singles.take(i, axis=1)
    pairs += singles.take(j, axis=1)
    pairs -= nothing[:, None]
    joined = joined_pairs(len(cols.base), groups)
    if len(joined):
        pairs[:, joined] = log_likelihood(model.words, told, cols, pick(plan.pairs, joined))
    return nothing, singles, pairs


def _triples(model: Model, told: Told, cols: Columns, words: Words, keep: Ints, ranks: Ints) -> Floats:
    """Log-likelihood of the words for every level and triple of the kept columns ``cols``."""
    size = len(keep)
    plan = layout(size)
    if not plan.triples.count:
        return np.empty((told.levels, 0))
    joined = joined_triples(size, linked_groups(model.words, told, cols))
    if len(joined) == plan.triples.count:
        return log_likelihood(model.words, told, cols, plan.triples)
    nothing, singles, pairs = words[0], words[1][:, keep], words[2][:, ranks]
    result = np.stack(
        [triples_from_pairs(float(n), one, two) for n, one, two in zip(nothing, singles, pairs, strict=True)]
    )
    result[:, joined] = log_likelihood(model.words, told, cols, pick(plan.triples, joined))
    return result


Mixed = tuple[float, Floats, Floats]  # the same averaged over the levels


def _small_sets(prior: Prior, cols: Columns, logs: Mixed) -> tuple[Floats, Floats, float]:
    """Weights of singles (V,) and pairs (P,) as shares of all sets of up to two, and the log of their total."""
    i, j = layout(len(cols.base)).pairs.members
    weight = prior.log_some + prior.log_odds[cols.base] + cols.log_weight
    lone = weight + logs[1]
    first, second = cols.base[i], cols.base[j]
    both = weight[i] + weight[j] - prior.log_some + logs[2] + prior.pair_weights(first, second)
    both += prior.told_weights(first, second)
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


def _columns_for_triples(prior: Prior, cols: Columns, logs: Mixed) -> Ints:
    """The columns whose triples are counted: all of a book of up to ``MOST_IN_TRIPLES``, else the likeliest."""
    size = len(cols.base)
    if size <= MOST_IN_TRIPLES:
        return np.arange(size)
    lone, both, _ = _small_sets(prior, cols, logs)
    chance = _with_pairs(lone, both)
    return np.sort(np.argsort(-chance, kind="stable")[:KEPT_IN_TRIPLES])


def _solve_what_matters(terms: PhysicsTerms, prior: Prior, cols: Columns, words: Mixed) -> None:
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
        prior = replace(prior, log_odds=prior.log_odds + causes, log_out=prior.log_out + out, log_told=causes)
    cols = columns(len(model.causes), cures_of(model, evidence, stages))
    levels = levels_of(evidence)
    logs = likelihoods(model, evidence, prior, cols, stages, levels)
    return _posterior(model, evidence, prior, cols, logs, stages[-1], levels)


def _posterior(
    model: Model, evidence: Evidence, prior: Prior, cols: Columns, logs: Likelihoods, stage: int, levels: Levels
) -> Belief:
    from diag.inference.explain import misfit  # explain recomputes beliefs, so it sits above this module

    every, of_level, log_evidence = _weights(prior, cols, logs, levels)
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
        lambda: misfit(model, evidence),
        of_level,
        slip_now(evidence, levels, of_level),
    )


def _weights(prior: Prior, cols: Columns, logs: Likelihoods, levels: Levels) -> tuple[Floats, Floats, float]:
    """Posterior weight of every set (in the order of ``_families``, then "not in the book") and level; log evidence."""
    plan = layout(len(cols.base))
    weight = prior.log_odds[cols.base] + cols.log_weight
    i, j = plan.pairs.members
    joint = prior.pair_weights(cols.base[i], cols.base[j])
    joint[same_cause_pairs(cols)] = -np.inf
    told = prior.told_weights(cols.base[i], cols.base[j])
    small = layout(len(logs.keep))
    threes = small.triples.total(weight[logs.keep])
    if prior.log_pairs or not cols.plain:
        kept = joint[logs.pair_ranks]
        threes += sum(kept[rank] for rank in small.triple_pairs)
    kept_causes = cols.base[logs.keep]
    threes += prior.told_weights(*(kept_causes[member] for member in small.triples.members))
    twos = plan.pairs.total(weight) + joint + told
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
