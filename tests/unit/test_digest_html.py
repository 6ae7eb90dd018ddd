"""The digest as HTML: structure, colours, size, and the same facts as the text."""

from __future__ import annotations

import html
import re
from dataclasses import fields, is_dataclass
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from sample_plan import sample_plan

from advisor.digest.html import BUDGET, encoded_size, render_html
from advisor.digest.text import render_text
from advisor.digest.view import NONE, view
from advisor.digest.words import hours_text, state_text, when_text
from advisor.language.dates import day_text
from advisor.plan.model import Plan, Verdict

VOID = {"meta", "br", "img", "hr", "link", "input"}


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
        if tag not in {"span", "b", "a"}:
            self.flow.append(" ")
        if tag not in VOID:
            self.open.append((tag, found))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop()[0] == tag

    def handle_data(self, data: str) -> None:
        inside = {tag for tag, _ in self.open}
        if data.strip() and not inside & {"style", "title"}:
            self.runs.append((data, list(self.open)))
        if not inside & {"style", "title"}:
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
    assert f"Front lawn weigh out 5.4 lb of Spring granules (24-0-6) {area}" in hero
    assert f"Back lawn under the limes weigh out 5.4 lb {area}" in hero


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
            found += [condition.title, condition.value, condition.origin]
        for action in lawn.actions:
            found += [action.title.split()[0], action.because, *action.cautions]
            found += [action.flag, action.go_line, action.water_text, action.rule, action.source]
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
    for day in plan.days:
        found += [day_text(day.day, units), day.low, day.high, day.rain, day.wind]
        found += [day.rain_chance]
    for problem in plan.problems:
        found += [line for line in problem.splitlines() if line.strip("^ ")]
    return [" ".join(fact.split()) for fact in found if fact]


@pytest.mark.parametrize("units", ["us", "metric"])
def test_text_and_html_tell_the_same_facts(units: str) -> None:
    plan = sample_plan()
    plan = plan.model_copy(update={"site": plan.site.model_copy(update={"units": units})})
    told = facts(plan)
    assert len(told) > 80
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
    other = {"en-US", NONE, digest.subject, digest.verdict_line}
    told = [one for one in texts(digest) if one not in other]
    assert len(told) > 100
    for one in told:
        assert one.casefold().strip(".") in page.casefold(), one
        assert one.casefold().strip(".") in text.casefold(), one


def texts(part: object) -> list[str]:
    """Every text of a view, its parts' too."""
    if isinstance(part, str):
        return [part] if part else []
    if isinstance(part, tuple):
        return [text for one in part for text in texts(one)]
    if is_dataclass(part):
        return [text for field in fields(part) for text in texts(getattr(part, field.name))]
    return []


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
        assert "5.4 lb of Spring granules" in page
    assert "had to be left out" in page


def test_shortened_page_keeps_steps_and_cautions_longest() -> None:
    plan = many_lawns(60)
    page = render_html(plan)
    assert "This page is shortened" in page
    assert html.escape(plan.lawns[0].actions[0].cautions[1]) in page
    assert "Weigh half, 2.7 lb" in page
