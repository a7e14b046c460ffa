"""Where a job stands, as text of one screen or so: what is unsafe first, then the causes, then the next step."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from typing import Any

from diag.presentation.figures import chance_words, percent
from diag.presentation.stop_rules import act_words

WIDTH = 78
LEAST_SHOWN = 0.005
MOST_SHOWN = 8


def weighing_text(told: Mapping[str, Any]) -> str:
    """The text of a ``weighing`` document."""
    out: list[str] = []
    case = told["case"]
    out += _fold(f"{case['title']}  (job {case['id']}, {case['status']}, {case['entries']} entries)")
    for rule in sorted(
        (r for r in told["must_not"] if r["told"]), key=lambda r: (not r["finding"], -len(r["forbids"]))
    ):
        out += ["", *_stop(rule)]
    out += ["", "Causes", "------", *_causes(told)]
    out += ["", *_next(told)]
    if told["cautions"]:
        out += ["", "Cautions for this step", "----------------------"]
        out += [line for c in told["cautions"] for line in _item(f"{c['title']}: {' '.join(c['cautions'])}")]
    others = [a for a in told["alternatives"] if a["allowed"] and a["step"] != told["next"]["step"]][:4]
    if others:
        out += ["", "Instead of that", "---------------"]
        out += [line for a in others for line in _item(_other(a))]
    if told["explain"]:
        out += _explained(told["explain"], {c["id"]: c["title"] for c in told["causes"]})
    if told["problems"]:
        out += ["", "Problems", "--------"]
        out += [line for text in told["problems"] for line in _item(text)]
    out += ["", f"Rule book {told['book']['version']} ({told['book']['fingerprint'][:12]})."]
    return "\n".join(out) + "\n"


def _fold(text: str, first: str = "", later: str = "") -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=later, break_on_hyphens=False) or [""]


def _item(text: str, mark: str = "- ") -> list[str]:
    return _fold(text, mark, "  ")


def _stop(rule: Mapping[str, Any]) -> list[str]:
    head = "STOP" if rule["finding"] else "NOT YET"
    lines = _fold(f"{head}: {rule['title']}. {rule['why']}")
    lines += [line for text in rule["do_now"] for line in _item(text, "! ")]
    lines += _fold(f"Now: {act_words(rule['forbids'])}.", later="  ")
    return lines + _fold(f"Until: {rule['until']}", later="  ")


def _causes(told: Mapping[str, Any]) -> list[str]:
    shown = [c for c in told["causes"] if c["chance"] >= LEAST_SHOWN][:MOST_SHOWN]
    lines = [f"{percent(c['chance']):>9}  {c['title']} ({chance_words(c['chance'])})" for c in shown]
    more = len(told["causes"]) - len(shown)
    return [*lines, f"           and {more} more, each less likely"] if more else lines


def _next(told: Mapping[str, Any]) -> list[str]:
    step = told["next"]
    kind = {"check": "Next check", "prove": "Next step of the proof", "remedy": "Remedy", "stop": "Stop here",
            "hand on": "Hand the job on", "close": "Close the job"}[step["kind"]]  # fmt: skip
    lines = [*_fold(f"{kind}: {step['title']}")]
    lines[-1:] = [lines[-1], "-" * min(WIDTH, len(lines[-1]))]
    lines += [line for text in step["reason"] for line in _fold(text)]
    for setup in step["setups"]:
        lines += _fold(f"First: {setup['title']}", later="  ")
        lines += [line for text in setup["steps"] for line in _fold(text, "    - ", "      ")]
    lines += [line for n, text in enumerate(step["steps"], 1) for line in _fold(text, f"{n:>3}. ", "     ")]
    lines += [line for q in step["ask"] for line in _item(_question(q), "? ")]
    if step["minutes"]:
        lines.append(f"About {max(1, round(step['minutes']))} min with setting up.")
    return lines


def _question(question: Mapping[str, Any]) -> str:
    answers = f" [{', '.join(question['answers'])}]" if question["answers"] else ""
    return f"{question['ask']}{answers}"


def _other(other: Mapping[str, Any]) -> str:
    words = f"{other['title']}, about {max(1, round(other['minutes']))} min"
    return f"{words}: {other['note']}" if other["note"] else words


def _explained(told: Mapping[str, Any], titles: Mapping[str, str]) -> list[str]:
    lines = ["", "What each entry says", "--------------------"]
    quiet = []
    for weight in told["weights"]:
        most = sorted(weight["log10"].items(), key=lambda pair: (-abs(pair[1]), pair[0]))[:3]
        said = "; ".join(f"{_factor(value)} {titles.get(cause, cause)}" for cause, value in most if abs(value) >= 0.05)
        if said:
            lines += _item(f"Entry {weight['entry']}, {weight['text']}: {said}")
        else:
            quiet.append(str(weight["entry"]))
    if quiet:
        lines += _item(f"Entries that say little about any of them: {', '.join(quiet)}.")
    if told["readings"]:
        lines += ["", "Read and predicted", "------------------"]
    for view in told["readings"]:
        lines += _item(f"Entry {view['entry']}, {view['reading']} at {view['at']}: {view['shown']}")
        for name, span in view["predicted"].items():
            lines += _fold(
                f"{titles.get(name, 'nothing wrong' if name == 'healthy' else name)}: {span}", "    ", "      "
            )
    if told["fits_least"]["surprise"] >= 1.0:
        lines += ["", *_fold(f"Entry {told['fits_least']['entry']} fits least with the others: "
                             f"{told['fits_least']['text']}. It is worth repeating.")]  # fmt: skip
    if told["worth_asking"]:
        names = ", ".join(f["title"].lower() for f in told["worth_asking"][:3])
        lines += ["", *_fold(f"Not known of the car, and worth finding out: {names}.")]
    if told["since_last_written"]:
        lines += ["", *_fold(" ".join(told["since_last_written"]))]
    return lines


def _factor(log10: float) -> str:
    """A weight of evidence as a factor on the odds."""
    factor = 10.0 ** abs(log10)
    shown = f"{factor:.1f}" if factor < 10 else f"{min(factor, 99999):.0f}"
    return f"{shown} times {'for' if log10 > 0 else 'against'}"
