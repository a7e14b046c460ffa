"""Rule books made by hand or by a seeded generator, for tests of the engine only."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from diag.inference.evidence import Finding
from diag.rulebook.basis import Basis
from diag.rulebook.causes import Cause, Effect, Frequency
from diag.rulebook.findings import ABSENT, PRESENT, Answer, Condition, Point, ReadingKind, Sign, State
from diag.rulebook.model import Context, Knobs, RuleBook

BASIS = Basis("judgement", "test data")


def cause(
    name: str,
    share: float,
    shows: Mapping[str, float] | None = None,
    *,
    answers: Mapping[str, Mapping[str, float]] | None = None,
    hides: Mapping[str, float] | None = None,
    likelier: Mapping[str, float] | None = None,
    acts_on: Iterable[Effect] = (),
    is_when: Condition | None = None,
    kind: str = "damage",
) -> Cause:
    """A cause with only what the engine looks at."""
    return Cause(
        name,
        name,
        "area",
        kind,  # type: ignore[arg-type]
        "",
        Frequency(share, "", BASIS),
        (),
        more_likely_when=dict(likelier or {}),
        acts_on=tuple(acts_on),
        is_when=is_when,
        shows=dict(shows or {}),
        answers={k: dict(v) for k, v in (answers or {}).items()},
        hides=dict(hides or {}),
    )


def sign(name: str, chance: float = 0.01, choices: Mapping[str, float] | None = None, **more: object) -> Sign:
    """A yes/no sign, or a choice when ``choices`` maps answers to what is usual."""
    options = tuple(Answer(a, a, p) for a, p in (choices or {}).items())
    return Sign(name, name, "?", "", chance, choices=options, **more)  # type: ignore[arg-type]


def state(name: str, chance: float, seen_as: Mapping[str, float]) -> State:
    """A hidden state behind signs."""
    return State(name, name, chance, dict(seen_as))


def knobs(none: float = 0.05, two_or_more: float = 0.08, out_of_book: float = 0.0, misread: float = 0.03) -> Knobs:
    """The book-wide figures."""
    return Knobs(none, two_or_more, out_of_book, 0.15, 0.1, 0.02, misread, {}, BASIS, {})


def book(
    causes: Iterable[Cause],
    signs: Iterable[Sign] = (),
    states: Iterable[State] = (),
    *,
    readings: Iterable[ReadingKind] = (),
    points: Iterable[Point] = (),
    contexts: Iterable[Context] = (),
    figures: Knobs | None = None,
) -> RuleBook:
    """A rule book of these parts and nothing else."""

    def by_id(things: Iterable[object]) -> dict[str, object]:
        return {t.id: t for t in sorted(things, key=lambda t: t.id)}  # type: ignore[attr-defined]

    empty: dict[str, object] = {}
    return RuleBook(
        "test",
        "test",
        figures or knobs(),
        by_id(causes),  # type: ignore[arg-type]
        by_id(signs),  # type: ignore[arg-type]
        by_id(states),  # type: ignore[arg-type]
        by_id(readings),  # type: ignore[arg-type]
        by_id(points),  # type: ignore[arg-type]
        *[empty] * 6,  # type: ignore[arg-type]
        contexts=by_id(contexts),  # type: ignore[arg-type]
        procedures={},
        tools={},
        areas={},
    )


def told(name: str, answer: str, wrong: float = 0.0, epoch: int = 0, entry: int = 0) -> Finding:
    """One answer."""
    return Finding(name, {"+": PRESENT, "-": ABSENT}.get(answer, answer), wrong, epoch, entry)


def random_book(seed: int, n_causes: int = 70, n_signs: int = 100, parents: int = 5, **figures: float) -> RuleBook:
    """A made-up book: every sign is linked to ``parents`` causes, with chances as in reference-cases section 7."""
    rng = np.random.default_rng(seed)
    shares = rng.uniform(0.2, 3.0, n_causes) / n_causes
    shows: list[dict[str, float]] = [{} for _ in range(n_causes)]
    for s in range(n_signs):
        for c in rng.choice(n_causes, parents, replace=False):
            shows[c][f"s{s:03d}"] = float(rng.uniform(0.2, 0.95))
    signs = [sign(f"s{s:03d}", float(rng.uniform(0.005, 0.05))) for s in range(n_signs)]
    causes = [cause(f"c{c:03d}", float(shares[c]), shows[c]) for c in range(n_causes)]
    return book(causes, signs, figures=knobs(**figures))
