"""What the owner's files state of a lawn by the day: mowing, sprinklers, the law, soil tests."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from plan_cases import AHEAD, PAST, TODAY, files, lawn, moment, weather

from advisor.conditions.facts import lawn_facts
from advisor.conditions.site_weather import site_weather
from advisor.conditions.stated import mowing_height, site_words, soil_test_words
from advisor.conditions.table import Table, Words
from advisor.conditions.vocabulary import FACTS
from advisor.site.load import SiteFiles
from advisor.site.sums import sums
from advisor.site.words import GRASSES
from advisor.turf.grasses import turfgrass


def table_of(read: SiteFiles) -> Table:
    assert read.site is not None
    shared = site_weather(weather(), read.site, moment(TODAY))
    assert shared is not None
    counted = sums(read.site, read.shelf, read.journal, (), TODAY)
    return lawn_facts(shared, read.site, read.site.lawns[0], counted).table


def said(name: str, found: Words) -> list[str]:
    words = (*FACTS[name].words, "unknown")
    return [words[code] for code in found.codes]


def stated(name: str, read: SiteFiles, *days: date, on: int = 0) -> list[str]:
    """The words of a fact of site.toml on days, for a lawn by its place in the file."""
    assert read.site is not None
    return said(name, words_of(read, *days, on=on)[name])


def words_of(read: SiteFiles, *days: date, on: int = 0) -> dict[str, Words]:
    assert read.site is not None
    counted = sums(read.site, read.shelf, read.journal, (), TODAY)
    return site_words(read.site, read.site.lawns[on], days, counted)


def test_they_stand_in_the_table_on_every_day() -> None:
    table = table_of(files(more='[watering]\nweekdays = ["wednesday"]\n'))
    for name in ("irrigation", "watering_day", "nitrogen_law", "phosphorus_law"):
        codes = table.words[name].codes
        assert codes.shape == (PAST + AHEAD,)
        assert codes.min() >= 0, name
    assert said("watering_day", table.words["watering_day"])[PAST : PAST + 2] == [
        "permitted",
        "barred",
    ]
    assert table.number("mowing_height").known.all()
    for name in ("phosphorus_test", "lime_test"):
        assert set(said(name, table.words[name])) == {"unknown"}


def test_mowing_height_as_the_owner_states_it() -> None:
    """3 in is 0.0762 m."""
    table = table_of(files(lawn(more='mown_at = "3 in"')))
    column = table.number("mowing_height")
    assert column.low[0] == column.high[-1] == pytest.approx(0.0762)
    assert column.origin(0) == "your site file"


@pytest.mark.parametrize("grass", sorted(GRASSES))
def test_mowing_height_of_a_grass(grass: str) -> None:
    """Else the top of its range, with the source of that range: also that it is remembered."""
    site = files(lawn(grass=grass)).site
    assert site is not None
    column = mowing_height(site.lawns[0], 2)
    known = turfgrass(grass).heights_m
    assert column.low.tolist() == column.high.tolist() == [known.value[1]] * 2
    assert known.source in column.origin(0)


def test_irrigation() -> None:
    assert stated("irrigation", files(lawn()), TODAY) == ["sprinklers"]
    assert stated("irrigation", files(lawn(more="irrigated = false")), TODAY) == ["none"]


def test_watering_days_by_weekday() -> None:
    """13 May 2026 is a Wednesday; no weekdays permit all."""
    days = [TODAY + timedelta(n) for n in range(7)]
    read = files(more='[watering]\nweekdays = ["tuesday", "saturday"]\nsource = "city notice"\n')
    assert [
        n for n, word in enumerate(stated("watering_day", read, *days)) if word == "permitted"
    ] == [
        3,
        6,
    ]
    assert set(stated("watering_day", files(), *days)) == {"permitted"}
    assert read.site is not None
    words = words_of(read, *days)
    assert words["watering_day"].origin(0) == "city notice"


BANS = """
[[ban]]
title = "Summer ban"
nutrients = ["nitrogen", "phosphorus"]
from = "06-01"
to = "09-30"
source = "town code"
[[ban]]
title = "Winter ban"
nutrients = ["nitrogen"]
from = "11-16"
to = "03-01"
lawns = ["front"]
"""


def test_law_of_each_nutrient() -> None:
    """Both days of a season are in it; one may run over new year and may cover some lawns only."""
    read = files(lawn(), lawn("back"), more=BANS)
    days = [
        date(2026, *day) for day in ((1, 1), (3, 1), (3, 2), (5, 31), (6, 1), (9, 30), (11, 16))
    ]
    shut, free = "closed", "open"
    assert stated("nitrogen_law", read, *days) == [shut, shut, free, free, shut, shut, shut]
    assert stated("nitrogen_law", read, *days, on=1) == [free, free, free, free, shut, shut, free]
    assert stated("phosphorus_law", read, *days) == [free, free, free, free, shut, shut, free]


def test_origin_of_the_law() -> None:
    read = files(lawn(), more=BANS)
    assert read.site is not None
    law = words_of(read, date(2026, 5, 1), date(2026, 6, 1))
    assert law["nitrogen_law"].origin(0) == "no closed season in your site file"
    assert law["nitrogen_law"].origin(1) == "Summer ban, town code"


def told_by(of: str, journal: str, *days: date) -> list[str]:
    read = files(journal=f"journal from 2020-01-01\n{journal}")
    assert read.site is not None
    counted = sums(read.site, read.shelf, read.journal, (), TODAY)
    axis = [days[0] + timedelta(n) for n in range((days[-1] - days[0]).days + 1)]
    words = said(f"{of}_test", soil_test_words(counted, read.site.lawns[0], axis)[f"{of}_test"])
    return [words[(day - days[0]).days] for day in days]


def test_a_soil_test_holds_for_three_years() -> None:
    """From its day on, for three years (Minnesota Statutes 18C.60)."""
    days = [date(2023, 5, 3), date(2023, 5, 4), date(2026, 5, 4), date(2026, 5, 5)]
    line = "2023-05-04 all tested lime not-needed\n"
    assert told_by("lime", line, *days) == ["unknown", "not-needed", "not-needed", "unknown"]
    assert set(told_by("phosphorus", line, *days)) == {"unknown"}
    leap = "2024-02-29 all tested lime needed\n"
    days = [date(2024, 2, 28), date(2024, 2, 29), date(2027, 2, 28), date(2027, 3, 1)]
    assert told_by("lime", leap, *days) == ["unknown", "needed", "needed", "unknown"]


def test_a_later_soil_test_counts() -> None:
    days = [date(2026, 3, 1), date(2026, 3, 31), date(2026, 4, 1), date(2026, 5, 20)]
    lines = "2026-03-01 all tested phosphorus low\n2026-04-01 front tested phosphorus enough\n"
    assert told_by("phosphorus", lines, *days) == ["low", "low", "enough", "enough"]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("2026-04-01 front tested phosphorus lots", ["low", "low", "unknown"]),
        ("2026-04-01 front rain plenty", ["low", "low", "low"]),
        ("2026-04-99 front tested phosphorus lots", ["unknown"] * 3),
    ],
)
def test_a_soil_test_that_cannot_be_read_leaves_it_unknown(line: str, words: list[str]) -> None:
    days = [date(2026, 3, 1), date(2026, 3, 31), date(2026, 4, 1)]
    told = f"2026-03-01 all tested phosphorus low\n{line}\n"
    assert told_by("phosphorus", told, *days) == words


def test_origin_of_a_soil_test() -> None:
    read = files(journal="journal from 2026-01-01\n2026-05-12 all tested phosphorus low\n")
    origin = table_of(read).words["phosphorus_test"].origin
    assert origin(PAST) == "soil test of 2026-05-12, your journal"
    assert origin(0) == "no sure soil test of three years in your journal"
