"""Written cases ranked with everything told at once: what the rule book and the inference are worth by themselves.

No step is chosen and nothing is simulated. Each case is told up to the entry by which the trade should know what is
wrong (the last expectation before the case's own first repair), and the ranking is held against the names accepted.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

from diag.casework.evidence_of import told_by
from diag.casework.replay import ModelCache, model_for
from diag.evaluation.cores import on_every_core
from diag.evaluation.scores import Estimate, calibration_error, mean_of
from diag.evaluation.trial import place
from diag.inference.posterior import belief
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.simulation.scenario import WrittenCase

FIRST = 3  # a truth among so many counts as found
SHOWN = 4  # names of a missed case's ranking that are told


@dataclass(frozen=True)
class Ranked:
    """One case: the accepted names with their chances, and what stood in front.

    ``place`` of the first accepted name, from 1 (99 when nowhere); ``pair`` says for a case with several faults at
    once whether all of one true set are among the first three, None for a case with one.
    """

    name: str
    apart: bool
    accepted: tuple[tuple[str, float], ...]
    front: tuple[tuple[str, float], ...]
    place: int
    pair: bool | None

    @property
    def leads(self) -> bool:
        """Whether an accepted name stands first."""
        return self.place == 1


def rank(written: WrittenCase, book: RuleBook, cache: ModelCache | None = None) -> Ranked | None:
    """The ranking of one case with everything told; None for a case about stopping, which names nothing."""
    if not written.truths:
        return None
    entries = tuple(e for e in written.case.entries if e.number <= written.known_at)
    told = told_by(replace(written.case, entries=entries), book)
    ranking = belief(model_for(book, told.car, cache), told.evidence).ranked()
    chances = dict(ranking)
    sets = [truth for truth in written.truths if len(truth) > 1]
    first = {name for name, _ in ranking[:FIRST]}
    return Ranked(
        written.name,
        written.apart,
        tuple((name, chances.get(name, 0.0)) for name in written.accepted),
        tuple(ranking[:SHOWN]),
        place(ranking, frozenset(written.accepted)),
        any(set(truth) <= first for truth in sets) if sets else None,
    )


def _rank(book: RuleBook, written: WrittenCase) -> Ranked | None:
    return rank(written, book)


def rank_all(
    written: Sequence[WrittenCase],
    rules: Path,
    workers: int | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Ranked, ...]:
    """Every case that names a truth, in the order given; the same whatever the number of processes."""
    order = {case.name: at for at, case in enumerate(written)}
    found: list[Ranked] = []
    for done, one in enumerate(on_every_core(partial(load_book, rules), _rank, written, workers), 1):
        if one is not None:
            found.append(one)
        if progress is not None:
            progress(done, len(written))
    return tuple(sorted(found, key=lambda one: order[one.name]))


@dataclass(frozen=True)
class Shares:
    """Shares of some cases, each with its 95 % bootstrap interval; ``error`` is the leader's calibration error."""

    cases: int
    leads: Estimate
    among: Estimate
    error: float
    pairs: int
    both: int


def shares(ranked: Sequence[Ranked]) -> Shares:
    """The figures over these cases."""
    right = np.array([one.leads for one in ranked])
    said = np.array([one.front[0][1] for one in ranked])
    pairs = [one.pair for one in ranked if one.pair is not None]
    return Shares(
        len(ranked),
        mean_of(right),
        mean_of([one.place <= FIRST for one in ranked]),
        calibration_error(said, right) if len(ranked) else 0.0,
        len(pairs),
        sum(pairs),
    )


def groups(ranked: Sequence[Ranked]) -> dict[str, Shares]:
    """All cases, and by whether their figures come from the fuel-system model."""
    parts = {
        "all": ranked,
        "figures of the model": [one for one in ranked if not one.apart],
        "written apart": [one for one in ranked if one.apart],
    }
    return {name: shares(part) for name, part in parts.items() if part}


def told_at_once_text(ranked: Sequence[Ranked]) -> str:
    """The figures in words, and every case that another cause leads."""
    lines = ["Written cases with everything told at once (share, 95 % interval):"]
    for name, found in groups(ranked).items():
        lines += [
            f"  {name}, {found.cases} cases",
            f"    a true cause leads                 {found.leads}",
            f"    a true cause is among the first {FIRST}  {found.among}",
            f"    calibration error of the leader    {found.error:.3f}",
        ]
        if found.pairs:
            lines.append(f"    both of two faults among the first {FIRST}  {found.both} of {found.pairs}")
    lines += ["", "Cases that another cause leads, or with a second fault not among the first three:"]
    missed = [one for one in ranked if not one.leads or one.pair is False]
    lines += [line for one in missed for line in _lines(one)] or ["  none"]
    return "\n".join(lines)


def _lines(one: Ranked) -> tuple[str, str, str]:
    return f"  {one.name}", f"      true: {_chances(one.accepted)}", f"      led:  {_chances(one.front)}"


def _chances(pairs: Sequence[tuple[str, float]]) -> str:
    return ", ".join(f"{name} {100 * chance:.1f} %" for name, chance in pairs)


def told_at_once_data(ranked: Sequence[Ranked]) -> dict[str, Any]:
    """The same for scripts."""
    return {
        "cases": [vars(one) | {"leads": one.leads} for one in ranked],
        "shares": {name: {k: _plain(v) for k, v in vars(s).items()} for name, s in groups(ranked).items()},
    }


def _plain(value: object) -> object:
    return {"value": value.value, "from": value.low, "to": value.high} if isinstance(value, Estimate) else value
