"""The log-likelihood of all that was told, words and readings together, for every set of causes worth a look."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diag.inference.evidence import Evidence
from diag.inference.fault_sets import (
    Columns,
    Cure,
    Floats,
    Ints,
    joined_pairs,
    joined_triples,
    layout,
    pick,
    same_cause_pairs,
    triples_from_pairs,
)
from diag.inference.model import Model
from diag.inference.noisy_or import WordTables
from diag.inference.prior import Prior
from diag.inference.readings.likelihood import (
    COARSE_PAIR,
    ENOUGH,
    LEADING,
    LIKELY_PAIR,
    SLACK,
    PhysicsTerms,
    physics_terms,
)
from diag.inference.witness import Levels
from diag.inference.word_likelihood import Told, gather, linked_groups, log_likelihood, not_in_book

MOST_IN_TRIPLES = 80  # columns; a larger book drops triples of its less likely causes, see tests for the error


KEPT_IN_TRIPLES = 56  # and keeps those of so many


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


@dataclass(frozen=True)
class PairPrior:
    """Log weights of all pairs of columns besides those of their members (P,): what joins the two (minus infinity for
    one cause with two ends), and what a pair gets back of the first complaint's."""

    joint: Floats
    told: Floats


def pair_prior(prior: Prior, cols: Columns) -> PairPrior:
    """The same for every look at one case."""
    i, j = layout(len(cols.base)).pairs.members
    first, second = cols.base[i], cols.base[j]
    joint = prior.pair_weights(first, second)
    joint[same_cause_pairs(cols)] = -np.inf
    return PairPrior(joint, prior.told_weights(first, second))


def likelihoods(
    model: Model,
    evidence: Evidence,
    prior: Prior,
    cols: Columns,
    stages: Sequence[int],
    levels: Levels,
    pairs: PairPrior,
) -> Likelihoods:
    """Words and readings together, for every level and every set of up to three columns."""
    tables = model.words_for(evidence)
    told = gather(tables, evidence.findings, stages, levels)
    groups = linked_groups(tables, told, cols)
    words = _words(tables, told, cols, groups)
    out = not_in_book(tables, told, prior.shares)
    terms = physics_terms(model.physics, evidence, cols, stages)
    mixed = levels.mixed(words[0][:, None])[0], levels.mixed(words[1]), levels.mixed(words[2])
    whole = words
    if terms is not None:
        _solve_what_matters(terms, prior, cols, mixed, pairs)
        out = out + terms.not_in_book(prior.shares)
        whole = words[0] + terms.nothing, words[1] + terms.singles, words[2] + terms.pairs
        mixed = mixed[0] + terms.nothing, mixed[1] + terms.singles, mixed[2] + terms.pairs
    keep = _columns_for_triples(prior, cols, mixed, pairs)
    i, j = layout(len(keep)).pairs.members
    ranks = layout(len(cols.base)).pair_rank[keep[i], keep[j]]
    kept = cols.only(keep) if len(keep) < len(cols.base) else cols
    triples = _triples(tables, told, kept, words, keep, ranks)
    if terms is not None and triples.size:
        triples += terms.triples(keep, ranks)
    return Likelihoods(*whole, out, keep, ranks, triples)


def _words(tables: WordTables, told: Told, cols: Columns, groups: Sequence[Ints]) -> Words:
    """Log-likelihood of the words; pairs that no factor joins follow from their singles, which is exact."""
    plan = layout(len(cols.base))
    nothing = log_likelihood(tables, told, cols, plan.nothing)[:, 0]
    singles = log_likelihood(tables, told, cols, plan.singles)
    i, j = plan.pairs.members
    pairs = singles.take(i, axis=1)
    pairs += singles.take(j, axis=1)
    pairs -= nothing[:, None]
    joined = joined_pairs(len(cols.base), groups)
    if len(joined):
        pairs[:, joined] = log_likelihood(tables, told, cols, pick(plan.pairs, joined))
    return nothing, singles, pairs


def _triples(tables: WordTables, told: Told, cols: Columns, words: Words, keep: Ints, ranks: Ints) -> Floats:
    """Log-likelihood of the words for every level and triple of the kept columns ``cols``."""
    size = len(keep)
    plan = layout(size)
    if not plan.triples.count:
        return np.empty((told.levels, 0))
    joined = joined_triples(size, linked_groups(tables, told, cols))
    if len(joined) == plan.triples.count:
        return log_likelihood(tables, told, cols, plan.triples)
    nothing, singles, pairs = words[0], words[1][:, keep], words[2][:, ranks]
    result = np.stack(
        [triples_from_pairs(float(n), one, two) for n, one, two in zip(nothing, singles, pairs, strict=True)]
    )
    result[:, joined] = log_likelihood(tables, told, cols, pick(plan.triples, joined))
    return result


Mixed = tuple[float, Floats, Floats]  # the same averaged over the levels


def _small_sets(prior: Prior, cols: Columns, logs: Mixed, pairs: PairPrior) -> tuple[Floats, Floats, float]:
    """Weights of singles (V,) and pairs (P,) as shares of all sets of up to two, and the log of their total."""
    i, j = layout(len(cols.base)).pairs.members
    weight = prior.log_some + prior.log_odds[cols.base] + cols.log_weight
    lone = weight + logs[1]
    both = weight[i] + weight[j] - prior.log_some + logs[2] + pairs.joint
    both += pairs.told
    empty = prior.log_none + logs[0]
    top = max(empty, lone.max(initial=-np.inf), both.max(initial=-np.inf))
    lone, both = np.exp(lone - top), np.exp(both - top)
    total = float(lone.sum() + both.sum() + np.exp(empty - top))
    return lone / total, both / total, top + float(np.log(total))


def _with_pairs(lone: Floats, both: Floats) -> Floats:
    """Chance per column (V,) from the weights of singles and pairs."""
    i, j = layout(len(lone)).pairs.members
    return np.asarray(lone + np.bincount(i, both, len(lone)) + np.bincount(j, both, len(lone)))


def _columns_for_triples(prior: Prior, cols: Columns, logs: Mixed, pairs: PairPrior) -> Ints:
    """The columns whose triples are counted: all of a book of up to ``MOST_IN_TRIPLES``, else the likeliest."""
    size = len(cols.base)
    if size <= MOST_IN_TRIPLES:
        return np.arange(size)
    lone, both, _ = _small_sets(prior, cols, logs, pairs)
    chance = _with_pairs(lone, both)
    return np.sort(np.argsort(-chance, kind="stable")[:KEPT_IN_TRIPLES])


def _solve_what_matters(terms: PhysicsTerms, prior: Prior, cols: Columns, words: Mixed, pairs: PairPrior) -> None:
    """Predict singles and pairs in as many draws as their chance deserves."""

    def shares() -> tuple[Floats, Floats]:
        logs = words[0] + terms.nothing, words[1] + terms.singles, words[2] + terms.pairs
        return _small_sets(prior, cols, logs, pairs)[:2]

    physics = terms.physics
    terms.sharpen(_with_pairs(*shares()))
    ranks = terms.candidates(shares()[1])
    terms.solve_pairs(ranks, min(COARSE_PAIR, physics.draws))
    ranks = ranks[shares()[1][ranks] * np.exp(0.5 * SLACK) > LIKELY_PAIR]
    spoke = terms.solve_pairs(ranks, physics.draws)
    terms.sharpen_leaders(_with_pairs(*shares()))
    terms.solve_pairs(ranks[(shares()[1][ranks] > LEADING) & (spoke < ENOUGH)], physics.count)
