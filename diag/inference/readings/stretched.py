"""Imagined cars whose unknown sizes or range are spread wider than usual, so that every sizing cause finds some."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from diag.fuelsystem.fields import FIELD_OF
from diag.inference.fault_sets import Floats
from diag.inference.readings.damage import seed_of, within_travel

if TYPE_CHECKING:
    from diag.fuelsystem.car import Car

SIZES: dict[str, str] = {
    name: FIELD_OF[name]
    for name in (
        "pump rated flow",
        "feed bore",
        "feed length",
        "return bore",
        "return length",
        "tank return entry bore",
        "seat diameter",
        "full load demand",
        "injector flow",
        "feed wire resistance",
    )
}
"""Parameters that sizing is about, with the car field that tells them."""

RANGES: dict[str, str] = {name: FIELD_OF[name] for name in ("screw out pressure", "screw in pressure")}
"""The same for the regulator's range. Stretched in draws of their own: a range that does not reach the target makes
the seat look too small."""

STRETCHED_NAMES = frozenset({*SIZES, *RANGES, "set pressure"})  # parameters that differ in the stretched draws

STRETCH = 3.0
"""Log spread of unknown sizes in the stretched half of the pool, times the usual. People whose parts do not suit each
other have unusual parts; the usual spread would leave sizing causes without a single car to be predicted from."""

BLOCKS = 3  # times that the sizes are drawn wider; a part seldom too small still needs many different cars


def with_stretched(drawn: Mapping[str, Floats], car: Car, renewed: frozenset[str]) -> dict[str, Floats]:
    """The draws (n,), then ``BLOCKS`` times the same with unknown sizes spread wider, then once with unknown ranges so.

    From the second time on the sizes are shuffled among themselves, so that it is not the same cars again. Gives
    (blocks, n) for what differs between the blocks, (1, n) for what is the same in all of them.
    """

    def stretched(names: Mapping[str, str]) -> dict[str, Floats]:
        result = dict(drawn)
        for name, told in names.items():
            if name in drawn and told not in car.values and name not in renewed:
                middle = float(np.median(drawn[name]))
                if middle > 0.0:
                    result[name] = middle * (np.maximum(result[name], 1e-12) / middle) ** STRETCH
        return result

    count = len(next(iter(drawn.values())))
    sizes, ranges = stretched(SIZES), within_travel(stretched(RANGES))

    def shuffled(name: str) -> list[Floats]:
        if name not in SIZES:
            return [sizes[name]] * BLOCKS
        rng = np.random.default_rng(seed_of("stretched", name))
        return [sizes[name], *(sizes[name][rng.permutation(count)] for _ in range(BLOCKS - 1))]

    return {
        name: np.stack([values, *shuffled(name), ranges[name]]) if name in STRETCHED_NAMES else values[None]
        for name, values in drawn.items()
    }
