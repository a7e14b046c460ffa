"""What is kept of many cars stays within the shelf's bound, truly and not only by its own account, and is only time."""

from __future__ import annotations

import gc
import tracemalloc

import numpy as np
import pytest

from diag.evaluation.bench import made_up_answers
from diag.fuelsystem.car import car_from_texts
from diag.inference.evidence import Evidence
from diag.inference.kept import shelf_of
from diag.inference.model import Model, compile_model
from diag.inference.posterior import belief
from diag.inference.predictive import outcome_table
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from tests import ROOT
from tests.inference.rig import psi

CARS, CHECKS, DRAWS, BOUND = 4, 25, 32, 8_000_000
BESIDES = 9_000_000  # bytes that may stay beside the shelf: severities, the words of four cars, sets of columns


def _worked(book: RuleBook) -> tuple[list[Model], list[list[tuple[str, float]]]]:
    """Four cars under work at once: some answers, a reading, and what every check would give."""
    models, found = [], []
    for number in range(CARS):
        model = compile_model(book, car_from_texts({"target-pressure": f"{40 + number} psi"}), DRAWS)
        evidence = Evidence(made_up_answers(book, 6, number), (psi("rail pressure", "idle-hose-on", 47, 101),))
        result = belief(model, evidence)
        rows = np.arange(min(60, len(result.rows)))
        for check in list(book.checks.values())[:CHECKS]:
            for asked in check.yields:
                outcome_table(model, evidence, result, rows, asked)
        models.append(model)
        found.append(result.ranked())
    return models, found


@pytest.mark.slow
def test_many_cars_stay_within_the_bound_and_their_rankings_do_not_depend_on_it() -> None:
    book, roomy = load_book(ROOT / "rules"), load_book(ROOT / "rules")
    shelf_of(book).most = BOUND
    belief(compile_model(book, car_from_texts({}), DRAWS), Evidence())  # what is made once, whatever the cars
    gc.collect()
    tracemalloc.start()
    try:
        models, found = _worked(book)
        gc.collect()
        taken = tracemalloc.get_traced_memory()[0]
    finally:
        tracemalloc.stop()
    assert shelf_of(book).bytes <= BOUND
    assert taken < BOUND + BESIDES
    kept, same = _worked(roomy)
    assert shelf_of(roomy).bytes > 3 * BOUND, "the bound was never felt"
    assert found == same
    del models, kept
    gc.collect()
    compile_model(roomy, car_from_texts({})).place.keep("anything", 1, 1)
    assert shelf_of(roomy).bytes < BOUND, "cars that nobody holds any more are still kept"
