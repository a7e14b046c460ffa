"""Answers and gauges are judged once each and kept: nothing but time depends on what was asked before, or on room."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diag.fuelsystem.car import car_from_texts
from diag.inference import explain
from diag.inference.evidence import Epoch, Evidence, Finding
from diag.inference.kept import shelf_of
from diag.inference.model import Model, compile_model
from diag.inference.posterior import Belief, belief
from diag.inference.readings import told_case
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from tests import ROOT
from tests.inference.rig import psi


@pytest.fixture(scope="module")
def loaded() -> RuleBook:
    """The shipped book."""
    return load_book(ROOT / "rules")


@pytest.fixture(scope="module")
def told(loaded: RuleBook) -> Evidence:
    """Answers that the physics judges, readings on two gauges, a limit, and an action between."""
    seen = [name for name, sign in loaded.signs.items() if sign.seen_when is not None][:8]
    answers = [
        Finding(name, "present" if at % 3 == 0 else "absent", 0.05, at % 2, at + 1) for at, name in enumerate(seen)
    ]
    readings = (
        psi("rail pressure", "idle-hose-on", 47, 101),
        replace(psi("rail pressure", "screw-out", 40, 102), bound="above"),
        replace(psi("rail pressure", "idle-hose-off", 52, 103), epoch=1),
        psi("regulator outlet pressure", "idle-hose-on", 3, 104),
    )
    return Evidence(tuple(answers), readings, (Epoch(), Epoch(frozenset({"reference hose"}), step="refit", entry=50)))


def model_of(book: RuleBook) -> Model:
    """A car with nothing worked out."""
    return compile_model(replace(book), car_from_texts({"target-pressure": "43.5 psi"}), 64)


def same(one: Belief, other: Belief) -> bool:
    """To the last bit."""
    return one.weights.tobytes() == other.weights.tobytes() and one.ever.tobytes() == other.ever.tobytes()


def some(evidence: Evidence) -> list[Evidence]:
    """The job without each entry in turn, and as it was after each."""
    entries = explain.entries_of(evidence)
    return [*(evidence.without_entry(e) for e in entries), *(explain.until(evidence, e) for e in entries)]


def test_leaving_out_and_going_back_give_what_a_new_car_gives(loaded: RuleBook, told: Evidence) -> None:
    """Bit by bit, in whatever order they are asked."""
    one, backwards = model_of(loaded), model_of(loaded)
    found = [belief(one, part) for part in some(told)]
    again = [belief(backwards, part) for part in some(told)[::-1]][::-1]
    assert all(same(a, b) for a, b in zip(found, again, strict=True))
    for at in (0, 3, 7, len(found) - 2):
        assert same(found[at], belief(model_of(loaded), some(told)[at]))


def test_with_hardly_any_room_nothing_changes(loaded: RuleBook, told: Evidence) -> None:
    """Parts, and the numbers by which their rows are found, go at any moment when the shelf is small."""
    roomy, cramped = model_of(loaded), model_of(loaded)
    shelf_of(cramped.book).most = 150_000
    for part in some(told)[::3]:
        assert same(belief(roomy, part), belief(cramped, part))
    assert shelf_of(roomy.book).bytes > 20 * 150_000, "the bound was never felt"


def test_an_answer_is_judged_once(loaded: RuleBook, told: Evidence, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without each entry in turn, only the readings of that entry's own gauge are judged anew."""
    model = model_of(loaded)
    belief(model, told)
    judged: list[str] = []
    really = told_case.told_chance

    def counted(sign, *rest):  # type: ignore[no-untyped-def]
        judged.append(sign.id)
        return really(sign, *rest)

    monkeypatch.setattr(told_case, "told_chance", counted)
    first = told.findings[0].entry
    belief(model, told.without_entry(first))
    for_all_sets = len(judged)
    belief(model, told.without_entry(first))
    assert len(judged) == for_all_sets, "the same question was judged twice"
    kept = {finding.sign for finding in told.findings} - {told.findings[0].sign}
    assert for_all_sets <= 4 * len(kept), "answers were judged anew and not only in the sets that came to lead"


def test_what_was_told_unsurely_is_another_answer(loaded: RuleBook) -> None:
    """Two answers that are wrong as often, by a slip or told unsurely, differ in what they say of what is absent."""
    name = next(name for name, sign in loaded.signs.items() if sign.seen_when is not None)
    slip = Finding(name, "present", 0.2, 0, 1, invents=0.25)
    unsure = replace(slip, own_wrong=0.2)
    assert slip.sides(0.2) != unsure.sides(0.2)
    model = model_of(loaded)
    belief(model, Evidence((slip,)))
    assert same(belief(model, Evidence((unsure,))), belief(model_of(loaded), Evidence((unsure,))))
