"""The nodes of a YAML file, each with its place, and the questions a reader may ask them.

Every scalar is a string until a reader asks for a number or a flag; that is where ``no``, ``1:30``, ``010`` or
``2024-01-01`` are refused, since two YAML readers could take them differently.
"""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from typing import Any, NoReturn

from diag.support.errors import Place, SourceError
from diag.support.text import one_line

MAX_NUMBER = 64

# Plain scalars that YAML 1.1 and 1.2 readers take for different things, or for something other than the words written.
_SURPRISES: tuple[tuple[re.Pattern[str], str], ...] = (
    (re.compile(r"(?i:yes|no|on|off|true|false|y|n)"), "some readers take it for true or false"),
    (re.compile(r"(?i:null)|~"), "some readers take it for nothing"),
    (re.compile(r"[-+]?\d[\d_]*(:[0-5]?\d)+(\.\d*)?"), "some readers take it for a number of seconds"),
    (re.compile(r"\d{4}-\d{1,2}-\d{1,2}([Tt ].*)?"), "some readers take it for a date"),
    (re.compile(r"[-+]?0[\d_]+|[-+]?0[oO][0-7_]+"), "some readers take it for an octal number"),
    (re.compile(r"[-+]?0[xXbB][0-9a-fA-F_]+"), "some readers take it for a number"),
    (re.compile(r"[-+]?[\d.]+[eE][-+]?\d+"), "some readers take it for a number"),
    (re.compile(r"[-+]?\d[\d.]*_[\d_.]*"), "some readers take it for a number"),
    (re.compile(r"(?i:[-+]?\.inf|\.nan)"), "some readers take it for a number"),
    (re.compile(r"=|<<"), "some readers give it a meaning of its own"),
)
_MAYBE_SURPRISE = re.compile(r"(?i:[-+.~=<\d]|y|n|on|off|true|false)")
_PLAIN_NUMBER = re.compile(r"[-+]?(\d+(\.\d*)?|\.\d+)([eE][-+]?\d{1,3})?", re.ASCII)
_YES = frozenset({"yes", "true"})
_NO = frozenset({"no", "false"})


@dataclass(slots=True)
class Scalar:
    """One text. ``quoted`` is also true for block texts; an empty unquoted text means that nothing was written."""

    text: str
    quoted: bool
    place: Place

    @property
    def empty(self) -> bool:
        """Nothing was written here (or ``null``)."""
        return not self.quoted and self.text in ("", "~", "null", "Null", "NULL")


@dataclass(slots=True)
class Seq:
    """A list of nodes."""

    items: list[Node]
    place: Place

    def __iter__(self) -> Iterator[Node]:
        return iter(self.items)

    def __len__(self) -> int:
        return len(self.items)


@dataclass(slots=True)
class Map:
    """Keys and their nodes in the order written; ``places`` are the places of the keys."""

    items: dict[str, Node]
    place: Place
    places: dict[str, Place] = field(default_factory=dict)

    def __contains__(self, key: str) -> bool:
        return key in self.items

    def get(self, key: str) -> Node | None:
        """The node under a key, None when the key is missing or has no value."""
        node = self.items.get(key)
        return None if node is None or (isinstance(node, Scalar) and node.empty) else node

    def need(self, key: str, what: str = "This entry") -> Node:
        """The node under a key.

        Raises:
            SourceError: the key is missing or has no value.
        """
        node = self.items.get(key)
        if node is None:
            refuse(self.place, f"{what} has no {key!r}.", f"Add a line '{key}: ...'.")
        if isinstance(node, Scalar) and node.empty:
            refuse(node.place, f"{key!r} has no value.", "Write one, or remove the line.")
        return node

    def only(self, known: Collection[str], what: str = "this entry") -> None:
        """Refuse every key that is not known.

        Raises:
            SourceError: at the first unknown key, with the nearest known ones.
        """
        for key in self.items:
            if key not in known:
                from difflib import get_close_matches  # only for somebody who mistyped

                near = get_close_matches(key, list(known), n=2, cutoff=0.6)
                meant = f"Did you mean {' or '.join(near)}?" if near else f"Known here: {', '.join(sorted(known))}."
                refuse(self.places.get(key, self.place), f"{one_line(key, 60)!r} is not known in {what}.", meant)


Node = Scalar | Seq | Map


def refuse(place: Place, what: str, hint: str = "") -> NoReturn:
    """Raise the SourceError for this place."""
    raise SourceError(what, hint, place)


def may_surprise(text: str) -> bool:
    """A quick look: False when ``surprise`` surely has nothing to say."""
    return _MAYBE_SURPRISE.match(text) is not None


def surprise(text: str) -> str | None:
    """Why an unquoted text could be taken for something else, None when it cannot."""
    if not _MAYBE_SURPRISE.match(text):
        return None
    return next((why for pattern, why in _SURPRISES if pattern.fullmatch(text)), None)


# ---- asking nodes for values ---------------------------------------------------------------------------------------


def _kind(node: Node) -> str:
    if isinstance(node, Map):
        return "a map"
    return "a list" if isinstance(node, Seq) else "a text"


def _scalar(node: Node, what: str, wanted: str) -> Scalar:
    if not isinstance(node, Scalar):
        refuse(node.place, f"{what} should be {wanted}, not {_kind(node)}.")
    if node.empty:
        refuse(node.place, f"{what} has no value.", "Write one, or remove the line.")
    return node


def as_text(node: Node, what: str = "This", *, empty_ok: bool = False) -> str:
    """The text of a scalar, blanks at the ends removed.

    Raises:
        SourceError: not a scalar, empty, or an unquoted text that another YAML reader would take for something else.
    """
    scalar = _scalar(node, what, "a text")
    why = None if scalar.quoted else surprise(scalar.text)
    if why:
        shown = one_line(scalar.text, 40)
        refuse(scalar.place, f"{what} is {shown} without quotes; {why}.", f'Write "{shown}" in quotes.')
    text = scalar.text.strip()
    if not text and not empty_ok:
        refuse(scalar.place, f"{what} is empty.", "Write something, or remove the line.")
    return text


def is_number(node: Node) -> bool:
    """Whether an unquoted decimal number is written here."""
    return isinstance(node, Scalar) and not node.quoted and bool(_PLAIN_NUMBER.fullmatch(node.text))


def as_number(node: Node, what: str = "This", low: float = -math.inf, high: float = math.inf) -> float:
    """A finite decimal number (``12``, ``0.05``, ``1e-3``) between ``low`` and ``high``.

    Raises:
        SourceError: anything else.
    """
    scalar = _scalar(node, what, "a number")
    text = scalar.text.strip()
    shown = one_line(text, 40)
    if len(text) > MAX_NUMBER or not _PLAIN_NUMBER.fullmatch(text):
        hint = (
            "Write a decimal point, not a comma."
            if re.fullmatch(r"[-+]?\d+,\d+", text)
            else "Write it like 12 or 0.05."
        )
        if re.fullmatch(r"[-+]?[\d.]+ ?%", text):
            hint = "Write a share like 0.05 instead of a percentage."
        refuse(scalar.place, f"{what} should be a number, not {shown!r}.", hint)
    if re.match(r"[-+]?0\d", text):
        refuse(
            scalar.place, f"{what} is {shown}, which some readers take for an octal number.", "Drop the leading zero."
        )
    value = float(text)
    if not math.isfinite(value):
        refuse(scalar.place, f"{what} is too large a number: {shown}.")
    if not low <= value <= high:
        refuse(scalar.place, f"{what} must lie {_between(low, high)}, not at {shown}.")
    return value


def _between(low: float, high: float) -> str:
    if math.isinf(high):
        return f"at {low:g} or above"
    return f"at {high:g} or below" if math.isinf(low) else f"between {low:g} and {high:g}"


def as_whole(node: Node, what: str = "This", low: float = -math.inf, high: float = math.inf) -> int:
    """A whole number between ``low`` and ``high``.

    Raises:
        SourceError: anything else.
    """
    value = as_number(node, what, low, high)
    if value != int(value):
        refuse(node.place, f"{what} should be a whole number, not {value:g}.")
    return int(value)


def as_flag(node: Node, what: str = "This") -> bool:
    """``yes`` or ``no`` (also ``true`` and ``false``), with or without quotes.

    Raises:
        SourceError: anything else.
    """
    scalar = _scalar(node, what, "yes or no")
    if scalar.text in _YES:
        return True
    if scalar.text in _NO:
        return False
    refuse(scalar.place, f"{what} should be yes or no, not {one_line(scalar.text, 40)!r}.")


def as_list(node: Node, what: str = "This", *, one_ok: bool = False) -> list[Node]:
    """The nodes of a list; with ``one_ok`` a single scalar or map counts as a list of one.

    Raises:
        SourceError: not a list.
    """
    if isinstance(node, Seq):
        return node.items
    if one_ok:
        return [node]
    refuse(
        node.place,
        f"{what} should be a list, not {_kind(node)}.",
        "Write it as [a, b] or as lines that start with '- '.",
    )


def as_map(node: Node, what: str = "This") -> Map:
    """The node as a map.

    Raises:
        SourceError: not a map.
    """
    if isinstance(node, Map):
        return node
    refuse(node.place, f"{what} should be made of 'key: value' lines, not {_kind(node)}.")


def as_texts(node: Node, what: str = "this list", *, one_ok: bool = False) -> tuple[str, ...]:
    """A list of texts.

    Raises:
        SourceError: not a list, or one of its members is not a text.
    """
    whole = what[:1].upper() + what[1:]
    return tuple(as_text(item, f"One of {what}") for item in as_list(node, whole, one_ok=one_ok))


def to_plain(node: Node) -> Any:
    """Dicts, lists and strings, for tests and for looking at a tree."""
    if isinstance(node, Map):
        return {key: to_plain(value) for key, value in node.items.items()}
    if isinstance(node, Seq):
        return [to_plain(value) for value in node.items]
    return node.text
