"""A whole year at the demo site: the promises that must hold on every one of its days."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, timedelta
from functools import lru_cache
from itertools import pairwise

import numpy as np
import pytest
from demo_year import FOLDER, days_of, demo_site, morning, read_on, rulebook
from owner import BEGINNING, Done, Owner, live

from advisor.conditions.facts import LawnFacts, lawn_facts
from advisor.conditions.site_weather import site_weather
from advisor.conditions.vocabulary import FACTS, STATES
from advisor.plan.model import Action, Plan, Verdict
from advisor.rulebook.evaluate import Evaluator
from advisor.series.quantity import Kind, read_quantity
from advisor.service.places import place_key
from advisor.service.weather import refresh
from advisor.site.shelf import Shelf
from advisor.site.sums import sums
from advisor.site.words import COOL
from advisor.store.database import Store

YEAR = days_of(2025)
SUNDAYS = [day for day in YEAR if day.weekday() == 6]
DORMANT = {STATES.index("winter-dormant"), STATES.index("summer-dormant")}
TOO_HOT = read_quantity("85 F", Kind.TEMPERATURE)


@lru_cache(maxsize=2)
def daily(logs: bool) -> tuple[list[Plan], Owner]:
    """A digest on every day of the year, and an owner who follows each."""
    owner = Owner(logs)
    return list(live(owner, YEAR)), owner


@lru_cache(maxsize=2)
def weekly(logs: bool) -> tuple[list[Plan], Owner]:
    """A digest on every Sunday of the year, and an owner who follows each."""
    owner = Owner(logs)
    return list(live(owner, SUNDAYS)), owner


@lru_cache(maxsize=1)
def as_recorded() -> dict[str, LawnFacts]:
    """The facts of the whole year as they came to be, water of the logging owner included."""
    _, owner = daily(True)
    site, now = demo_site(), morning(date(2025, 12, 31))
    read = read_on(date(2025, 12, 31), owner.journal)
    with Store(":memory:") as store:
        assert refresh(site, FOLDER, store, now, {}) == ""
        stored = store.series(place_key(site), as_of=now)
        assert stored is not None
    weather = site_weather(stored.series, site, now)
    assert weather is not None
    counted = sums(site, read.files.shelf, read.files.journal, [], date(2025, 12, 31))
    return {lawn.name: lawn_facts(weather, site, lawn, counted) for lawn in site.lawns}


def shelf() -> Shelf:
    return read_on(date(2025, 1, 1)).files.shelf


def nitrogen_actions(plan: Plan) -> list[tuple[str, Action]]:
    return [
        (lawn.name, action)
        for lawn in plan.lawns
        for action in lawn.actions
        if action.verdict is Verdict.APPLY
        and action.dose is not None
        and any(delivery.substance == "nitrogen" for delivery in action.dose.delivers)
    ]


def test_no_digest_of_the_year_puts_nitrogen_into_a_closed_season() -> None:
    site = demo_site()
    for plan in daily(True)[0]:
        for lawn, action in nitrogen_actions(plan):
            assert action.day is not None
            assert not any(ban.covers(lawn, action.day) for ban in site.bans)


def test_nothing_with_nitrogen_goes_down_on_dormant_frozen_saturated_or_hot_grass() -> None:
    """The owner acts on the digest of that morning; the recorded day is the judge."""
    _, owner = daily(True)
    fed = [done for done in owner.done if done.g_per_m2("nitrogen") > 0]
    assert fed, "a year without feeding would prove nothing"
    for done in fed:
        table = as_recorded()[done.lawn].table
        day = table.days.index(done.day)
        assert int(table.words["grass"].codes[day]) not in DORMANT
        soil = FACTS["soil"].words[int(table.words["soil"].codes[day])]
        assert soil not in ("frozen", "saturated")
        if demo_site().lawn(done.lawn).grass_class == COOL:
            assert float(table.number("air_max").high[day]) <= TOO_HOT


def test_the_barrier_opens_in_one_unbroken_run_a_year() -> None:
    """On a lawn that is never treated, as each day's digest saw it and as the year came out."""
    site, book = demo_site(), rulebook()
    barrier = book.rules["spring-barrier"]
    read = read_on(YEAR[0], BEGINNING)
    seen: dict[str, list[date]] = defaultdict(list)
    with Store(":memory:") as store:
        for day in YEAR:
            now = morning(day)
            assert refresh(site, FOLDER, store, now, {}) == ""
            stored = store.series(place_key(site), as_of=now)
            assert stored is not None
            weather = site_weather(stored.series, site, now)
            assert weather is not None
            counted = sums(site, read.files.shelf, read.files.journal, [], day)
            for lawn in site.lawns:
                table = lawn_facts(weather, site, lawn, counted).table
                opened = Evaluator(book, table, "us").says(barrier).open
                if opened[table.today]:
                    seen[lawn.name].append(day)
                if day == YEAR[-1]:
                    year = [
                        d for d, o in zip(table.days, opened, strict=True) if o and d.year == 2025
                    ]
                    assert_unbroken(year)
    for lawn in site.lawns:
        assert_unbroken(seen[lawn.name])


def assert_unbroken(days: list[date]) -> None:
    assert len(days) >= 7, "a window shorter than the digest's week could be missed"
    assert all(later - earlier == timedelta(1) for earlier, later in pairwise(days))


@pytest.mark.parametrize("rhythm", [daily, weekly])
@pytest.mark.parametrize("logs", [True, False])
def test_an_owner_who_does_all_that_is_advised_passes_no_limit(rhythm, logs) -> None:
    _, owner = rhythm(logs)
    site = demo_site()
    totals: dict[tuple[str, str], float] = defaultdict(float)
    for done in owner.done:
        if done.action.dose is None:
            continue
        lawn, dose = site.lawn(done.lawn), done.action.dose
        nitrogen = done.g_per_m2("nitrogen")
        assert nitrogen <= lawn.nitrogen_once_g_m2 + 1e-9
        totals[done.lawn, "nitrogen"] += nitrogen
        totals[done.lawn, dose.product] += dose.amount * 1000 / lawn.treated_m2
    for (name, what), total in totals.items():
        lawn = site.lawn(name)
        if what == "nitrogen":
            assert total <= lawn.nitrogen_limit_g_m2 + 1e-9
        else:
            product = shelf().get(what)
            assert product is not None and product.rate_year is not None
            assert total <= product.rate_year.value + 1e-9


@pytest.mark.parametrize("rhythm", [daily, weekly])
@pytest.mark.parametrize("logs", [True, False])
def test_nothing_is_dosed_twice_within_its_interval(rhythm, logs) -> None:
    """Not even for an owner who does everything and never writes a line."""
    _, owner = rhythm(logs)
    by_task: dict[tuple[str, str], list[Done]] = defaultdict(list)
    for done in owner.done:
        if done.product is not None:
            by_task[done.lawn, done.action.task].append(done)
    assert by_task
    for followed in by_task.values():
        for earlier, later in pairwise(sorted(followed, key=lambda done: done.day)):
            product = shelf().get(later.product or "")
            assert product is not None and product.interval_days is not None
            assert (later.day - earlier.day).days >= product.interval_days


def test_what_the_silent_owner_never_answered_is_asked_for_first() -> None:
    plans, owner = weekly(False)
    after = [plan for plan in plans if any(done.day < plan.on for done in owner.done)]
    assert after and all(plan.ask for plan in after[:1])


@pytest.mark.parametrize("logs", [True, False])
def test_the_year_is_worth_having(logs: bool) -> None:
    """Each lawn gets its barrier once and is fed; a system that only waits would pass the rest."""
    _, owner = weekly(logs)
    for lawn in ("front", "back"):
        tasks = [done.action.task for done in owner.done if done.lawn == lawn]
        assert tasks.count("pre-emergent") == 1
        assert tasks.count("feed") >= 1
    if logs:
        front = [done for done in owner.done if done.lawn == "front" and done.action.task == "feed"]
        assert len(front) >= 2
        assert np.isfinite(sum(done.g_per_m2("nitrogen") for done in front))


def test_remarks_stay_few() -> None:
    """They stand beside the verdicts of a weekly mail: a few at once, and on most days none."""
    plans, _ = daily(True)
    remarks = [len({note for lawn in plan.lawns for note in lawn.notes}) for plan in plans]
    assert 1 <= max(remarks) <= 4
    assert sum(count == 0 for count in remarks) > len(remarks) / 2
