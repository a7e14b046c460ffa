"""Which causes the book can tell apart at all: many cars per cause, with the answer to every check.

What leads here instead of the truth cannot be mended by a better order of checks, only by a check that is missing, or
by causes that are one and the same thing to the trade.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from diag.casework.evidence_of import told_by
from diag.casework.replay import model_for
from diag.evaluation.cores import on_every_core
from diag.evaluation.trial import Workshop, ceiling_of
from diag.inference.posterior import NOTHING_WRONG
from diag.rulebook.model import RuleBook
from diag.simulation.bench import Bench
from diag.simulation.generators import PROFILES, complaints, rng_of
from diag.simulation.hidden_car import HiddenCar
from diag.simulation.scenario import Scenario
from diag.support.errors import UnknownNameError


@dataclass
class Separation:
    """How the cars with one cause came out: how many, how often it led or was among three, and what led instead."""

    cars: int = 0
    first: int = 0
    among_three: int = 0
    instead: Counter[str] = field(default_factory=Counter)

    def add(self, other: Separation) -> None:
        """Count other cars as well."""
        self.cars += other.cars
        self.first += other.first
        self.among_three += other.among_three
        self.instead += other.instead


def separations(
    rules: Path,
    book: RuleBook,
    names: Sequence[str],
    cars: int,
    seed: int,
    workers: int | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> dict[str, Separation]:
    """``cars`` cars for each cause (or "nothing-wrong"), spread over the profiles of what is told of a car.

    Raises:
        UnknownNameError: the book has no such cause.
    """
    for name in names:
        if name not in book.causes and name != NOTHING_WRONG:
            raise UnknownNameError("cause", name, (*book.causes, NOTHING_WRONG))
    found = {name: Separation() for name in names}
    parts = [names[at::4] for at in range(4)]
    tasks = [(profile, part, cars, seed) for profile in range(min(len(PROFILES), cars)) for part in parts]
    done = 0
    for result in on_every_core(partial(Workshop, str(rules)), _work, tasks, workers):
        for name, part in result.items():
            found[name].add(part)
            done += part.cars
        if progress is not None:
            progress(done, cars * len(names))
    return found


_Task = tuple[int, Sequence[str], int, int]


def _work(shop: Workshop, task: _Task) -> dict[str, Separation]:
    profile, names, cars, seed = task
    shop.cache.clear()  # predictions for a car are what takes memory
    numbers = range(profile, cars, len(PROFILES))
    return {name: _of_cause(shop, name, profile, numbers, seed) for name in names}


def _of_cause(shop: Workshop, name: str, profile: int, numbers: Sequence[int], seed: int) -> Separation:
    found = Separation()
    truth = () if name == NOTHING_WRONG else (name,)
    for number in numbers:
        rng = rng_of("cause by cause", seed, name, number)
        hidden = HiddenCar(shop.world("own", profile), truth, int(rng.integers(2**62)))
        told = Scenario(
            number, "own", "full", truth, PROFILES[profile], (), complaints(hidden, rng, False), "shop", False, None,
            shop.book.knobs.sure_wrong, hidden,
        )  # fmt: skip
        first = told_by(Bench(told, shop.book, shop.cache).case, shop.book)
        ceiling = ceiling_of(told, model_for(shop.book, first.car, shop.cache), first.evidence)
        found.cars += 1
        found.first += ceiling.by_cause == 1
        found.among_three += ceiling.by_cause <= 3
        if ceiling.by_cause > 1:
            found.instead[ceiling.leader] += 1
    return found


def separation_text(found: dict[str, Separation], book: RuleBook) -> str:
    """The causes that are not told apart, those first that cost most jobs."""

    def share(name: str) -> float:
        everything = sum(c.how_often.share for c in book.causes.values())
        return book.causes[name].how_often.share if name in book.causes else book.knobs.none * everything

    def lost(name: str) -> float:
        return share(name) * (1.0 - found[name].first / max(found[name].cars, 1))

    whole = sum(share(name) for name in found)
    first = sum(share(n) * s.first / max(s.cars, 1) for n, s in found.items()) / whole
    three = sum(share(n) * s.among_three / max(s.cars, 1) for n, s in found.items()) / whole
    cars = sum(s.cars for s in found.values())
    lines = [
        f"{cars} cars with one cause each, every check answered, rule book {book.version}",
        f"by how often each cause is met: the true cause leads {first:.3f}, is among the first three {three:.3f}",
        "",
        "Causes that other causes are taken for (cars, led rightly, among three, what led instead):",
    ]
    for name in sorted(found, key=lambda n: (-lost(n), n)):
        s = found[name]
        if s.first < s.cars:
            wrong = ", ".join(f"{n} {k}" for n, k in sorted(s.instead.items(), key=lambda e: (-e[1], e[0]))[:4])
            lines.append(f"  {name:<36} {s.cars:4d} {s.first:4d} {s.among_three:4d}   {wrong}")
    return "\n".join(lines)
