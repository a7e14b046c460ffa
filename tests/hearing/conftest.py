"""The shipped rule book, read once."""

import pytest

from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder


@pytest.fixture(scope="session")
def book() -> RuleBook:
    """The rule book that comes with the program."""
    return load_book(rules_folder())
