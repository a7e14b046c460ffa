"""A line is opened for a remedy once: with the way made, the remedy comes, and no check that wants the pump again."""

from __future__ import annotations

from diag.casework import record
from diag.casework.entries import Case
from diag.casework.replay import standing
from diag.decision.groups import groups_of
from diag.decision.next_step import propose
from tests.casework.test_replay import WHEN
from tests.safety.test_interlock_book import shipped


def test_a_way_made_for_a_remedy_is_gone_to_its_end() -> None:
    """Pressure low to the end, lines without pressure and dry: a check now cheap beside the remedy comes too late."""
    book = shipped()
    case = Case("c", "c", "2026-01-01T08:00:00Z", book.version, book.fingerprint)
    case = record.car_fact(case, book, "target-pressure", "50.8 psi", **WHEN)
    case = record.person_told(case, book, "mechanic", **WHEN)
    for sign, answer in (("low-power", "present"), ("second-regulator-found", "absent"), ("pump-sound", "normal")):
        case = record.answer_sign(case, book, sign, answer, **WHEN)
    for reading, point, value in (
        ("rail pressure", "pump-on-engine-off", "38 psi"),
        ("rail pressure", "idle-hose-off", "38 psi"),
        ("rail pressure", "return-pinched", "38 psi"),
        ("pump volts", "pump-on-engine-off", "12.5 V"),
        ("filter drop", "pump-on-engine-off", "1 psi"),
    ):
        case = record.take_reading(case, book, reading, point, value, **WHEN)
    case = record.step_done(case, book, "pressure-released", **WHEN)
    for item in book.checks["look-over"].yields:
        case = record.answer_sign(case, book, item.sign, "absent", check="look-over", **WHEN)
    now = standing(record.step_done(case, book, "look-over", **WHEN), book)
    plain, meant = (propose(now.model, now.belief, now.evidence, now.situation, aim=aim) for aim in ("", "renew-pump"))
    assert plain.kind == "check", "another car is wanted here, one in which a check would be cheap now"
    assert (meant.kind, meant.step) == ("remedy", "renew-pump")


def test_a_spring_is_not_fitted_to_a_regulator_that_takes_none() -> None:
    """A regulator without an adjuster whose range is too low is exchanged; with one, its spring may do."""
    book = shipped()
    first = Case("c", "c", "2026-01-01T08:00:00Z", book.version, book.fingerprint)
    first = record.car_fact(first, book, "target-pressure", "43.5 psi", **WHEN)
    first = record.answer_sign(first, book, "range-on-label", "above-target", **WHEN)
    for answer, remedy in (("present", "fit-spring-of-right-range"), ("absent", "fit-regulator-of-right-range")):
        now = standing(record.answer_sign(first, book, "has-adjuster", answer, **WHEN), book)
        groups = groups_of(now.belief, book, now.situation)
        at = now.belief.causes.index("regulator-range-too-high")
        assert groups.names[int(groups.of_cause[at])] == remedy
