"""Figures of merit on made logs whose truth is known, and beside a general-purpose dataframe library."""

from __future__ import annotations

import math
import resource
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from diag.datalog import channels as c
from diag.datalog.analysis import analysed
from diag.datalog.log import read_log
from diag.datalog.robust import Estimate
from tests import ROOT
from tests.datalog.making import PSI, made, read
from tests.datalog.simulated import Made, MadeLog, as_text, made_log, varied

LOGS = 200


def still(log: MadeLog) -> np.ndarray:
    """Moments in which neither engine speed nor manifold moves quickly, by the made truth, not by the analysis."""
    rate = log.truth.rate
    quiet = np.abs(np.gradient(log.manifold)) * rate < 0.6
    quiet &= np.abs(np.gradient(log.columns["RPM"])) * rate < 250.0
    settled = quiet & log.running
    for back in range(1, int(0.6 * rate) + 1):
        settled[back:] &= quiet[:-back]
    return settled


def true_line(log: MadeLog) -> tuple[float, float]:
    """The library's robust line through the noise-free law, at manifold pressures spread evenly over the run."""
    x, y = log.manifold[still(log)], log.static[still(log)]
    bins = np.floor(x / 0.435).astype(int)
    picks = [np.flatnonzero(bins == b) for b in np.unique(bins)]
    at = np.concatenate([p[:: max(1, len(p) // 8)] for p in picks])
    line = stats.theilslopes(y[at], x[at], method="joint")
    return float(line.slope), float(line.intercept)


def near_share(hits: int, trials: int, share: float) -> bool:
    """Whether so many hits are within three standard errors of a share."""
    return abs(hits / trials - share) <= 3.0 * math.sqrt(share * (1.0 - share) / trials)


@pytest.mark.slow
def test_slope_and_base_are_right_in_nearly_all_logs(tmp_path: Path) -> None:
    """Within 0.02 and 1 psi of the truth in at least 95 of 100 logs, with everything that disturbs at once."""
    good = 0
    for seed in range(LOGS):
        log, found = made(tmp_path, varied(seed))
        slope, base = true_line(log)
        if found.follow is None:
            continue
        line = found.follow.line
        good += abs(line.slope.value - slope) <= 0.02 and abs(line.at_zero.value / PSI - base) <= 1.0
    assert good >= 0.95 * LOGS


@pytest.mark.slow
def test_intervals_hold_the_truth_as_often_as_they_say(tmp_path: Path) -> None:
    """95 % intervals of slope and base, where the law is a straight line so that there is one truth."""
    slopes, bases = 0, 0
    for seed in range(LOGS):
        truth = replace(varied(1000 + seed), droop=0.0)
        _, found = made(tmp_path, truth)
        assert found.follow is not None
        line = found.follow.line
        slopes += line.slope.low <= truth.slope <= line.slope.high
        bases += line.at_zero.low <= truth.base * PSI <= line.at_zero.high
    assert near_share(slopes, LOGS, 0.95), slopes
    assert near_share(bases, LOGS, 0.95), bases


def test_shuffled_columns_say_the_same(tmp_path: Path) -> None:
    """The order of columns is luck; nothing may hang on it."""
    log = made_log(Made(minutes=2.0, off=50.0))
    rng = np.random.default_rng(5)
    first = analysed(read(tmp_path, as_text(log.columns)))
    for _ in range(4):
        order = [str(name) for name in rng.permutation(list(log.columns))]
        again = analysed(read(tmp_path, as_text(log.columns, order=order)))
        assert again.follow is not None
        assert first.follow is not None
        assert again.follow.line == first.follow.line
        assert again.levels == first.levels
        assert (again.phases.code == first.phases.code).all()
        assert again.lag == first.lag
        assert again.loss is not None
        assert first.loss is not None
        assert again.loss.fall == first.loss.fall


@pytest.fixture(scope="module")
def million(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A log of a million rows of eight columns."""
    log = made_log(Made(rate=200.0, minutes=84.0))
    columns = {name: values[:1_000_000] for name, values in log.columns.items()}
    assert len(columns["RPM"]) == 1_000_000
    path = tmp_path_factory.mktemp("long") / "million.csv"
    path.write_text(as_text(columns))
    return path


@pytest.mark.slow
def test_a_million_rows_in_ten_seconds_and_half_a_gigabyte(million: Path) -> None:
    """Time and memory of a process of its own; the time is that of the processor, whoever else is working."""
    code = (
        "import sys, time, resource\nfrom pathlib import Path\n"
        "from diag.datalog.log import read_log\nfrom diag.datalog.analysis import analysed\n"
        "begun = time.process_time()\nfound = analysed(read_log(Path(sys.argv[1])))\n"
        "print(time.process_time() - begun, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024, found.log.read)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(million)], capture_output=True, text=True, check=True, cwd=ROOT
    )
    seconds, megabytes, rows = (float(word) for word in done.stdout.split())
    assert rows == 1_000_000
    assert seconds <= 10.0
    assert megabytes <= 500.0


@pytest.mark.slow
def test_beside_a_dataframe_library(million: Path) -> None:
    """The same reading and the same line by a general-purpose library: the same answer, in comparable time."""
    pandas = pytest.importorskip("pandas", reason="the dataframe library is a test extra and is not installed")
    begun = time.process_time()
    table = pandas.read_csv(million)
    running = table[(table["RPM"] > 450) & (table["Fuel Pressure (psi)"].between(5, 140))]
    manifold = (running["MAP (kPa)"] - table.loc[table["RPM"] == 0, "MAP (kPa)"].median()) * 1000.0 / PSI
    bins = (manifold / 0.435).round()
    middle = running["Fuel Pressure (psi)"].groupby(bins).median()
    theirs = stats.theilslopes(middle.to_numpy(), (middle.index * 0.435).to_numpy(), method="joint")
    their_time = time.process_time() - begun
    begun = time.process_time()
    log = read_log(million)
    our_time = time.process_time() - begun
    found = analysed(log)
    assert found.follow is not None
    assert found.follow.line.slope.value == pytest.approx(theirs.slope, abs=0.02)
    assert found.follow.line.at_zero.value / PSI == pytest.approx(theirs.intercept, abs=0.5)
    ours = log.values[c.RAIL] / PSI
    assert np.nanmedian(ours) == pytest.approx(table["Fuel Pressure (psi)"].median(), abs=1e-3)
    print(f"\nreading: ours {our_time:.1f} s, theirs with its line {their_time:.1f} s")
    assert our_time < 12.0 * max(their_time, 0.3)
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss > 0


def test_an_interval_is_two_standard_errors_wide() -> None:
    """97.5 % quantile of the normal distribution, from the statistics library."""
    one = Estimate(10.0, 2.0)
    assert one.high == pytest.approx(10.0 + 2.0 * stats.norm.ppf(0.975), abs=1e-5)
    assert one.low == pytest.approx(10.0 - 2.0 * stats.norm.ppf(0.975), abs=1e-5)


@pytest.mark.slow
def test_the_other_intervals_hold_as_often_as_they_say(tmp_path: Path) -> None:
    """Prime, idle, fall with flow, drift, per volt and hysteresis, each against what was made."""
    hits: dict[str, list[bool]] = {}

    def mark(name: str, one: Estimate | None, truth: float) -> None:
        if one is not None and math.isfinite(one.value):
            hits.setdefault(name, []).append(bool(one.low <= truth <= one.high))

    for seed in range(90):
        kind = seed % 3
        truth = replace(varied(3000 + seed), droop=0.0, slope=1.0, minutes=5.0, fade=2.0 * (kind == 1),
                        volts_effect=2.0 * (kind == 2), volts_fall=1.2 * (kind == 2))  # fmt: skip
        log, found = made(tmp_path, truth)
        whole = float(log.columns["Time (s)"][-1])
        if found.primes:
            mark("prime", found.primes[0].level, truth.base * PSI)
        if kind == 0:
            idle = found.levels.get("idle")
            mark("idle", idle.rail if idle else None, (truth.base + truth.idle_kpa / PSI * 1000.0) * PSI)
            mark("flow", found.loss.fall if found.loss else None, 0.0)
            mark("hysteresis", found.lag.hysteresis if found.lag else None, 0.0)
        if kind == 1:
            mark("drift", found.drift, -2.0 * PSI * 600.0 / whole)
        if kind == 2:
            mark("volts", found.volts.slope if found.volts else None, 2.0 * PSI)
    assert set(hits) == {"prime", "idle", "flow", "hysteresis", "drift", "volts"}
    for name, found_in in hits.items():
        least = 0.95 - 3.0 * math.sqrt(0.95 * 0.05 / len(found_in))
        assert len(found_in) >= 20, name
        assert sum(found_in) / len(found_in) >= least, (name, found_in)
