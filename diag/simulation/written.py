"""Jobs from hand-written cases: told as written, led by the engine, answered as written as far as the writing goes.

A written case is a job that somebody thought out from the trade and the physics: a story, a car, readings, and what
the trade makes of it (``diag.simulation.expected``). Worked as a simulated job it begins as it was told at the desk,
that is with everything before the first answer given inside a check. From there the engine proposes. What it asks is
answered by the writing when the case holds an answer to the same question in the same stretch of the job (after the
same repairs); where the writing is silent, a hidden car with the true causes and the written physical faults answers,
and a seed picks that car. A desk answer counts for a later question only when it was sure and first hand, and words
hold on through repairs that cannot have changed them. What the case tells later and unasked (a bore measured, a screw
turned) is told once the step written before it has been done.

"By the sheet" no hidden car fills in before the first repair: what the case does not tell is nothing unusual at a
plain look, not known when only asked about, and a step that takes more cannot be done.

What is true: the last expectation before the case's own first repair. Of several names in ``lead`` one is picked by
the seed, and naming any of them counts; ``all`` are there together, with one of ``some`` beside them.

What is the right end: cause gone and closed, as in every trial, but for two kinds of case that are not about a cause.
Where the next step expected is ``stop``, and where an untrained person tells of wet fuel at the desk, the job must
stop, whatever the cause is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from diag.casework.entries import SignAnswer
from diag.casework.replay import ModelCache, model_for
from diag.fuelsystem.draws import healthy_middle
from diag.inference.fault_sets import Floats
from diag.inference.posterior import NOT_IN_BOOK
from diag.inference.readings.conditions import target_of
from diag.inference.readings.damage import seed_of
from diag.rulebook.causes import Cause
from diag.rulebook.findings import ABSENT
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Yield
from diag.safety.steps import WIPE
from diag.simulation.hidden_car import HiddenCar, _Stretch
from diag.simulation.scenario import Answer, Kit, Scenario, Script, Steps, WrittenCase


def written_job(
    written: WrittenCase, number: int, round_: int, seed: int, book: RuleBook, cache: ModelCache,
    by_the_sheet: bool = False,
) -> Scenario:  # fmt: skip
    """Job ``number`` of a trial: this case with the hidden car of this round."""
    own = seed_of("written", str(seed), written.name, str(round_))
    truth = written.truths[own % len(written.truths)] if written.truths else (NOT_IN_BOOK,)
    middle = healthy_middle(written.car)
    hidden = WrittenCar(model_for(book, written.car, cache), truth, own, script=written.script, middle=middle)
    person = written.script.person
    kit: Kit = "phone" if person.by_phone else "full" if person.tools is None else "lean"
    return Scenario(
        number, "written", kit, truth, {}, (), (), person.person, person.by_phone,
        None if person.tools is None else frozenset(person.tools), book.knobs.sure_wrong, hidden, written,
        by_the_sheet=by_the_sheet,
    )  # fmt: skip


# ------------------------------------------------------------------ the car


@dataclass(frozen=True, eq=False)
class WrittenCar(HiddenCar):
    """The car that the case is about: it answers as written, and otherwise as the middle car with the written faults.

    The readings of a written case are those of the middle car, so silent readings come from it too; a part that a
    repair renewed is drawn as in any hidden car. Instruments and words keep their luck.
    """

    script: Script = field(default_factory=Script)
    middle: Mapping[str, float] = field(default_factory=dict)

    def told(self, asked: Yield, epoch: int | None = None, take: int = 1) -> Answer | None:
        """What the case says to this question, None where it is silent; the last answer stands for later takes."""
        key = ("", asked.sign) if asked.sign else (asked.reading, asked.at)
        epoch = self.epoch if epoch is None else epoch
        done = self._done(epoch)
        for since in range(epoch, -1, -1):
            found = self.script.answers.get(done[:since], {}).get(key)
            if found:
                answer = found[min(take, len(found)) - 1]
                return answer if since == epoch or self._lasts(answer, since, epoch) else None
        return None

    def _lasts(self, answer: Answer, since: int, epoch: int) -> bool:
        """Whether an answer of an earlier stretch still holds: words do, until a cure or a rag could change them."""
        if not isinstance(answer, SignAnswer):
            return False
        book = self.model.book
        sign = book.signs[answer.sign]
        if sign.seen_when is not None or answer.answer == ABSENT:
            return sign.seen_when is None  # no repair makes a sign
        if sign.wet and WIPE in self._done(epoch)[since:]:
            return False
        speaking = {c for c in self.present(since) if c in book.causes and _speaks_of(book.causes[c], sign.id, book)}
        left = speaking & set(self.present(epoch))
        return bool(left) or not speaking  # what two faults have a say in stays until both are gone

    def answer(
        self, asked: Yield, epoch: int | None = None, wrong: float | None = None, take: int = 1,
        misread: float | None = None, invents: float = 1.0,
    ) -> str | float:  # fmt: skip
        """As written, without a slip of its own; else as any hidden car."""
        told = self.told(asked, epoch, take)
        if told is None:
            return super().answer(asked, epoch, wrong, take, misread, invents)
        return told.answer if isinstance(told, SignAnswer) else told.value

    def _done(self, epochs: int) -> Steps:
        return tuple(s.epoch.step for s in self.stretches[1 : epochs + 1])

    def _chance(self, *names: str) -> float:
        works = names[0] == "botch" and names[1] in self.script.cured
        return 1.0 if works else super()._chance(*names)

    def _drawn(self, redraws: tuple[frozenset[str], ...], sizing: frozenset[int]) -> dict[str, Floats]:
        drawn = super()._drawn(redraws, sizing)
        renewed = frozenset().union(*redraws)
        return {n: v if n in renewed or n not in self.middle else np.array([self.middle[n]]) for n, v in drawn.items()}

    def _target(self) -> Floats:
        return target_of({n: np.array([v]) for n, v in self.middle.items()}) if self.middle else super()._target()

    @property
    def _coming_and_going(self) -> frozenset[str]:
        """None: a case tells itself how its car was met."""
        return frozenset()

    def _parameters(self, stretch: _Stretch, resting: frozenset[str] = frozenset()) -> dict[str, Floats]:
        """The written faults in place of what the causes would do to the same parameters, until they are cured."""
        result = super()._parameters(stretch, resting)
        epochs = len(stretch.redraws)
        done, present = self._done(epochs), self.present(epochs)
        for step, values in self.script.faults:
            if step and step not in done:
                continue
            since = done.index(step) + 1 if step else 0
            for name, value in values.items():
                acting = [c for c in self.causes if self._acts_on(c, name)]
                renewed = any(name in names for names in stretch.redraws[since:])
                if any(c in present for c in acting) or (not acting and not renewed):
                    result[name] = np.array([value])
        return result

    def _acts_on(self, cause: str, parameter: str) -> bool:
        return cause in self.model.book.causes and any(
            effect.parameter == parameter for effect in self.model.book.causes[cause].acts_on
        )


def _speaks_of(cause: Cause, sign: str, book: RuleBook) -> bool:
    """Whether a cause has a say in a sign: by itself, as a choice, or through the state behind it."""
    behind = {state.id for state in book.states.values() if sign in state.seen_as}
    return sign in cause.answers or bool(cause.shows.keys() & {sign, *behind})


def as_written(hidden: HiddenCar, asked: Yield, take: int = 1) -> Answer | None:
    """What the written case says to a question, None where it is silent or the car comes from no case."""
    return hidden.told(asked, None, take) if isinstance(hidden, WrittenCar) else None
