"""Looking back at closed jobs: how true past predictions were, and what the desk sees most."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from diag.casework.lessons import NONE, verdict_of
from diag.casework.summary import Summary
from diag.evaluation.scores import brier
from diag.inference.posterior import NOTHING_WRONG
from diag.rulebook.model import RuleBook

EDGES = (0.0, 0.01, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 1.0)
_Z = 1.959963984540054  # 97.5 % point of the normal distribution


@dataclass(frozen=True, slots=True)
class ShareBin:
    """Predictions between ``low`` and ``high``: how many, what they said on average, how often they were true.

    ``from_share`` to ``to_share`` is the Wilson 95 % interval of the true share.
    """

    low: float
    high: float
    predictions: int
    said: float
    was: float
    from_share: float
    to_share: float


@dataclass(frozen=True, slots=True)
class Calibration:
    """Past predictions against proven causes. ``brier`` sums over causes, 0 best; ``miss`` is the weighted mean gap."""

    jobs: int
    first_right: float
    brier: float
    log_loss: float
    miss: float
    bins: tuple[ShareBin, ...]


def wilson(hits: int, n: int) -> tuple[float, float]:
    """The 95 % score interval of a share (Wilson 1927); (0, 1) for no observations."""
    if n == 0:
        return 0.0, 1.0
    share, z2 = hits / n, _Z * _Z
    middle = (share + z2 / (2 * n)) / (1 + z2 / n)
    half = _Z * math.sqrt(share * (1 - share) / n + z2 / (4 * n * n)) / (1 + z2 / n)
    return max(0.0, middle - half), min(1.0, middle + half)


def prediction(job: Summary, book: RuleBook) -> Mapping[str, float]:
    """The last ranking written before any remedy was done; {} when none was written then."""
    remedies = [at for at, (step, _) in enumerate(job.steps, 1) if step in book.remedies]
    first = remedies[0] if remedies else len(job.steps) + 1
    early = [ranking for steps, ranking in job.believed if steps < first]
    return early[-1] if early else {}


def calibration(jobs: Iterable[Summary], book: RuleBook) -> Calibration:
    """Every cause of every written ranking is one prediction; true when the job proved that cause."""
    said: list[float] = []
    was: list[bool] = []
    right = used = 0
    log_loss = 0.0
    for job in jobs:
        what, _ = verdict_of(job, book.causes)
        ranking = prediction(job, book) if what else {}
        if not ranking:
            continue
        truth = {NOTHING_WRONG} if what == NONE else set(job.causes)
        used += 1
        right += max(ranking, key=lambda cause: (ranking[cause], cause)) in truth
        for cause in ranking.keys() | truth:
            chance = min(max(float(ranking.get(cause, 0.0)), 0.0), 1.0)
            said.append(chance)
            was.append(cause in truth)
        log_loss -= sum(math.log(max(ranking.get(cause, 0.0), 1e-6)) for cause in truth) / len(truth)
    bins = _bins(np.array(said), np.array(was, dtype=bool))
    total = sum(b.predictions for b in bins)
    miss = sum(b.predictions * abs(b.said - b.was) for b in bins) / total if total else math.nan
    n = used or math.nan
    squares = brier(said, was) * len(said) if said else 0.0
    return Calibration(used, right / n, squares / n, log_loss / n, miss, bins)


def _bins(said: np.ndarray, was: np.ndarray) -> tuple[ShareBin, ...]:
    if not len(said):
        return ()
    where = np.clip(np.searchsorted(EDGES, said, side="right") - 1, 0, len(EDGES) - 2)
    result = []
    for index in range(len(EDGES) - 1):
        inside = where == index
        n, hits = int(inside.sum()), int(was[inside].sum())
        if n:
            low, high = wilson(hits, n)
            result.append(ShareBin(EDGES[index], EDGES[index + 1], n, float(said[inside].mean()), hits / n, low, high))
    return tuple(result)


@dataclass(frozen=True, slots=True)
class Seen:
    """What the desk sees: counts, most frequent first. ``causes`` are those named at the outcome, proven or not."""

    jobs: int
    statuses: tuple[tuple[str, int], ...]
    results: tuple[tuple[str, int], ...]
    causes: tuple[tuple[str, int, int], ...]  # cause id, jobs that named it, of them proven
    steps: tuple[tuple[str, int, float], ...]  # step id, times done, median minutes told (nan when never told)


def seen(jobs: Iterable[Summary]) -> Seen:
    """Count everything once."""
    statuses: Counter[str] = Counter()
    results: Counter[str] = Counter()
    named: Counter[str] = Counter()
    proven: Counter[str] = Counter()
    done: Counter[str] = Counter()
    minutes: dict[str, list[float]] = defaultdict(list)
    n = 0
    for job in jobs:
        n += 1
        statuses[job.status] += 1
        if job.result:
            results[job.result] += 1
        named.update(set(job.causes))
        proven.update(set(job.causes) if job.proven else ())
        for step, took in job.steps:
            done[step] += 1
            if took is not None:
                minutes[step].append(took)
    return Seen(
        n,
        _ranked(statuses),
        _ranked(results),
        tuple((cause, times, proven[cause]) for cause, times in _ranked(named)),
        tuple((step, times, float(np.median(minutes[step])) if minutes[step] else math.nan)
              for step, times in _ranked(done)),
    )  # fmt: skip


def _ranked(counts: Counter[str]) -> tuple[tuple[str, int], ...]:
    return tuple(sorted(counts.items(), key=lambda pair: (-pair[1], pair[0])))
