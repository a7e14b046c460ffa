"""What starts quickly stays quick: the decision for screens needs neither textual nor numpy."""

from __future__ import annotations

import subprocess
import sys

import pytest

from diag.ui.cli.work import prepare, screen_possible, wants_ascii


@pytest.mark.parametrize(
    ("module", "kept_out"),
    [
        ("diag.ui.cli.work", ("textual", "numpy", "rich", "yaml")),
        ("diag.ui.tui.app", ("numpy", "diag.inference", "diag.session.job")),
        ("diag.ui.tui.screens.start", ("numpy", "diag.inference", "diag.session.job")),
    ],
)
def test_a_module_loads_nothing_that_the_first_screen_need_not_wait_for(module: str, kept_out: tuple[str, ...]) -> None:
    """A fresh interpreter imports the module; the named packages are not among what came with it."""
    code = f"import sys, {module}; print(sorted(m for m in sys.modules if m in {kept_out!r}))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert done.stdout.strip() == "[]"


def test_screens_need_a_keyboard_a_terminal_and_a_cursor_that_moves() -> None:
    """Textual itself draws into pipes and on dumb terminals; the decision is ours."""
    good = {"TERM": "xterm-256color"}
    assert screen_possible(good, True, True)
    assert not screen_possible(good, False, True)
    assert not screen_possible(good, True, False)
    for term in ("", "dumb", "unknown"):
        assert not screen_possible({"TERM": term}, True, True)
    assert not screen_possible({}, True, True)


def test_an_empty_no_color_does_not_count() -> None:
    """no-color.org: the variable counts when present and not an empty string."""
    environment = {"NO_COLOR": "", "A": "b"}
    prepare(environment)
    assert environment == {"A": "b"}
    environment = {"NO_COLOR": "1"}
    prepare(environment)
    assert environment == {"NO_COLOR": "1"}


@pytest.mark.parametrize(
    ("environment", "encoding", "plain"),
    [
        ({"LANG": "C.UTF-8"}, "utf-8", False),
        ({"LANG": "C"}, "utf-8", True),
        ({"LC_ALL": "POSIX", "LANG": "de_DE.UTF-8"}, "utf-8", True),
        ({}, "utf-8", False),
        ({}, "ascii", True),
    ],
)
def test_a_terminal_without_unicode_gets_ascii(environment: dict[str, str], encoding: str, plain: bool) -> None:
    """The language setting decides, LC_ALL before LANG as POSIX says; without one the encoding does."""
    assert wants_ascii(environment, encoding) is plain
