"""Within one list chances are words of the strength scale or numbers, never both, so that they can be compared."""

from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import error
from diag.rulebook.load import Draft
from diag.rulebook.shapes import plain_number
from diag.support.yaml.reader import Map, Node

LISTS = {"causes": ("shows", "hides", "answers"), "states": ("seen_as",)}


def find(draft: Draft) -> Iterator[Problem]:
    """Lists of chances that hold words and numbers; of a choice sign each row is a list of its own."""
    for (section, _), node in draft.nodes.items():
        for field in LISTS.get(section, ()):
            found = node.items.get(field)
            rows = list(found.items.values()) if field == "answers" and isinstance(found, Map) else [found]
            for row in rows:
                yield from _mixed(row)


def _mixed(row: Node | None) -> Iterator[Problem]:
    if not isinstance(row, Map) or not row.items:
        return
    numbers = [name for name, value in row.items.items() if plain_number(value) is not None]
    if numbers and len(numbers) < len(row.items):
        fewer = numbers if 2 * len(numbers) <= len(row.items) else [n for n in row.items if n not in numbers]
        hint = "Write all of them in words of the scale, or all as numbers."
        yield error("one-scale", row.places[fewer[0]], "Words and numbers stand in one list of chances.", hint)
