"""A question about the car as built comes when a step would be in vain without the part, and only once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from diag.decision.candidates import shrunk
from diag.decision.next_step import propose
from diag.decision.proposal import Proposal
from diag.fuelsystem.car import Car
from diag.inference.evidence import Evidence
from diag.inference.model import compile_model
from diag.inference.posterior import belief
from diag.rulebook.model import Context, RuleBook
from tests.decision import steps
from tests.decision.choice import plain_table
from tests.decision.test_next_step import BOOK, DRY, told
from tests.inference import books

POT = Context("pot", "Pot", "Is there a pot?", asked_by=("has-pot",))


def with_pot(chance: float) -> RuleBook:
    """The small book, in which the reading at the gauge needs a pot that so many cars have."""
    checks = {**BOOK.checks, "gauge": replace(BOOK.checks["gauge"], fits=("pot",), minutes=10.0)}
    asked = steps.by_id(steps.check("ask-as-built", "has-pot", "since-rebuild"))
    signs = {**BOOK.signs, "has-pot": books.sign("has-pot", chance)}
    return replace(BOOK, checks={**checks, **asked}, signs=signs, contexts={**BOOK.contexts, "pot": POT})


def ask(book: RuleBook, contexts: dict[str, bool], asked: frozenset[str] = frozenset()) -> Proposal:
    """The proposal with everything but gauge and the question about the car put aside."""
    model = compile_model(book, Car())
    evidence = replace(told(("too-high", "+")), contexts=contexts, findings=())
    aside = frozenset(book.checks) - {"gauge", "ask-as-built"}
    lacks = frozenset({"pot"}) if contexts.get("pot") is False else frozenset()
    state = replace(DRY, later=aside, setups=frozenset({"gauge-fitted", "hose-off"}), unanswered=asked, lacks=lacks)
    return propose(model, belief(model, evidence), evidence, state, plain_table)


def test_a_likely_missing_part_is_asked_about_first() -> None:
    """Half of the cars have none: two minutes of asking against ten in vain."""
    proposal = ask(with_pot(0.5), {})
    assert [y.sign for y in proposal.ask] == ["has-pot"]
    assert proposal.reason[0].kind == "part first"


@pytest.mark.parametrize(("chance", "first"), [(0.35, "has-pot"), (0.9, "starves")])
def test_nobody_is_asked_what_a_part_does_that_the_car_mostly_lacks(chance: float, first: str) -> None:
    """One question costs as much as the other; where most cars have the part it is taken to be there."""
    book = with_pot(chance)
    talk = steps.by_id(steps.check("ask-how-it-runs", "starves"))
    signs = {**book.signs, "starves": replace(book.signs["starves"], fits=("pot",))}
    book = replace(book, checks={**book.checks, **talk}, signs=signs)
    model = compile_model(book, Car())
    evidence = replace(told(("too-high", "+")), findings=())
    state = replace(DRY, later=frozenset(book.checks) - {"ask-how-it-runs", "ask-as-built"})
    proposal = propose(model, belief(model, evidence), evidence, state, plain_table)
    asked = [y.sign for y in proposal.ask or book.checks[proposal.step].yields]
    assert asked[0] == first


def test_a_part_that_nearly_every_car_has_is_not_asked_about() -> None:
    """One car in fifty: the question costs more than it spares."""
    assert ask(with_pot(0.98), {}).step == "gauge"


@pytest.mark.parametrize("asked", [frozenset(), frozenset({"has-pot"})])
def test_what_was_told_or_could_not_be_told_is_not_asked(asked: frozenset[str]) -> None:
    """Told yes, or asked in vain: the check itself."""
    contexts = {} if asked else {"pot": True}
    assert ask(with_pot(0.5), contexts, asked).step == "gauge"


def test_without_the_part_the_check_is_not_proposed() -> None:
    """Told no."""
    assert ask(with_pot(0.5), {"pot": False}).step != "gauge"


def test_a_cause_that_needs_the_part_is_impossible_without_it() -> None:
    """Prior factor zero; the other causes keep their proportions."""
    book = with_pot(0.5)
    first = next(iter(book.causes))
    book = replace(book, causes={**book.causes, first: replace(book.causes[first], fits=("pot",))})
    model = compile_model(book, Car())
    here, gone = (dict(belief(model, Evidence(contexts=c)).ranked()) for c in ({"pot": True}, {"pot": False}))
    assert here[first] > 0.0
    assert gone.get(first, 0.0) == 0.0
    second, third = (name for name in list(book.causes)[1:3])
    assert gone[second] / gone[third] == pytest.approx(here[second] / here[third], rel=0.05)


def test_doubt_shrinks_likelihood_ratios_and_keeps_the_chance_of_each_answer() -> None:
    """Worked by hand: rows of weight 0.2 and 0.8 that say yes with 0.9 and 0.1, doubted by a half."""
    weights, chances = np.array([0.2, 0.8]), np.array([[0.9, 0.1], [0.1, 0.9]])
    found = shrunk(chances, weights, 0.5)
    average = 0.2 * 0.9 + 0.8 * 0.1
    assert found[0, 0] == pytest.approx(0.5 * 0.9 + 0.5 * average)
    assert weights @ found == pytest.approx(weights @ chances)
    assert found[0, 0] / found[1, 0] < chances[0, 0] / chances[1, 0]
