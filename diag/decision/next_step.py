"""The next step: the check that tells most about the remedy needed per minute, a remedy, its proof, or a stop.

Rule (measured by diag.evaluation against the exact optimum on parts of the book): among the checks that save more
minutes of repair than they cost, the one with the highest expected fall in the summed entropy of the groups of causes
cured together, per minute with risk, shared setup minutes and borrowed tools; when none saves, the remedy by chance
over cost. The car is handed on only when no allowed check gains a thousandth of a nat per minute and no remedy pays,
and a job is not closed on a likelihood while the complaint was seen again after a repair. The safety wall is asked
about every step and every setup on the way; nothing that it refuses is ever proposed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from diag.decision.groups import (
    Groups,
    Top,
    can_go,
    ends_job,
    explains_only,
    make_groups,
    price,
    put_aside,
    top_rows,
)
from diag.decision.information_gain import Prospect, Score, gains, prospect, repair_now, saving
from diag.decision.proposal import Alternative, Kind, Proposal
from diag.decision.repair_price import Floats
from diag.inference.evidence import Evidence
from diag.inference.fault_sets import Ints
from diag.inference.model import Model
from diag.inference.posterior import NOT_IN_BOOK, NOTHING_WRONG, Belief
from diag.presentation import reasons
from diag.rulebook.model import PRESENT, Check, Remedy, RuleBook, Step, Yield
from diag.safety.interlock import allowed, full_stop
from diag.safety.setups import Plan, Planner, planner_for
from diag.safety.situation import Situation, Wet
from diag.safety.steps import LOOK_STAGES, STAGE_STEP, STAGES, TRAINED, WIPE, find_step, look_check, questions_only

OutcomeTable = Callable[[Model, Evidence, Belief, Ints, Yield], tuple[tuple[str, ...], Floats]]

QUESTION_MINUTES = 0.5  # least price of one loose question: judgement, with the time to understand it
CONFIRMED = 0.95  # chance at which nothing is confirmed any more; below it ...
CONFIRM_SHARE = 0.15  # ... a check that takes no more than this share of what the step costs comes first ...
TELLS_MUCH = 0.08  # ... if it would tell this much, in nats. Judgement, kept within the bar against the best order
SURE = 0.98  # chance of a remedy from which nothing more is asked before it. Judgement
TELLS_ENOUGH = 0.02  # nats that a last loose question must tell. Judgement
LEAST_SAVING = 1.0  # minutes a check must save on average once a remedy stands out; prices are no finer. Judgement
TELLING_SHARE = 0.1  # of what the best check would tell, below which a loose question is left out: judgement
LEAST_TOLD = 0.003  # nats below which a question is not worth the breath
TELLING_RATE = 0.004  # nats per minute worth having before a job is closed with the complaint still there. Judgement
LEAST_RATE = 0.001  # nats per minute below which a check is not worth proposing
PRICED = 10  # most telling checks whose saving is worked out
PATIENCE = 1000.0  # minutes put on handing on while checks are weighed: two working days of trying remedies. Judgement
GUESS_AT = 0.35  # chance below which a remedy is a guess, which waits until nothing tells more. Judgement
CLOSE_AT = 0.5  # chance that nothing is wrong, below which the job is not closed: judgement
COMPLAINT_MINUTES = 20.0  # judgement: what it may cost to see whether a complaint is gone
NOT_CURED = 0.1  # chance that all is well, below which a proof is no longer worth finishing


@dataclass(frozen=True, slots=True)
class Candidate:
    """A check with its plan, outcomes and score."""

    plan: Plan
    prospect: Prospect
    score: Score
    ask: tuple[Yield, ...] = ()


@dataclass(frozen=True, slots=True)
class _Job:
    """Everything the choice looks at, gathered once."""

    model: Model
    belief: Belief
    evidence: Evidence
    situation: Situation
    planner: Planner
    groups: Groups
    top: Top

    @property
    def book(self) -> RuleBook:
        return self.model.book


def propose(
    model: Model, belief: Belief, evidence: Evidence, situation: Situation, table: OutcomeTable | None = None
) -> Proposal:
    """What to do next. ``table`` stands in for ``diag.inference.predictive.outcome_table`` in tests."""
    job = _gathered(model, belief, evidence, situation)
    return job if isinstance(job, Proposal) else _choose(job, table or _predicted)


def propose_by(
    model: Model,
    belief: Belief,
    evidence: Evidence,
    situation: Situation,
    pick: Callable[[Sequence[Plan]], Plan | None],
) -> Proposal:
    """The same with another order of checks, for comparison: ``pick`` chooses among all that are open.

    Safety, the proof of a remedy, and the choice of the remedy are as always; a check is asked for until the top group
    stands at ``commit_at`` or ``pick`` has had enough.
    """
    job = _gathered(model, belief, evidence, situation)
    if isinstance(job, Proposal):
        return job
    book, (group, share) = job.book, _leader(job)
    if share < job.book.knobs.commit_at or group == NOT_IN_BOOK:
        known = _known(evidence, situation)
        open_ = [
            check
            for check in job.book.checks.values()
            if not put_aside(check, situation) and _fresh(check, situation, known)
        ]
        plans = [plan for plan in (job.planner.plan(situation, check) for check in open_) if plan.verdict.allowed]
        chosen = pick(plans)
        if chosen is not None:
            ask = _fresh(book.checks[chosen.target.id], situation, known) if questions_only(chosen.target) else ()
            return replace(_proposal(job, "check", chosen, ()), ask=tuple(ask))
    return _remedy_or_end(job, group, share, ())


def _gathered(model: Model, belief: Belief, evidence: Evidence, situation: Situation) -> _Job | Proposal:
    """What the choice looks at, or the proposal where there is no choice: a stop, a proof, a look-over."""
    book, planner = model.book, planner_for(model.book)
    stop = _stop(situation, book)
    if stop is not None:
        return stop
    groups = make_groups(belief, book, situation, planner)
    job = _Job(model, belief, evidence, situation, planner, groups, top_rows(belief, groups, book, situation))
    return _handed_on(job) or _way_back(job) or _look_first(job) or _proof(job) or job


def _predicted(
    model: Model,
    evidence: Evidence,
    belief: Belief,
    rows: Ints,
    yield_: Yield,
) -> tuple[tuple[str, ...], Floats]:
    from diag.inference.predictive import outcome_table

    return outcome_table(model, evidence, belief, rows, yield_)


# ------------------------------------------------------------------ safety first


def _stop(situation: Situation, book: RuleBook) -> Proposal | None:
    """Fire, somebody hurt, or wet fuel and no training: no step at all."""
    rule = full_stop(situation, book)
    if rule is not None:
        words = (f"{rule.title}: {rule.why}", *rule.do_now, f"Until: {rule.until}")
        return Proposal("stop", "", rule.title, (), words)
    if situation.wet in (Wet.WET, Wet.REPAIRED) and situation.person == "untrained":
        return Proposal("stop", "", "Fuel outside the system", (), reasons.untrained_wet())
    return None


def _handed_on(job: _Job) -> Proposal | None:
    """A remedy that gives the car to somebody else was carried out: the job here is over."""
    for step_id in sorted(job.situation.done):
        remedy = job.book.remedies.get(step_id)
        if remedy is not None and not remedy.keeps_car:
            return Proposal("hand on", "", remedy.title, (), (f"Done: {remedy.title}. The rest is theirs.",))
    return None


def _way_back(job: _Job) -> Proposal | None:
    """The proof of a repaired leak goes on in its order, whatever else would be interesting."""
    situation, book = job.situation, job.book
    if situation.wet is not Wet.REPAIRED:
        return None
    stage = situation.proof_stage or STAGES[0]
    if situation.person not in TRAINED:
        return Proposal("hand on", "", "Hand the car to a mechanic", (), reasons.proof_needs_training(stage))
    step: Step | None = (
        look_check(book, after_repair=True) if stage in LOOK_STAGES else find_step(book, STAGE_STEP[stage])
    )
    if step is None:
        return Proposal("hand on", "", "Hand the car on", (), ("The rule book has no look-over to go on with.",))
    plan = job.planner.plan(situation, step)
    if not plan.verdict.allowed:
        words = (f"The repair is not proven yet: {plan.verdict.why}", f"Until: {plan.verdict.until}")
        return Proposal("stop", "", step.title, (), words)
    return _proposal(job, "prove", plan, reasons.stage(stage), kind_for_look="prove")


def _look_first(job: _Job) -> Proposal | None:
    """Nothing else is asked for while nobody has looked for wet fuel, unless the look-over was tried or refused."""
    situation = job.situation
    if situation.wet is not Wet.UNKNOWN or situation.looked:
        return None
    step = look_check(job.book, after_repair=_last_step(job) in job.book.remedies)
    if step is None or put_aside(step, situation):
        return None
    plan = job.planner.plan(situation, step)
    if not plan.verdict.allowed:
        return None
    kind: Kind = "prove" if _last_step(job) in job.book.remedies else "check"
    return _proposal(job, kind, plan, reasons.look_over(step))


def _last_step(job: _Job) -> str:
    return job.evidence.epochs[-1].step


def _proof(job: _Job) -> Proposal | None:
    """After a remedy: the checks that prove it, in its order, as long as they may still come out well."""
    remedy = job.book.remedies.get(_last_step(job))
    if remedy is None or not remedy.keeps_car:
        return None
    begun = any(c in job.situation.done for c in remedy.proof)
    known = _known(job.evidence, job.situation)
    if begun and job.belief.nothing < NOT_CURED:
        return None
    for check_id in remedy.proof:
        check = job.book.checks.get(check_id)
        if check is None or put_aside(check, job.situation):
            continue
        ask = tuple(_fresh(check, job.situation, known)) if questions_only(check) else ()
        if check_id in job.situation.done or (questions_only(check) and not ask):
            continue
        if check.look_over and job.situation.wet is Wet.DRY:
            continue  # a remedy ends every dry look, so this one was made after it
        plan = job.planner.plan(job.situation, check)
        if can_go(plan, job.situation):
            return replace(_proposal(job, "prove", plan, reasons.proof(remedy, check)), ask=ask)
        freeing = _frees(job, check)
        if freeing is not None:
            return _proposal(job, "prove", freeing, reasons.frees(freeing.target, plan.verdict))
    return None


def _frees(job: _Job, blocked: Check) -> Plan | None:
    """A safe check that asks again about the sign whose stop rule blocks the proof."""
    signs = {f.partition(":")[2] for f in job.situation.facts if f.startswith("sign:")}
    for check in job.book.checks.values():
        if check.id == blocked.id or put_aside(check, job.situation) or check.id in job.situation.done:
            continue
        if any(y.sign in signs for y in check.yields):
            plan = job.planner.plan(job.situation, check)
            if can_go(plan, job.situation):
                return plan
    return None


# ------------------------------------------------------------------ the choice


def _choose(job: _Job, table: OutcomeTable) -> Proposal:
    ranked = _candidates(job, table)
    usable = [c for c in ranked if can_go(c.plan, job.situation)]
    group, share = _leader(job)
    if share >= SURE and group != NOT_IN_BOOK:
        worth = []  # what else may be wrong shows after the repair, when the complaint is asked about
    elif share >= job.book.knobs.commit_at:
        paying = [c for c in _saving_only(job, usable) if c.score.saving > LEAST_SAVING]
        worth = [c for c in paying if c.score.rate >= LEAST_RATE and (not c.ask or c.score.gain >= TELLS_ENOUGH)]
    else:
        priced = [c for c in _saving_only(job, usable) if c.score.rate >= LEAST_RATE]
        worth = [c for c in priced if c.score.saving > 0.0]
        if not worth and share < GUESS_AT:  # nobody is helped by a guess while something still tells what it is
            worth = [c for c in priced if c.score.rate >= TELLING_RATE]
    others = _alternatives(job, ranked)
    if worth:
        return _check_proposal(job, _looked_first(job, worth), others)
    telling = [c for c in usable if c.score.rate >= LEAST_RATE]
    end = _remedy_or_end(job, group, share, others, any(c.score.rate >= TELLING_RATE for c in telling))
    if end.kind == "hand on" and telling:
        return _check_proposal(job, telling[0], others)
    sure_first = _confirm(job, end, share, telling)
    if sure_first is not None:
        return _check_proposal(job, sure_first, others, reasons.confirm())
    return end


def _confirm(job: _Job, end: Proposal, share: float, telling: list[Candidate]) -> Candidate | None:
    """Before a dear step, a check that is cheap beside it and still tells something, while there is some doubt.

    Minutes alone would allow changing a return line, or sending the car away, on nine chances in ten; nobody explains
    that to an owner, and one slip of the tongue is enough to be wrong.
    """
    names = {"remedy": end.toward or end.step, "close": NOTHING_WRONG}
    name = names.get(end.kind, "")
    if name not in job.groups.names or share >= CONFIRMED:
        return None
    most = CONFIRM_SHARE * float(job.top.prices.minutes[job.groups.names.index(name)])
    return next((c for c in telling if c.score.minutes <= most and c.score.gain >= TELLS_MUCH), None)


def _looked_first(job: _Job, worth: list[Candidate]) -> Candidate:
    """The best one; while fuel is outside, looking for where it comes from goes before asking how the car runs."""
    if job.situation.wet is Wet.WET:
        return next((c for c in worth if not c.ask), worth[0])
    return worth[0]


def _leader(job: _Job) -> tuple[str, float]:
    shares = job.top.prices.shares(job.top.weights[:, None])[:, 0]
    best = int(shares.argmax())
    return job.groups.names[best], float(shares[best])


def _candidates(job: _Job, table: OutcomeTable) -> list[Candidate]:
    """Every check that could still tell something, best rate first, whether a safe way exists or not."""
    book, top = job.book, job.top
    known = _known(job.evidence, job.situation)
    cache: dict[Yield, tuple[tuple[str, ...], Floats]] = {}

    def table_of(yield_: Yield) -> tuple[tuple[str, ...], Floats]:
        if yield_ not in cache:
            cache[yield_] = table(job.model, job.evidence, job.belief, top.numbers, yield_)
        return cache[yield_]

    linked = job.model.words.linked
    prospects: list[Prospect] = []
    asks: list[tuple[Yield, ...]] = []
    for check in book.checks.values():
        fresh = _fresh(check, job.situation, known)
        loose = questions_only(check)
        # A question that no cause bears on is asked for safety, not to find the cause.
        for part in [[y] for y in fresh if y.sign in linked] if loose else [fresh] if fresh else []:
            found = prospect(check, part, top, table_of)
            if found is not None:
                prospects.append(found)
                asks.append(tuple(part) if loose else ())
    best: dict[str, Candidate] = {}
    for found, ask, gain in zip(prospects, asks, gains(prospects, top), strict=True):
        plan = job.planner.plan(job.situation, found.check)
        minutes = question_minutes(found.check) if ask else price(plan, job.situation, book)
        gain = gain if not ask or gain >= LEAST_TOLD else 0.0
        kept = best.get(found.check.id)
        if kept is None or gain > kept.score.gain:
            best[found.check.id] = Candidate(plan, found, Score(gain, minutes, float("nan")), ask)
    return sorted(_worth_asking(best.values(), job), key=lambda c: (-round(c.score.rate, 9), c.plan.target.id))


def _worth_asking(candidates: Iterable[Candidate], job: _Job) -> list[Candidate]:
    """Without the loose questions that tell next to nothing beside the best check that can be done.

    By rate alone a question of half a minute beats a gauge that takes a quarter of an hour to fit, again and again,
    although the gauge will be needed all the same and leaves nothing of what the questions told.
    """
    every = list(candidates)
    most = max((c.score.gain for c in every if can_go(c.plan, job.situation)), default=0.0)
    return [c for c in every if not c.ask or c.score.gain >= TELLING_SHARE * most]


def question_minutes(check: Check) -> float:
    """Minutes of one of a check's loose questions: its share of what the book says for all of them."""
    return max(check.minutes / len(check.yields), QUESTION_MINUTES)


def _fresh(check: Check, situation: Situation, known: set[tuple[str, str]]) -> list[Yield]:
    """The questions of a check that are still open; loose questions one by one, any other check as a whole."""
    if check.id in situation.done:
        return []
    return [y for y in check.yields if _key(y) not in known]


def _known(evidence: Evidence, situation: Situation) -> set[tuple[str, str]]:
    """What was answered surely or read since the last change of the car, or asked in vain."""
    now = len(evidence.epochs) - 1
    told = {("sign", f.sign) for f in evidence.findings if f.epoch == now}
    told |= {("sign", sign) for sign in situation.unanswered}
    return told | {(r.reading, r.point) for r in evidence.readings if r.epoch == now and not r.bound}


def _key(yield_: Yield) -> tuple[str, str]:
    return ("sign", yield_.sign) if yield_.sign else (yield_.reading, yield_.at)


def _saving_only(job: _Job, usable: list[Candidate]) -> list[Candidate]:
    """The most telling candidates with the minutes they save worked out.

    Handing the car on is no way to save a check, so here it costs ``PATIENCE`` and not what it costs the owner.
    """
    patient = replace(job.top, prices=replace(job.top.prices, hand_on=PATIENCE))
    now = repair_now(patient)
    return [
        replace(c, score=replace(c.score, saving=saving(c.prospect, patient, now, c.score.minutes)))
        for c in usable[:PRICED]
    ]


def _check_proposal(
    job: _Job, chosen: Candidate, others: tuple[Alternative, ...], first: tuple[str, ...] = ()
) -> Proposal:
    words = first + reasons.check(chosen.prospect, job.top, job.groups, job.book)
    words += reasons.one_question() if chosen.ask else reasons.cost(chosen.plan, job.situation, job.book)
    words += reasons.why_not(chosen.plan.target.id, others)
    found = _proposal(job, "check", chosen.plan, words, others, chosen.score)
    return replace(found, ask=chosen.ask, minutes=chosen.score.minutes) if chosen.ask else found


def _remedy_or_end(
    job: _Job, group: str, share: float, others: tuple[Alternative, ...], more_to_ask: bool = False
) -> Proposal:
    """No check is worth it: the remedy first in p/c order that pays, else close or hand on."""
    prices = job.top.prices
    shares = prices.shares(job.top.weights[:, None])[:, 0]
    order = [int(at) for at in prices.orders(job.top.weights[:, None])[0]]
    if share >= CLOSE_AT:  # what is likelier than not comes first, before cheaper things are tried on the off chance
        order.sort(key=lambda at: job.groups.names[at] != group)
    for at in order:
        name = job.groups.names[int(at)]
        # What is lost when it was needless, against what is lost when the car goes away for nothing.
        pays = shares[at] * prices.hand_on > (1.0 - shares[at]) * prices.minutes[at]
        if not prices.curable[at] or not pays:
            continue
        sends_away = name == NOTHING_WRONG or ends_job(job.groups.plans[name].target)
        if (sends_away or explains_only(name, job.book)) and shares[at] < CLOSE_AT:
            continue  # talking is cheap, but nobody is sent away while a fault that can be cured is the likelier
        if name == NOTHING_WRONG:
            if job.situation.wet in (Wet.WET, Wet.REPAIRED):
                continue  # explaining is cheap, but nobody is sent away with a likely fault or with fuel outside
            again = _complaint(job)
            if again is not None:
                return again
            if _complaint_stays(job) and (more_to_ask or shares[at] < CONFIRMED):
                continue  # what the owner came with is still there, so something else may be wrong as well
            words = reasons.nothing_wrong(float(shares[at]))
            return Proposal("close", "", "Nothing more is wrong", (), words, alternatives=others)
        plan = job.groups.plans[name]
        words = reasons.remedy(plan.target, float(shares[at]), job.belief, job.book)
        words += reasons.cost(plan, job.situation, job.book)
        return _proposal(job, "remedy", plan, words, others)
    wiped = _wipe(job)
    if wiped is not None:
        return _proposal(job, "remedy", wiped, reasons.wipe(), others)
    words = reasons.hand_on(job.situation, group, share, job.groups, job.book)
    return Proposal("hand on", "", "Hand the car on", (), words, alternatives=others)


def _complaint(job: _Job) -> Proposal | None:
    """After a repair no job is closed before the complaints were asked about again: the proof is the symptom."""
    evidence, book, situation = job.evidence, job.book, job.situation
    if not any(epoch.cured for epoch in evidence.epochs):
        return None
    now, known = len(evidence.epochs) - 1, _known(evidence, situation)
    told = {f.sign for f in evidence.findings if f.answer == PRESENT and f.epoch < now and book.signs[f.sign].symptom}
    best: tuple[float, str, Plan, tuple[Yield, ...]] | None = None
    for check in book.checks.values():
        asked = tuple(y for y in _fresh(check, situation, known) if y.sign in told)
        plan = job.planner.plan(situation, check) if asked else None
        if plan is None or not can_go(plan, situation):
            continue
        loose = questions_only(check)
        minutes = question_minutes(check) * len(asked) if loose else price(plan, situation, book)
        found = (minutes / len(asked), check.id, plan, asked if loose else ())
        if minutes <= COMPLAINT_MINUTES and (best is None or found[:2] < best[:2]):
            best = found
    if best is None:
        return None
    _, check_id, plan, ask = best
    titles = [book.signs[y.sign].title for y in book.checks[check_id].yields if y.sign in told]
    return replace(_proposal(job, "prove", plan, reasons.complaint(titles)), ask=ask)


def _complaint_stays(job: _Job) -> bool:
    """Whether something was repaired and a complaint from before it was seen again since."""
    evidence, now = job.evidence, len(job.evidence.epochs) - 1
    if not any(epoch.cured for epoch in evidence.epochs):
        return False
    there = [f for f in evidence.findings if f.answer == PRESENT and job.book.signs[f.sign].symptom]
    return bool({f.sign for f in there if f.epoch == now} & {f.sign for f in there if f.epoch < now})


def _wipe(job: _Job) -> Plan | None:
    """Fuel outside and no leak that pays to repair: wiped once, and then proven like any repair."""
    step = job.book.remedies.get(WIPE)
    done = any(epoch.step == WIPE for epoch in job.evidence.epochs)
    if step is None or done or job.situation.wet is not Wet.WET or put_aside(step, job.situation):
        return None
    plan = job.planner.plan(job.situation, step)
    return plan if can_go(plan, job.situation) else None


def _proposal(
    job: _Job,
    kind: Kind,
    plan: Plan,
    words: Iterable[str],
    others: tuple[Alternative, ...] = (),
    score: Score | None = None,
    kind_for_look: Kind = "check",
) -> Proposal:
    """Turn a plan into a proposal; with a look-over on the way that is what is proposed, toward the target."""
    before, step = plan.up_to_look()
    _guard(job, (*before, step))
    toward = plan.target.id if step is not plan.target else ""
    said = tuple(words)
    if toward:
        said = (*reasons.look_on_the_way(plan.target), *said)
        kind = "prove" if kind == "prove" else kind_for_look
    minutes = price(plan, job.situation, job.book)
    setups = tuple(s.id for s in before)
    gain, worth = (score.gain, score.saving) if score is not None else (0.0, 0.0)
    worth = 0.0 if worth != worth else worth
    return Proposal(kind, step.id, step.title, setups, said, worth, gain, minutes, others, toward)


def _guard(job: _Job, steps: tuple[Step, ...]) -> None:
    """Walk the proposed steps once more past the wall; a refusal here is a fault of the program."""
    from diag.safety.effects import after

    state = job.situation
    for step in steps:
        verdict = allowed(state, step, job.book)
        if not verdict.allowed:
            raise AssertionError(f"forbidden proposal {step.id}: {verdict.why}")
        state = after(state, step, job.book, "")


def _alternatives(job: _Job, ranked: list[Candidate]) -> tuple[Alternative, ...]:
    found = [
        Alternative(
            c.plan.target.id,
            c.plan.target.title,
            "check",
            c.score.gain,
            c.score.minutes,
            c.score.rate,
            tuple(s.id for s in c.plan.steps),
            c.plan.verdict,
            _note(c.plan, job.situation),
        )
        for c in ranked
    ]
    shares = job.top.prices.shares(job.top.weights[:, None])[:, 0]
    for name, plan in job.groups.plans.items():
        share = float(shares[job.groups.names.index(name)])
        if share >= 0.02 and isinstance(plan.target, Remedy):
            minutes = price(plan, job.situation, job.book)
            note = _note(plan, job.situation)
            steps = tuple(s.id for s in plan.steps)
            found.append(
                Alternative(name, plan.target.title, "remedy", 0.0, minutes, share / minutes, steps, plan.verdict, note)
            )
    return tuple(found)


def _note(plan: Plan, situation: Situation) -> str:
    if plan.target.id in situation.refused:
        return "You said this cannot be done."
    if plan.target.id in situation.later:
        return "Put off for later."
    if not plan.verdict.allowed:
        return f"{plan.verdict.why} Until {plan.verdict.until}."
    return "" if can_go(plan, situation) else "Something that must come first could not be done."
