"""Simulated jobs: the same whoever works them, judged by an auditor of its own, and near the exact optimum."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from diag.casework.entries import PersonTold, SignAnswer, StepDone
from diag.evaluation import trial
from diag.evaluation.audit import Auditor
from diag.evaluation.optimum import compared, optimum_text
from diag.evaluation.orders import FLOWCHART, ORDERS
from diag.evaluation.trial import TrialOutcome, TrialPlan, Workshop, cycle_of, figures, place, run_trials
from diag.evaluation.trial_report import comparison_text, trial_text
from diag.inference.model import Model
from diag.inference.posterior import NOT_IN_BOOK
from diag.inference.prior import prior_of
from diag.rulebook.model import RuleBook
from diag.simulation.generators import WRONG_ANSWERS, draw_truth, rng_of, scenario, stressed_book
from diag.simulation.scenario import truth_names
from tests import ROOT

pytestmark = pytest.mark.slow  # several seconds: whole jobs, screens or processes

AT = "2026-01-01T08:00:00Z"
RULES = ROOT / "rules"


@pytest.fixture(scope="module")
def shop() -> Workshop:
    """The shipped book, compiled once."""
    return Workshop(str(RULES))


@pytest.fixture(scope="module")
def world(shop: Workshop) -> Model:
    """The world of the first profile."""
    return shop.world("own", 0)


def test_a_job_is_the_same_whoever_works_it(shop: Workshop) -> None:
    """The hidden fault and the story do not depend on the order of checks; the same order gives the same course."""
    first, _ = shop.run(TrialPlan(1, ceilings=False), 6)
    again, _ = shop.run(TrialPlan(1, ceilings=False), 6)
    other, _ = shop.run(TrialPlan(1, order="flowchart", ceilings=False), 6)
    assert first == again
    assert (first.truth, first.kit) == (other.truth, other.kit)
    assert first.proposals >= 1
    assert first.end != "ran out"


def test_truth_comes_as_often_as_the_prior_says(world: Model) -> None:
    """Nothing wrong, not in the book, and pairs are drawn at the rates the book states."""
    book = world.book
    prior = prior_of(book.causes, book.knobs, world.contexts({}), world.sizing)
    rng = rng_of("rates")
    drawn = [draw_truth(prior, world.causes, rng) for _ in range(1500)]
    share = {
        "nothing": (np.mean([not t for t in drawn]), float(np.exp(prior.log_none))),
        "out": (np.mean([t == (NOT_IN_BOOK,) for t in drawn]), float(np.exp(prior.log_out))),
    }
    for seen, wanted in share.values():
        assert abs(seen - wanted) < 4.0 * np.sqrt(wanted * (1.0 - wanted) / 1500)
    pairs = np.mean([len(t) == 2 for t in drawn])
    assert 0.4 * book.knobs.two_or_more < pairs < 1.6 * book.knobs.two_or_more


def test_the_stressed_world_lacks_a_third_of_the_links_and_moves_the_others(shop: Workshop) -> None:
    """About one link in three is gone, each other is off by a factor of two on its odds, up or down."""
    harder = stressed_book(shop.book)
    factors: list[float] = []
    links = 0
    for cause in shop.book.causes.values():
        links += len(cause.shows)
        for sign, moved in harder.causes[cause.id].shows.items():
            q = cause.shows[sign]
            factors.append(moved / (1 - moved) / (q / (1 - q)))
    assert len(factors) / links == pytest.approx(2 / 3, abs=0.05)
    assert set(np.round(factors, 6)) == {0.5, 2.0}
    assert np.mean(np.array(factors) > 1.0) == pytest.approx(0.5, abs=0.06)
    assert stressed_book(shop.book).causes == harder.causes


def test_in_the_stressed_world_one_answer_in_ten_is_wrong_and_one_fault_in_twenty_unknown(shop: Workshop) -> None:
    """Whoever answers; and beside the book's own share of what is not in it."""
    told = [scenario(n, "stressed", "mixed", 1, shop.world("stressed", 0), {}) for n in range(400)]
    assert {s.wrong for s in told} == {WRONG_ANSWERS}
    unknown = np.mean([s.truth == ("not-in-book",) for s in told])
    assert 0.04 < unknown < 0.12


def test_in_the_own_world_the_witness_is_drawn_as_the_book_has_it(shop: Workshop) -> None:
    """The slips are those of the levels, and mostly the best one."""
    slips = shop.book.knobs.witness_slips
    told = [scenario(n, "own", "full", 1, shop.world("own", 0), {}).wrong for n in range(60)]
    assert set(told) <= set(slips.values())
    assert np.mean(np.array(told) == slips["careful"]) > 0.5


def test_stressed_cars_answer_too(shop: Workshop) -> None:
    """A stressed job has up to three complaints, and its car answers by itself."""
    told = [scenario(n, "stressed", "full", 1, shop.world("stressed", 0), {}) for n in range(0, 60, 6)]
    assert max(len(s.complaints) for s in told) > 1
    assert all(s.hidden.sign("no-start") in ("present", "absent") for s in told)


def _watching(book: RuleBook, *answers: tuple[str, str]) -> Auditor:
    auditor = Auditor(book)
    auditor.saw(PersonTold(1, AT, "t", "shop", second_person=True))
    for n, (sign, answer) in enumerate(answers, 2):
        auditor.saw(SignAnswer(n, AT, "t", sign, answer, check="look-over"))
    return auditor


def test_the_auditor_objects_until_every_place_is_dry(shop: Workshop) -> None:
    """Before the look-over, and with one place wet, nothing may run; with all dry it may."""
    book = shop.book
    places = [y.sign for y in book.checks["look-over"].yields]
    assert _watching(book).objection(["listen-to-pump"])
    dry = _watching(book, *((s, "absent") for s in places))
    assert dry.objection(["engine-off", "listen-to-pump"]) == ""
    wet = _watching(book, *((s, "absent") for s in places[1:]), (places[0], "present"))
    assert "outside" in wet.objection(["listen-to-pump"])
    missing = _watching(book, *((s, "absent") for s in places[1:]))
    assert missing.objection(["listen-to-pump"])


def test_the_auditor_forgets_a_dry_look_when_a_joint_is_opened(shop: Workshop) -> None:
    """After a remedy that opened the system the pump may not run before another look."""
    book = shop.book
    auditor = _watching(book, *((y.sign, "absent") for y in book.checks["look-over"].yields))
    auditor.saw(StepDone(40, AT, "t", "pressure-released"))
    opening = next(r.id for r in book.remedies.values() if "opens system" in r.does)
    auditor.saw(StepDone(41, AT, "t", opening))
    assert auditor.objection(["engine-off", "listen-to-pump"])


def test_an_untrained_caller_is_told_nothing_to_do_at_a_wet_car(shop: Workshop) -> None:
    """Wet fuel and no training: even a harmless check is objected to."""
    auditor = Auditor(shop.book)
    auditor.saw(PersonTold(1, AT, "t", "untrained", by_phone=True))
    auditor.saw(SignAnswer(2, AT, "t", "fuel-under-car", "present"))
    assert auditor.objection(["look-at-fuse"])


# Part 8: 7.3 % above. A turn of talk has a price of its own in the choice, which the optimum's minutes do not hold.
ABOVE = pytest.param(8, marks=pytest.mark.xfail(strict=True, reason="talk is priced in the choice, not in the optimum"))


@pytest.mark.parametrize("number", [1, ABOVE])
def test_the_engine_is_within_five_per_cent_of_the_best_order(shop: Workshop, number: int) -> None:
    """Exact optimum by dynamic programming on parts of the book with five causes and five checks."""
    found = compared(shop.book, number)
    assert found.best <= found.engine + 1e-9
    assert found.excess <= 0.05
    assert found.best <= found.blind + 1e-9
    assert f"at most {100 * found.excess:.1f} %, in part {number}" in optimum_text([found])


def test_the_flowchart_names_checks_of_the_book(shop: Workshop) -> None:
    """Every step of the fixed order exists."""
    assert set(FLOWCHART) <= set(shop.book.checks)
    assert set(ORDERS) == {"engine", "flowchart", "cheapest", "ratio", "random"}


def test_orders_are_worked_together_job_by_job_and_told_apart_afterwards(monkeypatch: pytest.MonkeyPatch) -> None:
    """In a workshop that only notes what is asked of it: each job for both orders at once, jobs on one car together."""
    asked: list[tuple[str, int]] = []

    class Noting:
        def __init__(self, rules: str, written: tuple[object, ...]) -> None: ...

        def run(self, plan: TrialPlan, number: int) -> tuple[SimpleNamespace, None]:
            asked.append((plan.order, number))
            return SimpleNamespace(number=number, order=plan.order), None

    monkeypatch.setattr(trial, "Workshop", Noting)
    orders = ("flowchart", "engine")
    jobs = 2 * trial.CHUNK
    said: list[tuple[int, int]] = []
    plans = [TrialPlan(jobs, order=order, ceilings=False) for order in orders]
    outcomes = run_trials(plans, RULES, 1, lambda done, total: said.append((done, total)))
    for order, outcome in zip(orders, outcomes, strict=True):
        assert [(c.order, c.number) for c in outcome.courses] == [(order, n) for n in range(jobs)]  # type: ignore[attr-defined]
        assert outcome.seconds > 0.0
    assert [order for order, _ in asked] == list(orders) * jobs
    numbers = [number for _, number in asked[::2]]
    assert sorted(numbers) == list(range(jobs))
    assert numbers[1] == cycle_of(plans[0], ()), "the next job on the same car comes next"
    assert said[-1] == (2 * jobs, 2 * jobs)


def test_figures_and_report_of_a_few_jobs(shop: Workshop) -> None:
    """The figures count what the courses say, and the report prints them."""
    plan = TrialPlan(2, ceilings=False)
    outcome = TrialOutcome(plan, [shop.run(plan, n)[0] for n in (0, 12)])
    found = figures(outcome, shop.book)
    led = [place(c.ranking, truth_names(c.truth)) == 1 for c in outcome.courses if c.ranking]
    assert found.at_1.value == pytest.approx(np.mean(led))
    assert found.proposals == sum(c.proposals for c in outcome.courses)
    assert found.forbidden == ()
    assert "forbidden" in trial_text(outcome, found, shop.book)
    assert "fewer" in comparison_text({"engine": found, "flowchart": found})
