"""With which letters the matches of a simple pattern can begin, so that most words are passed over at once.

Only what ``diag.hearing.vocabulary`` uses is understood: letters, groups, alternatives, ``?``, ``\\b`` and looking
about; of anything else nothing is claimed.
"""

from __future__ import annotations


def first_letters(pattern: str) -> frozenset[str] | None:
    """The letters, or None when any may come first."""
    found: set[str] = set()
    for alternative in split(pattern):
        letters = _first(alternative)
        if letters is None:
            return None
        found |= letters
    return frozenset(found)


def split(pattern: str) -> list[str]:
    """The alternatives of a pattern that stand in no group."""
    parts, depth, start = [], 0, 0
    for at, sign in enumerate(pattern):
        if sign == "(":
            depth += 1
        elif sign == ")":
            depth -= 1
        elif sign == "|" and depth == 0:
            parts.append(pattern[start:at])
            start = at + 1
    return [*parts, pattern[start:]]


def _first(text: str) -> set[str] | None:
    if text.startswith("\\b"):
        return _first(text[2:])
    if text.startswith("("):
        end = _closing(text)
        rest = text[end + 1 :]
        if text.startswith("(?<"):
            return _first(rest)
        inside = first_letters(text[1:end].removeprefix("?:"))
        return _or_next(None if inside is None else set(inside), rest)
    if text[:1].isalnum():
        return _or_next({text[0]}, text[1:])
    return None


def _or_next(letters: set[str] | None, rest: str) -> set[str] | None:
    """What stands first, and what follows it where it may be left out."""
    if letters is None or rest[:1] in ("*", "{"):
        return None
    if rest[:1] != "?":
        return letters
    following = _first(rest[1:])
    return None if following is None else letters | following


def _closing(text: str) -> int:
    depth = 0
    for at, sign in enumerate(text):
        depth += (sign == "(") - (sign == ")")
        if depth == 0:
            return at
    return len(text) - 1
