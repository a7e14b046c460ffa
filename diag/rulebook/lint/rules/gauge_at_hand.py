"""A question about what an instrument showed is put only where there is one: a tool of the check, or of the sign."""

import re
from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import error
from diag.rulebook.load import Draft

_ASKS = re.compile(r"\b(?:gauges?|needle|shown pressure|readings?|in the log|in a log|logged|traces?)\b", re.IGNORECASE)
_OF_THE_DASH = re.compile(
    r"fuel gauge|gauge shows a good part of a tank|mixture gauge|other gauges or lamps|coils or gauges|rev counter",
    re.IGNORECASE,
)
_INSTRUMENT = re.compile(r"\b(?:gauges?|display|scan tool|tester|rig)\b", re.IGNORECASE)


def find(draft: Draft) -> Iterator[Problem]:
    """Checks that ask what an instrument showed and name none."""
    book = draft.book
    instruments = {tool for tool, words in book.tools.items() if _INSTRUMENT.search(words) or "gauge" in tool}
    for check in book.checks.values():
        if instruments & set(check.tools):
            continue
        for item in check.yields:
            sign = book.signs.get(item.sign)
            if sign is None or sign.seen_with or not _ASKS.search(_OF_THE_DASH.sub(" ", sign.ask)):
                continue
            what = f"{check.id!r} asks what an instrument showed ({sign.id!r}) and needs none."
            hint = "Name it under 'tools' of the check, or under 'seen_with' of the sign."
            yield error("gauge-at-hand", draft.place("checks", check.id, "yields"), what, hint)
