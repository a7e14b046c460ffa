"""What each set of causes shows: noisy-OR nodes, hidden states behind several signs, and choices.

Every yes/no sign and every state is a noisy-OR node with its own chance (leak) and net link weights:
P(absent | H) = (1 - leak) * product over H of (1 - q); a cause may also hide it, which multiplies its presence by
(1 - h). Signs seen through a state share it: the state is summed out once, so near-duplicates are not counted
three times. A choice has one categorical row per cause; with several causes present the rows are averaged. What
answers that may be wrong make of it is in ``word_likelihood``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product as cartesian

import numpy as np

from diag.inference.evidence import Evidence
from diag.inference.fault_sets import Bools, Columns, Floats, Sets
from diag.rulebook.built import NOT, named
from diag.rulebook.causes import Cause
from diag.rulebook.model import RuleBook

TINY = 1e-15  # "impossible": keeps logs finite, far below anything a rule book can state
SURE_PART = 0.999  # that a car with the cause is told to have the part: the slip of who answers counts apart
CHUNK = 16  # factors of at least TINY multiplied before taking a log: 1e-240, above underflow


@dataclass(frozen=True)
class Cluster:
    """States that share signs, with those signs; a plain sign is a cluster without states. Node indices."""

    states: tuple[int, ...]
    signs: tuple[int, ...]


@dataclass(frozen=True)
class ChoiceTable:
    """A choice sign: ``usual`` (k,), ``speaks`` (C,) 1 where a cause has a row, ``rows`` (k, C), else 0."""

    answers: tuple[str, ...]
    usual: Floats
    speaks: Floats
    rows: Floats


@dataclass(frozen=True)
class WordTables:
    """The book's words as arrays: nodes are yes/no signs, then states; ``off`` = 1 - q and ``left`` = 1 - h, (n, C)."""

    node: Mapping[str, int]
    names: tuple[str, ...]
    chance: Floats
    off: Floats
    left: Floats
    has_hides: Bools
    seen: Mapping[int, Mapping[int, float]]  # state -> sign -> chance that the state shows the sign
    cluster_of: Mapping[int, Cluster]
    choices: Mapping[str, ChoiceTable]
    physical: frozenset[str]  # signs that the fuel-system model decides
    linked: frozenset[str] = frozenset()  # signs that some cause bears on


def compile_words(book: RuleBook) -> WordTables:
    """Turn the signs, states and links of a book into arrays (n nodes, C causes in the book's order)."""
    causes = list(book.causes.values())
    plain = [s for s in book.signs.values() if not s.choices and s.seen_when is None]
    names = tuple([s.id for s in plain] + list(book.states))
    node = {name: at for at, name in enumerate(names)}
    chance = np.array([s.chance for s in plain] + [s.chance for s in book.states.values()], dtype=float)
    off = np.ones((len(names), len(causes)))
    left = np.ones((len(names), len(causes)))
    for c, cause in enumerate(causes):
        for name, strength in cause.shows.items():
            if name in node:
                off[node[name], c] = 1.0 - strength
        for name, strength in cause.hides.items():
            if name in node:
                left[node[name], c] = 1.0 - strength
        for name, there in _as_built(cause, book):
            if name in node:
                (off if there else left)[node[name], c] = 1.0 - SURE_PART
    seen = {
        node[state.id]: {node[s]: q for s, q in state.seen_as.items() if s in node} for state in book.states.values()
    }
    choices = {s.id: _choice_table(book, s.id) for s in book.signs.values() if s.choices}
    physical = frozenset(s.id for s in book.signs.values() if s.seen_when is not None)
    has_hides = np.asarray((left < 1.0).any(axis=1))
    touched = {names[at] for at in np.flatnonzero((off < 1.0).any(axis=1) | has_hides)}
    touched |= {names[sign] for state, shown in seen.items() if names[state] in touched for sign in shown}
    touched |= {sign for sign, table in choices.items() if table.speaks.any()} | physical
    touched |= {s.id for s in book.signs.values() if s.graded}
    return WordTables(
        node,
        names,
        chance,
        off,
        left,
        has_hides,
        seen,
        _clusters(len(names), seen),
        choices,
        physical,
        frozenset(touched),
    )


def _as_built(cause: Cause, book: RuleBook) -> list[tuple[str, bool]]:
    """Signs that ask about the car as built, with the answer that a car with this cause must give."""
    needed = [(context, not need.startswith(NOT)) for need in cause.fits for context in [book.contexts[named(need)]]]
    return [
        (named(asked), there is not asked.startswith(NOT))
        for context, there in needed
        if not context.lapses
        for asked in context.asked_by
    ]


def _choice_table(book: RuleBook, sign: str) -> ChoiceTable:
    answers = book.signs[sign].choices
    usual = np.array([a.usual for a in answers], dtype=float)
    usual = usual / usual.sum()
    speaks = np.zeros(len(book.causes))
    rows = np.zeros((len(answers), len(book.causes)))
    for c, cause in enumerate(book.causes.values()):
        told = cause.answers.get(sign)
        if told is None:
            continue
        row = np.array([told.get(a.id, 0.0) for a in answers])
        missing = np.array([a.id not in told for a in answers])
        spare = max(0.0, 1.0 - row.sum())
        if spare > 0.0 and usual[missing].sum() > 0.0:
            row = row + np.where(missing, spare * usual / usual[missing].sum(), 0.0)
        speaks[c] = 1.0
        rows[:, c] = row / row.sum()
    of_physics = book.signs[sign].graded
    graded = np.array([a in of_physics for a in answers])
    if graded.any():  # among these the physics decides; words have no say in which of them it is
        rows[graded] = rows[graded].sum(axis=0) / graded.sum()
        usual[graded] = usual[graded].sum() / graded.sum()
    return ChoiceTable(tuple(a.id for a in answers), usual, speaks, rows)


def _clusters(nodes: int, seen: Mapping[int, Mapping[int, float]]) -> dict[int, Cluster]:
    group = list(range(nodes))

    def find(at: int) -> int:
        while group[at] != at:
            at = group[at]
        return at

    for state, signs in seen.items():
        for sign in signs:
            group[find(sign)] = find(state)
    members: dict[int, list[int]] = {}
    for at in range(nodes):
        members.setdefault(find(at), []).append(at)
    result: dict[int, Cluster] = {}
    for every in members.values():
        cluster = Cluster(tuple(n for n in every if n in seen), tuple(n for n in every if n not in seen))
        result.update(dict.fromkeys(every, cluster))
    return result


def presence(tables: WordTables, node: int, cols: Columns, stage: int, sets: Sets) -> Floats:
    """P(the node is there | set) at a stage, before any answer: (m,)."""
    active = cols.active(stage)
    absent = (1.0 - tables.chance[node]) * sets.product(np.where(active, tables.off[node, cols.base], 1.0))
    if tables.has_hides[node]:
        return np.asarray((1.0 - absent) * sets.product(np.where(active, tables.left[node, cols.base], 1.0)))
    return np.asarray(1.0 - absent)


Soft1 = Floats | float
Pair = tuple[Floats, Floats]


def cluster_terms(
    tables: WordTables, cluster: Cluster, soft: Mapping[int, tuple[Soft1, Soft1]], cols: Columns, stage: int, sets: Sets
) -> list[tuple[tuple[int, ...], Floats]]:
    """For every joint setting of the cluster's states: its probability times that of the answers, (m,) each."""
    states = [presence(tables, node, cols, stage, sets) for node in cluster.states]
    direct = {sign: presence(tables, sign, cols, stage, sets) for sign in soft}
    terms = []
    for setting in cartesian((0, 1), repeat=len(states)):
        weight = np.ones(sets.count)
        for is_on, chance in zip(setting, states, strict=True):
            weight = weight * (chance if is_on else 1.0 - chance)
        for sign, (on, off) in soft.items():
            absent = 1.0 - direct[sign]
            for is_on, node in zip(setting, cluster.states, strict=True):
                if is_on:
                    absent = absent * (1.0 - tables.seen[node].get(sign, 0.0))
            weight = weight * (on + (off - on) * absent)
        terms.append((setting, weight))
    return terms


def cluster_links(tables: WordTables, cluster: Cluster, signs: set[int], cols: Columns) -> Bools:
    """Which columns bear on the cluster's states or on these of its signs: (V,)."""
    nodes = [*cluster.states, *signs]
    touched = np.asarray(((tables.off[nodes] < 1.0) | (tables.left[nodes] < 1.0)).any(axis=0))
    return np.asarray(touched[cols.base])


def choice_chances(table: ChoiceTable, cols: Columns, stage: int, sets: Sets) -> Floats:
    """P(answer | set) at a stage: (k, m); rows of the members that have one are averaged, else what is usual."""
    active = cols.active(stage)
    speaking = sets.total(np.where(active, table.speaks[cols.base], 0.0))
    rows = sets.total(np.where(active, table.rows[:, cols.base], 0.0))
    return np.where(speaking > 0.0, rows / np.maximum(speaking, 1.0), table.usual[:, None])


def stranger_chances(tables: WordTables, shares: Floats) -> Floats:
    """P(node is there | the cause is not in the book): half the book's average plus half of 0.3; (n,).

    A sign no cause speaks of, asked for safety alone, has its usual chance here too and moves nothing.
    """
    spoken_of = (tables.off < 1.0).any(axis=1) | tables.has_hides
    return np.asarray(np.where(spoken_of, 0.5 * (_with_one_cause(tables) @ shares) + 0.15, tables.chance))


def _with_one_cause(tables: WordTables) -> Floats:
    """P(node is there by itself | one cause alone): (n, C)."""
    return np.asarray((1.0 - (1.0 - tables.chance)[:, None] * tables.off) * tables.left)


def shown_too(tables: WordTables, there: Floats) -> Floats:
    """Chances of all nodes, (n, ...) by themselves, with what the states behind them show as well."""
    shown = there.copy()
    for state, signs in tables.seen.items():
        rows, strength = list(signs), np.array([*signs.values()])
        shown[rows] = 1.0 - (1.0 - shown[rows]) * (1.0 - strength[:, None] * there[state])
    return shown


def shown_alone(tables: WordTables, node: int, there: Callable[[int], Floats]) -> Floats:
    """The same for one node; ``there`` gives the chances of a node by itself."""
    shown = there(node)
    for state, signs in tables.seen.items():
        if node in signs:
            shown = 1.0 - (1.0 - shown) * (1.0 - signs[node] * there(state))
    return shown


def told_first(
    tables: WordTables, symptoms: Sequence[str], shares: Floats, first: str, felt: Floats | None = None
) -> tuple[Floats, float]:
    """By how much (log) it is less like each cause that just this symptom was told first than it is like a sound car.

    Whoever brings a car tells of one of the things that are wrong with it: of N that are there, each with chance 1/N.
    Without this, causes with many symptoms win by the mere number of them. The mean of 1/N with the told one there is
    the integral from 0 to 1 of the product over all others of 1 - p + p t, here over Gauss-Legendre points.

    Args:
        felt: chances of the other symptoms that the physics decides, in n imagined cars with each cause and, last, in
            sound ones: (k, C + 1, n). What goes together in a car is kept together.

    Returns:
        Log factors per cause (C,), and that of "not in the book".
    """
    causes = tables.off.shape[1]
    shown = shown_too(tables, np.column_stack([_with_one_cause(tables), tables.chance]))
    others = [tables.node[name] for name in symptoms if name in tables.node and name != first]
    chance = np.concatenate([shown[others], stranger_chances(tables, shares)[others, None]], axis=1)
    points, weights = np.polynomial.legendre.leggauss(_POINTS)
    at = 0.5 * (points + 1.0)
    alone = np.prod(1.0 - chance[:, :, None] * (1.0 - at), axis=0)
    if felt is not None:
        together = np.stack([np.prod(1.0 - felt * (1.0 - t), axis=0).mean(axis=-1) for t in at], axis=-1)
        strange = 0.5 * felt.mean(axis=-1)[:, :causes] @ shares + 0.15
        alone *= np.vstack([together, np.prod(1.0 - strange[:, None] * (1.0 - at), axis=0)])
    alone = alone @ (0.5 * weights)
    logs = np.log(alone)
    return logs[:causes] - logs[causes], float(logs[causes + 1] - logs[causes])


_POINTS = 48  # exact for products of up to 95 symptoms


def stranger_answers(table: ChoiceTable, shares: Floats) -> Floats:
    """P(answer | the cause is not in the book): half the book's average and half even: (k,)."""
    rows = np.where(table.speaks > 0.0, table.rows, table.usual[:, None])
    return np.asarray(0.5 * (rows * shares).sum(axis=1) + 0.5 / len(table.answers))


def stages_of(evidence: Evidence) -> list[int]:
    """The stage of every epoch: how many times something was cured up to and including its start."""
    stages = []
    stage = 0
    for epoch in evidence.epochs:
        stage += bool(epoch.cured)
        stages.append(stage)
    return stages
