"""The field tables: every key a rule may have, its shape and its meaning. They validate files and make the schema."""

from __future__ import annotations

from diag.rulebook.amounts import AmountRange, AmountText, Comparison, Settings, Sighting
from diag.rulebook.causes import KINDS
from diag.rulebook.desk import SPOKEN_PATTERN
from diag.rulebook.shapes import Chance, Field, Flag, ListOf, MapOf, Name, Number, OneOf, Record, Ref, Text
from diag.rulebook.special import (
    BASES,
    ActsOn,
    Answers,
    Choices,
    HowOften,
    Measurement,
    Need,
    Passing,
    ShowMap,
    WhenCar,
    YieldShape,
)
from diag.rulebook.steps import ACTS, PERSONS
from diag.rulebook.stopfacts import Lifter, StopFact

TITLE, ASK, STEP, LONG = 60, 120, 200, 600
STEP_SECTIONS = ("checks", "setups", "remedies", "actions")  # their names share one space: entries refer to them


def _names(*sections: str) -> ListOf:
    return ListOf(Ref(sections))


def _former() -> ListOf:
    return ListOf(Name(SPOKEN_PATTERN), 1)


def _texts(limit: int, least: int = 0) -> ListOf:
    return ListOf(Text(limit), least)


_FITS = Field("fits", ListOf(Need(("contexts",))), "What the car must have, or be: contexts, or 'not' and a context.")
_TITLE = Field("title", Text(TITLE), "A short heading.", need=True)
_BASIS = Field("basis", OneOf(BASES), "Where the figures come from: " + ", ".join(BASES) + ".")

_SILENT = (
    Field("causes", ListOf(Ref(("causes",)), 1), "The causes.", need=True),
    Field("why", Text(LONG), "Why they do not show it.", need=True),
)
_SILENT_ABOUT = (
    Field("signs", ListOf(Ref(("signs",)), 1), "The signs.", need=True),
    Field("why", Text(LONG), "Why it does not show them.", need=True),
)

CAUSE = (
    Field("cause", Name(), "Its name.", need=True),
    _TITLE,
    Field("area", Ref(("areas",)), "The part of the car it belongs to.", need=True),
    Field("kind", OneOf(KINDS), "damage, sizing, setting, instrument, outside or exit.", need=True, shared=True),
    Field("in_words", Text(LONG), "What happens and why, one to three plain sentences.", need=True),
    Field("how_often", HowOften(), "Share among jobs with one fault, with its basis.", need=True),
    Field("remedies", ListOf(Ref(("remedies",)), 1), "What cures it, best first.", need=True),
    Field("confirmed_by", _names("checks"), "Checks that settle it."),
    Field("more_likely_when", MapOf(("contexts",), Number(0.01, 100)), "Context -> factor on the odds."),
    Field("leads_to", MapOf(("causes",), Number(1, 100)), "Cause -> how much likelier beside this one than by chance."),
    Field("acts_on", ActsOn(), "What a damage does to parameters of the fuel system, or the names of effects."),
    Field("is_when", Comparison(), "The condition that makes the car as built unfit (sizing)."),
    Field("shows", ShowMap(), "Sign or state -> chance that this cause alone shows it."),
    Field("answers", Answers(), "Choice sign -> answer -> chance; the rest is spread as usual."),
    Field("hides", ShowMap(), "Sign or state -> chance that this cause hides it."),
    Field("silent", ListOf(Record(_SILENT_ABOUT), 1), "Signs that others of its system show and it does not, and why."),
    Field("mistaken_for", _names("causes"), "Causes it is often taken for."),
    Field("phrases", _texts(80), "Everyday words that lead to it."),
    Field("tell_apart", Text(LONG), "One sentence: what separates it from those."),
    Field("source", Text(LONG), "Where this knowledge comes from."),
    _FITS,
)

SIGN = (
    Field("sign", Name(), "Its name.", need=True),
    _TITLE,
    Field("ask", Text(ASK), "The question to ask.", need=True),
    Field("means", Text(LONG), "What it is, for people who never heard the term.", need=True),
    Field("phrases", _texts(80), "Everyday words that lead to it."),
    Field("symptom", Flag(), "Whether people report it by themselves."),
    _FITS,
    Field("seen_with", _names("tools"), "Tools without which nobody can have seen it, so that nobody is asked."),
    Field("history", Flag(), "Whether it tells of the past or of the teller, which no repair takes away."),
    Field("comes_and_goes", Flag(), "Whether it tells of a fault that is there in bouts and gone between them."),
    Field("wet", Flag(), "Whether it means fuel or its smell outside the system."),
    Field("chance", Chance(), "Chance of seeing it with no cause of the book, or of a false report."),
    Field("choices", Choices(), "Answers of a choice, with words and usual chance."),
    Field("judged_right", Chance(), "Share of answers decided by the physics that are judged as it has them."),
    Field(
        "seen_when",
        Sighting(
            (
                Field("told_right", Chance(), "Chance of yes when the condition holds."),
                Field("told_wrongly", Chance(), "Chance of yes when it does not."),
            )
        ),
        "Conditions on predicted quantities; the physics decides, so no cause may list it.",
    ),
    Field("silent", ListOf(Record(_SILENT), 1), "Causes of the same system that do not show it, and why."),
    _BASIS,
    Field("why", Text(LONG), "One line on the basis."),
)

STATE = (
    Field("state", Name(), "Its name.", need=True),
    _TITLE,
    Field("chance", Chance(), "Chance that it is there with no cause of the book.", need=True),
    Field("seen_as", MapOf(("signs",), Chance(), 1), "Sign -> chance while the state is there.", need=True),
    _BASIS,
    Field("why", Text(LONG), "One line on the basis."),
)

READING = (
    Field("reading", Name(SPOKEN_PATTERN), "Its name, which is a quantity of the fuel-system model.", need=True),
    _TITLE,
    Field("ask", Text(ASK), "The question to ask.", need=True),
    Field("quantity", Text(40), "The kind of quantity, such as pressure.", need=True),
    Field("plausible", AmountRange(), "[lowest, highest] that can be true.", need=True),
    Field("error", AmountText(), "Standard deviation of one careful reading.", need=True),
    Field("offset", AmountText(), "Standard deviation of the instrument's own offset.", need=True),
    Field("model_error", AmountText(), "Standard deviation of the model itself.", need=True),
    Field("misread_spread", AmountText(), "Standard deviation when the scale was misread.", need=True),
    Field("instrument", Text(40), "Readings with the same instrument share its offset.", need=True),
    Field("phrases", _texts(80), "Everyday words that lead to it."),
    _BASIS,
    Field("why", Text(LONG), "One line on the basis."),
)

POINT = (
    Field("point", Name(), "Its name.", need=True),
    _TITLE,
    Field("how_taken", Text(LONG), "How a person brings the car into this condition.", need=True),
    Field("settings", Settings(), "What it sets in the fuel-system model.", need=True),
    _FITS,
)


def _step(key: str, *more: Field) -> tuple[Field, ...]:
    return (
        Field(key, Name(), "Its name.", need=True),
        _TITLE,
        Field("why", Text(LONG), "One sentence: what it decides or does.", need=True),
        Field("steps", _texts(STEP, 1), "What a person does, in order.", need=True),
        Field("aloud", _texts(STEP), "The same as said on the telephone."),
        Field("minutes", Number(0, 600), "Minutes it takes a practised hand.", need=True),
        Field("risk_minutes", Number(0, 600), "Minutes added as the price of the risk."),
        Field("tools", _names("tools"), "What has to be at hand."),
        Field("hazards", _names("hazards"), "Dangers whose cautions are shown before it."),
        Field("does", ListOf(OneOf(ACTS)), "What it does as the safety wall sees it: " + ", ".join(ACTS) + "."),
        Field("needs", _names("setups"), "Setups that must be in place."),
        Field("undoes", _names("setups"), "Setups no longer in place afterwards."),
        Field("person", OneOf(PERSONS), "Least training that may do it."),
        Field("by_phone", Flag(), "Whether it may be asked of a caller of that training."),
        _FITS,
        Field("for_leaks", Flag(), "Made for wet fuel: pump off, nothing opened."),
        Field(
            "look_again",
            _names("signs"),
            "Places to look over again after it, where a dry look at the others still counts; none named: all.",
        ),
        *more,
    )


CHECK = _step(
    "check",
    Field("yields", ListOf(YieldShape(), 1), "Signs and readings it gives.", need=True),
    Field("look_over", Flag(), "Whether it answers if there is wet fuel."),
    Field("from_log", Flag(), "Read off an earlier log, so that nothing is run for it."),
    Field("phrases", _texts(80), "What people call it; search leads from there to it and to what it yields."),
    Field("teaches", Text(LONG), "What a trainee should take from it."),
    Field("pass", ListOf(Passing(), 1), "What a sound car shows: figure in words, basis and why."),
)
SETUP = _step(
    "setup",
    Field("group", Text(40), "Setups of one group exclude each other."),
    Field("releases_pressure", Flag(), "Afterwards the pressure is released."),
    Field("raises_pressure", Flag(), "Afterwards the system is under pressure."),
    Field("stands_for", _names("setups"), "Setups in whose place it counts: another way to the same thing."),
)
_PARAMETERS_LIST = Field("redraws", ListOf(Text(60)), "Parameters of the fuel system that are new afterwards.")
REMEDY = _step(
    "remedy",
    Field("parts", _texts(80), "Parts and material."),
    Field("proof", _names("checks"), "Checks that prove the cure."),
    _PARAMETERS_LIST,
    Field("botch", Chance(), "Chance that it does not cure although it was right."),
    Field("keeps_car", Flag(), "no: the car is handed on."),
    Field("measured_first", ListOf(Measurement()), "One of these was measured or done before: what condemns the part."),
    Field("looks_first", _names("checks"), "Checks to be tried before it, since it wipes out what they look at."),
)
ACTION = _step("action", _PARAMETERS_LIST)

HAZARD = (
    Field("hazard", Name(), "Its name.", need=True),
    _TITLE,
    Field("cautions", _texts(STEP, 1), "What is shown before a step.", need=True),
    Field("basis", OneOf(BASES), "Where the cautions come from.", need=True),
    Field("why", Text(LONG), "One line on the basis.", need=True),
)

STOP = (
    Field("stop", Name(), "Its name.", need=True),
    _TITLE,
    Field("when", ListOf(StopFact(), 1), "Facts that must all hold.", need=True),
    Field("forbids", ListOf(OneOf(ACTS)), "What must not be done.", need=True),
    Field("hands_on", _texts(STEP), "What a trained person at the car does besides."),
    Field("bars", _names(*STEP_SECTIONS), "Single steps that must not be done."),
    Field("lifted_by", ListOf(Lifter()), 'Steps that lift it, or "new: PARAMETER"; none: a new answer does.'),
    Field("asked_again", Flag(), "Whether the sign must be answered otherwise after that step as well."),
    Field("proven_by", _names("checks"), "Checks of which one is done after that step as well."),
    Field("why", Text(LONG), "Why, in one sentence.", need=True),
    Field("until", Text(LONG), "When it becomes allowed again.", need=True),
    Field("do_now", _texts(STEP, 1), "What to do at once.", need=True),
    Field("basis", OneOf(BASES), "Where the rule comes from.", need=True),
    Field("why_basis", Text(LONG), "One line on the basis.", need=True),
)

CONTEXT = (
    Field("context", Name(), "Its name.", need=True),
    _TITLE,
    Field("ask", Text(ASK), "The question to ask.", need=True),
    Field("phrases", _texts(80), "Everyday words that lead to it."),
    Field("when_car", WhenCar(), "Derived from the car instead of asked."),
    Field("asked_by", ListOf(Need(("signs",))), "Signs that decide it both ways, the question first; 'not' turns one."),
    Field("shown_by", _names("signs"), "Signs that show it when they are there."),
    Field("denied_by", _names("signs"), "Signs that exclude it when they are there."),
    Field("lapses", Flag(), "Whether it is a state of the car that every repair may change."),
    Field(
        "how_often", HowOften(), "Share of jobs in which it holds, so that its denial speaks against what comes of it."
    ),
)

PROCEDURE = (
    Field("procedure", Name(), "Its name.", need=True),
    _TITLE,
    Field("why", Text(LONG), "What it is for.", need=True),
    Field("steps", _texts(STEP, 1), "What a person does, in order.", need=True),
    Field("hazards", _names("hazards"), "Dangers whose cautions are shown before it."),
    Field("basis", OneOf(BASES), "Where it comes from.", need=True),
    Field("why_basis", Text(LONG), "One line on the basis.", need=True),
)

FORMERLY = Field("formerly", _former(), "Names it had in earlier books; case files that use them still read.")

# Section of a file -> the key that names an entry and its field table.
_OWN_FIELDS: dict[str, tuple[str, tuple[Field, ...]]] = {
    "causes": ("cause", CAUSE),
    "signs": ("sign", SIGN),
    "states": ("state", STATE),
    "readings": ("reading", READING),
    "points": ("point", POINT),
    "checks": ("check", CHECK),
    "setups": ("setup", SETUP),
    "remedies": ("remedy", REMEDY),
    "actions": ("action", ACTION),
    "hazards": ("hazard", HAZARD),
    "stops": ("stop", STOP),
    "contexts": ("context", CONTEXT),
    "procedures": ("procedure", PROCEDURE),
}
SECTIONS = {section: (key, (*fields, FORMERLY)) for section, (key, fields) in _OWN_FIELDS.items()}
TERM = (
    Field("term", Text(60), "The trade's term, used throughout the book.", need=True),
    Field("also", _texts(60, 1), "What else people say; search takes it for the term."),
    Field("never", _texts(60, 1), "Words the book does not use for it; search takes them for the term too."),
)
WORD_LISTS = ("tools", "areas")  # name -> words
SHARED_LISTS = ("usual", "acts", "effects")  # what entries share, see diag.rulebook.shared
TOP_LEVEL = (*SECTIONS, *WORD_LISTS, *SHARED_LISTS, "format", "version", "knobs", "unprinted", "vocabulary")
