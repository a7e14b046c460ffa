"""How likely the answers about signs are, given each set of causes and each level of how reliable the teller is.

For a level of the teller an answer that is wrong with chance w says L_on = 1 - w for "really present" and L_off = w
for "really absent"; P(answer | H) = L_on P(present | H) + L_off P(absent | H) is soft evidence on a noisy-OR node
(Pearl's virtual evidence). Levels change these two figures and nothing else, so that the chance of every node given
every set is worked out once and serves all levels. All arrays that depend on the level have it as their first axis.

The same thing asked twice is one latent fact, not two: its answers meet in one node unless a cured cause that
matters for it came in between.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product as cartesian

import numpy as np

from diag.inference.evidence import Finding
from diag.inference.fault_sets import Bools, Columns, Floats, Ints, Sets
from diag.inference.noisy_or import (
    CHUNK,
    TINY,
    ChoiceTable,
    Cluster,
    WordTables,
    choice_chances,
    cluster_links,
    cluster_terms,
    stranger_answers,
    stranger_chances,
)
from diag.inference.witness import Levels, alone
from diag.support.errors import UnknownNameError

Pair = tuple[Floats, Floats]  # L_on, L_off
Soft = dict[int, dict[int, Pair]]  # stage -> sign node -> (L_on, L_off), each (L, 1)


@dataclass(frozen=True)
class Told:
    """The answers sorted by the factor they bear on; L levels of the teller.

    ``simple`` (n,) are plain sign nodes answered within one stage ``simple_stage`` (n,), with ``simple_on`` and
    ``simple_off`` (L, n). ``choices`` hold by stage the likelihood of what is really there: (L, k).
    """

    simple: Ints
    simple_stage: Ints
    simple_on: Floats
    simple_off: Floats
    clusters: tuple[tuple[Cluster, Soft], ...]
    choices: tuple[tuple[str, Mapping[int, Floats]], ...]
    levels: int = 1


def gather(
    tables: WordTables, findings: Sequence[Finding], stages: Sequence[int], levels: Levels | None = None
) -> Told:
    """Sort answers into factors; answers about the same sign in one stage become one soft statement.

    Without ``levels`` every answer is wrong with its own overall chance.

    Raises:
        UnknownNameError: a finding names a sign or an answer that the book does not have.
    """
    by_level = levels or alone()
    soft: dict[int, tuple[Cluster, Soft]] = {}
    picked: dict[str, dict[int, Floats]] = {}
    for finding in findings:
        stage = stages[finding.epoch]
        if finding.sign in tables.physical:
            continue
        wrong = by_level.wrong(finding)
        if finding.sign in tables.choices:
            table = tables.choices[finding.sign]
            by_stage = picked.setdefault(finding.sign, {})
            by_stage[stage] = by_stage.get(stage, np.ones(1)) * choice_likelihood(table, finding, wrong)
            continue
        if finding.sign not in tables.node:
            raise UnknownNameError("sign", finding.sign, (*tables.node, *tables.choices))
        at = tables.node[finding.sign]
        cluster = tables.cluster_of[at]
        key = min((*cluster.states, *cluster.signs))
        on, off = soft.setdefault(key, (cluster, {}))[1].setdefault(stage, {}).get(at, (np.ones(1), np.ones(1)))
        says, denies = finding.sides(wrong[:, None])
        soft[key][1][stage][at] = (on * says, off * denies)
    simple = [(c.signs[0], *next(iter(s.items()))) for c, s in soft.values() if not c.states and len(s) == 1]
    count = by_level.count
    sides = [np.array([told[at][side][:, 0] for at, _, told in simple]).reshape(-1, count).T for side in (0, 1)]
    return Told(
        np.array([at for at, _, _ in simple], dtype=np.intp),
        np.array([stage for _, stage, _ in simple], dtype=np.intp),
        sides[0],
        sides[1],
        tuple((c, s) for c, s in soft.values() if c.states or len(s) > 1),
        tuple(picked.items()),
        count,
    )


def choice_likelihood(table: ChoiceTable, finding: Finding, wrong: Floats) -> Floats:
    """P(this answer is given | what is really there) for every real answer: (L,) to (L, k).

    Two choices told together ("at both ends") share what one would have.
    """
    named = finding.choices
    for answer in named:
        if answer not in table.answers:
            raise UnknownNameError("answer", answer, table.answers, finding.sign)
    others = len(table.answers) - len(named)
    if not others:
        return np.ones((len(wrong), len(table.answers)))
    result = np.repeat(wrong[:, None] / others, len(table.answers), axis=1)
    for answer in named:
        result[:, table.answers.index(answer)] = (1.0 - wrong) / len(named)
    return result


def log_likelihood(tables: WordTables, told: Told, cols: Columns, sets: Sets) -> Floats:
    """Log probability of all answers about signs given each level and set: (L, m)."""
    result = np.zeros((told.levels, sets.count))
    if len(told.simple):
        _add_simple(result, tables, told, cols, sets)
    for cluster, soft in told.clusters:
        result += np.log(np.maximum(_cluster(tables, cluster, soft, cols, sets), TINY))
    for sign, by_stage in told.choices:
        result += np.log(np.maximum(_choice(tables.choices[sign], by_stage, cols, sets), TINY))
    return result


def _add_simple(result: Floats, tables: WordTables, told: Told, cols: Columns, sets: Sets) -> None:
    for start in range(0, len(told.simple), CHUNK):
        part = slice(start, start + CHUNK)
        nodes = told.simple[part]
        gone = cols.end[None, :] <= told.simple_stage[part, None]
        absent = sets.product(_per_column(tables.off, nodes, cols, gone))
        absent *= (1.0 - tables.chance[nodes])[:, None]
        hidden = tables.has_hides[nodes]
        if hidden.any():
            left = sets.product(_per_column(tables.left, nodes[hidden], cols, gone[hidden]))
            absent[hidden] = 1.0 - (1.0 - absent[hidden]) * left
        for level in range(told.levels):
            on, off = told.simple_on[level, part, None], told.simple_off[level, part, None]
            chance = absent * (off - on)
            chance += on
            np.maximum(chance, TINY, out=chance)
            result[level] += np.log(np.multiply.reduce(chance, axis=0))


def _per_column(table: Floats, nodes: Ints, cols: Columns, gone: Bools) -> Floats:
    rows = table[nodes] if cols.plain else table[np.ix_(nodes, cols.base)]
    return np.where(gone, 1.0, rows) if gone.any() else rows


def _cluster(tables: WordTables, cluster: Cluster, soft: Soft, cols: Columns, sets: Sets) -> Floats:
    linked = cluster_links(tables, cluster, {sign for told in soft.values() for sign in told}, cols)
    result: Floats = np.ones((1, sets.count))
    open_soft: dict[int, Pair] = {}
    last = -1
    for stage in sorted(soft):
        moved = sets.any(linked & (cols.end > last) & (cols.end <= stage)) if last >= 0 else None
        if moved is not None and moved.any():
            closed = _summed(tables, cluster, open_soft, cols, last, sets)
            result = np.where(moved, result * closed, result)
            open_soft = {s: (np.where(moved, 1.0, on), np.where(moved, 1.0, off)) for s, (on, off) in open_soft.items()}
        for sign, (on, off) in soft[stage].items():
            before = open_soft.get(sign, (np.ones(1), np.ones(1)))
            open_soft[sign] = (before[0] * on, before[1] * off)
        last = stage
    return result * _summed(tables, cluster, open_soft, cols, last, sets)


def _summed(
    tables: WordTables, cluster: Cluster, soft: Mapping[int, Pair], cols: Columns, stage: int, sets: Sets
) -> Floats:
    terms = cluster_terms(tables, cluster, soft, cols, stage, sets)
    return np.asarray(sum((weight for _, weight in terms[1:]), terms[0][1]))


def _choice(table: ChoiceTable, by_stage: Mapping[int, Floats], cols: Columns, sets: Sets) -> Floats:
    linked = table.speaks[cols.base] > 0.0
    result: Floats = np.ones((1, sets.count))
    running: Floats = np.ones((1, len(table.answers), 1))
    last = -1
    for stage in sorted(by_stage):
        moved = sets.any(linked & (cols.end > last) & (cols.end <= stage)) if last >= 0 else None
        if moved is not None and moved.any():
            closed = (choice_chances(table, cols, last, sets) * running).sum(axis=1)
            result = np.where(moved, result * closed, result)
            running = np.where(moved, 1.0, running)
        running = running * by_stage[stage][:, :, None]
        last = stage
    return np.asarray(result * (choice_chances(table, cols, last, sets) * running).sum(axis=1))


def linked_groups(tables: WordTables, told: Told, cols: Columns) -> list[Ints]:
    """The columns that each factor joins, sorted; larger sets outside every group need no evaluation of their own."""
    groups = []
    if len(told.simple):
        touched = np.asarray((tables.off[told.simple] < 1.0) | (tables.left[told.simple] < 1.0))
        groups += [np.flatnonzero(row) for row in touched[:, cols.base]]
    for cluster, soft in told.clusters:
        groups.append(np.flatnonzero(cluster_links(tables, cluster, {s for t in soft.values() for s in t}, cols)))
    groups += [np.flatnonzero(tables.choices[sign].speaks[cols.base]) for sign, _ in told.choices]
    return groups


def not_in_book(tables: WordTables, told: Told, shares: Floats) -> Floats:
    """Log probability of the answers if the cause is not in the book, at each level: (L,).

    Each sign is there with half the book's average chance (over its single causes, weights ``shares`` (C,)) plus
    half of 0.3; a choice is half the book's average and half even. Judgement: "anything goes" for every sign would
    never win, the book's average alone would always.
    """
    chance = stranger_chances(tables, shares)
    there = chance[told.simple]
    each = told.simple_on * there + told.simple_off * (1.0 - there)
    log = np.log(np.maximum(each, TINY)).sum(axis=1)
    for cluster, soft in told.clusters:
        log = log + np.log(np.maximum(_stranger_cluster(tables, cluster, soft, chance), TINY))
    for name, by_stage in told.choices:
        p_answers = stranger_answers(tables.choices[name], shares)
        likelihood = np.prod(np.array(list(by_stage.values())), axis=0)
        log = log + np.log(np.maximum((p_answers * likelihood).sum(axis=-1), TINY))
    return np.asarray(log)


def _stranger_cluster(tables: WordTables, cluster: Cluster, soft: Soft, chance: Floats) -> Floats:
    total: Floats = np.zeros(1)
    for setting in cartesian((0, 1), repeat=len(cluster.states)):
        weight: Floats = np.ones(1)
        for is_on, node in zip(setting, cluster.states, strict=True):
            weight = weight * (chance[node] if is_on else 1.0 - chance[node])
        for sign, (on, off) in _merged(soft).items():
            p = tables.chance[sign] if cluster.states else chance[sign]
            absent = 1.0 - p
            for is_on, node in zip(setting, cluster.states, strict=True):
                absent *= 1.0 - tables.seen[node].get(sign, 0.0) * is_on
            weight = weight * (on[:, 0] + (off - on)[:, 0] * absent)
        total = total + weight
    return total


def _merged(soft: Soft) -> dict[int, Pair]:
    result: dict[int, Pair] = {}
    for told in soft.values():
        for sign, (on, off) in told.items():
            before = result.get(sign, (np.ones((1, 1)), np.ones((1, 1))))
            result[sign] = (before[0] * on, before[1] * off)
    return result
