"""The principles by which a product of the shelf is chosen, one by one, and what is told of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pytest
from plan_cases import (
    GENEROUS,
    NOW,
    PAST,
    TODAY,
    action,
    actions,
    advice,
    book,
    decide,
    files,
    given,
    holds,
    lawn,
    opens,
    weather,
)

from advisor.conditions.site_weather import site_weather
from advisor.plan import choosing
from advisor.plan.asked_plan import plan_said
from advisor.plan.choosing import PRINCIPLES
from advisor.plan.model import Plan, Verdict
from advisor.plan.restrict import Restriction
from advisor.plan.view import Setting, View
from advisor.series.hourly import Series
from advisor.site.events import Advised
from advisor.site.sums import sums

PESTICIDE = (
    'actives = { chlorantraniliprole = "0.08%" }\nrate_year = "9 lb/1000 ft2"\n'
    'interval = "60 days"\nreentry = "until it has dried"\nsignal_word = "caution"\n'
    "restricted_use = false"
)
JOURNAL = "journal from 2026-01-01\n"


def product(name: str, more: str = "", analysis: str = "20-0-0", serves: str = '"feed"') -> str:
    slow = "" if "slow_release" in more else 'slow_release = "50%"\n'
    grasses = "" if "grasses" in more else "grasses = []\n"
    return (
        f'[[product]]\nname = "{name}"\nserves = [{serves}]\nform = "granular"\n'
        f'analysis = "{analysis}"\nrate = "4 lb/1000 ft2"\n{slow}{grasses}{more}\n'
    )


MOIST = {-3: 50.0}
"""Rain, so that the grass lacks no water."""
USUAL = weather(rain=MOIST)
COLD = weather(
    rain=MOIST, **dict.fromkeys(("soil_temp_0", "soil_temp_6", "soil_temp_18", "soil_temp_54"), 8.0)
)
BIOSOLIDS = 'slow_release = "80%"\nderived_from = "biosolids"'
IBDU = 'slow_release = "80%"\nderived_from = "IBDU"'


@dataclass(frozen=True)
class Case:
    """Two products, of which the second is chosen for one principle alone."""

    principle: str
    first: str = ""
    second: str = ""
    journal: str = ""
    advised: Sequence[Advised] = ()
    series: Series | None = None
    analyses: tuple[str, str] = ("20-0-0", "20-0-0")
    serves: str = '"feed"'


CASES = [
    Case("announced", advised=[advice(TODAY, product="second")]),
    Case("unasked", first=PESTICIDE, serves='"feed", "grub-preventive"'),
    Case("unasked", first=PESTICIDE),
    Case("phosphorus", analyses=("20-5-0", "20-0-0")),
    Case("phosphorus", analyses=("20-0-0", "20-5-0"),
         journal="2026-02-01 front tested phosphorus low\n"),
    Case("burn", first='slow_release = "0%"'),
    Case("release", first=BIOSOLIDS, second=IBDU, series=COLD),
    Case("whole dose", first='rate_year = "7 lb/1000 ft2"',
         journal="2026-03-01 front applied 24 lb of first\n"),
    Case("grass", first='grasses = ["cool-season"]', second='grasses = ["tall-fescue"]'),
    Case("bag", first='bag = "10 lb"', second='bag = "50 lb"'),
    Case("begun", journal="2026-03-01 front applied 6 lb of second\n"),
    Case("cost", first='bag = "50 lb"\nprice = 40', second='bag = "50 lb"\nprice = 39'),
    Case("cost", first='bag = "50 lb"', second='bag = "50 lb"\nprice = 39'),
]  # fmt: skip


def plan_of(case: Case) -> Plan:
    read = files(
        shelf=product("first", case.first, case.analyses[0], case.serves)
        + product("second", case.second, case.analyses[1]),
        journal=JOURNAL + case.journal,
    )
    return decide(read, series=case.series or USUAL, advised=case.advised)


def chosen(plan: Plan) -> str:
    found = action(plan)
    assert found.dose is not None, found
    return found.dose.product


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.principle)
def test_each_principle_alone(case: Case) -> None:
    """The second is taken, and its reason is the principle's."""
    plan = plan_of(case)
    assert chosen(plan) == "second"
    (principle,) = [one for one in PRINCIPLES if one.name == case.principle]
    assert action(plan).product_why == (f"second rather than first: {principle.why}.",)


def test_every_principle_has_its_case_and_stands_in_the_list() -> None:
    assert {case.principle for case in CASES} == {one.name for one in PRINCIPLES}
    assert choosing.__doc__ is not None
    assert f"{len(PRINCIPLES) + 1}. What stands first" in choosing.__doc__


def test_the_order_of_the_shelf_is_the_last_word() -> None:
    plan = plan_of(Case("none"))
    assert chosen(plan) == "first"
    assert action(plan).product_why == ("first rather than second: it stands first on the shelf.",)


CONFLICTS = [
    # Each line: what speaks for the second, and what less weighty for the first.
    ("announced", Case("", second='slow_release = "0%"',
                       advised=[advice(TODAY, product="second")])),
    ("unasked", Case("", first=PESTICIDE, second='slow_release = "0%"')),
    ("phosphorus", Case("", second='slow_release = "0%"', analyses=("20-5-0", "20-0-0"))),
    ("burn", Case("", first='slow_release = "0%"', second=BIOSOLIDS, series=COLD)),
    ("release", Case("", first=BIOSOLIDS, series=COLD,
                     second=f'{IBDU}\nrate_year = "7 lb/1000 ft2"',
                     journal="2026-03-01 front applied 24 lb of second\n")),
    ("whole dose", Case("", first='rate_year = "7 lb/1000 ft2"\ngrasses = ["tall-fescue"]',
                        journal="2026-03-01 front applied 24 lb of first\n")),
    ("grass", Case("", first='bag = "50 lb"',
                   second='grasses = ["tall-fescue"]\nbag = "10 lb"')),
    ("bag", Case("", first='bag = "10 lb"', second='bag = "50 lb"',
                 journal="2026-03-01 front applied 6 lb of first\n")),
    ("begun", Case("", first='bag = "50 lb"\nprice = 20', second='bag = "50 lb"\nprice = 40',
                   journal="2026-03-01 front applied 6 lb of second\n")),
]  # fmt: skip


@pytest.mark.parametrize(("name", "case"), CONFLICTS, ids=[name for name, _ in CONFLICTS])
def test_an_earlier_principle_beats_a_later_one(name: str, case: Case) -> None:
    plan = plan_of(case)
    assert chosen(plan) == "second"
    (principle,) = [one for one in PRINCIPLES if one.name == name]
    assert principle.why in action(plan).product_why[-1]


def test_a_product_alone_has_nothing_to_be_chosen_over() -> None:
    assert action(decide(files(shelf=product("first")))).product_why == ()


def test_why_another_may_not_go_down() -> None:
    """What holds a product is told beside the choice."""
    shelf = product("first", analysis="20-5-0") + product("second", 'bag = "1 lb"')
    rules = book(opens(), holds("phosphorus"))
    plan = decide(files(shelf=shelf), rules, weather(humidity=0.95))
    assert chosen(plan) == "second"
    assert action(plan).product_why == ("Not first: Too humid.",)


def test_a_hold_that_cannot_be_told_says_so() -> None:
    shelf = product("first", analysis="20-5-0") + product("second")
    rules = book(opens(), holds("phosphorus"))
    plan = decide(files(shelf=shelf), rules, weather(humidity={0: float("nan")}))
    assert action(plan).product_why == (
        "Not first: it cannot be told whether “hold phosphorus” holds.",
    )


def test_half_of_it_quick_feeds_in_cool_soil_too() -> None:
    """With half of its nitrogen quick a product works in any soil: no reason against it."""
    half = BIOSOLIDS.replace("80%", "50%")
    shelf = product("first", half) + product("second", IBDU.replace("80%", "50%"))
    assert chosen(decide(files(shelf=shelf), series=COLD)) == "first"


def test_explain_tells_the_choice_too() -> None:
    read = files(shelf=product("first", 'slow_release = "0%"') + product("second"))
    (planned,) = plan_said(given(read, book(opens()), USUAL), NOW).actions
    assert "second rather than first: less risk of a burn." in planned.chosen


def test_a_refused_product_is_told_with_what_it_lacks() -> None:
    shelf = product("first", "restricted_use = true") + product("second")
    plan = decide(files(shelf=shelf))
    assert chosen(plan) == "second"
    assert "licensed" in action(plan).product_why[0]


def test_soil_too_cool_for_the_only_product_is_told() -> None:
    plan = decide(files(shelf=product("first", BIOSOLIDS)), series=COLD)
    assert "cool" in action(plan).product_why[0]
    assert "80 % of it is slow-release: biosolids" in action(plan).dose.nitrogen  # type: ignore[union-attr]


def test_what_was_announced_does_not_flip() -> None:
    """A cheaper bag that comes onto the shelf changes nothing that was announced, while it may
    still go down; once it may not, the other is taken."""
    dear = 'bag = "50 lb"\nprice = 60'
    cheap = product("cheap", 'bag = "50 lb"\nprice = 20')
    tomorrow = TODAY + timedelta(1)
    sent = [advice(tomorrow, issued=TODAY - timedelta(1), product="dear")]
    shelf = cheap + product("dear", dear)
    assert chosen(decide(files(shelf=shelf))) == "cheap"
    kept = decide(files(shelf=shelf), advised=sent)
    assert (chosen(kept), action(kept).day) == ("dear", tomorrow)
    gone = decide(files(shelf=cheap + product("dear", dear + "\nrestricted_use = true")),
                  advised=sent)  # fmt: skip
    assert chosen(gone) == "cheap"


def test_one_trip_is_still_shared() -> None:
    """Two lawns that take the same product go on one day, though one opens later."""
    lawns = [lawn("front", more=GENEROUS), lawn("back", more=GENEROUS)]
    ban = (
        '[[ban]]\ntitle = "Ban"\nnutrients = ["nitrogen"]\nfrom = "05-13"\nto = "05-14"\n'
        'lawns = ["back"]\n'
    )
    shelf = product("first", 'slow_release = "0%"') + product("second")
    plan = decide(files(*lawns, shelf=shelf, more=ban), series=USUAL)
    for name in ("front", "back"):
        (found,) = actions(plan, on=name)
        assert found.dose is not None
        assert (found.dose.product, found.day) == ("second", date(2026, 5, 15))


HOT = weather(rain=MOIST, air_temp=34.0)


def test_a_dose_that_is_likely_to_burn_is_held() -> None:
    """Quick nitrogen at 93 °F on cool-season grass (from memory, which may hold)."""
    plan = decide(files(shelf=product("first", 'slow_release = "0%"')), series=HOT)
    found = action(plan)
    assert found.verdict is Verdict.WAIT
    assert "likely to burn the grass" in found.because
    assert "0.80 lb/1000 ft² of quick nitrogen" in found.because
    assert "from memory" in found.source


def test_in_heat_what_is_slow_goes_down_and_says_why() -> None:
    shelf = product("first", 'slow_release = "0%"') + product("second", 'slow_release = "90%"')
    plan = decide(files(shelf=shelf), series=HOT)
    assert chosen(plan) == "second"
    assert "likely to burn" in action(plan).product_why[0]


def test_some_risk_is_told_with_its_remedy_and_source() -> None:
    """0.8 lb of quick nitrogen at once, above the 0.7 of Maryland and New Jersey."""
    found = action(decide(files(shelf=product("first", 'slow_release = "0%"')), series=USUAL)).burn
    assert found is not None
    assert found.risk == "some"
    assert "water it in the same day" in found.text
    assert "Maryland" in found.source


def test_little_risk_is_told_too() -> None:
    found = action(decide(files(shelf=product("first")))).burn
    assert found is not None
    assert (
        found.text
        == (
            "Low: 0.40 lb/1000 ft² of quick nitrogen, and 0.70 lb/1000 ft² are commonly the most at"
            " once."
        )
        or found.risk == "some"
    )


def burning(stated: str, series: Series) -> list[Restriction]:
    """What the only product of a lawn is held by, as likely to burn."""
    read = files(shelf=product("first", stated))
    assert read.site is not None
    shared = site_weather(series, read.site, NOW)
    assert shared is not None
    setting = Setting(read.site, read.shelf, book(opens()), shared, NOW)
    counted = sums(read.site, read.shelf, read.journal, (), TODAY)
    view = View(setting, read.site.lawns[0], counted, np.zeros(len(setting.days)))
    return [one for one in view.restrictions(read.shelf.products[0]) if "burn" in one.name]


def test_unknown_heat_holds_what_heat_would() -> None:
    """Of tomorrow no temperature is known: what would burn in heat is held, and says so."""
    series = weather(rain=MOIST, air_temp={1: float("nan")})
    (found,) = burning('slow_release = "0%"', series)
    assert (found.held[PAST], found.held[PAST + 1]) == (False, True)
    assert found.unknown[PAST + 1]
    assert burning('slow_release = "90%"', series) == []


def test_known_heat_is_sure() -> None:
    (found,) = burning('slow_release = "0%"', weather(rain=MOIST, air_temp={1: 34.0}))
    assert (found.held[PAST], found.held[PAST + 1]) == (False, True)
    assert not found.unknown[PAST + 1]
