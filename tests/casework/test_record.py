"""Entries are added by pure functions that refuse what cannot be right, in one clear line."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from diag.casework import entries as e
from diag.casework import record
from diag.rulebook.findings import Answer, ReadingKind
from diag.rulebook.model import RuleBook
from diag.support.errors import QuantityError, UnknownNameError, UserError
from tests.decision import steps
from tests.decision.steps import small_book
from tests.inference import books

WHEN = {"at": "2026-11-25T10:00:00Z", "who": "Ann"}
PSI = 6894.757293168


def book() -> RuleBook:
    """The small book with readings and a sign that is a choice."""
    rail = ReadingKind("rail pressure", "Rail pressure", "?", "pressure", 0.0, 150 * PSI, 5e3, 7e3, 1e4, 5e4, "gauge")
    vacuum = ReadingKind(
        "manifold vacuum", "Manifold vacuum", "?", "vacuum", 0.0, 1e5, 2e3, 2e3, 2e3, 1e4, "vacuum gauge"
    )
    needle = books.sign("needle", choices={"steady": 0.9, "trembling": 0.1})
    needle = replace(needle, choices=(Answer("steady", "holds still", 0.9), Answer("trembling", "trembles", 0.1)))
    plain = small_book()
    return replace(plain, readings=steps.by_id(rail, vacuum), signs={**plain.signs, "needle": needle})


BOOK = book()
EMPTY = e.Case("job", "Wren runs rich", "2026-11-25T09:00:00Z", "1", "f")


def test_numbers_count_on_and_the_old_case_stays() -> None:
    """Every entry gets the next number; nothing is changed in place."""
    one = record.note(EMPTY, "first", **WHEN)
    two = record.answer_sign(one, BOOK, "whine", "yes", check="listen", **WHEN)
    assert [x.number for x in two.entries] == [1, 2]
    assert EMPTY.entries == ()
    answer = record.made(two)
    assert isinstance(answer, e.SignAnswer)
    assert (answer.sign, answer.answer, answer.check, answer.at, answer.who) == (
        "whine",
        "present",
        "listen",
        WHEN["at"],
        "Ann",
    )


@pytest.mark.parametrize(
    ("told", "meant"),
    [("yes", "present"), ("N", "absent"), ("present", "present"), ("?", "not known"), ("could not see", "not known")],
)
def test_plain_answers_are_understood(told: str, meant: str) -> None:
    """Yes, no and their kin."""
    assert record.read_answer(BOOK.signs["whine"], told) == meant


def test_a_choice_takes_its_id_or_its_words() -> None:
    """As spelled in the book, or as shown on the screen."""
    sign = BOOK.signs["needle"]
    assert record.read_answer(sign, "Trembles") == record.read_answer(sign, "trembling") == "trembling"
    assert record.read_answer(sign, "?") == "not known"
    with pytest.raises(UserError, match="steady, trembling, not known"):
        record.read_answer(sign, "yes")


def test_a_reading_is_parsed_in_the_unit_of_the_case() -> None:
    """43.5 is psi here and 3 bar there; what was typed stays."""
    case = record.take_reading(EMPTY, BOOK, "rail pressure", "pump-on", "43.5", check="gauge", **WHEN)
    taken = record.made(case)
    assert isinstance(taken, e.ReadingTaken)
    assert taken.value == pytest.approx(43.5 * PSI)
    assert (taken.text, taken.low, taken.high) == ("43.5", taken.value, taken.value)
    bar = record.made(
        record.take_reading(replace(EMPTY, unit_pressure="bar"), BOOK, "rail pressure", "pump-on", "3", **WHEN)
    )
    assert isinstance(bar, e.ReadingTaken)
    assert bar.value == pytest.approx(3e5)
    vacuum = record.made(record.take_reading(EMPTY, BOOK, "manifold vacuum", "idle-hose-on", "18", **WHEN))
    assert isinstance(vacuum, e.ReadingTaken)
    assert vacuum.value == pytest.approx(18 * 3386.389, rel=1e-4)


def test_spans_and_limits_are_kept() -> None:
    """38 to 44 is an interval, over 100 a bound."""
    span = record.made(record.take_reading(EMPTY, BOOK, "rail pressure", "pump-on", "38 to 44", **WHEN))
    over = record.made(record.take_reading(EMPTY, BOOK, "rail pressure", "pump-on", "over 100", **WHEN))
    assert isinstance(span, e.ReadingTaken)
    assert isinstance(over, e.ReadingTaken)
    assert (span.low, span.high) == (pytest.approx(38 * PSI), pytest.approx(44 * PSI))
    assert over.bound == "above"


@pytest.mark.parametrize("text", ["abc", "5 ft", "nan", "inf", "1e9 psi", "-30", "", "200 psi", "\x1b[2J"])
def test_nonsense_readings_are_refused_in_one_line(text: str) -> None:
    """Text, a length, no number, too much: one line that names the reading."""
    with pytest.raises(QuantityError) as refused:
        record.take_reading(EMPTY, BOOK, "rail pressure", "pump-on", text, **WHEN)
    line = refused.value.one_line()
    assert "Rail pressure" in line
    assert "\n" not in line
    assert "\x1b" not in line


@pytest.mark.parametrize(
    ("call", "near"),
    [
        (lambda: record.answer_sign(EMPTY, BOOK, "whin", "yes", **WHEN), "whine"),
        (lambda: record.answer_sign(EMPTY, BOOK, "whine", "yes", check="lisen", **WHEN), "listen"),
        (lambda: record.take_reading(EMPTY, BOOK, "rail presure", "pump-on", "40", **WHEN), "rail pressure"),
        (lambda: record.take_reading(EMPTY, BOOK, "rail pressure", "pump-of", "40", **WHEN), "pump-on"),
        (lambda: record.step_done(EMPTY, BOOK, "renew-pum", **WHEN), "renew-pump"),
        (lambda: record.step_refused(EMPTY, BOOK, "gauge-fited", **WHEN), "gauge-fitted"),
        (lambda: record.car_fact(EMPTY, BOOK, "fule", "petrol", **WHEN), "fuel"),
        (lambda: record.person_told(EMPTY, BOOK, "mechanic", tools=["multimetre"], **WHEN), "multimeter"),
        (lambda: record.acknowledged(EMPTY, BOOK, "fires", **WHEN), "fire"),
        (lambda: record.outcome(EMPTY, BOOK, "cured", ["pump-wornn"], **WHEN), "pump-worn"),
    ],
)
def test_unknown_names_come_with_near_misses(call: Callable[[], e.Case], near: str) -> None:
    """A typing mistake is answered with the name that was meant."""
    with pytest.raises(UnknownNameError, match=near):
        call()


@pytest.mark.parametrize(
    "call",
    [
        lambda: record.answer_sign(EMPTY, BOOK, "whine", "maybe", **WHEN),
        lambda: record.answer_sign(EMPTY, BOOK, "whine", "yes", sure="nearly", **WHEN),  # type: ignore[arg-type]
        lambda: record.step_refused(EMPTY, BOOK, "gauge", "bored", **WHEN),  # type: ignore[arg-type]
        lambda: record.step_done(EMPTY, BOOK, "gauge", minutes=-1.0, **WHEN),
        lambda: record.step_done(EMPTY, BOOK, "gauge", minutes=float("nan"), **WHEN),
        lambda: record.person_told(EMPTY, BOOK, "wizard", **WHEN),  # type: ignore[arg-type]
        lambda: record.handed_over(EMPTY, "  ", **WHEN),
        lambda: record.note(EMPTY, " \n", **WHEN),
        lambda: record.status(EMPTY, "gone", **WHEN),  # type: ignore[arg-type]
        lambda: record.outcome(EMPTY, BOOK, "normal", proven=True, **WHEN),
        lambda: record.car_fact(EMPTY, BOOK, "target-pressure", "5 ft", **WHEN),
        lambda: record.retract(EMPTY, 3, **WHEN),
        lambda: record.made(EMPTY),
    ],
)
def test_what_cannot_be_right_is_refused(call: Callable[[], object]) -> None:
    """One line each, and the case stays as it was."""
    with pytest.raises(UserError) as refused:
        call()
    assert "\n" not in refused.value.one_line()


def test_take_back_and_replace() -> None:
    """Both keep the old entry; what counts is the new answer at the old place."""
    case = record.answer_sign(EMPTY, BOOK, "whine", "yes", **WHEN)
    case = record.note(case, "later", **WHEN)
    other = record.made(record.answer_sign(case, BOOK, "whine", "no", **WHEN))
    changed = record.replace(case, 1, other, **WHEN)
    assert [type(x) for x in changed.effective()] == [e.SignAnswer, e.Note]
    first = changed.effective()[0]
    assert isinstance(first, e.SignAnswer)
    assert (first.number, first.answer) == (1, "absent")
    gone = record.retract(changed, 1, **WHEN)
    assert [type(x) for x in gone.effective()] == [e.Note]
    with pytest.raises(UserError, match="no longer counts"):
        record.retract(gone, 1, **WHEN)
    with pytest.raises(UserError, match="another kind"):
        record.replace(case, 2, other, **WHEN)
    assert [x.number for x in gone.entries] == [1, 2, 3, 4]


def test_text_from_people_cannot_reach_the_terminal_raw() -> None:
    """Escapes in notes and names are made harmless when they are taken."""
    case = record.note(EMPTY, "see \x1b[31mred", **WHEN)
    case = record.handed_over(case, "shop\x07", **WHEN)
    told = [x.text if isinstance(x, e.Note) else x.to for x in case.entries if isinstance(x, e.Note | e.HandedOver)]
    assert not any("\x1b" in t or "\x07" in t for t in told)


def test_nothing_is_kept_of_a_suspect_part_without_words() -> None:
    """A photo without a name and a kind of thing nobody knows are refused; what is said is kept on one line."""
    case = record.kept(EMPTY, "mark", "stamped\n L2", **WHEN)
    assert case.entries[-1] == e.KeptEvidence(1, WHEN["at"], WHEN["who"], "mark", "stamped L2")
    with pytest.raises(UserError, match="nothing to keep"):
        record.kept(EMPTY, "photo", "  ", **WHEN)
    with pytest.raises(UserError, match="smell"):
        record.kept(EMPTY, "smell", "of varnish", **WHEN)  # type: ignore[arg-type]
