"""Nothing is lost, doubled or out of order: server killed, network cut or gone silent, many people at once."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from diag.support.disk.operations import Disk
from diag.support.errors import HeldElsewhereError, StorageError
from tests.casework.test_store import empty_case, noted
from tests.desk.postgres import Cable, Postgres
from tests.desk.telling import WREN, texts, told, wait_for

psycopg = pytest.importorskip("psycopg")

from diag.desk.link import UnreachableError  # noqa: E402
from diag.desk.server import ServerStore  # noqa: E402

pytestmark = pytest.mark.slow  # waits for leases, time-outs and restarts
Desk = Callable[..., ServerStore]


@pytest.mark.parametrize("how", ["cut", "silence"])
def test_answers_wait_here_while_the_network_is_away_and_go_once_it_is_back(
    far: Desk, desk: Desk, cable: Cable, how: str
) -> None:
    """Shown as not sent, kept on disk, sent by itself in order; a list is refused with the reason."""
    store = far()
    held = store.create(empty_case())
    held.save(noted(held.case))
    getattr(cable, how)()
    for _ in range(3):
        held.save(noted(held.case))
    assert held.unsent == 3
    assert held.on_disk is held.case
    assert "does not answer" in held.why_unsent
    assert [waiting.answers for waiting in store.outbox.waiting()] == [3]
    with pytest.raises(UnreachableError, match="does not answer"):
        store.ids()
    assert texts(desk("Oskar")) == told(1)
    cable.mend()
    wait_for(lambda: not held.unsent)
    assert "The server has the 3 answers that waited." in held.news()
    assert held.news() == ()
    held.save(noted(held.case))
    assert texts(desk("Oskar")) == told(5)
    assert store.outbox.waiting() == []
    held.close()


def test_a_person_does_not_wait_for_a_dead_server_at_every_answer(far: Desk, cable: Cable) -> None:
    """After the first failure, answers go to this machine's disk at once."""
    held = far().create(empty_case())
    cable.silence()
    held.save(noted(held.case))
    began = time.monotonic()
    for _ in range(5):
        held.save(noted(held.case))
    assert time.monotonic() - began < 0.5


def test_a_call_is_taken_while_the_server_is_away(far: Desk, desk: Desk, cable: Cable) -> None:
    """A new job waits like any answer, and is made once."""
    cable.cut()
    held = far().create(empty_case())
    held.save(noted(held.case))
    held.save(noted(held.case))
    assert held.unsent == 2
    cable.mend()
    wait_for(lambda: not held._sender.unsent.batches)
    held.save(noted(held.case))
    held.close()
    assert texts(desk("Oskar")) == told(3)
    assert desk("Oskar").ids() == [WREN]


def test_with_neither_server_nor_disk_the_answer_is_said_to_be_nowhere(far: Desk, cable: Cable, tmp_path: Path) -> None:
    """And the next saving takes it along."""
    (tmp_path / "blocked").write_text("no folder")
    store = far(state=tmp_path / "blocked")
    held = store.create(empty_case())
    cable.cut()
    first = noted(held.case)
    with pytest.raises(StorageError):
        held.save(first)
    assert held.on_disk is not first
    cable.mend()
    wait_for(lambda: not store.link.resting)
    held.save(noted(first))
    assert texts(store) == told(2)


class _Answered:
    """Lets a statement reach the server and loses the answer, the worst moment there is."""

    def __init__(self, store: ServerStore) -> None:
        self.store = store
        self.times = 0
        self._run = store.link.run
        store.link.run = self  # type: ignore[method-assign,assignment]

    def __call__(self, work: object, patience: float | None = None) -> object:
        found = self._run(work, patience)  # type: ignore[arg-type]
        if self.times:
            self.times -= 1
            raise UnreachableError("The server does not answer: lost on the way back.")
        return found


def test_an_answer_whose_receipt_was_lost_is_not_doubled(desk: Desk) -> None:
    """Stored, not acknowledged, sent again: once in the job. Also when the disk fails in the same moment."""
    store = desk()
    held = store.create(empty_case())
    line = _Answered(store)
    line.times = 2
    held.save(noted(held.case))
    held.save(noted(held.case))
    wait_for(lambda: not held.unsent)
    assert texts(store) == told(2)

    class Full(Disk):
        def create(self, path: str) -> int:
            raise OSError(28, "full")

    store.outbox.disk = Full()
    line.times = 1
    third = noted(held.case)
    with pytest.raises(StorageError):
        held.save(third)
    held.save(noted(third))
    assert texts(store) == told(4)
    held.close()


def test_a_killed_server_loses_nothing(desk: Desk, server: Postgres) -> None:
    """Ended as by a crash between answers and during them, and started again."""
    store = desk(patience=2.0)
    held = store.create(empty_case())
    case = held.case
    stop = threading.Event()

    def answer() -> None:
        nonlocal case
        while not stop.is_set():
            case = noted(case)
            held.save(case)
            time.sleep(0.002)

    person = threading.Thread(target=answer)
    person.start()
    for _ in range(2):
        time.sleep(0.3)
        server.kill()
        time.sleep(0.1)
        server.start()
    time.sleep(0.3)
    stop.set()
    person.join()
    wait_for(lambda: held.try_again())
    assert len(case.entries) > 20
    assert texts(store) == told(len(case.entries))
    held.close()


def test_many_people_at_once(desk: Desk) -> None:
    """Twelve programs on twelve jobs, all after one more as well: every answer is there, one has the shared job."""

    def work(number: int) -> str:
        store = desk(f"Person {number}")
        with store.create(empty_case(f"job-{number}")) as held:
            for _ in range(15):
                held.save(noted(held.case))
        try:
            return store.open(WREN).store.who
        except HeldElsewhereError:
            return ""

    desk().create(empty_case()).close()
    with ThreadPoolExecutor(12) as pool:
        winners = [who for who in pool.map(work, range(12)) if who]
    assert len(winners) == 1
    for number in range(12):
        assert texts(desk(), f"job-{number}") == told(15)


def test_people_who_fight_over_a_job_lose_nothing(desk: Desk) -> None:
    """Each takes it from the other again and again: every answer is in the job or in somebody's copy."""
    desk().create(empty_case()).close()
    said: list[str] = []

    def fight(who: str) -> None:
        store = desk(who)
        for turn in range(6):
            with store.open(WREN, take_over=True) as held:
                for _ in range(3):
                    text = f"{who} {turn}"
                    case = noted(held.case, text)
                    said.append(case.entries[-1].text)  # type: ignore[attr-defined]
                    try:
                        held.save(case)
                    except HeldElsewhereError:
                        break

    with ThreadPoolExecutor(3) as pool:
        list(pool.map(fight, ("Mira", "Oskar", "Tilda")))
    store = desk()
    kept = {text for name in store.ids() for text in texts(store, name)}
    assert set(said) <= kept
    places = [entry.number for entry in store.read(WREN).whole().entries]
    assert places == sorted(set(places))
