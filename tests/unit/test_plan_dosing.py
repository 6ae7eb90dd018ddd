"""A dose worked out to the last bag: passes, tanks, cost, what was asked for, what forbids it."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from plan_cases import BARRIER, GENEROUS, TODAY, advice, files, granules, lawn

from advisor.digest.dosed import render_dose
from advisor.plan import cost, spray, spreading
from advisor.plan.dose_sheet import DoseSheet, LawnSheet
from advisor.plan.dose_words import pack_text
from advisor.plan.dosing import Ask, AskError, Catch, dose_sheet
from advisor.plan.weighing import weighed
from advisor.series.quantity import Kind, convert, read_quantity
from advisor.site.amounts import Amount
from advisor.site.load import SiteFiles
from advisor.site.shelf import Product
from advisor.site.spreaders import Sprayer, Spreader
from advisor.site.sums import sums

US = "lb/1000 ft2"
START = "journal from 2026-01-01\n"
DRUM = '[[spreader]]\nname = "red-drum"\nkind = "broadcast"\nswath = "8 ft"\nhopper = "10 lb"\n'
PACK = '[[sprayer]]\nname = "back-pack"\ntank = "4 gal"\noutput = "1 gal/1000 ft2"\n'
IRON = """\
[[product]]
name = "iron-drink"
serves = ["iron"]
form = "liquid"
analysis = "0-0-0"
iron = "5%"
rate = "4 fl oz/1000 ft2"
carrier = "1 gal/1000 ft2"
density = "10.4 lb/gal"
bag = "1 gal"
price = 21.0
"""


def sheet_of(read: SiteFiles, ask: Ask = Ask(), task: str = "") -> DoseSheet:  # noqa: B008
    """The sheet of the first product on all lawns."""
    assert read.site is not None
    counted = sums(read.site, read.shelf, read.journal, (), TODAY)
    product = read.shelf.products[0]
    return dose_sheet(product, read.site.lawns, counted, task or product.serves[0], ask)


def only(sheet: DoseSheet) -> LawnSheet:
    (one,) = sheet.lawns
    return one


def per_area(text: str, kind: Kind = Kind.MASS_PER_AREA) -> Amount:
    return Amount(read_quantity(text, kind), kind)


def tool(read: SiteFiles, name: str) -> Spreader | Sprayer:
    assert read.site is not None
    return next(one for one in (*read.site.spreaders, *read.site.sprayers) if one.name == name)


def test_a_lower_rate_that_is_asked_for_is_given() -> None:
    one = only(sheet_of(files(), Ask(rate=per_area(f"2 {US}"))))
    assert one.dose is not None
    assert one.dose.amount_text == "12.0 lb"
    assert one.dose.limited_by == "what you asked for"
    assert one.asked == ""


def test_a_rate_far_below_the_label_may_be_asked_for() -> None:
    """Little is not worth a trip by itself; an owner who asks for it has a reason."""
    one = only(sheet_of(files(), Ask(rate=per_area(f"0.5 {US}"))))
    assert one.dose is not None and one.dose.amount_text == "3.0 lb"


def test_a_higher_rate_that_is_asked_for_is_held_in_clear_words() -> None:
    """28-3-6 at 6 lb would be 1.7 lb N: the limit of 1 lb holds, and is named."""
    one = only(sheet_of(files(shelf=granules(rate=f"9 {US}")), Ask(rate=per_area(f"6 {US}"))))
    assert one.dose is not None
    assert one.dose.amount_text == "21.4 lb"
    assert one.asked == ("You asked for 6.00 lb/1000 ft². The limit for nitrogen at once holds.")


def test_a_rate_by_its_nitrogen() -> None:
    """0.75 lb N of 28-3-6 is 2.68 lb/1000 ft2, 16.0 lb on 6000 ft2."""
    nitrogen = read_quantity(f"0.75 {US}", Kind.MASS_PER_AREA)
    one = only(sheet_of(files(), Ask(nitrogen_g_m2=nitrogen)))
    assert one.dose is not None
    assert one.dose.amount_text == "16.0 lb"
    assert one.dose.rate_text == "2.67 lb/1000 ft²"


def test_a_rate_by_its_nitrogen_of_a_liquid() -> None:
    """By the weight of its volume: 0.2 lb N of 12 % at 10.4 lb/gal is 0.160 gal, 20.5 fl oz."""
    shelf = (
        granules(analysis="12-0-0", rate="30 fl oz/1000 ft2").replace("granular", "liquid")
        + 'density = "10.4 lb/gal"\n'
    )
    nitrogen = read_quantity(f"0.2 {US}", Kind.MASS_PER_AREA)
    one = only(sheet_of(files(shelf=shelf), Ask(nitrogen_g_m2=nitrogen)))
    assert one.dose is not None
    assert convert(one.dose.amount, Kind.VOLUME, "fl oz") == pytest.approx(
        6 * 0.2 / 0.12 / 10.4 * 128, abs=0.1
    )


@pytest.mark.parametrize(
    ("shelf", "ask", "told"),
    [
        (IRON, Ask(nitrogen_g_m2=3.0), "has no nitrogen"),
        (IRON, Ask(rate=Amount(10.0, Kind.MASS_PER_AREA)), "by volume per area"),
        (IRON, Ask(catch=Catch(Amount(1.0, Kind.MASS), 9.0)), "44 fl oz on 340 ft2"),
        ("", Ask(catch=Catch(Amount(1.0, Kind.VOLUME), 9.0)), "1.5 lb on 100 ft2"),
    ],
)
def test_what_no_product_can_give_is_told(shelf: str, ask: Ask, told: str) -> None:
    with pytest.raises(AskError, match=told):
        sheet_of(files(shelf=shelf), ask)


def test_a_sprayer_spreads_no_granules_and_a_spreader_sprays_nothing() -> None:
    read = files(more=DRUM + PACK)
    with pytest.raises(AskError, match="is a sprayer"):
        sheet_of(read, Ask(tool=tool(read, "back-pack")))
    read = files(more=DRUM + PACK, shelf=IRON)
    with pytest.raises(AskError, match="is a spreader"):
        sheet_of(read, Ask(tool=tool(read, "red-drum")))


def test_what_label_law_and_interval_forbid_that_day_is_told() -> None:
    ban = '[[ban]]\ntitle = "Spring rule"\nnutrients = ["nitrogen"]\nfrom = "05-01"\nto = "05-31"\n'
    late = START + "2026-05-01 front applied 5 lb of granules\n"
    shelf = granules(more='interval = "42 days"')
    one = only(sheet_of(files(more=ban, journal=late, shelf=shelf)))
    assert one.not_now == (
        "Spring rule: no nitrogen from 1 May to 31 May.",
        "The label wants 42 days after the last feed, and it is 12 days.",
    )
    unknown = only(sheet_of(files(journal="journal from 2026-05-01\n2026-05-01 front last feed"
                                  " not known\n", shelf=shelf)))  # fmt: skip
    assert unknown.not_now == (
        "The label wants 42 days after the last feed, and whether they are over is not known.",
    )


def test_what_was_advised_and_not_answered_is_asked_about() -> None:
    """Also where no label states an interval: nothing goes down twice."""
    read = files(shelf=granules() + granules("other"))
    assert read.site is not None
    for product, told in (("granules", "feed"), ("other", "feed")):
        given = advice(TODAY - timedelta(3), product=product)
        counted = sums(read.site, read.shelf, read.journal, (given,), TODAY)
        sheet = dose_sheet(read.shelf.products[0], read.site.lawns, counted, told, Ask())
        (said,) = only(sheet).not_now
        assert said == (
            "Feed was advised for Sun May 10, and nobody has said whether it was done: say that"
            " first."
        )


@pytest.mark.parametrize(
    ("law", "irrigated", "bound"),
    [
        ("", "true", False),
        ('[watering]\nweekdays = ["sunday"]\n', "true", True),
        ('[watering]\nweekdays = ["sunday"]\n', "false", False),
        ('[watering]\nweekdays = ["sunday"]\nlawns = ["front"]\n', "true", True),
    ],
)
def test_watering_in_keeps_to_the_watering_rules(law: str, irrigated: str, bound: bool) -> None:
    shelf = granules(more='water_in = "0.5 in"')
    one = only(sheet_of(files(lawn(more=f"irrigated = {irrigated}"), shelf=shelf, more=law)))
    assert one.dose is not None
    (step,) = [each for each in one.dose.steps if each.startswith("Water in with 0.50 in")]
    assert step.endswith("that your watering rules allow.") == bound


def test_a_grass_that_the_label_does_not_name_gets_none() -> None:
    one = only(sheet_of(files(shelf=granules(more='grasses = ["warm-season"]'))))
    assert one.dose is None
    assert one.refused == "the label of granules does not name tall fescue"


def test_refusals_are_those_of_the_plan() -> None:
    """Restricted use, a figure that is missing, a year that is spent: in the same words."""
    licensed = only(sheet_of(files(shelf=BARRIER.replace("use = false", "use = true"))))
    assert "licensed" in licensed.refused and licensed.dose is None
    kept = "\n".join(line for line in BARRIER.splitlines() if not line.startswith("interval"))
    lacking = only(sheet_of(files(shelf=kept)))
    assert lacking.unknown and "the least time between two applications" in lacking.refused
    spent = only(sheet_of(files(journal=START + "2026-04-01 front applied 84 lb of granules\n")))
    assert "the year's limit for nitrogen" in spent.refused


def test_bags_for_all_lawns_together() -> None:
    """21.4 and 14.2 lb are one bag of 40 lb and not two, with 4.4 lb left over."""
    lawns = (lawn(more=GENEROUS), lawn("back", area="4000 ft2", more=GENEROUS))
    read = files(*lawns, shelf=granules(more='bag = "40 lb"\nprice = 32'))
    sheet = sheet_of(read)
    assert [one.dose.bags for one in sheet.lawns if one.dose] == [1, 1]
    assert sheet.together is not None
    assert sheet.together.amount_text == "35.6 lb"
    assert sheet.together.bags_text == "1 bag of 40 lb; 4.4 lb left over"
    assert sheet.together.cost == pytest.approx(35.6 / 40 * 32)


@pytest.mark.parametrize(
    ("analysis", "said"),
    [
        ("0-46-0", " and 1.74 per lb of P2O5"),
        ("0-0-50", " and 1.60 per lb of K2O"),
        ("0-20-20", " and 4.00 per lb of P2O5 and 4.00 per lb of K2O"),
        ("20-20-20", " and 4.00 per lb of nitrogen"),
    ],
)
def test_what_a_pound_of_a_nutrient_costs(analysis: str, said: str) -> None:
    """32 for 40 lb: 32 / (40 x 0.46) = 1.74, 32 / 20 = 1.60, 32 / 8 = 4.00."""
    shelf = granules(analysis=analysis, more='bag = "40 lb"\nprice = 32\niron = "1%"')
    one = only(sheet_of(files(shelf=shelf.replace('["feed"]', '["iron"]'))))
    assert one.dose is not None, one.refused
    assert one.cost_text.partition(" per 1000 ft²")[2] == said


def test_what_has_none_of_the_three_costs_by_area_alone() -> None:
    one = only(sheet_of(files(shelf=IRON)))
    assert one.cost_text.endswith("per 1000 ft²")


def test_without_bag_and_price_the_shelf_is_asked_for_them() -> None:
    sheet = sheet_of(files())
    assert sheet.together is not None
    assert (sheet.together.bags, sheet.together.cost) == (None, None)
    assert any("bag and price" in note for note in sheet.notes)


def test_the_year_before_and_after() -> None:
    """10 lb of 28 % on 6000 ft2 are 0.47 lb N; 21.4 lb are 1.00 more, of 4."""
    one = only(sheet_of(files(journal=START + "2026-04-01 front applied 10 lb of granules\n")))
    nitrogen = one.year[0]
    assert nitrogen.text == (
        "nitrogen: 0.47 lb/1000 ft² before it, 1.47 lb/1000 ft² after, of 4.00 lb/1000 ft² in the"
        " year"
    )
    assert one.dose is not None
    brings = {row.substance: row for row in one.brings}
    assert nitrogen.before is not None and nitrogen.after is not None
    assert nitrogen.after - nitrogen.before == pytest.approx(brings["nitrogen"].g_per_m2)


def test_slow_release_is_taken_off_the_soluble() -> None:
    one = only(sheet_of(files(shelf=granules(more='slow_release = "40%"'))))
    brings = {row.substance: row for row in one.brings}
    assert brings["soluble nitrogen"].of == "nitrogen"
    assert brings["soluble nitrogen"].g_per_m2 == pytest.approx(0.6 * brings["nitrogen"].g_per_m2)


def test_what_the_spreader_did_is_told_and_the_dose_stays() -> None:
    """Twice a ninth too much: the opening is set for nine tenths, and no more and no less is
    weighed."""
    line = "front applied 20 lb of granules with red-drum, 600 ft2 short\n"
    journal = "journal from 2025-01-01\n" + f"2025-04-01 {line}2025-09-01 {line}"
    plain = only(sheet_of(files(more=DRUM, journal="journal from 2025-01-01\n")))
    told = only(sheet_of(files(more=DRUM, journal=journal)))
    assert told.dose is not None and plain.dose is not None
    assert told.dose.amount == plain.dose.amount
    said = [step for step in told.dose.steps if "red-drum" in step]
    assert said == [
        "red-drum put down 11 % too much the last two times: close the opening a little from"
        " there, as if for 1.60 lb/1000 ft² a pass instead of 1.78 lb/1000 ft². The dose stays"
        " what it is."
    ]
    assert not any("red-drum" in step for step in plain.dose.steps)


@pytest.mark.parametrize(
    ("end", "words"),
    [
        ("with red-drum at 12, 0 lb left", "at mark 12 came within 5% of the dose"),
        ("with red-drum, 2.5 lb left", "put down 11 % too little the last time: open"),
        ("with red-drum, 2.5 lb left", "open the opening a little from there"),
        ("with red-drum, 20 lb left", "try it over a measured strip first"),
        ("with red-drum, 20 lb left", "50 % too little the last time: open the opening a good"),
        ("with red-drum, 2400 ft2 short", "67 % too much the last time: close the opening a good"),
        ("with red-drum, 3200 ft2 short", "2.1 times as much as meant the last time: close"),
    ],
)
def test_words_of_a_correction(end: str, words: str) -> None:
    journal = f"journal from 2025-01-01\n2025-09-01 front applied 20 lb of granules {end}\n"
    one = only(sheet_of(files(more=DRUM, journal=journal)))
    assert one.dose is not None
    assert any(words in step for step in one.dose.steps), one.dose.steps


def test_a_strip_a_hopper_and_a_catch() -> None:
    """8 ft by 50 ft are 400 ft2; 1.78 lb/1000 ft2 on it are 0.713 lb, 11.4 oz."""
    catch = Catch(Amount(0.2 * 0.45359237, Kind.MASS), 100 * 0.3048**2)
    one = only(sheet_of(files(more=DRUM), Ask(catch=catch)))
    hopper, strip, caught = one.checks
    assert "The hopper holds 10.0 lb" in hopper
    assert "over 50 ft at its swath of 8 ft (400 ft²) 11.4 oz" in strip
    assert "The catch is 2.00 lb/1000 ft²; a half-rate pass is to bring 1.78" in caught
    assert "12 % too much; close" in caught


def test_a_catch_within_five_percent_is_right() -> None:
    assert "within 5%" in spreading.catch_text(10.4, 10.0, "metric")
    assert "6 % too little; open" in spreading.catch_text(9.4, 10.0, "metric")
    assert "3.0 times as much as meant; close" in spreading.catch_text(30.0, 10.0, "metric")


def test_a_spray_and_its_tanks() -> None:
    """4 fl oz and 1 gal to each 1000 ft2: 24 fl oz in 6 gal, two tanks of 3 with 12 in each."""
    one = only(sheet_of(files(more=PACK, shelf=IRON)))
    assert one.dose is not None and one.tanks is not None
    assert one.dose.carrier_text == (
        "24.0 fl oz in 6.00 gal of spray in all: 2 tanks of 3.00 gal with 12.0 fl oz in each"
    )
    assert one.tanks.count == 2
    assert one.passes == ()
    steps = " ".join(one.dose.steps)
    for word in ("eye protection", "jar", "coarse nozzle", "label"):
        assert word in steps


def test_a_pesticide_spray_says_to_rinse() -> None:
    shelf = BARRIER.replace("granular", "liquid").replace("4 lb/1000", "4 oz/1000")
    shelf = shelf.replace("8 lb/1000", "8 oz/1000") + 'carrier = "1 gal/1000 ft2"\n'
    one = only(sheet_of(files(more=PACK, shelf=shelf)))
    assert one.dose is not None
    assert any("three times" in step for step in one.dose.steps)
    assert any("gloves" in step for step in one.dose.steps)


@pytest.mark.parametrize(
    ("more", "shelf", "told"),
    [
        (PACK.replace('output = "1 gal', 'output = "1.2 gal'), IRON, "walk faster"),
        (PACK.replace('output = "1 gal', 'output = "0.8 gal'), IRON, "walk slower"),
        (PACK.replace('output = "1 gal/1000 ft2"\n', ""), IRON, "340 ft²"),
    ],
)
def test_a_sprayer_that_is_not_set_gets_no_tank(more: str, shelf: str, told: str) -> None:
    """Whose output is another than the label's, or not measured: what to do, and no tank load."""
    one = only(sheet_of(files(more=more, shelf=shelf)))
    assert one.dose is not None and one.tanks is not None
    assert (one.tanks.count, one.tanks.product_each) == (0, None)
    assert told in one.tanks.note
    assert any(told in step for step in one.dose.steps)


def test_without_a_carrier_it_is_to_be_looked_up() -> None:
    shelf = IRON.replace('carrier = "1 gal/1000 ft2"\n', "")
    one = only(sheet_of(files(more=PACK, shelf=shelf)))
    assert one.dose is not None and one.tanks is None
    assert any(spray.LOOK_UP in step for step in one.dose.steps)


def test_ounces_of_a_128th_acre_are_gallons_to_the_acre() -> None:
    """Common practice: a gallon has 128 fl oz, so what is caught of 1/128 acre is the whole's."""
    caught = read_quantity("44 fl oz", Kind.VOLUME) / read_quantity("340.3125 ft2", Kind.AREA)
    assert convert(caught, Kind.VOLUME_PER_AREA, "gal/acre") == pytest.approx(44, rel=1e-12)
    assert "(44 gal/acre)" in spray.catch_text(caught, None, "us")


def test_a_catch_of_a_spray() -> None:
    catch = Catch(Amount(read_quantity("44 fl oz", Kind.VOLUME), Kind.VOLUME), 340 * 0.3048**2)
    one = only(sheet_of(files(more=PACK, shelf=IRON), Ask(catch=catch)))
    assert one.checks == (
        "The sprayer puts out 1.01 gal/1000 ft² (44 gal/acre); the label wants 1.00 gal/1000 ft²:"
        " within 5%. Write it into site.toml as output.",
    )


def test_packs_as_people_call_them() -> None:
    assert pack_text(Amount(read_quantity("1 gal", Kind.VOLUME), Kind.VOLUME), "us") == "1 gal"
    assert (
        pack_text(Amount(read_quantity("32 fl oz", Kind.VOLUME), Kind.VOLUME), "us") == "32 fl oz"
    )
    assert pack_text(Amount(18.0, Kind.MASS), "metric") == "18 kg"


def test_the_text_tells_all_of_it() -> None:
    """What to weigh, where it is held, what forbids it, and how; nothing wider than a terminal."""
    ban = '[[ban]]\ntitle = "Spring rule"\nnutrients = ["nitrogen"]\nfrom = "05-01"\nto = "05-31"\n'
    lawns = (lawn(more=GENEROUS), lawn("back", area="4000 ft2", grass="bermudagrass"))
    shelf = granules(more='grasses = ["cool-season"]\nbag = "40 lb"\nprice = 32')
    text = render_dose(
        sheet_of(files(*lawns, more=ban + DRUM, shelf=shelf), Ask(rate=per_area(f"9 {US}")))
    )
    for part in (
        "Weigh out    21.4 lb on 6,000 ft²", "Held         You asked for 9.00",
        "Not now      Spring rule", "No dose      The label of granules does not",
        "Two passes   10.7 lb each", "1 bag of 40 lb; 18.6 lb left over", "All lawns",
        "with red-drum, 0.6 lb left",
    ):  # fmt: skip
        assert part in text
    assert "the label's P2O5: 0.11 lb/1000 ft²" in " ".join(text.split())
    assert max(len(line) for line in text.splitlines()) <= 80


pounds = st.floats(0.2, 12).map(lambda x: round(x, 2))


@settings(max_examples=60, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(
    nitrogen=st.integers(1, 46),
    rate=pounds,
    asked=st.none() | pounds,
    areas=st.lists(st.floats(300, 40_000).map(lambda x: round(x)), min_size=1, max_size=3),
    bag=st.floats(2, 60).map(lambda x: round(x, 1)),
    units=st.sampled_from(["us", "metric"]),
    missed=st.none() | st.floats(0.01, 0.6),
)
def test_the_parts_are_the_dose_and_no_limit_is_passed(
    nitrogen: int, rate: float, asked: float | None, areas: list[int], bag: float, units: str,
    missed: float | None,
) -> None:  # fmt: skip
    """Over random labels, lawns and spreaders: two passes with what they keep back are the dose;
    the dose is within label, law and what was asked for, whatever the spreader did; bags cover it.
    """
    names = ("front", "back", "side")
    lawns = [lawn(names[n], area=f"{area} ft2", more=GENEROUS) for n, area in enumerate(areas)]
    shelf = granules(
        analysis=f"{nitrogen}-0-0", rate=f"{rate} {US}", more=f'bag = "{bag} lb"\nprice = 30'
    )
    journal = "journal from 2025-01-01\n"
    if missed is not None:
        short = f"{areas[0] * missed:.1f}"
        journal += f"2025-05-01 front applied 5 lb of granules with red-drum, {short} ft2 short\n"
    read = files(*lawns, shelf=shelf, journal=journal, more=DRUM, units=units)
    sheet = sheet_of(read, Ask(rate=per_area(f"{asked} {US}") if asked else None))
    total = 0.0
    for one in sheet.lawns:
        assert one.dose is not None
        total += one.dose.amount
        first, second = one.passes
        assert first.kg + second.kg == pytest.approx(one.dose.amount, rel=1e-12)
        assert 0 <= first.kept_back_kg <= 0.05 * first.kg + 1e-12
        brought = convert(one.dose.amount * 1000 / one.dose.area_m2, Kind.MASS_PER_AREA, US)
        assert brought <= min(rate, asked or math.inf) + 1e-9
        assert brought * nitrogen / 100 <= 1 + 1e-9
    together = sheet.together
    assert together is not None and together.bags is not None and together.left_over is not None
    assert together.amount == pytest.approx(total)
    bag_kg = bag * 0.45359237
    assert together.bags * bag_kg >= total - 1e-9
    assert (together.bags - 1) * bag_kg < total + 1e-9
    assert together.left_over == pytest.approx(together.bags * bag_kg - total, abs=1e-9)


@settings(max_examples=100, deadline=None)
@given(
    dose=st.floats(0.05, 5),
    area=st.floats(20, 5000),
    tank=st.floats(1, 200),
    units=st.sampled_from(["us", "metric"]),
)
def test_no_tank_load_passes_the_dose(dose: float, area: float, tank: float, units: str) -> None:
    """All tanks together hold no more product than the dose, and no tank more than it can."""
    product = files(shelf=IRON).shelf.products[0]
    sprayer = Sprayer(name="pack", tank="4 gal", output="1 gal/1000 ft2")  # type: ignore[call-arg]
    sprayer = sprayer.model_copy(update={"tank_l": tank})
    amount = weighed(dose, Kind.VOLUME, units)
    mix = spray.mixed(product, amount, area, sprayer, units)
    assert mix is not None and mix.product_each is not None
    assert mix.tanks * mix.product_each.value <= amount.value + 1e-12
    assert mix.total_l / mix.tanks <= tank + 1e-6
    assert mix.total_l == pytest.approx((product.carrier_l_m2 or 0) * area)


def test_cost_of_a_bag_by_volume_wants_a_density() -> None:
    """A jug's nitrogen is by weight: without density the bag has no known kg."""
    jug = files(shelf=IRON).shelf.products[0]
    assert cost.bags(jug, 3.785411784) == 1
    assert cost.bags(jug, 3.79) == 2
    by_weight: Product = jug.model_copy(
        update={"rate": Amount(1.0, Kind.MASS_PER_AREA), "density_kg_l": None}
    )
    assert cost.bags(by_weight, 1.0) is None
    assert cost.of(by_weight, 1.0, 10.0) is None


def test_halves_are_the_whole_to_the_last_digit() -> None:
    amount = weighed(2.3, Kind.MASS, "us")
    assert (amount.text, amount.half()) == ("5.0 lb", "2.5 lb")
    assert replace(amount, shown=5.1).half() == "2.55 lb"


LAW = f"""\
[[ordinance]]
title = "County rule"
slow_release = "50%"
nitrogen_once = "0.9 {US}"
phosphate_once = "0.05 {US}"
phosphate_year = "0.5 {US}"
after_seeding = "30 days"
"""


def test_an_ordinance_holds_the_dose_and_its_day() -> None:
    """What needs no weather: too little slow-release, new turf; the strictest limit at once (0.05
    lb P2O5 of 3 % are 1.67 lb/1000 ft2); the year's limit beside the year's sum."""
    seeded = START + "2026-05-01 front seeded\n"
    one = only(sheet_of(files(more=LAW, journal=seeded), Ask(rate=per_area(f"3 {US}"))))
    assert one.dose is not None
    assert one.dose.amount_text == "10.0 lb"
    assert one.asked.endswith("The law's limit for phosphate at once holds.")
    assert [told.partition(":")[0] for told in one.not_now] == ["County rule", "County rule"]
    assert "at least 50% of the nitrogen" in one.not_now[0]
    assert "30 days after seeding" in one.not_now[1]
    (phosphorus,) = [year for year in one.year if year.substance == "phosphorus"]
    assert phosphorus.limit == pytest.approx(
        read_quantity(f"0.5 {US}", Kind.MASS_PER_AREA) * 0.4364
    )


def test_a_labels_year_is_told_of_the_product_itself() -> None:
    """Of a liquid by its volume: 24 fl oz on 6000 ft2 are 4 before, and what is left is 2."""
    spray = IRON.replace("carrier", 'rate_year = "6 fl oz/1000 ft2"\ncarrier')
    had = START + "2026-04-01 front applied 24 fl oz of iron-drink\n"
    one = only(sheet_of(files(more=PACK, shelf=spray, journal=had)))
    assert one.dose is not None and one.dose.amount_text == "12.0 fl oz"
    assert one.year[-1].text == (
        "iron-drink: 4.0 fl oz/1000 ft² before it, 6.0 fl oz/1000 ft² after, of 6.0 fl oz/1000 ft²"
        " in the year"
    )
    assert one.year[-1].unit == "mL/m2"
