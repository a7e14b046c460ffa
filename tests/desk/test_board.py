"""The board: who has which call, since when, waiting for what; up to date while it is looked at."""

from __future__ import annotations

import io
import json
import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import redirect_stdout
from dataclasses import replace

import pytest

from diag.casework.entries import Case, HandedOver, Outcome, StatusSet
from diag.support.errors import HeldElsewhereError, UserError
from tests.casework.cases import T
from tests.casework.test_store import empty_case, noted
from tests.desk.postgres import Cable, Postgres

pytest.importorskip("psycopg")

from diag.desk.board import Call, Watch, calls_now, give, in_order, take_next
from diag.desk.server import ServerStore
from diag.presentation.board_words import age_words, change_words, count_words, row_words
from diag.ui.cli.main import main
from diag.ui.tui.team_board import BoardApp

Desk = Callable[..., ServerStore]


def on_board(store: ServerStore) -> dict[str, Call]:
    """The board by name."""
    return {call.id: call for call in store.link.run(calls_now).values()}


def with_entry(case: Case, entry: object) -> Case:
    """The case with one more entry."""
    return replace(case, entries=(*case.entries, replace(entry, number=len(case.entries) + 1)))  # type: ignore[type-var]


def test_the_board_says_who_has_what_and_what_it_waits_for(desk: Desk) -> None:
    """Worked on, handed over, nobody has it, waiting for a part; closed jobs leave it."""
    mira = desk("Mira")
    held = mira.create(empty_case("wren"))
    mira.create(empty_case("otter")).close()
    with mira.create(empty_case("plover")) as waits:
        waits.save(with_entry(waits.case, StatusSet(1, T, "Mira", "waiting for part", "the filter")))
    with mira.create(empty_case("linnet")) as done:
        done.save(with_entry(done.case, Outcome(1, T, "Mira", "cured", ("a",), True)))
    give(mira, "otter", "Oskar", "pump is out", T)
    board = on_board(desk("Tilda"))
    assert {name: (call.state, call.who, call.passed_to, call.waits) for name, call in board.items()} == {
        "wren": ("worked on", "Mira", "", ""),
        "otter": ("handed over", "", "Oskar", ""),
        "plover": ("waiting", "", "", "the filter"),
    }
    assert 0.0 <= (board["wren"].held_for or 9e9) < 60.0
    assert 0.0 <= (board["otter"].passed_for or 9e9) < 60.0
    assert [call.id for call in in_order(board.values())] == ["otter", "wren", "plover"]
    assert count_words(board.values()) == "3 on the board: 1 handed over, 0 nobody has, 1 worked on, 1 waiting."
    assert row_words(board["otter"])[1:4] == ("under a minute", "for Oskar, from Mira", "somebody")
    assert mira.read("otter").whole().entries == (HandedOver(1, T, "Mira", "Oskar", "pump is out"),)
    held.close()


def test_a_call_handed_over_stays_so_until_the_next_person_answers(desk: Desk) -> None:
    """Looking at it and leaving it again does not make it nobody's; a held one is handed over by its holder only."""
    mira, oskar = desk("Mira"), desk("Oskar")
    held = mira.create(empty_case("wren"))
    with pytest.raises(HeldElsewhereError, match="Mira"):
        give(oskar, "wren", "Tilda", "", T)
    held.save(with_entry(held.case, HandedOver(1, T, "Mira", "anyone")))
    held.save(noted(held.case))  # what the program writes down when the person leaves
    held.close()
    assert on_board(mira)["wren"].passed_to == "whoever is free"
    oskar.open("wren").close()
    assert on_board(mira)["wren"].state == "handed over"
    with oskar.open("wren") as taken:
        taken.save(noted(taken.case))
    assert on_board(mira)["wren"].state == "nobody has it"
    with pytest.raises(UserError, match="Nobody was named"):
        give(mira, "wren", " ", "", T)


def test_everybody_free_takes_another_call(desk: Desk) -> None:
    """Six people ask at once for the next of six calls: nobody gets the same, longest waiting first."""
    mira = desk("Mira")
    for number in range(6):
        mira.create(empty_case(f"call-{number}")).close()
        give(mira, f"call-{number}", "Tilda" if number == 0 else "anybody", "", T)
    oskar = desk("Oskar")
    assert take_next(oskar) == "call-1"
    assert oskar.open("call-1").case == mira.read("call-1").whole()
    assert take_next(desk("tilda")) == "call-0"

    def take(number: int) -> str:
        return take_next(desk(f"Person {number}"))

    with ThreadPoolExecutor(4) as pool:
        assert sorted(pool.map(take, range(4))) == [f"call-{number}" for number in (2, 3, 4, 5)]
    with pytest.raises(UserError, match="Nothing is handed to Oskar"):
        take_next(oskar)


def test_changes_arrive_as_they_happen(desk: Desk) -> None:
    """Each change of what the board shows is told within a moment; an answer that changes nothing on it is not."""
    mira = desk("Mira")
    watch = Watch(desk("Oskar").link)
    watch.look()
    said: list[str] = []

    def hear() -> None:
        said.extend(filter(None, (change_words(*pair) for pair in watch.changes(2.0).values())))

    held = mira.create(empty_case("wren"))
    hear()
    held.save(noted(held.case))
    assert watch.changes(0.3) == {}
    held.save(with_entry(held.case, StatusSet(1, T, "Mira", "waiting for part", "the filter")))
    hear()
    held.save(with_entry(held.case, HandedOver(1, T, "Mira", "Oskar")))
    hear()
    held.close()
    hear()
    other = desk("Tilda").open("wren")
    hear()
    other.save(with_entry(other.case, StatusSet(1, T, "Tilda", "closed")))
    other.close()
    time.sleep(0.1)
    hear()
    assert [line.removeprefix("Wren: runs rich (wren): ") for line in said] == [
        "new on the board, Mira has it.", "waits for the filter.", "handed over to Oskar by Mira.",
        "Mira let go of it, for Oskar, from Mira.", "Tilda took it.", "closed.",
    ]  # fmt: skip
    watch.close()


def test_the_board_comes_back_by_itself(desk: Desk, server: Postgres, database: str) -> None:
    """With the network away it says so; once it is back, what changed meanwhile is told."""
    cable = Cable(server.port)
    watch = Watch(desk("Oskar", address=server.address(database, port=cable.port), patience=1.0).link)
    watch.look()
    cable.cut()
    assert watch.changes(1.0) == {}
    assert watch.away
    desk("Mira").create(empty_case("wren")).close()
    cable.mend()
    found = watch.changes(1.0) or watch.changes(1.0)
    assert [now.id for _, now in found.values() if now is not None] == ["wren"]
    assert watch.away == ""
    watch.close()
    cable.close()


def test_the_board_as_a_command(address: str, desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """List, filter, JSON and handing over; a folder has no board."""
    for name in ("wren", "otter"):
        desk("Mira").create(empty_case(name)).close()
    monkeypatch.setenv("DIAG_STORE", address)

    def told(*arguments: str) -> str:
        with redirect_stdout(io.StringIO()) as out:
            assert main(["board", *arguments]) == 0
        return out.getvalue()

    assert "2 on the board: 0 handed over, 2 nobody has" in told()
    told("--give", "wren", "--who", "Mira", "--note", "no gauge here")
    mine = json.loads(told("--mine", "--json", "--who", "Oskar"))["jobs"]
    assert [(job["id"], job["handed_to"], job["handed_by"]) for job in mine] == [("wren", "whoever is free", "Mira")]
    assert "\nwren " not in told("otter")
    monkeypatch.setenv("DIAG_STORE", "/tmp")
    assert main(["board"]) == 2


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(None, ""), (5.0, "under a minute"), (-3.0, "under a minute"), (725.0, "12 min"), (11_100.0, "3 h 05 min"),
     (200_000.0, "2 days")],
)  # fmt: skip
def test_ages_in_words(seconds: float | None, words: str) -> None:
    """Rounded down, as people say it."""
    assert age_words(seconds) == words


async def test_the_board_on_the_screen(desk: Desk) -> None:
    """It changes while one looks at it; handing over, searching and taking up work with keys."""
    mira = desk("Mira")
    for name in ("wren", "otter"):
        mira.create(empty_case(name)).close()
    watch = Watch(desk("Oskar").link)
    watch.look()
    app = BoardApp(desk("Oskar"), watch)
    async with app.run_test(size=(120, 30)) as pilot:
        assert [row[0] for row in app._shown] == ["otter", "wren"]
        threading.Thread(target=give, args=(mira, "wren", "Oskar", "", T)).start()
        for _ in range(100):
            await pilot.pause(0.05)
            if app._shown[0][0] == "wren":
                break
        assert app._shown[0][2] == "for Oskar, from Mira"
        await pilot.press("m")
        assert [row[0] for row in app._shown] == ["wren"]
        await pilot.press("m", "slash", *"otter", "enter")
        assert [row[0] for row in app._shown] == ["otter"]
        await pilot.press("g", *"Tilda: late", "enter")
        assert mira.read("otter").whole().entries[-1].text == "late"  # type: ignore[attr-defined]
        await pilot.press("escape", "enter")
    assert app.return_value in ("wren", "otter")
    watch.close()
