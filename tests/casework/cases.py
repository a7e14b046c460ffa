"""Cases and strategies that several tests share."""

from __future__ import annotations

import string

from hypothesis import strategies as st

from diag.casework import entries as e

T = "2026-11-25T13:00:00Z"


def small_case(case_id: str = "2026-11-25-wren-1a2b") -> e.Case:
    """A job with one entry of nearly every kind."""
    return e.Case(
        case_id,
        "Wren: runs rich",
        T,
        "1",
        "abc",
        entries=(
            e.CarFact(1, T, "Mira", "fuel", "petrol"),
            e.SignAnswer(2, T, "Mira", "needle", "trembling", "unsure", "second hand", "base-pressure", "it shakes"),
            e.ReadingTaken(3, T, "Mira", "rail pressure", "idle-hose-off", "43.5", 299922.0, 299922.0, 299922.0),
            e.ReadingTaken(4, T, "Mira", "rail pressure", "idle-hose-on", "38 to 44", 2.8e5, 2.6e5, 3.0e5, "above"),
            e.PersonTold(5, T, "Mira", "mechanic", True, tools=("pressure-gauge",)),
            e.StepDone(6, T, "Mira", "bigger-return", 90.0),
            e.Believed(7, T, "Mira", {"return-line-too-small": 0.8, "nothing-wrong": 0.1}, "1", "abc"),
            e.Outcome(8, T, "Mira", "cured", ("return-line-too-small",), True, "runs clean"),
            e.Retracted(9, T, "Oskar", 2, "typing error"),
            e.Replaced(
                10,
                T,
                "Oskar",
                3,
                e.ReadingTaken(3, T, "Oskar", "rail pressure", "idle-hose-off", "44", 3.0e5, 3.0e5, 3.0e5),
            ),
            e.StatusSet(11, T, "Oskar", "closed"),
        ),
    )


# Text a person could type: everything that is no control character, with YAML's favourite traps mixed in.
_TRAPS = st.sampled_from(
    [*"'{\"%@`>?|é", "no", "Yes", "1:30", "010", "1e-3", "~", "null", "- a", "a: b", "# x", "[]", "&a", "*a", "!t",
     "...", "---", " lead", "trail ", "a #b", "漢字", "🚗", "\ttab", "two\nlines", "\n", ""]
)  # fmt: skip
texts = st.one_of(
    _TRAPS,
    st.text(
        st.characters(exclude_categories=("Cc", "Cs", "Cf", "Zl", "Zp", "Cn", "Co"), include_characters="\n\t"),
        max_size=60,
    ),
)
words = st.text(string.ascii_lowercase + "-", min_size=1, max_size=20)
numbers = st.floats(allow_nan=False, allow_infinity=False)
whos = texts
times = st.datetimes().map(lambda moment: moment.isoformat(timespec="seconds") + "Z")


def _entry(number: int) -> st.SearchStrategy[e.Entry]:
    """Any entry with this number."""
    n, at = st.just(number), times
    target = st.integers(1, max(number - 1, 1))
    plain = [
        st.builds(e.CarFact, n, at, whos, words, texts),
        st.builds(
            e.SignAnswer, n, at, whos, words, texts, st.sampled_from(["sure", "unsure"]),
            st.sampled_from(["own eyes", "second hand"]), words, texts, texts,
        ),
        st.builds(
            e.ReadingTaken, n, at, whos, words, words, texts, numbers, numbers, numbers,
            st.sampled_from(["", "above", "below"]), words, st.dictionaries(words, numbers, max_size=3), words,
            st.sampled_from(["sure", "unsure"]),
        ),
        st.builds(e.StepDone, n, at, whos, words, st.none() | st.floats(0.0, e.MOST_MINUTES), texts),
        st.builds(e.StepRefused, n, at, whos, words, st.sampled_from(["cannot", "later", "skip"]), texts),
        st.builds(
            e.PersonTold, n, at, whos, st.sampled_from(["untrained", "hobbyist", "mechanic", "shop"]), st.booleans(),
            st.booleans(), st.booleans(), st.none() | st.lists(words, max_size=3).map(tuple),
        ),
        st.builds(e.Acknowledged, n, at, whos, words),
        st.builds(e.HandedOver, n, at, whos, texts, texts),
        st.builds(e.Note, n, at, whos, texts),
        st.builds(e.KeptEvidence, n, at, whos, st.sampled_from(["photo", "mark", "bought", "found inside"]), texts),
        st.builds(e.StatusSet, n, at, whos, st.sampled_from(e.STATUSES), texts),
        st.builds(
            e.Outcome, n, at, whos,
            st.sampled_from(["cured", "not cured", "could not reproduce", "handed on", "normal"]),
            st.lists(words, max_size=3).map(tuple), st.booleans(), texts,
        ),
        st.builds(e.Believed, n, at, whos, st.dictionaries(words, st.floats(0.0, 1.0), max_size=4), texts, texts),
        st.builds(e.Retracted, n, at, whos, target, texts),
    ]  # fmt: skip
    replaced = st.builds(e.Replaced, n, at, whos, target, st.builds(e.Note, target, at, whos, texts))
    return st.one_of(*plain, replaced)


@st.composite
def cases(draw: st.DrawFn) -> e.Case:
    """Any case that the program could write."""
    entries = tuple(draw(_entry(number)) for number in range(1, draw(st.integers(0, 6)) + 1))
    return e.Case("2026-11-25-wren-1a2b", draw(texts), draw(times), draw(texts), draw(texts), "bar", entries=entries)
