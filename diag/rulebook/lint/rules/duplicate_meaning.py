"""Two rules with the same heading or question are one rule written twice; a phrase should lead to one place."""

from collections import defaultdict
from collections.abc import Callable, Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import advice, error
from diag.rulebook.load import Draft
from diag.support.errors import Place


def plain(text: str) -> str:
    """Lower case, letters and digits only, in the order written."""
    return " ".join("".join(c if c.isalnum() else " " for c in text.lower()).split())


def find(draft: Draft) -> Iterator[Problem]:
    """Headings, questions and phrases that occur twice."""
    for section in ("causes", "signs", "states", "checks", "setups", "remedies", "contexts", "procedures"):
        objects = getattr(draft.book, section)
        for name in ("title", "ask"):
            said = [
                (plain(getattr(thing, name)), draft.place(section, thing.id, name))
                for thing in objects.values()
                if hasattr(thing, name)
            ]
            yield from _twice(said, f"The {name} is", error)
    phrases = []
    for section in ("signs", "contexts", "causes", "readings", "checks"):
        for thing in getattr(draft.book, section).values():
            for index, phrase in enumerate(thing.phrases):
                phrases.append((plain(phrase), draft.place(section, thing.id, "phrases", index)))
    for sign in draft.book.signs.values():
        for answer in sign.choices:
            place = draft.place("signs", sign.id, "choices", answer.id, "phrases")
            phrases += [(plain(phrase), place) for phrase in answer.phrases]
    yield from _twice(phrases, "The phrase is", advice)


def _twice(said: list[tuple[str, Place]], what: str, level: Callable[..., Problem]) -> Iterator[Problem]:
    places: dict[str, list[Place]] = defaultdict(list)
    for text, place in said:
        places[text].append(place)
    for text, found in places.items():
        for place in found[1:]:
            yield level("duplicate-meaning", place, f"{what} used already: {text!r}.", f"The first is at {found[0]}.")
