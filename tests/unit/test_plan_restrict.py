"""What law and label forbid: closed seasons, intervals, heat and rain; and what unknown means."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from plan_cases import (
    AHEAD,
    BARRIER,
    NOW,
    PAST,
    TODAY,
    action,
    advice,
    book,
    decide,
    files,
    granules,
    lawn,
    opens,
    weather,
)

from advisor.conditions.site_weather import site_weather
from advisor.plan.restrict import Restriction, bans, watering_allowed
from advisor.plan.view import Setting, View
from advisor.series.hourly import Series
from advisor.site.events import Advised
from advisor.site.load import SiteFiles
from advisor.site.sums import sums


def held_by(
    read: SiteFiles,
    name: str,
    series: Series | None = None,
    *advised: Advised,
    product: int = 0,
) -> list[Restriction]:
    """The restrictions of one name that the label of a product brings on the first lawn."""
    assert read.site is not None
    shared = site_weather(series or weather(), read.site, NOW)
    assert shared is not None
    counted = sums(read.site, read.shelf, read.journal, advised, TODAY)
    setting = Setting(read.site, read.shelf, book(opens()), shared, NOW)
    view = View(setting, read.site.lawns[0], counted, np.zeros(len(setting.days)))
    found = view.restrictions(read.shelf.products[product])
    return [restriction for restriction in found if restriction.name == name]


def ban(first: str, last: str, nutrients: str = '"nitrogen"', more: str = "") -> str:
    return (
        f'[[ban]]\ntitle = "Closed season"\nnutrients = [{nutrients}]\nfrom = "{first}"\n'
        f'to = "{last}"\n{more}\n'
    )


def closed(read: SiteFiles, *days: date, product: int = 0, lawn_index: int = 0) -> list[bool]:
    assert read.site is not None
    found = list(
        bans(read.site, read.site.lawns[lawn_index], read.shelf.products[product], list(days))
    )
    return [any(one.held[i] for one in found) for i in range(len(days))]


def test_ban_has_both_its_days():
    """A closed season holds from its first day through its last."""
    read = files(more=ban("06-01", "09-30"))
    days = [date(2026, 5, 31), date(2026, 6, 1), date(2026, 9, 30), date(2026, 10, 1)]
    assert closed(read, *days) == [False, True, True, False]


def test_ban_over_new_year():
    """A closed season from November to March holds on both sides of new year, and only there."""
    read = files(more=ban("11-15", "03-01"))
    days = [
        date(2026, 11, 14), date(2026, 11, 15), date(2026, 12, 31), date(2027, 1, 1),
        date(2027, 3, 1), date(2027, 3, 2), date(2028, 2, 29),
    ]  # fmt: skip
    assert closed(read, *days) == [False, True, True, True, True, False, True]


def test_ban_is_for_what_the_product_carries():
    """A ban on phosphorus stops a product that has any, and no other."""
    read = files(
        shelf=granules() + granules("no-phosphorus", "26-0-6") + BARRIER,
        more=ban("01-01", "12-31", '"phosphorus"'),
    )
    assert closed(read, TODAY) == [True]
    assert closed(read, TODAY, product=1) == [False]
    assert closed(read, TODAY, product=2) == [False]


def test_ban_of_one_lawn():
    """A ban that names lawns holds on those alone."""
    read = files(lawn(), lawn("back"), more=ban("01-01", "12-31", more='lawns = ["back"]'))
    assert closed(read, TODAY) == [False]
    assert closed(read, TODAY, lawn_index=1) == [True]


def test_ban_says_why():
    """The sentence names the ban and its days, and where the law stands."""
    read = files(more=ban("11-15", "03-01", more='source = "county code 12"'))
    assert read.site is not None
    (found,) = bans(read.site, read.site.lawns[0], read.shelf.products[0], [TODAY])
    assert found.sentence == "Closed season: no nitrogen from 15 November to 1 March."
    assert found.source == "county code 12"


INTERVAL = granules(more='interval = "30 days"')


def journal(*lines: str) -> str:
    return "\n".join(["journal from 2026-01-01", *lines]) + "\n"


def test_interval_after_what_was_done():
    """Thirty days after a feed of 20 April the next is not too soon: on 20 May."""
    read = files(shelf=INTERVAL, journal=journal("2026-04-20 front applied 5 lb of granules"))
    (found,) = held_by(read, "too-soon")
    assert found.held[PAST : PAST + 7].all()
    assert not found.held[PAST + 7 :].any()
    assert not found.unknown[PAST:].any()


def test_interval_after_what_was_perhaps_done():
    """What was advised and not answered holds for its interval, and says that it is not sure."""
    read = files(shelf=INTERVAL)
    (found,) = held_by(read, "too-soon", None, advice(date(2026, 5, 1)))
    assert found.held[PAST]
    assert found.unknown[PAST]
    (skipped,) = held_by(
        files(shelf=INTERVAL, journal=journal("2026-05-02 front skipped feed")),
        "too-soon",
        None,
        advice(date(2026, 5, 1)),
    )
    assert not skipped.held[PAST]


def test_what_was_perhaps_done_was_perhaps_done_on_its_second_day():
    """The interval runs from the last day that the advice named; the amount counts once."""
    read = files(shelf=INTERVAL)
    told = advice(date(2026, 5, 1))
    twice = replace(told, second=date(2026, 5, 6))
    (first,), (second,) = (held_by(read, "too-soon", None, one) for one in (told, twice))
    assert second.held.sum() >= first.held.sum()
    assert read.site is not None
    days = [date(2026, 5, 4), date(2026, 5, 10)]
    plain, late = (
        sums(read.site, read.shelf, read.journal, (one,), TODAY) for one in (told, twice)
    )
    assert plain.days_since("front", "feed", days)[0].tolist() == [3, 9]
    assert late.days_since("front", "feed", days)[0].tolist() == [3, 4]
    assert late.total("front", "nitrogen", 2026)[1] == plain.total("front", "nitrogen", 2026)[1]
    assert late.total("front", "nitrogen", 2026)[1] > 0


def test_a_second_day_in_the_next_year_counts_in_both():
    read = files(shelf=INTERVAL)
    assert read.site is not None
    told = replace(advice(date(2025, 12, 30)), second=date(2026, 1, 2))
    counted = sums(read.site, read.shelf, read.journal, (told,), TODAY)
    assert counted.total("front", "nitrogen", 2026)[1] > 0


def test_interval_counts_the_same_active():
    """Another product with the same active ingredient holds as the product itself would."""
    other = BARRIER.replace('"barrier"', '"barrier-two"')
    read = files(
        shelf=BARRIER + other, journal=journal("2026-04-20 front applied 5 lb of barrier-two")
    )
    assert any(found.held[PAST] for found in held_by(read, "too-soon"))


def test_interval_counts_nitrogen_for_another_task():
    """Iron that carries nitrogen is too soon after a feed."""
    iron = granules("iron-feed", "6-0-0", more='iron = "10%"\ninterval = "30 days"').replace(
        '["feed"]', '["iron"]'
    )
    read = files(
        shelf=iron + granules(), journal=journal("2026-05-03 front applied 5 lb of granules")
    )
    assert any(found.held[PAST] for found in held_by(read, "too-soon"))


def test_interval_before_the_journal_holds():
    """A journal of ten days cannot tell that thirty have passed."""
    read = files(shelf=INTERVAL, journal="journal from 2026-05-03\n")
    (found,) = held_by(read, "too-soon")
    assert found.held[PAST]
    assert found.unknown[PAST]
    assert not found.held[PAST + 20 :].any()


def test_line_that_cannot_be_read_holds():
    """A line that may be a feed holds the feed, until it is mended."""
    read = files(shelf=INTERVAL, journal=journal("2026-05-03 front aplied 5 lb of granules"))
    (found,) = held_by(read, "too-soon")
    assert found.held[PAST]
    assert found.unknown[PAST]


def test_label_heat():
    """A label's greatest heat holds on the days above it, and on days that nobody knows."""
    read = files(shelf=granules(more='air_max = "30 C"'))
    air = {0: 31.0, 1: 30.0, 2: float("nan")}
    (found,) = held_by(read, "label-heat", weather(air_temp=air))
    assert found.held[PAST : PAST + 4].tolist() == [True, False, True, False]
    assert found.unknown[PAST : PAST + 4].tolist() == [False, False, True, False]


def test_label_rain():
    """Rain of that day or the next beyond the label's limit holds, and so does unknown rain."""
    read = files(shelf=granules(more='rain_hold = "12 mm"'))
    series = weather(rain={1: 20.0})
    (found,) = held_by(read, "label-rain", series)
    assert found.held[PAST : PAST + 3].tolist() == [True, True, False]
    rain = series.column("rain").copy()
    rain[(PAST + 4) * 24 + 3] = np.nan
    gap = Series(series.start, {**series.columns, "rain": rain}, series.source)
    (found,) = held_by(read, "label-rain", gap)
    assert found.held[PAST + 3 : PAST + 6].tolist() == [True, True, False]
    assert found.unknown[PAST + 3 : PAST + 5].all()


def test_label_rain_adds_two_days():
    """Seven millimetres on each of two days are more than twelve."""
    read = files(shelf=granules(more='rain_hold = "12 mm"'))
    (found,) = held_by(read, "label-rain", weather(rain={2: 7.0, 3: 7.0}))
    assert found.held[PAST + 1 : PAST + 4].tolist() == [False, True, False]


def test_label_rain_beyond_the_last_day():
    """Nobody knows the rain of the day after the forecast's last: it holds there."""
    read = files(shelf=granules(more='rain_hold = "12 mm"'))
    (found,) = held_by(read, "label-rain")
    assert found.held[PAST + AHEAD - 1]
    assert not found.held[PAST + AHEAD - 2]


def test_dry_hours_can_be_written():
    """A shelf may say how long a product must stay dry, in hours."""
    shelf = granules(more='dry_hours = "4 hours"')
    assert files(shelf=shelf).shelf.products[0].dry_hours == pytest.approx(4)


@pytest.mark.parametrize(
    ("weekdays", "allowed"),
    [
        ("[]", [True] * 7),
        ('["tuesday", "saturday"]', [False, True, False, False, False, True, False]),
    ],
)
def test_watering_days(weekdays: str, allowed: list[bool]):
    """Sprinklers run on the permitted weekdays alone; without a rule on any."""
    read = files(more=f"[watering]\nweekdays = {weekdays}\n")
    assert read.site is not None
    monday = date(2026, 5, 11)
    days = [monday + timedelta(n) for n in range(7)]
    assert watering_allowed(read.site, days).tolist() == allowed


@pytest.mark.parametrize(
    ("law", "rain", "verdict"),
    [
        ("forbidden = true", {}, "wait"),
        ("forbidden = true", {4: 20.0}, "apply"),
        # Today is a Wednesday: the Tuesday comes in time.
        ('weekdays = ["tuesday"]', {}, "apply"),
        ('dates = "even"\nfrom = "05-22"\nto = "09-30"', {}, "apply"),
        ('forbidden = true\nfrom = "05-01"\nto = "06-30"', {}, "wait"),
    ],
)
def test_what_has_to_be_watered_in_where_sprinklers_may_not_run(
    law: str, rain: dict[int, float], verdict: str
):
    """Sprinklers that the law keeps still water nothing in: then rain has to be in sight."""
    read = files(
        lawn(more="irrigated = true"), shelf=granules(more='water_in = "0.5 in"'),
        more=f"[watering]\n{law}\n",
    )  # fmt: skip
    plan = decide(read, book(opens()), weather(rain=rain))
    assert action(plan).verdict == verdict
    if verdict == "wait":
        assert "no sprinklers may run within 7 days of it" in action(plan).because
