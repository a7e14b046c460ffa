"""Cars put together for a sizing cause: few of them are the first of many, in whatever order they are asked for."""

from __future__ import annotations

import numpy as np

from diag.fuelsystem.car import Car
from diag.inference.model import compile_model
from diag.inference.readings.pairing import AT_FIRST, Pairing
from diag.inference.readings.predictor import Physics
from diag.rulebook.load import load_book
from diag.rulebook.where import rules_folder


def _judged(pairing: Pairing, count: int) -> tuple[list[int], int]:
    """The kept places of a pairing whose pairs are good when their place divides by seven; how many were judged."""
    judged = 0
    while len((next_ := pairing.unjudged(count))[1]):
        judged += len(next_[1])
        pairing.judged(next_[1] % 7 == 0, next_[1] % 14 == 0)
    return pairing.kept()[1].tolist(), judged


def test_few_kept_pairs_are_the_first_of_many_and_cost_less() -> None:
    places = np.arange(4096, dtype=np.intp)
    few, little = _judged(Pairing(places, places, (places, places), 48.0), 20)
    many, all_ = _judged(Pairing(places, places, (places, places), 48.0), 4096)
    assert few[:20] == many[:20] == list(range(0, 280, 14))
    assert little < all_ == len(places)


def test_what_meets_another_condition_too_is_kept_only_when_too_few_meet_none() -> None:
    places = np.arange(AT_FIRST, dtype=np.intp)
    for least, step in ((30.0, 14), (60.0, 7)):
        kept, _ = _judged(Pairing(places, places, (places, places), least), 10)
        assert kept == list(range(0, AT_FIRST, step))
    assert _judged(Pairing(places[:3], places[:3], (places, places), 400.0), 10)[0] == [0, 1, 2]


def test_the_imagined_cars_of_sizing_causes_do_not_depend_on_what_was_asked_before() -> None:
    book = load_book(rules_folder())
    one, other = (compile_model(book, Car({}), 64).physics for _ in range(2))
    assert one is not None
    assert other is not None
    selections = [frozenset({at}) for at in sorted(one.sizing)]
    many = _places(one, selections, 512)
    for count in (32, 128, 512):
        few = _places(other, selections[::-1], count)
        assert all(np.array_equal(few[key], many[key][:count]) for key in many)
    assert any(len(np.unique(places)) > 200 for places in many.values()), "no cause has cars of its own"


def _places(
    physics: Physics, selections: list[frozenset[int]], count: int
) -> dict[tuple[str, frozenset[int]], np.ndarray]:
    names = ("pump rated flow", "return bore", "fuel density")
    return {(n, s): physics.pool.places(n, s, count) for s in selections for n in names}
