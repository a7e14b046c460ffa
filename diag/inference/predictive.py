"""What would be seen or read next, given each set of causes and everything told so far.

Words follow the noisy-OR nodes, conditional on what is known of the same hidden state. Readings are predicted in a
few imagined cars per set of physical causes, picked by how well they fit the readings already taken, so that what
was measured narrows what will be. Sets with two physical causes take the prediction of the one that moves the
reading more; that is only used to weigh checks against each other, never as evidence.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cached_property

import numpy as np

from diag.inference.bins import bin_chances, bin_edges, bin_labels, even_chances
from diag.inference.evidence import Evidence
from diag.inference.fault_sets import Columns, Floats, Ints, columns, of_strongest, padded_sets
from diag.inference.fleeting import rest_in
from diag.inference.kept import array_bytes
from diag.inference.model import Model
from diag.inference.noisy_or import (
    choice_chances,
    cluster_terms,
    shown_alone,
    shown_too,
    stages_of,
    stranger_answers,
)
from diag.inference.posterior import Belief
from diag.inference.readings.asked_of_book import asked_of_checks
from diag.inference.readings.likelihood import STRANGE
from diag.inference.readings.predictor import FEW_DRAWS, Asked, Group, Physics, lone
from diag.inference.readings.sights import answer_chances, needs, told_chance
from diag.inference.readings.told_case import Case, flattened
from diag.inference.word_likelihood import choice_likelihood, gather
from diag.rulebook.derived import derived
from diag.rulebook.findings import ABSENT, PRESENT, Sign
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Yield
from diag.support.errors import UnknownNameError

LEAST_SAMPLE = 8.0
EVEN_SHARE = 0.15  # "not in the book": share of a reading spread evenly over what is plausible


class Outlook:
    """Predictions for some rows of one belief, made as they are asked for."""

    def __init__(self, model: Model, evidence: Evidence, belief: Belief, numbers: Ints, one: bool = False) -> None:
        """Predictions for these rows; with ``one`` a single thing is asked, so that nothing is worked out for all."""
        self.one = one
        self.model = model
        self.evidence = evidence
        self.belief = belief
        self.numbers = numbers
        self.rows = belief.rows[numbers]
        self.strangers = np.flatnonzero(numbers == len(belief.rows) - 1)  # rows that mean "not in the book"
        self.stages = stages_of(evidence)
        self.stage = self.stages[-1]
        self.cols: Columns = columns(len(model.causes))
        self.sets = padded_sets(self.rows)
        self.words = model.words_for(evidence)
        self._own = object()
        # What was told since the last cure speaks of the car as it is now.
        now = {at for at, stage in enumerate(self.stages) if stage == self.stage}
        self.current = replace(
            evidence,
            findings=tuple(f for f in evidence.findings if f.epoch in now),
            readings=tuple(r for r in evidence.readings if r.epoch in now),
        )

    # ------------------------------------------------------------------ words

    @cached_property
    def _told(self) -> dict[int, dict[int, tuple[float, float]]]:
        """Per cluster (by its lowest node) the soft answers that hold now: sign node -> (on, off)."""
        told = gather(self.words, self.current.findings, [0] * len(self.stages))
        result: dict[int, dict[int, tuple[float, float]]] = {}
        for at, on, off in zip(told.simple, told.simple_on[0], told.simple_off[0], strict=True):
            result[int(at)] = {int(at): (float(on), float(off))}
        for cluster, soft in told.clusters:
            sides = {sign: (on.item(), off.item()) for sign, (on, off) in soft[0].items()}
            result[min((*cluster.states, *cluster.signs))] = sides
        return result

    def _before(self, nodes: Ints) -> Floats:
        """P(node is there | row) before any answer: (n, m)."""
        tables = self.words
        there = 1.0 - (1.0 - tables.chance[nodes])[:, None] * self.sets.product(tables.off[nodes])
        hides = np.flatnonzero(tables.has_hides[nodes])
        if len(hides):
            there[hides] *= self.sets.product(tables.left[nodes[hides]])
        return np.asarray(there)

    @property
    def _plain(self) -> Floats:
        """P(told there, told not there | row) of all nodes, as if nothing was told of any of them: (n, m, 2)."""

        def plain() -> Floats:
            tables = self.words
            there = shown_too(tables, self._before(np.arange(len(tables.chance))))
            there[:, self.strangers] = self.model.stranger_chances[:, None]
            return self._told_table(there)

        return self.model.place.made((self._own, "plain"), plain, array_bytes)

    def _plain_of(self, node: int) -> Floats:
        """The same of one node: (m, 2)."""
        if not self.one:
            return np.asarray(self._plain[node])
        there = shown_alone(self.words, node, lambda at: self._before(np.array([at]))[0])
        there[self.strangers] = self.model.stranger_chances[node]
        return self._told_table(there)

    @property
    def slip(self) -> float:
        """The chance that the next answer is wrong, as far as whoever answers has shown."""
        return self.model.book.knobs.sure_wrong if self.belief.slip is None else self.belief.slip

    def _told_table(self, present: Floats, care: float = 1.0) -> Floats:
        """With the slip of whoever answers, more careful when asked again: (...,) to (..., 2)."""
        slip = self.slip * care
        invented = slip * self.model.book.knobs.witness_invents
        result = np.empty((*present.shape, 2))
        result[..., 0] = invented + (1.0 - slip - invented) * present
        np.subtract(1.0, result[..., 0], out=result[..., 1])
        return result

    def _again(self, node: int, told: Mapping[int, tuple[float, float]]) -> Floats:
        """P(a plain sign is there | row, what was told of it and of its neighbours): (m,)."""
        tables = self.words
        on, off = told.get(node, (1.0, 1.0))
        yes, no = (
            sum(w for _, w in cluster_terms(tables, tables.cluster_of[node], soft, self.cols, 0, self.sets))
            for soft in ({**told, node: (on, 0.0)}, {**told, node: (0.0, off)})
        )
        return np.asarray(yes / np.maximum(yes + no, 1e-300))

    def _word_table(self, sign: Sign) -> tuple[tuple[str, ...], Floats]:
        tables = self.words
        if sign.choices:
            return self._choice_table(sign)
        if sign.seen_when:
            return (PRESENT, ABSENT), self._told_table(self._seen(sign))
        node = tables.node[sign.id]
        cluster = tables.cluster_of[node]
        told = self._told.get(min((*cluster.states, *cluster.signs)))
        if told is None:
            return (PRESENT, ABSENT), self._plain_of(node)
        present = self._again(node, told)
        present[self.strangers] = self.model.stranger_chances[node]
        return (PRESENT, ABSENT), self._told_table(present, self._care(sign.id))

    def _care(self, sign: str) -> float:
        """What is left of a slip when the question was answered before and is put again."""
        asked = any(f.sign == sign for f in self.current.findings)
        return self.model.book.knobs.asked_again if asked else 1.0

    def _choice_table(self, sign: Sign) -> tuple[tuple[str, ...], Floats]:
        table = self.words.choices[sign.id]
        chances = choice_chances(table, self.cols, 0, self.sets).T
        chances[self.strangers] = stranger_answers(table, self.model.shares)
        if sign.graded and self.model.physics is not None:
            chances = chances * self._graded(sign, table.answers)
        for finding in self.current.findings:
            if finding.sign == sign.id:
                chances = chances * choice_likelihood(table, finding, np.array([finding.wrong]))[0]
        chances = chances / np.maximum(chances.sum(axis=1, keepdims=True), 1e-300)
        slip = self.slip * self._care(sign.id)
        others = max(len(table.answers) - 1, 1)
        return table.answers, (1.0 - slip) * chances + slip * (1.0 - chances) / others

    # ------------------------------------------------------------------ readings

    @cached_property
    def physics(self) -> Physics:
        """The fuel-system side of the model."""
        if self.model.physics is None:
            raise UnknownNameError("reading", "any", ())
        return self.model.physics

    @cached_property
    def live(self) -> list[Group]:
        """The healthy car, and every physical cause that carries weight, by itself."""
        there = self.physics.physical & (self.belief.marginal > 2e-3)
        return [(), *(lone(int(at)) for at in np.flatnonzero(there))]

    @cached_property
    def share(self) -> Floats:
        """Weight of every live set in the mixture that cuts the bins."""
        weight = np.array([1.0, *(self.belief.marginal[g[0][0]] for g in self.live[1:])])
        weight[0] = max(1.0 - weight[1:].sum(), 0.05)
        return np.asarray(weight / weight.sum())

    @cached_property
    def _rest(self) -> Floats:
        """Chance of every live set that the next look comes between two bouts of a fault that comes and goes."""
        rest = rest_in(self.model.book, self.model.causes, self.evidence)
        return np.array([0.0, *(rest[group[0][0]] for group in self.live[1:])])

    def _met(self, tables: Floats) -> Floats:
        """Chances of outcomes (live, k), with those of the sound car for the looks between two bouts."""
        return np.asarray((1.0 - self._rest)[:, None] * tables + self._rest[:, None] * tables[0])

    @property
    def count(self) -> int:
        """Draws per set."""
        return min(FEW_DRAWS, self.physics.draws)

    @cached_property
    def weights(self) -> Floats:
        """How well each draw fits the readings taken so far: (live, n), rows sum to one.

        Flattened where fewer than ``LEAST_SAMPLE`` draws would speak, so that a check is not thought to tell more
        than it can.
        """
        signs = self.model.book.signs
        seen = [f for f in self.current.findings if signs[f.sign].by_physics(f.choices)]
        if not self.current.readings and not seen:
            return np.full((len(self.live), self.count), 1.0 / self.count)
        case = Case(self.physics, self.current, seen, self.stages)
        return flattened(case.log_draws(self.live, self.count), LEAST_SAMPLE)

    def _values(self, quantity: str, point: str) -> Floats:
        if not self.one:
            _ = self._foreseen
        settings = self.physics.frozen_settings(point, {})
        if any(self._redraws):
            asked = Asked(quantity, settings, self._redraws, self.stage)
            return np.asarray(self.physics.predict(self.live, [asked], self.count)[..., 0])
        return self.physics.predict_lone(quantity, settings, self.count)[self._lone]

    @cached_property
    def _redraws(self) -> tuple[frozenset[str], ...]:
        return tuple(e.redraws for e in self.evidence.epochs[1:])

    @cached_property
    def _foreseen(self) -> None:
        """Predict all that any check asks: whoever weighs one weighs them all, and solved together they cost half."""
        settings = self.physics.frozen_settings
        wanted = [(quantity, settings(point, {})) for point, quantity in derived(self.model.book, asked_of_checks)]
        if any(self._redraws):
            asked = [Asked(quantity, frozen, self._redraws, self.stage) for quantity, frozen in wanted]
            self.physics.predict(self.live, asked, self.count)
        else:
            self.physics.predict_all_lone(wanted, self.count)

    @cached_property
    def _lone(self) -> Ints:
        """Places of the live sets in the table of all single causes."""
        return np.array([self.physics.place_of[group[0][0]] if group else 0 for group in self.live], dtype=np.intp)

    @cached_property
    def _targets(self) -> Floats:
        return self.physics.targets(self.live, self.count)

    @cached_property
    def _slots(self) -> Ints:
        """For every row and slot the place among the live sets, -1 for none: (m, 3)."""
        place = np.full(len(self.model.causes) + 1, -1, dtype=np.intp)
        for position, group in enumerate(self.live):
            if group:
                place[group[0][0]] = position
        return np.asarray(place[self.rows])

    def _for_rows(self, tables: Floats, moved: Floats) -> Floats:
        return of_strongest(tables, moved, self._slots)

    def _behind(self, sign: Sign) -> tuple[dict[tuple[str, str], Floats], Floats, Floats]:
        values = {(point, name): self._values(name, point) for point, name in needs(sign)}
        return values, self._targets, self.physics.dullness(self.count)

    def _seen(self, sign: Sign) -> Floats:
        told = told_chance(sign, *self._behind(sign))
        present = self._met((told * self.weights).sum(axis=1, keepdims=True))[:, 0]
        result = self._for_rows(present[:, None], np.abs(present - present[0]))[:, 0]
        result[self.strangers] = 0.5 * float(self.share @ present) + STRANGE
        return result

    def _graded(self, sign: Sign, answers: Sequence[str]) -> Floats:
        """What the physics says of every answer, against an even spread: (m, k); 1 where it has no say."""
        each = answer_chances(sign, *self._behind(sign))
        told = self._met(np.stack([(each[a] * self.weights).sum(axis=1) for a in each], axis=1))
        rows = self._for_rows(told, np.abs(told - told[0]).sum(axis=1))
        rows[self.strangers] = 0.5 * self.share @ told + 0.5 / len(each)
        result = np.ones((len(rows), len(answers)))
        result[:, [answers.index(a) for a in each]] = rows * len(each)
        return result

    def _reading_table(self, yield_: Yield) -> tuple[tuple[str, ...], Floats]:
        kind = self.model.book.readings[yield_.reading]
        values = self._values(yield_.reading, yield_.at)
        spread = float(np.sqrt(kind.error**2 + kind.model_error**2 + kind.offset**2))
        edges = bin_edges(values, self.weights * self.share[:, None], spread)
        misread = kind.misread_spread, self.model.book.knobs.misread
        tables = self._met(bin_chances(values, self.weights, edges, spread, misread))
        means = (values * self.weights).sum(axis=1)
        rows = self._for_rows(tables, np.abs(means - means[0]))
        rows[self.strangers] = (1.0 - EVEN_SHARE) * self.share @ tables + EVEN_SHARE * even_chances(edges, kind)
        return bin_labels(edges, kind), rows

    def table(self, yield_: Yield) -> tuple[tuple[str, ...], Floats]:
        """Outcome labels and P(outcome | row): (m, k)."""
        # An object of its own stands for this outlook, which the shelf must not hold.
        return self.model.place.made(
            (self._own, yield_), lambda: self._table(yield_), lambda made: array_bytes(made[1])
        )

    def _table(self, yield_: Yield) -> tuple[tuple[str, ...], Floats]:
        book: RuleBook = self.model.book
        if yield_.sign:
            if yield_.sign not in book.signs:
                raise UnknownNameError("sign", yield_.sign, book.signs)
            return self._word_table(book.signs[yield_.sign])
        if yield_.reading not in book.readings:
            raise UnknownNameError("reading", yield_.reading, book.readings)
        return self._reading_table(yield_)


def outlook(model: Model, evidence: Evidence, belief: Belief, rows: Ints) -> Outlook:
    """The predictions that go with rows of a belief; the last few are remembered."""
    for kept in model.outlooks:
        if not isinstance(kept, Outlook):
            continue
        same = kept.belief is belief and kept.evidence is evidence
        if same and (kept.numbers is rows or np.array_equal(kept.numbers, rows)):
            return kept
    found = Outlook(model, evidence, belief, rows)
    model.outlooks.append(found)
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
    return outlook(model, evidence, belief, np.asarray(rows, dtype=np.intp)).table(yield_)
