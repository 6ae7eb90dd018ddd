"""The season ahead over made-up years whose dates the test knows."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given as cases
from hypothesis import settings
from hypothesis import strategies as st
from plan_cases import (
    BARRIER,
    GENEROUS,
    NOW,
    advice,
    book,
    files,
    given,
    granules,
    lawn,
    moment,
    opens,
    weather,
)
from season_cases import FIRST_YEAR, RULE, WARM, day_of, only_lawn, past, season_given

from advisor.plan.ahead import look_at_season
from advisor.plan.buying import BEFORE
from advisor.plan.coming import told_by_digest
from advisor.plan.compose import make_plan
from advisor.plan.model import Next
from advisor.site.lawns import Lawn

TEN = (0, 3, 6, 9, 12, 15, 18, 21, 24, 27)
NEW_YEAR = date(2026, 1, 1)


def test_the_date_is_the_middle_year_and_the_interval_eight_of_ten() -> None:
    ahead = look_at_season(season_given(past(TEN)), moment(NEW_YEAR))
    assert ahead is not None and ahead.known_to is None
    (window,) = only_lawn(ahead).windows
    opens = window.opens
    # Weibull: the tenth of eleven gaps lies at rank 1.1, the ninth at 9.9.
    assert opens.likely in (day_of(2026, WARM[0] + 13), day_of(2026, WARM[0] + 14))
    assert opens.earliest == day_of(2026, WARM[0])
    assert opens.latest == day_of(2026, WARM[0] + 27)
    assert (opens.years, opens.came, opens.holds) == (10, 10, 0.8)
    assert window.standing == "coming" and window.task == "feed" and window.rule == "warm"
    assert window.closes is not None
    assert window.closes.earliest == day_of(2026, WARM[1] - 1)


def test_few_years_say_how_little_they_hold() -> None:
    ahead = look_at_season(season_given(past(TEN[:5])), moment(NEW_YEAR))
    (window,) = only_lawn(ahead).windows
    assert window.opens.holds == pytest.approx(4 / 6, abs=0.001)


@pytest.mark.parametrize("years", [None, past(TEN[:4])])
def test_too_few_years_tell_nothing(years: object) -> None:
    assert look_at_season(season_given(years), moment(NEW_YEAR)) is None  # type: ignore[arg-type]


def test_what_this_year_has_shown_is_in_it() -> None:
    """It is warm since the tenth day before today: open now, and the past says until when."""
    today = day_of(2026, WARM[0])
    hot = weather(today=today, air_temp=dict.fromkeys(range(-10, 10), 25.0) | {-30: 5.0})
    ahead = look_at_season(season_given(past(TEN), series=hot), moment(today))
    (window,) = only_lawn(ahead).windows
    assert window.standing == "open"
    assert window.opened is not None and window.opened < today
    assert window.closes is not None and window.closes.latest == day_of(2026, WARM[1] + 26)


def test_what_the_forecast_shows_comes_first() -> None:
    today = day_of(2026, 60)
    warm = weather(today=today, air_temp={n: 4.0 if n < 5 else 25.0 for n in range(-30, 10)})
    ahead = look_at_season(season_given(past(TEN), series=warm), moment(today))
    (window,) = only_lawn(ahead).windows
    assert window.standing == "forecast"
    assert window.opens.earliest == window.opens.likely == window.opens.latest
    assert window.opens.likely == today + timedelta(5)


def test_what_is_over_is_next_years() -> None:
    ahead = look_at_season(season_given(past(TEN)), moment(date(2026, 11, 20)))
    (window,) = only_lawn(ahead).windows
    assert window.opens.earliest == day_of(2027, WARM[0])


def test_what_was_done_waits_for_its_interval() -> None:
    """A rule that wants a hundred days since the last one opens behind them."""
    rules = book(RULE.replace("30 days", "100 days"))
    done = day_of(2026, WARM[0] + 20)
    read = files(journal=f"journal from 2026-01-01\n{done}  front  applied 20 lb of granules\n",
                 today=done + timedelta(1))  # fmt: skip
    ahead = look_at_season(season_given(past([0] * 9), rules, read), moment(done + timedelta(1)))
    (window,) = only_lawn(ahead).windows
    assert window.last_done == done
    assert window.opens.likely == done + timedelta(101)


def test_advice_that_nobody_answered_counts_as_done() -> None:
    rules = book(RULE.replace("30 days", "100 days"))
    day = day_of(2026, WARM[0] + 20)
    asked = season_given(past([0] * 9), rules, advised=[advice(day)])
    (window,) = only_lawn(look_at_season(asked, moment(day + timedelta(2)))).windows
    assert window.perhaps_done == day and window.last_done is None
    assert window.opens.likely == day + timedelta(101)


def test_years_in_which_it_never_opens_are_counted() -> None:
    rules = book(RULE.replace("air_max at least 20 C", "spring_heat at least 1100 C.d"))
    years = past([0] * 8 + [200] * 2)
    (window,) = only_lawn(look_at_season(season_given(years, rules), moment(NEW_YEAR))).windows
    assert (window.opens.came, window.opens.years) == (8, 10)
    assert "In 2 of 10 years it did not open." in window.text


def test_a_window_for_who_sees_something_stands_apart_and_asks_for_nothing() -> None:
    rules = book(
        RULE.replace("days since feed more than 30 days", "days since pale at most 9 days")
    )
    found = only_lawn(look_at_season(season_given(past(TEN), rules), moment(NEW_YEAR)))
    assert found.windows == ()
    (window,) = found.perhaps
    assert window.wants == ("pale",) and window.buy is None
    assert "where you see pale grass" in window.text


def test_a_second_half_comes_so_long_behind_the_first() -> None:
    second = RULE.replace("opens warm", "opens again").replace(
        "days since feed more than 30 days", "days since feed between 42 days and 63 days"
    )
    ahead = look_at_season(season_given(past([0] * 9), book(RULE, second)), moment(NEW_YEAR))
    (first,) = only_lawn(ahead).windows
    (again,) = only_lawn(ahead).perhaps
    assert again.opens.likely - first.opens.likely == timedelta(42)
    assert again.wants == ("feed",)


def test_a_closed_season_moves_what_it_covers_and_is_named() -> None:
    ban = (
        '[[ban]]\ntitle = "Spring rule"\nnutrients = ["nitrogen"]\nfrom = "03-01"\nto = "06-15"\n'
        '[[ban]]\ntitle = "No feeding"\ntasks = ["feed"]\nfrom = "06-16"\nto = "06-20"\n'
    )
    hold = (
        "holds closed for feed\n  while   nitrogen_law is closed\n  says    Closed.\n"
        "  source  made up\n"
    )
    told_of = season_given(past(TEN), book(RULE, hold), files(more=ban))
    found = only_lawn(look_at_season(told_of, moment(NEW_YEAR)))
    assert found.windows[0].opens.earliest == date(2026, 6, 21)
    assert [(c.title, c.first, c.last) for c in found.closed] == [
        ("Spring rule", date(2026, 3, 1), date(2026, 6, 15)),
        ("No feeding", date(2026, 6, 16), date(2026, 6, 20)),
    ]


def test_frost_is_told_with_its_first_and_its_last_night() -> None:
    found = only_lawn(look_at_season(season_given(past(TEN)), moment(NEW_YEAR)))
    frost = next(mark for mark in found.marks if mark.name == "frost")
    assert frost.ends is not None and frost.starts is not None
    assert frost.ends.earliest == day_of(2026, WARM[0] - 1)
    assert frost.starts.earliest == day_of(2026, WARM[1])
    assert frost.starts.latest == day_of(2026, WARM[1] + 27)


def test_what_to_have_is_there_two_weeks_before() -> None:
    read = files(shelf=granules(more='bag = "20 lb"'))
    ahead = look_at_season(season_given(past(TEN), read=read), moment(NEW_YEAR))
    (window,) = only_lawn(ahead).windows
    assert window.buy is not None and window.buy.product == "granules"
    assert window.buy.by == window.opens.earliest - BEFORE
    assert window.buy.amount_unit == "kg" and window.buy.bag_text == "20 lb"
    assert ahead is not None
    (line,) = ahead.shopping
    assert line.by == window.buy.by and "of 20 lb" in line.bag_text
    assert " in all, one pass in each window, for " in line.text


def test_a_later_dose_is_what_the_earlier_one_leaves_of_the_year() -> None:
    """The lawn may have one dose and a bit a year: the second season of it asks for another lawn's
    limit, or nothing."""
    twice = RULE.replace("air_max at least 20 C", "air_max between 8 C and 20 C")
    limits = 'nitrogen_once = "1 lb/1000 ft2"\nnitrogen_year = "1.2 lb/1000 ft2"'
    read = files(lawn(more=limits + '\nsoluble_once = "1 lb/1000 ft2"'))
    found = only_lawn(
        look_at_season(season_given(past(TEN), book(RULE, twice.replace("warm", "cool")), read),
                       moment(date(2026, 3, 1)))
    )  # fmt: skip
    bought = [window.buy for window in found.windows if window.buy is not None]
    assert sum(buy.product == "granules" for buy in bought) == 1


def shop(task: str, _lawn: Lawn, _by: date) -> str:
    return f"some {task}"


def test_where_the_shelf_has_nothing_a_class_is_named() -> None:
    read = files(shelf=granules().replace('["feed"]', '["lime"]'))
    ahead = look_at_season(
        season_given(past(TEN), read=read),
        moment(NEW_YEAR),
        shop=shop,
    )
    (window,) = only_lawn(ahead).windows
    assert window.buy is not None and window.buy.product is None
    assert window.buy.title == "some feed"


def test_a_digest_tells_of_the_next_one_of_each_task() -> None:
    ahead = look_at_season(season_given(past(TEN)), moment(day_of(2026, WARM[0] - 50)))
    assert ahead is not None
    (one,) = told_by_digest(ahead)
    assert (one.task, one.lawn) == ("feed", "front")
    assert one.earliest == day_of(2026, WARM[0])
    far = look_at_season(season_given(past(TEN)), moment(NEW_YEAR))
    assert far is not None and told_by_digest(far) == ()


def test_south_of_the_equator_the_years_run_as_they_do_there() -> None:
    read = files(latitude=-37.0)
    ahead = look_at_season(season_given(past(TEN, warm=(250, 350)), read=read), moment(NEW_YEAR))
    (window,) = only_lawn(ahead).windows
    assert window.opens.earliest == day_of(2026, 250)


@settings(max_examples=25, deadline=None)
@cases(
    st.integers(0, 364),
    st.lists(st.integers(-20, 20), min_size=5, max_size=6),
    st.sets(st.integers(0, 1800), max_size=40),
)
def test_whatever_day_it_is_dates_are_in_order_and_ahead(
    number: int, later: list[int], unknown: set[int]
) -> None:
    """Holes in the past widen nothing backwards: what is told lies ahead and in order."""
    years = past(later)
    for row in unknown:
        for column in (years.air_max, years.air_min, years.rain):
            column[row % len(column)] = np.nan
    today = day_of(2026, number)
    found = only_lawn(look_at_season(season_given(years), moment(today)))
    for window in (*found.windows, *found.perhaps):
        assert today <= window.opens.earliest <= window.opens.likely <= window.opens.latest
        assert window.opens.came <= window.opens.years <= len(later)
        assert window.buy is None or today <= window.buy.by <= max(today, window.opens.earliest)
    for mark in found.marks:
        for dates in (mark.starts, mark.ends):
            assert dates is None or today <= dates.earliest <= dates.likely <= dates.latest
    assert years.first.year == FIRST_YEAR


@pytest.mark.parametrize(
    ("today", "first", "last"),
    [
        (date(2026, 7, 15), date(2026, 11, 16), date(2027, 2, 28)),
        (date(2026, 11, 28), date(2026, 11, 16), date(2027, 2, 28)),
        (date(2027, 2, 28), date(2026, 11, 16), date(2027, 2, 28)),
    ],
)
def test_a_closed_season_is_told_whole_and_once(today: date, first: date, last: date) -> None:
    ban = '[[ban]]\ntitle = "Winter"\nnutrients = ["nitrogen"]\nfrom = "11-16"\nto = "02-28"\n'
    told_of = season_given(past(TEN), read=files(more=ban))
    (closed,) = only_lawn(look_at_season(told_of, moment(today))).closed
    assert (closed.first, closed.last) == (first, last)


def test_a_ban_all_year_is_told_from_today() -> None:
    ban = '[[ban]]\ntitle = "None ever"\nnutrients = ["phosphorus"]\n'
    told_of = season_given(past(TEN), read=files(more=ban))
    (closed,) = only_lawn(look_at_season(told_of, moment(NEW_YEAR))).closed
    assert (closed.first, closed.last) == (NEW_YEAR, date(2026, 12, 31))


@pytest.mark.parametrize(
    ("condition", "said"),
    [
        ("air_max at least 50 C", "in none of these years"),
        ("air_max at least -20 C", "open nearly all year"),
        ("wind at least 3 km/h", "past days lack a fact"),
        ("soil is moist\n  and     lime_test is needed", "test of the lawn is not in the journal"),
    ],
)
def test_a_window_without_a_date_says_why(condition: str, said: str) -> None:
    rules = book(RULE.replace("air_max at least 20 C", condition))
    found = only_lawn(look_at_season(season_given(past(TEN), rules), moment(NEW_YEAR)))
    assert found.windows == ()
    (text,) = found.silent
    assert said in text and "warm" in text


def test_what_the_forecast_shows_stands_for_what_past_years_say() -> None:
    """A task that the plan has chosen a day for is not told of once more; another lawn's is."""
    ahead = look_at_season(
        season_given(past(TEN), read=files(lawn(), lawn("back"))), moment(day_of(2026, 90))
    )
    assert ahead is not None
    coming = told_by_digest(ahead)
    assert [one.lawn for one in coming] == ["back", "front"]
    rules = book(opens(at_least=3.0))  # open for front and back alike
    made = given(files(lawn(more=GENEROUS), lawn("back", more=GENEROUS)), rules, weather())
    assert make_plan(replace(made, coming=coming), NOW).next == ()
    shut = given(files(lawn(), lawn("back")), book(opens(at_least=50.0)), weather())
    told = make_plan(replace(shut, coming=coming), NOW).next
    assert told == coming


def test_what_a_window_wants_is_bought_before_it_can_open() -> None:
    """By the earliest date of past years, not by the likely one."""
    soon = Next(
        lawn="front", lawn_title="front", task="feed", text="Feeding, by 10 past years.",
        likely=NOW.date() + timedelta(24), earliest=NOW.date() + timedelta(10), latest=None,
    )  # fmt: skip
    shut = given(files(shelf=BARRIER), book(opens(at_least=50.0)), weather(rain={-3: 50.0}))
    (wanted,) = make_plan(replace(shut, coming=(soon,)), NOW).shop
    assert (wanted.task, wanted.by) == ("feed", soon.earliest)
