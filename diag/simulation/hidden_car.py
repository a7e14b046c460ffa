"""A hidden car for simulated jobs and practice: what is really wrong is fixed, and every question has an answer.

Pure: the same model, causes and seed always give the same car, and an answer does not depend on what was asked
before it. The car is one imagined car of its hypothesis, from draws of its own (the engine never sees them), kept
through the whole job: readings come from solving its parameters, and signs from the book's links. Steps that change
the car start epochs as in the evidence; a remedy cures its causes, or is botched with the book's chance.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from diag.inference.evidence import Epoch, redraws_of
from diag.inference.fault_sets import NEVER, Floats, Sets, columns, padded_sets
from diag.inference.fleeting import ONE_STATE, SHOWS_FROM
from diag.inference.noisy_or import choice_chances, presence, stranger_answers
from diag.inference.posterior import NOT_IN_BOOK
from diag.inference.readings.damage import applied, seed_of, severity, within_travel
from diag.inference.readings.predictor import Asked, Group, Physics
from diag.inference.readings.sights import answer_chances, needs, told_chance
from diag.rulebook.causes import Effect
from diag.rulebook.findings import ABSENT, PRESENT, Sign
from diag.rulebook.steps import Action, Remedy, Yield
from diag.safety.steps import WIPE
from diag.simulation.chances import linked, picked
from diag.support.errors import UnknownNameError

if TYPE_CHECKING:
    from diag.inference.model import Model

OWN_DRAWS = 509  # prime, so that no column repeats the engine's own draws, whose number is a power of two


@dataclass(frozen=True, slots=True)
class _Stretch:
    """One epoch of the hidden car: its stage (cures so far), and the redraws up to it."""

    epoch: Epoch
    stage: int
    redraws: tuple[frozenset[str], ...]


@dataclass(frozen=True, eq=False)
class HiddenCar:
    """What is really there.

    Args:
        model: the compiled book and car the world follows; it need not be the one that judges it.
        causes: ids of what is wrong; empty for nothing, ``("not-in-book",)`` for something the book does not know.
        seed: picks this car among all with the same causes.
    """

    model: Model
    causes: tuple[str, ...]
    seed: int
    stretches: tuple[_Stretch, ...] = (_Stretch(Epoch(), 0, ()),)
    ends: tuple[tuple[str, int], ...] = ()  # cause id and the stage from which it is cured
    _known: dict[object, float] = field(default_factory=dict, repr=False)

    def __post_init__(self) -> None:
        for cause in self.causes:
            if cause != NOT_IN_BOOK and cause not in self.model.index:
                raise UnknownNameError("cause", cause, (*self.model.causes, NOT_IN_BOOK))

    # ------------------------------------------------------------------ the course of the job

    @property
    def epoch(self) -> int:
        """The present epoch."""
        return len(self.stretches) - 1

    def present(self, epoch: int | None = None) -> tuple[str, ...]:
        """The causes that are still there."""
        stage = self._at(epoch).stage
        ended = {cause for cause, end in self.ends if end <= stage}
        return tuple(c for c in self.causes if c not in ended)

    def after(self, step_id: str) -> HiddenCar:
        """The car after an action or a remedy; checks and setups change nothing.

        A remedy cures those of its causes that are there, each unless botched; ``present`` says what is left.
        """
        book = self.model.book
        step: Remedy | Action | None = book.remedies.get(step_id) or book.actions.get(step_id)
        if step is None:
            return self
        last = self.stretches[-1]
        cured: list[str] = []
        if isinstance(step, Remedy) and step.keeps_car:
            meant = [c for c in self.present() if c in book.causes and step_id in book.causes[c].remedies]
            cured = [c for c in meant if self._chance("botch", c, str(len(self.stretches))) >= step.botch]
        stage = last.stage + bool(cured)
        epoch = Epoch(redraws_of(step), frozenset(cured), step=step_id)
        stretch = _Stretch(epoch, stage, (*last.redraws, redraws_of(step)))
        return replace(
            self, stretches=(*self.stretches, stretch), ends=(*self.ends, *((c, stage) for c in cured)), _known={}
        )

    def _at(self, epoch: int | None) -> _Stretch:
        return self.stretches[-1 if epoch is None else epoch]

    # ------------------------------------------------------------------ answers

    def answer(
        self,
        asked: Yield,
        epoch: int | None = None,
        wrong: float | None = None,
        take: int = 1,
        misread: float | None = None,
        invents: float = 1.0,
    ) -> str | float:
        """What a person reports: a sign's answer, or what the gauge shows (SI).

        Args:
            epoch: the stretch of the job; the present one by default.
            wrong: chance that an answer in words is not what is there; the book's figure for a sure answer by default.
            take: how many times this was read or asked in this stretch, for another error each time; what is asked
                again is answered with more care.
            misread: chance that the instrument is misread; the book's figure by default.
            invents: share of ``wrong`` with which "present" is said of what is absent.
        """
        if asked.sign:
            there = self.sign(asked.sign, epoch)
            wrong = self.model.book.knobs.sure_wrong if wrong is None else wrong
            wrong *= invents if there == ABSENT else 1.0
            when = (str(self._count(epoch)), *((str(take),) if take > 1 else ()))
            if self._chance("slip", asked.sign, *when) >= wrong * (
                self.model.book.knobs.asked_again if take > 1 else 1
            ):
                return there
            others = [a for a in self.model.book.signs[asked.sign].possible if a != there]
            return others[int(self._chance("which slip", asked.sign, *when) * len(others))]
        return self.shown(asked.reading, asked.at, epoch, take, misread)

    def sign(self, sign_id: str, epoch: int | None = None) -> str:
        """What is really to be seen: present, absent or a choice."""
        book = self.model.book
        if sign_id not in book.signs:
            raise UnknownNameError("sign", sign_id, book.signs)
        sign = book.signs[sign_id]
        if sign.choices:
            return self._choice(sign, epoch)
        present = self._seen(sign, epoch) if sign.seen_when else self._worded(sign_id, epoch)
        return PRESENT if present else ABSENT

    def shown(
        self, reading: str, point: str, epoch: int | None = None, take: int = 1, misread: float | None = None
    ) -> float:
        """What the instrument shows: the true value with its error, the model's, its offset, and at times a misread."""
        book = self.model.book
        kind = book.readings.get(reading)
        if kind is None:
            raise UnknownNameError("reading", reading, book.readings)
        gauge = str(book.points[point].settings.get("gauge", "main")) if point in book.points else "main"
        count = str(self._count(epoch))
        value = self.true(reading, point, epoch, self._resting(f"{reading} {point}", epoch))
        # The model's own error belongs to this car and condition: asking twice does not average it out.
        value += kind.model_error * self._normal("model", reading, point)
        swapped = max((at for at, names in enumerate(self._at(epoch).redraws, 1)
                       if names & {"gauge offset", "sensor offset"}), default=0)  # fmt: skip
        value += kind.offset * self._normal("offset", kind.instrument, gauge, str(swapped))
        spread = kind.error
        again = (count, str(take)) if take > 1 else (count,)
        if self._chance("misread", reading, point, *again) < (book.knobs.misread if misread is None else misread):
            spread = float(np.hypot(spread, kind.misread_spread))
        value += spread * self._normal("error", reading, point, *again)
        return float(np.clip(value, kind.low, kind.high))

    def true(self, quantity: str, point: str, epoch: int | None = None, resting: frozenset[str] = frozenset()) -> float:
        """The value behind the instrument's random errors, SI; a faulty instrument still shows its fault.

        Args:
            resting: causes that come and go and do not show at this moment.
        """
        stretch = self._at(epoch)
        key = (quantity, point, len(stretch.redraws), stretch.stage, resting)
        if key not in self._known:
            settings = self._physics.frozen_settings(point, {})
            solved = self._physics.plant.solve(self._parameters(stretch, resting), dict(settings), [quantity])
            self._known[key] = float(np.asarray(solved[quantity]).ravel()[0])
        return self._known[key]

    # ------------------------------------------------------------------ how the draws are made

    @property
    def _physics(self) -> Physics:
        if self.model.physics is None:
            raise UnknownNameError("reading", "any", ())
        return self.model.physics

    def _count(self, epoch: int | None) -> int:
        return len(self._at(epoch).redraws)

    def _chance(self, *names: str) -> float:
        """A number in [0, 1) that depends on the car's seed and these names alone."""
        return seed_of(str(self.seed), *names) / 2.0**64

    def _normal(self, *names: str) -> float:
        return float(np.random.default_rng(seed_of(str(self.seed), *names)).standard_normal())

    def _group(self) -> Group:
        ends = dict(self.ends)
        found = sorted((self.model.index[c], ends.get(c, NEVER)) for c in self.causes if c in self.model.index)
        return tuple((at, end) for at, end in found if self._physics.physical[at])

    def as_built(self) -> dict[str, float]:
        """The parameters this car came with, SI, before any damage: what its papers and its owner could tell."""
        group = self._group()
        _, sizing, _ = self._physics.key(group, Asked("", (), (), 0))
        return {name: float(value[0]) for name, value in self._drawn((), sizing).items()}

    def _number(self) -> slice:
        number = int(self._chance("car") * OWN_DRAWS)
        return slice(number, number + 1)

    def _drawn(self, redraws: tuple[frozenset[str], ...], sizing: frozenset[int]) -> dict[str, Floats]:
        pool = self._physics.pool_of(OWN_DRAWS)
        here = self._number()
        return within_travel(
            {
                name: pool.taken(name, pool.places(name, sizing, OWN_DRAWS)[here], redraws)
                for name in pool.draws(redraws)
            }
        )

    def _parameters(self, stretch: _Stretch, resting: frozenset[str] = frozenset()) -> dict[str, Floats]:
        physics = self._physics
        showing = tuple(one for one in self._group() if physics.causes[one[0]].id not in resting)
        _, sizing, effects = physics.key(showing, Asked("", (), stretch.redraws, stretch.stage))
        result = self._drawn(stretch.redraws, sizing)
        for at, which in effects:
            effect = physics.causes[at].acts_on[which]
            amount = self._amount(physics.causes[at].id, effect)
            result[effect.parameter] = np.asarray(applied(result[effect.parameter], effect, amount))
        return self._altered(result)

    def _amount(self, cause: str, effect: Effect) -> Floats:
        """How bad an effect is on this car: (1,)."""
        return severity(cause, effect, OWN_DRAWS)[self._number()]

    def _altered(self, parameters: dict[str, Floats]) -> dict[str, Floats]:
        """What else is odd about this car; nothing here, more in cars that are harder than the book."""
        return parameters

    def _seen(self, sign: Sign, epoch: int | None) -> bool:
        # A complaint tells of the bout; anything else is as it is at this moment.
        resting = frozenset() if sign.symptom else self._resting(sign.id, epoch)
        chance = told_chance(sign, *self._behind(sign, resting, epoch))
        return self._chance("told", sign.id) < float(chance[0])

    def _behind(
        self, sign: Sign, resting: frozenset[str], epoch: int | None
    ) -> tuple[dict[tuple[str, str], Floats], Floats, Floats]:
        """What decides a sign in this car: the quantities, its target, and how dull its teller is."""
        values = {(point, name): np.array([self.true(name, point, epoch, resting)]) for point, name in needs(sign)}
        return values, self._target(), np.array([self._normal("dullness")])

    def _target(self) -> Floats:
        pool = self._physics.pool_of(OWN_DRAWS)
        sizing = frozenset(at for at, _ in self._group() if at in self._physics.sizing)
        return pool.targets(sizing, OWN_DRAWS)[self._number()]

    def _resting(self, look: str, epoch: int | None) -> frozenset[str]:
        """The causes that come and go and do not show at this look; most visits are in one state."""
        coming = self._coming_and_going
        if not coming:
            return coming
        count, rest = str(self._count(epoch)), self.model.book.knobs.between_bouts
        one_state = self._chance("one state", count) < ONE_STATE
        at_rest = self._chance("bout", count, "" if one_state else look) < rest
        return coming if at_rest else frozenset()

    @cached_property
    def _coming_and_going(self) -> frozenset[str]:
        """Those of this car's causes that show a coming and going which is there on it."""
        book = self.model.book
        named = [s.id for s in book.signs.values() if s.comes_and_goes and self._worded(s.id, 0)]
        return frozenset(
            c for c in self.causes
            if c in book.causes and any(book.causes[c].shows.get(s, 0.0) >= SHOWS_FROM for s in named)
        )  # fmt: skip

    def _row(self, epoch: int | None, sign: str = "") -> Sets:
        resting = self._resting(sign, epoch) if sign in self.model.momentary else frozenset()
        here = [self.model.index[c] for c in self.present(epoch) if c in self.model.index and c not in resting]
        size = len(self.model.causes)
        return padded_sets(np.array([[*here, *[size] * (3 - len(here))]], dtype=np.intp))

    def _cures(self, touched: Collection[int], epoch: int | None) -> str:
        """How many cures mattered to a sign so far: until then it stays as it was."""
        stage = self._at(epoch).stage
        return str(sum(end <= stage and self.model.index.get(cause, -1) in touched for cause, end in self.ends))

    def _stranger(self, epoch: int | None) -> bool:
        return NOT_IN_BOOK in self.present(epoch)

    def _worded(self, sign_id: str, epoch: int | None) -> bool:
        tables = self.model.words
        node = tables.node[sign_id]
        cluster = tables.cluster_of[node]
        absent = 1.0 - self._node(node, epoch)[0]
        for state in cluster.states:
            there, cures = self._node(state, epoch)
            if self._chance("state", tables.names[state], cures) < there:
                absent *= 1.0 - tables.seen[state].get(node, 0.0)
        touched = [c for n in (node, *cluster.states) for c in linked(tables.off[n], tables.left[n])]
        return self._chance("sign", sign_id, self._cures(touched, epoch)) < 1.0 - absent

    def _node(self, node: int, epoch: int | None) -> tuple[float, str]:
        """The chance that a sign or state is there by itself, and how many cures mattered to it."""
        tables = self.model.words
        cures = self._cures(linked(tables.off[node], tables.left[node]), epoch)
        if self._stranger(epoch):
            return float(self.model.stranger_chances[node]), cures
        cols = columns(len(self.model.causes))
        there = float(presence(tables, node, cols, 0, self._row(epoch, tables.names[node]))[0])
        if self._wiped(tables.names[node], epoch):
            usual = float(tables.chance[node])
            there = max(there - usual, 0.0) / (1.0 - usual)  # only what a cause makes wet comes back
        return there, cures

    def _wiped(self, sign_id: str, epoch: int | None) -> bool:
        """Whether a place that may be wet was wiped dry since the car came in."""
        sign = self.model.book.signs.get(sign_id)
        last = self.epoch if epoch is None else epoch
        return sign is not None and sign.wet and any(s.epoch.step == WIPE for s in self.stretches[: last + 1])

    def _choice(self, sign: Sign, epoch: int | None) -> str:
        table = self.model.words.choices[sign.id]
        if self._stranger(epoch):
            chances = stranger_answers(table, self.model.shares)
        else:
            chances = choice_chances(table, columns(len(self.model.causes)), 0, self._row(epoch, sign.id))[:, 0]
        cures = self._cures(np.flatnonzero(table.speaks).tolist(), epoch)
        answer = picked(table.answers, chances, self._chance("sign", sign.id, cures))
        return self._graded(sign, epoch) if answer in [a.id for a in sign.graded] else answer

    def _graded(self, sign: Sign, epoch: int | None) -> str:
        """Which of the answers that the physics decides it is."""
        each = answer_chances(sign, *self._behind(sign, self._resting(sign.id, epoch), epoch))
        return picked(list(each), np.array([chance[0] for chance in each.values()]), self._chance("told", sign.id))
