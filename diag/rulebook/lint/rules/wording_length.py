"""Headings, questions and steps stay short enough to be read at arm's length and said in one breath."""

from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import error
from diag.rulebook.load import Draft
from diag.rulebook.shapes import ListOf, MapOf, Record, Shape, Text
from diag.rulebook.tables import SECTIONS
from diag.support.yaml.reader import Map, Node, Scalar, Seq


def find(draft: Draft) -> Iterator[Problem]:
    """Texts over the length of their field."""
    for (section, _), node in draft.nodes.items():
        for field in SECTIONS[section][1]:
            child = node.items.get(field.name)
            if child is not None:
                yield from _long(field.name, field.shape, child)


def _long(name: str, shape: Shape, node: Node) -> Iterator[Problem]:
    if isinstance(shape, Text) and isinstance(node, Scalar):
        length = len(" ".join(node.text.split()))
        if length > shape.limit:
            what = f"{name!r} is {length} characters long; {shape.limit} is the most."
            yield error("wording-length", node.place, what, "Shorten it or split it.")
    elif isinstance(shape, ListOf) and isinstance(node, Seq):
        for member in node.items:
            yield from _long(name, shape.item, member)
    elif isinstance(shape, MapOf) and isinstance(node, Map):
        for child in node.items.values():
            yield from _long(name, shape.value, child)
    elif isinstance(shape, Record) and isinstance(node, Map):
        for field in shape.fields:
            if field.name in node.items:
                yield from _long(field.name, field.shape, node.items[field.name])
