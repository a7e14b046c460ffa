"""What the rule book needs to know of the fuel-system model: its names, and the kinds of their values."""

from __future__ import annotations

from collections.abc import Mapping

from diag.fuelsystem.fields import FIELDS
from diag.fuelsystem.parameters import PARAMETERS as _PARAMETERS
from diag.fuelsystem.points import CHOICES, NUMBERS
from diag.fuelsystem.running import KINDS as _RUNNING_KINDS
from diag.fuelsystem.solve import QUANTITIES as _QUANTITIES

PARAMETERS: Mapping[str, str] = {name: p.unit_kind for name, p in _PARAMETERS.items()}
ENGINE_KINDS: Mapping[str, str] = {**_RUNNING_KINDS, "injector pressure difference": "pressure"}
QUANTITIES: frozenset[str] = frozenset(_QUANTITIES)
CAR_FIELDS: Mapping[str, tuple[str, ...]] = {name: tuple(f.choices or ()) for name, f in FIELDS.items()}
CAR_KINDS: Mapping[str, str] = {name: f.kind for name, f in FIELDS.items()}

# Setting of a point -> the words it may take; settings that take a number stand in SETTING_KINDS.
SETTINGS: Mapping[str, tuple[str, ...]] = {**CHOICES, **dict.fromkeys(NUMBERS, ())}
SETTING_KINDS: Mapping[str, str] = NUMBERS
