"""Warmth that adds up. Fahrenheit in print is turned into Celsius and back."""

from __future__ import annotations

from published import COMPUTED, Published

from advisor.site.words import COOL, WARM
from advisor.turf.degree_days import (
    degree_days_modified,
    degree_days_simple,
    degree_days_single_sine,
    sum_since,
)
from advisor.turf.growth import growth_potential, nitrogen_by_growth
from advisor.turf.insects import BLACK_TURFGRASS_ATAENIUS


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


ZALOM = (
    (96, 110, "35.00"), (45, 54, "0.00"), (60, 80, "15.00"), (75, 88, "26.50"),
    (50, 82, "11.85"), (45, 70, "5.31"), (60, 100, "22.82"), (75, 95, "28.91"),
    (50, 101, "18.95"), (48, 95, "16.96"),
)  # fmt: skip

MCMASTER = (
    (20, 10, "15", "15"), (10, 1, "5.5", "5.5"), (8, -2, "3", "4"), (6, 0, "3", "3"),
    (10, 5, "7.5", "7.5"), (5, -5, "0", "2.5"), (-2, -7, "0", "0"), (10, -2, "4", "5"),
    (15, 2, "8.5", "8.5"),
)  # fmt: skip

EXTENSION = (
    ("Nugent, Michigan State", 65, 40, "2.5"),
    ("Nugent, Michigan State", 60, 35, "0"),
    ("Virginia Tech", 75, 27, "1"),
    ("extension example, warm", 83, 61, "22"),
    ("extension example, mild", 70, 40, "5"),
)

POTENTIAL = (
    (COOL, None, ((5, "0.024"), (15, "0.662"), (18, "0.936"), (25, "0.662"), (35, "0.024"))),
    (WARM, None, ((15, "0.073"), (20, "0.291"), (25, "0.693"), (30, "0.990"), (35, "1"))),
    (WARM, False, ((33, "0.960"), (35, "0.849"))),
)

SPRING_F = (
    38, 41, 45, 50, 48, 44, 47, 52, 55, 57, 54, 49, 51, 56, 60, 62, 58, 55, 59, 63, 65, 61, 60, 64,
    66,
)  # fmt: skip


def spring() -> list[float]:
    """Degree-days [C d] since the first day of a made-up spring of daily means."""
    air = [celsius(mean) for mean in SPRING_F]
    low, _ = sum_since(degree_days_simple(air, air, celsius(50)), [True] + [False] * 24)
    return [float(total) for total in low]


def ten_days(mean: float, base: float) -> float:
    """Degree-days [C d] of ten equal days."""
    low, _ = sum_since(degree_days_simple([mean] * 10, mean, base), [True] + [False] * 9)
    return float(low[-1])


VALUES = (
    *(
        Published(
            f"degree-days of {low} to {high} F, single sine",
            "Zalom et al. 1983, UC leaflet 21373, Table 7, limits 55 and 90 F",
            printed,
            "F d",
            lambda low=low, high=high: (
                1.8
                * float(
                    degree_days_single_sine(celsius(high), celsius(low), celsius(55), celsius(90))
                )
            ),
        )
        for low, high, printed in ZALOM
    ),
    *(
        Published(
            f"degree-days of {low} to {high} C, first method",
            "McMaster and Wilhelm 1997, Table 1, base 0 C",
            printed,
            "C d",
            lambda low=low, high=high: float(degree_days_simple(high, low, 0)),
            exact=True,
        )
        for high, low, printed, _ in MCMASTER
    ),
    *(
        Published(
            f"degree-days of {low} to {high} C, second method",
            "McMaster and Wilhelm 1997, Table 1, base 0 C",
            printed,
            "C d",
            # The table has no upper limit; none of its days comes near this one.
            lambda low=low, high=high: float(degree_days_modified(high, low, 0, 40)),
            exact=True,
        )
        for high, low, _, printed in MCMASTER
    ),
    *(
        Published(
            f"degree-days of {low} to {high} F by the mean",
            f"{page}, base 50 F",
            printed,
            "F d",
            lambda low=low, high=high: (
                1.8 * float(degree_days_simple(celsius(high), celsius(low), celsius(50)))
            ),
            exact=True,
        )
        for page, high, low, printed in EXTENSION
    ),
    Published(
        "degree-days of 7 to 14 C, single sine",
        "TrenchR, documented case, base 12 C",
        "0.47",
        "C d",
        lambda: float(degree_days_single_sine(14, 7, 12)),
    ),
    *(
        Published(
            f"{fahrenheit} F d as a Celsius total",
            "Ramirez and Dupuy 2015, billbugs, first adults, base 10 C",
            printed,
            "C d",
            # Ten days that each bring a tenth of the total above 50 F.
            lambda fahrenheit=fahrenheit: ten_days(celsius(50 + fahrenheit / 10), 10),
        )
        for fahrenheit, printed in ((279, "155"), (351, "195"))
    ),
    *(
        Published(
            f"growth potential at {air} C, {grass}{'' if held is None else ', not held'}",
            "Gelernter and Stowell 2005 with Woods 2014, formula",
            printed,
            "",
            lambda air=air, grass=grass, held=held: float(growth_potential(air, grass, held=held)),
            COMPUTED,
        )
        for grass, held, rows in POTENTIAL
        for air, printed in rows
    ),
    *(
        Published(
            f"a month's nitrogen at {air} C, {grass}, most {most} g/m2",
            "Gelernter and Stowell 2005 with Woods 2014, formula",
            printed,
            "g/m2",
            lambda air=air, grass=grass, most=most: float(
                nitrogen_by_growth(growth_potential(air, grass), most)
            ),
            COMPUTED,
        )
        for air, grass, most, printed in ((15, COOL, 3.5, "2.315"), (25, WARM, 4, "2.770"))
    ),
    *(
        Published(
            f"degree-days by day {day} of a worked spring, base 50 F",
            "made-up spring of 25 days, formula",
            printed,
            "F d",
            lambda day=day: 1.8 * spring()[day - 1],
            COMPUTED,
        )
        for day, printed in ((10, "14"), (16, "47"), (20, "82"), (25, "148"))
    ),
    Published(
        "degree-days of forty days of 15.5 C, black turfgrass ataenius",
        "Wegner and Niemczyk 1981, base 13 C, formula",
        "100",
        "C d",
        lambda: 40 * float(BLACK_TURFGRASS_ATAENIUS.gains(15.5, 15.5)),
        COMPUTED,
    ),
)
