"""A finished note as a file of another form: its text stands there literally, whatever is in it."""

from __future__ import annotations

import html
import re

_FENCE = re.compile("`{3,}")


def as_markdown(text: str) -> str:
    """The text as one literal block; its fence is longer than any row of backticks inside (CommonMark 0.31, 4.5)."""
    fence = "`" * (1 + max([2, *(len(found) for found in _FENCE.findall(text))]))
    return f"{fence}text\n{text.rstrip()}\n{fence}\n"


def as_html(title: str, text: str) -> str:
    """The text as a page that fetches and runs nothing."""
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">"
        f"<title>{html.escape(title)}</title><style>pre{{white-space:pre-wrap;max-width:60rem;margin:1rem auto;"
        f"font:15px/1.4 monospace}}</style></head><body><pre>{html.escape(text.rstrip())}</pre></body></html>\n"
    )
