"""A job, its file and where it stands. What can be told to it is in ``diag.session.job``.

Every change goes the same way: a pure function of ``diag.casework.record`` makes a new case, the case goes to disk,
and only then is it the present one. When the disk refuses, the answer is kept in memory, ``unsaved`` holds it,
``trouble`` says why, and the next change tries the disk again. A job with such answers cannot be let go of unless they
were given out to a person, who chose that.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Self, TypedDict

from diag.casework.agenda import Task, rest_of_begun, tasks, way_to
from diag.casework.entries import Case, Entry
from diag.casework.ids import new_case_id
from diag.casework.keeping import HeldJob, JobStore, Place
from diag.casework.names import remarks_on
from diag.casework.renamed import named_as_today
from diag.casework.replay import Comparison, ModelCache, Standing, compare, standing
from diag.casework.summary import status_of
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Yield
from diag.session.clock import Clock, moment, stamp, system_clock
from diag.support.disk.operations import Disk
from diag.support.errors import NotOnDiskError, UserError
from diag.support.text import one_line


class By(TypedDict):
    """When and by whom."""

    at: str
    who: str


def new_case(book: RuleBook, title: str, clock: Clock = system_clock, unit_pressure: str = "psi") -> Case:
    """An empty case with a fresh name."""
    opened = stamp(clock())
    name = one_line(title, 120).strip() or "job"
    return Case(
        new_case_id(opened, name, secrets.token_hex(2)), name, opened, book.version, book.fingerprint, unit_pressure
    )


@dataclass(frozen=True, slots=True)
class _AtOnce:
    """What was found to do at once, and for which standing, questions passed over and step chosen."""

    here: Standing
    of: tuple[frozenset[Yield], str]
    tasks: tuple[Task, ...]


class KeptJob:
    """A case being worked on: its file, where it stands, and the one way that every change goes.

    Args:
        case: the case as it stands.
        book: the rule book.
        held: the case's file; None keeps everything in memory only (reading, practice, tests).
        who: name or initials written into every entry.
        cache: compiled models, shared between jobs.
    """

    def __init__(
        self,
        case: Case,
        book: RuleBook,
        held: HeldJob | None = None,
        who: str = "",
        clock: Clock = system_clock,
        cache: ModelCache | None = None,
    ) -> None:
        self.book = book
        self.who = one_line(who, 60).strip() or "somebody"
        self.trouble = ""  # what the disk said at the last save, empty when it took the case where it belongs
        self._notice = ""
        self._before: Standing | Case | None = None  # a case until somebody asks where the job stood
        self._case = case
        self._held = held
        self._given_out: Case | None = None  # the case as a person was shown it in place of the disk
        self._clock = clock
        self._cache: ModelCache = {} if cache is None else cache
        self._standing: Standing | None = None
        self._left_out: set[Yield] = set()
        self._chosen = ""  # a step the person chose instead of the proposed one
        self._at_once: _AtOnce | None = None

    @classmethod
    def start(cls, store: JobStore, book: RuleBook, title: str, who: str = "", cache: ModelCache | None = None) -> Self:
        """A new case, already on disk."""
        case = new_case(book, title)
        return cls(case, book, store.create(case), who, cache=cache)

    @classmethod
    def open(
        cls,
        store: JobStore,
        book: RuleBook,
        case_id: str,
        who: str = "",
        cache: ModelCache | None = None,
        take_over: bool = False,
        accept_readable_part: bool = False,
    ) -> Self:
        """An existing case, held for writing."""
        held = store.open(case_id, take_over, accept_readable_part)
        return cls(held.case, book, held, who, cache=cache)

    # ------------------------------------------------------------------ what it says

    @property
    def case(self) -> Case:
        """The case as it stands, with the newest answer, in the rule book's names of today."""
        return self._standing.case if self._standing is not None else named_as_today(self._case, self.book)

    @property
    def standing(self) -> Standing:
        """Where the job stands; worked out once after every change, and in parts only when looked at."""
        if self._standing is None:
            self._standing = standing(self._case, self.book, self._cache)
        return self._standing

    @property
    def tasks(self) -> tuple[Task, ...]:
        """What to do or answer next, one thing at a time."""
        return self.tasks_at_once or tasks(self.standing, self._left_out)

    @property
    def task(self) -> Task:
        """The next thing."""
        return self.tasks[0]

    @property
    def tasks_at_once(self) -> tuple[Task, ...]:
        """The rest of the check in progress or of the step chosen, which needs no weighing; may be empty."""
        here, of = self.standing, (frozenset(self._left_out), self._chosen)
        known = self._at_once
        if known is None or known.here is not here or known.of != of:  # a screen asks ten times for one key
            known = self._at_once = _AtOnce(here, of, self._find_at_once())
        return known.tasks

    def _find_at_once(self) -> tuple[Task, ...]:
        rest = rest_of_begun(self.standing, self._left_out)
        if rest or not self._chosen:
            return rest
        try:
            return way_to(self.standing, self._chosen, self._left_out)
        except UserError:
            self._chosen = ""  # what was told meanwhile closed the way
            return ()

    def choose(self, step: str) -> None:
        """Do this step next instead of the proposed one; nothing is written until something of it is done.

        Raises:
            UserError: there is no safe way to it now.
        """
        way_to(self.standing, step)
        self._chosen = step

    @property
    def chosen(self) -> str:
        """The step the person chose instead of the proposed one; empty when there is none."""
        return self._chosen

    @property
    def remarks(self) -> tuple[str, ...]:
        """What the case's file had to say when it was opened: damage, odd places, names unknown to this book."""
        result = self._held.result if self._held is not None else None
        return remarks_on(result, self.book, self._case.id) if result is not None else ()

    @property
    def is_kept(self) -> bool:
        """Whether the case has a file."""
        return self._held is not None

    @property
    def disk(self) -> Disk | None:
        """The disk its file is on; None without a file."""
        return self._held.store.disk if self._held is not None else None

    @property
    def unsaved(self) -> tuple[Entry, ...]:
        """The entries that no disk holds, in order; empty when every answer is on disk or none is to be."""
        if self._held is None or self._held.on_disk is self._case:
            return ()
        written = self._held.on_disk
        return self._case.entries[len(written.entries) if written is not None else 0 :]

    @property
    def place(self) -> Place | None:
        """What takes the answers; None when none are kept."""
        return self._held.store.place if self._held is not None else None

    @property
    def unsent(self) -> int:
        """Answers on this machine's disk that the server does not have yet."""
        return self._held.unsent if self._held is not None else 0

    @property
    def why_unsent(self) -> str:
        """Why they wait."""
        return self._held.why_unsent if self._held is not None else ""

    def news(self) -> tuple[str, ...]:
        """What happened to the job outside this program since last asked: taken over, sent after all."""
        return self._held.news() if self._held is not None else ()

    @property
    def notice(self) -> str:
        """The same for a screen that is painted again and again: it stays until the next answer."""
        self._notice = " ".join((*((self._notice,) if self._notice else ()), *self.news()))
        return self._notice

    @property
    def left_out(self) -> frozenset[Yield]:
        """Questions of the check in progress that were passed over."""
        return frozenset(self._left_out)

    @property
    def change(self) -> Comparison | None:
        """What the last change did to the ranking."""
        return compare(self.before, self.standing) if self.before is not None else None

    @property
    def before(self) -> Standing | None:
        """Where the job stood before the last change; None when there was none."""
        if isinstance(self._before, Case):
            self._before = standing(self._before, self.book, self._cache)
        return self._before

    @property
    def minutes(self) -> float:
        """Minutes from the first entry to now, or to the last entry of a closed job."""
        entries = self._case.entries
        if not entries:
            return 0.0
        first = moment(self._case.opened)
        last = moment(entries[-1].at) if status_of(self._case) == "closed" else self._clock()
        return max(0.0, (last - first).total_seconds() / 60.0)

    def what_if(self, change: Callable[[Case], Case]) -> tuple[Standing, Comparison]:
        """Where the job would stand after a change that is not made."""
        then = standing(change(self._case), self.book, self._cache)
        return then, compare(self.standing, then)

    # ------------------------------------------------------------------ changes

    def apply(self, change: Callable[[Case], Case]) -> None:
        """Make a change, put it on disk, and take it as the present case.

        Raises:
            UserError: the change itself is refused; nothing has happened.
        """
        changed = change(self._case)
        if changed is self._case:
            return
        self._take(changed)

    def _take(self, changed: Case) -> None:
        changed = replace(changed, book_version=self.book.version, book_fingerprint=self.book.fingerprint)
        self._before = self._standing or self._case
        self._case = changed
        self._standing = None
        self._notice = ""
        self._save()

    def _save(self) -> None:
        if self._held is None:
            return
        try:
            self._held.save(self._case)
            self.trouble = ""
        except UserError as error:
            # Whatever is in the way (disk full, a folder where the file was), the answer itself is kept.
            self.trouble = error.one_line()

    # ------------------------------------------------------------------ letting go

    def save_again(self) -> bool:
        """Try the disk once more; True when no answer is left that it does not hold."""
        self._save()
        return not self.unsaved

    def move_to(self, store: JobStore) -> str:
        """Put the whole job into another folder and go on there; its new name. The old file stays as it is.

        Raises:
            UserError: that folder would not take it either; the job stays where it is.
        """
        case = self._case
        if store.holds(case.id):
            case = replace(case, id=f"{case.id[:52].strip('-')}-moved-{secrets.token_hex(2)}")
        held = store.create(case)
        if self._held is not None:
            self._held.close()
        self._case, self._held, self._standing, self.trouble = case, held, None, ""
        return case.id

    def give_out(self) -> tuple[Entry, ...]:
        """The answers that no disk holds, for a person who chose to have them in writing; they may be let go then."""
        self._given_out = self._case
        return self.unsaved

    @property
    def was_given_out(self) -> bool:
        """Whether a person has in writing what no disk holds, up to the newest answer."""
        return self._given_out is self._case

    def close_file(self) -> None:
        """Let go of the case's file; calling it twice does no harm.

        Raises:
            NotOnDiskError: some answers are not on disk and nobody was given them; the file stays held.
        """
        if self._held is None:
            return
        if not self.save_again() and not self.was_given_out:
            raise NotOnDiskError(
                f"The disk does not hold {len(self.unsaved)} of the answers.", "Try again, or use another folder."
            )
        self._held.close()

    @property
    def _by(self) -> By:
        return By(at=stamp(self._clock()), who=self.who)
