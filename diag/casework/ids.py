"""Names of cases and of their files: safe on every file system, never a path."""

from __future__ import annotations

import re
import unicodedata

from diag.support.errors import UserError

_ID = re.compile(r"[a-z0-9](?:[a-z0-9-]{0,62}[a-z0-9])?\Z")
_DEVICES = frozenset(
    {"con", "prn", "aux", "nul"} | {f"{port}{n}" for port in ("com", "lpt") for n in range(10)}
)  # names some systems reserve for devices
SUFFIX = ".yaml"


def is_case_id(text: str) -> bool:
    """Small letters, digits and inner dashes, at most 64, no reserved device name."""
    return bool(_ID.match(text)) and text not in _DEVICES


def check_case_id(text: str) -> str:
    """The text itself when it is a case's name; otherwise UserError."""
    if not is_case_id(text):
        shown = "".join(c if c.isprintable() else "?" for c in text[:60])
        raise UserError(f"{shown!r} cannot be a case's name.", "Use small letters, digits and dashes, at most 64.")
    return text


def new_case_id(opened: str, title: str, token: str) -> str:
    """Such as 2026-11-25-wren-runs-rich-3f7a; ``token`` is a few random hexadecimal digits from the caller."""
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    words = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:32].strip("-")
    date = opened[:10] if re.fullmatch(r"\d{4}-\d\d-\d\d", opened[:10]) else "job"
    return check_case_id("-".join(part for part in (date, words, token) if part))
