"""Dealing practice cars."""

from __future__ import annotations

import pytest

from diag.fuelsystem.car import car_from_texts
from diag.practice.cars import CARS, PAPERS, written
from diag.practice.deal import deal, suitable
from diag.practice.levels import GAUGES, LEVELS, level_of
from diag.rulebook.findings import PRESENT
from diag.support.errors import UnknownNameError, UserError
from tests.practice.rig import dealt, level, the_book


@pytest.mark.parametrize("name", [x.id for x in LEVELS])
def test_the_same_number_deals_the_same_car(name: str) -> None:
    """Level, number and book decide everything, on every run."""
    for seed in (1, 2, 3):
        one, two = dealt(name, seed), deal(the_book(), level(name), seed, {})
        assert (one.causes, one.facts, one.contexts, one.complaints, one.misread_at, one.wrong_fact) == (
            two.causes, two.facts, two.contexts, two.complaints, two.misread_at, two.wrong_fact)  # fmt: skip
        assert one.built == two.built


@pytest.mark.parametrize("name", [x.id for x in LEVELS])
def test_cars_differ_by_number(name: str) -> None:
    """Twenty numbers bring at least five different faults."""
    assert len({dealt(name, seed).causes for seed in range(1, 21)}) >= 5


def _told_is_there(name: str, seeds: range) -> None:
    for seed in seeds:
        found = dealt(name, seed)
        assert found.complaints
        assert all(found.car.sign(sign) == PRESENT for sign in found.complaints)
        assert car_from_texts({**found.facts, **found.contexts}).impossible() == []
        assert len(found.causes) == found.level.faults
        assert all(the_book().causes[c].remedies for c in found.causes)


@pytest.mark.parametrize("name", [x.id for x in LEVELS])
def test_the_owner_tells_what_is_there(name: str) -> None:
    """Every complaint is really to be seen on the car, and the told car contradicts itself nowhere."""
    _told_is_there(name, range(1, 6))


@pytest.mark.parametrize("name", [x.id for x in LEVELS])
def test_the_owner_tells_what_is_there_on_many_cars(name: str) -> None:
    """The same on more cars."""
    _told_is_there(name, range(6, 21))


def test_papers_are_read_off_the_car() -> None:
    """What the papers say is the hidden car's own figure, to the three figures that people write."""
    found = dealt("loud-fault", 1)
    for field, text in found.facts.items():
        if field in PAPERS:
            told = car_from_texts({field: text}).number(field)
            assert told == pytest.approx(found.built[PAPERS[field]], rel=0.006)


def test_one_figure_is_wrong_on_the_wrong_papers_level() -> None:
    """Exactly the named figure differs from the car, and clearly so."""
    for seed in range(1, 11):
        found = dealt("wrong-papers", seed)
        assert found.wrong_fact is not None
        for field, text in found.facts.items():
            if field in PAPERS:
                told = car_from_texts({field: text}).number(field)
                assert told is not None
                off = abs(told / found.built[PAPERS[field]] - 1.0)
                assert (off > 0.2) == (field == found.wrong_fact.field)
        assert found.wrong_fact.true != found.wrong_fact.told


def test_levels_do_what_they_say() -> None:
    """No gauge at hand, a reading to be misread, two faults of different places without a common repair."""
    assert not GAUGES & set(dealt("no-gauge", 1).tools)
    assert all(1 <= dealt("misread-gauge", seed).misread_at <= 3 for seed in range(1, 6))
    assert dealt("one-fault", 1).misread_at == 0
    causes = the_book().causes
    for seed in range(1, 11):
        one, two = (causes[c] for c in dealt("two-faults", seed).causes)
        assert one.area != two.area
        assert not set(one.remedies) & set(two.remedies)


def test_levels_by_number_and_name() -> None:
    """A level is found by its number, its id and its title; anything else names the known ones."""
    assert level_of("1") is LEVELS[0]
    assert level_of("two-faults") is LEVELS[5]
    assert level_of("No pressure gauge") is LEVELS[2]
    with pytest.raises(UnknownNameError, match="two-faults"):
        level_of("two-fault")
    with pytest.raises(UnknownNameError):
        level_of("7")


def test_a_book_without_suitable_faults_says_so() -> None:
    """One clear line instead of an endless search."""
    from dataclasses import replace

    bare = replace(the_book(), causes={})
    with pytest.raises(UserError, match="no faults for the level"):
        deal(bare, LEVELS[0], 1)


def test_every_level_has_faults_to_choose_from() -> None:
    """The shipped book offers at least twenty faults on every level."""
    assert all(len(suitable(the_book(), x)) >= 20 for x in LEVELS)


def test_club_cars_are_cars_that_can_be() -> None:
    """The fixed facts of the practice cars are understood and possible."""
    for car in CARS:
        assert car_from_texts(car.facts).contradictions() == []


def test_a_figure_outside_what_cars_have_is_not_written() -> None:
    """The papers never hold what the car form would refuse."""
    assert written("return-bore", 0.0071) == "7.1 mm"
    assert written("injector-count", 6.0) == "6"
    assert written("return-bore", 0.2) == ""
