"""The session: the wall, the answers, the commitment, and the same again from its moves."""

from __future__ import annotations

import random

import pytest

from diag.casework.entries import ReadingTaken, SignAnswer
from diag.casework.situation_of import situation_of
from diag.practice.cars import PAPERS
from diag.practice.finding import every_step
from diag.practice.judge import judge
from diag.practice.levels import LEVELS
from diag.practice.moves import Move, read_move
from diag.practice.session import apply, begin, play
from diag.practice.state import Session
from diag.quantities import show
from diag.rulebook.steps import Remedy
from diag.safety.interlock import allowed
from diag.safety.steps import find_step
from diag.support.errors import UnknownNameError, UserError
from tests.practice.rig import dealt, first_deal, played, the_book


def first_remedy(session: Session) -> str:
    """The first repair of the first hidden fault."""
    return the_book().causes[session.deal.causes[0]].remedies[0]


def test_nothing_runs_before_the_look_over() -> None:
    """The wall stops the pump with its reason, the way is told, and nothing of the car has changed."""
    dry = first_deal("loud-fault", lambda d: not any(the_book().signs[s].wet for s in d.complaints))
    session = played(dry, "do listen-to-pump")
    turn = session.turns[-1]
    assert turn.kind == "unsafe"
    assert turn.refusal is not None
    assert "wet fuel" in turn.refusal.why
    assert turn.refusal.way[0] == "look-over"
    assert (session.minutes, len(session.case.entries)) == (0.0, turn.before)
    assert session.count("unsafe") == 1


def test_the_safe_way_is_walked_step_by_step() -> None:
    """'ready' does look-over, pressure release, gauge and hose, each with its minutes, and then the check."""
    dry = first_deal("loud-fault", lambda d: not any(the_book().signs[s].wet for s in d.complaints))
    session = played(dry, "ready base-pressure")
    done = [t.step for t in session.turns if t.kind == "done"]
    assert done[-1] == "base-pressure"
    assert {"look-over", "pressure-released", "gauge-fitted", "hose-off"} <= set(done)
    assert session.minutes == sum(t.minutes for t in session.turns)
    assert any("Rail pressure" in told.text for told in session.turns[-1].told)


def test_a_wet_car_is_stopped_whatever_is_tried() -> None:
    """On a car with a reported leak neither pump nor engine runs before the leak is repaired and proven."""
    wet = first_deal("one-fault", lambda d: any(the_book().signs[s].wet for s in d.complaints))
    session = played(wet, "do look-over", "ready listen-to-pump", "ready base-pressure", "ready idle-pressure-hose-on")
    assert [t.kind for t in session.turns if t.step in ("listen-to-pump", "base-pressure")] == ["unsafe", "unsafe"]
    assert not any("runs pump" in find_step(the_book(), t.step).does for t in session.turns if t.kind == "done")  # type: ignore[union-attr]


def test_asking_twice_gives_the_same_answer_and_a_new_reading() -> None:
    """Signs agree when asked again; a reading has a new instrument error around the same value."""
    dry = first_deal("loud-fault", lambda d: not any(the_book().signs[s].wet for s in d.complaints))
    session = played(dry, "do ask-start-story", "do ask-start-story", "ready base-pressure", "do base-pressure")
    answers = [e for e in session.case.entries if isinstance(e, SignAnswer) and e.check == "ask-start-story"]
    half = len(answers) // 2
    assert [(e.sign, e.answer) for e in answers[:half]] == [(e.sign, e.answer) for e in answers[half:]]
    readings = [e for e in session.case.entries if isinstance(e, ReadingTaken) and e.reading == "rail pressure"]
    assert len(readings) == 2
    kind = the_book().readings["rail pressure"]
    assert abs(readings[0].value - readings[1].value) < 8.0 * kind.error


def test_one_pressure_reading_is_misread_and_right_the_next_time() -> None:
    """On the misread level the stated reading lies far off the true value, and the repeat near it."""
    book = the_book()
    found = first_deal("misread-gauge", lambda d: d.misread_at == 1)
    session = played(found, "ready base-pressure", "do base-pressure")
    bad, good = [e for e in session.case.entries if isinstance(e, ReadingTaken) and e.reading == "rail pressure"]
    kind = book.readings["rail pressure"]
    true = found.car.true("rail pressure", "pump-on-engine-off")
    room = 4.0 * (kind.error**2 + kind.model_error**2 + kind.offset**2) ** 0.5
    assert abs(good.value - true) < room
    assert abs(bad.value - good.value) > kind.misread_spread
    struck = apply(session, Move("doubt", (str(bad.number),)))
    assert bad.number not in {e.number for e in struck.case.effective()}


def test_a_repair_needs_a_commitment() -> None:
    """No repair before a cause it cures is named; naming another cause does not open it."""
    session = begin(the_book(), first_deal("loud-fault", lambda d: "pump-dead" in d.causes))
    assert apply(session, Move("ready", ("renew-pump",))).turns[-1].kind == "unsafe", "nothing was measured"
    session = apply(session, Move("ready", ("pump-volts-reading",)))
    session = apply(session, Move("ready", ("renew-pump",)))
    assert session.turns[-1].kind == "name first"
    session = apply(session, Move("name", ("filter-clogged",)))
    assert apply(session, Move("ready", ("renew-pump",))).turns[-1].kind == "name first"
    session = apply(session, Move("name", ("pump-dead",)))
    assert apply(session, Move("ready", ("renew-pump",))).turns[-1].kind == "done"


def test_the_right_repair_cures_and_the_proof_counts() -> None:
    """A cured and proven car is solved; the same without the proof is solved and not proven."""
    book = the_book()
    found = first_deal("loud-fault", lambda d: "pump-dead" in d.causes and d.car.after("renew-pump").present() == ())
    lines = ["name pump-dead", "ready pump-volts-reading", "ready renew-pump"]
    proof = [f"ready {c}" for c in book.remedies["renew-pump"].proof if c in book.checks]
    with_proof = judge(played(found, *lines, *proof, "finish cured"))
    without = judge(played(found, *lines, "finish cured"))
    assert (with_proof.solved, with_proof.named, with_proof.proven) == (True, True, True)
    assert (without.solved, without.proven) == (True, False)
    assert with_proof.minutes > without.minutes


def test_the_wrong_repair_is_wasted_and_claiming_a_cure_is_not_solving() -> None:
    """A repair that cures nothing there is counted, and the fault that is left is told."""
    found = first_deal("loud-fault", lambda d: "pump-dead" in d.causes)
    score = judge(played(found, "name filter-clogged", "ready renew-filter", "finish cured"))
    assert (score.solved, score.named, score.wasted, score.left) == (False, False, 1, ("pump-dead",))
    assert not judge(
        played(found, "name pump-dead", "ready pump-volts-reading", "ready renew-pump", "finish give up")
    ).solved


def test_a_fault_for_others_is_solved_by_handing_on() -> None:
    """Where the book says hand the car on, naming it and handing on is right; claiming a cure is not."""
    book = the_book()

    def for_others(name: str) -> bool:
        return all(not book.remedies[r].keeps_car for r in book.causes[name].remedies)

    found = first_deal("one-fault", lambda d: for_others(d.causes[0]))
    assert judge(played(found, f"name {found.causes[0]}", "finish hand on")).solved
    assert not judge(played(found, "finish hand on")).solved
    assert not judge(played(found, f"name {found.causes[0]}", "finish cured")).solved


def test_a_missing_gauge_must_be_borrowed() -> None:
    """Without a gauge the check is refused with the tool's name; borrowing takes the book's minutes."""
    found = first_deal("no-gauge", lambda d: not any(the_book().signs[s].wet for s in d.complaints))
    session = played(found, "ready base-pressure")
    assert session.turns[-1].kind == "no tool"
    before = session.minutes
    session = apply(session, Move("borrow", ("pressure-gauge",)))
    assert session.minutes == before + the_book().knobs.borrow_minutes
    assert apply(session, Move("ready", ("base-pressure",))).turns[-1].kind == "done"
    with pytest.raises(UserError, match="At hand already"):
        apply(session, Move("borrow", ("pressure-gauge",)))


def test_measuring_puts_a_wrong_figure_right() -> None:
    """The measured figure is the car's own; striking makes the field unknown."""
    found = dealt("wrong-papers", 1)
    assert found.wrong_fact is not None
    field = found.wrong_fact.field
    session = played(found, f"measure {field}")
    assert found.wrong_fact.true in session.turns[-1].told[0].text
    assert session.minutes == 10.0
    assert f"{found.wrong_fact.told}" not in session.turns[-1].told[0].text
    with pytest.raises(UserError, match="Nothing is told"):
        apply(played(found, f"forget {field}"), Move("forget", (field,)))


def test_a_session_is_its_moves() -> None:
    """The same deal and the same lines give the same session, turn by turn; moves are read back from their text."""
    lines = ("do listen-to-pump", "ready base-pressure", "hint", "name pump-dead", "ready renew-pump", "finish cured")
    one = played(dealt("loud-fault", 2), *lines)
    two = play(the_book(), dealt("loud-fault", 2), [read_move(m.text()) for m in one.moves])
    assert one.turns == two.turns
    assert one.case == two.case
    assert [m.text() for m in one.moves] == list(lines)


def test_refused_moves_change_nothing() -> None:
    """Names nobody knows, numbers of no answer, and moves after the end are refused with one line."""
    session = begin(the_book(), dealt("loud-fault", 1))
    for line in ("do lisen-to-pump", "name pump-deat", "borrow gauge", "doubt 1", "doubt x", "measure colour",
                 "finish won", "forget wire"):  # fmt: skip
        with pytest.raises(UserError) as caught:
            apply(session, read_move(line))
        assert "\n" not in caught.value.one_line()
    with pytest.raises(UnknownNameError, match="listen-to-pump"):
        apply(session, read_move("do lisen-to-pump"))
    with pytest.raises(UserError, match="finished"):
        apply(apply(session, read_move("finish give up")), read_move("hint"))


@pytest.mark.parametrize("line", ["", "jump", "do", "do a, b", "finish", "name ,"])
def test_lines_that_are_no_move(line: str) -> None:
    """Each is refused with what to say instead."""
    with pytest.raises(UserError):
        read_move(line)


def test_random_trainees_never_get_past_the_wall() -> None:
    """Whatever is tried on whatever car: every step that was done was allowed in the situation before it."""
    book = the_book()
    steps, tools, causes = list(every_step(book)), list(book.tools), list(book.causes)
    for seed in range(18):
        rng = random.Random(seed)
        session = begin(book, dealt(LEVELS[seed % len(LEVELS)].id, 500 + seed))
        mine = [r for c in session.deal.causes for r in book.causes[c].remedies]
        for _ in range(40):
            move = rng.choice([
                Move(rng.choice(("do", "ready")), (rng.choice(steps),)), Move("ready", (rng.choice(steps),)),
                Move("name", (rng.choice((*causes, *session.deal.causes)),)), Move("ready", (rng.choice(mine),)),
                Move("name", session.deal.causes), Move("borrow", (rng.choice(tools),)),
                Move("doubt", (str(rng.randrange(80)),)), Move("measure", (rng.choice(list(PAPERS)),)),
            ])  # fmt: skip
            before = session
            try:
                session = apply(session, move)
            except UserError:
                assert session is before
                continue
            for turn in session.turns[len(before.turns) :]:
                step = find_step(book, turn.step) if turn.step else None
                if turn.kind == "done" and step is not None:
                    verdict = allowed(situation_of(session.case_at(turn.before), book), step, book)
                    assert verdict.allowed, (turn.step, verdict.why)
                    assert not isinstance(step, Remedy) or not step.keeps_car or session.named


def test_every_reading_can_be_told_as_it_is_shown() -> None:
    """The text that practice writes for a reading is understood by the case, over the whole range of each kind."""
    from diag.casework import record

    case = begin(the_book(), dealt("loud-fault", 1)).case
    for kind in the_book().readings.values():
        for share in (0.0, 0.013, 0.5, 0.9996, 1.0):
            value = max(kind.low + share * (kind.high - kind.low), -1.0e5)
            text = show(value, kind.quantity)
            point = next(iter(the_book().points))
            taken = record.made(
                record.take_reading(case, the_book(), kind.id, point, text, at="2026-01-01T08:00:00Z", who="x")
            )
            assert isinstance(taken, ReadingTaken)
            assert taken.value == pytest.approx(value, rel=0.006, abs=0.006 * (kind.high - kind.low))


def test_no_practice_car_burns() -> None:
    """Dangers around the car that stop rules listen to are absent; no session ends in a fire that was only chance."""
    book = the_book()
    for seed in range(1, 30):
        found = dealt("one-fault", seed)
        session = played(found, "do place-and-people")
        answers = {e.sign: e.answer for e in session.case.entries if isinstance(e, SignAnswer) and e.check}
        linked = {name for c in found.causes for name in book.causes[c].shows}
        assert answers["fire-or-smoke"] == "absent"
        assert all(
            answer == "absent" for sign, answer in answers.items() if sign not in linked and not book.signs[sign].wet
        )


def test_single_questions_cost_their_share_and_agree_with_the_whole_check() -> None:
    """One loose question takes its share of the minutes; its answer is the one the whole check gives."""
    book = the_book()
    check = book.checks["ask-start-story"]
    sign = check.yields[1].sign
    one = played(dealt("loud-fault", 1), f"ask {sign}")
    assert len(one.turns[-1].told) == 1
    assert 0.0 < one.minutes < check.minutes
    whole = played(dealt("loud-fault", 1), f"do {check.id}")

    def answer(session: Session) -> str:
        return next(e.answer for e in session.case.entries if isinstance(e, SignAnswer) and e.sign == sign and e.check)

    assert answer(one) == answer(whole)
    with pytest.raises(UserError, match="no questions that are asked together"):
        apply(one, Move("ask", ("fuel-at-cap",)))
    with pytest.raises(UserError, match="asked together"):
        apply(one, Move("ask", (sign, "flat-at-full-load")))
