"""How fast and how exact, beside general-purpose libraries where they are installed. Nothing here is a timed test.

Every row states its own conditions in its name, so that a figure can be quoted alone.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from diag.decision.next_step import propose
from diag.evaluation import peer
from diag.fuelsystem.car import Car
from diag.inference.evidence import Evidence, Finding, Reading
from diag.inference.model import Model, compile_model
from diag.inference.of_book import numbers_of
from diag.inference.posterior import Belief, belief
from diag.inference.predictive import outcome_table
from diag.inference.readings.carried import CarriedCar, carrier_of
from diag.rulebook.basis import Basis
from diag.rulebook.causes import Cause, Frequency
from diag.rulebook.findings import ABSENT, PRESENT, Sign
from diag.rulebook.load import load_book
from diag.rulebook.model import Knobs, RuleBook
from diag.safety.situation import Situation, Wet

POSTERIOR, TENFOLD = 5.0, 100.0  # ms: after 20 answers with the shipped book, and with one ten times as large
NEW_READING, NEXT_STEP, FIRST_STEP = 100.0, 30.0, 150.0  # ms

_BASIS = Basis("judgement", "made up for measuring")


@dataclass(frozen=True, slots=True)
class Row:
    """One figure: ours, the library's (nan: none installed, or it gave up), and the unit of both.

    ``bar`` is what it should not exceed, on two idle cores (nan: no such wish).
    """

    name: str
    ours: float
    peer: float
    unit: str
    note: str = ""
    bar: float = math.nan

    @property
    def falls_short(self) -> bool:
        """Whether the figure is worse than its bar; one without a bar or that could not be measured never is."""
        return self.ours > self.bar


def made_up_book(causes: int = 70, signs: int = 100, links: int = 5, seed: int = 0) -> RuleBook:
    """A two-level book of full size: every sign is shown by ``links`` causes, chances spread as in real ones."""
    rng = np.random.default_rng(seed)
    shows: list[dict[str, float]] = [{} for _ in range(causes)]
    for s in range(signs):
        for c in rng.choice(causes, links, replace=False):
            shows[c][f"sign-{s:03d}"] = float(rng.uniform(0.2, 0.95))
    shares = rng.uniform(0.2, 3.0, causes) / causes
    made = {
        f"cause-{c:03d}": Cause(
            f"cause-{c:03d}", "", "", "damage", "", Frequency(float(shares[c]), "", _BASIS), (), shows=shows[c]
        )
        for c in range(causes)
    }
    asked = {f"sign-{s:03d}": Sign(f"sign-{s:03d}", "", "", "", float(rng.uniform(0.005, 0.05))) for s in range(signs)}
    knobs = Knobs(0.05, 0.08, 0.0, 0.15, 0.1, 0.02, 0.03, {}, _BASIS, {})
    empty: dict[str, str] = {}
    return RuleBook("made up", "made up", knobs, made, asked, {}, {}, {}, {}, {}, {}, {}, {}, {}, {}, {}, empty, empty)


def made_up_answers(book: RuleBook, count: int, seed: int = 0) -> tuple[Finding, ...]:
    """Answers about random yes/no signs of a book, half of them "present"."""
    rng = np.random.default_rng(seed)
    plain = [s.id for s in book.signs.values() if not s.choices and s.seen_when is None]
    chosen = rng.choice(len(plain), min(count, len(plain)), replace=False)
    return tuple(Finding(plain[s], PRESENT if n % 2 else ABSENT, 0.02, 0, n) for n, s in enumerate(chosen))


def milliseconds(work: Callable[[], object], repeats: int = 9, clock: Callable[[], float] = time.perf_counter) -> float:
    """Median time of one call."""
    times = []
    for _ in range(repeats):
        start = clock()
        work()
        times.append(clock() - start)
    return 1e3 * float(np.median(times))


def _words(answers: int) -> list[Row]:
    """The made-up book: time and difference, against the library with the same prior and with a simpler one."""
    book = made_up_book()
    told = made_up_answers(book, answers)
    model = compile_model(book, Car({}))
    ours = belief(model, Evidence(told))
    spent = milliseconds(lambda: belief(model, Evidence(told)))
    name = f"posterior of 70 causes after {answers} answers"
    if not peer.available():
        return [Row(name, spent, math.nan, "ms", "pyAgrum is not installed")]
    names = list(book.causes)
    free = peer.network(book, told, counted=False)
    rows = [
        Row(
            f"{name}, library without the prior on the number of faults",
            spent,
            milliseconds(lambda: peer.posteriors(free, names, told), 3),
            "ms",
        )
    ]
    net = peer.network(book, told)
    try:
        start = time.perf_counter()
        theirs = peer.posteriors(net, names, told)
        same = 1e3 * (time.perf_counter() - start)
        gap = float(np.abs(theirs - ours.marginal).max())
        rows.append(Row(f"{name}, library with the same prior", spent, same, "ms"))
        rows.append(Row(f"{name}: largest difference of a cause", gap, math.nan, ""))
    except Exception as problem:  # the library raises its own kinds, and plain Exception when memory runs out
        rows.append(Row(f"{name}, library with the same prior", spent, math.nan, "ms", f"library gave up: {problem}"))
    return rows


def _tenfold() -> list[Row]:
    """A made-up book ten times as large as the one of 70 causes."""
    book = made_up_book(700, 1000)
    model, told = compile_model(book, Car({})), Evidence(made_up_answers(book, 20))
    spent = milliseconds(lambda: belief(model, told), 3, time.process_time)
    return [Row("posterior of 700 causes after 20 answers", spent, math.nan, "ms", bar=TENFOLD)]


def _psi(point: str, value: float, entry: int) -> Reading:
    pascal = 6894.757 * value
    return Reading("rail pressure", point, pascal, pascal, pascal, entry=entry)


def _shipped(book: RuleBook) -> list[Row]:
    """The shipped book on a car of which nothing is known, in processor time, which other programs hardly change."""
    model, rows = _on(book, "shipped book")
    assert model.physics is not None
    left = b"".join(model.physics.left("bench"))
    later = replace(book)
    carrier_of(later).fetch = lambda name: CarriedCar("bench", lambda start, size: left[start : start + size])
    numbers_of(later).take(numbers_of(book).as_plain(), len(book.causes))
    return [*rows, *_on(later, "shipped book, a car met before")[1]]


def _on(book: RuleBook, named: str) -> tuple[Model, list[Row]]:
    """The same on one car, met for the first time or in an earlier run."""
    size = f"{len(book.causes)} causes, {len(book.checks)} checks"
    start = time.process_time()
    model = compile_model(book, Car({}))
    first = belief(model, Evidence())
    rows = [Row(f"{named}: compile for a car, first ranking", _since(start), math.nan, "ms", size)]
    told = Evidence(made_up_answers(book, 20))
    spent = milliseconds(lambda: belief(model, told), clock=time.process_time)
    rows.append(Row(f"{named}: after 20 answers", spent, math.nan, "ms", bar=POSTERIOR))
    start = time.process_time()
    _tables(model, Evidence(), first)
    spent = _since(start)
    rows.append(Row(f"{named}: outcomes of all checks, first time for a car", spent, math.nan, "ms", bar=FIRST_STEP))
    again = belief(model, told)
    start = time.process_time()
    _tables(model, told, again)
    rows.append(Row(f"{named}: outcomes of all checks, after more answers", _since(start), math.nan, "ms"))
    rows += _choices(model, again, told, named)
    readings: tuple[Reading, ...] = ()
    taken = (("pump-on-engine-off", 46.0), ("idle-hose-on", 44.5), ("screw-out", 33.0))
    for number, (point, value) in enumerate(taken):
        if point not in book.points:
            continue
        readings = (*readings, _psi(point, value, number))
        start = time.process_time()
        belief(model, Evidence(readings=readings))
        name = f"{named}: ranking after new reading {number + 1}"
        rows.append(Row(name, _since(start), math.nan, "ms", bar=NEW_READING))
    return model, rows


def _choices(model: Model, believed: Belief, told: Evidence, named: str) -> list[Row]:
    """Choosing the next step on a dry car: right after new answers, and once more with nothing new."""
    situation = Situation(Wet.DRY)
    name = f"{named}: choosing the next step"
    start = time.process_time()
    propose(model, believed, told, situation)
    fresh = _since(start)
    again = milliseconds(lambda: propose(model, believed, told, situation), clock=time.process_time)
    return [
        Row(f"{name}, outcomes to be worked out", fresh, math.nan, "ms", bar=NEXT_STEP),
        Row(f"{name}, again", again, math.nan, "ms", bar=NEXT_STEP),
    ]


def _since(start: float) -> float:
    return 1e3 * (time.process_time() - start)


def _tables(model: Model, evidence: Evidence, result: Belief) -> None:
    rows = np.arange(min(200, len(result.rows)))
    for check in model.book.checks.values():
        for yield_ in check.yields:
            outcome_table(model, evidence, result, rows, yield_)


def bench(rules: Path | None = None, short: bool = False) -> list[Row]:
    """All figures. ``rules`` is the folder of the rule book to measure with; None leaves its rows out.

    Args:
        short: only those of the shipped book.
    """
    rows = [] if short else [*_words(10), *_words(20), *_tenfold()]
    if rules is not None:
        rows += _shipped(load_book(rules))
    return rows
