"""Very many jobs in a database at once: made-up, all different in name, time and words, with what their kind has."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta

from diag.casework import entries as e
from diag.casework.casefile import head_of
from diag.casework.entries import Case
from diag.desk.link import connect
from diag.desk.pieces import digest_of, items_of

CARS = ("Wren", "Otter", "Bramble", "Linnet", "Plover", "Teasel")
COMPLAINTS = ("cranks but does not start", "dies when hot", "runs rich at idle", "pressure too high", "whistles",
              "smells of fuel", "stumbles at full load", "hard to start in the morning")  # fmt: skip
KINDS = 400  # different jobs; the rest are the same ones under other names, times and words


def _case(rng: random.Random, number: int, causes: tuple[str, ...], remedies: dict[str, str]) -> Case:
    at = (datetime(2024, 1, 1) + timedelta(minutes=rng.randrange(1_400_000))).isoformat() + "Z"
    who = rng.choice(("Mira", "Oskar", "Tilda"))
    cause = rng.choice(causes)
    told: list[e.Entry] = [e.CarFact(1, at, who, "fuel", "petrol")]
    told += [
        e.SignAnswer(2, at, who, f"sign-{rng.randrange(200)}", rng.choice(("present", "absent"))) for _ in range(6)
    ]
    for psi in (rng.randrange(20, 70), rng.randrange(20, 70)):
        told += [e.ReadingTaken(2, at, who, "rail pressure", "idle-hose-off", f"{psi} psi", *(3 * (6895.0 * psi,)))]
    told += [e.Note(2, at, who, " ".join(f"word{rng.randrange(3000)}" for _ in range(12)))]
    if rng.random() < 0.95:
        told += [e.StepDone(2, at, who, remedies[cause]), e.Believed(2, at, who, {cause: 0.9, "nothing-wrong": 0.05}),
                 e.Outcome(2, at, who, "cured", (cause,), rng.random() < 0.8)]  # fmt: skip
    entries = tuple(replace(entry, number=n) for n, entry in enumerate(told, 1))
    title = f"{rng.choice(CARS)} {rng.choice(COMPLAINTS)}"
    return Case(f"job-{number}", title, at, "1", "abc", entries=entries)


def fill(address: str, jobs: int, causes: tuple[str, ...], remedies: dict[str, str], seed: int = 17) -> None:
    """Put so many jobs into the database, one shop, nearly all closed. Copied in, as a restored backup would be."""
    import json

    rng = random.Random(seed)
    kinds = [_case(rng, number, causes, remedies) for number in range(min(KINDS, jobs))]
    plain = [(case, head_of(case), items_of(case.entries), digest_of(case)) for case in kinds]

    def rows() -> Iterator[tuple[int, Case, str, list[dict[str, object]], dict[str, object]]]:
        for job in range(1, jobs + 1):
            case, head, items, digest = plain[job % len(plain)]
            name = f"job-{job:06}"
            extra = f" {name} number{rng.randrange(jobs)} word{rng.randrange(3000)}"
            moved = (datetime(2024, 1, 1) + timedelta(minutes=rng.randrange(1_400_000))).isoformat() + "Z"
            yield job, replace(case, id=name), head.replace(case.id, name), items, {
                **digest, "text": str(digest["text"]).replace(case.id, name) + extra, "changed": moved,
            }  # fmt: skip

    token = "00000000-0000-4000-8000-000000000001"
    with connect(address) as line, line.transaction():
        line.patience = 3600.0  # type: ignore[attr-defined]
        cursor = line.cursor()
        with cursor.copy(
            "copy diag.jobs (job, id, made, head, entries, title, status, opened, changed, result, proven, causes, "
            "steps, waits) from stdin"
        ) as copy:
            for job, case, head, items, d in rows():
                same = ("title", "status", "opened", "changed", "result", "proven", "causes", "steps", "waits")
                copy.write_row((job, case.id, token, head, len(items), *(d[name] for name in same)))
        rng.seed(seed)
        with cursor.copy("copy diag.digests (job, settled, text, car, sketch) from stdin") as copy:
            for job, _, _, _, d in rows():
                copy.write_row((job, True, d["text"], d["car"], json.dumps(d["sketch"])))
        with cursor.copy("copy diag.entries (job, place, number, kind, at, who, body, token) from stdin") as copy:
            for job, _, _, items, _ in rows():
                for place, item in enumerate(items, 1):
                    copy.write_row(
                        (job, place, item["number"], item["kind"], item["at"], item["who"], item["body"], token)
                    )
        line.execute("select setval(pg_get_serial_sequence('diag.jobs', 'job'), %s)", (jobs,))
    with connect(address) as line:
        line.patience = 3600.0  # type: ignore[attr-defined]
        line.execute(
            "insert into diag.words select distinct 'main', w from diag.digests, diag.words_of(text) w "
            "on conflict do nothing"
        )
        line.execute("vacuum analyze diag.jobs, diag.digests, diag.entries, diag.words")
