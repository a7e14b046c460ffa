"""A mechanic's whole way through the screens: from the complaint to a proven cure, at 80 by 24 with keys only."""

from __future__ import annotations

from pathlib import Path

import pytest

from diag.casework.agenda import Task
from diag.casework.casefile import read_case
from diag.casework.entries import Outcome, ReadingTaken, SignAnswer, StepDone
from tests.ui.tui.stage import Stage, shipped_book, stage

pytestmark = pytest.mark.slow  # several seconds: whole jobs, screens or processes

REMEDY = "bigger-return"
CAR = {"pump-flow": "600", "return-bore": "6 mm", "seat-diameter": "4 mm", "target-pressure": "43.5"}


async def tell(on: Stage, words: str, answer: str = "1") -> None:
    """Tell something unasked: words, first line, answer."""
    await on.press("t")
    await on.type(words)
    await on.press("down", "enter")
    await on.press(*([answer] if answer else []))
    await on.press("escape")


async def look_over(on: Stage) -> None:
    """The look-over answered dry as far as it is asked, without the keys that another test presses."""
    task: Task | None = await on.now()
    while task is not None and task.step.startswith("look-over"):
        on.job.answer_task(task, "no")
        task = next(iter(on.job.tasks_at_once), None)
    on.work.renew()
    await on.settle()


async def answer_all_dry(on: Stage) -> None:
    """Answer the look-over dry at every place, one key each."""
    while (await on.now()).step.startswith("look-over"):
        await on.press("n")


async def choose(on: Stage, check: str) -> None:
    """Choose another check than the proposed one."""
    await on.press("escape", "o")  # out of a value's line, if there is one
    shown = on.app.screen.query_one("#list")
    shown.highlighted = shown.get_option_index(check)
    await on.press("enter")


async def do_setups(on: Stage) -> None:
    """Carry out what must be made ready first; a look-over on the way is dry."""
    for _ in range(30):
        now = await on.now()
        if now.kind == "do":
            await on.press("d")
        elif now.step.startswith("look-over"):
            await look_over(on)
        else:
            return


async def read(on: Stage, *values: str) -> None:
    """Type values one after another, each with Enter; words answer signs by key."""
    for value in values:
        await on.type(value)
        await on.press(*(["enter"] if value[0].isdigit() else []))


async def test_from_the_complaint_to_a_proven_cure(tmp_path: Path) -> None:
    """Return too small for a big pump: told, measured, ranked first, mended step by step, proven, closed, on disk."""
    book = shipped_book()
    async with stage(tmp_path, title="Wren: pressure stays high") as on:
        await on.until(lambda: "Understood as" in on.text, "what the job's name says")
        await on.press("escape")
        assert "What is the complaint?" in on.text
        await on.press("down", "enter", "escape")
        assert "Nobody has looked for wet fuel yet" in on.text
        assert (await on.now()).step == "look-over"
        await answer_all_dry(on)
        assert "STOP" not in on.text
        for field, text in (
            ("pump-flow", "600"),
            ("return-bore", "6 mm"),
            ("target-pressure", "43.5"),
        ):
            on.job.tell_car(field, text)
        on.work.renew()
        await on.settle()
        await choose(on, "adjuster-sweep")
        await do_setups(on)
        sweep = {"adjuster-coarse": "n", "screw-out": "58.4", "screw-in": "59", "adjuster-does-nothing": "y"}
        await finish_check(on, "adjuster-sweep", sweep)
        await choose(on, "open-return")
        await do_setups(on)
        await finish_check(on, "open-return", {"return-opened": "43.7"})
        ranked = on.work.state.board.ranked if on.work.state.board else ()
        assert ranked[0][0] == "return-line-too-small", ranked[:4]
        assert "Return line too small for this pump" in on.text
        on.job.choose(REMEDY)
        on.work.renew()
        await on.settle()
        await do_setups(on)
        assert (await on.now()).kind == "remedy"
        steps = book.remedies[REMEDY].steps
        assert f"{len(steps)} step" in on.flat
        await on.press(*(["space"] * len(steps)))
        assert "carried out: go on to the proof" in on.flat
        await on.press("d")
        assert any(isinstance(e, StepDone) and e.step == REMEDY for e in on.job.case.effective())
        await prove(on)
        typing = (await on.now()).kind == "reading"  # then letters belong to the value's line of the next question
        assert f"[{'Esc ' if typing else ''}f] all good: finish" in on.flat
        await on.press("escape")
        assert "[f] all good: finish" in on.flat
        await on.press("f")
        assert "To read back before closing" in on.text
        await on.press("e", "1", "1", "1")
        assert "Cured: Return line too small for this pump" in on.flat
        assert "The checks after the repair proved it." in on.flat
        name = on.job.case.id
    kept = read_case((tmp_path / f"{name}.yaml").read_text(), name).case
    assert kept is not None
    (outcome,) = [e for e in kept.effective() if isinstance(e, Outcome)]
    assert (outcome.result, outcome.causes, outcome.proven) == ("cured", ("return-line-too-small",), True)
    assert [e.text for e in kept.effective() if isinstance(e, ReadingTaken)][:2] == ["58.4", "59"]


async def finish_check(on: Stage, check: str, told: dict[str, str] | None = None) -> None:
    """Answer the rest of a check: rail pressures by their point and signs by name as told, the others as not known."""
    for _ in range(20):
        now = await on.now()
        if now.step != check:
            return
        pressure = now.kind == "reading" and now.reading == "rail pressure"
        answer = (told or {}).get(now.at if pressure else now.sign, "")
        if answer:
            await read(on, answer)
        else:
            await on.press("u", *(["enter"] if now.kind == "reading" else []))


async def prove(on: Stage) -> None:
    """Do what the proof asks for with a sound car: dry everywhere, 43.5 psi with the hose off, 34.5 with it on."""
    sound = {"pump-on-engine-off": "43.5", "idle-hose-off": "43.5", "idle-hose-on": "34.5", "screw-out": "36"}
    for _ in range(120):
        now = await on.now()
        if now.kind in ("close", "remedy", "hand on", "stop"):
            return
        if "Every check that proves" in on.flat:
            return
        if now.kind == "do":
            await on.press("d")
        elif now.kind == "reading":
            await (
                read(on, sound[now.at])
                if now.reading == "rail pressure" and now.at in sound
                else on.press("u", "enter")
            )
        else:
            choices = shipped_book().signs[now.sign].choices
            usual = max(range(len(choices)), key=lambda at: choices[at].usual) + 1 if choices else 0
            await on.press(str(usual) if usual else "n")


async def test_a_plain_answer_is_one_key_and_a_value_is_the_value_and_enter(tmp_path: Path) -> None:
    """y, n and u answer at once; a digit starts the value whole, the first digit included."""
    async with stage(tmp_path, title="Otter") as on:
        await on.press("escape", "n")
        (answer,) = [e for e in on.job.case.effective() if isinstance(e, SignAnswer)]
        assert answer.answer == "absent"
        await look_over(on)
        await choose(on, "base-pressure")
        await do_setups(on)
        await on.type("58.4 psi")
        assert "understood as 58.4 psi" in on.flat
        await on.press("enter")
        (reading,) = [e for e in on.job.case.effective() if isinstance(e, ReadingTaken)]
        assert reading.text == "58.4 psi"
        assert abs(reading.value / 6894.757 - 58.4) < 0.01


async def test_nonsense_is_refused_on_the_spot_and_nothing_happens(tmp_path: Path) -> None:
    """A length for a pressure gets one line; the typed text stays to be mended."""
    async with stage(tmp_path, title="Otter") as on:
        await on.press("escape")
        await look_over(on)
        await choose(on, "base-pressure")
        await do_setups(on)
        before = on.job.case
        await on.type("5 ft")
        assert "understood" not in on.flat
        await on.press("enter")
        assert on.job.case is before
        assert "5 ft" in on.text


async def test_a_refused_step_is_not_proposed_again_at_once(tmp_path: Path) -> None:
    """Skip, cannot and later each lead to another step."""
    async with stage(tmp_path, title="Plover") as on:
        await on.press("down", "enter", "escape")
        await look_over(on)
        for key in ("s", "l", "c"):
            refused = (await on.now()).step
            await on.press("escape", key)  # out of a value's line, where letters are no keys
            assert (await on.now()).step != refused


async def test_an_answer_marked_not_sure_is_kept_so(tmp_path: Path) -> None:
    """The mark is shown, goes into the entry, and is gone for the next answer."""
    async with stage(tmp_path, title="Plover") as on:
        await on.press("escape", "m")
        assert "marked: not sure" in on.flat
        await on.press("n", "h")
        assert "heard from somebody else" in on.flat
        await on.press("n", "n")
        told = [(e.sure, e.source) for e in on.job.case.effective() if isinstance(e, SignAnswer)]
        assert told == [("unsure", "own eyes"), ("sure", "second hand"), ("sure", "own eyes")]


async def test_not_cured_goes_back_into_the_reasoning(tmp_path: Path) -> None:
    """After a remedy the complaint told again lowers what was repaired."""
    async with stage(tmp_path, title="Teasel") as on:
        await on.press("down", "enter", "escape")
        await look_over(on)
        on.job.take_reading(
            "regulator outlet pressure", "pump-on-engine-off", "15 psi"
        )  # no line is renewed unmeasured
        on.work.renew()
        await on.settle()
        before = dict(on.work.state.board.ranked)["return-line-too-small"] if on.work.state.board else 0.0
        on.job.choose(REMEDY)
        on.work.renew()
        await on.settle()
        await do_setups(on)
        await on.press("d")
        assert "not ticked" in on.flat
        await on.press("d")
        await on.press("x")
        last = [e for e in on.job.case.effective() if isinstance(e, SignAnswer)][-1]
        assert (last.sign, last.text) == ("pressure-wont-come-down", "still there after the repair")
        board = on.work.state.board
        assert board is not None
        assert dict(board.ranked)["return-line-too-small"] < before
