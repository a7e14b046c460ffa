"""What a cause is called: as in the book; and the two exits, nothing wrong and not in the book."""

from __future__ import annotations

from diag.inference.posterior import NOT_IN_BOOK, NOTHING_WRONG
from diag.rulebook.model import RuleBook
from diag.support.text import one_line

EXIT_TITLES = {NOTHING_WRONG: "Nothing wrong", NOT_IN_BOOK: "A cause that is not in the book"}


def title_of(cause: str, book: RuleBook) -> str:
    """The title of a cause or of one of the two exits; an id that the book does not have as it is."""
    if cause in EXIT_TITLES:
        return EXIT_TITLES[cause]
    return one_line(book.causes[cause].title) if cause in book.causes else one_line(cause, 80)
