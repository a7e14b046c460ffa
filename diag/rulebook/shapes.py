"""The shapes a value in the rule book can have. Each one reads a YAML node and says its own JSON Schema.

A shape never raises for bad input: it notes a problem on the desk and returns ``MISSING``.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from diag.rulebook.desk import ID_PATTERN, Desk, nearest
from diag.support.yaml.reader import Map, Node, Scalar, Seq, surprise

MISSING: Any = object()
FLAGS = {"yes": True, "no": False}


class Shape:
    """Reads one kind of value."""

    needs = "a value"

    def read(self, node: Node, desk: Desk) -> Any:
        """The value, or ``MISSING`` after noting a problem."""
        raise NotImplementedError

    def schema(self) -> dict[str, Any]:
        """The JSON Schema (draft-07) of this shape, for editors."""
        raise NotImplementedError

    def refuse(self, node: Node, desk: Desk, needs: str = "", hint: str = "") -> Any:
        """Note that the node has the wrong form."""
        desk.problem("schema", node.place, f"This must be {needs or self.needs}, not {describe(node)}.", hint)
        return MISSING


def describe(node: Node) -> str:
    """A few words naming what stands at the node, quoted short."""
    if isinstance(node, Map):
        return "a mapping"
    if isinstance(node, Seq):
        return "a list"
    if isinstance(node, Scalar) and node.text == "":
        return "nothing"
    text = node.text if isinstance(node, Scalar) else ""
    return repr(text if len(text) <= 40 else text[:37] + "...")


@dataclass(frozen=True)
class Text(Shape):
    """Words. ``limit`` is the length lint allows."""

    limit: int = 600
    needs = "words"

    def read(self, node: Node, desk: Desk) -> Any:
        if not isinstance(node, Scalar) or not node.text.strip():
            return self.refuse(node, desk)
        why = None if node.quoted else surprise(node.text)
        if why:
            what = f"{node.text} stands here without quotes; {why}."
            desk.problem("surprising-word", node.place, what, f'Write "{node.text}" in quotes.')
            return MISSING
        return " ".join(node.text.split())

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "minLength": 1, "maxLength": self.limit}


@dataclass(frozen=True)
class Name(Shape):
    """An id made of lower-case words and hyphens."""

    pattern: str = ID_PATTERN
    needs = "a name in lower case with hyphens, such as return-line-blocked"

    def read(self, node: Node, desk: Desk) -> Any:
        if not isinstance(node, Scalar) or not re.fullmatch(self.pattern, node.text):
            return self.refuse(node, desk)
        return node.text

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "pattern": f"^{self.pattern}$"}


@dataclass(frozen=True)
class Ref(Shape):
    """The id of something in one of the sections."""

    sections: tuple[str, ...]

    def read(self, node: Node, desk: Desk) -> Any:
        if not isinstance(node, Scalar):
            return self.refuse(node, desk, "one name")
        return node.text if desk.check_name(self.sections, node.text, node.place) else MISSING

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "minLength": 1}


@dataclass(frozen=True)
class OneOf(Shape):
    """One of a few fixed words."""

    options: tuple[str, ...]

    def read(self, node: Node, desk: Desk) -> Any:
        if isinstance(node, Scalar) and node.text in self.options:
            return node.text
        near = nearest(node.text, self.options) if isinstance(node, Scalar) else ""
        return self.refuse(node, desk, "one of: " + ", ".join(self.options), near)

    def schema(self) -> dict[str, Any]:
        return {"enum": list(self.options)}


@dataclass(frozen=True)
class Flag(Shape):
    """yes or no."""

    needs = "yes or no"

    def read(self, node: Node, desk: Desk) -> Any:
        if isinstance(node, Scalar) and node.text in FLAGS:
            return FLAGS[node.text]
        return self.refuse(node, desk)

    def schema(self) -> dict[str, Any]:
        return {"enum": ["yes", "no", True, False]}


_DECIMAL = re.compile(r"[+-]?([0-9]+(\.[0-9]+)?|\.[0-9]+)")
_LIKE_A_NUMBER = re.compile(r"[+-]?[0-9.,]+([eE][+-]?[0-9]+)?")


def plain_number(node: Node) -> float | None:
    """The number an unquoted decimal scalar holds, or None."""
    if not isinstance(node, Scalar) or node.quoted or not _DECIMAL.fullmatch(node.text):
        return None
    return float(node.text)


def number_hint(node: Node) -> str:
    """What to do with something that nearly is a number: quoted, with an exponent or a decimal comma."""
    if not isinstance(node, Scalar) or not _LIKE_A_NUMBER.fullmatch(node.text):
        return ""
    try:
        return f"Write {float(node.text.replace(',', '.')):.10f}".rstrip("0").rstrip(".") + " without quotes."
    except ValueError:
        return ""


@dataclass(frozen=True)
class Number(Shape):
    """A plain number between two bounds, both included."""

    low: float = 0.0
    high: float = 1e6

    def read(self, node: Node, desk: Desk) -> Any:
        value = plain_number(node)
        if value is None:
            return self.refuse(node, desk, "a number", number_hint(node))
        if not self.low <= value <= self.high:
            return self.refuse(node, desk, f"a number from {self.low:g} to {self.high:g}")
        return value

    def schema(self) -> dict[str, Any]:
        return {"type": "number", "minimum": self.low, "maximum": self.high}


def _probability(node: Node, desk: Desk, words: Mapping[str, float], kind: str) -> Any:
    value = plain_number(node)
    if value is None:
        if isinstance(node, Scalar) and node.text in words:
            return words[node.text]
        near = number_hint(node) or (nearest(node.text, words) if isinstance(node, Scalar) else "")
        known = ", ".join(words)
        what = f"This must be a {kind} word ({known}) or a number between 0 and 1, not {describe(node)}."
        desk.problem("schema", node.place, what, near)
        return MISSING
    if not 0.0 < value < 1.0:
        what = f"A chance of {value:g} leaves no room for doubt."
        hint = "Use a number above 0 and below 1, such as 0.01 or 0.99."
        desk.problem("zero-or-one", node.place, what, hint)
        return MISSING
    return value


@dataclass(frozen=True)
class Chance(Shape):
    """A probability: a strength word or a number strictly between 0 and 1."""

    def read(self, node: Node, desk: Desk) -> Any:
        return _probability(node, desk, desk.words, "strength")

    def schema(self) -> dict[str, Any]:
        return {"$ref": "#/definitions/chance"}


@dataclass(frozen=True)
class ListOf(Shape):
    """A list; bad members are reported and left out."""

    item: Shape
    least: int = 0

    def read(self, node: Node, desk: Desk) -> Any:
        if not isinstance(node, Seq):
            return self.refuse(node, desk, "a list, such as [first, second]")
        found: list[Any] = []
        for member in node.items:
            value = self.item.read(member, desk)
            if value is MISSING:
                continue
            if value in found:
                desk.problem("repeated", member.place, f"{describe(member)} is listed twice.", "Take one out.")
                continue
            found.append(value)
        if len(node.items) < self.least:
            return self.refuse(node, desk, f"a list of at least {self.least}")
        return tuple(found)

    def schema(self) -> dict[str, Any]:
        return {"type": "array", "items": self.item.schema(), "minItems": self.least}


@dataclass(frozen=True)
class MapOf(Shape):
    """A mapping from names of some sections (or free names when empty) to values."""

    sections: tuple[str, ...]
    value: Shape
    least: int = 0

    def read(self, node: Node, desk: Desk) -> Any:
        if not isinstance(node, Map):
            return self.refuse(node, desk, "a mapping, such as {name: value}")
        found: dict[str, Any] = {}
        for key, member in node.items.items():
            if self.sections and not desk.check_name(self.sections, key, node.places.get(key, node.place)):
                continue
            value = self.value.read(member, desk)
            if value is not MISSING:
                found[key] = value
        if len(node.items) < self.least:
            return self.refuse(node, desk, f"a mapping of at least {self.least}")
        return found

    def schema(self) -> dict[str, Any]:
        return {"type": "object", "additionalProperties": self.value.schema(), "minProperties": self.least}


@dataclass(frozen=True)
class Field:
    """One line of a field table: a key, its shape, whether it must be there, and what it is for.

    ``shared``: the book may say it once for all entries, so that one entry alone need not have it for an editor.
    """

    name: str
    shape: Shape
    about: str
    need: bool = False
    shared: bool = False


@dataclass(frozen=True)
class Record(Shape):
    """A mapping with known keys; reads into a plain dict of the values that are there."""

    fields: tuple[Field, ...]

    def read(self, node: Node, desk: Desk) -> Any:
        if not isinstance(node, Map):
            return self.refuse(node, desk, "a mapping with " + ", ".join(f.name for f in self.fields if f.need))
        return read_fields(self.fields, node, desk)

    def schema(self) -> dict[str, Any]:
        return fields_schema(self.fields)


def read_fields(fields: tuple[Field, ...], node: Map, desk: Desk) -> Any:
    """Read a mapping by its field table; ``MISSING`` when a needed field is absent or bad."""
    known = {f.name: f for f in fields}
    for key in node.items:
        if key not in known:
            place = node.places.get(key, node.place)
            child = node.items[key]
            if isinstance(child, Scalar) and child.empty:
                what = f"{key!r} stands here as a field of its own, without a value."
                hint = "A comma inside { } ends a value: put text that holds a comma in quotes."
                desk.problem("comma-in-braces", place, what, hint)
                continue
            hint = nearest(key, known) or "Known here: " + ", ".join(known) + "."
            desk.problem("unknown-field", place, f"There is no field called {key!r} here.", hint)
    values: dict[str, Any] = {}
    complete = True
    for field in fields:
        node_here = node.items.get(field.name)
        if node_here is None:
            if field.need:
                complete = False
                desk.problem("missing-field", node.place, f"The field {field.name!r} is missing.", field.about)
            continue
        value = field.shape.read(node_here, desk)
        if value is not MISSING:
            values[field.name] = value
        elif field.need:
            complete = False
    return values if complete else MISSING


def fields_schema(fields: tuple[Field, ...]) -> dict[str, Any]:
    """The JSON Schema of a field table."""
    properties = {f.name: {**f.shape.schema(), "description": f.about} for f in fields}
    for field in fields:
        if "$ref" in properties[field.name]:  # draft-07 ignores what stands beside a reference
            properties[field.name] = {"allOf": [field.shape.schema()], "description": field.about}
    return {
        "type": "object",
        "properties": properties,
        "required": [f.name for f in fields if f.need and not f.shared],
        "additionalProperties": False,
    }
