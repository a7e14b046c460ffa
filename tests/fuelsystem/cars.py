"""Random cars for the tests of the fuel system, sound and broken in every way the parameters allow."""

from __future__ import annotations

import numpy as np

from diag.fuelsystem.car import Car
from diag.fuelsystem.draws import draw

FAULTS = {
    "return restriction hole": (1.5e-3, 3.5e-3),
    "feed restriction hole": (1.2e-3, 3e-3),
    "filter restriction": (3.0, 60.0),
    "pump flow factor": (0.05, 0.8),
    "pump inlet restriction": (0.6, 1.0),
    "in-tank hose leak": (1e-7, 1e-5),
    "second regulator pressure": (2e5, 4e5),
    "valve lift floor": (5e-5, 1e-3),
    "valve lift limit": (0.0, 3e-4),
    "diaphragm leak": (1e-9, 1e-7),
    "outside leak": (1e-9, 1e-6),
    "contact resistance": (0.05, 2.0),
    "pump supply": (0.0, 0.0),
    "dead end": (1.0, 1.0),
    "ports swapped": (1.0, 1.0),
    "tank vent restriction": (0.5, 1.0),
    "return check valve pressure": (2e4, 3e5),
    "reference vacuum share": (0.0, 0.9),
    "vapour at pump inlet": (0.2, 1.0),
    "pump direction": (0.2, 0.2),
    "pump relief pressure": (1e5, 3e5),
    "seat leak": (1e-8, 1e-6),
    "diaphragm friction": (5e3, 3e4),
    "return bore": (2e-3, 5e-3),
    "seat diameter": (1.5e-3, 3e-3),
    "pump duty": (0.1, 0.8),
    "feed joint resistance": (0.05, 2.0),
    "pump hot slowing": (0.2, 0.8),
}


def broken_cars(n: int, seed: int, faults: int = 1) -> dict[str, np.ndarray]:
    """``n`` cars out of the widest draws, each with up to ``faults`` parameters set to a faulty value."""
    values = {name: column.copy() for name, column in draw(Car(), n).items()}
    stream = np.random.default_rng(seed)
    names = list(FAULTS)
    for _ in range(faults):
        which = stream.integers(0, len(names) + 3, n)
        for i, name in enumerate(names):
            low, high = FAULTS[name]
            hit = which == i
            values[name][hit] = low + (high - low) * stream.random(int(hit.sum())) ** 2
    return values


SETTINGS: tuple[dict[str, str | float], ...] = (
    {"pump": "on", "engine": "off", "hose": "off"},
    {"engine": "idle", "hose": "off"},
    {"engine": "idle", "hose": "on"},
    {"engine": "off", "hose": "off", "screw": "out"},
    {"engine": "off", "hose": "off", "screw": "in"},
    {"engine": "off", "hose": "off", "return": "opened"},
    {"engine": "off", "hose": "off", "return": "pinched"},
    {"engine": "off", "hose": "hand", "reference": -67728.0},
    {"engine": "off", "hose": "hand", "reference": 68948.0},
    {"engine": "full load", "hose": "on", "boost": 1e5},
    {"engine": "cranking", "hose": "on"},
    {"engine": "idle", "hose": "off", "heat": "hot", "tank cap": "open"},
    {"engine": "off", "hose": "off", "speed": "reduced", "loads": "on"},
    {"pump": "off", "minutes": 5.0, "clamp": "feed"},
    {"pump": "off"},
)
"""Conditions that between them use every setting."""
