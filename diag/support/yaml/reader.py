"""YAML text -> a tree of nodes that know their place. Strict: what two readers could take differently is refused.

Built from the parser's events, so anchors, aliases and tags are seen before anything could act on them, nesting is
limited before it can hurt, and nothing is ever constructed but maps, lists and strings. Every scalar stays a string
until a reader asks for a number or a flag; that is where ``no``, ``1:30``, ``010`` or ``2024-01-01`` are refused.
"""

from __future__ import annotations

import re
from typing import Any

import yaml

from diag.support.errors import Place, SourceError
from diag.support.text import describe, first_unfit, line_and_column, one_line, unfit
from diag.support.yaml.nodes import (
    Map,
    Node,
    Scalar,
    Seq,
    as_flag,
    as_list,
    as_map,
    as_number,
    as_text,
    as_texts,
    as_whole,
    is_number,
    may_surprise,
    refuse,
    surprise,
    to_plain,
)
from diag.support.yaml.words import plain_words
from diag.support.yaml.writer import dump

__all__ = [
    "MAX_DEPTH",
    "MAX_SCALAR",
    "MAX_SIZE",
    "Map",
    "Node",
    "Scalar",
    "Seq",
    "as_flag",
    "as_list",
    "as_map",
    "as_number",
    "as_text",
    "as_texts",
    "as_whole",
    "dump_yaml",
    "is_number",
    "read_yaml",
    "refuse",
    "surprise",
    "to_plain",
]

MAX_SIZE = 1_000_000  # characters in a file
MAX_DEPTH = 20
MAX_SCALAR = 20_000  # characters in one text
MAX_KEY = 200

PureLoader = yaml.SafeLoader
FastLoader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

_SCALAR_KEY_NUMBER = re.compile(r"[-+]?[\d_]*\.?\d[\d_]*(e[-+]?\d+)?", re.IGNORECASE)
_GLUED_COMMENT = re.compile(r"\s+#[^\s#]")

# ---- reading -------------------------------------------------------------------------------------------------------


def read_yaml(text: str, file: str, *, pure: bool = False, max_size: int = MAX_SIZE) -> Node:
    """The tree of one YAML document; an empty document is an empty Map.

    Args:
        text: the document.
        file: its name as errors show it.
        pure: use the pure Python parser even where the fast one is there.
        max_size: longest text accepted, characters.

    Raises:
        SourceError: for everything that is wrong; nothing else escapes.
    """
    text = _prepared(text, file, max_size)
    loader = (PureLoader if pure else FastLoader)(text)
    try:
        return _Builder(file, text).build(loader)
    except yaml.MarkedYAMLError as error:
        raise _from_marked(error, file) from None
    except yaml.reader.ReaderError as error:
        position = min(error.position if isinstance(error.position, int) else 0, len(text))
        line, column = line_and_column(text, position)
        raise SourceError(
            "There is a character here that YAML does not allow.", "Remove it.", Place(file, line, column)
        ) from None
    except (yaml.YAMLError, ValueError, OverflowError, RecursionError, LookupError):
        raise SourceError(
            "This text cannot be read as YAML.", "Look for an odd escape such as \\U in quotes.", Place(file)
        ) from None
    finally:
        loader.dispose()


def _prepared(text: str, file: str, max_size: int) -> str:
    """The text with one kind of line end, refused when too long or holding characters that no rule or case needs."""
    if len(text) > max_size:
        raise SourceError(f"This file is longer than {max_size} characters.", "Split it.", Place(file))
    text = text.removeprefix("\ufeff").replace("\r\n", "\n")
    at = first_unfit(text)
    if at >= 0:
        line, column = line_and_column(text, at)
        raise SourceError(f"There is a {describe(text[at])} here.", "Remove it.", Place(file, line, column))
    return text


def _from_marked(error: yaml.MarkedYAMLError, file: str) -> SourceError:
    mark = error.problem_mark or error.context_mark
    place = Place(file, mark.line + 1, mark.column + 1) if mark else Place(file)
    what, hint = plain_words(str(error.problem or error.context or ""))
    return SourceError(what, hint, place)


class _Builder:
    """Turns the parser's events into nodes without recursion."""

    def __init__(self, file: str, text: str) -> None:
        self.file = file
        self.lines = text.split("\n") if "#" in text else []
        self.root: Node | None = None
        # For every open collection: the node, and for maps the key that waits for its value.
        self.stack: list[Seq | Map] = []
        self.keys: list[str | None] = []

    def build(self, loader: Any) -> Node:
        get_event, check = loader.get_event, yaml.events
        scalar, map_start, seq_start = check.ScalarEvent, check.MappingStartEvent, check.SequenceStartEvent
        ends = (check.MappingEndEvent, check.SequenceEndEvent)
        documents = 0
        while True:
            event = get_event()
            kind = type(event)
            if kind is scalar:
                self.scalar(event)
            elif kind is map_start or kind is seq_start:
                self.open(event, kind is map_start)
            elif kind in ends:
                self.stack.pop()
                self.keys.pop()
            elif kind is check.AliasEvent:
                refuse(
                    self.place(event),
                    f"The alias '*{one_line(event.anchor, 40)}' is not allowed.",
                    "Write the text out.",
                )
            elif kind is check.DocumentStartEvent:
                documents += 1
                if documents > 1:
                    refuse(
                        self.place(event), "A second document starts here.", "Remove the '---' line, or use two files."
                    )
            elif kind is check.StreamEndEvent or event is None:
                break
        return self.root if self.root is not None else Map({}, Place(self.file, 1, 1))

    def place(self, event: Any) -> Place:
        mark = event.start_mark
        return Place(self.file, mark.line + 1, mark.column + 1)

    def plain_event(self, event: Any, place: Place) -> None:
        """Refuse anchors and tags."""
        if event.anchor is not None:
            refuse(
                place,
                f"The anchor '&{one_line(event.anchor, 40)}' is not allowed.",
                "Write the text out where it is needed.",
            )
        if event.tag is not None and event.tag != "!":
            refuse(place, f"The tag {one_line(event.tag, 60)!r} is not allowed.", "Write the value without it.")
        if event.tag == "!":
            refuse(place, "The tag '!' is not allowed.", "Write the value without it.")

    def open(self, event: Any, is_map: bool) -> None:
        place = self.place(event)
        if event.anchor is not None or event.tag is not None:
            self.plain_event(event, place)
        if len(self.stack) >= MAX_DEPTH:
            refuse(place, f"This is nested more than {MAX_DEPTH} deep.", "Flatten it.")
        node: Seq | Map = Map({}, place) if is_map else Seq([], place)
        self.add(node)
        self.stack.append(node)
        self.keys.append(None)

    def scalar(self, event: Any) -> None:
        place = self.place(event)
        if event.anchor is not None or event.tag is not None:
            self.plain_event(event, place)
        text = event.value
        style = event.style
        quoted = style is not None and style != ""
        if len(text) > MAX_SCALAR:
            refuse(place, f"This text is longer than {MAX_SCALAR} characters.", "Shorten it.")
        if style == '"':
            bad = unfit(text)
            if bad is not None:
                refuse(place, f"There is a {bad} in this text.", "Remove the escape that stands for it.")
        elif not quoted and self.lines:
            self.glued_comment(event)
        self.add(Scalar(text, quoted, place))

    def glued_comment(self, event: Any) -> None:
        """``part #3`` would silently become ``part``: a comment needs a space after its #."""
        mark = event.end_mark
        rest = self.lines[mark.line][mark.column :] if mark.line < len(self.lines) else ""
        # The end of a plain text lies before or after the blanks that follow it, depending on the parser.
        rest = " " + rest.lstrip() if rest[:1].isspace() or rest[:1] == "#" else rest
        if _GLUED_COMMENT.match(rest) and event.start_mark.index != mark.index:
            refuse(
                Place(self.file, mark.line + 1, mark.column + 1),
                "Everything from this '#' on would be lost as a comment.",
                "Put the text in quotes, or write a space after the '#' of a comment.",
            )

    def add(self, node: Node) -> None:
        if not self.stack:
            self.root = node
            return
        parent = self.stack[-1]
        if type(parent) is Seq:
            parent.items.append(node)
            return
        assert isinstance(parent, Map)
        key = self.keys[-1]
        if key is None:
            self.keys[-1] = self.key(node, parent)
        else:
            parent.items[key] = node
            self.keys[-1] = None

    def key(self, node: Node, parent: Map) -> str:
        if not isinstance(node, Scalar):
            refuse(
                node.place,
                "A list or a map cannot be a key.",
                "Put words before the colon; quote text that starts with [ or {.",
            )
        text = node.text
        if not node.quoted:
            if text == "<<":
                refuse(node.place, "The merge key '<<' is not allowed.", "Write the lines out.")
            if node.empty:
                refuse(node.place, "There is no key before this colon.", "Write one.")
            if may_surprise(text) and (surprise(text) or _SCALAR_KEY_NUMBER.fullmatch(text)):
                refuse(
                    node.place,
                    f"The key {one_line(text, 40)} is not a word.",
                    f"Put it in quotes: '{one_line(text, 40)}'.",
                )
        if len(text) > MAX_KEY:
            refuse(node.place, f"This key is longer than {MAX_KEY} characters.", "Shorten it.")
        if text in parent.places:
            first = parent.places[text]
            refuse(
                node.place,
                f"{one_line(text, 60)!r} is written twice (first in line {first.line}).",
                "Keep one of them.",
            )
        parent.places[text] = node.place
        return text


# ---- writing -------------------------------------------------------------------------------------------------------


def dump_yaml(data: Any, *, pure: bool = False) -> str:
    """Plain data (dict, list, tuple, str, bool, int, float, None) as block style YAML that ``read_yaml`` reads back.

    Keys keep their order. Text is quoted whenever a reader could take it for something else; characters that the
    reader would refuse are replaced by U+FFFD.

    Raises:
        ValueError: data of another type, or a number that is not finite.
    """
    return dump(data, pure=pure)
