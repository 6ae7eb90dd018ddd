"""What must happen in the recorded year, and where: the only place that steers the chance.

The place is invented. Its climate is that of the foothills where cool- and warm-season grasses
meet (from memory: January near 3 C, July near 25.5 C, some 1,100 mm on 110 days a year). The
year is 2025, and these are its events (local days, both ends included):

| event               | first  | last   | what happens                                            |
| ------------------- | ------ | ------ | ------------------------------------------------------- |
| FROZEN_SOIL         | 01-19  | 01-25  | nights of -10 C, soil at 6 cm below 0 C                 |
| SNOW                | 01-21  | 01-24  | 5 to 10 cm of snow lie                                  |
| FALSE_SPRING        | 02-14  | 02-20  | 21 C; soil at 6 cm above 10 C for three or four days    |
| BACK_TO_WINTER      | 02-22  | 02-26  | soil at 6 cm falls under 5 C                            |
| DRY_APRIL_START     | 04-01  | 04-04  | dry, mild, light wind                                   |
| LATE_FROST          | 04-10  | 04-10  | the last frost of spring                                |
| WET_MAY             | 05-08  | 05-13  | some 70 mm: the soil is saturated                       |
| EARLY_HEAT          | 06-20  | 06-30  | maxima above 30 C, hardly any rain                      |
| DROUGHT             | 07-01  | 07-27  | less than 8 mm; maxima 33 to 37 C, minima 20 to 23 C    |
| DOWNPOUR            | 07-28  | 07-28  | 60 to 75 mm within six hours                            |
| DRY_AUGUST          | 08-10  | 08-24  | hot, one shower                                         |
| COOLER              | 09-08  | 09-19  | maxima under 29 C, soil at 10 cm under 23 C             |
| WET_SEPTEMBER       | 09-20  | 09-24  | some 50 mm                                              |
| FINE_OCTOBER        | 09-28  | 10-06  | dry, 20 to 22 C                                         |
| EARLY_FROST         | 10-09  | 10-10  | minima -1 to -2.5 C, then mild again                    |
| HARD_FREEZE         | 11-20  | 11-22  | minima under -5 C                                       |
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

LATITUDE = 36.55
LONGITUDE = -80.35
ELEVATION = 290.0
ZONE = "America/New_York"

FIRST = date(2024, 10, 1)
LAST = date(2026, 1, 18)
"""First and last GMT day of the recorded weather."""

FIRST_ISSUE = date(2024, 12, 1)
LAST_ISSUE = date(2026, 1, 1)

FROZEN_SOIL = (date(2025, 1, 19), date(2025, 1, 25))
SNOW = (date(2025, 1, 21), date(2025, 1, 24))
FALSE_SPRING = (date(2025, 2, 14), date(2025, 2, 20))
BACK_TO_WINTER = (date(2025, 2, 22), date(2025, 2, 26))
DRY_APRIL_START = (date(2025, 4, 1), date(2025, 4, 4))
LATE_FROST = (date(2025, 4, 10), date(2025, 4, 10))
WET_MAY = (date(2025, 5, 8), date(2025, 5, 13))
EARLY_HEAT = (date(2025, 6, 20), date(2025, 6, 30))
DROUGHT = (date(2025, 7, 1), date(2025, 7, 27))
DOWNPOUR = date(2025, 7, 28)
DRY_AUGUST = (date(2025, 8, 10), date(2025, 8, 24))
COOLER = (date(2025, 9, 8), date(2025, 9, 19))
WET_SEPTEMBER = (date(2025, 9, 20), date(2025, 9, 24))
FINE_OCTOBER = (date(2025, 9, 28), date(2025, 10, 6))
EARLY_FROST = (date(2025, 10, 9), date(2025, 10, 10))
HARD_FREEZE = (date(2025, 11, 20), date(2025, 11, 22))


@dataclass(frozen=True)
class Course:
    """Daily highs and lows that the air is led along; between the days given it is straight.

    `chance` is the share of the free weather's day-to-day noise that is left.
    """

    chance: float
    points: tuple[tuple[date, float, float], ...]


@dataclass(frozen=True)
class Storm:
    """Rain that must fall: from `hour` (standard time) of `day`, for `hours`, `mm` in all."""

    day: date
    hour: float
    hours: float
    mm: float


def _course(chance: float, text: str, year: int = 2025) -> Course:
    """Reads `month-day high low` triples."""
    words = text.split()
    points = []
    for day, high, low in zip(words[0::3], words[1::3], words[2::3], strict=True):
        month, number = day.split("-")
        points.append((date(year, int(month), int(number)), float(high), float(low)))
    return Course(chance, tuple(points))


COURSES = (
    _course(0.25, """
        01-15  7 -3   01-17  3 -6   01-18  1 -8   01-19 -2 -10.5  01-20 -3 -11
        01-21 -3 -9   01-22 -2 -11  01-23 -1 -11  01-24  1 -9     01-26  7 -4
    """),
    _course(0.3, """
        02-11  9 -1   02-13 14  2   02-14 17  4   02-15 19.5  6   02-16 21  7
        02-17 21  7   02-18 18.5 6.5 02-19 13 5   02-20 10  2     02-21  6 -2
        02-22  4 -5   02-23  4 -6   02-24  5 -5   02-25  6 -4     02-26  9 -3
        02-27 12  0   02-28 12.5 0.5 03-01 12.5 1.6   03-04 14  1     03-07 13  1
        03-10 15  3   03-13 18  5   03-15 20  7   03-17 21  8     03-20 20  7
        03-24 19  7   03-28 20  7   04-01 20  8   04-04 21  9     04-07 19  8
        04-09 15  4   04-10 16 -0.6 04-11 19  4   04-13 22  8     04-15 24 11
        04-18 25 12   04-22 25 12   04-26 23 10   05-01 24 11     05-04 25 12
        05-06 27 14   05-08 24 16   05-11 23 16   05-13 24 16     05-15 27 16
        05-20 27 16   05-25 27 15.5 05-29 27 15.5
    """),
    _course(0.4, "05-29 27 15  06-01 29.5 17  06-03 29 17"),
    _course(0.22, """
        06-17 30 18     06-20 32 19.5   06-25 33 20.5 06-30 34 21
        07-02 34.5 21.3 07-07 35 21.6   07-11 34.4 21.3 07-15 36 22
        07-19 35 21.6   07-24 35.8 22.1 07-27 35 22.2 07-28 33.5 22
        07-29 29 20     08-01 32.5 20.5
    """),
    _course(0.4, """
        08-01 32.5 20.5 08-06 33 21     08-10 33 20.5 08-15 34 21.5 08-20 33.5 21
        08-24 32 20     08-29 30.5 18.5 09-01 32.2 18.5 09-05 30 18   09-07 29 17
    """),
    _course(0.28, """
        09-08 26 14 09-11 26 12 09-15 25.5 12 09-19 25 13 09-20 22 15 09-22 20.5 15
        09-24 21 15 09-26 23 11 09-28 22 10   10-01 21 9  10-06 22.5 10
        10-07 18 8  10-08 14 3  10-09 13.5 -2.0 10-10 15 -1.9 10-11 18 3 10-13 22 9
        10-16 22 10
    """),
    _course(0.4, "10-30 16 5  11-01 15 4  11-03 15.5 4"),
    _course(0.25, """
        11-16 13 3  11-18 10 2  11-19 6 -1  11-20 3 -6.5  11-21 4 -7.5  11-22 6 -7
        11-23 9 -3
    """),
)  # fmt: skip
"""Where the air is led; elsewhere it is free. Each leads in and out over three days."""


STORMS = (
    Storm(date(2025, 1, 20), 20.0, 10.0, 8.5),
    Storm(date(2025, 2, 3), 13.0, 6.0, 14.0),
    Storm(date(2025, 2, 6), 9.0, 10.0, 7.5),
    Storm(date(2025, 2, 11), 15.0, 7.0, 5.0),
    Storm(date(2025, 2, 19), 13.0, 11.0, 13.0),
    Storm(date(2025, 2, 27), 8.0, 5.0, 3.0),
    Storm(date(2025, 5, 8), 15.0, 6.0, 9.0),
    Storm(date(2025, 5, 9), 10.0, 12.0, 15.0),
    Storm(date(2025, 5, 10), 13.0, 5.0, 6.0),
    Storm(date(2025, 5, 11), 6.0, 14.0, 19.0),
    Storm(date(2025, 5, 12), 12.0, 8.0, 14.0),
    Storm(date(2025, 5, 13), 9.0, 5.0, 7.5),
    Storm(date(2025, 6, 24), 17.0, 2.0, 2.8),
    Storm(date(2025, 7, 8), 17.0, 1.5, 2.4),
    Storm(date(2025, 7, 17), 18.0, 2.0, 3.1),
    Storm(DOWNPOUR, 15.4, 5.4, 68.0),
    Storm(date(2025, 8, 17), 16.0, 2.5, 7.0),
    Storm(date(2025, 9, 20), 12.0, 9.0, 8.0),
    Storm(date(2025, 9, 21), 5.0, 13.0, 15.0),
    Storm(date(2025, 9, 22), 14.0, 5.0, 5.0),
    Storm(date(2025, 9, 23), 8.0, 12.0, 18.0),
    Storm(date(2025, 9, 24), 3.0, 8.0, 6.0),
)
"""The rain of the events, and some for a February that chance left dry but for deep snow."""

NO_OTHER_RAIN = (
    (date(2025, 1, 15), date(2025, 1, 25)),
    (date(2025, 2, 2), date(2025, 2, 4)),
    (date(2025, 2, 13), date(2025, 2, 20)),
    (date(2025, 2, 22), date(2025, 2, 25)),
    (date(2025, 2, 28), date(2025, 3, 2)),
    (date(2025, 3, 31), date(2025, 4, 4)),
    (date(2025, 4, 9), date(2025, 4, 10)),
    (date(2025, 4, 29), date(2025, 5, 2)),
    (date(2025, 5, 8), date(2025, 5, 13)),
    (date(2025, 5, 31), date(2025, 6, 2)),
    (date(2025, 6, 17), date(2025, 8, 1)),
    (date(2025, 8, 10), date(2025, 8, 24)),
    (date(2025, 8, 30), date(2025, 9, 2)),
    (date(2025, 9, 20), date(2025, 10, 6)),
    (date(2025, 10, 8), date(2025, 10, 11)),
    (date(2025, 10, 31), date(2025, 11, 2)),
    (date(2025, 11, 19), date(2025, 11, 22)),
)
"""Days on which only the storms above rain."""

CALM = (
    (date(2025, 4, 1), date(2025, 4, 4)),
    (date(2025, 10, 8), date(2025, 10, 10)),
)
"""Days of light wind."""
