"""Who has a job: leases by the server's clock, taking over, programs that die, clocks that disagree."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from diag.casework.entries import Case, HandedOver
from diag.support.errors import HeldElsewhereError, StorageError
from tests.casework.test_store import empty_case, noted
from tests.desk.postgres import Cable, Postgres
from tests.desk.telling import WREN, texts, told, wait_for

psycopg = pytest.importorskip("psycopg")

from diag.desk.held import ServerHold  # noqa: E402
from diag.desk.link import UnreachableError  # noqa: E402
from diag.desk.server import ServerStore  # noqa: E402

pytestmark = pytest.mark.slow  # waits for leases, time-outs and restarts
Desk = Callable[..., ServerStore]


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


def test_a_job_too_long_for_one_file_is_refused_before_it_is_sent(desk: Desk) -> None:
    """As in a folder, since it must fit into a file again; attempts that failed do not count."""
    store = desk()
    held = store.create(empty_case())
    big = noted(held.case, "x" * 3000)
    for _ in range(600):
        big = noted(big, "x" * 3000)
    for _ in range(3):
        with pytest.raises(StorageError, match="too long"):
            held.save(big)
    held.save(noted(held.case))
    assert texts(store) == told(1)
    held.close()


def test_a_hold_says_which_program_it_is(desk: Desk) -> None:
    """For the types: a server's hold is what the interface asks for."""
    held = desk().create(empty_case())
    assert isinstance(held, ServerHold)
    held.close()
