"""The book says what the trade says: one term a thing, never a home-made or second word for it.

The list stands under ``vocabulary`` in the rules: ``never`` holds the words that are refused in headings, questions,
explanations and steps. What people say (``phrases``) is theirs; there every word is welcome.
"""

import re
from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import error
from diag.rulebook.load import Draft
from diag.support.yaml.reader import Map, Node, Scalar, Seq

_THEIRS = frozenset({"phrases", "formerly"})


def find(draft: Draft) -> Iterator[Problem]:
    """Refused words, with the term to use."""
    terms = {word.lower(): term.term for term in draft.book.vocabulary for word in term.never}
    if not terms:
        return
    longest_first = sorted(terms, key=len, reverse=True)
    pattern = re.compile(rf"(?<![\w-])({'|'.join(map(re.escape, longest_first))})s?(?![\w-])", re.IGNORECASE)
    for node in draft.nodes.values():
        for text in _texts(node):
            for match in pattern.finditer(text.text):
                hint = f"Say {terms[match[1].lower()]!r}."
                yield error("trade-words", text.place, f"{match[0]!r} is not the trade's word here.", hint)


def _texts(node: Node) -> Iterator[Scalar]:
    if isinstance(node, Scalar):
        yield node
    elif isinstance(node, Seq):
        for member in node.items:
            yield from _texts(member)
    elif isinstance(node, Map):
        for key, child in node.items.items():
            if key not in _THEIRS:
                yield from _texts(child)
