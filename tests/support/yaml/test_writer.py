from __future__ import annotations

import math

import pytest
import yaml

from diag.support.yaml.reader import as_map, as_number, as_text, dump_yaml, read_yaml

CASE = {
    "format": 1,
    "title": "Wren: pressure will not come down",
    "entries": [{"number": 1, "text": "about 40 psi #2", "sure": True, "value": 275790.3}, {"answer": "yes"}],
    "note": "first line\nsecond line\n",
    "tools": (),
}


def test_block_style_in_the_order_given() -> None:
    """The text reads like a file somebody wrote: block style, keys in order, no tags, no anchors."""
    assert dump_yaml(CASE) == (
        "format: 1\n"
        "title: 'Wren: pressure will not come down'\n"
        "entries:\n"
        "- number: 1\n"
        "  text: 'about 40 psi #2'\n"
        "  sure: yes\n"
        "  value: 275790.3\n"
        '- answer: "yes"\n'
        "note: |\n"
        "  first line\n"
        "  second line\n"
        "tools: []\n"
    )
    assert dump_yaml(CASE) == dump_yaml(CASE, pure=True)


def test_the_yaml_library_reads_the_same_data() -> None:
    """PyYAML's safe_load, a YAML 1.1 reader, gets the very data back, texts as texts and flags as flags."""
    assert yaml.safe_load(dump_yaml(CASE)) == {**CASE, "tools": []}


@pytest.mark.parametrize(
    "text", ["yes", "1:30", "010", "1e-3", "2024-01-01", "~", ".5", "-6", "0x1F", "null", "=", "0o10"]
)
def test_surprising_texts_are_quoted(text: str) -> None:
    """A text that a reader could take for something else is quoted, so that as_text accepts it again."""
    assert as_text(as_map(read_yaml(dump_yaml({"a": text}), "f")).need("a")) == text
    assert yaml.safe_load(dump_yaml({"a": text})) == {"a": text}


@pytest.mark.parametrize("value", [1e-5, 1e300, 5e-324, 0.1, -3.0, 1e16, 123456789.123])
def test_numbers_keep_every_digit(value: float) -> None:
    """A float is read back as the same float, by our reader and by PyYAML."""
    text = dump_yaml({"a": value})
    assert as_number(as_map(read_yaml(text, "f")).need("a")) == value
    assert yaml.safe_load(text) == {"a": value}


def test_the_same_object_twice_makes_no_anchor() -> None:
    """Two mentions of one list are written out twice."""
    shared = ["x"]
    assert dump_yaml({"a": shared, "b": shared}) == "a:\n- x\nb:\n- x\n"


def test_control_characters_are_replaced_and_never_written() -> None:
    """What our reader would refuse is replaced, so that a case that was saved can always be opened."""
    text = dump_yaml({"a": "x\x1b[31m\u202e", "b\x07": 1})
    assert "\x1b" not in text
    assert "\\e" not in text
    assert as_text(as_map(read_yaml(text, "f")).need("a")) == "x\ufffd[31m\ufffd"


@pytest.mark.parametrize("data", [{"a": math.nan}, {"a": math.inf}, {"a": object()}, {"a": {1, 2}}])
def test_what_cannot_be_written_is_refused(data: object) -> None:
    """A number that is not finite, or an object, is a mistake of the program and says so."""
    with pytest.raises(ValueError, match="cannot be written"):
        dump_yaml(data)


def test_endless_data_is_refused() -> None:
    """A list that holds itself does not run forever."""
    loop: list[object] = []
    loop.append(loop)
    with pytest.raises(ValueError, match="too deep"):
        dump_yaml(loop)
