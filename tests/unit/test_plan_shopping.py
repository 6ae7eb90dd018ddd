"""What to look for in a shop: when, in which class, with which figures, and when not."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plan_cases import (
    BARRIER,
    GENEROUS,
    NOW,
    TODAY,
    action,
    book,
    decide,
    files,
    granules,
    holds,
    lawn,
    opens,
    weather,
)

from advisor.conditions.site_weather import site_weather
from advisor.digest.html import render_html
from advisor.digest.text import render_text
from advisor.plan.fold import walk
from advisor.plan.model import Plan, ToBuy, Verdict
from advisor.plan.shopping import WEEKS_AHEAD, to_buy
from advisor.plan.view import Setting
from advisor.rulebook.book import Rulebook
from advisor.series.hourly import Series
from advisor.site.load import SiteFiles
from advisor.site.sums import sums

MOIST = weather(rain={-3: 50.0})
LIMITS = (
    'nitrogen_once = "0.9 lb/1000 ft2"\nsoluble_once = "0.7 lb/1000 ft2"\n'
    'nitrogen_year = "3 lb/1000 ft2"'
)
EVERY_TASK = book(
    *(
        opens(task)
        for task in (
            "feed", "pre-emergent", "iron", "overseed", "grub-preventive", "broadleaf-herbicide",
            "wetting-agent", "lime",
        )
    )
)  # fmt: skip


def only(plan: Plan) -> ToBuy:
    assert len(plan.shop) == 1, plan.shop
    return plan.shop[0]


def likely(
    read: SiteFiles, days: dict[tuple[str, str], date], rules: Rulebook, series: Series = MOIST
) -> tuple[ToBuy, ...]:
    """What to buy where windows beyond the forecast are likely on those days."""
    assert read.site is not None
    shared = site_weather(series, read.site, NOW)
    assert shared is not None
    counted = sums(read.site, read.shelf, read.journal, (), TODAY)
    setting = Setting(read.site, read.shelf, rules, shared, NOW)
    return to_buy(walk(setting, counted, NOW, {}), days)


def test_a_fertilizer_where_there_is_only_a_barrier() -> None:
    """4200 ft2 at 0.9 lb of nitrogen take 15.75 lb of 24 %, shown as 15.7; half slow-release
    keeps it under 0.7 of quick nitrogen (Maryland, New Jersey)."""
    plan = decide(files(lawn(area="4200 ft2", more=LIMITS), shelf=BARRIER), series=MOIST)
    found = only(plan)
    assert (found.task, found.lawns, found.by) == ("feed", ("front",), TODAY)
    assert "20 to 30 % nitrogen" in found.text
    assert "no phosphorus (middle number 0)" in found.text
    assert "at least half of the nitrogen slow-release" in found.text
    assert "tall fescue" in found.text
    assert "4,200 ft² at 0.90 lb/1000 ft² of nitrogen: 15.7 lb of a 24-0-x" in found.text


def test_the_wait_and_the_digest_point_to_it() -> None:
    plan = decide(files(shelf=BARRIER), series=MOIST)
    assert action(plan).verdict is Verdict.WAIT
    assert "nothing on the shelf serves feed" in action(plan).because.lower()
    assert "To buy" in action(plan).because
    for page in (render_text(plan), render_html(plan)):
        assert "To buy" in page
        assert "20 to 30" in page


def test_nothing_to_buy_is_no_section() -> None:
    plan = decide(series=MOIST)
    assert plan.shop == ()
    assert "To buy" not in render_text(plan)
    assert "To buy" not in render_html(plan)


def test_lawns_that_want_the_same_are_told_once() -> None:
    lawns = [lawn("front", more=LIMITS), lawn("back", more=LIMITS, area="1000 ft2")]
    found = only(decide(files(*lawns, shelf=BARRIER), series=MOIST))
    assert found.lawns == ("front", "back")
    assert found.text.count("20 to 30") == 1
    assert "front, 6,000" in found.text
    assert "back, 1,000" in found.text


def test_phosphorus_only_where_a_test_asks_for_it_and_law_allows() -> None:
    tested = "journal from 2026-01-01\n2026-03-01 front tested phosphorus low\n"
    found = only(decide(files(shelf=BARRIER, journal=tested), series=MOIST))
    assert "some phosphorus (middle number above 0), which your soil test asks for" in found.text
    assert "24-x-x" in found.text
    ban = '[[ban]]\ntitle = "Ban"\nnutrients = ["phosphorus"]\nfrom = "05-01"\nto = "09-30"\n'
    closed = only(decide(files(shelf=BARRIER, journal=tested, more=ban), series=MOIST))
    assert "no phosphorus" in closed.text


def test_the_lawns_own_limit_for_quick_nitrogen_sets_the_share() -> None:
    """0.25 of 0.9 lb quick: at least 73 % slow-release."""
    strict = LIMITS.replace('soluble_once = "0.7', 'soluble_once = "0.25')
    found = only(decide(files(lawn(more=strict), shelf=BARRIER), series=MOIST))
    assert "at least 73 % of the nitrogen slow-release" in found.text


def test_cool_soil_asks_for_forms_that_it_releases() -> None:
    depths = ("soil_temp_0", "soil_temp_6", "soil_temp_18", "soil_temp_54")
    cold = weather(rain={-3: 50.0}, **dict.fromkeys(depths, 9.0))
    found = only(decide(files(shelf=BARRIER), series=cold))
    assert "coated urea or IBDU" in found.text
    assert "IBDU" not in only(decide(files(shelf=BARRIER), series=MOIST)).text


def test_what_the_year_leaves_is_the_most() -> None:
    """2.6 lb of 3 used: too little is left for a dose, so nothing is to be bought; of 2.3 lb the
    0.7 that are left are asked for."""
    start = "journal from 2026-01-01\n2026-02-01 front applied "
    fed = granules("old", analysis="20-0-0", more="restricted_use = true")
    spent = files(lawn(more=LIMITS), shelf=fed, journal=f"{start}78 lb of old\n")
    assert decide(spent, series=MOIST).shop == ()
    some = files(lawn(more=LIMITS), shelf=fed, journal=f"{start}69 lb of old\n")
    assert "at 0.70 lb/1000 ft² of nitrogen" in only(decide(some, series=MOIST)).text


def test_an_unknown_year_says_so_and_asks_for_no_more_than_one_dose() -> None:
    young = "journal from 2026-04-01\n"
    text = only(decide(files(lawn(more=LIMITS), shelf=BARRIER, journal=young), series=MOIST)).text
    assert "how much is left of the nitrogen of 2026 is not known" in text
    assert "add `last feed`" in text
    assert "Never more than one dose of 0.90 lb/1000 ft² of nitrogen, 22.5 lb of a 24-0-x." in text
    small = LIMITS.replace('nitrogen_year = "3 ', 'nitrogen_year = "0.7 ')
    text = only(decide(files(lawn(more=small), shelf=BARRIER, journal=young), series=MOIST)).text
    assert "0.70 lb/1000 ft² of nitrogen, 17.5 lb" in text
    fed = granules("old", analysis="20-0-0", more="restricted_use = true")
    told = files(
        lawn(more=LIMITS), shelf=fed, journal=f"{young}2026-04-02 front applied 69 lb of old\n"
    )
    text = only(decide(told, series=MOIST)).text
    assert "is not known" in text and "0.70 lb/1000 ft² of nitrogen, 17.5 lb" in text


WARM_GROUND = dict.fromkeys(("soil_temp_0", "soil_temp_6", "soil_temp_18", "soil_temp_54"), 16.0)
COLD_GROUND = dict.fromkeys(WARM_GROUND, 11.0)
LAWS = """[[ordinance]]
title = "Town"
nutrients = ["nitrogen"]
slow_release = "30 %"
"""


def wanted(today: date, ground: dict[str, float], *rules: str, **site: object) -> str:
    """What to buy for a feeding that is open today."""
    turf = site.pop("turf", lawn(more=LIMITS))
    read = files(str(turf), shelf=BARRIER, today=today, **site)  # type: ignore[arg-type]
    series = weather(today=today, rain={-3: 50.0}, **ground)
    now = NOW + (today - TODAY)
    return only(decide(read, book(opens(), *rules), series, now=now)).text


@pytest.mark.parametrize(
    ("today", "ground", "latitude", "late"),
    [
        (date(2026, 9, 20), WARM_GROUND, 40.0, False),
        (date(2026, 10, 14), WARM_GROUND, 40.0, False),
        (date(2026, 10, 15), WARM_GROUND, 40.0, True),
        (date(2026, 10, 1), COLD_GROUND, 40.0, True),
        (date(2026, 11, 10), COLD_GROUND, 40.0, True),
        (date(2026, 5, 13), COLD_GROUND, 40.0, False),
        (date(2026, 5, 13), WARM_GROUND, -40.0, True),
        (date(2026, 10, 20), WARM_GROUND, -40.0, False),
    ],
)
def test_the_last_feeding_of_autumn_needs_no_slow_release(
    today: date, ground: dict[str, float], latitude: float, late: bool
) -> None:
    """Purdue: September's feeding first, the one near the last mowing soluble. A dose of it keeps
    the 0.7 lb of soluble nitrogen (Maryland, New Jersey): 6000 ft2 take 17.5 lb of 24 %."""
    text = wanted(today, ground, latitude=latitude)
    assert ("at least half of the nitrogen slow-release" in text) is not late
    assert ("needs no slow-release: Purdue" in text) is late
    assert (" 0.70 lb/1000 ft² of nitrogen: 17.5 lb of a 24-0-x" in text) is late
    assert "IBDU" not in text or not late


def test_the_last_feeding_is_slow_where_law_or_the_soluble_limit_asks_for_it() -> None:
    november = date(2026, 11, 10)
    law = wanted(november, COLD_GROUND, more=LAWS)
    assert "at least 30 % of the nitrogen slow-release" in law and "0.90 lb" in law
    strict = lawn(more=LIMITS.replace('soluble_once = "0.7', 'soluble_once = "0.05'))
    tight = wanted(november, COLD_GROUND, turf=strict)
    assert "at least 95 % of the nitrogen slow-release" in tight
    no_quick = "holds no-quick for quick-nitrogen\n  while   gust at least 1 km/h\n"
    no_quick += "  says    No quick nitrogen now.\n  source  made up\n"
    held = wanted(november, COLD_GROUND, no_quick)
    assert "at least half of the nitrogen slow-release" in held
    warm = wanted(november, WARM_GROUND, turf=lawn(grass="bermudagrass", more=LIMITS))
    assert "at least half of the nitrogen slow-release" in warm


@pytest.mark.parametrize(
    ("task", "words"),
    [
        ("pre-emergent", ["prodiamine, dithiopyr or pendimethalin", "names bermudagrass",
                          "restricted use", "seed"]),
        ("grub-preventive", ["chlorantraniliprole", "names bermudagrass", "restricted use"]),
        ("broadleaf-herbicide", ["2,4-D", "names bermudagrass", "restricted use"]),
        ("iron", ["ferrous sulfate", "Granular iron gave no colour"]),
        ("overseed", ["perennial ryegrass"]),
        ("wetting-agent", ["surfactant", "bermudagrass"]),
        ("lime", ["soil test"]),
        ("feed", ["20 to 30 % nitrogen", "bermudagrass"]),
    ],
)  # fmt: skip
def test_each_task_has_its_class(task: str, words: list[str]) -> None:
    sprouts = BARRIER.replace("pre-emergent", "lime" if task != "lime" else "iron").replace(
        'actives = { prodiamine = "0.4%" }\n', 'iron = "1%"\n' if task == "lime" else ""
    )
    read = files(lawn(grass="bermudagrass", more=LIMITS), shelf=sprouts)
    (found,) = [one for one in decide(read, EVERY_TASK, MOIST).shop if one.task == task]
    for word in words:
        assert word in found.text
    assert found.source
    assert found.by == TODAY


def test_where_seed_is_likely_the_barrier_must_let_it_sprout() -> None:
    rules = book(opens("pre-emergent"), opens("overseed"))
    (found,) = [one for one in decide(files(), rules, MOIST).shop if one.task == "pre-emergent"]
    assert "siduron" in found.text
    alone = only(decide(files(), book(opens("pre-emergent")), MOIST))
    assert "siduron" not in alone.text
    assert "keeps grass seed from sprouting" in alone.text


def test_a_product_that_is_not_allowed_on_the_grass_is_none() -> None:
    warm = granules(more='grasses = ["warm-season"]')
    assert only(decide(files(shelf=warm), series=MOIST)).task == "feed"


def test_restricted_use_is_none_and_a_missing_figure_is_no_reason_to_buy() -> None:
    restricted = granules(more="restricted_use = true")
    assert only(decide(files(shelf=restricted), series=MOIST)).task == "feed"
    lacking = BARRIER.replace('signal_word = "caution"\n', "")
    read = files(shelf=lacking)
    assert decide(read, book(opens("pre-emergent")), MOIST).shop == ()


def test_what_a_rule_holds_for_what_it_is_leaves_room_for_another_kind() -> None:
    rules = book(opens(), holds("quick-nitrogen"))
    damp = weather(rain={-3: 50.0}, humidity=0.95)
    assert only(decide(rules=rules, series=damp)).task == "feed"
    slow = files(shelf=granules(analysis="28-0-6", more='slow_release = "60%"'))
    assert decide(slow, rules, damp).shop == ()


def test_what_law_forbids_is_not_asked_for() -> None:
    """A closed season for nitrogen, for a task, for an active ingredient."""
    season = 'title = "Ban"\nfrom = "05-01"\nto = "09-30"\n'
    closed = files(shelf=BARRIER, more=f'[[ban]]\n{season}nutrients = ["nitrogen"]\n')
    assert decide(closed, series=MOIST).shop == ()
    assert likely(closed, {("front", "feed"): TODAY}, book(opens(at_least=20))) == ()
    rules = book(opens("pre-emergent"))
    barred = files(more=f'[[ban]]\n{season}tasks = ["pre-emergent"]\n')
    assert decide(barred, rules, MOIST).shop == ()
    one = files(more=f'[[ban]]\n{season}actives = ["prodiamine"]\n')
    found = only(decide(one, rules, MOIST))
    assert "with dithiopyr or pendimethalin and" in found.text
    assert "prodiamine" not in found.text


def test_the_slow_release_share_that_law_asks_for() -> None:
    """65 % by an ordinance, as some towns in Florida have it: what is on the shelf with less is
    no use, and what is asked for has it."""
    law = '[[ordinance]]\ntitle = "Code"\nslow_release = "65%"\n'
    half = granules(analysis="24-0-6", more='slow_release = "50%"')
    found = only(decide(files(shelf=half, more=law), series=MOIST))
    assert "at least 65 % of the nitrogen slow-release" in found.text
    enough = granules(analysis="24-0-6", more='slow_release = "65%"')
    assert decide(files(shelf=enough, more=law), series=MOIST).shop == ()


def test_metric_sites_read_metric_figures() -> None:
    read = files(lawn(more=LIMITS), shelf=BARRIER, units="metric")
    found = {one.task: one.text for one in decide(read, EVERY_TASK, MOIST).shop}
    assert "60 to 120 g" in found["iron"]
    assert not any(unit in text for text in found.values() for unit in (" lb", " oz", "ft²"))


def test_a_held_task_needs_nothing() -> None:
    rules = book(opens(), holds())
    damp = weather(rain={-3: 50.0}, humidity=0.95)
    assert decide(files(shelf=BARRIER), rules, damp).shop == ()


def test_a_shut_window_needs_nothing() -> None:
    assert decide(files(shelf=BARRIER), book(opens(at_least=20)), MOIST).shop == ()


def test_a_product_for_two_grasses_is_told_once() -> None:
    """One bag may serve both lawns if its label names both grasses; seed is of one grass."""
    both = files(lawn("front"), lawn("back", grass="bermudagrass"), shelf=BARRIER)
    (feed,) = decide(both, book(opens()), MOIST).shop
    assert feed.lawns == ("front", "back")
    assert "exclude tall fescue or bermudagrass" in feed.text
    assert {one.lawns for one in decide(both, book(opens("overseed")), MOIST).shop} == {
        ("front",), ("back",)
    }  # fmt: skip


def test_a_window_that_is_likely_soon() -> None:
    """Four weeks ahead it is worth a trip to the shop; five weeks ahead not yet."""
    read, rules = files(shelf=BARRIER), book(opens(at_least=20))
    near = TODAY + timedelta(weeks=WEEKS_AHEAD)
    (found,) = likely(read, {("front", "feed"): near}, rules)
    assert (found.task, found.by) == ("feed", near)
    assert likely(read, {("front", "feed"): near + timedelta(1)}, rules) == ()
    assert likely(read, {("front", "feed"): TODAY - timedelta(1)}, rules) == ()
    assert likely(files(), {("front", "feed"): near}, rules) == ()


def test_too_little_left_as_far_as_is_known() -> None:
    """26 of 40 lb are used: what is left is less than the 21.4 lb of the dose, if it is the first
    bag. Of 50 lb used at least two bags were bought, and 30 lb may be left."""
    shelf = granules(more='bag = "40 lb"')
    start = "journal from 2026-01-01\n2026-03-01 front applied "
    more = GENEROUS.replace("4 lb", "9 lb")
    found = only(decide(files(lawn(more=more), shelf=shelf, journal=f"{start}26 lb of granules\n"),
                        series=MOIST))  # fmt: skip
    assert "14.0 lb of it remain" in found.text
    assert "21.4 lb" in found.text
    # A feed of an earlier year with nobody knows what tells nothing of this bag.
    last = f"journal from 2026-01-01\n2026-01-01 front last feed 2025-10-01\n{start[24:]}26 lb"
    earlier = files(lawn(more=more), shelf=shelf, journal=f"{last} of granules\n")
    assert only(decide(earlier, series=MOIST)).text == found.text
    two = files(lawn(more=more), shelf=shelf, journal=f"{start}50 lb of granules\n")
    assert decide(two, series=MOIST).shop == ()
    assert decide(files(shelf=shelf), series=MOIST).shop == ()


@settings(max_examples=25, deadline=None)
@given(
    once=st.floats(0.2, 2.0), soluble=st.floats(0.05, 2.0), year=st.floats(0.3, 6.0),
    area=st.floats(200, 20_000),
)  # fmt: skip
def test_what_is_asked_for_obeys_the_lawns_limits(
    once: float, soluble: float, year: float, area: float
) -> None:
    """A whole dose of what is asked for, with no more slow than asked, keeps every limit."""
    once, year, area = round(once, 2), round(year, 2), round(area)
    soluble = min(round(soluble, 2), once)
    stated = (
        f'nitrogen_once = "{once} lb/1000 ft2"\nsoluble_once = "{soluble} lb/1000 ft2"\n'
        f'nitrogen_year = "{year} lb/1000 ft2"'
    )
    plan = decide(files(lawn(area=f"{area} ft2", more=stated), shelf=BARRIER), series=MOIST)
    if not plan.shop:
        assert year < once
        return
    text = plan.shop[0].text
    rate = float(text.split(" at ")[-1].split(" lb")[0])
    share = (
        0.5 if "at least half" in text else float(text.split("at least ")[1].split(" %")[0]) / 100
    )
    assert rate <= min(once, year) + 0.006
    assert rate * (1 - share) <= soluble + 0.006
    assert np.isfinite(rate)
