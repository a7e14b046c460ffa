"""From a case and what replaying it says to a Sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from diag.casework import entries as e
from diag.casework.replay import Standing
from diag.casework.summary import status_of
from diag.design.pressure import healthy_band
from diag.fuelsystem.car import Car, hose_off_target
from diag.inference import explain
from diag.inference.posterior import NOT_IN_BOOK, Belief
from diag.presentation.drawing.system import system_drawing
from diag.presentation.reasons import reason_words
from diag.presentation.report.sheet import Chart, CourseStep, Dot, Line, LogLine, PartFacts, Ranked, Sheet, Stop, Work
from diag.presentation.stop_rules import to_be_told
from diag.presentation.wording import EXITS, Words, entry_words
from diag.rulebook.findings import NOT_KNOWN
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check, Remedy, Step
from diag.safety.steps import find_step
from diag.support.text import clean, one_line

USUAL_VACUUM = 61_000.0  # Pa below atmosphere, about 18 inHg at idle; common practice, no source
MOST_RANKED = 12
_WEIGHTS = ((1.0, "speaks strongly for"), (0.3, "speaks for"), (0.1, "speaks a little for"))


def sheet_of(case: e.Case, book: RuleBook, standing: Standing, workings: bool = True) -> Sheet:
    """The sheet of a job. ``workings`` adds weights of evidence and the course of belief, which cost time."""
    counted = case.effective()
    words = Words(book, case.unit_pressure)
    outcome = next((entry for entry in reversed(counted) if isinstance(entry, e.Outcome)), None)
    ranking = _ranking(standing, words)
    done = [entry.step for entry in counted if isinstance(entry, e.StepDone)]
    remedies = _remedies(book, standing, words, done)
    # One after the other: both begin with the same beliefs.
    weighed, surprise = (_weights(standing, ranking), _surprise(standing)) if workings else ({}, "")
    return Sheet(
        id=case.id,
        title=one_line(case.title),
        opened=case.opened,
        changed=case.entries[-1].at if case.entries else case.opened,
        status=status_of(case),
        people=tuple(dict.fromkeys(one_line(entry.who, 60) for entry in case.entries)),
        book=one_line(f"{book.version} ({book.fingerprint[:12]})"),
        car=_car(counted, words),
        complaint=_complaint(counted, words),
        log=_log(case, words, weighed),
        ranking=ranking,
        course=_course(standing, words) if workings else (),
        chart=_with_band(_chart(counted, book, standing, case.unit_pressure), standing.car, workings),
        stops=_stops(standing),
        cautions=words.cautions(dict.fromkeys(h for work in _steps_ahead(book, standing, done) for h in work.hazards)),
        remedies=tuple(remedies),
        proof=_proof(book, words, counted, [work.id for work in remedies]),
        outcome=outcome.result if outcome else "",
        outcome_causes=tuple(words.ranked(cause, standing) for cause in outcome.causes) if outcome else (),
        proven=outcome.proven if outcome else False,
        outcome_text=one_line(outcome.text, 2000) if outcome else "",
        advice=_advice(standing, book),
        setting=_setting(standing, book),
        part=_part(counted),
        problems=tuple(one_line(str(problem), 300) for problem in standing.problems),
        surprise=surprise,
        drawing=system_drawing(standing) if workings else None,
    )


# --- the parts of a sheet ------------------------------------------------------------------------------------------


def _ranking(standing: Standing, words: Words) -> tuple[Ranked, ...]:
    cured = any(epoch.cured for epoch in standing.evidence.epochs)
    pairs = ranked_ever(standing.belief) if cured else standing.belief.ranked()
    result = []
    for cause_id, chance in pairs[:MOST_RANKED]:
        title, in_words, area = words.cause(cause_id)
        result.append(Ranked(cause_id, title, chance, in_words, area))
    return tuple(result)


def ranked_ever(belief: Belief) -> list[tuple[str, float]]:
    """Causes by the chance that they were there at some time of this job: what counts once a remedy was done."""
    pairs = [(cause, round(float(p), 6)) for cause, p in zip(belief.causes, belief.ever, strict=True)]
    pairs.append((NOT_IN_BOOK, round(belief.out_of_book, 6)))
    return sorted(pairs, key=lambda pair: (-pair[1], pair[0]))


def _car(counted: Sequence[e.Entry], words: Words) -> tuple[Line, ...]:
    told = {entry.field: entry.text for entry in counted if isinstance(entry, e.CarFact)}
    return tuple(Line(words.field(name), one_line(text, 200)) for name, text in told.items() if text)


def _complaint(counted: Sequence[e.Entry], words: Words) -> tuple[str, ...]:
    """Symptoms told as present."""
    found = []
    for entry in counted:
        sign = words.book.signs.get(entry.sign) if isinstance(entry, e.SignAnswer) else None
        if sign and sign.symptom and isinstance(entry, e.SignAnswer) and entry.answer not in ("absent", "not known"):
            found.append(one_line(sign.title))
    return tuple(dict.fromkeys(found))


def _weights(standing: Standing, ranking: Sequence[Ranked]) -> dict[int, str]:
    """What each entry says about the leading cause, in words."""
    leader = next((r for r in ranking if r.id not in EXITS), None)
    if leader is None:
        return {}
    result = {}
    for weight in explain.weights(standing.model, standing.evidence):
        value = weight.log10.get(leader.id, 0.0)
        words = next((w for limit, w in _WEIGHTS if abs(value) >= limit), "says little about")
        if value < 0:
            words = words.replace(" for", " against")
        result[weight.entry] = f"{words} the leading cause ({value:+.1f})"
    return result


def _log(case: e.Case, words: Words, weights: dict[int, str]) -> tuple[LogLine, ...]:
    ends: dict[int, tuple[str, int]] = {}
    for entry in case.entries:
        if isinstance(entry, e.Retracted):
            ends[entry.target] = ("taken back", entry.number)
        elif isinstance(entry, e.Replaced):
            ends[entry.target] = ("corrected", entry.number)
    lines = []
    for entry in case.entries:
        kind, text = entry_words(entry, words)
        state, by = ends.get(entry.number, ("", 0))
        weight = weights.get(entry.number, "")
        lines.append(LogLine(entry.number, entry.at, one_line(entry.who, 60), kind, text, state, by, weight))
    return tuple(lines)


def _course(standing: Standing, words: Words) -> tuple[CourseStep, ...]:
    steps = []
    for step in explain.running(standing.model, standing.evidence):
        chances = {cause: chance for cause, chance in step.ranked if chance >= 0.001}
        titles = {cause: words.cause(cause)[0] for cause in chances}
        steps.append(CourseStep(step.entry, str(step.entry), chances, titles))
    return tuple(steps)


def _stops(standing: Standing) -> tuple[Stop, ...]:
    return tuple(
        Stop(one_line(s.title), one_line(s.why, 600), one_line(s.until, 600), tuple(one_line(d, 300) for d in s.do_now))
        for s in to_be_told(standing.stops)
    )


def _steps_ahead(book: RuleBook, standing: Standing, done: Sequence[str]) -> list[Step]:
    """The proposed step with its setups and every remedy already done: their cautions belong on the sheet."""
    proposal = standing.proposal
    names = [*(proposal.setups if proposal else ()), *([proposal.step] if proposal else ()),
             *(step for step in done if step in book.remedies)]  # fmt: skip
    return [step for name in names if (step := find_step(book, name)) is not None]


def _remedies(book: RuleBook, standing: Standing, words: Words, done: Sequence[str]) -> list[Work]:
    """Remedies done; else the proposed one; else those of the leading cause once it stands out."""
    chosen = [name for name in dict.fromkeys(done) if name in book.remedies]
    proposal = standing.proposal
    if proposal and proposal.kind == "remedy" and proposal.step in book.remedies and proposal.step not in chosen:
        chosen.append(proposal.step)
    decided = bool(chosen)
    if not chosen:
        ranked = [(cause, p) for cause, p in standing.belief.ranked() if cause in book.causes]
        if ranked and ranked[0][1] >= 0.5:
            chosen = list(book.causes[ranked[0][0]].remedies[:1])
    return [_work(book.remedies[name], words, name in done, decided) for name in chosen if name in book.remedies]


def _work(step: Step, words: Words, done: bool, decided: bool = True) -> Work:
    parts = tuple(one_line(p) for p in step.parts) if isinstance(step, Remedy) else ()
    steps = tuple(one_line(s, 600) for s in step.steps)
    return Work(step.id, one_line(step.title), steps, parts, step.minutes, words.cautions(step.hazards), done, decided)


def _proof(book: RuleBook, words: Words, counted: Sequence[e.Entry], remedies: Sequence[str]) -> tuple[Work, ...]:
    """The proof checks of the remedies; done only when done or fully answered after the remedy."""
    result: dict[str, Work] = {}
    for name in remedies:
        at = max((i for i, x in enumerate(counted) if isinstance(x, e.StepDone) and x.step == name), default=None)
        after = counted[at + 1 :] if at is not None else ()
        for check in book.remedies[name].proof:
            if check in book.checks:
                result[check] = _work(book.checks[check], words, _answered(book.checks[check], after))
    return tuple(result.values())


def _answered(check: Check, after: Sequence[e.Entry]) -> bool:
    """Whether the check was done, or everything it yields was told, since the remedy."""
    if any(isinstance(x, e.StepDone) and x.step == check.id for x in after):
        return True
    signs = {x.sign for x in after if isinstance(x, e.SignAnswer) and x.answer != NOT_KNOWN}
    read = {(x.reading, x.point) for x in after if isinstance(x, e.ReadingTaken)}
    told = [y.sign in signs if y.sign else (y.reading, y.at) in read for y in check.yields]
    return bool(told) and all(told)


def _advice(standing: Standing, book: RuleBook) -> tuple[str, ...]:
    proposal = standing.proposal
    if proposal is None:
        return ()
    return (one_line(proposal.title), *(one_line(reason, 600) for reason in reason_words(proposal, book)))


def _setting(standing: Standing, book: RuleBook) -> tuple[Line, ...]:
    """Where the car stands, for whoever takes over."""
    s = standing.situation
    setups = ", ".join(one_line(book.setups[name].title) for name in sorted(s.setups) if name in book.setups)
    return (
        Line("Fuel outside the system", s.wet.value),
        Line("Pressure in the system", s.pressure.value),
        Line("System", "open" if s.system_open else "closed"),
        Line("Pump fuse or relay", "out" if s.fuse_out else "in"),
        Line("In place", setups or "nothing that is known of"),
    )


def _part(counted: Sequence[e.Entry]) -> PartFacts:
    def told(about: str) -> tuple[str, ...]:
        return tuple(one_line(x.text, 500) for x in counted if isinstance(x, e.KeptEvidence) and x.about == about)

    return PartFacts(told("photo"), told("mark"), told("bought"), told("found inside"))


def _surprise(standing: Standing) -> str:
    """One sentence when an entry fits badly."""
    entry = standing.misfit.entry
    if entry is None or standing.misfit.surprise < 1.0:
        return ""
    return f"Entry {entry} fits least with all the others; it is worth repeating."


def chart_of(case: e.Case, book: RuleBook, standing: Standing) -> Chart:
    """The readings of a job that belong over manifold pressure, and the target; costs no belief."""
    return _chart(case.effective(), book, standing, case.unit_pressure)


def _chart(counted: Sequence[e.Entry], book: RuleBook, standing: Standing, unit: str) -> Chart:
    dots = [d for x in counted if isinstance(x, e.ReadingTaken) and (d := _dot(x, book, standing)) is not None]
    return Chart(tuple(dots), hose_off_target(standing.car), unit)


def _with_band(chart: Chart, car: Car, workings: bool) -> Chart:
    """The same with what sound cars like this one would show, from the lowest to the highest reading."""
    if not (workings and chart.dots):
        return chart
    at = [dot.manifold for dot in chart.dots] + [0.0]
    low, high = min(at), max(at)
    return replace(chart, band=healthy_band(car, low if low < high else -USUAL_VACUUM, high))


def _dot(entry: e.ReadingTaken, book: RuleBook, standing: Standing) -> Dot | None:
    """A rail pressure taken with the pump running and nothing else disturbed; other readings have no place here."""
    point = book.points.get(entry.point)
    if entry.reading != "rail pressure" or point is None or entry.gauge != "main":
        return None
    settings = {**point.settings, **entry.conditions}
    usual = {"screw": "as found", "return": "as fitted", "clamp": "none", "speed": "full", "supply": "as wired"}
    if settings.get("pump", "on") != "on" or any(settings.get(name, word) != word for name, word in usual.items()):
        return None
    manifold, assumed = _manifold(settings, standing)
    label = clean(point.title, 60)
    after = any(r.entry == entry.number and r.epoch > 0 for r in standing.evidence.readings)
    return Dot(entry.number, label, manifold, entry.value, entry.low, entry.high, entry.bound, assumed, after)


def _manifold(settings: dict[str, str | float], standing: Standing) -> tuple[float, bool]:
    """Pressure at the regulator's reference, gauge Pa, and whether it had to be assumed."""
    if settings.get("hose") == "off":
        return 0.0, False
    for name, sign in (("reference", 1.0), ("vacuum", -1.0), ("boost", 1.0)):
        value = settings.get(name)
        if isinstance(value, int | float):
            return sign * float(value), False
    engine = settings.get("engine", "off")
    if engine in ("idle", "cruise"):
        known = standing.car.number("idle-vacuum")
        return -(USUAL_VACUUM if known is None else known), known is None or engine != "idle"
    if engine == "full load":
        boost = standing.car.number("boost")
        return (boost or 0.0), boost is None
    return 0.0, False
