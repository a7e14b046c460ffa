"""The auditor's own knowledge of what hurts: each danger bars what it bars, is over only when repaired, words included.

Written from the trade and from field cases with advice that fails them, not from the stop rules of the book.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import pytest

from diag.casework.entries import CarFact, PersonTold, ReadingTaken, SignAnswer, StepDone
from diag.evaluation.audit import Auditor
from diag.evaluation.audit_dangers import DANGERS, MOST, Danger, DangerWatch, bad_advice
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Step
from diag.rulebook.where import rules_folder
from tests.decision import steps

AT = "2026-01-01T08:00:00Z"


@lru_cache
def shipped() -> RuleBook:
    return load_book(rules_folder())


class Job:
    """Entries told to an auditor, on a car looked over dry, by a mechanic with a helper."""

    def __init__(self) -> None:
        self.audit, self.number = Auditor(shipped()), 0
        self.audit.saw(PersonTold(self._next(), AT, "t", "mechanic", False, True, True, None))
        self.look()

    def _next(self) -> int:
        self.number += 1
        return self.number

    def look(self) -> None:
        for item in shipped().checks["look-over"].yields:
            self.sign(item.sign, "absent", "look-over")

    def sign(self, name: str, answer: str = "present", check: str = "") -> None:
        self.audit.saw(SignAnswer(self._next(), AT, "t", name, answer, check=check))

    def read(self, point: str, value: float, kind: str = "rail pressure") -> None:
        self.audit.saw(ReadingTaken(self._next(), AT, "t", kind, point, "", value, value, value))

    def did(self, step: str) -> None:
        self.audit.saw(StepDone(self._next(), AT, "t", step))

    def says(self, *names: str) -> str:
        return self.audit.objection(names)


def test_a_dry_car_may_be_worked_on() -> None:
    """Nothing is objected to where nothing is wrong, or the auditor would only be a closed door."""
    assert Job().says("engine-off", "listen-to-pump") == ""


@pytest.mark.parametrize(
    ("sign", "answer", "step"),
    [
        ("fuel-in-reference-hose", "present", "listen-to-pump"),
        ("damper-hose-wet", "present", "listen-to-pump"),
        ("valve-in-reference-hose", "present", "full-load-pressure"),
        ("oil-smells-of-fuel", "present", "fill-and-repeat"),
        ("fuel-hose-cracked", "present", "listen-to-pump"),
        ("hose-marking-wrong", "present", "listen-to-pump"),
        ("fuse-blows-again", "present", "swap-relay"),
        ("lean-in-boost", "present", "full-load-pressure"),
        ("lean-readings", "present", "full-load-pressure"),
        ("knocks-under-load", "present", "full-load-pressure"),
        ("hose-condition", "off-or-split", "full-load-pressure"),
        ("reference-bubbles", "present", "full-load-pressure"),
        ("diaphragm-edge-shows", "present", "retighten-cover"),
    ],
)
def test_each_danger_bars_its_step(sign: str, answer: str, step: str) -> None:
    """Told once, barred until repaired; a later no without a repair changes nothing."""
    watch = Job().audit._watch
    assert watch.objection(shipped().checks.get(step) or shipped().remedies[step]) == ""
    watch.heard(SignAnswer(1, AT, "t", sign, answer))
    target = shipped().checks.get(step) or shipped().remedies[step]
    assert watch.objection(target)
    watch.heard(SignAnswer(2, AT, "t", sign, "absent" if answer == "present" else "sound"))
    assert watch.objection(target)


def test_above_the_limit_nothing_runs_until_something_is_renewed() -> None:
    """A reading at any place; a pinch on purpose does not count."""
    job = Job()
    job.read("return-pinched", 1.2 * MOST)
    assert job.says("engine-off", "listen-to-pump") == ""
    assert "87 psi" in job.says("engine-off", "dead-head-test")
    job.read("pump-on-engine-off", 1.2 * MOST, "pump outlet pressure")
    assert "87 psi" in job.says("engine-off", "listen-to-pump")
    job.did("fuse-out")
    job.did("pressure-released")
    job.did("renew-filter")
    job.look()
    assert job.says("engine-off", "listen-to-pump") == ""


def test_above_the_limit_with_the_adjuster_in_nothing_runs() -> None:
    """It stays where it was turned; a clamp is let go of and air let off, so those only must not be done again."""
    for point, step in (("screw-in", "listen-to-pump"), ("hand-air-10psi", "reference-air-test")):
        job = Job()
        assert job.says("engine-off", step) == ""
        job.read(point, 1.2 * MOST)
        assert "87 psi" in job.says("engine-off", step)
    assert job.says("engine-off", "listen-to-pump") == ""


@pytest.mark.parametrize("danger", DANGERS, ids=[d.name for d in DANGERS])
def test_doubt_takes_no_danger_away(danger: Danger) -> None:
    """Raised by a guess as by a look; repaired, it still wants a look by whoever tells that it is gone."""
    for sign, raising in danger.signs.items():
        for sure, source in (("unsure", "own eyes"), ("sure", "second hand"), ("sure", "own eyes")):
            watch = DangerWatch(shipped())
            yes = raising[0] if raising else "present"
            watch.heard(SignAnswer(1, AT, "t", sign, yes, sure, source))  # type: ignore[arg-type]
            assert danger.name in watch.there
            watch.there[danger.name] = True  # repaired
            watch.heard(SignAnswer(2, AT, "t", sign, "absent", sure, source))  # type: ignore[arg-type]
            assert (danger.name in watch.there) is ((sure, source) != ("sure", "own eyes"))


def test_a_guess_that_a_flame_is_out_lets_nothing_run() -> None:
    """A rule that follows the latest answer: only a sure look clears it, told at first hand."""
    job = Job()
    job.sign("flame-or-spark-near", "present", "place-and-people")
    for sure, source in (("unsure", "own eyes"), ("sure", "second hand")):
        job.audit.saw(SignAnswer(job._next(), AT, "t", "flame-or-spark-near", "absent", sure, source))  # type: ignore[arg-type]
        assert "ignition-near" in job.says("engine-off", "listen-to-pump")
    job.sign("flame-or-spark-near", "absent")
    assert job.says("engine-off", "listen-to-pump") == ""


def test_without_boost_a_hose_that_is_off_bars_no_pull() -> None:
    """One psi of fuel for each psi of boost, and there is none."""
    job = Job()
    job.audit.saw(CarFact(99, AT, "t", "boost", "0 psi"))
    job.sign("hose-condition", "off-or-split")
    assert job.audit._watch.objection(shipped().checks["full-load-pressure"]) == ""


def test_a_wet_place_is_not_wiped_before_its_trace_was_read() -> None:
    """Stains and dry paper come first, tried or refused."""
    job = Job()
    job.sign("fuel-at-joint")
    wipe = ("fuse-out", "pressure-released-fuse-out", "wipe-dry-and-prove")
    assert "trace" in job.says(*wipe)
    job.sign("stain-pattern", "run", "read-stains")
    job.sign("paper-wet-at-union", "absent", "dry-paper")
    assert "trace" not in job.says(*wipe)


BAD_WORDS = [
    ("Cut half a turn off the spring.", ()),
    ("Join the terminals with an unfused wire.", ()),
    ("Put sealant on the O-ring thread.", ()),
    ("Spray starting fluid while somebody cranks.", ()),
    ("Pour a cup of fuel into the intake.", ()),
    ("Pour water over the hot pump.", ()),
    ("Drive on with the cap loose.", ()),
    ("Plug the nipple and drive home.", ()),
    ("Catch the fuel in an open bucket.", ()),
    ("Leave the return hose squeezed a little.", ()),
    ("Raise the base pressure to cover the lean spot.", ()),
    ("Turn the adjuster in until it is right.", ("runs pump",)),
    ("Clamp the return and read.", ("pinches hose", "runs pump")),
    ("Release the pressure. Battery negative off.", ("opens system",)),
]


@pytest.mark.parametrize(("words", "does"), BAD_WORDS, ids=[w[:24] for w, _ in BAD_WORDS])
def test_words_that_hurt_are_found(words: str, does: tuple[str, ...]) -> None:
    """Kinds of advice that fail a field case, each in words of its own; forbidding them is no advice."""
    step: Step = replace(steps.check("x", does=does), steps=(words,))
    assert bad_advice(step)
    if not does:
        assert not bad_advice(replace(step, steps=(f"Never do this: {words[:1].lower()}{words[1:]}",)))


def test_no_step_of_the_book_has_such_words() -> None:
    """Every check, set-up, remedy and action."""
    book = shipped()
    every = [*book.checks.values(), *book.setups.values(), *book.remedies.values(), *book.actions.values()]
    assert [(s.id, bad_advice(s)) for s in every if bad_advice(s)] == []
