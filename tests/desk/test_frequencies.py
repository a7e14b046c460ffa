"""The team's frequencies: proposed, reviewed, approved by who may, used by everybody, and taken back."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import replace

import pytest

from diag.casework.entries import Outcome, StepDone
from diag.rulebook.model import RuleBook
from diag.support.errors import UserError
from tests.casework.cases import T
from tests.casework.test_store import empty_case
from tests.desk.postgres import Postgres

pytest.importorskip("psycopg")

from diag.desk import frequencies, people
from diag.desk.link import connect
from diag.desk.server import ServerStore
from diag.evaluation.team_frequencies import with_team_frequencies
from diag.rulebook.cached import load_quickly
from diag.rulebook.where import rules_folder
from diag.ui.cli.main import main

Desk = Callable[..., ServerStore]


@pytest.fixture(scope="module")
def book() -> RuleBook:
    """The book in use."""
    return load_quickly(rules_folder(), None)


def told(*arguments: str, code: int = 0) -> str:
    """What ``diag learn`` says, and its exit code checked."""
    with redirect_stdout(io.StringIO()) as out, redirect_stderr(out):
        assert main(["learn", *arguments]) == code
    return out.getvalue()


def test_only_what_was_decided_last_counts(desk: Desk) -> None:
    """Versions and decisions only grow; going back, switching off, and a version that is not there."""
    run = desk().link.run
    assert run(frequencies.in_use) is None
    with pytest.raises(UserError, match="nothing to go back to"):
        run(frequencies.before)
    first, second = (run(lambda line, text=text: frequencies.propose(line, text, "Mira")) for text in ("a", "b"))  # type: ignore[misc]
    assert run(frequencies.in_use) is None
    run(lambda line: frequencies.decide(line, first, "Oskar"))
    run(lambda line: frequencies.decide(line, second, "Oskar"))
    assert run(frequencies.in_use) == second
    assert run(frequencies.before) == first
    run(lambda line: frequencies.decide(line, None, "Oskar"))
    assert run(frequencies.in_use) is None
    assert run(frequencies.before) == second
    with pytest.raises(UserError, match="no version 99"):
        run(lambda line: frequencies.decide(line, 99, "Oskar"))
    found = run(frequencies.versions)
    assert [(v.number, v.proposed_by, v.approved_by, v.in_use) for v in found] == [
        (second, "Mira", "Oskar", False), (first, "Mira", "Oskar", False),
    ]  # fmt: skip
    assert run(lambda line: frequencies.overlay_of(line, first)) == "a"


def test_closed_jobs_count_for_the_team_once_approved(
    desk: Desk, address: str, book: RuleBook, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From proven jobs on the server to the ranking of everybody, by way of the command."""
    monkeypatch.setattr("diag.rulebook.load.load_book", lambda *_: book)
    cause = next(name for name in sorted(book.causes) if book.causes[name].remedies)
    store = desk()
    for number in range(5):
        entries = (
            StepDone(1, T, "Mira", book.causes[cause].remedies[0]),
            Outcome(2, T, "Mira", "cured", (cause,), True),
        )
        store.create(replace(empty_case(f"job-{number}"), entries=entries)).close()
    monkeypatch.setenv("DIAG_STORE", address)
    monkeypatch.setenv("DIAG_WHO", "Mira")
    assert "5 jobs taught something" in told()
    assert with_team_frequencies(book, store) == (book, "")
    assert "version 1, not in use;" in told("--review")
    assert json.loads(told("--review", "--json"))["jobs"] == 5
    assert "Version 1 counts now" in told("--approve", "1")
    learnt, said = with_team_frequencies(book, desk("Oskar"))
    assert said == ""
    assert learnt.causes[cause].how_often.share > book.causes[cause].how_often.share
    assert learnt.fingerprint != book.fingerprint
    listed = told("--versions")
    assert "in use" in listed
    assert listed.count("Mira") == 2
    assert "The rule book alone counts now" in told("--off")
    assert with_team_frequencies(book, store)[0] is book
    assert "Version 1 counts now" in told("--on")
    assert "The rule book alone" in told("--undo")
    told("--approve", "7", code=2)
    assert "5 jobs" in told("--look-back")


def test_without_the_server_the_book_alone_counts_and_that_is_said(book: RuleBook, desk: Desk) -> None:
    """Nobody is kept from working."""
    away = desk(address="postgresql://127.0.0.1:1/larkhill", patience=0.5)
    found, said = with_team_frequencies(book, away)
    assert found is book
    assert "rule book alone counts" in said


def test_who_may_work_proposes_and_who_may_approve_decides(server: Postgres, database: str) -> None:
    """The server holds it, not the program."""
    with connect(server.address(database)) as line:
        for login, may in (("wanda", "work"), ("alma", "approve"), ("rhea", "read")):
            people.add(line, login, "main", may, new=True)  # type: ignore[arg-type]
    lines = {login: connect(server.address(database, login)) for login in ("wanda", "alma", "rhea")}
    psycopg = pytest.importorskip("psycopg")
    version = frequencies.propose(lines["wanda"], "a", "Wanda")
    for login in ("wanda", "rhea"):
        with pytest.raises(psycopg.errors.InsufficientPrivilege):
            frequencies.decide(lines[login], version, login)
    with pytest.raises(psycopg.errors.InsufficientPrivilege):
        frequencies.propose(lines["rhea"], "a", "Rhea")
    frequencies.decide(lines["alma"], version, "Alma")
    assert frequencies.in_use(lines["rhea"]) == version
    for forbidden in ("update diag.frequencies set overlay = 'x'", "delete from diag.decisions"):
        with pytest.raises(psycopg.Error):
            lines["alma"].execute(forbidden.encode())
    for login, open_line in lines.items():
        open_line.close()
        server.sql(database, f"drop owned by {login}", f"drop role {login}")
