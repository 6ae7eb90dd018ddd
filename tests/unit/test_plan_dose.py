"""From a label to a weighed dose: published arithmetic, and limits that nothing may pass."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from plan_cases import BARRIER, GENEROUS, TODAY, advice, files, granules, lawn

from advisor.plan.dose import Measured, Refusal, measure
from advisor.series.quantity import Kind, convert, read_quantity
from advisor.site.events import Advised, Certainty, Event, tasks_of
from advisor.site.load import SiteFiles
from advisor.site.sums import Sums, sums

US = "lb/1000 ft2"


def counted(read: SiteFiles, *advised: Advised, today: date = TODAY) -> Sums:
    assert read.site is not None
    return sums(read.site, read.shelf, read.journal, advised, today)


def dose_of(
    read: SiteFiles, *advised: Advised, name: str = "", task: str = "feed", day: date = TODAY
) -> Measured | Refusal:
    """The dose of the first product, or of the named one, on the first lawn."""
    assert read.site is not None
    product = read.shelf.get(name) or read.shelf.products[0]
    return measure(product, read.site.lawns[0], read.site, counted(read, *advised), day, task=task)


def measured(read: SiteFiles, *advised: Advised, name: str = "", task: str = "feed") -> Measured:
    found = dose_of(read, *advised, name=name, task=task)
    assert isinstance(found, Measured), found
    return found


def refused(read: SiteFiles, *advised: Advised, name: str = "", task: str = "feed") -> Refusal:
    found = dose_of(read, *advised, name=name, task=task)
    assert isinstance(found, Refusal), found
    return found


def pounds(found: Measured) -> float:
    """What is weighed out [lb]."""
    assert found.dose.amount_unit == "kg"
    return convert(found.dose.amount, Kind.MASS, "lb")


def per_1000_ft2(found: Measured, substance: str) -> float:
    """What is delivered of a substance [lb/1000 ft2]."""
    grams = {d.substance: d.g_per_m2 for d in found.dose.delivers}[substance]
    return convert(grams, Kind.MASS_PER_AREA, US)


@pytest.mark.parametrize(
    ("analysis", "area", "product"),
    [
        ("28-3-6", 6000, 21.42),  # University of Nebraska-Lincoln Extension
        ("24-6-6", 5000, 20.85),  # NC State Extension: 4.17 lb/1000 ft2
        ("16-4-8", 1000, 6.25),  # University of Florida IFAS Extension
        ("20-5-10", 1000, 5.00),  # University of Massachusetts Extension
        ("10-10-10", 1000, 10.0),  # NC State Extension, table of products for 1 lb of nitrogen
        ("20-5-5", 1000, 5.0),  # the same table
    ],
)
def test_one_pound_of_nitrogen(analysis: str, area: int, product: float):
    """Product for 1 lb N/1000 ft2 as extension services print it, rounded down to 0.1 lb."""
    read = files(
        lawn(area=f"{area} ft2", more=GENEROUS),
        shelf=granules(analysis=analysis, rate=f"{1.2 * product * 1000 / area:.2f} {US}"),
    )
    found = measured(read)
    assert product - 0.13 < pounds(found) <= product + 0.02
    assert per_1000_ft2(found, "nitrogen") <= 1 + 1e-9
    assert found.dose.limited_by == "the limit for nitrogen at once"


def test_elements_of_a_label():
    """Florida: 1 lb N of 16-4-8 brings 0.109 lb P and 0.415 lb K as elements."""
    read = files(
        lawn(area="100000 ft2", more=GENEROUS), shelf=granules(analysis="16-4-8", rate=f"8 {US}")
    )
    found = measured(read)
    assert per_1000_ft2(found, "phosphorus") == pytest.approx(0.109, abs=0.0005)
    assert per_1000_ft2(found, "potassium") == pytest.approx(0.415, abs=0.0005)


def test_nebraska_to_the_word():
    """28-3-6 at 1 lb N on 6000 ft2 is 21.4 lb (University of Nebraska-Lincoln Extension)."""
    dose = measured(files()).dose
    assert dose.amount_text == "21.4 lb"
    assert dose.rate_text == "3.57 lb/1000 ft²"
    assert any("10.7 lb each at half rate" in step for step in dose.steps)


def test_label_rate_is_the_most():
    """A label that allows less than the nitrogen limits holds the dose to its rate."""
    found = measured(files(shelf=granules(rate=f"3 {US}")))
    assert pounds(found) == pytest.approx(18.0)
    assert found.dose.limited_by == "the label's rate"


def test_nitrogen_once():
    """A lawn's limit for one application holds the dose below the label's rate."""
    read = files(lawn(more='nitrogen_once = "0.9 lb/1000 ft2"\nsoluble_once = "0.9 lb/1000 ft2"'))
    assert per_1000_ft2(measured(read), "nitrogen") == pytest.approx(0.9, rel=0.01)
    assert per_1000_ft2(measured(read), "nitrogen") <= 0.9


def test_soluble_once():
    """Of quick nitrogen less may be put down at once; what is slow does not count."""
    limits = 'nitrogen_once = "1 lb/1000 ft2"\nsoluble_once = "0.7 lb/1000 ft2"'
    rate = f"4 {US}"
    quick = measured(files(lawn(more=limits), shelf=granules(rate=rate)))
    assert quick.dose.limited_by == "the limit for quick nitrogen at once"
    assert per_1000_ft2(quick, "nitrogen") == pytest.approx(0.7, rel=0.01)
    half = measured(
        files(lawn(more=limits), shelf=granules(rate=rate, more='slow_release = "50%"'))
    )
    assert half.dose.limited_by == "the limit for nitrogen at once"
    assert per_1000_ft2(half, "nitrogen") == pytest.approx(1.0, rel=0.01)


YEAR_OF_2 = GENEROUS.replace("4 lb", "2 lb")


def test_what_the_year_leaves():
    """After 1.4 lb N of a year's 2 there are 0.6 left, and then too little for a dose."""
    start = "journal from 2026-01-01\n2026-04-01 front applied 30 lb of granules\n"
    read = files(lawn(more=YEAR_OF_2), shelf=granules(rate=f"4 {US}"), journal=start)
    found = measured(read)
    assert found.dose.limited_by == "the year's limit for nitrogen"
    assert per_1000_ft2(found, "nitrogen") == pytest.approx(0.6, rel=0.02)
    assert per_1000_ft2(found, "nitrogen") <= 0.6
    spent = files(lawn(more=YEAR_OF_2), journal=start.replace("30 lb", "42 lb"))
    assert "the year's limit for nitrogen" in refused(spent).why


def test_perhaps_done_counts_against_the_year():
    """Nitrogen that was advised and not answered is taken off what the year leaves."""
    read = files(lawn(more=YEAR_OF_2), shelf=granules(rate=f"4 {US}"))
    unanswered = advice(date(2026, 5, 1), amount=30 * 0.45359237)
    assert per_1000_ft2(measured(read, unanswered), "nitrogen") <= 0.6


def test_unknown_year_is_refused():
    """Where the journal begins in spring without a last feed, nobody knows what is left."""
    found = refused(files(journal="journal from 2026-04-01\n"))
    assert found.unknown
    assert "last feed" in found.why


def test_stated_last_feed_makes_it_known():
    """A last feed in the year before tells that this year had none."""
    text = "journal from 2026-04-01\n2026-04-01 front last feed 2025-10-12\n"
    assert pounds(measured(files(journal=text))) == pytest.approx(21.4)


def test_label_year():
    """A label's yearly limit counts all of the product that the year has had."""
    shelf = granules(rate=f"3 {US}", more=f'rate_year = "5 {US}"')
    read = files(
        shelf=shelf, journal="journal from 2026-01-01\n2026-03-20 front applied 18 lb of granules\n"
    )
    found = measured(read)
    assert pounds(found) == pytest.approx(12.0)
    assert found.dose.limited_by == "the label's yearly limit"


def test_active_of_another_product_counts():
    """An active ingredient's yearly limit counts whatever product brought it."""
    other = BARRIER.replace('"barrier"', '"barrier-two"').replace("0.4%", "0.8%")
    text = "journal from 2026-01-01\n2026-02-20 front applied 21 lb of barrier-two\n"
    read = files(shelf=BARRIER + other, journal=text)
    # The year allows 8 lb/1000 ft2 of 0.4 %; 3.5 lb of 0.8 % have used 7 of it.
    found = refused(read, name="barrier", task="pre-emergent")
    assert "prodiamine" in found.why
    half = files(shelf=BARRIER + other, journal=text.replace("21 lb", "15 lb"))
    dose = measured(half, name="barrier", task="pre-emergent")
    assert pounds(dose) == pytest.approx(18.0)
    assert dose.dose.limited_by == "the year's limit for prodiamine"


def test_planned_counts_too():
    """What the plan has given already in a year is no longer left."""
    read = files(lawn(more=YEAR_OF_2), shelf=granules(rate=f"4 {US}"))
    assert read.site is not None
    product, first = read.shelf.products[0], read.site.lawns[0]
    planned = Event(
        date(2026, 5, 20), "front", tasks_of(product, read.shelf), product.name,
        {"nitrogen": read_quantity(f"1.4 {US}", Kind.MASS_PER_AREA)}, Certainty.PLANNED, "planned",
    )  # fmt: skip
    found = measure(
        product, first, read.site, counted(read).with_planned(planned), TODAY, task="feed"
    )
    assert isinstance(found, Measured)
    assert per_1000_ft2(found, "nitrogen") <= 0.6


def test_setback_is_left_out():
    """The area beside water comes off the dose, and a step says so."""
    read = files(lawn(more=f'{GENEROUS}\nsetback = "1000 ft2"'))
    found = measured(read)
    assert pounds(found) == pytest.approx(17.8)
    assert any("setback" in step for step in found.dose.steps)


@pytest.mark.parametrize(
    ("units", "rate", "shown"),
    [("us", "3.99 lb/1000 ft2", "3.9 lb"), ("metric", "1.99 kg/100 m2", "1.84 kg")],
)
def test_rounded_down(units: str, rate: str, shown: str):
    """What is weighed is rounded down, never up."""
    limits = GENEROUS.replace('"1 lb', '"5 lb').replace('"4 lb', '"9 lb')
    read = files(lawn(area="1000 ft2", more=limits), shelf=granules(rate=rate), units=units)
    assert measured(read).dose.amount_text == shown


def test_nothing_to_weigh_is_no_dose():
    """An area so small that the dose rounds to nothing gets none, and not “0.0 lb”."""
    read = files(lawn(area="12 ft2", more=GENEROUS), shelf=granules(rate="0.1 lb/1000 ft2"))
    assert isinstance(dose_of(read), Refusal)


def test_small_weights_are_not_lost():
    """2.5 oz of water-dispersible granules stay near 2.5 oz, and do not become 0.1 lb or none."""
    spray = (
        BARRIER.replace("granular", "liquid").replace("0.4%", "65%")
        .replace("4 lb/1000 ft2", "0.5 oz/1000 ft2").replace("8 lb/1000 ft2", "1 oz/1000 ft2")
    )  # fmt: skip
    found = measured(files(lawn(area="5000 ft2"), shelf=spray), task="pre-emergent")
    assert 2.3 <= convert(found.dose.amount, Kind.MASS, "oz") <= 2.5


def test_shown_rate_is_not_above_the_label():
    """A liquid's small rate is not shown rounded up above its label's: someone sets a sprayer."""
    spray = (
        BARRIER.replace("granular", "liquid").replace("0.4%", "40%")
        .replace("4 lb/1000 ft2", "0.37 fl oz/1000 ft2").replace("8 lb/1000", "0.74 fl oz/1000")
        + 'density = "1.2 kg/L"\n'
    )  # fmt: skip
    found = measured(files(shelf=spray), task="pre-emergent")
    assert float(found.dose.rate_text.split()[0]) <= 0.37


def test_restricted_use_is_refused():
    """What only licensed people may use is never measured out."""
    found = refused(files(shelf=BARRIER.replace("use = false", "use = true")), task="pre-emergent")
    assert "licensed" in found.why


@pytest.mark.parametrize(
    ("key", "word"),
    [
        ("rate =", "the most product in one application"),
        ("rate_year", "the most product in a year"),
        ("interval", "the least time between two applications"),
        ("reentry", "when people and pets may go on the lawn again"),
        ("signal_word", "the signal word"),
        ("restricted_use", "whether it is for licensed people only"),
        ("grasses", "the grasses that it may be used on"),
    ],
)
def test_pesticide_without_a_figure(key: str, word: str):
    """A pesticide whose label figure the shelf lacks is refused, and the figure is named."""
    kept = [line for line in BARRIER.splitlines() if not line.startswith(key)]
    found = refused(files(shelf="\n".join(kept)), task="pre-emergent")
    assert found.unknown
    assert word in found.why


def test_pesticide_steps_begin_with_the_label():
    """The label stands above the page, with its signal word and what to wear."""
    steps = measured(files(shelf=BARRIER), task="pre-emergent").dose.steps
    assert "label" in steps[0]
    assert "caution" in steps[0]
    assert "gloves" in steps[0]
    assert any("dust has settled" in step for step in steps)


def test_liquid_without_density_is_refused():
    """Without its density nothing that a liquid carries can be counted."""
    shelf = granules(rate="6 fl oz/1000 ft2").replace("granular", "liquid")
    assert "weight per volume" in refused(files(shelf=shelf)).why


def test_liquid_year_is_counted_in_its_own_measure():
    """A liquid's yearly limit counts the volumes that the journal tells of."""
    shelf = (
        granules(rate="6 fl oz/1000 ft2").replace("granular", "liquid")
        + 'rate_year = "10 fl oz/1000 ft2"\ndensity = "1.2 kg/L"\n'
    )
    text = "journal from 2026-01-01\n2026-03-20 front applied 36 fl oz of granules\n"
    found = measured(files(shelf=shelf, journal=text))
    assert found.dose.amount_text == "24.0 fl oz"
    assert found.dose.limited_by == "the label's yearly limit"


def test_event_is_what_the_dose_brings():
    """The event of a dose carries what the weighed amount brings, no less and no more."""
    found = measured(files())
    assert found.grams_per_m2["nitrogen"] == pytest.approx(
        found.dose.amount * 1000 * 0.28 / found.dose.area_m2
    )


lb = st.floats(0.2, 12).map(lambda x: round(x, 2))


@settings(max_examples=60, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(
    nitrogen=st.integers(1, 46),
    slow=st.integers(0, 100),
    rate=lb,
    year_rate=st.none() | lb,
    once=st.floats(0.1, 2).map(lambda x: round(x, 2)),
    soluble=st.floats(0.05, 1).map(lambda x: round(x, 2)),
    year=st.floats(0.1, 6).map(lambda x: round(x, 2)),
    area=st.floats(50, 50_000).map(lambda x: round(x, 1)),
    setback=st.floats(0, 0.9),
    done=st.none() | st.floats(0.1, 60).map(lambda x: round(x, 2)),
    perhaps=st.none() | st.floats(0.1, 20),
    units=st.sampled_from(["us", "metric"]),
)
def test_no_limit_is_ever_passed(
    nitrogen: int, slow: int, rate: float, year_rate: float | None, once: float, soluble: float,
    year: float, area: float, setback: float, done: float | None, perhaps: float | None, units: str,
):  # fmt: skip
    """Over random lawns, labels and years: with the dose, every limit still holds."""
    most_year = None if year_rate is None else max(year_rate, rate)
    stated = f'slow_release = "{slow}%"\n'
    if most_year is not None:
        stated += f'rate_year = "{most_year} {US}"\n'
    soluble = min(soluble, once)
    read = files(
        lawn(
            area=f"{area} ft2",
            more=f'setback = "{area * setback:.1f} ft2"\nnitrogen_once = "{once} {US}"\n'
            f'soluble_once = "{soluble} {US}"\nnitrogen_year = "{year} {US}"',
        ),
        shelf=granules(analysis=f"{nitrogen}-0-0", rate=f"{rate} {US}", more=stated),
        journal="journal from 2026-01-01\n"
        + (f"2026-02-02 front applied {done} lb of granules\n" if done else ""),
        units=units,
    )
    before = [] if perhaps is None else [advice(date(2026, 4, 1), amount=perhaps)]
    found = dose_of(read, *before)
    if isinstance(found, Refusal):
        return
    assert read.site is not None
    treated = read.site.lawns[0].treated_m2
    put_down = found.dose.amount * 1000 / treated
    had = ((done or 0.0) * 453.59237 + (perhaps or 0.0) * 1000) / treated
    slack = 1 + 1e-9

    def limit(value: float) -> float:
        return read_quantity(f"{value} {US}", Kind.MASS_PER_AREA) * slack

    assert put_down <= limit(rate)
    assert put_down * nitrogen / 100 <= limit(once)
    assert put_down * nitrogen / 100 * (1 - slow / 100) <= limit(soluble)
    assert (had + put_down) * nitrogen / 100 <= limit(year)
    if most_year is not None:
        assert had + put_down <= limit(most_year)
    assert found.dose.area_m2 == pytest.approx(treated)


def test_pesticide_limits_over_years_begin_anew():
    """A yearly limit is that of the calendar year of the planned day."""
    read = files(
        shelf=BARRIER,
        journal="journal from 2025-01-01\n2025-11-20 front applied 48 lb of barrier\n",
    )
    assert pounds(measured(read, task="pre-emergent")) == pytest.approx(24.0)
    same_year = replace(counted(read, today=date(2025, 12, 1)), today=date(2025, 12, 1))
    assert read.site is not None
    found = measure(
        read.shelf.products[0], read.site.lawns[0], read.site, same_year, date(2025, 12, 1),
        task="pre-emergent",
    )  # fmt: skip
    assert isinstance(found, Refusal)
