"""Kinds of cars that do not differ at a condition are solved once, and come out like those solved one by one."""

from __future__ import annotations

import numpy as np

from diag.fuelsystem import rows
from diag.fuelsystem.car import Car
from diag.fuelsystem.draws import draw
from diag.fuelsystem.rows import _different
from diag.fuelsystem.solve import solve


def test_together_as_one_by_one() -> None:
    """A worn pump, a lost spark, a gauge before the filter and a sound car: to the last bit."""
    base = draw(Car({}), 64)
    kinds = [
        {},
        {"pump flow factor": 0.4},
        {"load spark loss": 0.3},
        {"gauge sees pump side": 1.0},
        {"hot supply": 0.0},
    ]
    names = sorted({name for kind in kinds for name in kind})
    table = {name: np.stack([np.full(64, kind.get(name, base[name])) for kind in kinds]) for name in names}
    at = {"engine": "full load", "hose": "on"}
    wanted = ("rail pressure", "mixture shown", "torque share", "pump amps")
    together = solve({**base, **table}, at, wanted, 20.0)
    for row, kind in enumerate(kinds):
        alone = solve({**base, **{n: np.full(64, v) for n, v in kind.items()}}, at, wanted, 20.0)
        for name in wanted:
            assert np.array_equal(together[name][row], alone[name]), (kind, name)


def test_only_what_differs_is_solved(monkeypatch) -> None:  # type: ignore[no-untyped-def]
    """Of five kinds two are different at full load: the worn pump and all others."""
    seen = []
    plain = rows.balance
    monkeypatch.setattr(rows, "balance", lambda c, within: seen.append(c["q0"].shape) or plain(c, within))
    base = draw(Car({}), 16)
    factor = np.stack([base["pump flow factor"]] * 5)
    factor[1] *= 0.4
    solve(
        {**base, "pump flow factor": factor, "load spark loss": np.full((5, 16), 0.2)},
        {"engine": "full load"},
        ["rail pressure"],
    )
    assert seen == [(2, 16)]


def test_rows_that_differ_in_one_number_are_apart() -> None:
    """Also when it is the last one, by a millionth."""
    table = np.ones((3, 40))
    table[1, -1] += 1e-6
    kept, place = _different([table, np.zeros((3, 40))])
    assert len(kept) == 2
    assert place[0] == place[2] != place[1]
