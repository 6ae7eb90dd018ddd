"""Made-up past years for tests of the season ahead: each turns warm, and cold, on a day of its own.

Nothing in here is agronomy. A made-up window opens by the day's highest temperature.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
from plan_cases import book, files, given

from advisor.plan.ahead_model import Ahead, LawnAhead
from advisor.plan.compose import Given
from advisor.rulebook.book import Rulebook
from advisor.series.hourly import Series, Source
from advisor.series.years import PastYears
from advisor.site.events import Advised
from advisor.site.load import SiteFiles

WARM = (120, 250)
"""Days of the year (0 is 1 January) between which the made-up years are warm."""

FIRST_YEAR = 2015

RULE = """\
opens warm for feed
  while   air_max at least 20 C
  and     days since feed more than 30 days
  says    It is warm.
  source  made up
"""


def past(later: Sequence[int], *, warm: tuple[int, int] = WARM) -> PastYears:
    """Years from `FIRST_YEAR` on, each `later` days behind in turning warm; 25 C by day and 12 C
    by night then, else 10 C and -2 C."""
    high, low = [], []
    for n, days in enumerate(later):
        year = FIRST_YEAR + n
        length = (date(year + 1, 1, 1) - date(year, 1, 1)).days
        # By the calendar: from 29 February on, a leap year is a day behind.
        day = np.arange(length) - (np.arange(length) >= 59) * (length - 365)
        is_warm = (day >= warm[0] + days) & (day < warm[1] + days)
        high.append(np.where(is_warm, 25.0, 10.0))
        low.append(np.where(is_warm, 12.0, -2.0))
    rows = sum(map(len, high))
    return PastYears(
        date(FIRST_YEAR, 1, 1),
        air_max=np.concatenate(high),
        air_min=np.concatenate(low),
        rain=np.zeros(rows),
        radiation=np.full(rows, 15.0),
        source=Source("made up", datetime(2026, 1, 10, tzinfo=UTC)),
    )


def season_given(
    years: PastYears | None,
    rules: Rulebook | None = None,
    read: SiteFiles | None = None,
    series: Series | None = None,
    advised: Sequence[Advised] = (),
) -> Given:
    """What the season ahead is told from."""
    made = given(read or files(), rules or book(RULE), series, advised)
    return replace(made, past=years)


def day_of(year: int, number: int) -> date:
    return date(year, 1, 1) + timedelta(number)


def only_lawn(ahead: Ahead | None) -> LawnAhead:
    assert ahead is not None
    (lawn,) = ahead.lawns
    return lawn
