"""Several questions answered in one line."""

from __future__ import annotations

import pytest

from diag.casework.agenda import Task
from diag.session.series import read_series
from diag.support.errors import UserError
from tests.ui.plain.person import the_book

VALUES = (
    Task("reading", "two", reading="rail pressure", at="idle-hose-on"),
    Task("reading", "two", reading="rail pressure", at="idle-hose-off"),
)
MIXED = (
    Task("sign", "look-at-gauge", sign="gauge-tap-place"),
    Task("sign", "look-at-gauge", sign="gauge-face-coarse"),
    Task("reading", "look-at-gauge", reading="rail pressure", at="idle-hose-on"),
    Task("sign", "look-at-gauge", sign="units-confused"),
)


def _read(line: str, tasks: tuple[Task, ...]) -> list[tuple[int, str]] | None:
    signs = {name for name in (t.sign for t in tasks) if name}
    assert signs <= set(the_book().signs), signs - set(the_book().signs)
    found = read_series(line, tasks, the_book(), "psi")
    return None if found is None else [(tasks.index(one.task), one.answer) for one in found]


@pytest.mark.parametrize(
    ("line", "meant"),
    [
        ("45, 52", [(0, "45"), (1, "52")]),
        ("45 psi; 3.6 bar", [(0, "45 psi"), (1, "3.6 bar")]),
        ("45 on, 52 off", [(0, "45"), (1, "52")]),
        ("52 hose off, 45 hose on", [(0, "45"), (1, "52")]),
        ("hose off 52", [(1, "52")]),
        ("45 on and 52 off", [(0, "45"), (1, "52")]),
        ("2 52", [(1, "52")]),
        ("45 52", [(0, "45"), (1, "52")]),
        ("3.1 3.6 bar", [(0, "3.1 bar"), (1, "3.6 bar")]),
        ("45 52 60", None),
        ("2: 52, 1: 45", [(0, "45"), (1, "52")]),
        ("u, 52", [(0, "not known"), (1, "52")]),
        ("about 45, over 52", [(0, "about 45"), (1, "over 52")]),
        ("38 to 44, 52", [(0, "38 to 44"), (1, "52")]),
        ("45", None),  # one value answers the question that is asked
        ("45 pump", None),
        ("45, 52, 60", None),
        ("45 on, 52 on", None),
    ],
)
def test_a_series_of_values_is_taken_in_order_by_number_or_by_what_tells_them_apart(
    line: str, meant: list[tuple[int, str]] | None
) -> None:
    """Idle with the hose on and off, told in any usual way."""
    assert _read(line, VALUES) == meant


@pytest.mark.parametrize(
    ("line", "meant"),
    [
        ("1, no, 43.5, yes", [(0, "rail"), (1, "absent"), (2, "43.5"), (3, "present")]),
        ("2 yes, rest no", [(1, "present"), (3, "absent")]),
        ("rest no", [(1, "absent"), (3, "absent")]),
        ("1 3, all others no", [(0, "in-return"), (1, "absent"), (3, "absent")]),
        ("all u", [(0, "not known"), (1, "not known"), (3, "not known")]),
        ("1, maybe no", [(0, "rail"), (1, "absent")]),
        ("no", None),
        ("2", None),
        ("what, no", None),
        ("no, unsure", None),
        ("5 yes, rest no", None),
        ("", None),
    ],
)
def test_questions_of_several_kinds_are_answered_in_one_line(line: str, meant: list[tuple[int, str]] | None) -> None:
    """Choices by number, yes and no, a value, and the rest at once; a value is never part of the rest."""
    assert _read(line, MIXED) == meant


def test_a_mark_belongs_to_its_own_part() -> None:
    """What is not sure or second hand marks one answer of the line."""
    found = read_series("1 rail, 2 no unsure, 4 yes second hand", MIXED, the_book(), "psi")
    assert found is not None
    assert [(one.said.sure, one.said.source) for one in found] == [
        ("sure", "own eyes"), ("unsure", "own eyes"), ("sure", "second hand"),
    ]  # fmt: skip


@pytest.mark.parametrize("line", ["45,52", "45, eleventy", "45, 900 psi"])
def test_what_cannot_be_read_for_certain_is_refused_whole(line: str) -> None:
    """Two values that run into each other, a word, and a value that cannot be: nothing is entered."""
    with pytest.raises(UserError):
        read_series(line, VALUES, the_book(), "psi")


WORDY = (
    Task("sign", "x", sign="runs-rich"),
    Task("sign", "x", sign="mixture-error"),
    Task("sign", "x", sign="rough-idle"),
)
WITH_VACUUM = (
    Task("sign", "x", sign="runs-rich"),
    Task("sign", "x", sign="rough-idle"),
    Task("reading", "x", reading="manifold vacuum", at="idle-hose-on"),
)


@pytest.mark.parametrize(
    ("line", "meant"),
    [
        ("no, lean only at the top, u", [(0, "absent"), (1, "only-top-lean"), (2, "not known")]),
        ("no, we never drive it that far, yes", [(0, "absent"), (1, ""), (2, "present")]),
        ("no, it was dark, my aunt called", None),
        ("it was dark, no, yes", None),
    ],
)
def test_one_wordy_part_does_not_spoil_a_row_of_answers(line: str, meant: list[tuple[int, str]] | None) -> None:
    """Its words mean a choice or are kept for that question; two such parts are a story and no row."""
    assert _read(line, WORDY) == meant


@pytest.mark.parametrize(("line", "at"), [("18 inHg", 2), ("17.5", 2), ("18 in", 2), ("2 yes", 1)])
def test_a_figure_alone_finds_the_one_question_that_asks_for_it(line: str, at: int) -> None:
    """Typed at the first question of a row whose third is that figure."""
    assert [place for place, _ in _read(line, WITH_VACUUM) or []] == [at]
    assert _read("18 fathoms of rope", WITH_VACUUM) is None
