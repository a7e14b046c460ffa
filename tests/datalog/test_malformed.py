"""Whatever a file holds, reading it ends with a log or with one clear line, soon, and never with a guess of zero."""

from __future__ import annotations

import random
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diag.datalog.analysis import analysed
from diag.datalog.log import Wishes, read_log
from diag.datalog.told import readings_of, signs_of
from diag.datalog.wanted import gaps_of
from diag.presentation.log_pictures import log_plots, log_svgs
from diag.presentation.log_text import log_lines
from diag.support.errors import UserError
from diag.support.text import unfit
from tests.datalog.simulated import Made, as_text, made_log

TEXT = as_text(made_log(Made(minutes=0.3, off=3.0)).columns)
WAYS = 200
BAD = ["", ",", ";", '"', "\t", "\n", "\r", "\0", "nan", "1e999", "-inf", "ERR", "\x1b[31m", "=cmd()", "0x1F", "1_0",
       "é", "\ufeff", "1,5", "12:99:99", "99999999999999999999", "'", "\\", "--", "1.2.3"]  # fmt: skip


def digested(path: Path) -> bool:
    """Read and analyse; True when it was a log. Anything but a UserError is a fault."""
    try:
        log = read_log(path, {}, Wishes(rate=20.0))
    except UserError as error:
        line = error.one_line()
        assert "\n" not in line
        return False
    found = analysed(log)
    told = [*log_lines(found), *log_plots(found), *log_svgs(found).values()]
    assert all(unfit(text) is None for text in told)
    assert all(np.isfinite(one.value) and one.error > 0.0 for one in readings_of(found))
    signs_of(found)
    gaps_of(found)
    return True


@pytest.mark.slow
def test_damaged_logs(tmp_path: Path) -> None:
    """Bytes and lines of a made log, damaged again and again."""
    rng = random.Random(7)
    path = tmp_path / "run.csv"
    good = 0
    for _ in range(WAYS):
        text = TEXT
        for _ in range(rng.choice([1, 3, 30])):
            if len(text) < 400:
                break
            at = rng.randrange(len(text))
            kind = rng.random()
            if kind < 0.5:
                text = text[:at] + rng.choice(BAD) + text[at + rng.randrange(3) :]
            elif kind < 0.7:
                text = text[:at] + text[min(at + rng.randrange(400), len(text)) :]
            elif kind < 0.9:
                lines = text.split("\n")
                lines.insert(rng.randrange(len(lines)), rng.choice(lines))
                text = "\n".join(lines)
            else:
                text = text[: max(at, 200)]
        data = bytearray(text.encode("utf-8", "surrogatepass"))
        for _ in range(rng.choice([0, 0, 2])):
            data[rng.randrange(len(data))] = rng.randrange(256)
        path.write_bytes(bytes(data))
        good += digested(path)
    assert good > 0.4 * WAYS  # most damage is small, and then the log still reads


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.binary(max_size=3000))
def test_any_bytes(data: bytes, tmp_path: Path) -> None:
    """Bytes of any kind."""
    path = tmp_path / "any.csv"
    path.write_bytes(data)
    digested(path)


CELL = st.one_of(st.floats(-200, 500).map(lambda x: f"{x:.2f}"), st.sampled_from(BAD), st.text(max_size=6))


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=st.lists(st.lists(CELL, min_size=4, max_size=4), min_size=3, max_size=40))
def test_any_table(rows: list[list[str]], tmp_path: Path) -> None:
    """Tables with good headings and any cells."""
    head = "Time (s),RPM,MAP (kPa),Fuel Pressure (psi)"
    path = tmp_path / "any.csv"
    path.write_text("\n".join([head, *(",".join(row) for row in rows)]), encoding="utf-8", errors="replace")
    digested(path)


@pytest.mark.parametrize("rate", [1.0, 5.0, 1000.0])
def test_from_one_row_a_second_to_a_thousand(rate: float, tmp_path: Path) -> None:
    """The usual range of loggers."""
    path = tmp_path / "run.csv"
    made = made_log(Made(rate=rate, minutes=4.0 if rate < 10.0 else 0.5, off=10.0))
    path.write_text(as_text(made.columns))
    assert digested(path)
    found = analysed(read_log(path))
    assert found.log.step == pytest.approx(1.0 / rate, rel=0.01)
    assert found.follow is not None
    assert found.follow.line.slope.value == pytest.approx(1.0, abs=0.04)
