"""Hostile text in every place a person or a file can fill: it is shown as text and does nothing."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.ui.test_nothing_lost import note_of, to_the_job
from tests.ui.tui.control_bytes import control_bytes
from tests.ui.tui.stage import Stage, stage
from tests.ui.tui.test_terminal import Terminal, work

pytestmark = pytest.mark.slow  # several seconds: whole jobs, screens or processes

HOSTILE = (
    "\x1b]0;owned\x07\x1b[2J\x1b[H",
    "\x9b31m\x9d0;x\x9c",
    "[/] [@click=app.action_leave]press[/] [link='",
    "\u202egnol si siht\u202c \u2066x\u2069",
    "e\u0301\u0308" * 40 + "🚗👩‍🔧" * 20,
    "x" * 400,
    "\\[bold] {{7*7}} <script>alert(1)</script> $(id) :warning:",
)
UNSAFE = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\u200b-\u200f]")


def harmless(on: Stage) -> None:
    """Nothing on the screen can steer a terminal, and no line is wider than it."""
    found = UNSAFE.search(on.text)
    assert found is None, f"{found.group()!r} reached the screen"


@pytest.mark.parametrize("text", HOSTILE)
async def test_hostile_titles_notes_names_and_values_are_only_text(tmp_path: Path, text: str) -> None:
    """Job title, note, search words, a value, the next person: none of them acts, all of them stay readable."""
    async with stage(tmp_path, title=f"Wren {text}") as on:
        harmless(on)
        if "Understood as" in on.text:  # some of it sounds like a complaint to the listener
            await on.press("escape")
        await on.until(lambda: bool(on.app.screen.query("#words")), "the line for the complaint")
        words = on.app.screen.query_one("#words")
        words.value = text  # type: ignore[attr-defined]
        await on.settle()
        harmless(on)
        await on.press("escape")
        on.job.note(text)
        on.job.answer_sign("fuel-at-joint", "no", text=text, place_seen=text)
        on.job.hand_over(text)
        on.work.renew("x")
        await on.settle()
        harmless(on)
        await on.press("a")
        harmless(on)
        assert len(on.app.screen_stack) == 4, "a click or key was acted on"
        await on.press("escape", "j")
        harmless(on)
        await on.press("escape", "g")
        harmless(on)
        await on.press("escape", "f")
        harmless(on)
        await on.press("escape", "q")
        harmless(on)


PLANTED = ("\x1b]52;c;eA==\x07", "\x1bP1$r0m\x1b\\", "\x9b5i", "\x1b[6n", "\x1b[5i", "\x0e\x08\x7f", "\u202egnol")


def test_no_control_byte_of_a_name_or_text_reaches_a_real_terminal(tmp_path: Path) -> None:
    """Title, file name and note bring sequences that no screen writes by itself; all bytes of the session are read."""
    for at, planted in enumerate(PLANTED):
        (tmp_path / f"wren-{at}{planted.replace('/', '')}.yaml").write_text("case: [\n", encoding="utf-8")
    (tmp_path / "2026-11-25-otter-aaaa.yaml").write_text("case: [\x1b]52;c;eA==\x07\n", encoding="utf-8")
    terminal = Terminal(work(tmp_path, "--new", f"Wren {''.join(PLANTED)}"))
    try:
        to_the_job(terminal)
        note_of(terminal, f"\x1b[200~seen {''.join(PLANTED)}\x1b[201~", 1)
        terminal.send("j")
        terminal.until(lambda s: "DAMAGED" in s, "the list of jobs")
        terminal.send("q")
        terminal._read(0.3)
    finally:
        terminal.close()
    assert control_bytes(terminal.seen) == []
    assert all(control_bytes(planted) for planted in PLANTED), "the parser would not see what was planted"


async def test_a_paste_with_escapes_is_cleaned_before_it_is_shown(tmp_path: Path) -> None:
    """A pasted control sequence becomes a sign that shows."""
    from textual.events import Paste

    async with stage(tmp_path) as on:
        await on.press("n")
        on.app.screen.query_one("#line").post_message(Paste("Wren\x1b]0;owned\x07 [bold]"))
        await on.settle()
        harmless(on)
        assert "Wren\ufffd]0;owned" in on.text
        assert "[bold]" in on.text


async def test_a_damaged_file_in_the_folder_is_named_and_harms_nothing(tmp_path: Path) -> None:
    """A broken case file stands in the list as damaged; opening it says one line."""
    (tmp_path / "2026-11-25-otter-aaaa.yaml").write_text("case: [\x1b\n", encoding="utf-8")
    async with stage(tmp_path) as on:
        assert "DAMAGED" in on.text
        harmless(on)
        await on.press("enter")
        harmless(on)
        assert "otter" in on.flat


async def test_the_readable_part_of_a_damaged_job_can_be_gone_on_with(tmp_path: Path) -> None:
    """What is wrong is named; the readable entries are taken on request and the file as found stays."""
    async with stage(tmp_path, title="Wren") as on:
        await on.press("escape", "n", "n")
        file = on.app.store.path(on.job.case.id)
        await on.press("q")
    text = file.read_text()
    file.write_text(text.replace("answer: absent", "answer: {absent: yes}", 1))
    async with stage(tmp_path) as on:
        await on.press("enter")
        assert "This job's file is damaged" in on.text
        harmless(on)
        await on.press("2")
        assert on.work.job.case.id == file.stem
        assert len(list(tmp_path.glob("*.found-1"))) == 1
        assert len(on.work.job.case.effective()) == 1


async def test_a_full_disk_is_said_at_once_and_the_answer_is_kept(tmp_path: Path) -> None:
    """The answer stays on the screen, the head says NOT ON DISK, and the next answer tries again."""
    async with stage(tmp_path, title="Wren") as on:
        await on.press("escape")
        folder = on.app.store.path(on.job.case.id)
        aside = folder.rename(folder.with_suffix(".aside"))
        folder.mkdir()
        await on.press("n")
        assert "NOT ON DISK" in on.text
        assert len(on.job.case.effective()) == 1
        folder.rmdir()
        aside.rename(folder)
        await on.press("n")
        assert "NOT ON DISK" not in on.text
        assert len(on.job.case.effective()) == 2
