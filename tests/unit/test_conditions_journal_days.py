"""What was seen and sown, on the axis of days."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from plan_cases import files

from advisor.conditions.journal_days import (
    SEED_IS_NEW,
    SEEN_HOLDS,
    SOD_IS_NEW,
    newly_seeded,
    sightings,
)
from advisor.site.events import Advised
from advisor.site.sums import Sums, sums

TODAY = date(2026, 5, 13)
DAYS = [date(2026, 3, 1) + timedelta(n) for n in range(100)]


def at(day: date) -> int:
    return DAYS.index(day)


def counted(*lines: str, today: date = TODAY, advised: tuple[Advised, ...] = ()) -> Sums:
    read = files(journal="\n".join(("journal from 2026-01-01", *lines, "")), today=today)
    assert read.site is not None
    assert not read.journal.unreadable
    return sums(read.site, read.shelf, read.journal, advised, today)


def test_a_sighting_holds_for_a_week():
    seen = sightings(counted("2026-05-01 front seen wilting"), "front", DAYS)
    first = at(date(2026, 5, 1))
    assert seen == dict.fromkeys(range(first, first + SEEN_HOLDS), "wilting")


def test_a_newer_sighting_ends_the_older():
    lines = ("2026-05-01 front seen wilting", "2026-05-04 front seen green")
    seen = sightings(counted(*lines), "front", DAYS)
    assert seen[at(date(2026, 5, 3))] == "wilting"
    assert seen[at(date(2026, 5, 4))] == "green"
    assert seen[at(date(2026, 5, 10))] == "green"


def test_what_is_seen_tomorrow_is_not_known_today():
    line = "2026-05-04 front seen green"
    assert not sightings(counted(line, today=date(2026, 5, 3)), "front", DAYS)


def test_only_what_speaks_of_the_grass_counts():
    lines = ("2026-05-01 front seen standing-water", "2026-05-02 front seen frost")
    assert not sightings(counted(*lines), "front", DAYS)


def test_a_sighting_before_the_axis_reaches_into_it():
    seen = sightings(counted("2026-02-26 front seen dormant"), "front", DAYS)
    assert sorted(seen) == [0, 1, 2, 3]


def test_seed_and_sod_make_grass_new():
    first = at(date(2026, 3, 20))
    seed = newly_seeded(counted("2026-03-20 front seeded with tall fescue"), "front", DAYS)
    sod = newly_seeded(counted("2026-03-20 front laid fescue sod"), "front", DAYS)
    assert np.flatnonzero(seed).tolist() == list(range(first, first + SEED_IS_NEW))
    assert np.flatnonzero(sod).tolist() == list(range(first, first + SOD_IS_NEW))
    assert set(seed[seed != 0]) == {1}


def test_seed_that_was_advised_and_not_answered_is_perhaps_there():
    advised = Advised("a", date(2026, 4, 1), "front", "overseed", None, date(2026, 4, 3), 2.0)
    new = newly_seeded(counted(advised=(advised,)), "front", DAYS)
    assert new[at(date(2026, 4, 2))] == 0
    assert new[at(date(2026, 4, 3))] == -1
    skipped = counted("2026-04-10 front skipped overseed", advised=(advised,))
    assert not newly_seeded(skipped, "front", DAYS).any()


def test_a_lawn_without_a_word_is_not_new():
    assert not newly_seeded(counted(), "front", DAYS).any()
