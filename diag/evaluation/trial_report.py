"""The figures of a trial in words, for a rule author: what is good, what limits it, and where to look."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from diag.evaluation.scores import Bin, Estimate
from diag.evaluation.trial import Figures, TrialOutcome, confusion
from diag.rulebook.model import RuleBook

MOST_CAUSES = 25
LAST_STEPS = 4  # of a missed case, told so that a rule author sees where it went


def trial_text(outcome: TrialOutcome, found: Figures, book: RuleBook) -> str:
    """One trial."""
    plan = outcome.plan
    cases = len({c.case for c in outcome.courses if c.case})
    lines = [
        f"{found.jobs} simulated jobs{f' from {cases} written cases' if cases else ''}, generator '{plan.generator}', "
        f"tools '{plan.kits}', order '{plan.order}', seed {plan.seed}, rule book {book.version}",
        f"{outcome.seconds:.0f} s of work, {found.proposals} proposals, {len(found.forbidden)} forbidden",
        "",
        "When the first remedy, close or hand-on was proposed (share, 95 % interval):",
        _share("  a true cause leads", found.at_1, found.ceiling_at_1),
        _share("  a true cause is among the first three", found.at_3, found.ceiling_at_3),
        _share("  the remedy needed leads", found.remedy_at_1, found.ceiling_remedy_at_1),
        _share("  the remedy needed is among the first three", found.remedy_at_3, found.ceiling_remedy_at_3),
        _share("  that first step is right", found.first_step_right, None),
        _share("  the job ended rightly", found.proven, None),
        "  (ceiling: the same with the answer to every check this person may do)",
        "",
        f"minutes to the end of the job      {_figure(found.minutes)}",
        f"minutes until that first step      {_figure(found.finding_minutes)}",
        f"checks                             {_figure(found.checks)}   median {_figure(found.middle_checks, 0)}",
        f"  until that first step            median {_figure(found.finding_checks, 0)}",
        f"lines of the line mode             median {_figure(found.lines, 0)}",
        f"  until that first step            median {_figure(found.finding_lines, 0)}",
        f"questions and readings             {_figure(found.questions)}   median {_figure(found.middle_questions, 0)}",
        f"  questions of talk                {_figure(found.talk)}",
        f"  measurements                     {_figure(found.measured)}",
        f"jobs with two faults, all cured    {found.doubles_cured} of {found.doubles}",
        f"remedies that cured nothing        {_figure(found.needless, 3)}",
        f"most often proposed the same       {found.again} times in a job",
        "",
        f"Brier score over all causes        {_figure(found.brier, 3)}",
        f"calibration error of the leader    {_figure(found.leader_error, 3)}",
        f"calibration error, all causes      {found.all_error:.4f}",
        "",
        "How sure, and how often right (leading cause at that moment):",
        *_table(found.leader_table),
        "",
        "The same for every cause above 0.1 %:",
        *_table(found.all_table),
        "",
        "How the jobs ended:",
        *(f"  {count:6d}  {end}" for end, count in found.ends.items()),
        "",
        "Causes missed most (jobs, led rightly, what led instead):",
        *_confused(outcome),
    ]
    if cases:
        lines += ["", "Written cases missed:", *(_missed_lines(missed(outcome)) or ["  none"])]
    if found.forbidden:
        lines += ["", "Forbidden proposals:", *(f"  {why}" for why in sorted(set(found.forbidden))[:20])]
    return "\n".join(lines)


def _share(words: str, value: Estimate, ceiling: Estimate | None) -> str:
    line = f"{words:<45} {value}"
    return f"{line}   ceiling {ceiling}" if ceiling is not None else line


def _figure(value: Estimate, digits: int = 1) -> str:
    return f"{value.value:.{digits}f} ({value.low:.{digits}f} to {value.high:.{digits}f})"


def _table(bins: Sequence[Bin]) -> list[str]:
    rows = ["   said from  to      number   said    true"]
    rows += [f"       {b.low:.2f}  {b.high:.2f}   {b.count:7d}   {b.said:.3f}   {b.was:.3f}" for b in bins]
    return rows


def _confused(outcome: TrialOutcome) -> list[str]:
    lines = []
    for name, jobs, hits, instead in confusion(outcome)[:MOST_CAUSES]:
        if hits == jobs:
            break
        wrong = ", ".join(f"{n} {k}" for n, k in sorted(instead.items(), key=lambda e: (-e[1], e[0]))[:4])
        lines.append(f"  {name:<32} {jobs:4d} {hits:4d}   {wrong}")
    return lines


def missed(outcome: TrialOutcome) -> list[dict[str, Any]]:
    """The jobs from written cases that did not go as they should, and how they went."""
    rows = []
    for c in outcome.courses:
        wrongs = {
            "another cause led": bool(c.ranking) and c.ranking[0][0] not in c.right_names,
            "first step wrong": bool(c.ranking) and not c.first_step_right,
            "ended wrongly": not c.right_end,
            "a remedy cured nothing": c.needless > 0,
            "forbidden": bool(c.forbidden),
        }
        what = [name for name, wrong in wrongs.items() if wrong]
        if c.case and what:
            chances = dict(c.ranking)
            rows.append({
                "case": c.case, "job": c.number, "what": what, "end": c.end, "true": sorted(c.right_names),
                "led": [[name, round(chance, 3)] for name, chance in list(chances.items())[:3]],
                "minutes": round(c.minutes, 1), "remedies": list(c.remedies), "steps": list(c.steps),
            })  # fmt: skip
    return rows


def _missed_lines(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    lines = []
    for row in rows:
        led = ", ".join(f"{name} {100 * chance:.0f} %" for name, chance in row["led"]) or "never asked for"
        lines += [
            f"  {row['case']} (job {row['job']}): {', '.join(row['what'])}; {row['end']}, {row['minutes']:.0f} minutes",
            f"      true: {' or '.join(row['true'])}; led: {led}",
            f"      last steps: {', '.join(row['steps'][-LAST_STEPS:])}",
        ]
    return lines


def comparison_text(found: Mapping[str, Figures]) -> str:
    """Several orders side by side on the same jobs."""
    lines = ["order        ended rightly  first step right  minutes  of which finding  checks  needless remedies"]
    for name, f in found.items():
        lines.append(
            f"{name:<12} {f.proven.value:13.3f} {f.first_step_right.value:17.3f} {f.minutes.value:8.1f}"
            f" {f.finding_minutes.value:17.1f} {f.checks.value:7.1f} {f.needless.value:18.3f}"
        )
    base = found.get("flowchart")
    ours = found.get("engine")
    if base is not None and ours is not None and base.minutes.value > 0:
        lines += ["", f"engine against flowchart: {100 * (1 - ours.minutes.value / base.minutes.value):.0f} % fewer "
                  f"minutes in all, {100 * (1 - ours.finding_minutes.value / base.finding_minutes.value):.0f} % fewer "
                  "to find the cause"]  # fmt: skip
    return "\n".join(lines)


def as_data(found: Figures) -> dict[str, Any]:
    """The figures for scripts."""

    def plain(value: Any) -> Any:
        if isinstance(value, Estimate):
            return {"value": value.value, "from": value.low, "to": value.high}
        if isinstance(value, Bin):
            return {"low": value.low, "high": value.high, "count": value.count, "said": value.said, "was": value.was}
        if isinstance(value, Mapping):
            return dict(value)
        if isinstance(value, tuple):
            return [plain(v) for v in value]
        return value

    return {name: plain(getattr(found, name)) for name in Figures.__dataclass_fields__}
