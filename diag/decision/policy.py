"""Every figure by which the next step is chosen, with the reason for its size, in one place.

What a specialist may want to turn for a shop (prices of handing on and borrowing, weight of set-ups, when repairing is
weighed at all) stands in ``rules/book.yaml``; what stands here belongs to the way of choosing itself.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import Literal

Origin = Literal["judgement", "computed"]


def _tuned(value: float, why: str, origin: Origin = "judgement") -> float:
    """A figure with its basis, kept in the field's metadata where ``Policy.basis`` finds it."""
    found: float = field(default=value, metadata={"origin": origin, "why": why})
    return found


@dataclass(frozen=True, slots=True)
class Policy:
    """How checks, remedies and endings are weighed. Minutes, nats, or chances from 0 to 1."""

    # ---- prices
    question_minutes: float = _tuned(
        0.5, "least price in minutes of one loose question, with the time to understand it"
    )
    parts_minutes: float = _tuned(
        60.0, "what new parts are worth in labour, so that they are not fitted on the off chance"
    )
    comeback_minutes: float = _tuned(
        240.0,
        "a job that ends too early costs the owner a second visit, the same half a day as handing the car on; "
        "without it a close would look like the cheapest thing to try",
    )
    explain_minutes: float = _tuned(5.0, "telling the owner that this is how it should be")
    least_minutes: float = _tuned(0.1, "no step is priced at nothing, or its rate would be endless")
    patience_minutes: float = _tuned(
        1000.0,
        "handing the car on is no way to save a check, so while checks are weighed it costs two working days at "
        "first, and less with every turn that brings no figure",
    )
    complaint_minutes: float = _tuned(20.0, "what it may cost to see whether a complaint is gone")

    # ---- talk
    turn_minutes: float = _tuned(
        2.0,
        "one more question to the person costs attention beside its half minute on the clock: it is put, understood, "
        "thought over and answered, and nobody stands many of them",
    )
    turn_growth: float = _tuned(
        0.5,
        "share by which that price grows with every question or look since something was last measured, and what is "
        "put on every further look as well: a row of small answers without a figure between them tires, makes people "
        "guess, and leaves the gauge in its box",
    )
    ask_again_from: float = _tuned(
        0.25,
        "chance that an answer was wrong from which the question may be put again in other words, if it is worth its "
        "price; below it people are only annoyed",
    )
    talk_doubt: float = _tuned(
        0.3,
        "chance that the book's link between a cause and what people tell of it is not as written: it lists what its "
        "author thought of, so an answer is worth less than it says",
    )

    ready: float = _tuned(
        6.0,
        "answers, and checks carried out, that a person is trusted with before the first: who then keeps saying that "
        "they do not know, or cannot, is asked for less",
    )
    log_kept: float = _tuned(
        0.25, "chance that somebody kept a log with rail pressure in it; most cars have neither sensor nor logger"
    )

    # ---- what a check must tell
    least_rate: float = _tuned(0.001, "nats per minute below which a check is not worth proposing")
    hand_on_rate: float = _tuned(
        0.002, "nats per minute, attention counted, below which nothing more is asked before a car is handed on unnamed"
    )
    least_told: float = _tuned(0.003, "nats below which a question is not worth the breath")
    telling_share: float = _tuned(
        0.1,
        "share of what the best check would tell, below which a loose question is left out: by rate alone half a "
        "minute beats a gauge that takes a quarter of an hour to fit, again and again, although the gauge will be "
        "needed all the same and leaves nothing of what the questions told",
    )
    telling_rate: float = _tuned(
        0.004, "nats per minute worth having before a job is closed with the complaint still there"
    )
    tells_enough: float = _tuned(0.02, "nats that a last loose question must tell once a remedy stands out")
    changes_from: float = _tuned(
        0.02,
        "chance of answers that would make another remedy the likeliest, from which a check may still come once a "
        "remedy stands out; what cannot change the remedy is not asked",
    )
    least_saving: float = _tuned(
        1.0, "minutes a check must save on average once a remedy stands out; prices are no finer"
    )
    priced: int = 10  # most telling checks whose saving is worked out, for speed

    most_checks: float = _tuned(
        28.0,
        "different checks tried since the car was last changed, after which no further one is begun while nothing "
        "leads: of simulated jobs that went on beyond, three in four ended with no fault named or a wrong one",
    )

    keep_aim: float = _tuned(
        0.5, "share of the best check's rate from which the check that the last set-ups led to is still done first"
    )

    # ---- when to act
    guess_at: float = _tuned(0.35, "chance below which a remedy is a guess, which waits until nothing tells more")
    close_at: float = _tuned(
        0.5, "chance that nothing is wrong, below which the job is not closed, and nobody is sent away"
    )
    confirmed: float = _tuned(0.95, "chance at which nothing is confirmed any more before a dear step")
    confirm_share: float = _tuned(
        0.15,
        "share of what a dear step costs that a check before it may take; kept within the bar against the best "
        "order of checks",
        "computed",
    )
    tells_much: float = _tuned(0.08, "nats that such a check must tell; kept within the same bar", "computed")
    sure: float = _tuned(
        0.98,
        "chance of a remedy from which nothing more is asked before it: what else may be wrong shows after the "
        "repair, when the complaint is asked about",
    )
    dear_minutes: float = _tuned(
        90.0, "a repair from which on one cheap reading comes first that would show a second fault beside it"
    )
    shows_second: float = _tuned(0.02, "nats that such a reading must tell")
    sound_band: float = _tuned(
        2.0, "half widths of the 5 to 95 % band of a sound car from its middle, outside which a reading is still wrong"
    )
    calm_at_most: float = _tuned(
        0.25,
        "chance that nothing is wrong, as far as the choice of checks goes, while a complaint or a reading says "
        "after a repair that something still is",
    )
    mostly_lacking: float = _tuned(
        0.5, "chance that a car lacks a part from which nobody is asked what the part does before whether it is there"
    )
    gauge_doubt: float = _tuned(
        0.25, "chance that the gauge shows wrongly from which it is put right before anything is set by it"
    )
    seek_at_most: float = _tuned(
        12.0,
        "different checks tried since a repair, its proof among them, after which a complaint that stays no longer "
        "counts against all being well: in simulated jobs that went on beyond it the complaint was a false report",
    )
    not_cured: float = _tuned(0.1, "chance that all is well, below which a proof is no longer worth finishing")

    most_repairs: int = 2  # times the same repair is made: once, and once more in case it was botched
    most_settings: int = 4  # times something is set, which may take more than one turn

    # ---- what keeps people from harm
    likely: float = _tuned(0.2, "chance from which a cause counts as likely for the stop rules")
    base_far: float = _tuned(
        0.15,
        "share of the target by which base pressure is far off, a twelfth of the fuel: no full load before",
    )

    # ---- what is told
    named_from: float = _tuned(0.02, "least chance of a cause that is named, and least change; smaller only confuses")
    stands_out: float = _tuned(0.7, "share of a remedy's chance at which its likeliest cause alone names it")
    most_named: int = 3  # causes named in one sentence
    most_moved: int = 2  # causes whose change is told
    watched: int = 5  # leaders whose change is looked at

    # ---- arithmetic
    exact_outcomes: int = 24  # joint outcomes of one check up to which all are looked at
    samples: int = 40  # outcomes looked at where there are more
    negligible: float = _tuned(5e-4, "chance below which a cause cannot lose a hundredth of a nat", "computed")
    most_rows: int = 200  # heaviest fault sets the choice looks at, for speed
    enough: float = _tuned(0.999, "share of the weight of the fault sets that the choice looks at")

    @classmethod
    def basis(cls) -> dict[str, tuple[str, str]]:
        """Figure -> (origin, why) for every figure that was tuned."""
        return {f.name: (f.metadata["origin"], f.metadata["why"]) for f in fields(cls) if f.metadata}


POLICY = Policy()
