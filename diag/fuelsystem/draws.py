"""Imagined cars: one column of values per parameter, spread over what this car may be.

Each column is stratified (one value in each of n equal slices of probability) and shuffled by a stream that depends
on nothing but the parameter's name and the stretch of the job in which it was last drawn. So a new parameter or cause
moves no old case, and readings before and after an action share all that the action did not touch.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from diag.fuelsystem.car import Car
from diag.fuelsystem.priors import Drawer

Array = NDArray[np.float64]


@lru_cache(maxsize=512)  # some 16 MB
def uniform_column(name: str, n: int, epoch: int = 0) -> Array:
    """``n`` stratified numbers in (0, 1), shuffled; the same for the same name, n and epoch, on every machine."""
    seed = int.from_bytes(hashlib.sha256(f"{name}|{epoch}".encode()).digest()[:8], "little")
    stream = np.random.Generator(np.random.PCG64(seed))
    column = (stream.permutation(n) + stream.uniform(0.02, 0.98, n)) / n
    column.setflags(write=False)
    return column


def last_redrawn(name: str, redraws: Sequence[frozenset[str]]) -> int:
    """The last epoch that drew this parameter anew; 0 when none did."""
    return max((i for i, names in enumerate(redraws) if i and name in names), default=0)


def draw(car: Car, n: int, redraws: Sequence[frozenset[str]] = (frozenset(),)) -> dict[str, Array]:
    """Healthy parameter values of this car in the last of the given epochs, every parameter as an array of n.

    Args:
        car: what is known; a known field gets a small tolerance, an unknown one its documented prior.
        n: number of imagined cars.
        redraws: per epoch the parameters that it drew anew; the first epoch changes nothing.
    """

    def column(name: str) -> Array:
        return uniform_column(name, n, last_redrawn(name, redraws))

    return Drawer(car, n, column, lambda name: last_redrawn(name, redraws)).all()


def healthy_middle(car: Car) -> Mapping[str, float]:
    """One car in the middle of everything: every parameter at its median."""
    return {name: float(v[0]) for name, v in Drawer(car, 1, lambda _: np.full(1, 0.5), lambda _: 0).all().items()}
