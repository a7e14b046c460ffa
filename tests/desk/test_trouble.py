"""Nothing is lost, doubled or out of order: server killed, network cut or gone silent, programs dying, clocks apart."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from diag.casework.entries import Case, HandedOver
from diag.support.disk.operations import Disk
from diag.support.errors import HeldElsewhereError, StorageError
from tests.casework.test_store import empty_case, noted
from tests.desk.postgres import Cable, Postgres

psycopg = pytest.importorskip("psycopg")

from diag.desk.held import ServerHold  # noqa: E402
from diag.desk.link import UnreachableError  # noqa: E402
from diag.desk.server import ServerStore  # noqa: E402

pytestmark = pytest.mark.slow  # waits for leases, time-outs and restarts
Desk = Callable[..., ServerStore]
WREN = "2026-11-25-wren-1a2b"


def texts(store: ServerStore, name: str = WREN) -> list[str]:
    """The notes of a job as they lie on the server."""
    return [entry.text for entry in store.read(name).whole().entries]  # type: ignore[attr-defined]


def told(upto: int, word: str = "said") -> list[str]:
    """The notes that were told."""
    return [f"{word} {number}" for number in range(1, upto + 1)]


def wait_for(done: Callable[[], object], seconds: float = 15.0) -> None:
    """Until it is so."""
    end = time.monotonic() + seconds
    while not done():
        assert time.monotonic() < end, "it did not come"
        time.sleep(0.05)


@pytest.fixture
def cable(server: Postgres) -> Iterator[Cable]:
    """A way to the server that can be cut."""
    found = Cable(server.port)
    yield found
    found.close()


@pytest.fixture
def far(desk: Desk, server: Postgres, database: str, cable: Cable) -> Desk:
    """Programs that reach the server by the cable only, and are not patient."""
    return lambda who="Mira", **more: desk(
        who, **{"address": server.address(database, port=cable.port), "patience": 0.6, "lease": 1.8, **more}
    )


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


def test_taking_over_is_told_to_both(desk: Desk) -> None:
    """The one who takes it hears from whom; the other hears it without having to answer anything."""
    mira, oskar = desk("Mira", lease=0.9), desk("Oskar")
    first = mira.create(empty_case())
    second = oskar.open(WREN, take_over=True)
    assert any("Taken over from Mira" in line for line in second.news())
    wait_for(lambda: first._told)
    assert any("taken over by Oskar" in line for line in first.news())
    second.close()


def test_a_lease_ends_when_the_program_dies_and_not_before(desk: Desk) -> None:
    """A living program keeps its job for longer than the lease; a dead one's is free when that is over."""
    mira, oskar = desk("Mira", lease=0.6), desk("Oskar")
    held = mira.create(empty_case())
    time.sleep(1.2)
    with pytest.raises(HeldElsewhereError, match="Mira"):
        oskar.open(WREN)
    mira.pulse.stop()  # as if the program were gone
    time.sleep(0.8)
    with oskar.open(WREN) as other:
        other.save(noted(other.case))
        assert other.news() == ()
    assert held.case.entries == ()


def dead_program(far: Desk, cable: Cable, *words: str) -> None:
    """A program that told one answer, lost the network, told these, and died without letting go of anything."""
    from_child, to_parent = os.pipe()
    from_parent, to_child = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            held = far().create(empty_case())
            held.save(noted(held.case))
            os.write(to_parent, b"1")
            os.read(from_parent, 1)
            for word in words:
                held.save(noted(held.case, word))
            os.write(to_parent, bytes([held.unsent]))
        finally:
            os._exit(0)
    assert os.read(from_child, 1) == b"1"
    cable.cut()
    os.write(to_child, b"2")
    assert os.read(from_child, 1) == bytes([len(words)])
    os.waitpid(child, 0)
    cable.mend()


def test_a_dead_programs_answers_are_sent_by_the_next(far: Desk, desk: Desk, cable: Cable) -> None:
    """What waited on disk goes out when somebody starts on that machine, before the job is read."""
    dead_program(far, cable, "said", "said")
    store = desk("Oskar", address=far().link.address)
    with store.open(WREN, take_over=True) as held:
        assert len(held.case.entries) == 3
        assert any("2 answers" in line for line in held.news())
    assert texts(store) == told(3)
    assert store.outbox.waiting() == []


def test_a_dead_programs_answers_to_a_job_that_went_on_become_a_copy(far: Desk, desk: Desk, cable: Cable) -> None:
    """Somebody else took it meanwhile: theirs stands, the others are in a copy, made once."""
    dead_program(far, cable, "late")
    oskar = desk("Oskar")
    with oskar.open(WREN, take_over=True) as held:
        held.save(noted(held.case, "Oskar"))
    assert texts(oskar) == ["said 1", "Oskar 2"]
    mira = desk("Mira", address=far().link.address)
    mira.sweep()
    mira.sweep()
    copies = [name for name in mira.ids() if "-copy-" in name]
    assert len(copies) == 1
    assert texts(mira, copies[0]) == ["said 1", "late 2"]
    assert any(copies[0] in line for line in mira.told)


def test_a_job_taken_while_the_network_was_away(far: Desk, desk: Desk, cable: Cable) -> None:
    """Both went on: the one on the server stands, the other's answers are in a copy, and both are told."""
    held = far("Mira").create(empty_case())
    held.save(noted(held.case))
    cable.cut()
    held.save(noted(held.case, "Mira"))
    with desk("Oskar").open(WREN, take_over=True) as other:
        other.save(noted(other.case, "Oskar"))
        cable.mend()
        wait_for(lambda: held.copy_id)
        assert any("taken over by Oskar" in line and held.copy_id in line for line in held.news())
        with pytest.raises(HeldElsewhereError):
            held.save(noted(held.case, "Mira"))
    held.close()
    assert texts(desk()) == ["said 1", "Oskar 2"]
    assert texts(desk(), held.copy_id) == ["said 1", "Mira 2", "Mira 3"]


@pytest.mark.parametrize("years", [-20, 20])
def test_clocks_of_other_machines_decide_nothing(desk: Desk, years: int) -> None:
    """A machine whose clock is years away neither ends a lease, nor keeps one, nor changes who is first."""
    moment = f"{2026 + years}-01-01T00:00:00Z"
    mira, oskar = desk("Mira", lease=0.6), desk("Oskar")
    held = mira.create(empty_case())
    case = held.case
    held.save(Case(**{**_fields(case), "entries": (HandedOver(1, moment, "Mira", "anybody"),)}))
    with pytest.raises(HeldElsewhereError):
        oskar.open(WREN)
    stored = mira.link.run(
        lambda line: line.execute("select now() - min(stored_at) < '1 minute' from diag.entries").fetchone()
    )
    assert stored == (True,)
    mira.pulse.stop()
    time.sleep(0.8)
    oskar.open(WREN).close()


def _fields(case: Case) -> dict[str, object]:
    return {name: getattr(case, name) for name in case.__dataclass_fields__}


def test_the_password_is_never_said(
    server: Postgres, database: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It comes from the password file; wrong or right, no message, no address and no table holds it."""
    secret = "Larkhill-4711-hill"
    server.sql("postgres", "drop role if exists with_password", f"create role with_password login password '{secret}'")
    address = server.address(database, "with_password", server.port)
    passwords = tmp_path / "pgpass"
    passwords.write_text(f"127.0.0.1:{server.port}:*:with_password:{secret}-wrong\n", encoding="utf-8")
    passwords.chmod(0o600)
    monkeypatch.setenv("PGPASSFILE", str(passwords))
    with pytest.raises(UnreachableError, match="password") as error:
        ServerStore(address, "Mira", tmp_path).ids()
    assert secret not in error.value.one_line()
    passwords.write_text(f"127.0.0.1:{server.port}:*:with_password:{secret}\n", encoding="utf-8")
    server.sql(database, "grant diag_work to with_password", "insert into diag.people values ('with_password', 'main')")
    store = ServerStore(address, "Mira", tmp_path)
    store.create(empty_case()).close()
    assert secret not in store.words + store.text(WREN)
    store.close()
    server.sql(database, "delete from diag.people", "drop owned by with_password", "drop role with_password")


def test_a_hold_says_which_program_it_is(desk: Desk) -> None:
    """For the types: a server's hold is what the interface asks for."""
    held = desk().create(empty_case())
    assert isinstance(held, ServerHold)
    held.close()
