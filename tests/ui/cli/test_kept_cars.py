"""Imagined cars carried from run to run: the very same numbers, and nothing when a file does not fit or is not had."""

from __future__ import annotations

import json
import multiprocessing
import os
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from diag.fuelsystem.car import Car, car_from_texts
from diag.inference.evidence import Evidence
from diag.inference.model import Model, compile_model
from diag.inference.posterior import Belief, belief
from diag.inference.readings.plant import FuelSystemPlant
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder
from diag.ui.cli import kept_cars
from diag.ui.cli.kept_cars import keep_cars, take_cars
from tests.inference.rig import psi

DRAWS = 64
OTTER = {"target-pressure": "43.5 psi", "pump-flow": "255 L/h"}
READ = Evidence(readings=(psi("rail pressure", "idle-hose-on", 47, 1), psi("rail pressure", "screw-out", 40, 2)))
MORE = Evidence(readings=(*READ.readings, psi("rail pressure", "return-pinched", 60, 3)))


@pytest.fixture(scope="module")
def loaded() -> RuleBook:
    """The shipped book."""
    return load_book(rules_folder())


@pytest.fixture(autouse=True)
def _everything_is_worth_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kept_cars, "WORTH", 1)


def fresh(book: RuleBook) -> RuleBook:
    """The same book with nothing worked out, as the next run reads it."""
    return replace(book)


def worked(book: RuleBook, cache: Path | None, told: Evidence = READ, car: Car | None = None) -> tuple[Model, Belief]:
    """One run: take over, weigh, leave."""
    take_cars(book, rules_folder(), cache)
    model = compile_model(book, car or car_from_texts(OTTER), DRAWS)
    found = belief(model, told)
    keep_cars(book, rules_folder(), cache)
    return model, found


def solved(model: Model) -> int:
    assert model.physics is not None
    return model.physics.solved


def same(one: Belief, other: Belief) -> bool:
    """To the last bit."""
    return one.weights.tobytes() == other.weights.tobytes() and np.array_equal(one.rows, other.rows)


def files(cache: Path) -> list[Path]:
    return sorted((cache / "diag" / "cars").glob("*"))


def the_file(cache: Path) -> Path:
    return max(files(cache), key=lambda path: path.stat().st_size)


def test_the_next_run_solves_nothing_and_says_the_same(loaded: RuleBook, tmp_path: Path) -> None:
    """Bit by bit, and without one solution of the fuel system."""
    first, told = worked(fresh(loaded), tmp_path)
    assert solved(first) > 1000
    second, again = worked(fresh(loaded), tmp_path)
    assert solved(second) == 0
    assert same(told, again)


def test_what_is_asked_besides_is_the_same_as_without(loaded: RuleBook, tmp_path: Path) -> None:
    """A reading more on top of what was carried: only that is solved, and to the same bits as all of it at once."""
    worked(fresh(loaded), tmp_path)
    carried, told = worked(fresh(loaded), tmp_path, MORE)
    plain, alone = worked(fresh(loaded), None, MORE)
    assert 0 < solved(carried) < solved(plain)
    assert same(told, alone)
    third, last = worked(fresh(loaded), tmp_path, MORE)
    assert solved(third) == 0, "the file was not brought up to date"
    assert same(last, alone)
    fourth, _ = worked(fresh(loaded), tmp_path, READ)
    assert solved(fourth) == 0, "bringing it up to date lost what it held"


def test_tables_are_the_same_numbers(loaded: RuleBook, tmp_path: Path) -> None:
    """Every prediction, and all that was found of the base draws."""
    first, _ = worked(fresh(loaded), tmp_path)
    second, _ = worked(fresh(loaded), tmp_path)
    assert first.physics is not None
    assert second.physics is not None
    tables = dict(second.physics._predictions.known())
    assert tables
    for settings, table in first.physics._predictions.known():
        assert tables[settings].keys() == table.keys()
        for key, rows in table.items():
            assert {n: v.tobytes() for n, v in rows.items()} == {
                n: v.tobytes() for n, v in tables[settings][key].items()
            }
    one, other = first.physics.pool.settled, second.physics.pool.settled
    assert one.target.tobytes() == other.target.tobytes()
    assert one.matter == other.matter
    assert all(np.array_equal(mask, other.masks[at]) for at, mask in one.masks.items())
    for sizing, pairing in one.pairs.items():
        assert np.array_equal(pairing.own, other.pairs[sizing].own)
        assert np.array_equal(pairing.rest, other.pairs[sizing].rest)


def test_another_fact_of_the_car_is_another_car(loaded: RuleBook, tmp_path: Path) -> None:
    """Nothing of the first car is used for one that differs in one figure, and the first one's stays."""
    worked(fresh(loaded), tmp_path)
    other = car_from_texts({**OTTER, "pump-flow": "190 L/h"})
    carried, told = worked(fresh(loaded), tmp_path, car=other)
    plain, alone = worked(fresh(loaded), None, car=other)
    assert solved(carried) == solved(plain)
    assert same(told, alone)
    assert solved(worked(fresh(loaded), tmp_path)[0]) == 0


def test_another_book_is_other_cars(loaded: RuleBook, tmp_path: Path) -> None:
    """A changed rule: looked for under another name."""
    worked(fresh(loaded), tmp_path)
    rules = tmp_path / "rules"
    shutil.copytree(rules_folder(), rules)
    point = next(path for path in sorted(rules.rglob("*.yaml")) if path.name != "book.yaml")
    point.write_text(point.read_text(encoding="utf-8") + "\n# changed\n", encoding="utf-8")
    book = load_book(rules)
    take_cars(book, rules, tmp_path)
    model = compile_model(book, car_from_texts(OTTER), DRAWS)
    belief(model, READ)
    assert solved(model) > 1000


def _cut(data: bytes) -> bytes:
    return data[: len(data) // 2]


def _a_bit(data: bytes) -> bytes:
    return data[:-1000] + bytes([data[-1000] ^ 1]) + data[-999:]


def _a_bit_of_each_part(data: bytes) -> bytes:
    head = data.index(b"\n")
    begin = head + 1 + int(data[:head].rsplit(b" ", 1)[1])
    body = bytearray(data[begin:])
    for at in range(0, len(body), 512):
        body[at] ^= 1
    return data[:begin] + bytes(body)


def _index_of_another(data: bytes) -> bytes:
    """A whole file, with right digests, that says it belongs to another car."""
    from diag.inference.readings.carried import MARK, _digest

    head = data.index(b"\n")
    size = int(data[:head].rsplit(b" ", 1)[1])
    index = json.loads(data[head + 1 : head + 1 + size])
    text = json.dumps({**index, "of": "another"}).encode()
    return f"{MARK} {_digest(text)} {len(text)}\n".encode() + text + data[head + 1 + size :]


def _odd_index(data: bytes) -> bytes:
    from diag.inference.readings.carried import MARK, _digest

    head = data.index(b"\n")
    size = int(data[:head].rsplit(b" ", 1)[1])
    index = json.loads(data[head + 1 : head + 1 + size])
    for table in index["tables"]:
        table[1:] = ["x", -5, None, [["rail pressure", 10**12, [10**9]]]]
    text = json.dumps({**index, "pool": [1, 2]}).encode()
    return f"{MARK} {_digest(text)} {len(text)}\n".encode() + text + data[head + 1 + size :]


def _another_layout(data: bytes) -> bytes:
    return data.replace(b"imagined cars 2", b"imagined cars 0", 1)


def _endless(data: bytes) -> bytes:
    return b"imagined cars 2 x 99999999999\n"


SPOILT = (_cut, _a_bit, _a_bit_of_each_part, _index_of_another, _odd_index, _another_layout, _endless,
          lambda data: b"", lambda data: bytes(5000))  # fmt: skip


@pytest.mark.parametrize("spoil", SPOILT)
def test_a_file_that_does_not_fit_is_left_aside(loaded: RuleBook, tmp_path: Path, spoil: object) -> None:
    """Cut off, changed in a bit, of another car, of another layout: what it would have held is worked out."""
    _, told = worked(fresh(loaded), tmp_path)
    path = the_file(tmp_path)
    path.write_bytes(spoil(path.read_bytes()))  # type: ignore[operator]
    model, again = worked(fresh(loaded), tmp_path)
    assert solved(model) > 0
    assert same(told, again)
    healed, third = worked(fresh(loaded), tmp_path)
    assert solved(healed) == 0, "a damaged file was not made anew"
    assert same(told, third)


def test_a_file_that_shrinks_while_it_is_in_use_is_no_trouble(loaded: RuleBook, tmp_path: Path) -> None:
    """Another program cuts it off after its index was read."""
    _, told = worked(fresh(loaded), tmp_path)
    book = fresh(loaded)
    take_cars(book, rules_folder(), tmp_path)
    model = compile_model(book, car_from_texts(OTTER), DRAWS)
    assert model.physics is not None
    assert model.physics._earlier is not None
    os.truncate(the_file(tmp_path), 3000)
    assert same(belief(model, READ), told)


def test_no_folder_a_full_disk_and_one_that_is_only_read(
    loaded: RuleBook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is kept, nothing is raised, nothing half written stays, and the answer is the same."""
    _, told = worked(fresh(loaded), None)
    (tmp_path / "diag").write_text("in the way")
    assert same(worked(fresh(loaded), tmp_path)[1], told)
    (tmp_path / "diag").unlink()

    def full(fd: int, data: bytes) -> int:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(os, "write", full)
        assert same(worked(fresh(loaded), tmp_path)[1], told)
    assert files(tmp_path) == []
    worked(fresh(loaded), tmp_path)

    really = os.open

    def refused(*given: object, **named: object) -> None:
        raise PermissionError(13, "read-only")

    def only_read(path: str, flags: int, *mode: int) -> int:
        if flags & os.O_CREAT:
            refused()
        return really(path, flags, *mode)

    with monkeypatch.context() as patched:
        patched.setattr(os, "open", only_read)
        for name in ("utime", "unlink", "replace"):
            patched.setattr(os, name, refused)
        model, again = worked(fresh(loaded), tmp_path)
    assert solved(model) == 0
    assert same(again, told)


def _writer(cache: str, number: int) -> None:
    kept_cars.WORTH = 1
    book = load_book(rules_folder())
    for turn in range(3):
        worked(replace(book), Path(cache), MORE if (turn + number) % 2 else READ)


@pytest.mark.slow
def test_several_programs_write_at_once(loaded: RuleBook, tmp_path: Path) -> None:
    """Whoever comes last has the name; at no time is there half a file, and what is read is right."""
    _, told = worked(fresh(loaded), None, MORE)
    others = [multiprocessing.get_context("spawn").Process(target=_writer, args=(str(tmp_path), n)) for n in range(2)]
    for other in others:
        other.start()
    while any(other.is_alive() for other in others):
        assert same(worked(fresh(loaded), tmp_path, MORE)[1], told)
    assert [other.exitcode for other in others] == [0, 0]
    assert same(worked(fresh(loaded), tmp_path, MORE)[1], told)
    assert all(path.suffix == ".cars" for path in files(tmp_path)), "half-written files were left"


def test_the_folder_has_a_bound_and_what_was_used_last_stays(
    loaded: RuleBook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With room for two cars the one that was not used longest goes."""
    cars = [car_from_texts({**OTTER, "pump-flow": f"{flow} L/h"}) for flow in (190, 220, 255)]
    worked(fresh(loaded), tmp_path, car=cars[0])
    worked(fresh(loaded), tmp_path, car=cars[1])
    monkeypatch.setattr(kept_cars, "MOST_BYTES", int(2.5 * the_file(tmp_path).stat().st_size))
    for path in files(tmp_path):
        os.utime(path, (1, 1))
    assert solved(worked(fresh(loaded), tmp_path, car=cars[0])[0]) == 0  # used again
    worked(fresh(loaded), tmp_path, car=cars[2])
    assert solved(worked(fresh(loaded), tmp_path, car=cars[0])[0]) == 0
    assert sum(path.stat().st_size for path in files(tmp_path)) <= kept_cars.MOST_BYTES
    assert solved(worked(fresh(loaded), tmp_path, car=cars[1])[0]) > 0


def test_one_car_takes_no_more_than_its_share(
    loaded: RuleBook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Conditions beyond the bound are left out, and are worked out again."""
    from diag.inference.readings import carried

    _, told = worked(fresh(loaded), None)
    monkeypatch.setattr(carried, "MOST_BYTES", 400_000)
    worked(fresh(loaded), tmp_path)
    assert the_file(tmp_path).stat().st_size < 600_000
    model, again = worked(fresh(loaded), tmp_path)
    assert solved(model) > 0
    assert same(told, again)


def test_a_plant_of_its_own_is_never_carried(loaded: RuleBook, tmp_path: Path) -> None:
    """What a test or another program predicts with is not what the next run predicts with."""

    class Other(FuelSystemPlant):
        pass

    book = fresh(loaded)
    take_cars(book, rules_folder(), tmp_path)
    belief(compile_model(book, car_from_texts(OTTER), DRAWS, Other()), READ)
    keep_cars(book, rules_folder(), tmp_path)
    assert not (tmp_path / "diag" / "cars").exists() or files(tmp_path) == []


def test_a_quick_run_leaves_nothing(loaded: RuleBook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is solved again as quickly as read is not written."""
    monkeypatch.setattr(kept_cars, "WORTH", 10**9)
    worked(fresh(loaded), tmp_path)
    assert not (tmp_path / "diag" / "cars").exists()
