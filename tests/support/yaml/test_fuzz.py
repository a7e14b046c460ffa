"""Nothing but SourceError may escape the reader, and what it reads is what the YAML library reads."""

from __future__ import annotations

import time
from typing import Any

import yaml
from hypothesis import given
from hypothesis import strategies as st

from diag.support.errors import SourceError
from diag.support.text import clean
from diag.support.yaml.reader import dump_yaml, read_yaml, to_plain
from tests.support.fuzzing import examples

YAMLISH = st.text(alphabet="ab01:-[]{}#&*!|>'\"%@`,? \n\t\\eux~<=._", max_size=60)
ANYTHING = st.text(alphabet=st.characters(exclude_categories=()), max_size=60)
SEED = """causes:
  - cause: wet  # why
    shows: {a: usually, b: [1, 2.5]}
    words: >-
      some text
      goes on
    "quoted": 'it''s'
    esc: "a\\tb\\u00e9"
"""


def both_ways(text: str) -> tuple[Any, Any]:
    results: list[Any] = []
    lines: list[str] = []
    for pure in (False, True):
        start = time.process_time()
        try:
            results.append(to_plain(read_yaml(text, "f", pure=pure)))
        except SourceError as error:
            lines.append(error.one_line())
            results.append(SourceError)
        assert time.process_time() - start < 1.0
    assert all(line.startswith("f") and "\n" not in line for line in lines)
    return results[0], results[1]


@given(YAMLISH)
@examples(400)
def test_yaml_like_text(text: str) -> None:
    """Random text from YAML's own signs: only SourceError, and what both parsers accept they read alike."""
    fast, pure = both_ways(text)
    if SourceError not in (fast, pure):
        assert fast == pure


@given(ANYTHING)
@examples(200)
def test_any_text(text: str) -> None:
    """Any characters at all, lone surrogates included: only SourceError."""
    both_ways(text)


@given(st.data())
@examples(300)
def test_mutations_of_a_good_file(data: st.DataObject) -> None:
    """A good file with a few characters changed: only SourceError; accepted, it equals what BaseLoader reads."""
    text = SEED
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text)))
        width = data.draw(st.integers(0, 3))
        text = text[:at] + data.draw(st.text(alphabet="a:-[]{}#&*!|>'\"\n ,?\\", max_size=2)) + text[at + width :]
    loaders = (getattr(yaml, "CBaseLoader", yaml.BaseLoader), yaml.BaseLoader)  # they make strings only
    for ours, loader in zip(both_ways(text), loaders, strict=True):
        if ours is not SourceError:
            wanted = yaml.load(text, loader)
            assert ours == (wanted if wanted is not None else {})


WORDS = st.one_of(
    st.text(max_size=40),
    st.sampled_from(
        ["yes", "no", "on", "1:30", "010", "1e-3", "2024-01-01", "~", "null", "", " x ", "a #b", "- a", "a: b"]
    ),
    st.sampled_from(
        ["line\nline\n", "\n", " \n a", "a\n\n b \n", "tab\tx", "'", '"', "%x", "@", "`", "x\\", "é日", "=", "<<"]
    ),
)
PLAIN = st.recursive(
    st.one_of(WORDS, st.integers(-(10**12), 10**12), st.floats(allow_nan=False, allow_infinity=False), st.booleans()),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(WORDS, inner, max_size=4),
    max_leaves=12,
)


def expected(value: Any) -> Any:
    """What the reader makes of a value: strings, cleaned; numbers compared as numbers by the caller."""
    if isinstance(value, str):
        return clean(value, max(len(value), 1))
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict):
        return {expected(key): expected(item) for key, item in value.items()}
    if isinstance(value, list):
        return [expected(item) for item in value]
    return value


def same(read: Any, wanted: Any) -> bool:
    if isinstance(wanted, dict):
        return list(read) == list(wanted) and all(same(read[key], wanted[key]) for key in wanted)
    if isinstance(wanted, list):
        return len(read) == len(wanted) and all(map(same, read, wanted))
    if isinstance(wanted, int | float):
        return float(read) == float(wanted)
    return bool(read == wanted)


@given(st.dictionaries(WORDS, PLAIN, max_size=4), st.booleans(), st.booleans())
@examples(300)
def test_what_is_written_is_read_back(data: dict[str, Any], pure_write: bool, pure_read: bool) -> None:
    """Any plain data survives writing and reading, with either parser on either side, keys in order."""
    wanted = expected(data)
    if len(wanted) != len(data):
        return  # two keys became one by cleaning; callers clean first
    text = dump_yaml(data, pure=pure_write)
    assert same(to_plain(read_yaml(text, "f", pure=pure_read)), wanted)
