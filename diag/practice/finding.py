"""Finding a step or a cause by everyday words, or by area: what a trainee may choose from. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diag.hearing.search import find, words_of
from diag.rulebook.derived import derived
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check, Step
from diag.safety.steps import BUILT_IN

MOST = 30


def every_step(book: RuleBook) -> dict[str, Step]:
    """Checks first, then what gets them ready, actions, remedies, and the wall's own steps the book lacks."""
    shelves: tuple[Iterable[Step], ...] = (
        book.checks.values(), book.setups.values(), book.actions.values(), book.remedies.values(), BUILT_IN.values(),
    )  # fmt: skip
    found: dict[str, Step] = {}
    for shelf in shelves:
        for step in shelf:
            found.setdefault(step.id, step)
    return found


@dataclass(frozen=True)
class _Entry:
    step: Step
    title: frozenset[str]
    body: frozenset[str]


def _index(book: RuleBook) -> dict[str, _Entry]:
    """The words of every step; kept with the book, since a search is made at every key."""
    index = {}
    for name, step in every_step(book).items():
        title = frozenset(words_of(f"{step.title} {step.id.replace('-', ' ')}"))
        index[name] = _Entry(step, title, frozenset(words_of(" ".join((step.why, *step.steps)))) - title)
    return index


def find_steps(book: RuleBook, text: str, only: Iterable[str] | None = None) -> list[Step]:
    """Steps that fit some words, best first; words of what a check yields count as well. Without words all of them."""
    wanted = set(words_of(text))
    index = derived(book, _index)
    names = list(index) if only is None else [n for n in only if n in index]
    if not wanted:
        looks = [n for n in names if isinstance(step := index[n].step, Check) and step.look_over]
        return [index[n].step for n in dict.fromkeys([*looks, *names])]
    yields = {f.id: f.score for f in find(book, text, 12) if f.kind in ("sign", "reading")}
    best = max(yields.values(), default=1.0)
    scored = []
    for at, name in enumerate(names):
        entry = index[name]
        score = _fit(wanted, entry)
        if isinstance(entry.step, Check):
            score += max((0.6 * yields.get(y.sign or y.reading, 0.0) / best for y in entry.step.yields), default=0.0)
        if score > 0.2:
            scored.append((-score, at, entry.step))
    scored.sort(key=lambda item: item[:2])
    return [step for _, _, step in scored[:MOST]]


def _fit(wanted: set[str], entry: _Entry) -> float:
    hits = sum(_begins(w, entry.title) + 0.25 * _begins(w, entry.body) for w in wanted)
    return hits / len(wanted) + 0.1 * len(wanted & entry.title) / max(len(entry.title), 1)


def _begins(word: str, words: frozenset[str]) -> float:
    if word in words:
        return 1.0
    return 0.7 if len(word) >= 3 and any(w.startswith(word) for w in words) else 0.0


def find_causes(book: RuleBook, text: str) -> list[str]:
    """Causes that fit some words, best first."""
    if not text.strip():
        return list(book.causes)
    found = [f.id for f in find(book, text, 60) if f.kind == "cause"]
    return found[:MOST] or [c.id for c in book.causes.values() if set(words_of(text)) & set(words_of(c.title))][:MOST]


def areas_of_checks(book: RuleBook) -> dict[str, list[str]]:
    """Area of the car -> checks that speak about its causes most."""
    linked: dict[str, set[str]] = {}
    for cause in book.causes.values():
        for name in (*cause.shows, *cause.answers):
            linked.setdefault(name, set()).add(cause.area)
    result: dict[str, list[str]] = {area: [] for area in book.areas}
    for check in book.checks.values():
        areas: dict[str, int] = {}
        for asked in check.yields:
            for area in linked.get(asked.sign, ()):
                areas[area] = areas.get(area, 0) + 1
        if not areas:
            confirmed = {c.area for c in book.causes.values() if check.id in c.confirmed_by}
            areas = dict.fromkeys(confirmed, 1)
        top = max(areas.values(), default=0)
        for area, count in areas.items():
            if count == top and area in result:
                result[area].append(check.id)
    return {area: names for area, names in result.items() if names}
