"""The reasons of a proposal in plain sentences."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from diag.decision.proposal import Alternative, Proposal
from diag.decision.reason import Leader, Move, Reason, ReasonKind
from diag.inference.titles import EXIT_TITLES
from diag.presentation.at_once import contradicts_itself
from diag.presentation.figures import minutes, percent
from diag.quantities import show
from diag.rulebook.findings import ABSENT, PRESENT
from diag.rulebook.model import RuleBook
from diag.rulebook.typed import shown_as_read
from diag.safety.steps import UNTRAINED_WET, find_step

Words = tuple[str, ...]

EXITS = {name: f"{title[:1].lower()}{title[1:]}" for name, title in EXIT_TITLES.items()}


def reason_words(proposal: Proposal, book: RuleBook) -> Words:
    """Every reason of a proposal, in order."""
    return tuple(words for reason in proposal.reason for words in sentences(reason, book))


def sentences(reason: Reason, book: RuleBook) -> Words:
    """One reason in one sentence or a few."""
    return SAID[reason.kind](reason, book)


def note_words(other: Alternative) -> str:
    """Why another step was not proposed, beside what it costs; empty when it only tells less."""
    if other.note == "barred":
        return f"{other.verdict.why} Until {other.verdict.until}."
    return {
        "": "",
        "refused": "You said this cannot be done.",
        "put off": "Put off for later.",
        "way refused": "Something that must come first could not be done.",
    }[other.note]


# ------------------------------------------------------------------ names


def leader_title(leader: Leader, book: RuleBook) -> str:
    """What people call causes that one remedy cures."""
    if leader.causes[0] in EXITS:
        return EXITS[leader.causes[0]]
    titles = [book.causes[c].title for c in leader.causes]
    if len(titles) == 1:
        return titles[0]
    return f"{titles[0]} or {titles[1][:1].lower()}{titles[1][1:]}"


def _title(step_id: str, book: RuleBook) -> str:
    step = find_step(book, step_id)
    return step.title if step is not None else step_id


def _with_chance(leader: Leader, book: RuleBook) -> str:
    return f"{leader_title(leader, book)} ({percent(leader.chance)})"


_PLAIN = {PRESENT: "yes", ABSENT: "no"}


def _outcome_words(outcome: tuple[tuple[str, str], ...], book: RuleBook) -> str:
    said = []
    for name, label in outcome:
        sign = book.signs.get(name)
        if sign is None:
            reading, _, point = name.rpartition(" at ")
            at = book.points[point].title if point in book.points else point
            said.append(f"{reading}, {at}: {label}" if reading else f"{name}: {label}")
            continue
        words = next((a.words for a in sign.choices if a.id == label), _PLAIN.get(label, label))
        said.append(f"{sign.title}: {words}")
    return "; ".join(said)


# ------------------------------------------------------------------ kind by kind


def _fixed(*words: str) -> Callable[[Reason, RuleBook], Words]:
    return lambda reason, book: words


def _stop_rule(reason: Reason, book: RuleBook) -> Words:
    rule = book.stops[reason.rule]
    return (f"{rule.title}: {rule.why}", *rule.do_now, f"Until: {rule.until}")


def _handed_over(reason: Reason, book: RuleBook) -> Words:
    return (f"Done: {_title(reason.step, book)}. The rest is theirs.",)


def _proof_needs_training(reason: Reason, book: RuleBook) -> Words:
    return (f"The leak was repaired but is not proven: next is the {reason.stage}.", "That is for a trained person.")


def _not_proven(reason: Reason, book: RuleBook) -> Words:
    assert reason.verdict is not None
    return (f"The repair is not proven yet: {reason.verdict.why}", f"Until: {reason.verdict.until}")


def _stage(reason: Reason, book: RuleBook) -> Words:
    return (
        "The leak was repaired; the way back to normal work is one step at a time, and the next is the "
        f"{reason.stage}.",
        "Any wet place on the way means: off, release the pressure, repair again.",
    )


def _look_over(reason: Reason, book: RuleBook) -> Words:
    return (
        "Nobody has looked the car over for wet fuel since it last could have changed.",
        "Until every place is answered dry, nothing may run, crank, drive, spark or be opened.",
        f"It takes about {minutes(reason.minutes)}.",
    )


def _look_on_the_way(reason: Reason, book: RuleBook) -> Words:
    return (f"A look for wet fuel comes first; it opens the way to: {_title(reason.step, book)}.",)


def _proof(reason: Reason, book: RuleBook) -> Words:
    done, check = _title(reason.remedy, book), _title(reason.step, book)
    return (f"{done} was done. Whether it cured the trouble is only known after: {check}.",)


def _frees(reason: Reason, book: RuleBook) -> Words:
    assert reason.verdict is not None
    return (f"{reason.verdict.why} {_title(reason.step, book)} shows whether that still holds.",)


def _complaint(reason: Reason, book: RuleBook) -> Words:
    titles = [book.signs[sign].title for sign in reason.signs]
    return (
        f"This was there before the repair: {'; '.join(titles)}.",
        "The job is only cured when that is gone, so it is looked at once more before the job is closed.",
    )


def _leaders(reason: Reason, book: RuleBook) -> Words:
    return ("Leading now: " + ", ".join(_with_chance(x, book) for x in reason.leaders) + ".",)


def _answer_moves(reason: Reason, book: RuleBook) -> Words:
    move: Move | None = reason.move
    assert move is not None
    lead = f"{leader_title(move.leader, book)} from {percent(move.leader.chance)} to {percent(move.then)}"
    if move.outcome and not contradicts_itself(move.outcome):
        return (f"The answer '{_outcome_words(move.outcome, book)}' would take {lead}.",)
    return (f"Its answers together could take {lead}.",)


def _cost(reason: Reason, book: RuleBook) -> Words:
    said = f"It takes about {minutes(reason.minutes)}"
    if reason.setups:
        titles = [_title(name, book) for name in reason.setups]
        first = ", then ".join(t[:1].lower() + t[1:] for t in titles)
        said += f", and {minutes(reason.minutes_before)} before it: {first}"
    return (said + ".",)


def _measure_first(reason: Reason, book: RuleBook) -> Words:
    return (
        f"It looks as if this will be needed: {book.remedies[reason.remedy].title}.",
        "That is done on a measurement and not on a guess, and none was taken yet that could tell.",
    )


def _borrow(reason: Reason, book: RuleBook) -> Words:
    return (f"Not at hand, to be borrowed first: {', '.join(book.tools.get(t, t) for t in reason.tools)}.",)


def _tells_more(reason: Reason, book: RuleBook) -> Words:
    return (f"{_title(reason.step, book)} would tell more, but costs about {minutes(reason.minutes)} in all.",)


def _tells_less(reason: Reason, book: RuleBook) -> Words:
    return (f"Next best is {_title(reason.step, book)}: it tells less for the time it takes.",)


def _barred(reason: Reason, book: RuleBook) -> Words:
    assert reason.verdict is not None
    return (f"Not now: {_title(reason.step, book)}. {reason.verdict.why}",)


def _needed(reason: Reason, book: RuleBook) -> Words:
    return (f"This remedy is needed with a chance of {percent(reason.chance)}.",)


def _cures(reason: Reason, book: RuleBook) -> Words:
    return ("It cures: " + ", ".join(_with_chance(x, book) for x in reason.leaders) + ".",)


def _nothing_wrong(reason: Reason, book: RuleBook) -> Words:
    return (
        f"With a chance of {percent(reason.chance)} nothing more is wrong, and no check is worth its minutes.",
        "Tell the owner what was seen and what is normal, and close the job.",
    )


def _for_another(reason: Reason, book: RuleBook) -> Words:
    causes = ", ".join(leader_title(x, book) for x in reason.leaders)
    why = reason.verdict.why if reason.verdict is not None else "It cannot be done here."
    return (f"Needed: {_title(reason.step, book)}, for {causes} ({percent(reason.chance)}).", why)


def _asked_again(reason: Reason, book: RuleBook) -> Words:
    named = ", ".join(book.signs[sign].title for sign in reason.signs)
    return (f"What was answered does not fit the rest, so it is asked once more, in other words: {named}.",)


def _part_first(reason: Reason, book: RuleBook) -> Words:
    return (f"On a car without it this would be in vain: {_title(reason.step, book)}. So it is asked first, once.",)


def _reads_wrong(reason: Reason, book: RuleBook) -> Words:
    said = [
        f"{book.readings[kind].title}, {book.points[point].title}: {shown_as_read(value, book.readings[kind])}"
        for kind, point, value in reason.readings
    ]
    return (f"Still outside what a sound car shows: {'; '.join(said)}.",)


def _read_again(reason: Reason, book: RuleBook) -> Words:
    return (*_reads_wrong(reason, book), "A gauge is misread now and then, so this is read once more before it counts.")


def _would_tell(reason: Reason, book: RuleBook) -> Words:
    assert reason.verdict is not None
    return (f"What would tell most now: {_title(reason.step, book)}. {reason.verdict.why}",)


def _remedy_barred(reason: Reason, book: RuleBook) -> Words:
    assert reason.verdict is not None
    return (f"Most likely needed: {_title(reason.step, book)} ({percent(reason.chance)}). {reason.verdict.why}",)


def _makes_safe(reason: Reason, book: RuleBook) -> Words:
    rule = book.stops[reason.rule]
    return (f"{rule.title}: {rule.why}", f"Nothing else may run before it, so this comes first. Until: {rule.until}")


def _over_limit(reason: Reason, book: RuleBook) -> Words:
    most, expected = (show(value, "pressure", figures=2) for value in (reason.limit, reason.pressure))
    return (f"Stop at once at {most}: with {_with_chance(reason.leaders[0], book)} it would go to about {expected}.",)


SAID: Mapping[ReasonKind, Callable[[Reason, RuleBook], Words]] = {
    "stop rule": _stop_rule,
    "untrained and wet": _fixed(
        "There is fuel outside the system, and that is no job without training.", *UNTRAINED_WET
    ),
    "handed over": _handed_over,
    "proof needs training": _proof_needs_training,
    "no look-over": _fixed("The rule book has no look-over to go on with."),
    "not proven": _not_proven,
    "stage": _stage,
    "look over": _look_over,
    "look on the way": _look_on_the_way,
    "proof": _proof,
    "frees": _frees,
    "complaint": _complaint,
    "leaders": _leaders,
    "answer moves": _answer_moves,
    "confirm": _fixed("A mistake here would be dear beside this check, so it comes first."),
    "part first": _part_first,
    "one question": _fixed("It is one question, soon answered."),
    "asked again": _asked_again,
    "cost": _cost,
    "borrow": _borrow,
    "tells more": _tells_more,
    "tells less": _tells_less,
    "barred": _barred,
    "needed": _needed,
    "cures": _cures,
    "no check pays": _fixed("No safe check left would save more time than it costs."),
    "nothing wrong": _nothing_wrong,
    "wipe": _fixed(
        "There is fuel outside the system, and no leak that would explain it is likely enough to repair.",
        "Fuel from earlier work looks the same. Wiped dry and proven step by step, the place shows which it is.",
    ),
    "places unseen": _fixed(
        "Some place could not be looked at or told dry for certain, so nothing may run or be opened.",
        "Somebody has to see those places first.",
    ),
    "wet without repair": _fixed("There is fuel outside the system, and no repair is open to this person here."),
    "would tell": _would_tell,
    "reads wrong": _reads_wrong,
    "read again": _read_again,
    "set again": _fixed("Nothing else is likely to be wrong, so the base is set to its target, and read again."),
    "second fault": _fixed(
        "The repair is long and nothing was measured yet, so one quick reading comes first: it would show a second "
        "fault beside this one.",
    ),
    "for another": _for_another,
    "hand over now": _fixed(
        "More questions here would not change that. The hand-over note tells whoever does it what was found, and why.",
    ),
    "remedy barred": _remedy_barred,
    "trace first": _fixed(
        "There is fuel outside the system. Wiping takes away the trace that leads to the leak, so it is read first."
    ),
    "measure first": _measure_first,
    "makes safe": _makes_safe,
    "over limit": _over_limit,
    "nothing tells": _fixed(
        "No check that may be done here would tell enough for the time it takes, and no remedy pays."
    ),
}
