"""Each reason to pass an ending over, by itself: it holds in one case and not in its neighbour."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diag.casework import record
from diag.casework.entries import Case
from diag.casework.replay import standing
from diag.decision.endings import PASSED_OVER, Ending
from diag.decision.policy import POLICY
from diag.decision.view import View, view_of
from diag.fuelsystem.car import Car
from diag.inference.evidence import Epoch, Evidence
from diag.inference.model import compile_model
from diag.inference.posterior import NOTHING_WRONG, belief
from diag.rulebook.model import RuleBook
from diag.safety.situation import Situation, Wet
from tests.casework.test_replay import WHEN
from tests.decision.test_next_step import BOOK, DRY, told
from tests.inference import books
from tests.safety.test_interlock_book import shipped

RULES = {rule.name: rule for rule in PASSED_OVER}


def seen(evidence: Evidence, situation: Situation = DRY, book: RuleBook = BOOK) -> View:
    """What the choice looks at."""
    model = compile_model(book, Car())
    return view_of(model, belief(model, evidence), evidence, situation, POLICY)


def ending(view: View, name: str, share: float, more_to_ask: bool = False) -> Ending:
    """An ending of this chance."""
    return Ending(name, view.groups.names.index(name), share, more_to_ask)


def holds(rule: str, view: View, end: Ending) -> bool:
    """Whether a rule passes the ending over."""
    return RULES[rule].holds(view, end)


def test_every_rule_has_a_reason() -> None:
    """No rule without a why, and no two of one name."""
    assert len(RULES) == len(PASSED_OVER)
    assert all(len(rule.why) > 20 for rule in PASSED_OVER)


def test_what_the_person_cannot_do_is_passed_over() -> None:
    """A refused remedy is not open; the same remedy unrefused is."""
    able, unable = seen(told()), seen(told(), replace(DRY, refused=frozenset({"renew-pump"})))
    assert not holds("not open", able, ending(able, "renew-pump", 0.9))
    assert holds("not open", unable, ending(unable, "renew-pump", 0.9))


def test_what_is_likely_needless_does_not_pay() -> None:
    """Chance times what handing on costs against the minutes lost when it was needless."""
    view = seen(told())
    at = view.groups.names.index("renew-pump")
    minutes, lost = float(view.top.prices.minutes[at]), view.top.prices.hand_on
    even = minutes / (minutes + lost)
    assert holds("does not pay", view, ending(view, "renew-pump", even - 0.01))
    assert not holds("does not pay", view, ending(view, "renew-pump", even + 0.01))


@pytest.mark.parametrize(("share", "passed"), [(0.45, True), (0.55, False)])
def test_nobody_is_sent_away_on_less_than_even(share: float, passed: bool) -> None:
    """Closing needs an even chance; a repair does not."""
    view = seen(told())
    assert holds("sends away", view, ending(view, NOTHING_WRONG, share)) is passed
    assert not holds("sends away", view, ending(view, "renew-pump", share))


@pytest.mark.parametrize(("wet", "passed"), [(Wet.DRY, False), (Wet.WET, True), (Wet.REPAIRED, True)])
def test_no_job_is_closed_with_fuel_outside(wet: Wet, passed: bool) -> None:
    """However sound the rest looks."""
    view = seen(told(), replace(DRY, wet=wet))
    assert holds("fuel outside", view, ending(view, NOTHING_WRONG, 0.99)) is passed


def test_a_complaint_seen_again_keeps_the_job_open() -> None:
    """While something else can be asked, or while it is not beyond doubt; gone, the job may close."""
    book = replace(BOOK, signs={**BOOK.signs, "starves": replace(BOOK.signs["starves"], symptom=True)})
    epochs = (Epoch(), Epoch(frozenset(), frozenset({"pump-worn"}), 0.05, "renew-pump", 5))
    before = (books.told("starves", "+", 0.02, 0, 1),)
    still = Evidence((*before, books.told("starves", "+", 0.02, 1, 6)), (), epochs)
    gone = Evidence((*before, books.told("starves", "-", 0.02, 1, 6)), (), epochs)
    view = seen(still, book=book)
    assert holds("complaint still there", view, ending(view, NOTHING_WRONG, 0.9))
    assert holds("complaint still there", view, ending(view, NOTHING_WRONG, 0.99, more_to_ask=True))
    assert not holds("complaint still there", seen(gone, book=book), ending(view, NOTHING_WRONG, 0.9))


@pytest.mark.parametrize(("share", "passed"), [(0.6, True), (0.97, False)])
def test_what_did_not_help_once_is_not_tried_again_on_the_off_chance(share: float, passed: bool) -> None:
    """A pump renewed before is renewed again only when it is as good as certain; another remedy is open as ever."""
    epochs = (Epoch(), Epoch(frozenset(), frozenset({"pump-worn"}), 0.05, "renew-pump", 5))
    view = seen(told(epochs=epochs))
    assert holds("done before", view, ending(view, "renew-pump", share)) is passed
    assert not holds("done before", seen(told()), ending(view, "renew-pump", share))


def test_nothing_is_set_by_a_gauge_that_may_show_wrongly() -> None:
    """With the gauge as doubtful as the setting, the gauge is put right first; with a sound gauge it may be set."""
    book = shipped()
    case = Case("c", "c", "2026-01-01T08:00:00Z", book.version, book.fingerprint)
    case = record.car_fact(case, book, "target-pressure", "43.5 psi", **WHEN)
    low = record.take_reading(case, book, "rail pressure", "pump-on-engine-off", "34 psi", **WHEN)
    odd = record.take_reading(low, book, "gauge at rest", "at-rest", "8 psi", **WHEN)
    odd = record.answer_sign(odd, book, "adjuster-brings-target", "present", **WHEN)
    for told_so, doubted in ((low, False), (odd, True)):
        now = standing(told_so, book)
        view = view_of(now.model, now.belief, now.evidence, now.situation, POLICY)
        end = ending(view, "reset-base-pressure", 0.6)
        assert holds("gauge in doubt", view, end) is doubted
        assert not holds("gauge in doubt", view, ending(view, "renew-gauge", 0.6))
