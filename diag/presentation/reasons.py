"""The reasons of a proposal in plain sentences."""

from __future__ import annotations

from collections.abc import Sequence

from diag.decision.groups import Groups, Top
from diag.decision.information_gain import Prospect, sharpest
from diag.decision.proposal import Alternative
from diag.inference.posterior import Belief
from diag.rulebook.model import Remedy, RuleBook, Step
from diag.safety.setups import Plan
from diag.safety.situation import Situation, Verdict, Wet
from diag.safety.steps import UNTRAINED_WET

Words = tuple[str, ...]


def percent(share: float) -> str:
    """A chance as people say it; never 0 % or 100 %, since nothing is certain."""
    if share < 0.01:
        return "under 1 %"
    if share > 0.99:
        return "over 99 %"
    return f"{share * 100:.0f} %"


def minutes(value: float) -> str:
    """Whole minutes in words."""
    whole = max(1, round(value))
    return "1 minute" if whole == 1 else f"{whole} minutes"


def untrained_wet() -> Words:
    """What an untrained person does about wet fuel."""
    return ("There is fuel outside the system, and that is no job without training.", *UNTRAINED_WET)


def proof_needs_training(stage: str) -> Words:
    """Why the proof of a leak repair stops with this person."""
    return (f"The leak was repaired but is not proven: next is the {stage}.", "That is for a trained person.")


def look_over(step: Step) -> Words:
    """Why the look-over comes first."""
    return (
        "Nobody has looked the car over for wet fuel since it last could have changed.",
        "Until every place is answered dry, nothing may run, crank, drive, spark or be opened.",
        f"It takes about {minutes(step.minutes)}.",
    )


def look_on_the_way(target: Step) -> Words:
    """Why a look-over is proposed although another check is the aim."""
    return (f"A look for wet fuel comes first; it opens the way to: {target.title}.",)


def stage(name: str) -> Words:
    """Why this proof stage and nothing else."""
    return (
        f"The leak was repaired; the way back to normal work is one step at a time, and the next is the {name}.",
        "Any wet place on the way means: off, release the pressure, repair again.",
    )


def proof(remedy: Remedy, check: Step) -> Words:
    """Why a proof check is proposed."""
    return (f"{remedy.title} was done. Whether it cured the trouble is only known after: {check.title}.",)


def complaint(titles: Sequence[str]) -> Words:
    """Why something is asked again although all seems well."""
    return (
        f"This was there before the repair: {'; '.join(titles)}.",
        "The job is only cured when that is gone, so it is looked at once more before the job is closed.",
    )


def frees(step: Step, verdict: Verdict) -> Words:
    """Why a sign is asked about again."""
    return (f"{verdict.why} {step.title} shows whether that still holds.",)


def _outcome_words(labels: dict[str, str], book: RuleBook) -> str:
    said = []
    for name, label in labels.items():
        sign = book.signs.get(name)
        if sign is None:
            said.append(f"{name}: {label}")
            continue
        words = next((a.words for a in sign.choices if a.id == label), label)
        said.append(f"{sign.title}: {words}")
    return "; ".join(said)


def check(prospect: Prospect, top: Top, groups: Groups, book: RuleBook) -> Words:
    """Which causes the check would split, with the outcome that would lift each of them most."""
    shares = top.prices.shares(top.weights[:, None])[:, 0]
    ranked = [int(g) for g in (-shares).argsort(kind="stable") if shares[g] >= 0.02][:5]
    named = [f"{groups.title(g)} ({percent(float(shares[g]))})" for g in ranked[:3]]
    words: list[str] = []
    moved = sorted(ranked, key=lambda g: -abs(sharpest(prospect, top, g)[1] - shares[g]))
    if named:
        words.append("Leading now: " + ", ".join(named) + ".")
    for g in moved[:2]:
        outcome, then = sharpest(prospect, top, g)
        if then - shares[g] < 0.02:
            continue
        lead = f"{groups.title(g)} from {percent(float(shares[g]))} to {percent(then)}"
        if prospect.labels:
            words.append(f"The answer '{_outcome_words(dict(prospect.labels[outcome]), book)}' would take {lead}.")
        else:
            words.append(f"Its answers together could take {lead}.")
    return tuple(words)


def confirm() -> Words:
    """Why another check comes before a dear step."""
    return ("A mistake here would be dear beside this check, so it comes first.",)


def one_question() -> Words:
    """What a loose question costs; the minutes of its check are for all of its questions."""
    return ("It is one question, soon answered.",)


def cost(plan: Plan, situation: Situation, book: RuleBook) -> Words:
    """What the step costs: its minutes, what must be done first, what must be borrowed."""
    step = plan.target
    said = f"It takes about {minutes(step.minutes)}"
    if plan.steps:
        first = ", then ".join(s.title[:1].lower() + s.title[1:] for s in plan.steps)
        said += f", and {minutes(sum(s.minutes for s in plan.steps))} before it: {first}"
    words = [said + "."]
    if situation.tools is not None:
        missing = sorted(plan.tools - situation.tools)
        if missing:
            names = ", ".join(book.tools.get(t, t) for t in missing)
            words.append(f"Not at hand, to be borrowed first: {names}.")
    return tuple(words)


def why_not(chosen: str, others: Sequence[Alternative]) -> Words:
    """Why not the others: the next best one, and the best one that the wall keeps shut."""
    words: list[str] = []
    checks = [o for o in others if o.kind == "check" and o.step != chosen]
    mine = next((o for o in others if o.step == chosen), None)
    rival = next((o for o in checks if o.verdict.allowed and not o.note), None)
    if rival is not None and mine is not None and rival.gain > 0:
        if rival.gain >= mine.gain:
            words.append(f"{rival.title} would tell more, but costs about {minutes(rival.minutes)} in all.")
        else:
            words.append(f"Next best is {rival.title}: it tells less for the time it takes.")
    shut = next((o for o in checks if not o.verdict.allowed), None)
    if shut is not None and mine is not None and shut.rate >= mine.rate:
        words.append(f"Not now: {shut.title}. {shut.verdict.why}")
    return tuple(words)


def remedy(step: Step, share: float, belief: Belief, book: RuleBook) -> Words:
    """Why this remedy now."""
    causes = [
        f"{book.causes[c].title} ({percent(p)})"
        for c, p in belief.ranked()
        if c in book.causes and step.id in book.causes[c].remedies and p >= 0.02
    ][:3]
    words = [f"This remedy is needed with a chance of {percent(share)}."]
    if causes:
        words.append("It cures: " + ", ".join(causes) + ".")
    words.append("No safe check left would save more time than it costs.")
    return tuple(words)


def nothing_wrong(share: float) -> Words:
    """Why the job can be closed."""
    return (
        f"With a chance of {percent(share)} nothing more is wrong, and no check is worth its minutes.",
        "Tell the owner what was seen and what is normal, and close the job.",
    )


def wipe() -> Words:
    """Why a wet place is wiped although no leak is likely."""
    return (
        "There is fuel outside the system, and no leak that would explain it is likely enough to repair.",
        "Fuel from earlier work looks the same. Wiped dry and proven step by step, the place shows which it is.",
    )


def hand_on(situation: Situation, group: str, share: float, groups: Groups, book: RuleBook) -> Words:
    """Why the car goes to somebody else, in the order in which it can be helped."""
    words: list[str] = []
    if situation.wet is Wet.UNKNOWN:
        words.append("Some place could not be looked at or told dry for certain, so nothing may run or be opened.")
        words.append("Somebody has to see those places first.")
    elif situation.wet is Wet.WET:
        words.append("There is fuel outside the system, and no repair is open to this person here.")
    blocked = groups.plans.get(group)
    if blocked is not None and not blocked.verdict.allowed:
        words.append(f"Most likely needed: {blocked.target.title} ({percent(share)}). {blocked.verdict.why}")
    words.append("No check that may be done here would tell enough for the time it takes, and no remedy pays.")
    return tuple(words)
