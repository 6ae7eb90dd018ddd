"""Common ordinances over dates, products and lawns: what is held, what is free, what is unknown."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given as for_all
from hypothesis import settings
from hypothesis import strategies as st
from ordinance_samples import ordinance
from plan_cases import (
    AHEAD,
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
    given,
    granules,
    lawn,
    moment,
    opens,
    waters,
    weather,
)

from advisor.conditions.site_weather import site_weather
from advisor.plan.compose import make_plan
from advisor.plan.dose import Measured, Refusal, measure
from advisor.plan.restrict import Restriction, UnderLaw
from advisor.plan.view import Setting, View
from advisor.series.hourly import Series
from advisor.series.quantity import FOOT
from advisor.series.watches import Watch, Watches
from advisor.site.events import Advised
from advisor.site.load import SiteFiles
from advisor.site.sums import sums

OLD = "journal from 2020-01-01\n"
"""A journal that begins long ago, so that nothing of the past is unknown."""

SHELF = (
    granules("quick", "26-0-3")
    + granules("half-slow", "26-0-3", more='slow_release = "50%"')
    + granules("fifth-slow", "26-0-3", more='slow_release = "20%"')
    + granules("with-phosphorus", "18-24-12", more='slow_release = "50%"')
    + granules("bone", "0-10-0").replace('["feed"]', '["lime"]')
    + BARRIER
)
"""A shelf with each kind of product that the ordinances part."""

PRODUCTS = ("quick", "half-slow", "fifth-slow", "with-phosphorus", "bone", "barrier")


def of_law(
    read: SiteFiles,
    product: str,
    day: date,
    series: Series | None = None,
    *,
    on: int = 0,
    advised: tuple[Advised, ...] = (),
    watches: Watches | None = None,
    now: datetime | None = None,
) -> list[Restriction]:
    """All restrictions of the law on a product, from a decision made on `day`."""
    assert read.site is not None
    now = now or moment(day)
    shared = site_weather(series or weather(today=day), read.site, now)
    assert shared is not None
    counted = sums(read.site, read.shelf, read.journal, advised, day)
    setting = Setting(read.site, read.shelf, book(opens()), shared, now, watches)
    view = View(setting, read.site.lawns[on], counted, np.zeros(len(setting.days)))
    found = read.shelf.get(product)
    assert found is not None
    table = view.facts.table
    laws = UnderLaw(read.site, view.lawn, found, table, counted, now, watches)
    return list(laws.restrictions())


def held(
    read: SiteFiles, product: str, day: date, series: Series | None = None, **more
) -> set[str]:  # type: ignore[no-untyped-def]
    """The names of the restrictions that hold a product on the day itself."""
    return {r.name for r in of_law(read, product, day, series, **more) if r.held[PAST]}


def under(name: str, *lawns: str, journal: str = OLD, today: date = TODAY) -> SiteFiles:
    return files(*lawns, shelf=SHELF, journal=journal, more=ordinance(name), today=today)


CLOSED, SLOW = {"closed-season"}, {"slow-release-by-law"}

TABLE = [
    # Maryland 8-803.5: no nitrogen or phosphorus before 1 March or after 15 November
    ("maryland", "02-28", "quick", CLOSED),
    ("maryland", "03-01", "quick", set()),
    ("maryland", "11-15", "quick", set()),
    ("maryland", "11-16", "quick", CLOSED),
    ("maryland", "01-10", "barrier", set()),
    # phosphorus only on a soil test, and here is none
    ("maryland", "05-01", "with-phosphorus", CLOSED),
    ("maryland", "05-01", "bone", CLOSED),
    # New Jersey 58:10A-62: 1 March to 15 November; at least 20 % slow-release
    ("new-jersey", "02-28", "half-slow", CLOSED),
    ("new-jersey", "03-01", "half-slow", set()),
    ("new-jersey", "03-01", "fifth-slow", set()),
    ("new-jersey", "03-01", "quick", SLOW),
    ("new-jersey", "11-15", "fifth-slow", set()),
    ("new-jersey", "11-16", "quick", CLOSED | SLOW),
    ("new-jersey", "05-01", "with-phosphorus", set()),
    # Minnesota 18C.60: no phosphorus without need or a first season, all year; nitrogen is free
    ("minnesota", "01-10", "quick", set()),
    ("minnesota", "05-01", "quick", set()),
    ("minnesota", "05-01", "with-phosphorus", CLOSED),
    ("minnesota", "10-01", "bone", CLOSED),
    ("minnesota", "05-01", "barrier", set()),
    # Florida counties: none 1 June to 30 September; 50 % slow-release
    ("florida-county", "05-31", "half-slow", set()),
    ("florida-county", "06-01", "half-slow", CLOSED),
    ("florida-county", "09-30", "half-slow", CLOSED),
    ("florida-county", "10-01", "half-slow", set()),
    ("florida-county", "10-01", "fifth-slow", SLOW),
    ("florida-county", "07-04", "quick", CLOSED | SLOW),
    ("florida-county", "07-04", "barrier", set()),
    ("florida-county", "04-01", "with-phosphorus", CLOSED),
]


@pytest.mark.parametrize(("law", "day", "product", "names"), TABLE)
def test_ordinances_by_date_and_product(law: str, day: str, product: str, names: set[str]) -> None:
    on = date.fromisoformat(f"2026-{day}")
    assert held(under(law, today=on), product, on) == names


def test_a_law_of_one_lawn_leaves_the_other_free() -> None:
    more = ordinance("florida-county").replace(
        "[[ordinance]]", '[[ordinance]]\nlawns = ["back"]'
    )  # fmt: skip
    read = files(lawn(), lawn("back"), shelf=SHELF, journal=OLD, more=more)
    assert held(read, "quick", TODAY) == set()
    assert held(read, "quick", TODAY, on=1) == SLOW


@pytest.mark.parametrize(
    ("line", "on", "free"),
    [
        # Minnesota takes a test of at most three years
        ("2024-05-01 front tested phosphorus low", "2026-05-13", True),
        ("2023-05-13 front tested phosphorus low", "2026-05-13", True),
        ("2023-05-12 front tested phosphorus low", "2026-05-13", False),
        ("2024-05-01 front tested phosphorus enough", "2026-05-13", False),
        ("2024-05-01 front tested lime needed", "2026-05-13", False),
        # a later line that cannot be read may say otherwise
        (
            "2024-05-01 front tested phosphorus low\n2025-05-01 front tested phosphorus lwo",
            "2026-05-13", False,
        ),
        # a first season: sod was laid this year, and not last year
        ("2026-04-20 front laid tall fescue", "2026-05-13", True),
        ("2025-10-20 front laid tall fescue", "2026-05-13", False),
        # seed into a standing lawn is no new lawn
        ("2026-04-20 front seeded with tall fescue", "2026-05-13", False),
    ],
)  # fmt: skip
def test_what_frees_phosphorus_in_minnesota(line: str, on: str, free: bool) -> None:
    read = under("minnesota", journal=f"{OLD}{line}\n")
    assert held(read, "with-phosphorus", date.fromisoformat(on)) == (set() if free else CLOSED)


def test_a_lawn_that_is_stated_to_be_new_is_free_in_its_year() -> None:
    read = under("minnesota", lawn(more="established = 2026-04-15"))
    assert held(read, "bone", date(2026, 4, 14)) == CLOSED
    assert held(read, "bone", date(2026, 4, 15)) == set()
    assert held(read, "bone", date(2027, 3, 1)) == CLOSED


def test_a_test_frees_phosphorus_and_not_the_nitrogen_beside_it() -> None:
    """In the rainy season both are banned; the test frees from the all-year rule alone."""
    journal = f"{OLD}2026-02-01 front tested phosphorus low\n"
    june, april = date(2026, 6, 10), date(2026, 4, 10)
    assert held(under("florida-county", journal=journal), "with-phosphorus", june) == CLOSED
    assert held(under("florida-county", journal=journal), "with-phosphorus", april) == set()
    both = files(
        shelf=SHELF, journal=journal,
        more='[[ban]]\ntitle = "x"\nnutrients = ["nitrogen", "phosphorus"]\n'
        'unless = ["soil-test"]\n',
    )  # fmt: skip
    assert held(both, "with-phosphorus", april) == CLOSED
    assert held(both, "bone", april) == set()


@pytest.mark.parametrize(
    ("says", "caught"),
    [
        ('tasks = ["pre-emergent"]', {"barrier"}),
        ('actives = ["prodiamine"]', {"barrier"}),
        ('nutrients = ["potassium"]', {"quick", "half-slow", "fifth-slow", "with-phosphorus"}),
        ('tasks = ["feed"]', {"quick", "half-slow", "fifth-slow", "with-phosphorus"}),
        ('nutrients = ["iron"]', set()),
    ],
)
def test_a_ban_by_task_ingredient_or_other_nutrient(says: str, caught: set[str]) -> None:
    read = files(shelf=SHELF, journal=OLD, more=f'[[ban]]\ntitle = "x"\n{says}\n')
    assert {name for name in PRODUCTS if held(read, name, TODAY)} == caught


FLORIDA_OPEN = date(2026, 4, 10)
"""A day outside the rainy season."""

NEW_TURF = {"new-turf-by-law"}


@pytest.mark.parametrize(
    ("line", "names"),
    [
        # none in the first 30 days: the thirtieth day after it is free again
        ("2026-03-12 front seeded with tall fescue", NEW_TURF),
        ("2026-03-11 front seeded with tall fescue", set()),
        ("2026-03-12 front laid tall fescue", NEW_TURF),
        ("2026-03-11 front laid tall fescue", set()),
        ("2026-04-10 front laid tall fescue", NEW_TURF),
    ],
)
def test_thirty_days_after_seed_or_sod(line: str, names: set[str]) -> None:
    read = under("florida-county", journal=f"{OLD}{line}\n", today=FLORIDA_OPEN)
    assert held(read, "half-slow", FLORIDA_OPEN) == names
    assert held(read, "barrier", FLORIDA_OPEN) == set()


def one(found: list[Restriction], name: str) -> Restriction:
    (restriction,) = [r for r in found if r.name == name]
    return restriction


def test_seed_that_was_perhaps_sown_holds_and_says_so() -> None:
    read = under("florida-county", today=FLORIDA_OPEN)
    seed = advice(date(2026, 4, 1), task="overseed", product=None)
    found = one(of_law(read, "half-slow", FLORIDA_OPEN, advised=(seed,)), "new-turf-by-law")
    assert found.held[PAST] and found.unknown[PAST]


def test_a_young_journal_cannot_tell_that_nothing_was_sown() -> None:
    read = under("florida-county", journal="journal from 2026-04-01\n", today=FLORIDA_OPEN)
    found = one(of_law(read, "half-slow", FLORIDA_OPEN), "new-turf-by-law")
    assert found.held[PAST] and found.unknown[PAST]
    assert "last overseed" in found.missing
    told = "journal from 2026-04-01\n2026-04-01 front last overseed 2025-09-10\n"
    read = under("florida-county", journal=told, today=FLORIDA_OPEN)
    assert not one(of_law(read, "half-slow", FLORIDA_OPEN), "new-turf-by-law").held[PAST]


HEAVY = {"heavy-rain-by-law"}


@pytest.mark.parametrize(
    ("rain", "names"),
    [
        ({}, set()),
        # 2 in or more within 24 hours: 50.8 mm
        ({0: 50.8}, HEAVY),
        ({0: 50.7}, set()),
        ({1: 50.8}, HEAVY),
        ({2: 90.0}, set()),
        # it may fall over midnight
        ({0: 25.4, 1: 25.4}, HEAVY),
    ],
)
def test_heavy_rain_in_sight(rain: dict[int, float], names: set[str]) -> None:
    read = under("florida-county", today=FLORIDA_OPEN)
    series = weather(today=FLORIDA_OPEN, rain=rain)
    assert held(read, "half-slow", FLORIDA_OPEN, series) == names


def test_rain_that_nobody_knows_holds() -> None:
    read = under("new-jersey")
    series = weather()
    rain = series.column("rain").copy()
    rain[(PAST + 1) * 24 + 5] = np.nan
    gap = Series(series.start, {**series.columns, "rain": rain}, series.source)
    found = one(of_law(read, "half-slow", TODAY, gap), "heavy-rain-by-law")
    assert found.held[PAST : PAST + 3].tolist() == [True, True, False]
    assert found.unknown[PAST : PAST + 2].all()
    # nor is the day after the forecast's last one known
    assert found.held[PAST + AHEAD - 1] and found.unknown[PAST + AHEAD - 1]


def storm_days(read: SiteFiles, watches: Watches | None = None, now: datetime = NOW) -> list[int]:
    """Days from today on which the storm law holds."""
    found = one(of_law(read, "half-slow", TODAY, watches=watches, now=now), "storm-watch")
    return [int(n) for n in np.flatnonzero(found.held[PAST:])]


STORM_LAW = '[[ordinance]]\ntitle = "County ordinance"\nstorms = true\n'


def stormy(*lines: str, more: str = "") -> SiteFiles:
    journal = OLD + "".join(f"{line}\n" for line in lines)
    return files(lawn(), lawn("back"), shelf=SHELF, journal=journal, more=STORM_LAW + more)


@pytest.mark.parametrize(
    ("lines", "days"),
    [
        ((), []),
        (("2026-05-13 all watch until 2026-05-14",), [0, 1]),
        (("2026-05-10 all watch until 2026-05-12",), []),
        (("2026-05-10 all watch until 2026-05-13", "2026-05-11 all watch until 2026-05-15"),
         [0, 1, 2]),
        (("2026-05-11 all watch until 2026-05-20", "2026-05-13 all watch over"), []),
        (("2026-05-12 all watch over", "2026-05-13 all watch until 2026-05-13"), [0]),
        (("2026-05-13 back watch until 2026-05-14",), []),
        # undone: it was a slip
        (("2026-05-13 all watch until 2026-05-14", "2026-05-13 all undo 2026-05-13 watch"), []),
    ],
)  # fmt: skip
def test_what_the_journal_tells_of_watches(lines: tuple[str, ...], days: list[int]) -> None:
    assert storm_days(stormy(*lines)) == days


def test_a_line_on_a_watch_that_cannot_be_read_holds_until_it_is_mended() -> None:
    found = one(
        of_law(stormy("2026-01-13 all watch untill 2026-01-14"), "half-slow", TODAY), "storm-watch"
    )
    assert found.held[PAST:].all() and found.unknown[PAST:].all()
    assert "cannot be read" in found.missing


def test_a_line_of_which_nothing_can_be_read_holds_for_two_weeks() -> None:
    """It may have told of a watch, and few last longer."""
    assert storm_days(stormy("2026-05-10 all wacth until 2026-05-14")) == list(range(10))
    assert storm_days(stormy("2026-05-01 all wacth until 2026-05-14")) == [0, 1]
    assert storm_days(stormy("2026-04-28 all wacth until 2026-05-14")) == []


def test_a_law_without_storms_asks_nothing_of_them() -> None:
    read = under("maryland", journal=f"{OLD}2026-05-13 all watch until 2026-05-14\n")
    assert held(read, "quick", TODAY) == set()


SERVICE = '[weather]\nwatches = "us-national-service"\n'


def look(*found: Watch, ago: timedelta = timedelta(0), failure: str = "") -> Watches:
    return Watches(NOW - ago, found, failure)


def at(day: int, hour: int) -> datetime:
    return datetime(2026, 5, 13, tzinfo=UTC) + timedelta(days=day, hours=hour)


@pytest.mark.parametrize(
    ("watches", "days"),
    [
        (look(), []),
        (look(Watch("Flood Watch", at(0, 8), at(1, 20))), [0, 1]),
        # 3 h in Greenwich on the 15th is still the 14th in New York
        (look(Watch("Flood Watch", at(1, 8), at(2, 3))), [1]),
        (look(Watch("Flood Watch", None, at(0, 20))), [0]),
        (look(Watch("Flood Watch", at(2, 8), None)), list(range(2, AHEAD))),
        (look(Watch("Flood Watch", at(-3, 8), at(-1, 8))), []),
        # no look, one that failed, one that is too old, one from the future: nobody knows
        (None, list(range(AHEAD))),
        (look(failure="The service is having trouble."), list(range(AHEAD))),
        (look(ago=timedelta(hours=12)), []),
        (look(ago=timedelta(hours=12, minutes=1)), list(range(AHEAD))),
        (look(ago=timedelta(hours=-1)), list(range(AHEAD))),
    ],
)
def test_what_a_look_at_the_service_tells(watches: Watches | None, days: list[int]) -> None:
    assert storm_days(stormy(more=SERVICE), watches) == days


def test_a_failed_look_is_unknown_and_says_why() -> None:
    read = stormy(more=SERVICE)
    failed = look(failure="The service is having trouble.")
    found = one(of_law(read, "half-slow", TODAY, watches=failed), "storm-watch")
    assert found.unknown[PAST:].all()
    assert found.missing == "The service is having trouble"


def test_the_owner_is_heard_beside_the_service() -> None:
    """A quiet look does not lift what the owner wrote, and `watch over` not what the look found."""
    read = stormy("2026-05-13 all watch until 2026-05-14", more=SERVICE)
    assert storm_days(read, look()) == [0, 1]
    read = stormy("2026-05-13 all watch over", more=SERVICE)
    assert storm_days(read, look(Watch("Hurricane Watch", None, at(0, 20)))) == [0]


LAWS = ("maryland", "new-jersey", "minnesota", "florida-county")


@for_all(
    st.lists(st.sampled_from(LAWS), min_size=1, max_size=4, unique=True),
    st.sampled_from(PRODUCTS),
    st.dates(date(2026, 1, 1), date(2026, 12, 31)),
)
@settings(max_examples=40, deadline=None)
def test_another_law_never_frees(laws: list[str], product: str, day: date) -> None:
    """Under several laws is held what any of them holds."""
    series = weather(today=day)

    @cache
    def under_all(some: tuple[str, ...]) -> frozenset[str]:
        text = "".join(map(ordinance, some))
        read = files(shelf=SHELF, journal=OLD, more=text, today=day)
        return frozenset(held(read, product, day, series))

    def names(some: list[str]) -> frozenset[str]:
        return under_all(tuple(some))

    whole = names(laws)
    assert whole == frozenset().union(*(names([law]) for law in laws))
    for fewer, more in pairwise(range(len(laws) + 1)):
        assert names(laws[:fewer]) <= names(laws[:more])


def dose(read: SiteFiles, product: str = "with-phosphorus") -> Measured | Refusal:
    assert read.site is not None
    found = read.shelf.get(product)
    assert found is not None
    counted = sums(read.site, read.shelf, read.journal, (), TODAY)
    return measure(found, read.site.lawns[0], read.site, counted, TODAY, task="feed")


PHOSPHATE = granules("with-phosphorus", "20-10-5", rate="5 lb/1000 ft2")


def limits(law: str, *lines: str, more: str = GENEROUS) -> SiteFiles:
    journal = OLD + "".join(f"{line}\n" for line in lines)
    text = f'[[ordinance]]\ntitle = "County ordinance"\n{law}\n'
    return files(lawn(more=more), shelf=PHOSPHATE, journal=journal, more=text)


def test_the_laws_phosphate_at_once_limits_the_dose() -> None:
    """0.25 lb of P2O5 (Florida) in a product of 10 %: 2.5 lb of it on 1000 ft2, 15 lb on 6000."""
    found = dose(limits('phosphate_once = "0.25 lb/1000 ft2"'))
    assert isinstance(found, Measured)
    assert found.dose.amount_text == "15.0 lb"
    assert found.dose.limited_by == "the law's limit for phosphate at once"
    assert found.grams_per_m2["phosphorus"] <= 0.25 * 4.88243 * 0.4364


def test_the_laws_phosphate_of_a_year_counts_what_was_put_down() -> None:
    """0.5 lb a year: 3 lb on 1000 ft2 brought 0.3 lb, so 0.2 lb is left: less than half of what
    goes down at once, which is not worth a trip."""
    law = 'phosphate_once = "0.5 lb/1000 ft2"\nphosphate_year = "0.5 lb/1000 ft2"'
    found = dose(limits(law, "2026-04-01 front applied 18 lb of with-phosphorus"))
    assert isinstance(found, Refusal)
    assert "the law's limit for phosphate in a year" in found.why
    found = dose(limits(law, "2026-04-01 front applied 12 lb of with-phosphorus"))
    assert isinstance(found, Measured)
    assert found.dose.amount_text == "18.0 lb"


def test_a_year_of_which_nobody_knows_the_phosphorus_refuses() -> None:
    read = limits('phosphate_year = "0.5 lb/1000 ft2"')
    read = replace(read, journal=replace(read.journal, start=date(2026, 3, 1)))
    found = dose(read)
    assert isinstance(found, Refusal) and found.unknown


def test_a_liquid_is_limited_by_its_weight() -> None:
    """10 lb/gal at 10 % P2O5 brings 1 lb a gallon: 0.25 lb is a quart, 32 fl oz, on 1000 ft2."""
    shelf = (
        '[[product]]\nname = "with-phosphorus"\nserves = ["feed"]\nform = "liquid"\n'
        'analysis = "10-10-5"\nrate = "60 fl oz/1000 ft2"\ndensity = "10 lb/gal"\n'
    )
    law = '[[ordinance]]\ntitle = "x"\nphosphate_once = "0.25 lb/1000 ft2"\n'
    found = dose(files(lawn(more=GENEROUS), shelf=shelf, journal=OLD, more=law))
    assert isinstance(found, Measured)
    assert found.dose.rate_text in ("32.0 fl oz/1000 ft²", "31.9 fl oz/1000 ft²")


def test_the_strip_along_water_is_in_no_dose_and_in_its_steps() -> None:
    """60 ft of shore by 10 ft leave 5400 of 6000 ft2: 27 lb at 5 lb/1000 ft2."""
    law = 'from_water = "10 ft"\nfrom_water_guarded = "3 ft"'
    found = dose(limits(law, more=f'{GENEROUS}\nshore = "60 ft"'))
    assert isinstance(found, Measured)
    assert found.dose.area_m2 / FOOT**2 == pytest.approx(5400)
    assert found.dose.amount_text == "27.0 lb"
    (step,) = [step for step in found.dose.steps if "Stay at least" in step]
    assert step == (
        "Stay at least 10 ft from the edge of any water, ditch or drain (County ordinance); local"
        " code overrides this page."
    )
    found = dose(limits(law, more=f'{GENEROUS}\nshore = "60 ft"\ndeflector = true'))
    assert isinstance(found, Measured)
    assert found.dose.area_m2 / FOOT**2 == pytest.approx(5820)
    assert any(
        "at least 3 ft" in step and "deflector" in step and "10 ft without one" in step
        for step in found.dose.steps
    )


FEEDS = granules("half-slow", "26-0-3", more='slow_release = "50%"')


def test_the_go_line_asks_for_what_the_law_asks() -> None:
    more = STORM_LAW + 'heavy_rain = "2 in"\n'
    said = action(decide(files(shelf=FEEDS, journal=OLD, more=more))).go_line
    assert "no storm, flood or tropical watch or warning in force" in said
    assert "less than 2.00 in of rain expected within 24 hours" in said
    assert "storm" not in action(decide(files(shelf=FEEDS, journal=OLD))).go_line


def test_a_wait_names_the_law_and_its_source() -> None:
    journal = f"{OLD}2026-05-13 all watch until 2026-05-30\n"
    more = STORM_LAW + 'source = "county code 12"\n'
    found = action(decide(files(shelf=FEEDS, journal=journal, more=more)))
    assert (found.verdict, found.rule) == ("wait", "storm-watch")
    assert "County ordinance: no nitrogen" in found.because
    assert found.source == "county code 12"


def test_a_watch_puts_the_feeding_off_to_the_first_day_after_it() -> None:
    journal = f"{OLD}2026-05-13 all watch until 2026-05-14\n"
    found = action(decide(files(shelf=FEEDS, journal=journal, more=STORM_LAW)))
    assert (found.verdict, found.day) == ("apply", date(2026, 5, 15))


def test_a_plan_without_a_look_waits_where_one_is_wanted() -> None:
    read = files(shelf=FEEDS, journal=OLD, more=STORM_LAW + SERVICE)
    plan = decide(read)
    assert action(plan).verdict == "wait"
    assert "It cannot be ruled out" in action(plan).because
    assert "the service for storm watches was not asked" in plan.unknown[0].why
    looked = replace(given(read, book(opens()), weather()), watches=look())
    assert action(make_plan(looked, NOW)).verdict == "apply"


DRY_LAWN = {"rain": 0.0, "radiation": 300.0}


def dry(more: str) -> SiteFiles:
    return files(lawn(more='irrigated = true\nroots = "4 in"'), journal=OLD, more=more)


@pytest.mark.parametrize(
    ("more", "day", "hours"),
    [
        # 13 May 2026 is a Wednesday
        ("", date(2026, 5, 13), ("06:00", "08:00")),
        (ordinance("odd-dates"), date(2026, 5, 13), ("06:00", "08:00")),
        ('[watering]\ndates = "even"\n', date(2026, 5, 14), ("04:00", "08:00")),
        (
            '[[watering]]\ndates = "even"\n[[watering]]\nweekdays = ["thursday", "saturday"]\n'
            '[[watering]]\nhours = ["00:00-06:00"]\n',
            date(2026, 5, 14), ("00:00", "06:00"),
        ),
        (
            '[[watering]]\nforbidden = true\nfrom = "05-01"\nto = "05-15"\n',
            date(2026, 5, 16), ("04:00", "08:00"),
        ),
    ],
)  # fmt: skip
def test_water_is_planned_on_the_days_and_hours_of_all_rules(
    more: str, day: date, hours: tuple[str, str]
) -> None:
    plan = decide(dry(more), book(waters()))
    found = actions(plan, "watering")[0]
    assert (found.verdict, found.day, (found.start, found.end)) == ("water", day, hours)


@pytest.mark.parametrize(
    ("more", "because"),
    [
        (
            '[[watering]]\ntitle = "Drought notice"\nforbidden = true\nsource = "notice 3"\n',
            "No watering is allowed on Wed May 13 (Drought notice).",
        ),
        (
            '[[watering]]\nhours = ["04:00-06:00"]\nsource = "notice 3"\n'
            '[[watering]]\nhours = ["06:00-08:00"]\n',
            "Your watering rules leave no hour of Wed May 13.",
        ),
    ],
)
def test_a_day_without_water_says_which_rule_bars_it(more: str, because: str) -> None:
    found = action(decide(dry(more), book(waters())), "watering")
    assert found.verdict == "wait"
    assert found.because == because
    assert found.source == "notice 3"


def test_a_feeding_put_off_beyond_the_week_names_the_law_that_holds_it() -> None:
    """It is planned for later, and not only for that: until then the watch holds it."""
    journal = f"{OLD}2026-05-13 all watch until 2026-05-20\n"
    found = action(decide(files(shelf=FEEDS, journal=journal, more=STORM_LAW)))
    assert (found.verdict, found.look_again) == ("wait", date(2026, 5, 21))
    assert found.reasons[0].startswith("County ordinance: no nitrogen while a storm")
    assert all("ordinance" not in reason for reason in action(decide()).reasons)


@pytest.mark.parametrize(
    ("more", "lines", "told"),
    [
        ("", (), True),
        ("", ("2026-04-10 all watch over",), False),
        ('[weather]\nwatches = "us-national-service"\n', (), False),
    ],
)
def test_watches_that_nobody_looks_up_are_said_beside_the_work(
    more: str, lines: tuple[str, ...], told: bool
) -> None:
    """Only the owner can know of them then; the line to check that morning asks in any case."""
    read = stormy(*lines, more=more)
    looked = replace(given(read, book(opens()), weather()), watches=Watches(NOW, ()))
    found = action(make_plan(looked, NOW))
    assert "no storm, flood or tropical watch or warning in force" in found.go_line
    assert any("are not looked up here" in each for each in found.cautions) is told
    assert action(decide(files(), book(opens()), weather())).cautions == ()


def test_the_title_of_a_law_that_may_hold_stays_as_it_is_written() -> None:
    law = '[[ordinance]]\ntitle = "County Ordinance 7"\nheavy_rain = "2 in"\n'
    read = files(shelf=SHELF, journal=OLD, more=law)
    unknown = weather(rain=np.full(24 * 40, np.nan))
    told = str(make_plan(given(read, book(opens()), unknown), moment(TODAY)).model_dump())
    assert "It cannot be ruled out: County Ordinance 7: no " in told
    assert "county Ordinance" not in told
