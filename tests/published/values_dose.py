"""Doses against the worked examples of university extension services: each goes the whole way, from
a lawn and a product with that label on a shelf to what the owner is told to weigh.

What is weighed is rounded down to a tenth of a pound, so rates are asked of a large lawn, where
that tenth is nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import cache

from published import COMPUTED, Published

from advisor.plan.dose_sheet import LawnSheet, Together
from advisor.plan.dosing import Ask, Catch, dose_sheet
from advisor.plan.spreading import catch_rate, strip_run
from advisor.series.quantity import FOOT, POUND, Kind, convert
from advisor.site.amounts import Amount
from advisor.site.load import read_site
from advisor.site.spreaders import ACCEPTED, Spreader
from advisor.site.sums import sums

US = "lb/1000 ft2"
NEBRASKA = "Nebraska extension"
CAROLINA = "NC State extension"
MINNESOTA = "Minnesota extension"
FLORIDA = "Florida extension"
MASSACHUSETTS = "Massachusetts extension"
CALIBRATION = "Extension guides to spreader calibration"
LARGE = 100_000
TODAY = date(2026, 5, 13)


@cache
def worked(
    analysis: str, nitrogen: float = 1.0, area: int = LARGE, bag: str = "50 lb", price: float = 0.0
) -> tuple[LawnSheet, Together]:
    """The dose for pounds of nitrogen per 1000 ft2, which this lawn's limit at once sets."""
    texts = {
        "site.toml": f"""
            id = "worked"
            title = "Worked examples"
            units = "us"
            place = {{ latitude = 40.0, longitude = -79.0, elevation = "500 ft", zone = "UTC" }}
            [[lawn]]
            name = "lawn"
            grass = "tall-fescue"
            area = "{area} ft2"
            soil = "loam"
            nitrogen_once = "{nitrogen} {US}"
            soluble_once = "{nitrogen} {US}"
            nitrogen_year = "{2 * nitrogen} {US}"
            """,
        "shelf.toml": f"""
            [[product]]
            name = "granules"
            serves = ["feed"]
            form = "granular"
            analysis = "{analysis}"
            rate = "40 {US}"
            bag = "{bag}"
            price = {price}
            """,
        "journal.txt": "journal from 2026-01-01\n",
    }
    read = read_site(texts, today=TODAY)
    assert read.site is not None, read.problems
    counted = sums(read.site, read.shelf, read.journal, (), TODAY)
    sheet = dose_sheet(read.shelf.products[0], read.site.lawns, counted, "feed", Ask())
    assert sheet.together is not None
    return sheet.lawns[0], sheet.together


def per_1000(lawn: LawnSheet) -> float:
    """Pounds of product to weigh for each 1000 ft2."""
    assert lawn.dose is not None
    return convert(lawn.dose.amount * 1000 / lawn.dose.area_m2, Kind.MASS_PER_AREA, US)


def rate(analysis: str, nitrogen: float = 1.0) -> float:
    return per_1000(worked(analysis, nitrogen)[0])


def pounds(analysis: str, area: int) -> float:
    """Pounds to weigh for a lawn, 1 lb of nitrogen to each 1000 ft2."""
    dose = worked(analysis, area=area)[0].dose
    assert dose is not None
    return convert(dose.amount, Kind.MASS, "lb")


def brought(analysis: str, substance: str, area: int = LARGE) -> float:
    """Pounds of a substance that the dose brings to each 1000 ft2."""
    (row,) = [row for row in worked(analysis, area=area)[0].brings if row.substance == substance]
    return convert(row.g_per_m2, Kind.MASS_PER_AREA, US)


def in_60_pounds(substance: str) -> float:
    """Pounds that come with 60 lb of 30-4-4, which is the dose of 18 000 ft2."""
    lawn = worked("30-4-4", area=18_000)[0]
    assert lawn.dose is not None and lawn.dose.amount_text == "60.0 lb"
    (row,) = [row for row in lawn.brings if row.substance == substance]
    return row.lawn_g / 1000 / POUND


def half_pass() -> float:
    """Pounds to 1000 ft2 in one of the two passes."""
    one = worked("20-5-10")[0].passes[0]
    return convert(one.rate_g_per_m2, Kind.MASS_PER_AREA, US)


def caught() -> float:
    """The rate of a catch of 1.5 lb on a tarp of 100 ft2."""
    catch = Catch(Amount(1.5 * POUND, Kind.MASS), 100 * FOOT**2)
    return convert(catch_rate(catch.amount.value, catch.area_m2), Kind.MASS_PER_AREA, US)


def strip() -> float:
    """Pounds that a run of 50 ft at a swath of 8 ft takes in one pass, with 24-6-6 for 1 lb N."""
    spreader = Spreader(name="drum", kind="broadcast", swath="8 ft")  # type: ignore[call-arg]
    run = strip_run(spreader, worked("24-6-6")[0].passes[0].rate_g_per_m2, "us")
    assert run is not None
    return convert(run.weighed.value, Kind.MASS, "lb")


def covered() -> float:
    area = worked("24-0-0", 0.9, bag="40 lb", price=32)[1].coverage_m2
    assert area is not None
    return convert(area, Kind.AREA, "ft2")


def pound_of_nitrogen() -> float:
    """What a pound of nitrogen costs."""
    dose = worked("24-0-0", 0.9, bag="40 lb", price=32)[0].dose
    assert dose is not None and dose.cost_per_kg_nitrogen is not None
    return dose.cost_per_kg_nitrogen * POUND


def row(
    source: str, quantity: str, printed: str, ours: Callable[[], float], unit: str = US
) -> Published:
    quantity = f"dose: {quantity}"
    return Published(quantity=quantity, source=source, printed=printed, unit=unit, ours=ours)


VALUES = (
    row(NEBRASKA, "28-3-6 for 1 lb N", "3.57", lambda: rate("28-3-6")),
    row(CAROLINA, "24-6-6 for 1 lb N", "4.17", lambda: rate("24-6-6")),
    Published(
        quantity="dose: 24-6-6 for 1 lb N on each 1000 of 5000 ft²",
        source=CAROLINA,
        printed="20",
        unit="lb",
        ours=lambda: pounds("24-6-6", 5000),
        within=1.0,
        why="the source says about 20 for 20.83",
    ),
    row(CAROLINA, "6-2-0 for 1 lb N", "17", lambda: rate("6-2-0")),
    row(CAROLINA, "10-10-10 for 1 lb N", "10", lambda: rate("10-10-10")),
    row(CAROLINA, "14-3-6 for 1 lb N", "7", lambda: rate("14-3-6")),
    row(CAROLINA, "20-5-5 for 1 lb N", "5", lambda: rate("20-5-5")),
    row(CAROLINA, "26-3-4 for 1 lb N", "4", lambda: rate("26-3-4")),
    row(CAROLINA, "35-3-5 for 1 lb N", "3", lambda: rate("35-3-5")),
    row(MINNESOTA, "N with 60 lb of 30-4-4", "18", lambda: in_60_pounds("nitrogen"), "lb"),
    row(MINNESOTA, "P2O5 with 60 lb of 30-4-4", "2.4", lambda: in_60_pounds("P2O5"), "lb"),
    row(MINNESOTA, "K2O with 60 lb of 30-4-4", "2.4", lambda: in_60_pounds("K2O"), "lb"),
    Published(
        quantity="dose: P with 60 lb of 30-4-4",
        source=MINNESOTA,
        printed="1.1",
        unit="lb",
        ours=lambda: in_60_pounds("phosphorus"),
        within=0.06,
        why="the source takes 0.44 of the P2O5, which gives 1.056; with 0.4364 it is 1.047",
    ),
    row(MINNESOTA, "K with 60 lb of 30-4-4", "2.0", lambda: in_60_pounds("potassium"), "lb"),
    row(FLORIDA, "16-4-8 for 1 lb N", "6.25", lambda: rate("16-4-8")),
    row(FLORIDA, "P2O5 with 1 lb N from 16-4-8", ".25", lambda: brought("16-4-8", "P2O5")),
    row(FLORIDA, "K2O with 1 lb N from 16-4-8", ".50", lambda: brought("16-4-8", "K2O")),
    row(FLORIDA, "P with 1 lb N from 16-4-8", ".109", lambda: brought("16-4-8", "phosphorus")),
    row(FLORIDA, "K with 1 lb N from 16-4-8", ".415", lambda: brought("16-4-8", "potassium")),
    row(MASSACHUSETTS, "20-5-10 for 1 lb N", "5.00", lambda: rate("20-5-10")),
    row(MASSACHUSETTS, "20-5-10 for 1 lb N, a pass at half rate", "2.5", half_pass),
    row(MASSACHUSETTS, "the least that is accepted of 5 lb", "4.75",
        lambda: rate("20-5-10") * (1 - ACCEPTED)),
    row(MASSACHUSETTS, "the most that is accepted of 5 lb", "5.25",
        lambda: rate("20-5-10") * (1 + ACCEPTED)),
    row(CALIBRATION, "1.5 lb caught on 100 ft²", "15", caught),
    Published(
        quantity="dose: a bag of 40 lb with 24 % N at 0.9 lb N/1000 ft² covers",
        source="Label arithmetic",
        printed="10667",
        unit="ft²",
        ours=covered,
        how=COMPUTED,
    ),
    Published(
        quantity="dose: a lb of N from 40 lb with 24 % N at 32",
        source="Label arithmetic",
        printed="3.33",
        unit="per lb",
        ours=pound_of_nitrogen,
        how=COMPUTED,
    ),
    Published(
        quantity="dose: 24-6-6 for 1 lb N, a half-rate run of 50 ft at a swath of 8 ft",
        source="Label arithmetic",
        printed="0.83",
        unit="lb",
        ours=strip,
        how=COMPUTED,
    ),
)  # fmt: skip
