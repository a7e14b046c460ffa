"""The JSON Schema (draft-07) of a rule file, made from the same field tables that validate it.

Editors use it for completion and squiggles; ``rules/schema.json`` is this module's output:
``python -m diag.rulebook.schema > rules/schema.json``.
"""

from __future__ import annotations

import json
import sys
from typing import Any

from diag.rulebook.desk import ID_PATTERN
from diag.rulebook.knobs import TABLE, KnobTable
from diag.rulebook.load import FORMAT
from diag.rulebook.shapes import fields_schema
from diag.rulebook.shared import shared_schema
from diag.rulebook.tables import SECTIONS, TERM, WORD_LISTS


def rule_schema() -> dict[str, Any]:
    """The whole schema as plain data."""
    properties: dict[str, Any] = {
        section: {"type": "array", "items": {"$ref": f"#/definitions/{key}"}} for section, (key, _) in SECTIONS.items()
    }
    words = {"type": "string", "minLength": 1, "maxLength": 120}
    for name in WORD_LISTS:
        names = {"pattern": f"^{ID_PATTERN}$"}
        properties[name] = {"type": "object", "propertyNames": names, "additionalProperties": words}
    properties["format"] = {"const": FORMAT}
    properties["version"] = {"type": "string"}
    properties["knobs"] = KnobTable().schema()
    properties |= shared_schema()
    properties["unprinted"] = {"type": "array", "items": {"type": "string", "pattern": "^[0-9a-f]{16}$"}}
    properties["vocabulary"] = {"type": "array", "items": fields_schema(TERM)}
    definitions: dict[str, Any] = {key: fields_schema(fields) for key, fields in SECTIONS.values()}
    definitions["chance"] = _probability("strengths")
    definitions["share"] = _probability("frequency_words")
    return {
        "$schema": "http://json-schema.org/draft-07/schema#",
        "title": "A file of the rule book",
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
        "definitions": definitions,
    }


def _probability(words: str) -> dict[str, Any]:
    number = {"type": "number", "exclusiveMinimum": 0, "exclusiveMaximum": 1}
    return {"anyOf": [number, {"enum": list(TABLE[words][2])}]}


def schema_text() -> str:
    """The text of ``rules/schema.json``."""
    return json.dumps(rule_schema(), indent=1, sort_keys=True) + "\n"


if __name__ == "__main__":
    sys.stdout.write(schema_text())
