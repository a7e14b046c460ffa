"""The drawing of a fuel system: what belongs where, and that letters and lines say the same."""

from __future__ import annotations

import re
from functools import cache
from xml.etree import ElementTree

import numpy as np
import pytest

import diag
from diag.inference.areas import area_chances
from diag.presentation.drawing.layout import BOXES, HEIGHT, WIDTH
from diag.presentation.drawing.letters import letters
from diag.presentation.drawing.lines import system_picture
from diag.presentation.drawing.system import (
    PLACE_OF_AREA,
    PLACE_OF_READING,
    PLACE_OF_WET,
    PLACES,
    place_of_step,
    system_drawing,
)
from diag.rulebook.where import cases_folder

NO_ONE_PLACE = {"fuel-smell", "fuel-under-car", "fuel-in-cabin", "drips-with-pump-off", "wet-only-when-pump-runs",
                "level-falls-standing"}  # fmt: skip
OUTSIDE = {"settings", "outside", "exit"}


@cache
def book() -> diag.RuleBook:
    """The shipped book."""
    return diag.open_rule_book()


@cache
def job(name: str) -> diag.Job:
    """A worked case."""
    return diag.read_job(book(), cases_folder() / f"{name}.yaml")


def test_every_area_reading_and_wet_place_of_the_book_has_its_place() -> None:
    """What is added to the book must be given a place, or be said to have none."""
    assert set(book().areas) == set(PLACE_OF_AREA) | OUTSIDE
    assert set(PLACE_OF_READING) <= set(book().readings)
    assert set(PLACE_OF_WET) | NO_ONE_PLACE >= {s.id for s in book().signs.values() if s.wet}
    used = {*PLACE_OF_AREA.values(), *PLACE_OF_READING.values(), *PLACE_OF_WET.values()}
    assert used <= set(PLACES) == set(BOXES)


def test_the_chance_of_an_area_counts_every_set_of_causes_once() -> None:
    """Never above the sum of its causes' chances, never below the largest of them."""
    belief = job("plover-two-thieves").standing.belief
    chances = area_chances(belief, book())
    for area, chance in chances.items():
        of_area = [p for c, p in zip(belief.causes, belief.marginal, strict=True) if book().causes[c].area == area]
        assert max(of_area) - 1e-5 <= chance <= min(1.0, float(np.sum(of_area))) + 1e-5


def test_the_return_is_suspected_where_the_return_is_too_small() -> None:
    """The place, its share, its readings and the bands beside them."""
    drawn = system_drawing(job("wren-pressure-stays-high").standing)
    assert drawn.marks["return"].suspected > 0.9
    assert drawn.marks["return"].fitted
    assert drawn.marks["rail"].readings
    first = next(line for line in drawn.key if line.startswith("(a)"))
    assert "a sound car" in first
    assert "Return line too small" in first


def test_a_wet_place_is_drawn_wet_and_a_dry_one_is_not() -> None:
    """The newest answer counts."""
    drawn = system_drawing(job("wren-drips-on-the-subframe").standing, with_bands=False)
    told = {e.sign: e.answer for e in job("wren-drips-on-the-subframe").case.effective() if hasattr(e, "sign")}
    wet = {PLACE_OF_WET[s] for s, answer in told.items() if answer == "present" and s in PLACE_OF_WET}
    assert {place for place, mark in drawn.marks.items() if mark.wet} == wet


@pytest.mark.parametrize("check", ["base-pressure", "return-back-pressure", "pump-volts"])
def test_a_measuring_step_is_done_where_its_reading_is_taken(check: str) -> None:
    """Steps with a reading stand where the reading is taken."""
    step = book().checks.get(check)
    if step is None:
        pytest.skip(f"the book has no check {check}")
    reading = next(part.reading for part in step.yields if part.reading)
    assert place_of_step(step, book()) == PLACE_OF_READING.get(reading, "rail")


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize("name", ["wren-pressure-stays-high", "plover-two-thieves", "bramble-silent-pump-by-phone"])
def test_the_letters_fit_eighty_columns_and_name_every_place(name: str, ascii_only: bool) -> None:
    """Within 76 columns, every place by name, ASCII where asked."""
    rows = letters(system_drawing(job(name).standing, with_bands=False), ascii_only)
    assert len(rows) == HEIGHT
    assert max(map(len, rows)) <= WIDTH
    text = "\n".join(rows)
    assert all(title in text for title in PLACES.values())
    assert text.isascii() or not ascii_only


def test_boxes_neither_overlap_nor_leave_the_field() -> None:
    """Every cell belongs to one box at most."""
    cells = [(x, y) for b in BOXES.values() for x in range(b.left, b.right + 1) for y in range(b.top, b.bottom + 1)]
    assert len(cells) == len(set(cells))
    assert all(0 <= x < WIDTH and 0 <= y < HEIGHT for x, y in cells)


def test_lines_and_letters_say_the_same() -> None:
    """Every word in a box of the one stands in the other, and the picture is well-formed XML with a description."""
    drawn = system_drawing(job("plover-two-thieves").standing, with_bands=False)
    root = ElementTree.fromstring(system_picture(drawn))
    shown = {(node.text or "") for node in root.iter() if node.tag.endswith("text")}
    rows = "\n".join(letters(drawn))
    for mark in drawn.marks.values():
        assert mark.title in shown
        if mark.suspected:
            assert re.search(r"\?>?\d+ %", rows)
            assert any(text.lstrip("WET ").startswith("?") for text in shown)
    assert "Wiring" in (root.find("{http://www.w3.org/2000/svg}desc").text or "")  # type: ignore[union-attr]
