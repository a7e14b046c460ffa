"""The choice of the next step on a small word-only book."""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
import pytest

from diag.decision.candidates import candidates, could_change
from diag.decision.next_step import propose
from diag.decision.policy import POLICY
from diag.decision.proposal import Proposal
from diag.decision.repair_price import RepairPrices, grouping
from diag.decision.view import view_of
from diag.fuelsystem.car import Car
from diag.inference.evidence import Epoch, Evidence
from diag.inference.model import Model, compile_model
from diag.inference.posterior import Belief, belief
from diag.presentation.reasons import note_words, reason_words
from diag.rulebook.steps import Yield
from diag.safety.situation import Pressure, Situation, Wet
from tests.decision import steps
from tests.decision.choice import plain_table
from tests.decision.steps import small_book
from tests.inference import books

BOOK = small_book()
MODEL = compile_model(BOOK, Car())
DRY = Situation(Wet.DRY)


def told(*answers: tuple[str, str], epochs: tuple[Epoch, ...] = (Epoch(),)) -> Evidence:
    """Answers about signs, all in the last epoch."""
    last = len(epochs) - 1
    findings = tuple(books.told(s, a, 0.02, last, n + 1) for n, (s, a) in enumerate(answers))
    return Evidence(findings, (), epochs)


def ask(evidence: Evidence, situation: Situation, model: Model = MODEL) -> tuple[Proposal, Belief]:
    """The proposal and the belief it rests on."""
    believed = belief(model, evidence)
    return propose(model, believed, evidence, situation, plain_table), believed


def test_the_look_over_comes_first() -> None:
    """Nothing else is proposed before anybody looked for wet fuel."""
    proposal, _ = ask(told(("too-high", "+")), Situation())
    assert (proposal.kind, proposal.step) == ("check", "look-over")
    assert "dry" in " ".join(reason_words(proposal, BOOK))


def test_a_look_over_that_could_not_be_finished_leaves_only_harmless_steps() -> None:
    """With a place in doubt, checks without any act go on; then the car is handed on with the reason."""
    doubt = Situation(looked=True)
    proposal, _ = ask(told(("too-high", "+")), doubt)
    assert proposal.kind == "check"
    assert not BOOK.checks[proposal.step].does
    done = replace(doubt, done=frozenset(c for c in BOOK.checks if not BOOK.checks[c].does))
    proposal, _ = ask(told(("too-high", "+")), done)
    assert proposal.kind in ("check", "hand on")
    if proposal.kind == "hand on":
        assert "dry" in " ".join(reason_words(proposal, BOOK))


@pytest.mark.parametrize("state", [Situation(looked=True), Situation(refused=frozenset({"look-over"}))])
def test_a_look_over_that_cannot_be_done_is_not_asked_for_again(state: Situation) -> None:
    """Neither by itself nor on the way to another check; what needs it says so."""
    proposal, _ = ask(told(("too-high", "+")), state)
    assert proposal.step != "look-over"
    assert "look-over" not in proposal.setups
    shut = next(a for a in proposal.alternatives if a.step == "listen")
    assert "first" in note_words(shut) or "look" in note_words(shut)


def test_untrained_and_wet_is_a_stop() -> None:
    """No step at all, but what to do now."""
    proposal, _ = ask(told(("fuel-under-car", "+")), Situation(Wet.WET, person="untrained"))
    assert proposal.kind == "stop"
    assert proposal.step == ""
    text = " ".join(reason_words(proposal, BOOK)).casefold()
    for word in ("off", "crank", "drive", "away", "trained"):
        assert word in text


def test_wet_and_trained_goes_for_the_leak() -> None:
    """A mechanic gets checks made for leaks or the repair with the quiet pressure release first."""
    proposal, _ = ask(told(("fuel-at-cap", "+")), Situation(Wet.WET))
    assert proposal.kind in ("check", "remedy")
    if proposal.kind == "check":
        assert BOOK.checks[proposal.step].for_leaks
    proposal, _ = ask(told(("fuel-at-cap", "+"), ("paper-wet", "+")), Situation(Wet.WET, done=frozenset({"paper"})))
    assert (proposal.kind, proposal.step) == ("remedy", "tighten-cap")
    assert proposal.setups == ("fuse-out", "pressure-released-fuse-out")


def test_the_proof_of_a_leak_repair_goes_in_its_order() -> None:
    """Every stage proposes its own step and nothing else; alone at the car it stops with the reason."""
    epochs = (Epoch(), Epoch(frozenset(), frozenset({"cap-loose"}), 0.05, "tighten-cap", 5))
    evidence = told(epochs=epochs)
    state = Situation(Wet.REPAIRED, Pressure.RELEASED, fuse_out=True, second_person=True)
    expected = {
        "dry look": "look-over-after-repair",
        "two second prime": "prime-two-seconds",
        "look again": "look-over-after-repair",
        "sixty second run": "run-sixty-seconds",
        "final look": "look-over-after-repair",
    }
    for stage, step in expected.items():
        proposal, _ = ask(evidence, replace(state, proof_stage=stage))
        assert (proposal.kind, proposal.step) == ("prove", step)
    alone = replace(state, proof_stage="two second prime", second_person=False)
    proposal, _ = ask(evidence, alone)
    assert proposal.kind == "stop"
    assert "switch" in " ".join(reason_words(proposal, BOOK))


def test_a_remedy_is_proved_before_anything_else() -> None:
    """After a remedy: look-over, then its proof checks; when all came out well the job can be closed."""
    epochs = (Epoch(), Epoch(frozenset(), frozenset({"pump-worn"}), 0.05, "renew-pump", 5))
    evidence = told(epochs=epochs)
    proposal, _ = ask(evidence, Situation(Wet.UNKNOWN))
    assert (proposal.kind, proposal.step) == ("prove", "look-over-after-repair")
    proposal, _ = ask(evidence, DRY)
    assert (proposal.kind, proposal.step) == ("prove", "listen")
    before = tuple(books.told(s, "+", 0.02, 0, n + 1) for n, s in enumerate(("starves", "whine")))
    after = tuple(books.told(s, "-", 0.02, 1, n + 6) for n, s in enumerate(("starves", "whine", "too-high")))
    cured = Evidence((*before, *after), (), epochs)
    proposal, believed = ask(cured, replace(DRY, done=frozenset(BOOK.checks)))
    assert believed.nothing > 0.9
    assert proposal.kind == "close"


def test_a_proof_in_words_asks_only_what_was_complained_of() -> None:
    """Twenty questions about complaints that nobody had prove nothing; those that were there are asked about again."""
    signs = {s: replace(BOOK.signs[s], symptom=True) for s in ("starves", "whine", "since-rebuild")}
    ask_all = replace(BOOK.checks["ask"], yields=tuple(Yield(sign=s) for s in signs))
    proven = replace(BOOK.remedies["renew-pump"], proof=("ask",))
    book = replace(
        BOOK,
        signs={**BOOK.signs, **signs},
        checks={**BOOK.checks, "ask": ask_all},
        remedies={**BOOK.remedies, "renew-pump": proven},
    )
    model = compile_model(book, Car())
    epochs = (Epoch(), Epoch(frozenset(), frozenset({"pump-worn"}), 0.05, "renew-pump", 5))
    before = (books.told("starves", "+", 0.02, 0, 1), books.told("whine", "-", 0.02, 0, 2))
    proposal, _ = ask(Evidence(before, (), epochs), DRY, model)
    assert (proposal.kind, proposal.step, proposal.ask) == ("prove", "ask", (Yield(sign="starves"),))


def test_no_job_is_closed_before_the_complaint_was_asked_again() -> None:
    """All seems well after the repair, yet what was there at first is looked at once more; then the job is closed."""
    book = replace(BOOK, signs={**BOOK.signs, "starves": replace(BOOK.signs["starves"], symptom=True)})
    model = compile_model(book, Car())
    epochs = (Epoch(), Epoch(frozenset(), frozenset({"pump-worn"}), 0.05, "renew-pump", 5))
    before = tuple(books.told(s, "+", 0.02, 0, n + 1) for n, s in enumerate(("starves", "whine")))
    after = tuple(books.told(s, "-", 0.02, 1, n + 6) for n, s in enumerate(("whine", "too-high")))
    done = replace(DRY, done=frozenset(BOOK.checks) - {"drive"})
    proposal, believed = ask(Evidence((*before, *after), (), epochs), done, model)
    assert believed.nothing > 0.9
    assert (proposal.kind, proposal.step) == ("prove", "drive")
    assert book.signs["starves"].title in reason_words(proposal, book)[0]
    gone = (*before, *after, books.told("starves", "-", 0.02, 1, 9))
    assert ask(Evidence(gone, (), epochs), done, model)[0].kind == "close"
    refused = replace(done, refused=frozenset({"drive"}))
    assert ask(Evidence((*before, *after), (), epochs), refused, model)[0].kind == "close"


def test_a_remedy_that_did_not_cure_is_evidence() -> None:
    """The proof shows the same whine: the search goes on instead of closing."""
    epochs = (Epoch(), Epoch(frozenset(), frozenset({"pump-worn"}), 0.05, "renew-pump", 5))
    before = tuple(books.told(s, "+", 0.02, 0, n + 1) for n, s in enumerate(("starves", "whine")))
    still = (books.told("starves", "+", 0.02, 1, 6), books.told("whine", "+", 0.02, 1, 7))
    proposal, believed = ask(Evidence((*before, *still), (), epochs), replace(DRY, done=frozenset({"listen"})))
    assert believed.nothing < 0.1
    assert proposal.kind in ("check", "remedy")


def test_setups_come_in_order_and_stop_at_the_look_over() -> None:
    """Toward a gauge reading: release and fit, then look over again, since a joint was opened."""
    aside = frozenset(c for c in BOOK.checks if c != "gauge")
    proposal, _ = ask(told(), replace(DRY, done=aside))
    assert proposal.toward == "gauge"
    assert proposal.step == "look-over"
    assert proposal.setups == ("pressure-released", "gauge-fitted", "hose-off")
    ready = replace(DRY, done=aside, setups=frozenset({"gauge-fitted", "hose-off"}))
    proposal, _ = ask(told(), ready)
    assert (proposal.step, proposal.setups, proposal.toward) == ("gauge", (), "")


def test_setups_in_place_make_a_check_cheaper() -> None:
    """Neighbouring checks go together: the fitted gauge is not paid twice."""
    first, _ = ask(told(("too-high", "+")), DRY)
    fitted = replace(DRY, setups=frozenset({"gauge-fitted", "hose-off"}))
    second, _ = ask(told(("too-high", "+")), fitted)

    def minutes(p: Proposal) -> float:
        return next(a.minutes for a in p.alternatives if a.step == "pinch")

    assert minutes(second) < minutes(first) - 3


def test_a_missing_tool_is_a_price() -> None:
    """Without a gauge the gauge check stays possible and costs the borrowing."""
    have, _ = ask(told(("too-high", "+")), replace(DRY, tools=frozenset({"pressure-gauge", "multimeter"})))
    lack, _ = ask(told(("too-high", "+")), replace(DRY, tools=frozenset()))

    def find(p: Proposal) -> tuple[float, bool]:
        return next((a.minutes, a.verdict.allowed) for a in p.alternatives if a.step == "pinch")

    assert find(lack)[1]
    assert find(lack)[0] == pytest.approx(find(have)[0] + BOOK.knobs.borrow_minutes)


def test_what_was_refused_is_not_proposed_again() -> None:
    """Refused and put-off checks stay in the list with a note."""
    first, _ = ask(told(("whine", "+")), DRY)
    target = first.toward or first.step
    for field in ("refused", "later"):
        again, _ = ask(told(("whine", "+")), replace(DRY, **{field: frozenset({target})}))
        assert target not in (again.step, again.toward)
        assert next(a for a in again.alternatives if a.step == target).note


def test_forbidden_checks_are_listed_with_why_and_until() -> None:
    """The list of alternatives says what the wall says."""
    proposal, _ = ask(told(("fuel-at-cap", "+")), Situation(Wet.WET))
    shut = [a for a in proposal.alternatives if not a.verdict.allowed]
    assert {"listen", "gauge", "crank"} <= {a.step for a in shut}
    assert all(a.verdict.why and a.verdict.until for a in shut)


def test_a_settled_case_goes_to_the_remedy() -> None:
    """With one remedy beyond doubt and every check costing more than it saves, the remedy is proposed."""
    evidence = told(
        ("fuel-at-cap", "-"),
        ("starves", "+"),
        ("whine", "+"),
        ("low-volts", "-"),
        ("too-high", "-"),
        ("falls-open", "-"),
    )
    proposal, believed = ask(evidence, DRY)
    assert believed.ranked()[0][0] == "pump-worn"
    assert (proposal.kind, proposal.step) == ("remedy", "renew-pump")
    assert "Pump worn" in " ".join(reason_words(proposal, BOOK))
    assert proposal.setups == ("pressure-released",)


def test_nobody_is_sent_away_while_a_fault_is_likelier() -> None:
    """With every check used up, a job is closed only when nothing wrong is the likelier, however cheap that is."""
    used = replace(DRY, done=frozenset(BOOK.checks))
    proposal, believed = ask(told(("whine", "+"), ("starves", "-"), ("too-high", "-")), used)
    assert 0.02 < believed.nothing < 0.5
    assert proposal.kind in ("remedy", "hand on")
    clean = told(*((s, "-") for s in BOOK.signs if s != "fire"))
    proposal, believed = ask(clean, used)
    assert believed.nothing > 0.5
    assert proposal.kind == "close"
    wet, _ = ask(clean, replace(used, wet=Wet.WET))
    assert wet.kind == "hand on"  # never closed with fuel outside, however sound everything else looks


def test_reasons_name_the_causes_and_the_cost() -> None:
    """Plain sentences: what leads, what an answer would do, what it takes."""
    proposal, _ = ask(told(("too-high", "+")), replace(DRY, setups=frozenset({"gauge-fitted", "hose-off"})))
    text = " ".join(reason_words(proposal, BOOK))
    assert "Leading now" in text
    assert "minute" in text
    assert "%" in text


def test_the_same_question_gives_the_same_answer() -> None:
    """No hidden state, no chance."""
    a, _ = ask(told(("whine", "+")), DRY)
    b, _ = ask(told(("whine", "+")), DRY)
    assert a == b


def test_gain_is_the_fall_of_summed_entropy_worked_by_hand() -> None:
    """Two causes, one sign: gain and rate against a sum written out here."""
    causes = [
        replace(books.cause("a", 0.6, {"s": 0.9}), remedies=("fix-a",)),
        replace(books.cause("b", 0.4, {}), remedies=("fix-b",)),
    ]
    tiny = replace(
        books.book(causes, [books.sign("s", 0.05)], figures=books.knobs(none=0.1, two_or_more=0.05)),
        checks=steps.by_id(steps.check("see", "s", minutes=4.0, tools=("torch",))),
        remedies=steps.by_id(steps.remedy("fix-a", minutes=50.0), steps.remedy("fix-b", minutes=50.0)),
    )
    model = compile_model(tiny, Car())
    evidence = Evidence()
    believed = belief(model, evidence)
    proposal = propose(model, believed, evidence, DRY, plain_table)
    # the last two rows are pairs and not-in-book; group by what is present
    sets = [frozenset(int(c) for c in row if c < 2) for row in believed.rows]
    w = believed.weights
    present = np.array([1 - 0.95 * (0.1 if 0 in s else 1.0) for s in sets])
    facts = [np.array([f in s for s in sets]) for f in (0, 1)] + [np.array([not s for s in sets])]

    def total(weights: np.ndarray) -> float:
        share = [weights[f].sum() / weights.sum() for f in facts]
        return -sum(p * np.log(p) + (1 - p) * np.log(1 - p) for p in share if 0 < p < 1)

    on, off = w * present, w * (1 - present)
    gain = total(w) - on.sum() * total(on) - off.sum() * total(off)
    option = next(a for a in proposal.alternatives if a.step == "see")
    assert option.gain == pytest.approx(gain, rel=0.02)
    assert option.rate == pytest.approx(gain / 4.0, rel=0.02)


def test_repair_prices_pay_the_last_member() -> None:
    """Two groups, p/c order, one pair: worked by hand."""
    members = np.array([[0, 2], [1, 2], [0, 1]])
    prices = RepairPrices(members, np.array([10.0, 20.0]), np.array([True, True]), 1000.0, np.zeros(3, bool))
    weights = np.array([[0.6], [0.3], [0.1]])
    # order 0 then 1: 0.6 * 10 + 0.4 * 30
    assert prices.expected(weights)[0] == pytest.approx(18.0)
    # Handed on at once the same work is done elsewhere: 0.6 * 10 + 0.3 * 20 + 0.1 * 30 and the price of going there.
    cheap = replace(prices, hand_on=1.0)
    assert cheap.expected(weights)[0] == pytest.approx(15.0 + 1.0)
    shut = replace(prices, curable=np.array([True, False]))
    assert shut.expected(weights)[0] == pytest.approx(0.6 * 10 + 0.3 * (1010 + 20) + 0.1 * (1010 + 30))


def test_group_sums_count_a_row_once_per_group() -> None:
    """A row that names a group twice adds its weight once; an unused group stays zero."""
    members = np.array([[0, 0, 3], [2, 0, 3], [3, 3, 3]])
    weights = np.array([[1.0, 10.0], [2.0, 20.0], [4.0, 40.0]])
    assert grouping(members, 3).sums(weights).tolist() == [[3.0, 30.0], [0.0, 0.0], [2.0, 20.0]]


def full_size() -> tuple[Model, Evidence]:
    """A made-up book of full size with 100 checks."""
    plain = books.random_book(7, out_of_book=0.02)
    causes = {c.id: replace(c, remedies=(f"fix-{n % 55}",)) for n, c in enumerate(plain.causes.values())}
    names = list(plain.signs)
    checks = steps.by_id(
        *(
            steps.check(
                f"check-{n:02d}", *names[n : n + 1 + n % 6], does=("runs pump",) if n % 2 else (), minutes=2.0 + n % 9
            )
            for n in range(80)
        ),
        *steps.CHECKS.values(),
    )
    signs = {**plain.signs, **BOOK.signs}
    book = replace(
        plain,
        causes=causes,
        signs=signs,
        checks=checks,
        setups=steps.SETUPS,
        stops=steps.STOPS,
        remedies=steps.by_id(*(steps.remedy(f"fix-{n}", "opens system", minutes=20.0 + n) for n in range(55))),
    )
    evidence = Evidence(tuple(books.told(names[n], "+" if n % 4 == 0 else "-", 0.02, 0, n) for n in range(0, 40, 2)))
    return compile_model(book, Car()), evidence


def test_choosing_is_quick_at_full_size() -> None:
    """70 causes, 92 checks: far under a quarter of a second here (the benchmark holds the real figure)."""
    model, evidence = full_size()
    believed = belief(model, evidence)
    best = 1.0
    for _ in range(3):
        start = time.process_time()
        proposal = propose(model, believed, evidence, DRY, plain_table)
        best = min(best, time.process_time() - start)
    assert proposal.kind in ("check", "remedy")
    assert best < 0.25


def test_what_cannot_change_the_remedy_is_not_worth_asking_once_it_stands_out() -> None:
    """With the pump as good as found, an answer about the cover changes nothing; before, its own sign changes much."""
    found = told(("starves", "+"), ("whine", "+"), ("low-volts", "-"), ("fuel-at-cap", "-"), ("too-high", "-"))
    believed = belief(MODEL, found)
    sure = view_of(MODEL, believed, found, DRY, POLICY)
    assert sure.leader()[0] == "renew-pump"
    assert sure.leader()[1] >= BOOK.knobs.commit_at
    assert not any(could_change(sure, c) for c in candidates(sure, plain_table) if c.plan.target.id == "pull-hose")
    before = told(("whine", "+"))
    open_ = view_of(MODEL, belief(MODEL, before), before, DRY, POLICY)
    assert any(could_change(open_, c) for c in candidates(open_, plain_table))
    proposal, _ = ask(found, DRY)
    assert proposal.kind == "remedy"


def test_after_many_checks_without_a_leader_the_car_goes_on_to_somebody_else() -> None:
    """However much a further check might tell: what did not show in so many does not show here."""
    tried = frozenset(f"check-{n}" for n in range(int(POLICY.most_checks)))
    fresh, _ = ask(told(), DRY)
    tired, _ = ask(told(), replace(DRY, tried=tried))
    assert fresh.kind == "check"
    assert tired.kind in ("hand on", "close", "remedy")


def test_a_way_once_begun_is_gone_to_its_end() -> None:
    """The check that the set-ups led to comes first while it is worth half of the best."""
    plain, _ = ask(told(), DRY)
    others = [a for a in plain.alternatives if a.kind == "check" and a.verdict.allowed and a.step != plain.step]
    near = next((a.step for a in others if a.rate >= POLICY.keep_aim * plain.alternatives[0].rate), "")
    believed = belief(MODEL, told())
    meant = propose(MODEL, believed, told(), DRY, plain_table, aim=near)
    assert near in (meant.step, meant.toward)
    nothing = propose(MODEL, believed, told(), DRY, plain_table, aim="no-such-step")
    assert (nothing.step, nothing.toward) == (plain.step, plain.toward)
