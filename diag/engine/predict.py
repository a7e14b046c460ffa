"""What would be seen or read next, given each set of causes and everything told so far.

Words follow the noisy-OR nodes, conditional on what is known of the same hidden state. Readings are predicted in a
few imagined cars per set of physical causes, picked by how well they fit the readings already taken, so that what
was measured narrows what will be. Sets with two physical causes take the prediction of the one that moves the
reading more; that is only used to weigh checks against each other, never as evidence.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from weakref import WeakKeyDictionary

import numpy as np

from diag.engine.belief import Belief
from diag.engine.density import normal_below
from diag.engine.evidence import Evidence
from diag.engine.hypotheses import NEVER, Columns, Floats, Ints, columns, padded_sets
from diag.engine.model import Model
from diag.engine.physics_evidence import Asked, Case, Group, Physics, lone
from diag.engine.plant import condition_quantities, holds
from diag.engine.words import (
    choice_chances,
    cluster_terms,
    gather,
    stages_of,
    stranger_answers,
    stranger_chance,
)
from diag.quantities import show
from diag.rulebook.model import ABSENT, PRESENT, ReadingKind, RuleBook, Sign, Yield
from diag.trust.errors import UnknownNameError

FEW_DRAWS = 64  # imagined cars per set of causes when only weighing checks
BINS = 6
EVEN_SHARE = 0.15  # "not in the book": share of a reading spread evenly over what is plausible


@dataclass(frozen=True)
class Spread:
    """What a gauge would show, SI: mean and the limits that hold nine readings of ten."""

    mean: float
    p05: float
    p95: float


class Outlook:
    """Predictions for one belief, made as they are asked for."""

    def __init__(self, model: Model, evidence: Evidence, belief: Belief) -> None:
        self.model = model
        self.evidence = evidence
        self.belief = belief
        self.stages = stages_of(evidence)
        self.stage = self.stages[-1]
        self.cols: Columns = columns(len(model.causes))
        self._chances: dict[Yield, tuple[tuple[str, ...], Floats]] = {}
        # What was told since the last cure speaks of the car as it is now.
        now = [at for at, stage in enumerate(self.stages) if stage == self.stage]
        self.current = Evidence(
            tuple(f for f in evidence.findings if f.epoch in now),
            tuple(r for r in evidence.readings if r.epoch in now),
            evidence.epochs,
            evidence.contexts,
        )

    @cached_property
    def shares(self) -> Floats:
        """Single-cause weights used for "not in the book": (C,)."""
        odds = np.array([c.how_often.share for c in self.model.book.causes.values()])
        return np.asarray(odds / odds.sum())

    # ------------------------------------------------------------------ words

    @cached_property
    def _told(self) -> dict[int, dict[int, tuple[float, float]]]:
        """Per cluster (by its lowest node) the soft answers that hold now: sign node -> (on, off)."""
        told = gather(self.model.words, self.current.findings, [0] * len(self.stages))
        result: dict[int, dict[int, tuple[float, float]]] = {}
        for at, on, off in zip(told.simple, told.simple_on, told.simple_off, strict=True):
            result[int(at)] = {int(at): (float(on), float(off))}
        for cluster, soft in told.clusters:
            result[min((*cluster.states, *cluster.signs))] = dict(soft[0])
        return result

    def sign_present(self, sign: str, rows: Ints) -> Floats:
        """P(a plain sign is there | set, what was told): rows (m, 3) of cause indices, to (m,)."""
        tables = self.model.words
        node = tables.node[sign]
        cluster = tables.cluster_of[node]
        told = self._told.get(min((*cluster.states, *cluster.signs)), {})
        on, off = told.get(node, (1.0, 1.0))
        there = {**told, node: (on, 0.0)}
        gone = {**told, node: (0.0, off)}
        sets = padded_sets(rows)
        yes, no = (
            sum(w for _, w in cluster_terms(tables, cluster, soft, self.cols, 0, sets))  # type: ignore[arg-type]
            for soft in (there, gone)
        )
        return np.asarray(yes / np.maximum(yes + no, 1e-300))

    def _word_table(self, sign: Sign) -> tuple[tuple[str, ...], Floats]:
        rows, slip = self.belief.rows, self.model.book.knobs.sure_wrong
        tables = self.model.words
        if sign.choices:
            table = tables.choices[sign.id]
            chances = choice_chances(table, self.cols, 0, padded_sets(rows)).T
            chances[-1] = stranger_answers(table, self.shares)
            others = max(len(table.answers) - 1, 1)
            return table.answers, (1.0 - slip) * chances + slip * (1.0 - chances) / others
        present = self._seen(sign) if sign.seen_when else self.sign_present(sign.id, rows)
        if not sign.seen_when:
            present[-1] = stranger_chance(tables, tables.node[sign.id], self.shares)
        present = (1.0 - slip) * present + slip * (1.0 - present)
        return (PRESENT, ABSENT), np.stack([present, 1.0 - present], axis=1)

    # ------------------------------------------------------------------ readings

    @cached_property
    def physics(self) -> Physics:
        """The fuel-system side of the model."""
        if self.model.physics is None:
            raise UnknownNameError("reading", "any", ())
        return self.model.physics

    @cached_property
    def singles(self) -> list[Group]:
        """The healthy car and every physical cause by itself."""
        return [(), *(lone(int(at)) for at in np.flatnonzero(self.physics.physical))]

    @cached_property
    def live(self) -> Ints:
        """Numbers of those among ``singles`` that carry weight; others keep their place but are not looked at."""
        weight = np.array([self._weight(g) for g in self.singles])
        return np.flatnonzero(weight > 2e-3)

    def _weight(self, group: Group) -> float:
        return float(self.belief.marginal[group[0][0]]) if group else 1.0

    @cached_property
    def draws(self) -> Ints:
        """For every live set the numbers of the draws that stand for it: (live, FEW_DRAWS)."""
        count = min(FEW_DRAWS, self.physics.count)
        even = (np.arange(count) + 0.5) / count
        first = np.arange(count, dtype=np.intp)
        groups = [self.singles[at] for at in self.live]
        case = self._case()
        if case is None:
            return np.tile(first, (len(groups), 1))
        logs = case.log_draws(groups)
        weights = np.exp(logs - logs.max(axis=1, keepdims=True))
        edges = np.cumsum(weights / weights.sum(axis=1, keepdims=True), axis=1)
        return np.stack([np.minimum(np.searchsorted(e, even), self.physics.count - 1) for e in edges])

    def _case(self) -> Case | None:
        seen = [f for f in self.current.findings if f.sign in self.model.words.physical]
        if not self.current.readings and not seen:
            return None
        return Case(self.physics, self.current, seen, self.stages)

    def _asked(self, quantity: str, point: str, conditions: Mapping[str, float] | None = None) -> Asked:
        redraws = tuple(e.redraws for e in self.evidence.epochs[1:])
        return Asked(quantity, self.physics.frozen_settings(point, conditions or {}), redraws, self.stage)

    @cached_property
    def _row_single(self) -> tuple[Ints, Ints, Ints]:
        """For every row and slot the place among the live singles, -1 for none: three arrays (R,)."""
        place = np.full(len(self.model.causes) + 1, -1, dtype=np.intp)
        for position, number in enumerate(self.live):
            group = self.singles[number]
            if group:
                place[group[0][0]] = position
        slots = place[self.belief.rows]
        return slots[:, 0], slots[:, 1], slots[:, 2]

    def _for_rows(self, tables: Floats, moved: Floats) -> Floats:
        """Give every row the table of its member that moves the quantity most: (live, k), (live,) to (R, k)."""
        best = np.zeros(len(self.belief.rows), dtype=np.intp)  # the healthy car is the first of the live sets
        most = np.full(len(best), -1.0)
        for slot in self._row_single:
            here = np.where(slot >= 0, moved[slot], -1.0)
            best = np.where(here > most, slot, best)
            most = np.maximum(most, here)
        return np.asarray(tables[best])

    def _seen(self, sign: Sign) -> Floats:
        condition = sign.seen_when
        if condition is None:
            raise AssertionError("only called for signs with a condition")
        groups = [self.singles[at] for at in self.live]
        values = {
            name: self.physics.predict_some(groups, self._asked(name, condition.point), self.draws)
            for name in sorted(condition_quantities(condition))
        }
        targets = np.stack([self.physics.target(g)[d] for g, d in zip(groups, self.draws, strict=True)])
        met = holds(condition, values, targets).mean(axis=1)
        present = met * sign.told_right + (1.0 - met) * sign.told_wrongly
        result = self._for_rows(present[:, None], np.abs(present - present[0]))[:, 0]
        result[-1] = 0.5 * float(present.mean()) + 0.25
        return result

    def _reading_table(self, yield_: Yield) -> tuple[tuple[str, ...], Floats]:
        kind = self.model.book.readings[yield_.reading]
        groups = [self.singles[at] for at in self.live]
        values = self.physics.predict_some(groups, self._asked(yield_.reading, yield_.at), self.draws)
        spread = float(np.sqrt(kind.error**2 + kind.model_error**2 + kind.offset**2))
        weight = np.array([self._weight(g) for g in groups])
        weight[0] = max(1.0 - weight[1:].sum(), 0.05)
        edges = bin_edges(values, weight, spread)
        tables = bin_chances(values, edges, spread, kind.misread_spread, self.model.book.knobs.misread)
        rows = self._for_rows(tables, np.abs(values.mean(axis=1) - values[0].mean()))
        rows[-1] = (1.0 - EVEN_SHARE) * weight @ tables / weight.sum() + EVEN_SHARE * _even(edges, kind)
        return bin_labels(edges, kind), rows

    def table(self, yield_: Yield) -> tuple[tuple[str, ...], Floats]:
        """Outcome labels and P(outcome | row) for every row of the belief: (R, k)."""
        if yield_ not in self._chances:
            book: RuleBook = self.model.book
            if yield_.sign:
                if yield_.sign not in book.signs:
                    raise UnknownNameError("sign", yield_.sign, book.signs)
                result = self._word_table(book.signs[yield_.sign])
            else:
                if yield_.reading not in book.readings:
                    raise UnknownNameError("reading", yield_.reading, book.readings)
                result = self._reading_table(yield_)
            self._chances[yield_] = result
        return self._chances[yield_]


_OUTLOOKS: WeakKeyDictionary[Belief, Outlook] = WeakKeyDictionary()


def outlook(model: Model, evidence: Evidence, belief: Belief) -> Outlook:
    """The predictions that go with a belief, kept as long as the belief lives."""
    found = _OUTLOOKS.get(belief)
    if found is None or found.model is not model or found.evidence != evidence:
        found = _OUTLOOKS[belief] = Outlook(model, evidence, belief)
    return found


def outcome_table(
    model: Model, evidence: Evidence, belief: Belief, rows: Ints, yield_: Yield
) -> tuple[tuple[str, ...], Floats]:
    """What a check would give: labels of its outcomes, and P(outcome | row, what was told).

    Args:
        rows: numbers of rows of ``belief``.
        yield_: the sign or the reading asked about.

    Returns:
        Labels (k,) and chances (len(rows), k); a reading's outcomes are up to six bins of about equal chance.

    Raises:
        UnknownNameError: the book has no such sign, reading or point.
    """
    labels, table = outlook(model, evidence, belief).table(yield_)
    return labels, table[rows]


def bin_edges(values: Floats, weight: Floats, spread: float) -> Floats:
    """Inner edges that cut the weighted mixture into about equal shares, at least one ``spread`` apart."""
    flat = values.ravel()
    order = np.argsort(flat, kind="stable")
    mass = np.cumsum(np.repeat(weight / values.shape[1], values.shape[1])[order])
    cuts = flat[order][np.searchsorted(mass, mass[-1] * np.arange(1, BINS) / BINS)]
    edges: list[float] = []
    for cut in cuts:
        if not edges or cut - edges[-1] >= spread:
            edges.append(float(cut))
    return np.array(edges)


def bin_chances(values: Floats, edges: Floats, spread: float, misread: float, chance: float) -> Floats:
    """P(bin | set) averaged over draws, with the instrument's error and misreads: (sets, n) to (sets, bins)."""
    below = np.zeros((len(values), len(edges) + 2))
    below[:, -1] = 1.0
    wide = float(np.hypot(spread, misread))
    for at, edge in enumerate(edges):
        gap = edge - values
        both = (1.0 - chance) * normal_below(gap / spread) + chance * normal_below(gap / wide)
        below[:, at + 1] = both.mean(axis=1)
    return np.maximum(np.diff(below, axis=1), 1e-9)


def _even(edges: Floats, kind: ReadingKind) -> Floats:
    limits = np.clip(np.concatenate([[kind.low], edges, [kind.high]]), kind.low, kind.high)
    return np.asarray(np.diff(limits) / (kind.high - kind.low))


def bin_labels(edges: Floats, kind: ReadingKind) -> tuple[str, ...]:
    """The bins in words, in the usual unit."""
    if not len(edges):
        return ("any value",)
    words = [show(float(e), kind.quantity, figures=3) for e in edges]
    middle = [f"{low} to {high}" for low, high in pairwise(words)]
    return (f"below {words[0]}", *middle, f"above {words[-1]}")


def predicted_reading(
    model: Model,
    causes: Sequence[str],
    reading: str,
    point: str,
    evidence: Evidence,
    conditions: Mapping[str, float] | None = None,
) -> Spread:
    """What the gauge would show if exactly these causes were present, narrowed by the readings already taken.

    Raises:
        UnknownNameError: the book has no such cause, reading or point.
    """
    for cause in causes:
        if cause not in model.index:
            raise UnknownNameError("cause", cause, model.causes)
    if reading not in model.book.readings or model.physics is None:
        raise UnknownNameError("reading", reading, model.book.readings)
    physics, kind = model.physics, model.book.readings[reading]
    group = tuple((at, NEVER) for at in sorted(model.index[c] for c in causes) if physics.physical[at])
    stages = stages_of(evidence)
    redraws = tuple(e.redraws for e in evidence.epochs[1:])
    asked = Asked(reading, physics.frozen_settings(point, conditions or {}), redraws, stages[-1])
    values = physics.predict([group], [asked])[0, :, 0]
    weights = np.full(len(values), 1.0 / len(values))
    seen = [f for f in evidence.findings if f.sign in model.words.physical]
    if evidence.readings or seen:
        logs = Case(physics, evidence, seen, stages).log_draws([group])[0]
        weights = np.exp(logs - logs.max())
        weights /= weights.sum()
    noise = float(np.sqrt(kind.error**2 + kind.model_error**2 + kind.offset**2))
    return _spread(values, weights, noise)


def _spread(values: Floats, weights: Floats, noise: float) -> Spread:
    """Mean and 5 % and 95 % points of the weighted draws blurred by normal noise, found by bisection."""
    mean = float(weights @ values)
    limits = []
    for share in (0.05, 0.95):
        low, high = float(values.min()) - 5.0 * noise, float(values.max()) + 5.0 * noise
        for _ in range(50):
            middle = 0.5 * (low + high)
            below = float(weights @ normal_below((middle - values) / max(noise, 1e-12)))
            low, high = (middle, high) if below < share else (low, middle)
        limits.append(0.5 * (low + high))
    return Spread(mean, limits[0], limits[1])
