"""What a team's desk holds at size. Run with ``-m long -s``, which prints the figures; smaller with these variables.

DIAG_DESK_ANSWERS   answers told by fifty people while the server is killed (200000), twenty times in all
DIAG_DESK_JOBS      jobs in the database for lists, searches and learning (100000)
"""

from __future__ import annotations

import multiprocessing
import os
import shutil
import statistics
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from diag.casework.lessons import count
from diag.casework.query import Query
from diag.rulebook.cached import load_quickly
from diag.rulebook.where import rules_folder
from tests.casework.test_store import empty_case, noted

pytest.importorskip("psycopg")

from diag.desk import schema
from diag.desk.board import Watch
from diag.desk.link import connect
from diag.desk.server import ServerStore
from tests.desk.many_jobs import fill
from tests.desk.postgres import Postgres, programs

pytestmark = [pytest.mark.long, pytest.mark.slow]

ANSWERS = int(os.environ.get("DIAG_DESK_ANSWERS", "200000"))
JOBS = int(os.environ.get("DIAG_DESK_JOBS", "100000"))
KILLS = 20
PEOPLE = 50
PROCESSES = 5
A_JOB = 40  # answers until the next job is begun


@pytest.fixture(scope="module")
def real() -> Iterator[Postgres]:
    """A server as in real use: what it says is stored has reached the disk."""
    if programs() is None:
        pytest.skip("no PostgreSQL server on this machine")
    folder = Path(tempfile.mkdtemp(prefix="desk-"))
    found = Postgres(folder, sync=True)
    for name in ("calls", "many"):
        found.sql("postgres", f"create database {name}")
        with connect(found.address(name)) as line:
            schema.migrate(line)
    yield found
    found.stop()
    shutil.rmtree(folder, ignore_errors=True)


def percentile(seconds: list[float], share: float) -> float:
    """In milliseconds."""
    return 1000.0 * sorted(seconds)[min(len(seconds) - 1, int(share * len(seconds)))]


def _person(address: str, state: Path, number: int, answers: int, told: object) -> None:
    """One program: job after job, answer after answer, each only when the one before is kept."""
    store = ServerStore(address, f"Person {number}", state / str(number), patience=5.0)
    done = 0
    while done < answers:
        held = store.create(empty_case(f"job-{number}-{done}"))
        while done < answers and len(held.case.entries) < A_JOB:
            held.save(noted(held.case, f"person {number}"))
            done += 1
            with told.get_lock():  # type: ignore[attr-defined]
                told.value += 1  # type: ignore[attr-defined]
        held.close()
    end = time.monotonic() + 120
    while store.pulse.waiting and time.monotonic() < end:
        time.sleep(0.1)
    store.close()


def _people(address: str, state: Path, numbers: range, answers: int, told: object) -> None:
    threads = [threading.Thread(target=_person, args=(address, state, n, answers, told)) for n in numbers]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def test_fifty_people_and_a_server_killed_twenty_times(real: Postgres, tmp_path: Path) -> None:
    """Nothing lost, nothing doubled, nothing out of order."""
    address, each = real.address("calls"), ANSWERS // PEOPLE
    fresh = multiprocessing.get_context("spawn")
    told = fresh.Value("l", 0)
    share = PEOPLE // PROCESSES
    programs_ = [
        fresh.Process(target=_people, args=(address, tmp_path, range(share * n, share * (n + 1)), each, told))
        for n in range(PROCESSES)
    ]
    began = time.monotonic()
    for program in programs_:
        program.start()
    for kill in range(1, KILLS + 1):
        while told.value < kill * ANSWERS // (KILLS + 1) and any(p.is_alive() for p in programs_):
            time.sleep(0.02)
        real.kill()
        time.sleep(0.1)
        real.start()
    for program in programs_:
        program.join()
        assert program.exitcode == 0
    seconds = time.monotonic() - began
    whole = real.sql(
        "calls",
        "select count(*), count(*) filter (where place <> number), count(distinct (job, place)), "
        "count(*) filter (where body not like '%person ' || split_part(j.id, '-', 2) || ' ' || place || E'\\n%') "
        "from diag.entries join diag.jobs j using (job)",
    )[0]
    copies = real.sql("calls", "select count(*) from diag.jobs where id like '%copy%' or entries <> "
                               "(select count(*) from diag.entries e where e.job = jobs.job)")[0][0]  # fmt: skip
    left = list(tmp_path.rglob("*.json"))
    print(f"\n{PEOPLE} people, {each * PEOPLE:,} answers, {KILLS} kills: {seconds:.0f} s; "
          f"on the server {whole[0]:,}, out of order {whole[1]}, wrong place or text {whole[3]}, "
          f"copies or miscounted {copies}, left in outboxes {len(left)}")  # fmt: skip
    assert whole == (each * PEOPLE, 0, each * PEOPLE, 0)
    assert copies == 0
    assert left == []


def test_an_answer_is_stored_in_ten_milliseconds(real: Postgres, tmp_path: Path) -> None:
    """Fifty people at work at once, each with an answer every second: far more than people tell."""
    taken: list[float] = []
    stop = time.monotonic() + 20.0

    def person(number: int) -> None:
        store = ServerStore(real.address("calls"), f"Person {number}", tmp_path / str(number))
        held = store.create(empty_case(f"paced-{number}"))
        time.sleep(number / PEOPLE)
        while time.monotonic() < stop:
            case = noted(held.case)
            began = time.perf_counter()
            held.save(case)
            taken.append(time.perf_counter() - began)
            time.sleep(1.0)
        held.close()
        store.close()

    threads = [threading.Thread(target=person, args=(number,)) for number in range(PEOPLE)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    disk = _bare_disk(tmp_path)
    print(f"\nthe disk alone, 8 kB written and synced: median {percentile(disk, 0.5):.1f} ms, 95th percentile "
          f"{percentile(disk, 0.95):.1f} ms")  # fmt: skip
    print(f"\n{len(taken)} answers, {PEOPLE} people, load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores: median "
          f"{percentile(taken, 0.5):.1f} ms, 95th percentile {percentile(taken, 0.95):.1f} ms")  # fmt: skip
    assert percentile(taken, 0.95) < 10.0


def _bare_disk(folder: Path) -> list[float]:
    """Seconds that the disk takes for what every stored answer has to wait for."""
    found = []
    with (folder / "probe").open("wb", buffering=0) as probe:
        for _ in range(100):
            probe.write(b"x" * 8192)
            began = time.perf_counter()
            os.fsync(probe.fileno())
            found.append(time.perf_counter() - began)
            time.sleep(0.01)
    return found


@pytest.fixture(scope="module")
def many(real: Postgres, tmp_path_factory: pytest.TempPathFactory) -> ServerStore:
    """Very many jobs."""
    book = load_quickly(rules_folder(), None)
    remedies = {name: cause.remedies[0] for name, cause in book.causes.items() if cause.remedies}
    began = time.monotonic()
    fill(real.address("many"), JOBS, tuple(remedies), remedies)
    print(f"\n{JOBS:,} jobs put in: {time.monotonic() - began:.0f} s")
    return ServerStore(real.address("many"), "Mira", tmp_path_factory.mktemp("state"))


ASKED = {
    "the newest 50": Query(limit=50),
    "the open ones": Query(status="open", limit=50),
    "a day": Query(since="2025-06-01", until="2025-06-01", limit=50),
    "a cause": Query(cause="gauge-reads-high", limit=50),
    "a word of one job": Query(text="job-050505", limit=50),
    "a word of one job in a hundred": Query(text="word1234", limit=50),
    "two words": Query(text="word1234 word77", limit=50),
    "a word of every job": Query(text="petrol", limit=50),
    "a common and a rare word": Query(text="petrol mira word1234", limit=50),
    "a car": Query(car="wren", limit=50),
    "a car and words": Query(car="wren", text="hot word12", limit=50),
    "another form of a word": Query(text="whistling", limit=50),
    "a word with a slip": Query(text="brambel", limit=50),
    "a word of no job": Query(text="carburettor", limit=50),
}


def test_lists_and_searches_take_a_tenth_of_a_second(many: ServerStore) -> None:
    """Every kind of question, the middle of seven tries."""
    slow = {}
    for name, query in ASKED.items():
        taken = _tries(lambda query=query: many.search(query))  # type: ignore[misc]
        print(f"{name}: {taken:.0f} ms")
        if taken > 100.0:
            slow[name] = taken
    for name, use in (("counts", many.counts), ("a job by a part of its name", lambda: many.find("b-077777"))):
        taken = _tries(use) if JOBS > 77_777 or name == "counts" else 0.0
        print(f"{name}: {taken:.0f} ms")
    print(f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    assert slow == {}


def _tries(use: Callable[[], object]) -> float:
    taken = []
    for _ in range(7):
        began = time.perf_counter()
        use()
        taken.append(1000.0 * (time.perf_counter() - began))
    return statistics.median(taken)


def test_learning_from_all_jobs_takes_less_than_a_minute(many: ServerStore) -> None:
    """Counted by the server, and the same as one by one."""
    book = load_quickly(rules_folder(), None)
    began = time.monotonic()
    found = many.lessons(book)
    seconds = time.monotonic() - began
    print(f"\n{JOBS:,} jobs counted on the server: {seconds:.1f} s, {found.used:,} taught something")
    assert found == count(many.summaries(), book)
    assert seconds < 60.0


def test_the_board_with_fifty_people_and_five_thousand_open_jobs(real: Postgres, tmp_path: Path) -> None:
    """Read whole in a moment; a change is seen while fifty boards are looked at and people work."""
    real.sql(
        "calls",
        "insert into diag.jobs (id, made, head, title, changed) select 'open-' || n, gen_random_uuid(), '', "
        "'Wren ' || n, '2026-11-01T00:00:00Z' from generate_series(1, 5000) n",
    )
    stores = [ServerStore(real.address("calls"), f"Person {n}", tmp_path / str(n)) for n in range(PEOPLE)]
    boards = [Watch(store.link) for store in stores]
    began = time.monotonic()
    for board in boards:
        board.look()
    whole = (time.monotonic() - began) / PEOPLE
    assert len(boards[0].calls) >= 5000
    seen: list[float] = []

    def look(board: Watch, name: str, since: list[float]) -> None:
        end = time.monotonic() + 30
        while time.monotonic() < end:
            if any(now is not None and now.id == name and now.who for _, now in board.changes(5.0).values()):
                seen.append(time.monotonic() - since[0])
                return

    for turn in range(5):
        since = [0.0]
        threads = [threading.Thread(target=look, args=(board, f"call-{turn}", since)) for board in boards]
        for thread in threads:
            thread.start()
        time.sleep(0.5)
        since[0] = time.monotonic()
        stores[turn].create(empty_case(f"call-{turn}"))
        for thread in threads:
            thread.join()
    print(f"\n5,000 open jobs: the whole board {1000 * whole:.0f} ms; a change on {PEOPLE} boards after "
          f"{percentile(seen, 0.5):.0f} ms (median), {percentile(seen, 0.95):.0f} ms (95th percentile)")  # fmt: skip
    assert len(seen) == 5 * PEOPLE
    assert percentile(seen, 0.95) < 2000.0
    for board, store in zip(boards, stores, strict=True):
        board.close()
        store.close()
