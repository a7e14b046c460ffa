"""What closed jobs teach, counted inside the database: the same rules as ``diag.casework.lessons.verdict_of``."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Any

from diag.casework.lessons import NONE, ONE, SEVERAL, Counts
from diag.rulebook.model import RuleBook

if TYPE_CHECKING:
    from psycopg import Connection

# Each line of the case is one line of verdict_of, in the same order; test_lessons.py holds the two side by side.
_SQL = """
with known as (
    select k.cause, array(select jsonb_array_elements_text(k.remedies)) as remedies
    from jsonb_each(%(known)s::jsonb) as k(cause, remedies)
), told as (
    select job, case
        when position('-copy-' in id) > 0 then 'a copy of another job'
        when status <> 'closed' then 'not closed'
        when result = 'normal' and proven and causes = '{}' then %(none)s
        when result = 'normal' then 'normal behaviour, not proven'
        when result <> 'cured' then 'ended as: ' || coalesce(nullif(result, ''), 'no outcome')
        when not proven then 'cured, but not proven'
        when causes = '{}' then 'cured, but no cause named'
        when exists (select from unnest(causes) c where not exists (select from known where cause = c))
            then 'a cause that this rule book does not have'
        when exists (select from unnest(causes) c join known on cause = c
                     where remedies <> '{}' and not remedies && steps)
            then 'cured, but no remedy for that cause on record'
        when (select count(distinct c) from unnest(causes) c) = 1 then %(one)s
        else %(several)s
    end as verdict, causes[1] as cause
    from diag.jobs where problem = ''
)
select verdict, case when verdict = %(one)s then cause else '' end, count(*) from told group by 1, 2
"""


def lessons(line: Connection[tuple[Any, ...]], book: RuleBook) -> Counts:
    """The counts of all jobs that the person may see."""
    # the driver is an extra, only for a team's server
    from psycopg.types.json import Jsonb

    known = {name: list(cause.remedies) for name, cause in book.causes.items()}
    values = {"known": Jsonb(known), "one": ONE, "several": SEVERAL, "none": NONE}
    causes: Counter[str] = Counter()
    others: Counter[str] = Counter()
    for verdict, cause, number in line.execute(_SQL, values).fetchall():
        if verdict == ONE:
            causes[cause] += number
        else:
            others[verdict] += number
    several, none = others.pop(SEVERAL, 0), others.pop(NONE, 0)
    return Counts(dict(sorted(causes.items())), several, none, dict(sorted(others.items())))
