"""A job as JSON for other programs. Fields are only ever added; removing or changing one raises
``schema``. ``SCHEMA`` describes them; readers must pass over fields they do not know.
"""

from __future__ import annotations

import json
import math
from dataclasses import asdict
from typing import Any

from diag.presentation.report.sheet import Sheet

SCHEMA_VERSION = 1


def _object(fields: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"type": "object", "properties": fields, "required": list(fields), **more}


def _list(item: dict[str, Any]) -> dict[str, Any]:
    return {"type": "array", "items": item}


_TEXT: dict[str, Any] = {"type": "string"}
_NUMBER: dict[str, Any] = {"type": "number"}
_WHOLE: dict[str, Any] = {"type": "integer"}
_FLAG: dict[str, Any] = {"type": "boolean"}
_SHARE: dict[str, Any] = {"type": ["number", "null"], "minimum": 0, "maximum": 1}
_LINE = _object({"label": _TEXT, "text": _TEXT})
_RANKED = _object({"id": _TEXT, "title": _TEXT, "chance": _SHARE, "in_words": _TEXT, "area": _TEXT})
_WORK = _object(
    {"id": _TEXT, "title": _TEXT, "steps": _list(_TEXT), "parts": _list(_TEXT), "minutes": _NUMBER,
     "cautions": _list(_LINE), "done": _FLAG, "decided": _FLAG}
)  # fmt: skip
_DOT = _object(
    {"number": _WHOLE, "label": _TEXT, "manifold": _NUMBER, "rail": _NUMBER, "low": _NUMBER, "high": _NUMBER,
     "bound": {"enum": ["", "above", "below"]}, "assumed": _FLAG, "after": _FLAG}
)  # fmt: skip

SCHEMA: dict[str, Any] = _object(
    {
        "schema": {"const": SCHEMA_VERSION, "description": "Version of this layout."},
        "id": {**_TEXT, "description": "The case's name."},
        "title": _TEXT,
        "opened": {**_TEXT, "description": "ISO 8601 time, UTC."},
        "changed": {**_TEXT, "description": "Time of the last entry, ISO 8601, UTC."},
        "status": {"enum": ["open", "waiting for part", "closed"]},
        "people": _list(_TEXT),
        "book": {**_TEXT, "description": "Version and fingerprint of the rule book used now."},
        "car": {**_list(_LINE), "description": "What is known about the car, as typed."},
        "complaint": {**_list(_TEXT), "description": "Symptoms told as present."},
        "log": {
            **_list(
                _object(
                    {"number": _WHOLE, "at": _TEXT, "who": _TEXT, "kind": _TEXT, "text": _TEXT,
                     "state": {"enum": ["", "taken back", "corrected"]}, "by": _WHOLE, "weight": _TEXT}
                )
            ),
            "description": "Every entry in words, the ones taken back included.",
        },
        "ranking": {**_list(_RANKED), "description": "Likeliest first; ids nothing-wrong and not-in-book are exits."},
        "course": {
            **_list(_object({"entry": _WHOLE, "label": _TEXT, "chances": {"type": "object",
                                                                        "additionalProperties": _SHARE},
                           "titles": {"type": "object", "additionalProperties": _TEXT}})),
            "description": "Chances after each entry that said something.",
        },
        "chart": {
            **_object({"dots": _list(_DOT), "target": {"type": ["number", "null"]}, "unit": _TEXT,
                       "band": _list({**_list(_NUMBER), "minItems": 3, "maxItems": 3})}),
            "description": "Rail over manifold pressure; all pressures in gauge pascals, unit is for display only. "
            "band: manifold pressure, low and high end of the rail of nine sound cars in ten like this one.",
        },
        "stops": {
            **_list(_object({"title": _TEXT, "why": _TEXT, "until": _TEXT, "do_now": _list(_TEXT)})),
            "description": "Stop rules in force now.",
        },
        "cautions": _list(_LINE),
        "remedies": _list(_WORK),
        "proof": _list(_WORK),
        "outcome": {"enum": ["", "cured", "not cured", "could not reproduce", "handed on", "normal"]},
        "outcome_causes": _list(_RANKED),
        "proven": _FLAG,
        "outcome_text": _TEXT,
        "advice": {**_list(_TEXT), "description": "The next step and why."},
        "setting": {**_list(_LINE), "description": "How the car stands: fuel outside, pressure, what is in place."},
        "part": _object({name: _list(_TEXT) for name in ("photos", "marks", "bought", "inside")}),
        "problems": _list(_TEXT),
        "surprise": _TEXT,
        "drawing": {
            "anyOf": [
                {"type": "null"},
                _object({"marks": {"type": "object", "additionalProperties": _object(
                    {"place": _TEXT, "title": _TEXT, "fitted": _TEXT, "suspected": _SHARE, "wet": _FLAG,
                     "here": _FLAG, "readings": _list(_TEXT)})}, "key": _list(_TEXT)}),
            ],
            "description": "The fuel system place by place: fitted, wet, suspected, read; and the key to it.",
        },
        "data_logs": {
            **_list(_object({"name": _TEXT, "lines": _list(_TEXT), "pictures": _list(_TEXT)})),
            "description": "Data logs named for this report: what each says, and pictures as SVG.",
        },
    },
    title="A job",
)  # fmt: skip
SCHEMA["$schema"] = "https://json-schema.org/draft/2020-12/schema"


def plain_report(sheet: Sheet) -> dict[str, Any]:
    """The report as plain data; a figure that is not known is null."""
    return {"schema": SCHEMA_VERSION} | {key: plain_value(value) for key, value in asdict(sheet).items()}


def json_report(sheet: Sheet) -> str:
    """The report as JSON text, ASCII only, keys in the documented order."""
    return json.dumps(plain_report(sheet), indent=2, allow_nan=False) + "\n"


def plain_value(value: Any) -> Any:
    """The same data as JSON can hold it; a figure that is not finite is null."""
    if isinstance(value, float) and not math.isfinite(value):
        return None
    if isinstance(value, dict):
        return {key: plain_value(part) for key, part in value.items()}
    if isinstance(value, list | tuple):
        return [plain_value(part) for part in value]
    return value
