"""What the owner's files state of a lawn by the day: mowing, sprinklers, the law and soil tests."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.table import UNKNOWN_WORD, Column, Words
from advisor.conditions.vocabulary import FACTS
from advisor.language.words import later, tell
from advisor.site.law import Ban
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.site.sums import Sums
from advisor.site.words import TESTS
from advisor.turf.grasses import turfgrass

SITE_FILE = later("your site file")

TEST_HOLDS = 3
"""Years for which a soil test counts (Minnesota Statutes 18C.60 takes one of at most three)."""


def mowing_height(lawn: Lawn, days: int) -> Column:
    """The height at which the lawn is mown [m], shape (days,).

    Where the owner states none it is the top of the range of the grass. Of some grasses that range
    is from memory; the origin then says so.
    """
    if lawn.mown_at_m is not None:
        height, source = lawn.mown_at_m, ""
    else:
        known = turfgrass(lawn.grass).heights_m
        height, source = known.value[1], known.source

    def origin(_day: int) -> str:
        if not source:
            return tell(SITE_FILE)
        return tell("top of the grass's range ({source})", source=source)

    row = np.full(days, height)
    return Column(row, row, origin)


def site_words(site: Site, lawn: Lawn, days: Sequence[date], sums: Sums) -> dict[str, Words]:
    """How the lawn can be watered, and what is permitted on each day, by the name of the fact."""
    times = site.watering
    return {
        "irrigation": _words(
            "irrigation", [lawn.irrigated] * len(days), lambda _day: tell(SITE_FILE)
        ),
        "watering_day": _words(
            "watering_day",
            [times.allows(day, lawn.name) for day in days],
            lambda _day: times.source or tell(SITE_FILE),
        ),
        **{
            f"{nutrient}_law": _law(site, lawn, nutrient, days, sums)
            for nutrient in ("nitrogen", "phosphorus")
        },
    }


def _law(site: Site, lawn: Lawn, nutrient: str, days: Sequence[date], sums: Sums) -> Words:
    bans = [ban for ban in site.bans if nutrient in ban.nutrients]
    nothing = np.zeros(len(days), dtype=bool)
    free = [spared(b, lawn, sums, days) if nutrient == "phosphorus" else nothing for b in bans]

    def closing(index: int) -> Ban | None:
        day = days[index]
        closed = (
            ban
            for ban, freed in zip(bans, free, strict=True)
            if ban.covers(lawn.name, day) and not freed[index]
        )
        return next(closed, None)

    def origin(index: int) -> str:
        ban = closing(index)
        if ban is None:
            return tell("no closed season in your site file")
        return tell("{title}, {source}", title=ban.title, source=ban.source or tell(SITE_FILE))

    return _words(f"{nutrient}_law", [closing(n) is None for n in range(len(days))], origin)


def spared(ban: Ban, lawn: Lawn, sums: Sums, days: Sequence[date]) -> NDArray[np.bool_]:
    """Days on which a ban leaves phosphorus free on a lawn, shape (days,): a soil test of three
    years that surely says low, or the calendar year in which the lawn was surely laid or sown anew.

    The first season ends with its year here: laws speak of a season, and the shorter one holds.
    """
    free = np.zeros(len(days), dtype=bool)
    if "soil-test" in ban.unless:
        codes = _tested(sums.soil_tests(lawn.name, "phosphorus"), "phosphorus", days).codes
        free |= codes == TESTS["phosphorus"].index("low")
    if "new-turf" in ban.unless:
        new = [day for day, sod, sure in sums.new_grass(lawn.name) if sod and sure]
        new += [lawn.established] if lawn.established is not None else []
        for begun in new:
            free |= np.array([begun <= day <= date(begun.year, 12, 31) for day in days], dtype=bool)
    return free


def _words(name: str, first: Sequence[bool], origin: Callable[[int], str]) -> Words:
    """A fact of two words: the first where `first`, else the second."""
    assert len(FACTS[name].words) == 2
    return Words(np.where(first, 0, 1).astype(np.int8), origin)


def soil_test_words(sums: Sums, lawn: Lawn, days: Sequence[date]) -> dict[str, Words]:
    """What the last soil test says on each day, by the name of the fact; unknown where there was
    none in three years, or where a later line that cannot be read may say otherwise."""
    return {f"{of}_test": _tested(sums.soil_tests(lawn.name, of), of, days) for of in TESTS}


def _tested(tests: list[tuple[date, str | None]], of: str, days: Sequence[date]) -> Words:
    codes: NDArray[np.int8] = np.full(len(days), UNKNOWN_WORD, dtype=np.int8)
    tested_on: list[date | None] = [None] * len(days)
    for day, result in tests:
        first, end = _index(days, day), _index(days, _years_after(day, TEST_HOLDS) + timedelta(1))
        codes[first:] = UNKNOWN_WORD
        tested_on[first:] = [None] * (len(days) - first)
        if result is not None:
            codes[first:end] = TESTS[of].index(result)
            tested_on[first:end] = [day] * (end - first)

    def origin(index: int) -> str:
        day = tested_on[index]
        if day is None:
            return tell("no sure soil test of three years in your journal")
        return tell("soil test of {day}, your journal", day=day)

    return Words(codes, origin)


def _index(days: Sequence[date], day: date) -> int:
    """The index of a day on an axis without gaps, held to its ends."""
    return min(max((day - days[0]).days, 0), len(days)) if days else 0


def _years_after(day: date, years: int) -> date:
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return date(day.year + years, 2, 28)
