"""Plain data -> YAML text that our own reader reads back unchanged."""

from __future__ import annotations

import math
import re
from typing import Any

import yaml

from diag.support.text import clean

# Quote whatever starts like a number, and the words that some reader takes for a flag or for nothing.
_QUOTE = re.compile(r"[-+.]?[\d.]|(?i:yes|no|on|off|true|false|y|n|null|~|=|<<)\Z|\s|\Z")


def _plain(data: Any, depth: int = 0) -> Any:
    """A copy made of dict, list, str, bool, int, float and None only, with fit text."""
    if depth > 40:
        raise ValueError("data nested too deep for a YAML file")
    if isinstance(data, str):
        return clean(data, max(len(data), 1))
    if data is None or isinstance(data, bool | int):
        return data
    if isinstance(data, float):
        if not math.isfinite(data):
            raise ValueError("a number that is not finite cannot be written")
        return data
    if isinstance(data, dict):
        return {_plain(str(key)): _plain(value, depth + 1) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [_plain(value, depth + 1) for value in data]
    raise ValueError(f"{type(data).__name__} cannot be written as YAML")


def _text(dumper: Any, text: str) -> Any:
    if "\n" in text and _block_safe(text):
        return dumper.represent_scalar("tag:yaml.org,2002:str", text, style="|")
    style = '"' if _QUOTE.match(text) or "\n" in text or "\t" in text else None
    return dumper.represent_scalar("tag:yaml.org,2002:str", text, style=style)


def _block_safe(text: str) -> bool:
    """Whether a block text keeps every blank: none at line starts or ends, no tabs, no empty first line."""
    return "\t" not in text and all(line == line.strip() for line in text.split("\n")) and bool(text.split("\n")[0])


def _flag(dumper: Any, value: bool) -> Any:
    return dumper.represent_scalar("tag:yaml.org,2002:bool", "yes" if value else "no")


def _number(dumper: Any, value: float) -> Any:
    text = repr(value)
    if "." not in text and "e" in text:
        text = text.replace("e", ".0e")  # 1e-05 is a text to YAML 1.1
    return dumper.represent_scalar("tag:yaml.org,2002:float", text)


def _make(base: Any) -> Any:
    class Dumper(base):  # type: ignore[misc]
        def ignore_aliases(self, data: Any) -> bool:
            return True

    Dumper.add_representer(str, _text)
    Dumper.add_representer(bool, _flag)
    Dumper.add_representer(float, _number)
    return Dumper


_Pure = _make(yaml.SafeDumper)
_Fast = _make(getattr(yaml, "CSafeDumper", yaml.SafeDumper))


def dump(data: Any, *, pure: bool = False) -> str:
    """See ``diag.support.yaml.reader.dump_yaml``."""
    text = yaml.dump(
        _plain(data),
        Dumper=_Pure if pure else _Fast,
        sort_keys=False,
        allow_unicode=True,
        default_flow_style=False,
        width=110,
        indent=2,
    )
    return str(text).removesuffix("...\n")
