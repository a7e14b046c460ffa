"""Reading jobs and finding them again on the server. Every text goes in as a value, never as SQL."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from diag.casework.casefile import read_case
from diag.casework.entries import STATUSES
from diag.casework.query import Found, Query
from diag.casework.summary import Summary, summary_of
from diag.desk.pieces import Kept, summary_from

if TYPE_CHECKING:
    from psycopg import Connection

    Line = Connection[tuple[Any, ...]]

MOST_LETTERS = 1000  # of one word searched for
MOST_WORDS = 20
NEWEST = 2000  # jobs looked through one by one before the indexes are asked
ALIKE = 0.4  # share of two words' groups of three letters that they must have in common; judgement, by slips tried out
MOST_ALIKE = 3  # words that a mistyped one may stand for
PAGE = 2000  # jobs read at once when all are gone through
_COLUMNS = "j.id, j.status, j.opened, j.changed, j.title, j.result, j.proven, j.causes, j.problem"


def kept(line: Line, case_id: str) -> Kept | None:
    """A job in its pieces, of one moment; None when there is none."""
    row = line.execute(
        "select j.head, j.found, j.problem, array(select e.body from diag.entries e where e.job = j.job "
        "order by e.place) from diag.jobs j where j.id = %s",
        (case_id,),
    ).fetchone()
    if row is None:
        return None
    head, found, problem, bodies = row
    return Kept(case_id, head, tuple(bodies), bytes(found) if found is not None else None, problem)


def as_found(line: Line, case_id: str) -> tuple[bytes, ...]:
    """Its files as they were found, oldest first."""
    rows = line.execute(
        "select f.data from diag.as_found f join diag.jobs j using (job) where j.id = %s order by f.number", (case_id,)
    ).fetchall()
    return tuple(bytes(row[0]) for row in rows)


def close_names(line: Line, words: str) -> list[str]:
    """The name itself when it is one, else up to six that begin with the words, else that contain them."""
    safe = _like(words)
    for pattern in (safe, f"{safe}%", f"%{safe}%"):
        rows = line.execute("select id from diag.jobs where id like %s order by id limit 6", (pattern,)).fetchall()
        if rows:
            return [row[0] for row in rows]
    return []


def search(line: Line, query: Query) -> list[Found]:
    """Jobs that match, last changed first.

    Words are looked for as they stand. Where no job has all of them, other forms of the same words count too
    ("leaking" finds "leak"), and where that finds nothing, words that look like them.
    """
    words = query.text.lower().split()[:MOST_WORDS]
    found = _run(line, query, _pieces("text", words))
    if not found and words:
        told = " ".join(words)
        found = _run(line, query, [("tsv @@ plainto_tsquery('english', %s)", told)])
    if not found and words and (alike := [_alike(line, word) for word in words]) and all(alike):
        found = _run(line, query, [("text like any (%s)", [f"%{_like(word)}%" for word in each]) for each in alike])
    return found


def _alike(line: Line, word: str) -> list[str]:
    """The words of these jobs that a mistyped word may stand for, the likeliest first."""
    if len(word) > MOST_LETTERS:
        return []
    line.execute("select set_config('pg_trgm.similarity_threshold', %s, false)", (str(ALIKE),))
    rows = line.execute(
        "select word from diag.words where word operator(diag.%%) %s "
        "group by word order by diag.similarity(word, %s) desc, word limit %s",
        (word, word, MOST_ALIKE),
    ).fetchall()
    return [row[0] for row in rows]


def _run(line: Line, query: Query, text: Sequence[tuple[str, object]]) -> list[Found]:
    """Where many jobs match, the newest ones hold enough of them; the indexes are for what is rare."""
    where, values = _plain_where(query)
    limit = max(0, min(query.limit, 1_000_000))
    digest = [*text, *_pieces("car", query.car.lower().split()[:MOST_WORDS])]
    if not digest:
        return _found(line, "diag.jobs j", where, [*values, limit])
    told = [value for _, value in digest]
    first = (
        f"(select * from diag.jobs j{_and(where)} order by j.changed desc, j.id limit {NEWEST}) j "
        "join diag.digests d using (job)"
    )
    found = _found(line, first, [sql for sql, _ in digest], [*values, *told, limit])
    if len(found) == limit:
        return found
    both = " union all ".join(
        f"select job from diag.digests{_and([settled, *(sql for sql, _ in digest)])}"
        for settled in ("settled", "not settled")
    )
    return _found(line, "diag.jobs j", [*where, f"j.job in ({both})"], [*values, *told, *told, limit])


def _found(line: Line, tables: str, where: Sequence[str], values: Sequence[object]) -> list[Found]:
    rows = line.execute(
        f"select {_COLUMNS} from {tables}{_and(where)} order by j.changed desc, j.id limit %s".encode(), values
    ).fetchall()
    return [Found(r[0], r[1], r[2], r[3], r[4], r[5], r[6], tuple(r[7]), r[8]) for r in rows]


def _and(parts: Sequence[str]) -> str:
    return f" where {' and '.join(parts)}" if parts else ""


def _pieces(column: str, words: Sequence[str]) -> list[tuple[str, str]]:
    return [(f"{column} like %s", f"%{_like(word)}%") for word in words]


def _plain_where(query: Query) -> tuple[list[str], list[object]]:
    where, values = [], list[object]()
    for sql, value in (
        ("j.status = %s", query.status),
        ("exists (select from unnest(j.causes) c where c like %s)", f"%{_like(query.cause)}%" if query.cause else ""),
        ("j.changed >= %s", query.since),
        ("j.changed < %s", query.until and query.until + "~"),
    ):
        if value:
            where.append(sql)
            values.append(value)
    return where, values


def _like(word: str) -> str:
    """A pattern that stands for the word itself."""
    plain = word[:MOST_LETTERS].replace("\0", "")
    return plain.replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")


def counts(line: Line) -> dict[str, int]:
    """How many jobs there are of each status."""
    found: dict[str, int] = dict(line.execute("select status, count(*) from diag.jobs group by status").fetchall())
    return {status: int(found.get(status, 0)) for status in STATUSES}


def page(line: Line, after: str) -> list[tuple[str, Summary | None]]:
    """The next jobs by name with their summaries; None for one that cannot be read whole."""
    rows = line.execute(
        "select j.id, j.title, j.opened, j.changed, j.status, j.result, j.proven, j.causes, j.problem, d.text, "
        "d.sketch from diag.jobs j left join diag.digests d using (job) where j.id > %s order by j.id limit %s",
        (after, PAGE),
    ).fetchall()
    names = ("id", "title", "opened", "changed", "status", "result", "proven", "causes", "problem", "text")
    return [(row[0], _summary(line, dict(zip(names, row, strict=False)), row[10])) for row in rows]


def _summary(line: Line, row: dict[str, Any], sketch: dict[str, Any] | None) -> Summary | None:
    if row["problem"]:
        return None
    if sketch:
        return summary_from(row, sketch)
    found = kept(line, row["id"])  # not saved since the tables had no sketches
    case = read_case(found.text(), row["id"]).case if found is not None else None
    return summary_of(case) if case is not None else None
