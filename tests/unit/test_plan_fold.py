"""The principles of the walk, one by one: what is chosen, for which day, and what it leaves."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from plan_cases import (
    BARRIER,
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
    granules,
    holds,
    lawn,
    opens,
    waters,
    weather,
)

from advisor.conditions.site_weather import site_weather
from advisor.plan.choice import Choice
from advisor.plan.fold import SHARE_DAYS, walk
from advisor.plan.model import Verdict
from advisor.plan.view import Setting
from advisor.rulebook.book import Rulebook
from advisor.series.hourly import Series
from advisor.series.quantity import Kind, read_quantity
from advisor.site.events import Advised
from advisor.site.load import SiteFiles
from advisor.site.sums import sums


def choices(
    read: SiteFiles | None = None,
    rules: Rulebook | None = None,
    series: Series | None = None,
    advised: Sequence[Advised] = (),
) -> tuple[Choice, ...]:
    """What the walk chooses, in its order."""
    read = read or files()
    assert read.site is not None
    shared = site_weather(series or weather(), read.site, NOW)
    assert shared is not None
    counted = sums(read.site, read.shelf, read.journal, advised, TODAY)
    standing = {(a.lawn, a.task): a.day for a in counted.standing}
    setting = Setting(read.site, read.shelf, rules or book(opens()), shared, NOW)
    return walk(setting, counted, NOW, standing).choices


def told(found: Sequence[Choice]) -> list[tuple[str, str, int]]:
    """Lawn, task and day (counted from today) of each choice."""
    return [(choice.lawn.name, choice.task, choice.day - PAST) for choice in found]


def test_open_today_is_today():
    """A window that is open and unheld is used on the first day."""
    assert told(choices()) == [("front", "feed", 0)]


def test_earliest_day():
    """A window that opens in three days is used on its first day, once."""
    found = choices(
        rules=book(opens(at_least=10)), series=weather(gust={3: 12.0, 4: 12.0, 6: 12.0})
    )
    assert told(found) == [("front", "feed", 3)]


def test_hold_beats_window():
    """While a hold holds, an open window is of no use."""
    rules = book(opens(), holds())
    assert told(choices(rules=rules, series=weather(humidity={0: 0.95, 1: 0.95}))) == [
        ("front", "feed", 2)
    ]
    assert choices(rules=rules, series=weather(humidity=0.95)) == ()


def test_unknown_hold_holds():
    """A hold that cannot be told holds what is put down."""
    rules = book(opens(), holds())
    assert told(choices(rules=rules, series=weather(humidity={0: np.nan}))) == [
        ("front", "feed", 1)
    ]
    assert choices(rules=rules, series=weather(humidity=None)) == ()


def test_unknown_window_is_shut():
    """A window that cannot be told stays shut."""
    assert choices(series=weather(gust=None)) == ()
    assert told(choices(series=weather(gust={0: np.nan}))) == [("front", "feed", 1)]


def test_unknown_hold_forbids_no_water():
    """Unknown neither asks for nor forbids water: a thirsty lawn is watered all the same."""
    dry = weather(rain={-12: 60.0}, humidity=None)
    found = choices(rules=book(waters(), holds("watering")), series=dry)
    assert ("front", "watering", 0) in told(found)


def test_known_hold_forbids_water():
    """A hold on watering that is sure holds it."""
    damp = weather(rain={-12: 60.0}, humidity={0: 0.95, 1: 0.95})
    found = choices(rules=book(waters(), holds("watering")), series=damp)
    assert min(day for _, _, day in told(found)) == 2


def test_water_before_food():
    """A thirsty lawn is watered first, and fed once its water is planned."""
    found = choices(rules=book(opens(), waters()), series=weather(rain={-12: 60.0}))
    assert told(found)[0] == ("front", "watering", 0)
    assert [day in (0, 1) for _, task, day in told(found) if task == "feed"] == [True]


def test_closes_first_goes_first():
    """Of two windows that are open today, the one that closes sooner is used first."""
    read = files(shelf=granules() + BARRIER)
    rules = book(opens("feed", at_least=3), opens("pre-emergent", at_least=10))
    closing = weather(gust={0: 12.0, 1: 12.0})
    assert [task for _, task, _ in told(choices(read, rules, closing))] == ["pre-emergent", "feed"]
    rules = book(opens("feed", at_least=10), opens("pre-emergent", at_least=3))
    assert [task for _, task, _ in told(choices(read, rules, closing))] == ["feed", "pre-emergent"]


IRON = (
    granules("iron-feed", "10-0-0", rate="5 lb/1000 ft2", more='iron = "8%"')
    .replace('["feed"]', '["iron"]')
)  # fmt: skip
LAST = GENEROUS.replace('nitrogen_year = "4 lb', 'nitrogen_year = "1 lb')


@pytest.mark.parametrize("first", ["feed", "iron"])
def test_the_year_s_last_nitrogen_goes_once(first: str):
    """Of two tasks that need it, only the one that closes first gets the last nitrogen."""
    read = files(
        lawn(more=LAST),
        shelf=granules(rate="3.5 lb/1000 ft2") + IRON,
        journal="journal from 2026-01-01\n2026-02-01 front applied 8.5 lb of granules\n",
    )
    # 0.6 lb N/1000 ft2 is left: 2.2 lb of 28-3-6, or 5 lb of 10-0-0 with 0.1 to spare.
    second = "iron" if first == "feed" else "feed"
    rules = book(opens(first, at_least=10), opens(second, at_least=3))
    found = choices(read, rules, weather(gust={0: 12.0, 1: 12.0}))
    assert [task for _, task, _ in told(found)] == [first]


ON_BOTH = (
    "opens cool for feed\n  on tall-fescue\n  while gust at least {cool} km/h\n"
    "  says Cool.\n  source made up\n"
    "opens warm for feed\n  on bermudagrass\n  while gust at least {warm} km/h\n"
    "  says Warm.\n  source made up\n"
)
TWO = (lawn(more=GENEROUS), lawn("back", grass="bermudagrass", more=GENEROUS))


def test_one_trip_for_two_lawns():
    """A lawn whose window stays open waits two days for the other, for one trip."""
    rules = book(ON_BOTH.format(cool=10, warm=36))
    found = choices(files(*TWO), rules, weather(gust={2: 12.0}))
    assert sorted(told(found)) == [("back", "feed", 2), ("front", "feed", 2)]


def test_no_waiting_where_the_window_closes():
    """A lawn whose window closes tomorrow does not wait for the other."""
    rules = book(ON_BOTH.format(cool=21.6, warm=36))
    found = choices(files(*TWO), rules, weather(gust={0: 8.0, 1: 8.0, 2: 12.0, 3: 12.0}))
    assert ("front", "feed", 2) in told(found), "open at 21.6 km/h on day 2 as well"
    found = choices(files(*TWO), rules, weather(gust={0: 8.0, 3: 12.0, 1: 8.0}))
    assert ("front", "feed", 3) in told(found)
    rules = book(
        opens(at_least=6, at_most=9, name="cool").replace("  while", "  on tall-fescue\n  while"),
        opens(at_least=10, name="warm").replace("  while", "  on bermudagrass\n  while"),
    )
    found = choices(files(*TWO), rules, weather(gust={0: 8.0, 1: 8.0, 2: 12.0}))
    assert sorted(told(found)) == [("back", "feed", 2), ("front", "feed", 0)]


def test_no_waiting_for_long():
    """A lawn waits three days for another, and no longer."""
    rules = book(ON_BOTH.format(cool=10, warm=36))
    later = weather(gust={SHARE_DAYS + 1: 12.0})
    assert sorted(told(choices(files(*TWO), rules, later))) == [
        ("back", "feed", SHARE_DAYS + 1),
        ("front", "feed", 0),
    ]


def test_no_shared_trip_with_another_product():
    """Lawns that take different products share no trip."""
    shelf = granules(more='grasses = ["tall-fescue"]') + granules(
        "other", more='grasses = ["bermudagrass"]'
    )
    rules = book(ON_BOTH.format(cool=10, warm=36))
    found = choices(files(*TWO, shelf=shelf), rules, weather(gust={2: 12.0}))
    assert sorted(told(found)) == [("back", "feed", 2), ("front", "feed", 0)]


def test_nothing_slips_in_before_a_shared_trip():
    """What waits for a shared trip is not overtaken by the same nutrient within its interval."""
    shelf = granules(more='interval = "30 days"') + IRON + 'interval = "30 days"\n'
    rules = book(
        ON_BOTH.format(cool=10, warm=36)
        + "opens green for iron\n  on tall-fescue\n  while gust between 25 km/h and 32 km/h\n"
        "  says Iron.\n  source made up\n"
    )
    found = choices(files(*TWO, shelf=shelf), rules, weather(gust={1: 8.0, 2: 12.0}))
    front = sorted(day for name, _, day in told(found) if name == "front")
    assert len(front) == 1, told(found)


def test_announced_day_is_kept():
    """What was announced for Saturday stays on Saturday, though today would do."""
    saturday = TODAY + timedelta(3)
    told_before = advice(saturday, issued=TODAY - timedelta(3))
    assert told(choices(advised=[told_before])) == [("front", "feed", 3)]


def test_announced_day_that_is_no_longer_good():
    """Where the announced day is held by now, the earliest good day is taken."""
    told_before = advice(TODAY + timedelta(3), issued=TODAY - timedelta(3))
    found = choices(
        rules=book(opens(), holds()), series=weather(humidity={3: 0.95}), advised=[told_before]
    )
    assert told(found) == [("front", "feed", 0)]


DRY = {-12: 60.0}
"""Rain that filled the root zone twelve days ago; since then it has dried out."""


def watered(found: Sequence[Choice]) -> list[tuple[int, float]]:
    return sorted((c.day - PAST, c.water_mm) for c in found if c.task == "watering")


def test_water_refills_and_no_more():
    """Water brings back what is missing, less the rain of that day and the next."""
    read = files()
    rules = book(waters())
    (day, plain), *_ = watered(choices(read, rules, weather(rain=DRY)))
    assert day == 0
    assert plain <= 0.16 * 152.4 + 1e-6  # what 6 in of clay loam hold between the limits
    (day, less), *_ = watered(choices(read, rules, weather(rain=DRY | {1: 4.0})))
    assert (day, less) == (0, pytest.approx(plain - 4.0))


def test_no_water_where_rain_does_it():
    """A soaking forecast for tomorrow leaves nothing to water today."""
    found = watered(choices(rules=book(waters()), series=weather(rain=DRY | {1: 40.0})))
    assert all(day > 1 for day, _ in found)


def test_watering_days_of_the_law():
    """Sprinklers run on permitted weekdays alone."""
    read = files(more='[watering]\nweekdays = ["friday"]\n')
    found = watered(choices(read, book(waters()), weather(rain=DRY)))
    assert {(TODAY + timedelta(day)).strftime("%A") for day, _ in found} == {"Friday"}


def test_one_permitted_hour_is_used():
    """Where the law allows one hour a day, a thirsty lawn is watered in it."""
    read = files(more='[watering]\nhours = ["20:00-21:00"]\n')
    assert watered(choices(read, book(waters()), weather(rain=DRY)))[0][0] == 0


def test_no_sprinklers_no_water():
    """A lawn that cannot be watered is not told to be."""
    read = files(lawn(more="irrigated = false"))
    assert choices(read, book(waters()), weather(rain=DRY)) == ()


def test_announced_water_comes_on_top_of_none():
    """Two waterings that were announced do not make the plan give more than the soil holds."""
    told_before = [
        advice(TODAY + timedelta(day), issued=TODAY - timedelta(1), task="watering", product=None,
               amount=15.0)
        for day in (0, 4)
    ]  # fmt: skip
    plain = watered(choices(rules=book(waters()), series=weather(rain=DRY)))
    again = watered(choices(rules=book(waters()), series=weather(rain=DRY), advised=told_before))
    assert [day for day, _ in again] == [day for day, _ in plain]
    assert [mm for _, mm in again] == pytest.approx([mm for _, mm in plain])


def test_unanswered_water_is_not_given_twice():
    """Water that was advised for yesterday and not answered may have been given."""
    yesterday = advice(
        TODAY - timedelta(1),
        issued=TODAY - timedelta(4),
        task="watering",
        product=None,
        amount=22.0,
    )
    found = watered(choices(rules=book(waters()), series=weather(rain=DRY), advised=[yesterday]))
    assert all(day > 0 for day, _ in found)


def test_interval_within_the_plan():
    """A task is planned once; another with its nutrient keeps the label's interval after it."""
    shelf = granules(more='interval = "30 days"') + IRON + 'interval = "30 days"\n'
    found = choices(files(shelf=shelf), book(opens("feed"), opens("iron")))
    assert len(found) == 1


def test_closed_season_sends_to_another_product():
    """Under a phosphorus ban the product without it is taken, though it stands second."""
    ban = (
        '[[ban]]\ntitle = "Closed season"\nnutrients = ["phosphorus"]\nfrom = "01-01"\n'
        'to = "12-31"\n'
    )
    read = files(shelf=granules() + granules("no-phosphorus", "26-0-6"), more=ban)
    (only,) = choices(read)
    assert only.product is not None
    assert only.product.name == "no-phosphorus"


def test_spray_that_must_stay_dry():
    """A spray that must stay dry for a day is not put down before rain within that day."""
    shelf = granules(more="dry_hours = 24")
    found = told(choices(files(shelf=shelf), series=weather(rain_at={(0, 20): 8.0})))
    assert ("front", "feed", 0) not in found


def test_seed_waits_after_a_barrier():
    """Seed is held for the seeding interval of what was put down before it."""
    seed = granules("seed", "0-0-0", rate="6 lb/1000 ft2").replace('["feed"]', '["overseed"]')
    rules = book(opens("overseed"))
    after = "journal from 2026-01-01\n2026-04-20 front applied 20 lb of barrier\n"
    shelf = seed + BARRIER + 'seeding_interval = "16 weeks"\n'
    assert told(choices(files(shelf=shelf), rules)) == [("front", "overseed", 0)]
    assert choices(files(shelf=shelf, journal=after), rules) == ()


@settings(max_examples=25, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(
    gusts=st.lists(st.sampled_from([4.0, 8.0, 12.0]), min_size=10, max_size=10),
    humid=st.lists(st.sampled_from([0.6, 0.95, float("nan")]), min_size=10, max_size=10),
    year=st.sampled_from(["0.5 lb", "1 lb", "1.5 lb", "4 lb"]),
    perhaps=st.none() | st.integers(1, 60),
)
def test_no_plan_passes_a_limit(
    gusts: list[float], humid: list[float], year: str, perhaps: int | None
):
    """Over random windows and holds: held days stay empty, and the year's nitrogen suffices."""
    limits = GENEROUS.replace('nitrogen_year = "4 lb', f'nitrogen_year = "{year}')
    read = files(
        lawn(more=limits), lawn("back", more=limits), shelf=granules() + IRON
    )  # fmt: skip
    advised = [] if perhaps is None else [advice(TODAY - timedelta(perhaps), amount=4.0)]
    rules = book(opens("feed", at_least=6), opens("iron", at_least=10), holds("feed, iron"))
    found = choices(read, rules, weather(gust=gusts, humidity=humid), advised)
    for choice in found:
        day = choice.day - PAST
        assert humid[day] == 0.6
        assert gusts[day] >= (6 if choice.task == "feed" else 10)
    assert read.site is not None
    counted = sums(read.site, read.shelf, read.journal, advised, TODAY)
    most = read_quantity(f"{year}/1000 ft2", Kind.MASS_PER_AREA)
    for name in ("front", "back"):
        had = counted.total(name, "nitrogen", TODAY.year)[1]
        new = sum(
            c.measured.grams_per_m2.get("nitrogen", 0.0)
            for c in found
            if c.lawn.name == name and c.measured is not None
        )
        assert not new or had + new <= most * (1 + 1e-9)


def test_same_arguments_same_plan():
    """The plan is pure: made twice, it is the same, to the last letter."""
    series = weather(rain=DRY)
    rules = book(opens(), waters(), holds())
    assert decide(rules=rules, series=series) == decide(rules=rules, series=series)


def test_planned_beyond_a_week_waits():
    """What opens in eight days is not this week's action: it waits, with that day named."""
    plan = decide(rules=book(opens(at_least=10)), series=weather(gust={8: 12.0}))
    found = action(plan)
    assert found.verdict is Verdict.WAIT
    assert found.look_again == date(2026, 5, 21)
    assert len(actions(plan)) == 1
    assert [n.likely for n in plan.next] == [date(2026, 5, 21)]
