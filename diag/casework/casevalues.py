"""Single values of a case file: text, times, numbers, lists out of YAML nodes; problems are noted with their place."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from datetime import datetime

from diag.casework.problems import Problems
from diag.support.errors import Place
from diag.support.yaml.reader import Map, Node, Scalar, Seq, as_flag, as_number

_WHOLE = re.compile(r"\d{1,7}\Z")


class Unreadable(Exception):
    """This entry cannot be read; the problem has been noted already."""


class Values:
    """Reads single values and notes what is wrong with them."""

    def __init__(self, problems: Problems) -> None:
        self.problems = problems

    def bad(self, what: str, hint: str, place: Place | None) -> Unreadable:
        """Note a problem; the error to raise."""
        self.problems.say(what, hint, place)
        return Unreadable()

    def text(self, node: Node, key: str) -> str:
        """Any text."""
        if not isinstance(node, Scalar):
            raise self.bad(f"{key!r} must be text.", "Put it in quotes on one line.", node.place)
        return node.text

    def line(
        self, items: Mapping[str, Node], key: str, default: str | None = None, node: Map | None = None
    ) -> str | None:
        """A line of text; missing without a default is a problem and gives None."""
        found = items.get(key)
        if found is None:
            if default is None:
                self.problems.say(f"The field {key!r} is missing.", "", node.place if node else None)
            return default
        if not isinstance(found, Scalar):
            self.problems.say(f"{key!r} must be text.", "", found.place)
            return default
        return found.text

    def time(self, found: Node | None, key: str, node: Map | None = None, default: str | None = None) -> str | None:
        """A date and time as written; anything else is a problem and gives None."""
        if found is None:
            if default is None:
                self.problems.say(f"The field {key!r} is missing.", "", node.place if node else None)
            return default
        text = found.text if isinstance(found, Scalar) else ""
        if len(text) >= 16 and text[4:5] == "-":
            try:
                datetime.fromisoformat(text)
                return text
            except ValueError:
                pass
        self.problems.say(f"{key!r} must be a date and time.", 'Write it as "2026-11-25T14:05:00Z".', found.place)
        return None

    def whole(self, items: Mapping[str, Node], key: str, node: Map, default: int | None = None) -> int:
        """A whole number from 1."""
        found = items.get(key)
        if found is None:
            if default is not None:
                return default
            raise self.bad(f"The field {key!r} is missing.", "", node.place)
        text = found.text if isinstance(found, Scalar) else ""
        if not _WHOLE.match(text) or int(text) < 1:
            raise self.bad(f"{key!r} must be a whole number from 1.", "", found.place)
        return int(text)

    def number(self, node: Node, key: str, low: float = -math.inf, high: float = math.inf) -> float:
        """A finite number within its limits."""
        return as_number(node, repr(key), low, high)

    def flag(self, node: Node, key: str) -> bool:
        """Yes or no."""
        return as_flag(node, repr(key))

    def lines(self, node: Node, key: str) -> tuple[str, ...]:
        """A list of texts."""
        if isinstance(node, Scalar) and node.empty:
            return ()
        if not isinstance(node, Seq):
            raise self.bad(f"{key!r} must be a list.", "", node.place)
        return tuple(self.text(part, key) for part in node.items)

    def numbers(self, node: Node, key: str, low: float, high: float) -> dict[str, float]:
        """Names with a number each."""
        if not isinstance(node, Map):
            raise self.bad(f"{key!r} must hold names with a number each.", "", node.place)
        return {name: self.number(part, name, low, high) for name, part in node.items.items()}


def plain(node: Node) -> object:
    """Plain data for what this program does not know, so that it can be written back unchanged."""
    if isinstance(node, Map):
        return {key: plain(part) for key, part in node.items.items()}
    if isinstance(node, Seq):
        return [plain(part) for part in node.items]
    return None if node.empty else _plain_scalar(node.text, node.quoted)


def _plain_scalar(text: str, quoted: bool) -> object:
    """Unquoted numbers, yes and no stay what they are; everything else is text."""
    if quoted:
        return text
    if text in ("yes", "no", "true", "false"):
        return text in ("yes", "true")
    try:
        for number in (int(text), float(text)) if _WHOLE.match(text) else (float(text),):
            if repr(number) == text:
                return number
    except ValueError:
        pass
    return text
