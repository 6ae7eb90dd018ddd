"""Ways round a hold that there were: each is shut, on a made-up site.

What is asked for here is the plan's own word: the figures of label, law and owner hold, on whatever
path a product comes to the lawn.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from plan_cases import (
    BARRIER,
    GENEROUS,
    TODAY,
    action,
    actions,
    book,
    decide,
    files,
    given,
    granules,
    lawn,
    moment,
    opens,
    weather,
)

from advisor.plan.ahead_model import Dates, Window
from advisor.plan.buying import plain_class, purchase
from advisor.plan.dosing import Ask, dose_sheet
from advisor.plan.model import Plan, Verdict
from advisor.site.load import SiteFiles
from advisor.site.sums import sums

SMALL = "1 lb/1000 ft2"
WATERED_IN = granules(rate=SMALL, more='water_in = "0.25 in"')
DAMP = {-2: 60.0, -1: 20.0}


@pytest.mark.parametrize("used", ["", "2026-10-01  front  applied 21 lb of granules\n"])
def test_a_new_year_opens_no_dose_that_burns(used: str) -> None:
    """A year that is spent gives no dose to burn; the next one's whole dose is held in the heat all
    the same as this one's would be."""
    newly = date(2026, 12, 29)
    limits = "\n".join(f'{key} = "1 lb/1000 ft2"' for key in (
        "nitrogen_once", "soluble_once", "nitrogen_year"))  # fmt: skip
    read = files(
        lawn(more=limits), shelf=granules(analysis="28-0-0", rate="3.5 lb/1000 ft2"),
        journal=f"journal from 2025-01-01\n{used}", today=newly, latitude=-33.0,
    )  # fmt: skip
    hot = weather(today=newly, air_temp=34.0, rain={-3: 60.0, -1: 30.0, 0: 10.0})
    plan = decide(read, book(opens()), hot, now=moment(newly))
    assert {found.verdict for found in actions(plan)} == {Verdict.WAIT}


def watered_on_wednesday(until: str) -> Plan:
    """Work on the Wednesday, where sprinklers may run on no other day and until a time."""
    law = f'[[watering]]\nweekdays = ["wednesday"]\nhours = ["04:00-{until}"]\n'
    read = files(lawn(more=GENEROUS), shelf=WATERED_IN, more=law)
    return decide(read, book(opens(at_least=10)), weather(gust={0: 12.0}, rain=DAMP))


def test_later_that_day_is_no_second_choice_where_nothing_waters_it_in_then() -> None:
    found = action(watered_on_wednesday("15:00"))
    assert found.verdict is Verdict.APPLY
    assert found.second is not None
    assert (found.second.day, found.second.start) == (None, None)


def test_that_it_comes_too_late_to_be_watered_in_is_no_want_of_the_shelf() -> None:
    """Another day's hours may do: it is told as the label's wish, not as what no waiting mends."""
    found = action(watered_on_wednesday("10:30"))
    assert found.verdict is Verdict.WAIT
    assert (found.rule, found.source) == ("water-in", "the product's label")
    assert "has to be watered in" in found.because


def not_now(read: SiteFiles, product: str, task: str) -> tuple[str, ...]:
    """What `dose` says against a product today."""
    assert read.site is not None
    counted = sums(read.site, read.shelf, read.journal, (), TODAY)
    chosen = read.shelf.get(product)
    assert chosen is not None
    return dose_sheet(chosen, read.site.lawns, counted, task, Ask()).lawns[0].not_now


def test_a_dose_is_told_of_the_longer_interval_of_what_lies_on_the_lawn() -> None:
    shelf = granules("quick", "10-0-0", SMALL, 'interval = "7 days"')
    shelf += granules("slow", "10-0-0", SMALL, 'interval = "60 days"')
    read = files(
        shelf=shelf, journal="journal from 2026-01-01\n2026-05-01  front  applied 6 lb of slow\n"
    )
    assert any("wants 60 days before more" in said for said in not_now(read, "quick", "feed"))


def test_a_dose_is_told_of_seed_on_the_lawn() -> None:
    shelf = BARRIER.replace("rate_year", 'seeding_interval = "90 days"\nrate_year')
    read = files(shelf=shelf, journal="journal from 2026-01-01\n2026-05-10  front  seeded\n")
    said = not_now(read, "barrier", "pre-emergent")
    assert any("90 days between seed and barrier" in each for each in said)


@pytest.mark.parametrize("shelf", [BARRIER, granules()], ids=["no food", "food"])
@pytest.mark.parametrize("where", ["lawn", "law"])
def test_a_limit_of_nothing_is_told_as_that(shelf: str, where: str) -> None:
    limit = 'nitrogen_once = "0 lb/1000 ft2"\n'
    law = f'[[ordinance]]\ntitle = "County"\n{limit}'
    read = (
        files(lawn(more=limit), shelf=shelf)
        if where == "lawn"
        else files(lawn(), shelf=shelf, more=law)
    )
    plan = decide(read, book(opens()))
    found = action(plan)
    assert found.verdict is Verdict.WAIT
    assert "too small to weigh" not in found.because
    assert not plan.shop


@pytest.mark.parametrize(
    "law",
    ['[[ordinance]]\ntitle = "County"\nslow_release = "50%"\n',
     '[[ban]]\ntitle = "County"\nnutrients = ["phosphorus"]\n'],
    ids=["slow-release", "phosphorus"],
)  # fmt: skip
def test_what_the_law_never_allows_is_not_to_be_had_in_store(law: str) -> None:
    """28-3-6, all of it quick, stands on the shelf; the season ahead names no amount of it."""
    read = files(shelf=granules(rate=SMALL), more=law)
    assert read.site is not None
    counted = sums(read.site, read.shelf, read.journal, (), TODAY)
    opens_on = Dates(
        likely=TODAY + timedelta(25), earliest=TODAY + timedelta(20), latest=TODAY + timedelta(30),
        holds=0.8, years=9, came=9,
    )  # fmt: skip
    window = Window(
        task="feed", title="Feeding", rule="open-feed", standing="coming", opens=opens_on,
        closes=None, text="",
    )  # fmt: skip
    told = given(read, book(opens()), weather())
    (front,) = read.site.lawns
    bought, _ = purchase(window, front, told, counted, TODAY, plain_class)
    assert bought is not None and bought.product is None
    assert "granules" not in bought.text.partition("To buy")[0]
