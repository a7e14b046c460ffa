"""Where a job stands, as data for scripts: ranked causes, the next safe step, what must not be done now.

``SCHEMA`` describes the layout. Fields are only ever added; removing or changing one raises ``schema``. Readers pass
over fields they do not know.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Any

from diag import __version__
from diag.casework.drift import case_as_believed, drift
from diag.casework.entries import STATUSES
from diag.casework.replay import Standing, standing
from diag.casework.summary import status_of
from diag.decision.proposal import Alternative
from diag.inference import explain
from diag.inference.titles import title_of
from diag.presentation.reasons import note_words, reason_words
from diag.presentation.stop_rules import as_told, is_danger, to_be_told
from diag.presentation.wording import EXITS, Words, entry_words
from diag.rulebook.hazards import StopRule
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check, Step, Yield
from diag.rulebook.typed import shown_as_read
from diag.safety.situation import Wet
from diag.safety.steps import find_step
from diag.support.text import one_line

SCHEMA_VERSION = 1
LEAST_CHANCE = 0.0005


def is_unsafe(now: Standing) -> bool:
    """Whether going on as usual is unsafe: a stop rule answers to a finding, or the next step is to stop."""
    return any(map(is_danger, now.stops)) or now.situation.wet is Wet.WET or now.proposal.kind == "stop"


def is_settled(now: Standing) -> bool:
    """Whether nothing is left to find out: a remedy is proposed, nothing more is wrong, or the job is closed."""
    return status_of(now.case) == "closed" or now.proposal.kind in ("remedy", "close")


def weighing(now: Standing, remarks: Iterable[str] = (), explained: bool = False) -> dict[str, Any]:
    """The whole document; ``explained`` fills ``explain``, which takes several times longer.

    Args:
        now: where the job stands.
        remarks: what reading the file said, to stand among ``problems``.
        explained: also weigh every entry, compare readings with predictions and rank unknown fields of the car.
    """
    book = now.book
    told = {rule.id for rule in to_be_told(now.stops)}
    return {
        "schema": SCHEMA_VERSION,
        "kind": "weighing",
        "program": __version__,
        "book": {"version": one_line(book.version), "fingerprint": book.fingerprint},
        "case": {
            "id": now.case.id,
            "title": one_line(now.case.title),
            "opened": now.case.opened,
            "status": status_of(now.case),
            "phase": now.phase,
            "entries": len(now.case.entries),
        },
        "settled": is_settled(now),
        "unsafe": is_unsafe(now),
        "wet": now.situation.wet.value,
        "causes": _causes(now),
        "next": _next(now),
        "alternatives": [_alternative(a) for a in now.proposal.alternatives],
        "cautions": [
            {"id": h.id, "title": one_line(h.title), "cautions": [one_line(c, 600) for c in h.cautions]}
            for h in now.cautions
        ],
        "must_not": [_stop(rule, told) for rule in as_told(now.stops)],
        "problems": [one_line(text, 1000) for text in (*remarks, *now.problems)],
        "explain": _explain(now) if explained else None,
    }


def _causes(now: Standing) -> list[dict[str, Any]]:
    found = []
    for cause, chance in now.belief.ranked():
        if chance < LEAST_CHANCE:
            continue
        known = now.book.causes.get(cause)
        found.append(
            {
                "id": cause,
                "title": title_of(cause, now.book),
                "area": known.area if known else "exit",
                "kind": known.kind if known else "exit",
                "chance": chance,
            }
        )
    return found


def _next(now: Standing) -> dict[str, Any]:
    proposal = now.proposal
    step = find_step(now.book, proposal.step)
    return {
        "kind": proposal.kind,
        "step": proposal.step,
        "title": one_line(proposal.title),
        "toward": proposal.toward,
        "reason": [one_line(text, 600) for text in reason_words(proposal, now.book)],
        "setups": [_work(found) for name in proposal.setups if (found := find_step(now.book, name)) is not None],
        "steps": [one_line(text, 600) for text in step.steps] if step else [],
        "aloud": [one_line(text, 600) for text in step.aloud] if step else [],
        "tools": list(step.tools) if step else [],
        "ask": [_question(item, now.book) for item in step.yields] if isinstance(step, Check) else [],
        "gain_nats": round(proposal.gain, 6),
        "saves_minutes": round(proposal.worth, 3),
        "minutes": round(proposal.minutes, 3),
    }


def _work(step: Step) -> dict[str, Any]:
    return {"id": step.id, "title": one_line(step.title), "steps": [one_line(text, 600) for text in step.steps]}


def _question(item: Yield, book: RuleBook) -> dict[str, Any]:
    if item.sign:
        sign = book.signs[item.sign]
        return {"sign": item.sign, "reading": "", "at": "", "ask": one_line(sign.ask, 300),
                "answers": [*sign.possible, "not known"]}  # fmt: skip
    kind, point = book.readings[item.reading], book.points[item.at]
    ask = f"{one_line(kind.ask)} ({one_line(point.title)})"
    return {"sign": "", "reading": item.reading, "at": item.at, "ask": ask, "answers": []}


def _alternative(other: Alternative) -> dict[str, Any]:
    return {
        "step": other.step,
        "title": one_line(other.title),
        "kind": other.kind,
        "gain_nats": round(other.gain, 6),
        "minutes": round(other.minutes, 3),
        "setups": list(other.setups),
        "allowed": other.verdict.allowed,
        "why_not": one_line(other.verdict.why, 600),
        "until": one_line(other.verdict.until, 600),
        "note": one_line(note_words(other), 600),
    }


def _stop(rule: StopRule, told: Collection[str]) -> dict[str, Any]:
    return {
        "id": rule.id,
        "title": one_line(rule.title),
        "finding": is_danger(rule),
        "told": rule.id in told,
        "forbids": list(rule.forbids),
        "why": one_line(rule.why, 600),
        "until": one_line(rule.until, 600),
        "do_now": [one_line(text, 300) for text in rule.do_now],
    }


# ------------------------------------------------------------------ explained

READING_CAUSES = 3


def _explain(now: Standing) -> dict[str, Any]:
    words = Words(now.book, now.case.unit_pressure)
    entries = {entry.number: entry_words(entry, words)[1] for entry in now.case.effective()}
    shown = [cause for cause, chance in now.belief.ranked() if chance >= 0.01 and cause in now.book.causes]
    misfit = now.misfit
    return {
        "weights": [
            {"entry": w.entry, "text": entries.get(w.entry, ""),
             "log10": {cause: w.log10[cause] for cause in shown if cause in w.log10}}
            for w in explain.weights(now.model, now.evidence)
        ],
        "readings": _readings(now, [c for c in shown if now.book.causes[c].is_physical][:READING_CAUSES]),
        "fits_least": {"entry": misfit.entry, "text": entries.get(misfit.entry or 0, ""), "surprise": misfit.surprise},
        "worth_asking": [
            {"field": f.field, "title": words.field(f.field), "nats": f.nats}
            for f in explain.unknown_worth(now.model, now.evidence)
        ],
        "since_last_written": _drift(now),
    }  # fmt: skip


def _readings(now: Standing, causes: list[str]) -> list[dict[str, Any]]:
    if now.model.physics is None or not now.evidence.readings:
        return []

    result = []
    for view in explain.reading_views(now.model, now.evidence, causes):
        kind = now.book.readings[view.reading]
        unit = now.case.unit_pressure if kind.quantity == "pressure" else None
        spreads = {"healthy": view.healthy, **view.causes}
        result.append(
            {
                "entry": view.entry,
                "reading": view.reading,
                "at": view.point,
                "value_si": view.value,
                "shown": shown_as_read(view.value, kind, unit),
                "predicted_si": {name: [s.p05, s.mean, s.p95] for name, s in spreads.items()},
                "predicted": {
                    name: f"{shown_as_read(s.p05, kind, unit)} to {shown_as_read(s.p95, kind, unit)}"
                    for name, s in spreads.items()
                },
            }
        )
    return result


def _drift(now: Standing) -> list[str]:
    """What today's rules make of the last ranking that was written into the case, in sentences."""
    written = case_as_believed(now.case)
    if written is None:
        return []
    case, then = written
    again = standing(case, now.book)
    titles = {name: title_of(name, now.book) for name in (*now.book.causes, *EXITS)}
    return list(drift(then, again.belief.ranked(), now.book).words(titles))


# ------------------------------------------------------------------ the layout


def _object(fields: dict[str, Any]) -> dict[str, Any]:
    return {"type": "object", "properties": fields, "required": list(fields)}


def _list(item: dict[str, Any]) -> dict[str, Any]:
    return {"type": "array", "items": item}


_TEXT: dict[str, Any] = {"type": "string"}
_NUMBER: dict[str, Any] = {"type": "number"}
_WHOLE: dict[str, Any] = {"type": "integer"}
_FLAG: dict[str, Any] = {"type": "boolean"}
_SHARE: dict[str, Any] = {"type": "number", "minimum": 0, "maximum": 1}

_EXPLAIN = _object(
    {
        "weights": _list(_object({"entry": _WHOLE, "text": _TEXT,
                                  "log10": {"type": "object", "additionalProperties": _NUMBER}})),
        "readings": _list(
            _object({"entry": _WHOLE, "reading": _TEXT, "at": _TEXT, "value_si": _NUMBER, "shown": _TEXT,
                     "predicted_si": {"type": "object", "additionalProperties": {**_list(_NUMBER), "minItems": 3,
                                                                                 "maxItems": 3}},
                     "predicted": {"type": "object", "additionalProperties": _TEXT}})
        ),
        "fits_least": _object({"entry": {"type": ["integer", "null"]}, "text": _TEXT, "surprise": _NUMBER}),
        "worth_asking": _list(_object({"field": _TEXT, "title": _TEXT, "nats": _NUMBER})),
        "since_last_written": _list(_TEXT),
    }
)  # fmt: skip

SCHEMA: dict[str, Any] = {
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    "title": "Where a job stands",
    **_object(
        {
            "schema": {"const": SCHEMA_VERSION, "description": "Version of this layout."},
            "kind": {"const": "weighing"},
            "program": {**_TEXT, "description": "Version of the program."},
            "book": {**_object({"version": _TEXT, "fingerprint": _TEXT}), "description": "The rule book used now."},
            "case": _object(
                {"id": _TEXT, "title": _TEXT, "opened": _TEXT, "status": {"enum": list(STATUSES)},
                 "phase": {"enum": ["story", "checking", "remedy", "proof", "closed"]}, "entries": _WHOLE}
            ),
            "settled": {**_FLAG, "description": "Nothing is left to find out: exit code 0."},
            "unsafe": {**_FLAG, "description": "A stop rule answers to a finding, or the next step is: stop. Code 5."},
            "wet": {"enum": [w.value for w in Wet], "description": "What is known about fuel outside the system."},
            "causes": {
                **_list(_object({"id": _TEXT, "title": _TEXT, "area": _TEXT, "kind": _TEXT, "chance": _SHARE})),
                "description": "Likeliest first, chance of being present now. Several can be true at once, so the "
                "chances may sum to more than 1. nothing-wrong and not-in-book are the two exits.",
            },
            "next": _object(
                {"kind": {"enum": ["check", "remedy", "prove", "stop", "hand on", "close"]}, "step": _TEXT,
                 "title": _TEXT, "toward": {**_TEXT, "description": "The check that a look-over opens the way to."},
                 "reason": _list(_TEXT),
                 "setups": {**_list(_object({"id": _TEXT, "title": _TEXT, "steps": _list(_TEXT)})),
                            "description": "Done first, in this order."},
                 "steps": _list(_TEXT), "aloud": {**_list(_TEXT), "description": "The steps as said on the phone."},
                 "tools": _list(_TEXT),
                 "ask": {**_list(_object({"sign": _TEXT, "reading": _TEXT, "at": _TEXT, "ask": _TEXT,
                                          "answers": _list(_TEXT)})),
                         "description": "What the step answers: a sign, or a reading at a point."},
                 "gain_nats": {**_NUMBER, "description": "Expected information about the causes."},
                 "saves_minutes": {**_NUMBER, "description": "Minutes of later work saved on average."},
                 "minutes": {**_NUMBER, "description": "Time with setups and risk as priced."}}
            ),
            "alternatives": _list(
                _object({"step": _TEXT, "title": _TEXT, "kind": {"enum": ["check", "remedy"]}, "gain_nats": _NUMBER,
                         "minutes": _NUMBER, "setups": _list(_TEXT), "allowed": _FLAG, "why_not": _TEXT,
                         "until": _TEXT, "note": _TEXT})
            ),
            "cautions": {**_list(_object({"id": _TEXT, "title": _TEXT, "cautions": _list(_TEXT)})),
                         "description": "Of the next step and its setups."},
            "must_not": {
                **_list(_object({"id": _TEXT, "title": _TEXT, "finding": _FLAG, "told": _FLAG,
                                 "forbids": _list(_TEXT), "why": _TEXT, "until": _TEXT, "do_now": _list(_TEXT)})),
                "description": "Stop rules in force. finding: it answers to something found. told: false when "
                "another rule says the same for this kind of person.",
            },
            "problems": {**_list(_TEXT), "description": "Remarks on the file, contradictions, unknown names."},
            "explain": {"anyOf": [{"type": "null"}, _EXPLAIN], "description": "Filled with --explain."},
        }
    ),
}  # fmt: skip
