"""Reading and writing case files."""

from __future__ import annotations

import time
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diag.casework import entries as e
from diag.casework.casefile import continue_text, loses_comments, read_case, write_case
from diag.casework.kinds import KINDS
from tests.casework.cases import T, cases, small_case
from tests.support.fuzzing import TIMES

FUZZ = 150 * TIMES  # inputs per loader test; DIAG_FUZZ=700 makes over 100,000 of each
LONG = settings(max_examples=FUZZ, deadline=None, suppress_health_check=list(HealthCheck))


def test_every_kind_of_entry_can_be_written() -> None:
    """A new entry class without a row in the table would silently be written as a note."""
    table = {kind.cls for kind in KINDS} | {e.Unread}
    found = {cls for cls in vars(e).values() if isinstance(cls, type) and issubclass(cls, e.Entry)}
    assert found - {e.Entry} == table


@settings(max_examples=max(40, FUZZ // 20), deadline=None, suppress_health_check=list(HealthCheck))
@given(cases())
def test_what_is_written_is_read_back_exactly(case: e.Case) -> None:
    """Writing and reading give the same case, and writing that again the same text."""
    text = write_case(case)
    result = read_case(text)
    assert result.problems == ()
    assert result.case == case
    assert write_case(result.whole()) == text


def test_reads_like_a_list_of_what_happened() -> None:
    """The file shows typed text and SI value side by side, one field to a line."""
    text = write_case(small_case())
    assert '  typed: "43.5"\n  value: 299922.0\n' in text
    assert text.endswith("\n...\n")


def test_adding_an_entry_leaves_the_rest_of_the_file_alone() -> None:
    """Under version control a new answer shows as added lines only."""
    case = small_case()
    more = replace(case, entries=(*case.entries, e.Note(12, T, "Mira", "back again")))
    old, new = write_case(case), write_case(more)
    assert new.startswith(old.removesuffix("...\n"))
    assert continue_text(old, case, more) == new


def test_hand_made_comments_and_indentation_survive_new_entries() -> None:
    """A person's own remarks in the file are not swept away by the next answer."""
    case = small_case()
    lines = write_case(case).split("\n")
    start = lines.index("entries:")
    end = lines.index("...")
    hand = "\n".join(
        [*lines[: start + 1], "  # asked twice", *("  " + line for line in lines[start + 1 : end]), "...", ""]
    )
    assert read_case(hand).case == case
    more = replace(case, entries=(*case.entries, e.Note(12, T, "Mira", "back again")))
    text = continue_text(hand, case, more)
    assert "  # asked twice\n" in text
    assert read_case(text).case == more
    assert loses_comments(hand, write_case(more))
    assert not loses_comments(hand, text)


def test_unknown_fields_and_kinds_of_a_newer_minor_version_are_kept() -> None:
    """An older program passes on what it does not know, and says so without hindering."""
    text = write_case(small_case())
    newer = text.replace("format: 1\n", "format: 1.7\nshop_bay: 3\n").replace(
        "...\n",
        '- entry: 12\n  at: "2026-11-25T13:00:00Z"\n  who: Mira\n  kind: smell-map\n  spots:\n  - [cap, 0.25, yes]\n'
        '- entry: 13\n  at: "2026-11-25T13:00:00Z"\n  who: Mira\n  kind: note\n  text: hi\n  mood: "5"\n...\n',
    )
    result = read_case(newer)
    case = result.whole()
    assert case.minor == 7
    assert {"shop_bay", "smell-map", "mood"} <= {note.what.split("'")[1] for note in result.notes}
    again = read_case(write_case(case)).whole()
    assert again == case
    assert again.extra == {"shop_bay": 3}
    unread = again.entries[-2]
    assert isinstance(unread, e.Unread)
    assert unread.extra == {"spots": [["cap", 0.25, True]]}
    assert again.entries[-1].extra == {"mood": "5"}


def test_a_newer_major_version_can_be_looked_at_only() -> None:
    """The program never writes over a format that it does not understand."""
    result = read_case(write_case(small_case()).replace("format: 1\n", "format: 2\n"), "job.yaml")
    assert result.case is None
    assert result.newer
    assert result.salvage is not None
    assert len(result.salvage.entries) == 11
    assert str(result.problems[0].place) == "job.yaml:3:1"
    assert "newer program" in result.problems[0].what


def test_an_older_format_is_lifted_by_its_migration() -> None:
    """The hook turns format 0's single 'answers' list into format 1's entries."""
    old = f'format: 0\ncase: old-job\ntitle: x\nopened: "{T}"\nanswers:\n- {{at: "{T}", who: Mira, said: hello}}\n...\n'

    def lift(plain: dict[str, object]) -> dict[str, object]:
        answers = plain.pop("answers")
        assert isinstance(answers, list)
        plain["entries"] = [
            {"entry": n, "at": a["at"], "who": a["who"], "kind": "note", "text": a["said"]}
            for n, a in enumerate(answers, 1)
        ]
        return plain | {"format": 1}

    case = read_case(old, migrations={0: lift}).whole()
    assert case.entries == (e.Note(1, T, "Mira", "hello"),)
    assert read_case(old, migrations={}).case is None


@pytest.mark.parametrize(
    ("old", "new", "down", "column", "says"),
    [
        ("kind: reading", "kind: reading\n  kind: note", 1, 3, "written twice"),
        ("value: 299922.0", "value: 1e999", 0, 10, "too large"),
        ("value: 299922.0", "value: many", 0, 10, "number"),
        ("by_phone: yes", "by_phone: maybe", 0, 13, "yes or no"),
        ("person: mechanic", "person: wizard", 0, 11, "wizard"),
        ("unit_pressure: psi", "unit_pressure: furlong", 0, 16, "furlong"),
        ("entry: 4", "entry: four", 0, 10, "whole number"),
        ("entry: 4", "entry: 99999999", 0, 10, "whole number"),
        ("entry: 4", "entry: 2", 0, 3, "comes after"),
        ("who: Oskar\n  kind: taken", "kind: taken", -2, 3, "'who' is missing"),
        ("  target: 2\n", "", -4, 3, "'target' is missing"),
        ("at: \"2026-11-25T13:00:00Z\"\n  who: Oskar\n  kind: taken", "at: soon\n  who: Oskar\n  kind: taken", 0, 7,
         "date and time"),
        ("field: fuel", "field: *fuel", 0, 10, "alias"),
        ("field: fuel", "field: !!python/name:os.system x", 0, 10, "tag"),
        ("field: fuel", 'field: "\\e[31mfuel"', 0, 10, "escape"),
    ],
)  # fmt: skip
def test_a_bad_hand_edit_is_named_and_the_rest_is_offered(
    old: str, new: str, down: int, column: int, says: str
) -> None:
    """Every message has file, line and column; only the touched entry is missing from the readable part."""
    text = write_case(small_case())
    line = text[: text.index(old)].count("\n") + 1 + down
    result = read_case(text.replace(old, new, 1), "job.yaml")
    assert result.case is None
    message = next(problem.one_line() for problem in result.problems if says in problem.what)
    assert message.startswith(f"job.yaml:{line}:{column}: ")
    assert result.salvage is not None
    assert len(result.salvage.entries) >= 10
    assert result.salvage.id == "2026-11-25-wren-1a2b"


@pytest.mark.parametrize(
    "spoilt",
    [
        e.StepDone(1, T, "Mira", "look-over", -5.0),
        e.StepDone(1, T, "Mira", "look-over", 1e300),
        e.Believed(1, T, "Mira", {"torn": 5.0}),
    ],
)
def test_figures_that_would_spoil_what_is_learnt_are_refused(spoilt: e.Entry) -> None:
    """Minutes and chances from a file must be possible ones."""
    result = read_case(write_case(e.Case("wren", "Wren", T, "1", "f", entries=(spoilt,))), "job.yaml")
    assert result.case is None
    assert "must lie between 0 and" in result.problems[0].what


def test_every_cut_of_a_file_is_noticed_and_gives_back_the_whole_entries_before_it() -> None:
    """Whatever length a torn copy has, no complete entry is lost and the cut is never taken for the whole job."""
    case = small_case()
    text = write_case(case)
    starts = [i for i in range(len(text)) if text.startswith("- entry:", i)] + [len(text) - len("...\n")]
    for cut in {*range(0, len(text) - 2, 3), *range(len(text) - 400, len(text) - 2)}:
        result = read_case(text[:cut], "job.yaml")
        assert result.problems or any("cut off" in note.hint for note in result.notes), cut
        best = result.best()
        complete = sum(1 for start in starts[1:] if start <= cut)
        if complete:
            assert best is not None
            assert best.entries[:complete] == case.entries[:complete]


def test_two_copies_joined_by_hand_keep_all_entries() -> None:
    """Entries whose numbers clash move to the end with new numbers, and what they speak of moves along."""
    case = small_case()
    mine = replace(case, entries=(*case.entries, e.Note(12, T, "Mira", "mine")))
    hers = (e.Note(12, T, "Oskar", "hers"), e.Retracted(13, T, "Oskar", 12, "no"))
    merged = write_case(replace(mine, entries=(*mine.entries, *hers)))
    result = read_case(merged)
    assert result.case is None
    assert result.salvage is not None
    assert result.salvage.entries[-3:] == (
        e.Note(12, T, "Mira", "mine"),
        e.Retracted(13, T, "Oskar", 14, "no"),
        e.Note(14, T, "Oskar", "hers"),
    )


def test_a_clash_left_by_version_control_keeps_both_sides() -> None:
    """Two people added entries to one case: the marks are named, and every entry of both is in the readable part."""
    case = small_case()
    text = write_case(case).removesuffix("...\n")

    def added(who: str) -> str:
        entries = (e.Note(12, T, who, "first"), e.Note(13, T, who, "second"))
        return write_case(replace(case, entries=(*case.entries, *entries)))[len(text) :].removesuffix("...\n")

    clash = f"{text}<<<<<<< ours\n{added('Mira')}=======\n{added('Oskar')}>>>>>>> theirs\n...\n"
    result = read_case(clash, "job.yaml")
    assert result.case is None
    line = text.count("\n") + 1
    assert any(problem.one_line().startswith(f"job.yaml:{line}:1: Version control") for problem in result.problems)
    assert result.salvage is not None
    told = [(x.number, x.who, x.text) for x in result.salvage.entries if isinstance(x, e.Note)]
    assert told == [(12, "Mira", "first"), (13, "Mira", "second"), (14, "Oskar", "first"), (15, "Oskar", "second")]


def test_a_file_without_end_mark_is_read_with_a_note() -> None:
    """A hand editor may drop the three dots; a file that stops inside a line may not pass."""
    text = write_case(small_case()).removesuffix("...\n")
    result = read_case(text)
    assert result.case == small_case()
    assert "end mark" in result.notes[0].what
    assert read_case(text.removesuffix("\n")).case is None


def _only_ours(text: str) -> None:
    result = read_case(text, "fuzz.yaml")
    assert (result.case is None) == bool(result.problems)
    for problem in (*result.problems, *result.notes):
        line = problem.one_line()
        assert "\n" not in line
        assert all(ch.isprintable() for ch in line), ascii(line)
    if result.case is not None:
        assert read_case(write_case(result.case)).case == result.case


@LONG
@given(st.text(max_size=400))
def test_any_text_gives_a_case_or_a_message(text: str) -> None:
    """No text makes the loader raise, hang or let a control character through."""
    _only_ours(text)


_BASE = write_case(small_case())
_BITS = st.sampled_from(
    ["\x1b[2J", "\x9b", "\u202e", "\ud800", "\x00", "&a ", "*a", "!!python/object:x ", "<<: ", "{", "[" * 30, "]", "}",
     "- ", "  ", "\t", "\n", "...\n", "---\n", '"', "'", ": ", "#", "|", ">", "9" * 400, "1e308", "-0", ".nan",
     "0x1F", "yes", '"\\e"', '"\\ud83d"', "entries:\n", "entry: 1\n", "format: 1\n", "kind: replaced\n", "by:\n",
     "target: 1\n"]
)  # fmt: skip


@LONG
@given(st.lists(st.tuples(st.integers(0, len(_BASE)), st.integers(0, 40), _BITS), min_size=1, max_size=4))
def test_any_damage_to_a_good_file_gives_a_case_or_a_message(edits: list[tuple[int, int, str]]) -> None:
    """Cutting pieces out of a real file and pasting traps in never raises."""
    text = _BASE
    for place, drop, bit in edits:
        text = text[:place] + bit + text[place + drop :]
    _only_ours(text)


def test_nested_replacements_are_limited_by_depth() -> None:
    """A replacement inside a replacement inside ... is refused by the reader's depth limit, not by the stack."""
    inner = "{kind: note, text: x}"
    for _ in range(300):
        inner = f"{{kind: replaced, target: 1, by: {inner}}}"
    text = _BASE.replace(
        "...\n", f'- {{entry: 12, at: "{T}", who: Mira, kind: replaced, target: 1, by: {inner}}}\n...\n'
    )
    result = read_case(text)
    assert "deep" in result.problems[0].what
    assert result.salvage is not None
    assert len(result.salvage.entries) == 11


_START = f'format: 1\ncase: x\ntitle: x\nopened: "{T}"\nentries:\n'


@pytest.mark.parametrize(
    "bomb",
    [
        _START + "- {\n" * 240_000,
        _START + f'- entry: 1\n  at: "{T}"\n  who: a\n  kind: note\n  text: x\n' * 13_000,
        _START + "- entry: [\n" * 90_000,
        "".join(f"k{n}: {{\n" for n in range(90_000)),
        _START + "[" * 900_000,
        _START + "- entry: 1\n" + "x" * 900_000,
        _START + "- a #b\n" * 140_000,
        _START + '- "' * 300_000,
        "x" * 2_000_000,
    ],
    ids=["braces", "half", "lists", "keys", "deep", "one line", "remarks", "quotes", "two megabytes"],
)
def test_a_bomb_of_a_megabyte_is_refused_quickly(bomb: str) -> None:
    """Whatever fills the largest file that is read at all, the answer comes within seconds on a slow machine."""
    start = time.process_time()
    result = read_case(bomb)
    assert time.process_time() - start < 10
    assert result.case is None
    assert 1 <= len(result.problems) <= 200
