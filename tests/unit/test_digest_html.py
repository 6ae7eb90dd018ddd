"""The digest as HTML: structure, colours, size, and the same facts as the text."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from sample_plan import sample_plan

from advisor.digest.html import BUDGET, encoded_size, render_html, with_units
from advisor.digest.parts import StripView, texts
from advisor.digest.strip import NONE
from advisor.digest.text import render_text
from advisor.digest.view import LONGEST_PREHEADER, view
from advisor.digest.words import hours_text, state_text, when_text
from advisor.language.dates import day_text
from advisor.plan.model import Plan, Verdict

VOID = {"meta", "br", "img", "hr", "link", "input", "source"}


class Page(HTMLParser):
    """Text runs of a page with the styles and classes around each, and its tags in order."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.runs: list[tuple[str, list[tuple[str, dict[str, str]]]]] = []
        self.open: list[tuple[str, dict[str, str]]] = []
        self.flow: list[str] = []
        self.feed(page)
        self.close()
        assert not self.open, f"not closed: {self.open}"

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        self.tags.append((tag, found))
        if tag not in {"span", "b", "a", "i"}:
            self.flow.append(" ")
        self.flow.append(found.get("alt", ""))
        if tag not in VOID:
            self.open.append((tag, found))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop()[0] == tag

    def handle_data(self, data: str) -> None:
        inside = {tag for tag, _ in self.open}
        # What a list of mails shows behind the subject is no part of the page.
        if inside & {"style", "title"} or any("display:none" in a.get("style", "")
                                              for _, a in self.open):  # fmt: skip
            return
        if data.strip():
            self.runs.append((data, list(self.open)))
        self.flow.append(data)

    @property
    def text(self) -> str:
        return " ".join("".join(self.flow).split())


def colours(style: str) -> dict[str, str]:
    pairs = re.findall(r"(?:^|;)(background-color|background|color):(#[0-9a-f]{6})", style)
    return {name.removesuffix("-color"): colour for name, colour in pairs}


def contrast(one: str, two: str) -> float:
    """Contrast ratio of two colours, 1 to 21: WCAG 2.2, definition of relative luminance."""

    def luminance(colour: str) -> float:
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    high, low = sorted((luminance(one), luminance(two)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def plans() -> list[Plan]:
    """The sample under each verdict, so that every colour is seen."""
    plan = sample_plan()
    return [
        plan.model_copy(update={"headline": plan.headline.model_copy(update={"verdict": verdict})})
        for verdict in Verdict
    ]


def test_contrast_formula_on_published_pairs() -> None:
    """WCAG: black on white is 21:1; #767676 is the lightest grey that reaches 4.5:1 on white."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") >= 4.5 > contrast("#777777", "#ffffff")


@pytest.mark.parametrize("dark", [False, True])
def test_every_text_has_contrast_in_light_and_dark(dark: bool) -> None:
    """At least 4.5:1 (WCAG 1.4.3) between the colour and the background that apply to it."""
    for plan in plans():
        page = render_html(plan)
        rules = dict(re.findall(r"^\.([a-z]+)\{([^}]*)\}$", page, re.M)) if dark else {}
        for data, around in Page(page).runs:
            colour = background = ""
            for _, attributes in around:
                styles = [attributes.get("style", "")]
                styles += [rules.get(name, "") for name in attributes.get("class", "").split()]
                for style in styles:
                    found = colours(style.replace("!important", ""))
                    colour = found.get("color", colour)
                    background = found.get("background", background)
            assert contrast(colour, background) >= 4.5, (data, colour, background)


def test_colour_and_background_are_set_together() -> None:
    """A reader's dark mode may turn one of two over; a lone one would then vanish."""
    for plan in plans():
        for tag, attributes in Page(render_html(plan)).tags:
            found = colours(attributes.get("style", ""))
            assert len(found) in (0, 2), (tag, attributes)


def test_page_loads_and_runs_nothing() -> None:
    tags = Page(render_html(sample_plan())).tags
    names = {tag for tag, _ in tags}
    assert not names & {"script", "img", "link", "svg", "iframe", "form", "object", "video"}
    for tag, attributes in tags:
        assert not {name for name in attributes if name.startswith("on") or name == "src"}
        assert "url(" not in attributes.get("style", "")
        assert not re.search(r"display:\s*(grid|flex)", attributes.get("style", ""))
        if "href" in attributes:
            assert (tag, attributes["href"]) == ("a", "https://weather.example/licence")


def test_a_list_of_mails_shows_what_to_have_in_hand() -> None:
    """Behind the subject, hidden on the page itself."""
    page, digest = render_html(sample_plan()), view(sample_plan())
    hidden = re.findall(r'<div style="display:none[^>]*>([^<]*)</div>', page)
    assert [" ".join(text.split()) for text in hidden] == [digest.preheader]
    assert digest.preheader.startswith("Weigh out: 5.4 lb of Spring granules")
    assert len(digest.preheader) <= LONGEST_PREHEADER


def test_language_and_headings_in_order() -> None:
    page = Page(render_html(sample_plan()))
    assert page.tags[0] == ("html", {"lang": "en-US"})
    levels = [int(tag[1]) for tag, _ in page.tags if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))


def test_data_tables_have_scoped_heads_and_layout_tables_say_so() -> None:
    page = Page(render_html(sample_plan()))
    assert all(a.get("scope") in {"row", "col"} for tag, a in page.tags if tag == "th")
    layout = [a for tag, a in page.tags if tag == "table" and a.get("role") == "presentation"]
    assert any("max-width:620px" in a["style"] for a in layout)


def test_verdict_hours_and_dose_come_before_anything_long() -> None:
    """What must be seen on a phone's first screen stands before the first question."""
    text = Page(render_html(sample_plan())).text.split("First, please answer")[0]
    assert len(text) < 400
    for fact in ("Apply", "Thu Apr 9, 07:00 to 10:00", "5.4 lb of Spring granules", "Front lawn"):
        assert text.count(fact) == 1


def test_headline_for_several_lawns_weighs_out_for_each() -> None:
    plan = sample_plan()
    other = plan.lawns[1].model_copy(update={"actions": plan.lawns[0].actions})
    text = Page(render_html(plan.model_copy(update={"lawns": (plan.lawns[0], other)}))).text
    hero = text.split("First, please answer")[0]
    area = "on 3,600 ft2, the lawn less a 10 ft strip along the pond"
    assert f"Front lawn 5.4 lb of Spring granules (24-0-6) {area}" in hero
    assert f"Back lawn under the limes 5.4 lb {area}" in hero


def test_what_the_headline_leaves_out_is_filled_in() -> None:
    plan = sample_plan()
    bare = plan.headline.model_copy(update={"text": "Apply: the barrier."})
    hero = Page(render_html(plan.model_copy(update={"headline": bare}))).text.split("First,")[0]
    assert "When Thu Apr 9, 07:00 to 10:00 Where Front lawn Weigh out 5.4 lb" in hero


def test_verdict_is_a_word_beside_each_action() -> None:
    text = Page(render_html(sample_plan())).text
    assert text.startswith("Tern Hollow, Wed Apr 8 Apply Spring barrier")
    assert "WATER Watering" in text
    assert "What waits Spring feed" in text


def facts(plan: Plan) -> list[str]:
    """All that a reader may act on, taken from the plan itself."""
    units = plan.site.units
    found = [plan.weather.attribution, plan.weather.attribution_url, plan.weather.provider]
    found += [plan.site.title, day_text(plan.on, units)]
    found += [day_text(plan.next_digest, units)] if plan.next_digest else []
    for lawn in plan.lawns:
        found += [lawn.title, state_text(lawn.state), *lawn.notes]
        for condition in lawn.conditions:
            found += [condition.title, condition.value]
        for action in lawn.actions:
            found += [action.title.split()[0], action.because, *action.cautions]
            found += [action.flag, action.go_line, action.water_text]
            found += [action.rule, action.source] if action.verdict is not Verdict.WAIT else []
            found += [hours_text(action.start, action.end)]
            if action.second:
                found += [
                    when_text(action.second.day, action.second.start, action.second.end, units)
                ]
            found += list(action.reasons) if action.verdict is not Verdict.WAIT else []
            for day in (action.day, action.look_again, action.closes):
                found += [day_text(day, units)] if day else []
            if action.dose:
                found += [action.dose.amount_text, action.dose.title, action.dose.area_text]
                found += [action.dose.analysis or "", action.dose.rate_text]
                found += [action.dose.limited_by, *action.dose.steps]
                found += [delivery.text for delivery in action.dose.delivers]
    for ask in plan.ask:
        found += [ask.lawn_title, ask.text, *ask.answers, day_text(ask.day, units)]
    for one in plan.next:
        found += [one.lawn_title, one.text]
        found += [day_text(d, units) for d in (one.likely, one.earliest, one.latest) if d]
    for unknown in plan.unknown:
        found += [unknown.what, unknown.why]
    for problem in plan.problems:
        found += [line for line in problem.splitlines() if line.strip("^ ")]
    return [" ".join(fact.split()) for fact in found if fact]


@pytest.mark.parametrize("units", ["us", "metric"])
def test_text_and_html_tell_the_same_facts(units: str) -> None:
    plan = sample_plan()
    plan = plan.model_copy(update={"site": plan.site.model_copy(update={"units": units})})
    told = facts(plan)
    assert len(told) > 60
    page, text = Page(render_html(plan)).text, " ".join(render_text(plan).split())
    for fact in told:
        assert fact.casefold() in page.casefold(), fact
        assert fact.casefold() in text.casefold(), fact


def test_both_parts_tell_every_text_of_the_view() -> None:
    """No text of the view is in one part and not in the other, whatever it is about."""
    plan = sample_plan()
    page, text = Page(render_html(plan)).text, " ".join(render_text(plan).split())
    digest = view(plan)
    assert f"Apply {digest.claim}" in page  # the verdict is the page's first heading
    other = {"en-US", NONE, digest.subject, digest.preheader, digest.verdict_line}
    # The strip's numbers stand without their units in one part; see below.
    rest = replace(digest, strip=StripView((), "", "", "", "", digest.strip.note))
    told = [one for one in texts(rest) if one and one not in other]
    assert len(told) > 80
    for one in told:
        assert one.casefold().strip(".") in page.casefold(), one
        assert one.casefold().strip(".") in text.casefold(), one


@pytest.mark.parametrize("units", ["us", "metric"])
def test_each_coming_day_is_told_alike_in_both_parts(units: str) -> None:
    """The text has units with its numbers, the page has them at the head of a row."""
    plan = sample_plan()
    plan = plan.model_copy(update={"site": plan.site.model_copy(update={"units": units})})
    strip, text = view(plan).strip, " ".join(render_text(plan).split())
    for day, ahead in zip(strip.days, plan.days, strict=True):
        line = f"{day.day}: {ahead.low} to {ahead.high}, rain {ahead.rain} ({ahead.rain_chance})"
        assert f"{line}, wind {ahead.wind}" in text
        assert day.told in text
    page = render_html(plan)
    rows = {}
    for row in re.findall(r"<tr.*?</tr>", page[page.index("Coming days") :], re.DOTALL):
        cells = re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.DOTALL)
        rows[re.sub("<[^>]*>", " ", cells[0]).split(" ")[0]] = [
            " ".join(re.sub("<[^>]*>", " ", cell).split()) for cell in cells[1:]
        ]
    assert rows["High"] == [day.high for day in strip.days]
    assert rows["Low"] == [day.low for day in strip.days]
    assert rows["Rain"] == [day.rain for day in strip.days]
    assert rows["Chance"] == [day.chance for day in strip.days]
    assert rows["Wind"] == [day.wind for day in strip.days]
    assert rows["Best"] == [day.brief for day in strip.days]
    assert rows["Best"][1:4] == ["7–10", NONE, "5–7:30"]
    shown = {"us": ["41", "60", "0.08"], "metric": ["5.0", "15.6", "2.0"]}[units]
    assert [strip.days[0].low, strip.days[0].high, strip.days[1].rain] == shown


def many_lawns(count: int) -> Plan:
    """The sample with its lawns `count` times over, each with a name and reasons of its own."""
    lawns = tuple(
        lawn.model_copy(
            update={
                "name": f"{lawn.name}-{n}",
                "title": f"{lawn.title} {n}",
                "actions": tuple(
                    action.model_copy(update={"because": f"{action.because} That is reason {n}."})
                    for action in lawn.actions
                ),
            }
        )
        for n in range(count)
        for lawn in sample_plan().lawns
    )
    return sample_plan(lawns=lawns)


def test_page_is_small_and_a_huge_plan_is_shortened_and_says_so() -> None:
    assert encoded_size(render_html(sample_plan())) < BUDGET / 2
    for count, short in ((4, False), (60, True), (400, True)):
        page = render_html(many_lawns(count))
        assert encoded_size(page) <= BUDGET
        assert ("This page is shortened" in page) == short
        assert "5.4\N{NO-BREAK SPACE}lb of Spring granules" in page
    assert "had to be left out" in page


def test_shortened_page_keeps_steps_and_cautions_longest() -> None:
    plan = many_lawns(60)
    page = render_html(plan)
    assert "This page is shortened" in page
    assert html.escape(plan.lawns[0].actions[0].cautions[1]) in page
    assert "Weigh half, 2.7\N{NO-BREAK SPACE}lb" in page


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("<p>at 2 in now</p>", "at 2\N{NO-BREAK SPACE}in now"),
        ("<p>1 % of 4,200 ft²</p>", "1\N{NO-BREAK SPACE}% of 4,200\N{NO-BREAK SPACE}ft²"),
        ("<p>50 °F, 3 lb of it</p>", "50\N{NO-BREAK SPACE}°F, 3\N{NO-BREAK SPACE}lb of it"),
        ("<p>10 of 10, 2 inner rings</p>", "10 of 10, 2 inner rings"),
        ('<p style="padding:0 1 m">x</p>', 'style="padding:0 1 m"'),
    ],
)  # fmt: skip
def test_a_number_and_its_unit_are_not_parted(text: str, kept: str) -> None:
    assert kept in with_units(text)
