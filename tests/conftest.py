"""Property tests try the same examples in every normal run, DIAG_FUZZ asks for more and fresh ones; and who works what.

On several cores the tests of one file stay together, since they share what is dear to make. The worked cases stay
together case by case, also on one core: a case is weighed once for all its tests and can then be forgotten.
"""

from __future__ import annotations

import os

import pytest
from hypothesis import settings

settings.register_profile("repeatable", derandomize=True, database=None, deadline=None)
if "DIAG_FUZZ" not in os.environ:
    settings.load_profile("repeatable")

BY_CASE = "test_worked_cases.py"

# What repeats at a larger scale what other tests hold already, half of the suite's minutes, and what holds a time to a
# bar so near that it needs the machine to itself. Run with -m long.
LONG = (
    "test_figures.py::test_a_million_rows_in_ten_seconds_and_half_a_gigabyte",
    "test_figures.py::test_slope_and_base_are_right_in_nearly_all_logs",
    "test_separable.py::test_two_causes_that_nothing_separates_are_named",
    "test_written.py::test_the_ceiling_is_had_with_the_written_answers",
    "test_malformed.py::test_damaged_logs",
    "test_search.py::test_search_is_fast",
    "test_load.py::test_the_shipped_book_loads_fast",
    "test_worked_cases.py::test_replaying_gives_the_same_ranking",
    "test_worked_cases.py::test_other_imagined_cars_move_little",
    "test_nothing_lost.py::test_the_screens_lose_nothing_to_a_failing_disk",
    "test_nothing_lost.py::test_the_screens_killed_at_any_moment_keep_what_they_showed",
    "test_figures.py::test_intervals_hold_the_truth_as_often_as_they_say",
    "test_figures.py::test_the_other_intervals_hold_as_often_as_they_say",
    "test_trial.py::test_in_the_stressed_world_one_answer_in_ten_is_wrong_and_one_fault_in_twenty_unknown",
    "test_written.py::test_after_the_first_repair_the_hidden_car_answers_again",
    "test_solve.py::test_every_parameter_moves_some_reading",
    "test_streams.py::test_a_note_written_as_a_page_is_literal_text",
    "test_trial.py::test_in_the_own_world_the_witness_is_drawn_as_the_book_has_it",
    "test_killed_job.py::test_a_killed_job_keeps_every_answer_it_took",
    "test_deal.py::test_cars_differ_by_number",
    "test_two_books.py::test_when_time_is_short_the_cases_concerned_come_first",
    "test_deal.py::test_the_owner_tells_what_is_there_on_many_cars",
    "test_told_parts.py::test_with_hardly_any_room_nothing_changes",
)

# Besides what its own file marks: whole jobs, front ends and processes, and what goes through every sentence, state or
# entry there is. The quick round (-m "not slow", a minute and a half on two cores) is what lies below them.
SLOW_ROOMS = ("tests/ui/", "tests/practice/", "tests/evaluation/", "tests/presentation/report/")
SLOW_FILES = (
    "tests/casework/test_agenda.py",
    "tests/casework/test_drift.py",
    "tests/decision/test_safe_ground.py",
    "tests/hearing/test_deeds.py",
    "tests/hearing/test_leaks.py",
    "tests/hearing/test_search.py",
    "tests/hearing/test_told.py",
    "tests/rulebook/test_shared.py",
    "tests/rulebook/test_skeleton.py",
    "tests/safety/test_interlock.py",
    "tests/session/test_choice_words.py",
    "tests/support/yaml/test_fuzz.py",
    "tests/test_library.py",
)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Name each test's group, mark what is long, and put the worked cases first and in the order of the cases."""
    for item in items:
        if item.nodeid.split("[")[0].endswith(LONG):
            item.add_marker(pytest.mark.long)
        if item.nodeid.split("[")[0].endswith(LONG) or item.nodeid.startswith((*SLOW_ROOMS, *SLOW_FILES)):
            item.add_marker(pytest.mark.slow)
        item.add_marker(pytest.mark.xdist_group(_group(item)))
    items.sort(key=_turn)


def _case(item: pytest.Item) -> str:
    """The worked case a test is about, empty for any other test."""
    call = getattr(item, "callspec", None)
    return str(call.params.get("name", "")) if item.path.name == BY_CASE and call is not None else ""


def _group(item: pytest.Item) -> str:
    return _case(item) or str(item.path.relative_to(item.config.rootpath))


def _turn(item: pytest.Item) -> tuple[bool, str]:
    return item.path.name != BY_CASE, _case(item)
