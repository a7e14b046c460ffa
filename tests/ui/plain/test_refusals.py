"""That something cannot be done, in any usual words."""

from __future__ import annotations

import pytest

from diag.ui.plain.commands import command_of


@pytest.mark.parametrize("comma", [" ", ", ", "; ", ": ", " - ", ". "])
@pytest.mark.parametrize(
    "refusal", ["cannot", "can't", "I can't do that", "can not", "not possible", "we could not", "sorry, unable to"]
)
def test_a_refusal_is_one_with_any_mark_after_it(refusal: str, comma: str) -> None:
    """ "Cannot, there is no gauge" and its like."""
    found = command_of(f"{refusal}{comma}there is no gauge")
    assert found is not None
    assert (found[0].name, found[1]) == ("cannot", "there is no gauge")


@pytest.mark.parametrize("line", ["cannot see", "can't tell", "could not see it", "cannot be seen", "no, u, yes"])
def test_what_could_not_be_seen_is_an_answer(line: str) -> None:
    """Not a refusal of the whole step."""
    found = command_of(line)
    assert found is None or found[0].name != "cannot"
