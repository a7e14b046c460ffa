"""The debrief: figures, verdicts, and the program's own course on the same car."""

from __future__ import annotations

import math

import numpy as np
import pytest

from diag.inference.predictive import outcome_table
from diag.practice.debrief import Debrief, debrief, present_at, truth
from diag.practice.guide import proposal_words, standing_of, work_through
from diag.practice.judge import judge
from diag.practice.session import begin
from diag.practice.state import Session
from diag.practice.words import debrief_pieces, story, turn_pieces
from diag.rulebook.steps import Yield
from tests.practice.rig import KEPT, dealt, first_deal, played, the_book


def dead_pump() -> Session:
    """A trainee who is stopped once, listens, guesses, repairs and proves with one check."""
    found = first_deal("loud-fault", lambda d: d.causes == ("pump-dead",) and not d.car.after("renew-pump").present())
    return played(
        found, "do listen-to-pump", "do look-over", "do ask-start-story", "do listen-to-pump", "hint",
        "name filter-clogged", "name pump-dead", "ready pump-volts-reading", "ready renew-pump",
        "ready pump-flow-test", "finish cured",
    )  # fmt: skip


def without_courses(session: Session) -> Debrief:
    """A debrief with nothing weighed, for what is said about the car alone."""
    score = judge(session)
    return Debrief(session, session, score, score, (), (), ())


@pytest.fixture(scope="module")
def told() -> Debrief:
    """Its debrief."""
    result = debrief(dead_pump(), KEPT)
    assert result is not None
    return result


def test_every_turn_is_looked_at(told: Debrief) -> None:
    """One review a turn, in order; refused steps carry the wall's reason, checks what they teach."""
    assert [r.turn for r in told.reviews] == list(told.session.turns)
    stopped = told.reviews[0]
    assert stopped.verdict.startswith("Stopped: ")
    assert stopped.told is None
    teaching = [r for r in told.reviews if r.turn.step == "listen-to-pump" and r.turn.kind == "done"]
    assert teaching[0].teaches == the_book().checks["listen-to-pump"].teaches


def test_information_is_the_move_of_the_true_chance(told: Debrief) -> None:
    """Bits told come from the chance before and after, and chances are those of the engine at that moment."""
    for review in told.reviews:
        before, after = review.truth
        if review.told is not None:
            assert review.told == pytest.approx(math.log2(after / before))
        now = standing_of(told.session, review.turn.before, KEPT)
        assert before == pytest.approx(truth(now, present_at(told.session, review.turn.number)))
    listened = next(r for r in told.reviews if r.turn.step == "listen-to-pump" and r.turn.kind == "done")
    assert listened.told is not None
    now = standing_of(told.session, listened.turn.before, KEPT)
    said, chances = outcome_table(
        now.model, now.evidence, now.belief, np.arange(len(now.belief.weights)), Yield(sign="pump-sound")
    )
    silent, weights = chances[:, said.index("silent")], now.belief.weights
    dead = (now.belief.rows == now.model.index["pump-dead"]).any(axis=1)
    of_dead = float(weights[dead] @ silent[dead] / weights[dead].sum())
    # Bayes' rule: an answer tells log2 of its chance with the cause over its chance at all. Silence tells little on a
    # car that does not start, since most of what keeps it from starting silences the pump; it must be just this much.
    assert listened.told == pytest.approx(math.log2(of_dead / float(weights @ silent)), abs=0.02)
    assert listened.told > 0.0


def test_the_programs_choice_is_its_proposal_there(told: Debrief) -> None:
    """At every check the compared step is what the program proposes in that situation."""
    for review in told.reviews:
        if review.programs is not None:
            proposal = standing_of(told.session, review.turn.before, KEPT).proposal
            assert review.programs.step in (proposal.step, proposal.toward)
            same = review.turn.step in (proposal.step, proposal.toward, *proposal.setups)
            assert review.same == same


def test_the_commitments_are_judged(told: Debrief) -> None:
    """A wrong name and a right one are told apart, with the chance the evidence gave them."""
    wrong, right = (r.verdict for r in told.reviews if r.turn.names)
    assert "That was not it." in wrong
    assert "That was it." in right
    assert "%" in right


def test_both_courses_add_up(told: Debrief) -> None:
    """The last mark of a course holds the session's minutes and risk; both courses are on the same car."""
    for session, marks in ((told.session, told.yours), (told.program, told.programs)):
        assert marks[-1].minutes == pytest.approx(session.minutes)
        assert marks[-1].risk == pytest.approx(session.risk)
    assert told.program.deal.causes == told.session.deal.causes
    assert told.program.count("unsafe") == 0
    assert told.program_score == judge(told.program)


def test_after_a_cure_nothing_wrong_is_the_truth() -> None:
    """What was wrong shrinks with the cure, and then the chance of nothing counts."""
    session = dead_pump()
    repaired = next(t.number for t in session.turns if t.step == "renew-pump" and t.kind == "done")
    assert present_at(session, repaired) == ("pump-dead",)
    assert present_at(session, repaired + 1) == ()
    now = standing_of(session, None, KEPT)
    assert truth(now, ()) == pytest.approx(dict(now.belief.ranked())["nothing-wrong"])


def test_words_hold_the_figures(told: Debrief) -> None:
    """The debrief says what was wrong, the result, the wall's stops, every step, and both courses."""
    pieces = debrief_pieces(told)
    text = "\n".join(f"{p.label} {p.text}" for p in pieces)
    assert the_book().causes["pump-dead"].title in text
    assert "The wall stopped you once" in text
    assert f"{told.score.minutes:.0f} minutes" in text
    assert {"WAS", "RESULT", "YOU", "PROGRAM", "YOURS"} <= {p.label for p in pieces}
    assert all(len(p.label) <= 7 for p in pieces)


def test_wrong_figure_and_misread_reading_are_revealed() -> None:
    """The debrief says which figure was wrong and which reading was misread, and whether it was put right."""
    paper = dealt("wrong-papers", 1)
    assert paper.wrong_fact is not None
    result = without_courses(played(paper, f"measure {paper.wrong_fact.field}", "finish give up"))
    said = next(p.text for p in debrief_pieces(result) if p.label == "WRONG")
    assert paper.wrong_fact.true in said
    assert "You put it right" in said
    gauge = first_deal("misread-gauge", lambda d: d.misread_at == 1)
    found = without_courses(played(gauge, "ready base-pressure", "finish give up"))
    assert "never read again" in next(p.text for p in debrief_pieces(found) if p.label == "MISREAD")


def test_a_debrief_can_be_given_up() -> None:
    """When the clock says stop, there is none; the same goes while the program works on the car."""
    session = dead_pump()
    assert debrief(session, KEPT, lambda number: number < 3) is None
    assert debrief(session, KEPT, lambda number: number <= len(session.turns) + 2) is None


def test_the_program_ends_its_course_without_being_stopped(told: Debrief) -> None:
    """Following every proposal ends the session, needs no refused step, and proves what it repairs."""
    program = told.program
    assert program.finished
    assert program.count("unsafe") == program.count("not ready") == program.count("no tool") == 0
    assert told.program_score.solved
    assert told.program_score.proven


def test_the_programs_course_can_be_cut_short() -> None:
    """The clock may stop it between two steps."""
    cut = work_through(the_book(), dealt("loud-fault", 1), KEPT, lambda number: number <= 2)
    assert not cut.finished
    assert next(t.step for t in cut.turns if t.kind == "done") == "look-over"


def test_story_and_turns_in_words() -> None:
    """The story names the complaint; an answer carries its entry number for striking."""
    session = played(dealt("loud-fault", 1), "do look-over")
    first = the_book().signs[session.deal.complaints[0]].title
    assert any(first in p.text for p in story(session))
    pieces = turn_pieces(session.turns[-1], session)
    assert pieces[1].label == str(session.turns[-1].told[0].entry)
    assert proposal_words(begin(the_book(), dealt("loud-fault", 1)), KEPT)
