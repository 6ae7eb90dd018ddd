"""The season page: all that the document says stands on it, safe, in order, and loads nothing."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from plan_cases import (
    GENEROUS,
    NOW,
    TODAY,
    advice,
    book,
    files,
    given,
    granules,
    holds,
    lawn,
    opens,
    waters,
    weather,
)
from pydantic import BaseModel
from season_cases import past

from advisor.digest.glossary import TERMS, Glossary
from advisor.digest.pictures import pictures
from advisor.digest.season_page import PAPER, render_season
from advisor.plan.ahead import look_at_season
from advisor.plan.compose import Given, make_plan
from advisor.plan.season import look_over_season
from advisor.plan.season_model import Season

VOID = {"meta", "br", "img", "hr", "link", "input"}

NOTE = "notes remark for feed\n  while humidity at least 90%\n  says Dew stays.\n  source made up\n"


def made(units: str = "us", **more: object) -> Given:
    read = files(
        lawn(more=GENEROUS), lawn("back", grass="bermudagrass", more='title = "Back lawn"'),
        shelf=granules(), units=units,
        journal="journal from 2026-01-01\n2026-01-01 all last feed 2025-10-02\n"
        "2026-05-03 front applied 6 lb of granules\n2026-05-09 back seen frost\n"
        "2026-05-10 front mowed at 3 in\n2026-05-09 front fed lots\n2026-07-01 front mowed\n",
    )  # fmt: skip
    calm = opens("lime", at_least=20.0)
    rules = book(opens(), holds(), opens("iron"), holds("iron"), waters(), calm, NOTE)
    found = given(read, rules, weather(humidity=[0.95]), [advice(TODAY - timedelta(20), on="back")])
    return replace(found, **({"past": past([0, 4] * 5)} | more))  # type: ignore[arg-type]


def season(found: Given) -> Season:
    return look_over_season(found, make_plan(found, NOW), look_at_season(found, NOW), NOW)


SEASON = season(made())


class Page(HTMLParser):
    """The elements of a page with their attributes in order, and the text within each part."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.headings: list[tuple[int, str]] = []
        self._words: list[str] = []
        self.feed(page)
        self.close()
        assert not self.open, f"not closed: {self.open}"

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, {name: value or "" for name, value in attrs}))
        if re.fullmatch("h[1-6]", tag):
            self.headings.append((int(tag[1]), ""))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" in self.open:
            return
        self._words.append(data)
        if self.open and re.fullmatch("h[1-6]", self.open[-1]):
            level, text = self.headings.pop()
            self.headings.append((level, text + data))

    @property
    def text(self) -> str:
        return " ".join(" ".join(self._words).replace(" ,", ",").split())


def squeezed(text: str) -> str:
    return re.sub(r"\W+", " ", text).strip()


def test_it_is_well_formed_and_names_its_language() -> None:
    page = Page(render_season(SEASON))
    assert page.elements[0] == ("html", {"lang": "en-US"})
    assert Page(render_season(season(made("metric")))).elements[0] == ("html", {"lang": "en-GB"})
    ids = [found["id"] for _, found in page.elements if "id" in found]
    assert len(ids) == len(set(ids))
    for tag, found in page.elements:
        if tag == "a":
            assert found["href"][0] == "#" and found["href"][1:] in ids
        if "aria-labelledby" in found:
            assert found["aria-labelledby"] in ids
    assert {"header", "nav", "main", "footer"} <= {tag for tag, _ in page.elements}


def test_headings_go_down_by_one_and_tables_say_what_they_are() -> None:
    page = Page(render_season(SEASON))
    levels = [level for level, _ in page.headings]
    assert levels.count(1) == 1 and levels[0] == 1
    assert all(later <= before + 1 for before, later in pairwise(levels))
    tags = [tag for tag, _ in page.elements]
    assert tags.count("table") == tags.count("caption") > 4
    assert all("scope" in found for tag, found in page.elements if tag == "th")


def test_it_loads_nothing_and_runs_nothing() -> None:
    text = render_season(SEASON)
    assert "default-src 'none'" in text
    assert "@import" not in text and "url(" not in text
    for tag, found in Page(text).elements:
        assert tag not in {"script", "link", "iframe", "img", "object", "form", "base"}
        assert not any(name.startswith("on") or name == "src" for name in found)


def test_every_rule_that_speaks_is_there_with_what_it_found() -> None:
    """Name, what it says, and for each condition its text, value, limit and margin."""
    whole = squeezed(Page(render_season(SEASON)).text)
    rules = [(lawn_.title, rule) for lawn_ in SEASON.lawns for rule in lawn_.speaking]
    assert {rule.kind for _, rule in rules} == {"opens", "waters", "holds", "notes"}
    counted: dict[str, int] = {}
    for _, rule in rules:
        assert squeezed(f"{rule.what} {rule.sentence}") in whole
        for condition in rule.conditions:
            told = squeezed(
                f"{condition.word} {condition.text.replace('_', ' ')}"
                f" {'holds' if condition.holds else ''}"
            )
            found = squeezed(
                f"{condition.value}, limit {condition.limit}, {condition.margin or ''}"
            )
            assert f"{told} {found} From {squeezed(condition.origin)}" in whole
            counted[f"{told} {found}"] = counted.get(f"{told} {found}", 0) + 1
    for told, times in counted.items():
        assert whole.count(told) == times
    for lawn_ in SEASON.lawns:
        assert lawn_.silent == ("open-lime",)
    assert whole.count("Silent today open lime") == len(SEASON.lawns)


def test_the_journal_is_whole_and_in_order() -> None:
    page = Page(render_season(SEASON)).text
    whole = page[page.index("It tells all that was done") :]
    at = 0
    lines = [line for week in SEASON.journal for line in week.lines]
    assert len(lines) == 7
    for line in lines:
        at = whole.index(line.text, at) + len(line.text)
    assert all(mark in whole for mark in ("perhaps done", "please look", "cannot be read"))


@pytest.mark.parametrize(
    ("units", "heading"), [("us", "Week of Sun May 10"), ("metric", "Week of Mon 4 May")]
)
def test_weeks_have_the_readers_first_day(units: str, heading: str) -> None:
    """10 May 2026 is a Sunday."""
    page = Page(render_season(season(made(units))))
    assert heading in [text for _, text in page.headings]


def test_no_fact_of_a_lawn_is_lost() -> None:
    whole = squeezed(Page(render_season(SEASON)).text)
    for lawn_ in SEASON.plan.lawns:
        assert len(lawn_.conditions) > 8
        for one in lawn_.conditions:
            assert squeezed(f"{one.title} {one.value} {one.origin}").casefold() in whole.casefold()
        assert all(squeezed(note) in whole for note in lawn_.notes)
    for known in SEASON.lawns:
        for had in known.had:
            row = f"{had.substance} {had.text} {had.limit_text or 'no limit known'}"
            assert squeezed(f"{row} {had.left_text}").casefold() in whole.casefold()
        for since in known.since:
            assert squeezed(f"{since.title} {since.text}") in whole


def test_nobody_is_blamed() -> None:
    said = Page(render_season(SEASON)).text.casefold()
    blaming = r"\b(?:forgot|should have|failed|fault|neglect\w*|wrong|careless|you did not|late)\b"
    assert re.search(blaming, said) is None


HOSTILE = "\x1b[31m</style><script>alert(1)</script><b a=\"'&lt;\u202e"

TEXTS = frozenset({
    "title", "lawn_title", "text", "note", "sentence", "source", "what", "origin", "value",
    "limit", "margin", "meaning", "file", "change", "latch_text", "missing", "substance",
    "attribution", "provider", "area_text", "grass", "cannot_tell",
})  # fmt: skip


def poisoned(part: BaseModel) -> BaseModel:
    """The document with something hostile in place of every text that there is."""

    def value(name: str, was: object) -> object:
        if isinstance(was, BaseModel):
            return poisoned(was)
        if isinstance(was, tuple):
            return tuple(value(name, one) for one in was)
        return HOSTILE if name in TEXTS and isinstance(was, str) and was else was

    return part.model_copy(
        update={name: value(name, getattr(part, name)) for name in type(part).model_fields}
    )


def structure(page: str) -> Iterator[str]:
    """Its elements without what trade words bring."""
    for tag, found in Page(page).elements:
        if found.get("class") != "term" and tag not in {"dt", "dd"}:
            yield tag


def test_no_text_breaks_out() -> None:
    """Whatever an owner, a rule or a journal says, the page has the elements that it had."""
    hostile = poisoned(SEASON)
    assert isinstance(hostile, Season)
    # What a curve is about is a word of ours.
    plan = hostile.plan.model_copy(update={"curves": SEASON.plan.curves})
    page = render_season(hostile.model_copy(update={"plan": plan}))
    assert list(structure(page)) == list(structure(render_season(SEASON)))
    assert "<script" not in page and "\x1b" not in page and "\u202e" not in page
    assert page.count("&lt;script&gt;") > 50


def test_pictures_stand_first_with_what_they_show() -> None:
    shown = Page(render_season(SEASON))
    titles = [text for _, text in shown.headings]
    lawns = [lawn.name for lawn in SEASON.plan.lawns]
    assert titles.count("Curves") == len(lawns)
    for name in lawns:
        drawn = pictures(SEASON.plan, name)
        assert len(drawn) == 3
        for picture in drawn:
            assert picture.title in titles
            assert picture.finding in shown.text
    assert titles.index("Curves") < titles.index("Windows ahead")
    blind = SEASON.model_copy(update={"plan": SEASON.plan.model_copy(update={"curves": ()})})
    assert "Curves" not in [text for _, text in Page(render_season(blind)).headings]


def test_who_made_the_weather_is_named_as_licences_ask() -> None:
    page = Page(render_season(SEASON)).text
    assert "made up https://weather.example.org" in page


def test_without_past_years_and_without_weather_it_says_so() -> None:
    bare = made(past=None, series=None)
    page = Page(render_season(look_over_season(bare, make_plan(bare, NOW), None, NOW))).text
    assert page.count("No dates are told") == 2
    assert page.count("There is no forecast: none could be fetched yet.") >= 2
    assert "applied 6 lb of granules" in page and "nitrogen" in page.casefold()


def test_trade_words_are_explained_where_they_first_stand() -> None:
    page = render_season(SEASON)
    used = re.findall(r'<a class="term" href="#(word-\d+)">', page)
    listed = re.findall(r'<dt id="(word-\d+)">', page)
    assert len(used) == len(set(used)) > 3
    assert set(used) == set(listed)
    assert page.index(used[0]) < page.index(f'id="{used[0]}"')


def test_a_trade_word_is_a_whole_word() -> None:
    words = Glossary()
    assert str(words.mark("Grubby thatching <i>")) == "Grubby thatching &lt;i&gt;"
    assert words.used() == ()
    assert 'href="#word-' in words.mark("Grubs & thatch")
    assert [word for _, word, _ in words.used()] == ["grub", "thatch"]
    assert "href" not in words.mark("grub")
    assert all(meaning.endswith(".") and meaning.count(". ") == 0 for meaning in TERMS.values())


@pytest.mark.parametrize("which", [0, 1])
def test_inks_on_its_paper_can_be_read(which: int) -> None:
    """WCAG 2.2, success criterion 1.4.3: at least 4.5 to 1 for words."""

    def luminance(colour: str) -> float:
        parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    ground = luminance(PAPER["ground"][which])
    for ink in ("ink", "faint", "apply", "wait", "water", "other"):
        other = luminance(PAPER[ink][which])
        low, high = sorted((ground, other))
        assert (high + 0.05) / (low + 0.05) >= 4.5, ink
