"""The handbook holds every entry of the book once, says what the physics says, and leads only to what it has."""

from __future__ import annotations

import re
from functools import cache
from html.parser import HTMLParser

import pytest

import diag
from diag.presentation.handbook.chapters import handbook
from diag.presentation.handbook.document import Handbook, Section
from diag.presentation.handbook.markdown import handbook_markdown
from diag.presentation.handbook.page import handbook_page
from diag.presentation.handbook.typical import TYPICAL, TypicalCar

pytestmark = pytest.mark.slow  # the whole book, with its physics


@cache
def book() -> diag.RuleBook:
    """The shipped book."""
    return diag.open_rule_book()


@cache
def made() -> Handbook:
    """Its handbook."""
    return handbook(book())


def sections(section: Section) -> list[Section]:
    """A section and all under it."""
    return [section, *(below for part in section.parts for below in sections(part))]


def test_every_entry_has_its_section_and_only_one() -> None:
    """Causes, checks, set-ups, remedies, stops, procedures and complaints, each exactly once."""
    names = [s.name for chapter in made().chapters for s in sections(chapter)]
    assert len(names) == len(set(names))
    b = book()
    wanted = {f"cause-{c}" for c in b.causes} | {f"check-{c}" for c in b.checks} | {f"setup-{s}" for s in b.setups}
    wanted |= {f"remedy-{r}" for r in b.remedies} | {f"stop-{s}" for s in b.stops}
    wanted |= {f"procedure-{p}" for p in b.procedures} | {f"sign-{s.id}" for s in b.signs.values() if s.symptom}
    assert wanted <= set(names)


def test_readings_are_those_that_the_library_predicts() -> None:
    """The figures under a cause equal a prediction asked for apart, on the car that the handbook names."""
    reads = {(r.reading, r.point): r for r in TypicalCar(book()).reads("return-line-too-small")}
    car = diag.car(book(), **{name.replace("-", "_"): text for name, text in TYPICAL.items()})
    for at in ("idle-hose-on", "return-opened"):
        apart = diag.predict(book(), car, "rail pressure", at, ["return-line-too-small"])
        assert reads["rail pressure", at].faulty == apart
    outlet = reads["regulator outlet pressure", "pump-on-engine-off"]
    assert outlet.apart, "back-pressure is what a small return shows"
    assert outlet.faulty.mean > outlet.sound.mean


class _Page(HTMLParser):
    """Names, links and tags of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.names: list[str] = []
        self.links: list[str] = []
        self.tags: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        self.tags.add(tag)
        self.names += [told["id"] or ""] if "id" in told else []
        self.links += [told["href"] or ""] if "href" in told else []


def test_the_page_leads_only_to_itself_and_fetches_nothing() -> None:
    """Every link has its target; no script, no picture from elsewhere, nothing to fetch; cautions stand first."""
    text = handbook_page(made())
    page = _Page()
    page.feed(text)
    assert all(link.startswith("#") and link[1:] in page.names for link in page.links)
    assert not page.tags & {"script", "img", "link", "iframe", "object"}
    assert not re.search(r"(?:src|url)\s*[=(]", text)
    assert "default-src 'none'" in text
    assert text.index("This work can hurt") < text.index("<h2")


def test_the_markdown_says_the_same() -> None:
    """Titles, steps and everyday words stand in both forms."""
    text = handbook_markdown(made())
    for cause in book().causes.values():
        assert cause.title in text.replace("\\", "")
    check = next(iter(book().checks.values()))
    assert check.steps[0][:40] in text.replace("\\", "")
    assert "Everyday words" in text


def test_everyday_words_lead_to_every_kind_of_entry() -> None:
    """The word index holds what search understands: names of causes and checks, and the terms' other words."""
    for text in (handbook_page(made()), handbook_markdown(made())):
        said = text[text.rindex("Everyday words") :].replace("\\", "")
        cause = next(c for c in book().causes.values() if c.phrases)
        check = next(c for c in book().checks.values() if c.phrases)
        term = next(t for t in book().vocabulary if t.term == "ground")
        assert cause.phrases[0].casefold() in said
        assert check.phrases[0].casefold() in said
        assert f"{term.also[0]}: " in said
        assert "see ground" in said
