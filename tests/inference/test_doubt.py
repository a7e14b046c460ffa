"""Which answer to ask again: the one that the others make unlikely, worth the more the more hangs on it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diag.inference.doubt import doubts
from diag.inference.evidence import Evidence, Finding, Witness
from diag.inference.posterior import belief
from tests.inference.books import book, cause, knobs, sign, told
from tests.inference.rig import rig
from tests.inference.test_posterior_words import compiled

PLAIN = Witness((0.7, 0.3), (0.01, 0.1))


def by(finding: Finding, entry: int) -> Finding:
    """The same answer, told by the one witness of the job."""
    return replace(finding, witness=0, entry=entry, wrong=PLAIN.mean)


def torn_book():  # type: ignore[no-untyped-def]
    """A tear shows three signs nearly always, something else one."""
    rows = {"a-torn": {"a": 0.98, "b": 0.98, "c": 0.98}, "b-stiff": {"d": 0.98}}
    signs = [sign(name, 0.01) for name in "abcd"]
    return book([cause(n, 0.5, shows) for n, shows in rows.items()], signs, figures=replace(knobs(), asked_again=0.2))


def test_the_answer_that_does_not_fit_is_the_one_to_ask_again() -> None:
    """Two yes and one no about what a tear shows: the no is the one that is likely wrong."""
    model = compiled(torn_book())
    said = (by(told("a", "+"), 1), by(told("b", "+"), 2), by(told("c", "-"), 3), by(told("d", "-"), 4))
    evidence = Evidence(said, witnesses=(PLAIN,))
    found = doubts(model, evidence, belief(model, evidence))
    assert {d.sign for d in found} == set("abcd")
    assert max(found, key=lambda d: d.wrong).sign == "c"
    by_sign = {d.sign: d for d in found}
    assert by_sign["c"].wrong > 0.25 > by_sign["a"].wrong
    assert [d.nats for d in found] == sorted((d.nats for d in found), reverse=True)
    assert all(d.nats >= 0.0 for d in found)


def test_asked_again_it_is_in_doubt_no_more() -> None:
    """Nobody is asked a third time; nor about hearsay, wet places, or the car before a repair."""
    model = compiled(torn_book())
    twice = (by(told("a", "+"), 1), by(told("c", "-"), 2), replace(by(told("c", "+"), 3), care=0.2))
    evidence = Evidence((*twice, told("b", "-", 0.1, entry=4)), witnesses=(PLAIN,))
    assert [d.sign for d in doubts(model, evidence, belief(model, evidence))] == ["a"]


def test_chance_of_a_wrong_answer_by_hand() -> None:
    """One cause or none, one sign: P(wrong | told yes) = w P(absent) / P(told yes), checked on the joint table."""
    rules = book([cause("only", 1.0, {"s": 0.9})], [sign("s", 0.1)], figures=knobs(none=0.5, two_or_more=1e-9))
    model = compiled(rules)
    w = 0.05
    evidence = Evidence((replace(told("s", "+", w), witness=0),), witnesses=(Witness((1.0,), (w,)),))
    there = 0.5 * 0.1 + 0.5 * (1 - 0.9 * 0.1)
    wrong = w * (1 - there) / ((1 - w) * there + w * (1 - there))
    (found,) = doubts(model, evidence, belief(model, evidence))
    # The second answer, given with the same slip: it differs when the first was wrong, or when it slips itself.
    assert found.wrong == pytest.approx(wrong * (1 - w) + (1 - wrong) * w, abs=1e-6)


def test_signs_of_the_physics_and_answers_in_between_are_not_put_in_doubt() -> None:
    """What people miss of a pressure they would miss again; and "partly" is no slip."""
    model = rig()
    seen = next(iter(model.words.physical))
    evidence = Evidence((by(told(seen, "+"), 1),), witnesses=(PLAIN,))
    assert doubts(model, evidence, belief(model, evidence)) == []
    partly = replace(by(told("a", "+"), 1), answer="partly", between=0.6)
    evidence = Evidence((partly,), witnesses=(PLAIN,))
    words = compiled(torn_book())
    assert doubts(words, evidence, belief(words, evidence)) == []
