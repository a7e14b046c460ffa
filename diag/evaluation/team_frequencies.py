"""The rule book with the frequencies that a team has approved on its server."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diag.desk import frequencies
from diag.desk.server import ServerStore
from diag.evaluation.learning import apply_overlay
from diag.evaluation.overlay_file import read_overlay
from diag.rulebook.model import RuleBook
from diag.support.errors import UserError

if TYPE_CHECKING:
    from diag.casework.keeping import JobStore


def with_team_frequencies(book: RuleBook, store: JobStore) -> tuple[RuleBook, str]:
    """The book, and a remark when the team's frequencies could not be had; a folder has none.

    A server that is away must not keep anybody from working: the book alone counts then, and the job says which book
    ranked it.
    """
    if store.place != "server":
        return book, ""

    assert isinstance(store, ServerStore)
    try:
        version = store.link.run(frequencies.in_use)
        if version is None:
            return book, ""
        text = store.link.run(lambda line: frequencies.overlay_of(line, version))
        return apply_overlay(book, read_overlay(text, f"version {version} of the team's frequencies")), ""
    except UserError as error:
        return book, f"The team's frequencies could not be read; the rule book alone counts. {error.one_line()}"
