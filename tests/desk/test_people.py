"""Who may do what, and whose jobs they see: held by the server, whatever a program tries."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from diag.casework.keeping import WholeJob
from diag.casework.query import Query
from diag.support.errors import UserError
from tests.casework.test_store import empty_case, noted
from tests.desk.postgres import Postgres

psycopg = pytest.importorskip("psycopg")

from diag.desk import people  # noqa: E402
from diag.desk.link import connect  # noqa: E402
from diag.desk.server import ServerStore  # noqa: E402

PEOPLE = (("mira", "Larkhill", "work"), ("tilda", "Quarry", "work"), ("oskar", "Larkhill", "read"))


@pytest.fixture
def shops(server: Postgres, database: str, tmp_path: Path) -> Iterator[dict[str, ServerStore]]:
    """Three people of two shops, each with a job of their own where they may work."""
    with connect(server.address(database)) as line:
        for login, shop, may in PEOPLE:
            people.add(line, login, shop, may, new=True)  # type: ignore[arg-type]
    made = {login: ServerStore(server.address(database, login), login.title(), tmp_path) for login, _, _ in PEOPLE}
    made["mira"].create(noted(empty_case("wren"))).close()
    made["tilda"].create(noted(empty_case("otter"))).close()
    yield made
    for store in made.values():
        store.close()
    with connect(server.address(database)) as line:
        for login, _, _ in PEOPLE:
            line.execute(f"drop owned by {login}".encode())
            line.execute(f"drop role {login}".encode())


def test_one_shop_does_not_see_the_others_customers(shops: dict[str, ServerStore]) -> None:
    """Lists, searches, names, texts, the table of entries itself: nothing of the other shop."""
    assert shops["mira"].ids() == ["wren"]
    assert shops["tilda"].ids() == ["otter"]
    assert [found.id for found in shops["mira"].search(Query(text="said"))] == ["wren"]
    assert shops["mira"].counts()["open"] == 1
    with pytest.raises(UserError, match="There is no case"):
        shops["mira"].open("otter", take_over=True)
    with pytest.raises(UserError, match="There is no case"):
        shops["tilda"].text("wren")
    for table in ("jobs", "entries", "digests", "board"):
        counted = f"select count(*) from diag.{table}".encode()
        assert shops["tilda"].link.run(lambda line, told=counted: line.execute(told).fetchone()) == (1,), table  # type: ignore[misc]


def test_who_may_only_read_changes_nothing(shops: dict[str, ServerStore]) -> None:
    """Reading works; every way of writing is refused in one clear line, and nothing has changed."""
    oskar = shops["oskar"]
    assert oskar.read("wren").whole() == noted(empty_case("wren"))
    for use in (
        lambda: oskar.create(empty_case("plover")),
        lambda: oskar.open("wren"),
        lambda: oskar.bring_in(WholeJob("linnet", b"x")),
    ):
        with pytest.raises(UserError, match="may not do this"):
            use()
    assert oskar.ids() == ["wren"]
    assert shops["mira"].read("wren").whole() == noted(empty_case("wren"))


@pytest.mark.parametrize(
    "statement",
    [
        "update diag.entries set body = 'x'",
        "delete from diag.entries",
        "delete from diag.jobs",
        "alter table diag.entries disable trigger all",
        "insert into diag.people values ('mira', 'Quarry', false)",
        "insert into diag.decisions (version, decided_by) values (null, 'mira')",
        "update diag.jobs set shop = 'Quarry'",
        "set role diag_approve",
    ],
)
def test_who_may_work_goes_no_further(shops: dict[str, ServerStore], statement: str) -> None:
    """Nothing rewritten, no rights given to oneself, no job moved to another shop, no frequencies approved."""
    with pytest.raises((UserError, psycopg.Error)):
        shops["mira"].link.run(lambda line: line.execute(statement.encode()))


def test_people_are_listed_and_leave(shops: dict[str, ServerStore], server: Postgres, database: str) -> None:
    """A second shop is added to the first; who leaves sees nothing."""
    with connect(server.address(database)) as line:
        people.add(line, "tilda", "Larkhill", "approve")
        assert people.everybody(line) == [
            people.Person("mira", "work", ("Larkhill",)),
            people.Person("oskar", "read", ("Larkhill",)),
            people.Person("tilda", "approve", ("Quarry", "Larkhill")),
        ]
        assert shops["tilda"].ids() == ["otter", "wren"]
        shops["tilda"].create(empty_case("teasel")).close()
        assert shops["mira"].ids() == ["wren"]
        people.remove(line, "tilda")
        with pytest.raises(UserError, match="may not do this"):
            shops["tilda"].ids()
        with pytest.raises(UserError, match="nobody of this desk"):
            people.remove(line, "tilda")
        with pytest.raises(UserError, match="no account"):
            people.add(line, "nobody-here", "Larkhill", "work")
