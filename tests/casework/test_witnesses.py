"""Who answers in a case, and what becomes of answers told twice or between yes and no."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diag.casework import entries as e
from diag.casework.casefile import read_case, write_case
from diag.casework.evidence_of import told_by
from diag.casework.names import unknown_names
from diag.casework.record import read_answer
from diag.casework.situation_of import situation_of
from diag.casework.witnesses import people, witness_of
from diag.rulebook.between import possible_answers, words_between
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.support.errors import UserError
from tests import ROOT

T = "2026-06-20T09:00:00Z"


@pytest.fixture(scope="module")
def book() -> RuleBook:
    """The shipped book."""
    return load_book(ROOT / "rules")


def case(*entries: e.Entry) -> e.Case:
    """A job of these entries."""
    return e.Case("job", "A job", T, "1", "x", entries=entries)


def said(number: int, sign: str, answer: str, who: str = "Mira", **more: object) -> e.SignAnswer:
    """One answer."""
    return e.SignAnswer(number, T, who, sign, answer, **more)  # type: ignore[arg-type]


def test_training_and_phone_set_the_levels(book: RuleBook) -> None:
    """A shop errs less than somebody untrained, and the same person errs more by phone."""
    shop, lay, phone = (witness_of(p, by_phone, book.knobs) for p, by_phone in
                        (("shop", False), ("untrained", False), ("untrained", True)))  # fmt: skip
    assert shop.mean < lay.mean < phone.mean
    for witness in (shop, lay, phone):
        assert sum(witness.shares) == pytest.approx(1.0)


def test_another_name_or_training_is_another_witness_and_hearsay_is_nobodys(book: RuleBook) -> None:
    """Borrowing a tool changes nothing; the mechanic who takes over is somebody else."""
    told = told_by(
        case(
            e.PersonTold(1, T, "Mira", "untrained", by_phone=True),
            said(2, "no-start", "present"),
            e.PersonTold(3, T, "Mira", "untrained", by_phone=True, tools=("torch",)),
            said(4, "long-crank-cold", "absent"),
            said(5, "stalls-hot", "present", source="second hand"),
            e.PersonTold(6, T, "Mira", "mechanic"),
            said(7, "fuse-blown", "absent", sure="unsure"),
        ),
        book,
    ).evidence
    assert [f.witness for f in told.findings] == [0, 0, -1, 1]
    assert told.witnesses == (witness_of("untrained", True, book.knobs), witness_of("mechanic", False, book.knobs))
    assert told.findings[2].wrong == book.knobs.second_hand_wrong
    assert told.findings[3].own_wrong == book.knobs.unsure_wrong
    assert told.findings[3].wrong > told.findings[3].own_wrong
    assert len(people((said(1, "no-start", "present"), said(2, "no-start", "present", who="Jan")), book.knobs)) == 2


def test_asked_again_both_answers_stand_but_of_wet_places_the_last(book: RuleBook) -> None:
    """The second answer is given with more care; a place wiped dry is dry."""
    told = told_by(
        case(
            said(1, "hesitates", "absent"),
            said(2, "hesitates", "present"),
            said(3, "fuel-at-joint", "present"),
            said(4, "fuel-at-joint", "absent"),
        ),
        book,
    ).evidence.findings
    assert [(f.answer, f.care) for f in told if f.sign == "hesitates"] == [
        ("absent", 1.0),
        ("present", book.knobs.asked_again),
    ]
    assert [f.answer for f in told if f.sign == "fuel-at-joint"] == ["absent"]


def test_answers_in_between_only_where_the_question_allows_them(book: RuleBook) -> None:
    """A complaint comes and goes; a look is partly so; wet fuel and what stops a job are there or not."""
    signs = book.signs
    assert set(words_between(signs["hesitates"], book)) == set(book.knobs.in_between)
    assert words_between(signs["good-hose-cures"], book) == ("partly", "sometimes")
    assert words_between(signs["fuel-at-joint"], book) == ()
    assert words_between(signs["fire-or-smoke"], book) == ()
    assert "partly" in possible_answers(signs["hesitates"], book)
    told = told_by(case(said(1, "hesitates", "only hot"), said(2, "hose-condition", "off-or-split & kinked")), book)
    assert told.problems == ()
    assert told.evidence.findings[0].lean == book.knobs.in_between["only hot"]
    assert told.evidence.findings[1].choices == ("off-or-split", "kinked")
    for wrong in (said(1, "fuel-at-joint", "partly"), said(1, "hose-condition", "kinked & kinked")):
        assert told_by(case(wrong), book).problems
        assert unknown_names(read_case(write_case(case(wrong))), book)


def test_typed_answers_in_between_are_taken(book: RuleBook) -> None:
    """As words, in any case; a question that does not take them says what it takes."""
    assert read_answer(book.signs["hesitates"], "Only  hot", book) == "only hot"
    with pytest.raises(UserError, match="partly"):
        read_answer(book.signs["fuel-at-joint"], "partly", book)
    with pytest.raises(UserError) as refused:
        read_answer(book.signs["hesitates"], "hm", book)
    assert "sometimes" in str(refused.value)


def test_what_is_half_there_is_there_for_safety(book: RuleBook) -> None:
    """No rule of safety is got round by answering in between: the sign counts as present in the situation."""
    half, full = (situation_of(case(said(1, "hesitates", answer)), book) for answer in ("partly", "present"))
    assert replace(half, lacks=full.lacks) == full  # what the car lacks follows from plain answers alone


def test_a_reading_at_idle_shows_that_the_engine_starts(book: RuleBook) -> None:
    """What a reading presupposes counts once a stretch, not while somebody says otherwise, nor with the engine off."""

    def read(number: int, point: str) -> e.ReadingTaken:
        return e.ReadingTaken(number, T, "Mira", "rail pressure", point, "35 psi", 2.4e5, 2.4e5, 2.4e5, "")

    def started(*entries: e.Entry) -> list[tuple[str, int]]:
        found = told_by(case(*entries), book).evidence.findings
        return [(f.answer, f.entry) for f in found if f.sign == "no-start"]

    assert started(read(1, "pump-on-engine-off")) == []
    assert started(read(1, "idle-hose-on"), read(2, "idle-hose-off")) == [("absent", 1)]
    assert started(said(1, "no-start", "present"), read(2, "idle-hose-on")) == [("present", 1)]
