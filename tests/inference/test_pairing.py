"""Cars put together for a sizing cause: few of them are the first of many, in whatever order they are asked for."""

from __future__ import annotations

import numpy as np
import pytest

from diag.fuelsystem.car import Car
from diag.inference.model import compile_model
from diag.inference.readings.pairing import FIRST, Pairing
from diag.inference.readings.predictor import Physics
from diag.rulebook.load import load_book
from diag.rulebook.where import rules_folder


@pytest.mark.parametrize(
    ("least", "kept"),
    [(2.0, [0, 14, 28]), (4.0, [0, 7, 14, 21, 28, 35]), (7.0, [1, 2, 3])],
    ids=["enough alone", "too few alone", "too few at all"],
)
def test_what_meets_another_condition_too_is_kept_only_when_too_few_meet_none(least: float, kept: list[int]) -> None:
    """Of forty pairs those at every seventh place meet the condition, and every other of these meets no other one."""
    places = np.arange(40, dtype=np.intp)
    settled = np.array([1, 2, 3], dtype=np.intp)
    pairing = Pairing(settled, settled, (places + 100, places), least)
    _, rest = pairing.unjudged(1000)
    found = pairing.judged(rest % 7 == 0, rest % 14 == 0).settled()
    assert found is not None
    assert found.rest.tolist() == kept
    assert found.own.tolist() == ([place + 100 for place in kept] if len(kept) != 3 or least < 7 else kept)
    assert found.whole
    assert not len(found.unjudged(1000)[0])


@pytest.mark.parametrize("every", [2, 5, 23], ids=["plenty", "some", "few"])
def test_no_more_pairs_are_judged_than_are_asked_for_and_fewer_are_the_first_of_more(every: int) -> None:
    """Of thirty thousand pairs every second, fifth or 23rd is good."""
    places = np.arange(32768, dtype=np.intp)
    settled = np.array([1], dtype=np.intp)
    found: dict[int, list[int]] = {}
    judged: dict[int, int] = {}
    for count in (16, 128, 32768):
        pairing, judged[count] = Pairing(settled, settled, (places, places), 48.0), 0
        while len(rest := pairing.unjudged(count)[1]):
            pairing = pairing.judged(rest % every < 3, rest % every == 0)
            judged[count] += len(rest)
        last = pairing.settled()
        assert last is not None
        found[count] = last.rest.tolist()
        assert len(found[count]) >= min(count, len(range(0, 32768, every)))
    assert found[16] == found[32768][: len(found[16])]
    assert found[128] == found[32768][: len(found[128])]
    assert found[32768] == list(range(0, 32768, every))
    assert judged[16] <= max(FIRST, 4 * 48 * every)
    assert judged[32768] == 32768


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
