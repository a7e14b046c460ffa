"""Numbers of a rule book carried from run to run: the very same numbers, and nothing when the file does not fit."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from diag.fuelsystem.car import Car
from diag.inference.model import compile_model
from diag.inference.of_book import BookNumbers, numbers_of
from diag.rulebook.cached import digest_of
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder
from diag.ui.cli.kept_numbers import keep_numbers, take_numbers

COMPLAINT = "no-start"


@pytest.fixture(scope="module")
def worked_out() -> RuleBook:
    """A book of which one complaint and the unknown car's sizes were worked out."""
    book = load_book(rules_folder())
    model = compile_model(book, Car(), draws=32)
    assert model.told_first(COMPLAINT)[0].shape == (len(book.causes),)
    assert model.sizing.shares
    return book


def fresh(book: RuleBook) -> RuleBook:
    """The same book with nothing worked out."""
    copy = replace(book)
    assert not numbers_of(copy).told_first
    return copy


def the_file(cache: Path) -> Path:
    (found,) = (cache / "diag").glob("numbers-*.json")
    return found


def test_the_next_run_has_the_same_numbers(worked_out: RuleBook, tmp_path: Path) -> None:
    """Digit for digit, and not worked out again."""
    numbers_of(worked_out).grown = True
    keep_numbers(worked_out, rules_folder(), tmp_path)
    later = fresh(worked_out)
    take_numbers(later, rules_folder(), tmp_path)
    assert numbers_of(later).as_plain() == numbers_of(worked_out).as_plain()
    factors, out = numbers_of(later).first(COMPLAINT, lambda: pytest.fail("worked out again"))
    made, strange = numbers_of(worked_out).told_first[COMPLAINT]
    assert factors.tolist() == made.tolist()
    assert out == strange
    assert not numbers_of(later).grown


def _cut(text: str) -> str:
    return text[: len(text) // 2]


def _other_digits(text: str) -> str:
    return text.replace("0.", "0.1", 1)


def _other_program(text: str) -> str:
    return "0" * 64 + text[64:]


def _other_book(text: str) -> str:
    head, _, body = text.split("\n", 2)
    plain = json.loads(body)
    plain["told_first"][COMPLAINT][0].pop()
    body = json.dumps(plain)
    return f"{head}\n{digest_of(body)}\n{body}\n"


@pytest.mark.parametrize("spoil", [_cut, _other_digits, _other_program, _other_book, lambda text: ""])
def test_a_file_that_does_not_fit_is_left_aside(worked_out: RuleBook, tmp_path: Path, spoil: object) -> None:
    """Cut off, changed, of another program or of another book: as if there were none."""
    numbers_of(worked_out).grown = True
    keep_numbers(worked_out, rules_folder(), tmp_path)
    the_file(tmp_path).write_text(spoil(the_file(tmp_path).read_text()))  # type: ignore[operator]
    later = fresh(worked_out)
    take_numbers(later, rules_folder(), tmp_path)
    assert numbers_of(later).as_plain() == BookNumbers().as_plain()


def test_no_cache_folder_is_no_trouble(worked_out: RuleBook, tmp_path: Path) -> None:
    """None, or a file where the folder should be: nothing kept, nothing raised."""
    numbers_of(worked_out).grown = True
    keep_numbers(worked_out, rules_folder(), None)
    take_numbers(worked_out, rules_folder(), None)
    (tmp_path / "diag").write_text("in the way")
    keep_numbers(worked_out, rules_folder(), tmp_path)
    take_numbers(worked_out, rules_folder(), tmp_path)
