"""What a store of jobs promises, held for the folder and for the server with the same tests."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from textwrap import indent

import pytest
from hypothesis import HealthCheck, given, settings

from diag.casework.casefile import write_case
from diag.casework.entries import Case, Note, Retracted, StatusSet
from diag.casework.keeping import JobStore, WholeJob
from diag.casework.query import Query
from diag.casework.summary import summary_of
from diag.support.errors import CaseFileError, HeldElsewhereError, UserError
from tests.casework.cases import T, cases, small_case
from tests.casework.test_store import empty_case, noted

Team = Callable[..., JobStore]
WREN = "2026-11-25-wren-1a2b"


def test_a_job_is_kept_and_opened_again(team: Team) -> None:
    """Begin, answer, let go, open: everything is there, under its name."""
    store = team()
    with store.create(empty_case()) as held:
        held.save(noted(held.case))
        held.save(noted(held.case))
        assert held.on_disk is held.case
    assert store.ids() == [WREN]
    assert store.holds(WREN)
    assert not store.holds("otter")
    with team("Oskar").open(WREN) as held:
        assert held.case == noted(noted(empty_case()))
        assert held.unsent == 0
    assert store.read(WREN).whole() == noted(noted(empty_case()))
    assert store.text(WREN) == write_case(noted(noted(empty_case())))


def test_jobs_are_named_by_parts(team: Team) -> None:
    """Whole names first, then beginnings, then any part; none and several are said."""
    store = team()
    for name in ("wren", "wren-2", "otter-wren", "100-a"):
        store.create(empty_case(name)).close()
    assert store.find("wren") == "wren"
    assert store.find("ott") == "otter-wren"
    assert store.find("er-wr") == "otter-wren"
    with pytest.raises(UserError, match=r"2 cases match 'wr'.*wren, wren-2"):
        store.find("wr")
    for words in ("plover", "%", "_", "\\"):
        with pytest.raises(UserError, match="There is no case"):
            store.find(words)


@pytest.mark.parametrize("name", ["../wren", "", "Wren", "a\x00", "a'; drop table jobs; --", "a" * 65])
def test_what_is_no_name_is_refused(team: Team, name: str) -> None:
    """Before anything is looked up."""
    store = team()
    for use in (store.read, store.open, store.take_out):
        with pytest.raises(UserError, match="cannot be a case's name"):
            use(name)


def test_a_name_is_given_once(team: Team) -> None:
    """A second job of the name is refused and changes nothing; nor is a missing one opened."""
    store = team()
    store.create(noted(empty_case())).close()
    with pytest.raises(UserError, match="already"):
        store.create(empty_case())
    with pytest.raises(UserError, match="already"):
        store.bring_in(WholeJob(WREN, b"x"))
    assert store.read(WREN).whole() == noted(empty_case())
    with pytest.raises(UserError, match="There is no case"):
        store.open("otter")


def test_one_person_at_a_time(team: Team) -> None:
    """The second is told who has it; after a take-over the first is told, and keeps the answers in a copy."""
    mira, oskar = team("Mira"), team("Oskar")
    first = mira.create(empty_case())
    with pytest.raises(HeldElsewhereError, match="Mira"):
        oskar.open(WREN)
    second = oskar.open(WREN, take_over=True)
    second.save(noted(second.case, "by Oskar"))
    with pytest.raises(HeldElsewhereError, match="Oskar") as told:
        first.save(noted(first.case, "by Mira"))
    assert first.copy_id
    assert first.copy_id in told.value.one_line()
    with pytest.raises(HeldElsewhereError):
        first.save(noted(first.case, "by Mira"))
    first.close()
    second.save(noted(second.case, "by Oskar"))
    second.close()
    copy = mira.read(first.copy_id).whole()
    assert [e.text for e in copy.entries] == ["by Mira 1", "by Mira 2"]  # type: ignore[attr-defined]
    assert copy.title.endswith("(copy)")
    assert [e.text for e in mira.read(WREN).whole().entries] == ["by Oskar 1", "by Oskar 2"]  # type: ignore[attr-defined]
    with mira.open(WREN) as again:
        assert again.case.entries[-1] == second.case.entries[-1]


def test_letting_go_lets_others_in(team: Team) -> None:
    """Closed twice does no harm; then anybody may open it without taking it from someone."""
    held = team("Mira").create(empty_case())
    held.close()
    held.close()
    with team("Oskar").open(WREN) as other:
        other.save(noted(other.case))
        assert other.news() == ()


def test_the_header_follows_the_rule_book(team: Team) -> None:
    """The book last worked with is in the header; entries stay as they are."""
    store = team()
    with store.create(noted(empty_case())) as held:
        held.save(replace(noted(held.case), book_version="2", book_fingerprint="def"))
    found = store.read(WREN).whole()
    assert (found.book_version, found.book_fingerprint, len(found.entries)) == ("2", "def", 2)


def test_every_kind_of_entry_survives(team: Team) -> None:
    """A job with one of nearly every kind, told entry by entry, is the file it would be at once."""
    store, whole = team(), small_case()
    with store.create(replace(whole, entries=())) as held:
        for upto in range(1, len(whole.entries) + 1):
            held.save(replace(whole, entries=whole.entries[:upto]))
    assert store.text(WREN) == write_case(whole)
    assert list(store.summaries()) == [summary_of(whole)]


@settings(max_examples=10, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(case=cases())
def test_any_job_survives(team: Team, case: Case) -> None:
    """Whatever people type: what comes back is what a file of it would hold."""
    store = team()
    name = f"job-{len(store.ids())}"
    case = replace(case, id=name)
    store.create(case).close()
    assert store.text(name) == write_case(case)


def test_files_are_carried_byte_for_byte(team: Team) -> None:
    """Remarks, layout of other hands, damage, foreign bytes, newer formats, and the copies as found beside them."""
    plain = write_case(small_case())
    head, _, body = plain.removesuffix("...\n").partition("entries:\n")
    texts = {
        "plain": plain,
        "remark": plain.replace("- entry: 3", "# gauge 2, the one with the dent\n- entry: 3"),
        "indented": head + "entries:\n" + indent(body, "  ") + "...\n",
        "other-name": plain.replace(WREN, "somebody-elses"),
        "cut-off": plain[: len(plain) // 2],
        "newer": plain.replace("format: 1", "format: 9", 1),
        "newer-minor": plain.replace("format: 1", 'format: "1.7"\nweather: fine', 1),
        "windows": plain.replace("\n", "\r\n"),
        "empty": "",
    }
    store = team()
    for name, text in texts.items():
        store.bring_in(WholeJob(name, text.encode(), (b"as found \xff", b"again")))
    store.bring_in(WholeJob("foreign", b"title: \xff\xfe\x00 caf\xe9\n"))
    for name, text in texts.items():
        assert store.take_out(name) == WholeJob(name, text.encode(), (b"as found \xff", b"again")), name
    assert store.take_out("foreign").data == b"title: \xff\xfe\x00 caf\xe9\n"
    problems = {found.id: found.problem for found in store.search(Query())}
    assert {name for name, problem in problems.items() if problem} == {"cut-off", "newer", "empty", "foreign"}


def test_remarks_made_by_hand_stay_with_what_is_added(team: Team) -> None:
    """New answers go behind them; where the file has to be written anew, it is kept as it was found."""
    text = write_case(small_case()).replace("- entry: 3", "# gauge 2\n- entry: 3")
    store = team()
    store.bring_in(WholeJob(WREN, text.encode()))
    with store.open(WREN) as held:
        held.save(noted(held.case))
    assert "# gauge 2\n- entry: 3" in store.text(WREN)
    assert store.read(WREN).whole() == noted(small_case())
    with store.open(WREN) as held:
        held.save(replace(noted(held.case), book_version="2"))
    whole = store.take_out(WREN)
    assert b"# gauge 2" not in whole.data
    assert b"# gauge 2" in whole.found[-1]


def test_a_damaged_job_is_opened_in_part_only_when_that_is_accepted(team: Team) -> None:
    """The first problem is said; accepted, the readable part goes on and the file is kept as found."""
    text = write_case(small_case()).replace("kind: sign", "kind: [", 1)
    store = team()
    store.bring_in(WholeJob(WREN, text.encode()))
    with pytest.raises(CaseFileError):
        store.open(WREN)
    part = store.read(WREN).salvage
    assert part is not None
    with store.open(WREN, accept_readable_part=True) as held:
        assert held.case == part
        held.save(replace(part, entries=(*part.entries, Note(40, T, "Mira", "more"))))
    assert store.read(WREN).whole().entries[: len(part.entries)] == part.entries
    assert store.take_out(WREN).found == (text.encode(),)
    assert store.search(Query())[0].problem == ""


def _three_jobs(store: JobStore) -> None:
    """One closed, one open, one waiting."""
    store.create(small_case("wren-1")).close()
    said = Note(1, "2026-11-20T08:00:00Z", "Tilda", "100% _odd_")
    store.create(replace(small_case("otter-2"), title="Otter: dies hot", entries=(said,))).close()
    waits = StatusSet(1, "2026-11-26T08:00:00Z", "Tilda", "waiting for part", "the filter from the club's store")
    store.create(replace(small_case("plover-3"), title="Plover", entries=(waits,))).close()


def test_jobs_are_found_by_status_car_cause_text_and_date(team: Team) -> None:
    """Every filter of the list works alone and together; last changed first; typing is never SQL nor a pattern."""
    store = team()
    _three_jobs(store)

    def ids(**query: str) -> list[str]:
        return [found.id for found in store.search(Query(**query))]  # type: ignore[arg-type]

    assert ids() == ["plover-3", "wren-1", "otter-2"]
    assert ids(status="open") == ["otter-2"]
    assert ids(status="closed") == ["wren-1"]
    assert ids(cause="return-line-too-small") == ["wren-1"]
    assert ids(text="RUNS clean") == ["wren-1"]
    assert ids(text="hot dies") == ["otter-2"]
    assert ids(car="petrol") == ["wren-1"]
    assert ids(car="wren", text="clean", status="closed") == ["wren-1"]
    assert ids(car="wren", text="clean", status="open") == []
    assert ids(since="2026-11-25", until="2026-11-25") == ["wren-1"]
    assert ids(until="2026-11-20") == ["otter-2"]
    assert ids(text="100%") == ids(text="_odd_") == ids(text="%") == ["otter-2"]
    assert ids(text="'; drop table diag.jobs; --") == ids(cause='"]') == []
    assert store.counts() == {"open": 1, "waiting for part": 1, "closed": 1}
    found = store.search(Query(status="closed"))[0]
    assert (found.title, found.result, found.proven) == ("Wren: runs rich", "cured", True)


def test_what_is_being_worked_on_is_found_as_well(team: Team) -> None:
    """A search sees the newest answer of a job that somebody holds, and no longer what was taken back."""
    store = team()
    with store.create(empty_case()) as held:
        held.save(noted(held.case, "whistling regulator"))
        assert [found.id for found in store.search(Query(text="whistling"))] == [WREN]
        held.save(replace(held.case, entries=(*held.case.entries, Retracted(2, T, "Mira", 1))))
        assert store.search(Query(text="whistling regulator")) == []
