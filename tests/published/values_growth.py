"""Warmth that adds up. Fahrenheit in print is turned into Celsius and back."""

from __future__ import annotations

from published import Published

from advisor.turf.degree_days import (
    degree_days_modified,
    degree_days_simple,
    degree_days_single_sine,
)


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

VALUES = (
    *(
        Published(
            f"degree-days of {low} to {high} F, single sine",
            "Zalom et al. 1983, UC leaflet 21373, Table 7, limits 55 and 90 F",
            printed,
            "F d",
            lambda low=low, high=high: (
                1.8 * float(
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
)  # fmt: skip
