"""An answer that does not fit the rest is open again: a question like any other, with its own worth and its reason."""

from __future__ import annotations

from dataclasses import replace

from diag.decision.candidates import candidates, propose_check
from diag.decision.policy import POLICY
from diag.decision.view import View, view_of
from diag.inference.evidence import Witness
from diag.inference.posterior import belief
from diag.presentation.reasons import reason_words
from diag.rulebook.steps import Yield
from tests.decision.choice import plain_table
from tests.decision.test_next_step import BOOK, DRY, MODEL, told

SIGN = "too-high"


def view(doubted: frozenset[str] = frozenset(), done: frozenset[str] = frozenset()) -> View:
    """What the choice looks at after one answer."""
    evidence = told((SIGN, "+"))
    evidence = replace(
        evidence,
        findings=tuple(replace(f, witness=0) for f in evidence.findings),
        witnesses=(Witness((0.7, 0.3), (0.01, 0.1)),),
    )
    found = view_of(MODEL, belief(MODEL, evidence), evidence, replace(DRY, done=done), POLICY)
    return replace(found, doubted=doubted)


def asking() -> str:
    """A check that asks about the sign."""
    return next(c.id for c in BOOK.checks.values() if Yield(sign=SIGN) in c.yields)


def test_an_answer_in_doubt_is_not_known() -> None:
    """Also where the check that asked for it was done as a whole: then only what is in doubt is open."""
    check = BOOK.checks[asking()]
    assert ("sign", SIGN) in view().known()
    assert ("sign", SIGN) not in view(frozenset({SIGN})).known()
    done = frozenset({check.id})
    assert view(done=done).fresh(check) == []
    assert view(frozenset({SIGN}), done).fresh(check) == [Yield(sign=SIGN)]


def test_a_fitting_answer_is_not_doubted() -> None:
    """One answer with nothing against it stands."""
    assert view().doubted == frozenset()


def test_it_says_that_it_is_asked_again() -> None:
    """Nobody is asked the same thing twice without being told why."""
    here = view(frozenset({SIGN}))
    chosen = next(c for c in candidates(here, plain_table) if c.plan.target.id == asking())
    words = " ".join(reason_words(propose_check(here, chosen, ()), BOOK))
    assert "once more, in other words" in words
    assert "once more" not in " ".join(reason_words(propose_check(view(), chosen, ()), BOOK))
