"""The car as built: needs, what decides them, and what of a check is left on a car without the part."""

from __future__ import annotations

import pytest

from diag.rulebook.built import (
    decides_only,
    denied,
    every_need,
    fitting,
    lacks_of,
    named,
    needs_of_yield,
    sign_says,
    undecided,
    unfit,
)
from diag.rulebook.findings import ABSENT, NOT_KNOWN, PRESENT
from diag.rulebook.model import Context
from tests.safety.test_interlock_book import shipped

POT = Context("pot", "Pot", "Is there a pot?", asked_by=("has-pot",), denied_by=("pot-taken-out",))
STARTS = Context("starts", "Starts", "Does it start?", asked_by=("not no-start",), denied_by=("no-crank",), lapses=True)


@pytest.mark.parametrize(
    ("context", "sign", "answer", "said"),
    [
        (POT, "has-pot", PRESENT, True),
        (POT, "has-pot", ABSENT, False),
        (POT, "has-pot", NOT_KNOWN, None),
        (POT, "pot-taken-out", PRESENT, False),
        (POT, "pot-taken-out", ABSENT, None),
        (STARTS, "no-start", PRESENT, False),
        (STARTS, "no-start", ABSENT, True),
        (STARTS, "no-crank", PRESENT, False),
        (STARTS, "hesitates", PRESENT, None),
    ],
)
def test_what_an_answer_says_of_the_car(context: Context, sign: str, answer: str, said: bool | None) -> None:
    """A question decides both ways, a mere sight only when it is there, "not known" nothing."""
    assert sign_says(context, sign, answer) is said


def test_needs_are_denied_by_the_opposite() -> None:
    """Told no denies a need, told yes denies its "not"; what was not told denies nothing."""
    lacks = lacks_of({"pot": False, "one-pump": True})
    assert denied(("pot", "not one-pump", "boosted"), lacks) == ("pot", "not one-pump")
    assert undecided(("pot", "boosted", "not boosted"), {"pot": False}) == ("boosted",)


def test_on_an_engine_that_does_not_start_nothing_asks_for_idle_or_a_drive() -> None:
    """Every check of the shipped book that reads at a running engine, or waits for a warm one, says so."""
    book = shipped()
    lacks = lacks_of({"engine-starts": False})
    for check in book.checks.values():
        running = [
            y
            for y in fitting(check, book, lacks)
            if y.at and book.points[y.at].settings.get("engine") in ("idle", "cruise", "full load")
        ]
        assert running == [], check.id
        if "engine-warm" in check.needs:
            assert unfit(book.setups["engine-warm"], book, lacks)  # so there is no way to the check


def test_what_no_car_part_is_behind_is_asked_of_every_car() -> None:
    """With everything told no, the questions and checks that need nothing remain."""
    book = shipped()
    lacks = lacks_of({named(need): need.startswith("not ") for need in every_need(book)})
    left = [c.id for c in book.checks.values() if not unfit(c, book, lacks)]
    assert {"listen-to-pump", "base-pressure", "look-at-fuse"} <= set(left)
    assert "adjuster-sweep" not in left


def test_a_question_about_the_car_is_no_finding_of_its_own() -> None:
    """Whether a part is there decides what is possible; whether it starts is also a complaint."""
    book = shipped()
    assert decides_only("has-surge-pot", book)
    assert not decides_only("no-start", book)


def test_each_question_about_the_car_has_causes_or_steps_that_need_it() -> None:
    """None is asked for its own sake."""
    book = shipped()
    needed = {named(need) for need in every_need(book)}
    asked = {named(s): c.id for c in book.contexts.values() for s in c.asked_by}
    for item in book.checks["ask-as-built"].yields:
        assert asked[item.sign] in needed
        assert needs_of_yield(item, book) == ()
