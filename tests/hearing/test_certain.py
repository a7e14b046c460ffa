"""What may be ticked, contrasts, shorthand and figures in two halves. Common practice of speech, no source."""

from __future__ import annotations

import pytest

from diag.hearing.figures import with_digits
from diag.hearing.listen import Listener
from diag.hearing.understood import Setting
from diag.hearing.written_out import written_out
from diag.rulebook.model import RuleBook


@pytest.fixture(scope="module")
def listener(book: RuleBook) -> Listener:
    """Hears with the rule book of the project."""
    return Listener(book)


def _ticked(listener: Listener, text: str) -> set[tuple[str, str]]:
    return {(p.best.id, p.best.answer) for p in listener.hear(text, Setting()).ticked}


def _first(listener: Listener, text: str) -> set[tuple[str, str, str]]:
    return {(p.best.id, p.best.point, p.best.answer) for p in listener.hear(text, Setting()).heard}


@pytest.mark.parametrize(
    "text", ["she'll diesel", "E85", "fine on a cold day", "it's not the pump, I've just had a new one put in"]
)
def test_a_word_or_two_are_no_evidence(listener: Listener, text: str) -> None:
    """What rests on a single word of one line is offered, never ticked; a fuel that is named is a fact of its own."""
    assert {name for name, _ in _ticked(listener, text)} <= {"fuel"}


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("won't start", ("no-start", "present")),
        ("won't idle", ("stalls-at-idle", "present")),
        ("petrol is dripping on the floor", ("fuel-under-car", "present")),
    ],
)
def test_a_complaint_in_two_words_is_ticked(listener: Listener, text: str, wanted: tuple[str, str]) -> None:
    """A short complaint in the book's own words, and every leak, is taken all the same."""
    assert wanted in _ticked(listener, text)


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("hard to start cold, ok when warm", {("long-crank-cold", "present"), ("long-crank-hot", "absent")}),
        ("hot start is a pain, cold she's a peach", {("long-crank-hot", "present"), ("long-crank-cold", "absent")}),
        ("it idles fine all day but won't rev past 4k", {("flat-at-full-load", "present")}),
        ("runs sweet as a nut till you floor it", {("flat-at-full-load", "present")}),
    ],
)
def test_the_other_half_of_a_contrast(listener: Listener, text: str, wanted: set[tuple[str, str]]) -> None:
    """What is well in one state denies the complaint of the clause beside it, and begins none of its own."""
    assert wanted <= _ticked(listener, text)


def test_what_has_no_word_in_the_book_is_offered_by_when_it_happens(listener: Listener) -> None:
    """Somebody's own word for it, and the state it happens in, still lead to three offers; none is ticked."""
    hearing = listener.hear("as soon as i floor it it goes blaaah", Setting())
    assert hearing.heard
    assert not hearing.ticked
    assert all(len(piece.items) == 3 for piece in hearing.heard)


@pytest.mark.parametrize(
    ("text", "whole"),
    [
        ("cust. reports extended crank AM only", "customer reports extended crank in the morning only"),
        ("batt 13.9 w/ lamps on, its fine", "battery 13.9 with lamps on, it's fine"),
        ("2,5 bar on cyl no 3", "2.5 bar on cyl number 3"),
        ("what is its colour", "what is its colour"),
        ("12 V and no 12 V", "12 V and no 12 V"),
    ],
)
def test_shorthand_is_written_out(text: str, whole: str) -> None:
    """Short forms of job cards and thumbs are made whole, and nothing else is."""
    assert written_out(text) == whole


@pytest.mark.parametrize(
    ("text", "figure"),
    [
        ("it's 34 not 43", "it reads 34"),
        ("could be 40, could be 45", "could be 40 to 45"),
        ("swings between thirty and fifty", "swings 30 to 50"),
        ("falls 3.0 to 1.9 bar", "falls 1.9 bar"),
        ("38 to 44 psi", "38 to 44 psi"),
    ],
)
def test_figures_in_two_halves(text: str, figure: str) -> None:
    """A correction leaves what holds, a span both its ends, a fall its end."""
    assert with_digits(text) == figure


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("return line's got 20 psi in it", ("regulator outlet pressure", "pump-on-engine-off", "20 psi")),
        ("manifold vac is about 45 kPa under atmospheric", ("manifold vacuum", "idle-hose-on", "about 45 kPa")),
        ("rtn flow 1.6 l/min at 3 bar", ("volume caught", "return-opened", "1.6 L/min")),
        ("FP 40 key on, drops to 0 in 10 s", ("rail pressure", "pump-on-engine-off", "40 psi")),
        ("70 before the filter", ("pump outlet pressure", "pump-on-engine-off", "70 psi")),
        ("pump is a 255 litre per hour job in the tank", ("pump-place", "", "in tank")),
        ("return pipe's 6 mm bore, about four metres", ("return-length", "", "about 4 m")),
        ("2 litre turbo making 300 horses", ("engine-power", "", "300 hp")),
    ],
)
def test_a_figure_belongs_to_the_place_that_is_named(
    listener: Listener, text: str, place: tuple[str, str, str]
) -> None:
    """No figure is rail pressure where another place is named beside it, and no second fact is lost."""
    assert place in _first(listener, text)


def test_a_second_figure_for_one_place_is_asked_for(listener: Listener) -> None:
    """Two readings cannot both stand at one place: the second is offered where else it may belong, unticked."""
    pieces = [p for p in listener.hear("40 at idle and 43 at idle", Setting()).heard if p.best.kind == "reading"]
    assert len({(p.best.id, p.best.point) for p in pieces if p.ticked}) == len([p for p in pieces if p.ticked])


def test_each_place_of_a_list_is_dry(listener: Listener) -> None:
    """Places told dry in one breath are each an answer."""
    dry = {("fuel-at-rail", "absent"), ("fuel-at-filter", "absent"), ("fuel-at-tank", "absent")}
    assert dry <= _ticked(listener, "checked for leaks at rail, filter, tank - all dry")
    assert not any(answer == "absent" for _, answer in _ticked(listener, "rail, filter and tank: filter is dripping"))


@pytest.mark.parametrize(
    ("text", "alarm"),
    [
        ("my lad's vaping over the engine bay", "flame-or-spark-near"),
        ("hes got a fag on while hes under there", "flame-or-spark-near"),
        ("we're in the garage with the gas heater going", "flame-or-spark-near"),
        ("pilot light of the boiler is on next to it", "flame-or-spark-near"),
        ("the wood stove is lit in the shop", "flame-or-spark-near"),
        ("sparks flying off the grinder next to it", "flame-or-spark-near"),
        ("got petrol in me eyes", "person-affected"),
        ("petrol all down my arms and its burning", "person-affected"),
        ("the fumes are making me dizzy", "person-affected"),
        ("got a mouthful of petrol", "person-affected"),
        ("i smell gas really bad in the car with the kids in", "fuel-in-cabin"),
        ("smoke's rolling out from under the hood", "fire-or-smoke"),
        ("not sure but i think theres a burning smell and a bit of smoke", "fire-or-smoke"),
        ("its raining fuel under there", "fuel-under-car"),
        ("could be the fuel is dripping on the exhaust", "fuel-under-car"),
        ("maybe a bit of petrol on the floor", "fuel-under-car"),
    ],
)
def test_no_doubt_clears_an_alarm(listener: Listener, text: str, alarm: str) -> None:
    """What may hurt is taken or asked for first, however little of its words is known and however it is hedged."""
    pieces = [p for p in listener.hear(text, Setting()).heard if p.best.id == alarm and p.best.answer == "present"]
    assert any(piece.ticked or piece.ask for piece in pieces)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("rail 2.2 bar idle, 2.8 bar ref off, spec 3.0", ("target-pressure", "", "3.0 bar")),
        ("43 at idle with the hose off, target 3 bar", ("rail pressure", "idle-hose-off", "43 psi")),
    ],
)
def test_a_bare_figure_takes_the_unit_of_its_sentence(
    listener: Listener, text: str, place: tuple[str, str, str]
) -> None:
    """A small figure beside one in bar is in bar; one that no rail could hold in bar stays in the usual unit."""
    assert place in _first(listener, text)


def test_parts_renewed_in_one_breath_are_each_a_fact(listener: Listener) -> None:
    """A list of new parts holds a fact for each part that the book asks about."""
    told = _ticked(listener, "replaced: pump, filter, relay. same issue")
    assert {("filter-just-changed", "yes"), ("tank-just-worked-on", "yes")} <= told
