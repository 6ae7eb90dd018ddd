"""The local law as a site file states it: when what is allowed, and the strictest of several."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ordinance_samples import NAMES, ordinance
from plan_cases import BARRIER, files, lawn
from site_samples import SITE

from advisor.series.quantity import FOOT
from advisor.site.law import WateringLaw, WateringTimes
from advisor.site.law_told import DEFER, told
from advisor.site.load import SiteFiles, read_site
from advisor.site.place import Site

FT2 = FOOT**2
LB = 4.8824
"""1 lb/1000 ft2 in g/m2 (T-LA-08)."""


def site_of(*lawns: str, more: str = "", house: int | None = None) -> Site:
    text = f"[place]\nhouse = {house}\n" if house is not None else ""
    read = files(*lawns, more=more) if house is None else _with_house(more, text)
    assert read.site is not None
    return read.site


def _with_house(more: str, place: str) -> SiteFiles:
    text = SITE.replace("[place]\n", place) + more
    read = read_site({"site.toml": text, "shelf.toml": "", "journal.txt": ""})
    assert not read.errors, read.errors
    return read


@pytest.mark.parametrize("name", NAMES)
def test_each_common_form_is_read_without_a_mistake(name: str) -> None:
    text = SITE.replace("[place]\n", "[place]\nhouse = 117\n") + ordinance(name)
    read = read_site({"site.toml": text, "shelf.toml": "", "journal.txt": ""})
    assert read.site is not None, read.errors
    lines = told(read.site)
    assert len(lines) >= 2
    assert lines[-1] == DEFER


WEEK = [date(2026, 6, 1) + timedelta(n) for n in range(7)]
"""Monday to Sunday, 1 to 7 June 2026."""


@pytest.mark.parametrize(
    ("house", "days"),
    [(117, ["wednesday", "saturday"]), (118, ["thursday", "sunday"])],
)
def test_odd_and_even_houses_have_days_of_their_own(house: int, days: list[str]) -> None:
    watering = site_of(more=ordinance("watering"), house=house).watering
    found = [f"{day:%A}".lower() for day in WEEK if watering.allows(day)]
    assert found == days


def test_a_house_whose_number_is_not_stated_is_under_both() -> None:
    """No day is both of the odd and of the even houses: nothing is allowed, and check says why."""
    rules = site_of(more=ordinance("watering"), house=117).watering_rules
    watering = WateringLaw(rules, None)
    assert not any(watering.allows(day) for day in WEEK)
    text = SITE + ordinance("watering")
    (first, _) = read_site({"site.toml": text, "shelf.toml": "", "journal.txt": ""}).errors
    assert "the number of your house is not stated" in first.what
    assert "house = 117" in first.hint


def test_winter_has_another_day() -> None:
    """From 2 November to 7 March one day a week; 7 November 2026 is a Saturday."""
    watering = site_of(more=ordinance("watering"), house=118).watering
    days = [date(2026, 11, 2) + timedelta(n) for n in range(7)]
    assert [day for day in days if watering.allows(day)] == [date(2026, 11, 7)]


def test_odd_dates_and_never_on_the_31st() -> None:
    watering = site_of(more=ordinance("odd-dates")).watering
    days = [date(2026, 5, 28) + timedelta(n) for n in range(8)]
    assert [day.day for day in days if watering.allows(day)] == [29, 1, 3]


def test_none_at_all_while_it_is_forbidden() -> None:
    more = '[[watering]]\nforbidden = true\nfrom = "07-01"\nto = "07-31"\n'
    watering = site_of(more=more).watering
    assert watering.allows(date(2026, 6, 30))
    assert not watering.allows(date(2026, 7, 1))


def test_hours_over_midnight_are_the_evening_and_the_morning() -> None:
    """4 in the afternoon to 10 in the morning: all day but the heat of it."""
    watering = site_of(more=ordinance("watering"), house=117).watering
    assert watering.spans(date(2026, 6, 6)) == ((0, 600), (960, 1440))


def test_a_morning_counts_only_where_its_evening_was_allowed() -> None:
    """The small hours of a Tuesday belong to the evening of Monday, which is no day of it."""
    more = '[watering]\nweekdays = ["tuesday", "wednesday"]\nhours = ["20:00-06:00"]\n'
    watering = site_of(more=more).watering
    assert watering.spans(date(2026, 6, 2)) == ((1200, 1440),)
    assert watering.spans(date(2026, 6, 3)) == ((0, 360), (1200, 1440))


def test_the_hours_of_two_rules_are_those_that_both_allow() -> None:
    more = '[[watering]]\nhours = ["04:00-09:00"]\n[[watering]]\nhours = ["00:00-06:30"]\n'
    watering = site_of(more=more).watering
    assert watering.spans(date(2026, 6, 2)) == ((240, 390),)


def test_two_rules_without_a_common_hour_bar_the_day() -> None:
    more = '[[watering]]\nhours = ["04:00-06:00"]\n[[watering]]\nhours = ["06:00-09:00"]\n'
    watering = site_of(more=more).watering
    assert watering.spans(date(2026, 6, 2)) == ()
    assert not watering.allows(date(2026, 6, 2))


def test_a_rule_of_one_lawn_binds_that_one() -> None:
    """Where no lawn is named the rules of all lawns hold."""
    more = '[[watering]]\nweekdays = ["monday"]\nlawns = ["back"]\n'
    watering = site_of(lawn(), lawn("back"), more=more).watering
    tuesday = date(2026, 6, 2)
    assert watering.allows(tuesday, "front")
    assert not watering.allows(tuesday, "back")
    assert not watering.allows(tuesday)


def test_one_table_is_read_as_one_of_several() -> None:
    """`[watering]` and a single `[[watering]]` say the same."""
    body = 'weekdays = ["tuesday"]\nhours = ["04:00-09:00"]\n'
    assert site_of(more="[watering]\n" + body) == site_of(more="[[watering]]\n" + body)


RULES = st.builds(
    WateringTimes,
    weekdays=st.lists(st.sampled_from(["monday", "tuesday", "sunday"]), max_size=2).map(tuple),
    dates=st.sampled_from([None, "odd", "even"]),
    not_on=st.lists(st.integers(1, 31), max_size=2).map(tuple),
    hours=st.lists(
        st.tuples(st.integers(0, 1439), st.integers(0, 1439)).filter(lambda s: s[0] != s[1]),
        max_size=2,
    ).map(tuple),
    houses=st.sampled_from([None, "odd", "even"]),
)  # fmt: skip

DAYS = st.dates(date(2026, 1, 1), date(2028, 12, 31))


def minutes(law: WateringLaw, day: date) -> set[int]:
    """The minutes of a day in which sprinklers may run."""
    if not law.allows(day):
        return set()
    spans = law.spans(day)
    if spans is None:
        return set(range(1440))
    return {minute for first, last in spans for minute in range(first, last)}


@given(st.lists(RULES, max_size=3), RULES, DAYS, st.none() | st.integers(1, 200))
def test_another_rule_never_allows_more(
    rules: list[WateringTimes], more: WateringTimes, day: date, house: int | None
) -> None:
    """What several rules allow is just what each of them allows."""
    before = minutes(WateringLaw(tuple(rules), house), day)
    alone = minutes(WateringLaw((more,), house), day)
    assert minutes(WateringLaw((*rules, more), house), day) == before & alone


@given(st.lists(RULES, max_size=3), DAYS, st.integers(1, 200))
def test_an_unknown_house_number_allows_no_more_than_any(
    rules: list[WateringTimes], day: date, house: int
) -> None:
    law = tuple(rules)
    assert minutes(WateringLaw(law, None), day) <= minutes(WateringLaw(law, house), day)


@pytest.mark.parametrize(
    ("ends", "free"),
    [("02-28", [False, False, True]), ("02-27", [False, True, True])],
)
def test_a_season_that_ends_with_february_has_its_29th(ends: str, free: list[bool]) -> None:
    """No rule can be written to the 29th; what holds through February holds on it."""
    more = (
        f'[[ban]]\ntitle = "Winter rule"\nnutrients = ["nitrogen"]\nfrom = "11-16"\nto = "{ends}"\n'
    )
    (ban,) = site_of(more=more).bans
    days = [date(2028, 2, 27), date(2028, 2, 29), date(2028, 3, 1)]
    assert [not ban.covers("front", day) for day in days] == free


def strip(more: str, law: str) -> float:
    """The setback [ft2] of a lawn of 6000 ft2 under a law."""
    ordinance_text = f'[[ordinance]]\ntitle = "Shore rule"\n{law}\n'
    return site_of(lawn(more=more), more=ordinance_text).lawns[0].setback_m2 / FT2


TEN = 'from_water = "10 ft"\nfrom_water_guarded = "3 ft"'


@pytest.mark.parametrize(
    ("more", "law", "area"),
    [
        # 60 ft of shore by 10 ft (Florida), 25 ft (New Jersey), 3 ft with a deflector (Florida)
        ('shore = "60 ft"', TEN, 600),
        ('shore = "60 ft"', 'from_water = "25 ft"', 1500),
        ('shore = "60 ft"\ndeflector = true', TEN, 180),
        # a deflector is of no use where the law knows none
        ('shore = "60 ft"\ndeflector = true', 'from_water = "10 ft"', 600),
        # the greater of what is stated and what follows
        ('shore = "60 ft"\nsetback = "200 ft2"', TEN, 600),
        ('shore = "60 ft"\nsetback = "900 ft2"', TEN, 900),
        ('shore = "0 ft"\nsetback = "900 ft2"', TEN, 900),
        ('shore = "0 ft"', TEN, 0),
        # no law, no strip
        ('shore = "60 ft"', "storms = true", 0),
    ],
)
def test_a_distance_from_water_takes_a_strip_off_the_lawn(more: str, law: str, area: float) -> None:
    assert strip(more, law) == pytest.approx(area, abs=1e-6)


def test_of_two_laws_the_farther_distance_holds() -> None:
    more = "".join(
        f'[[ordinance]]\ntitle = "{name}"\nfrom_water = "{feet} ft"\n'
        for name, feet in (("state", 25), ("county", 15))
    )
    one = site_of(lawn(more='shore = "60 ft"'), more=more).lawns[0]
    assert one.treated_m2 / FT2 == pytest.approx(6000 - 1500)


GENEROUS = (
    'nitrogen_once = "1.5 lb/1000 ft2"\nsoluble_once = "1 lb/1000 ft2"\n'
    'nitrogen_year = "4 lb/1000 ft2"'
)


def test_the_lesser_of_the_owners_limits_and_the_laws_holds() -> None:
    """Maryland: 0.9 lb at once and 0.7 lb soluble, whatever the owner states."""
    limits = site_of(lawn(more=GENEROUS), more=ordinance("maryland")).lawns[0]
    assert limits.nitrogen_once_g_m2 == pytest.approx(0.9 * LB, abs=1e-3)
    assert limits.soluble_once_g_m2 == pytest.approx(0.7 * LB, abs=1e-3)
    assert limits.nitrogen_limit_g_m2 == pytest.approx(4 * LB, abs=1e-3)
    stricter = GENEROUS.replace("1.5", "0.5").replace('"1 lb', '"0.4 lb')
    limits = site_of(lawn(more=stricter), more=ordinance("maryland")).lawns[0]
    assert limits.nitrogen_once_g_m2 == pytest.approx(0.5 * LB, abs=1e-3)
    assert limits.soluble_once_g_m2 == pytest.approx(0.4 * LB, abs=1e-3)


def test_a_laws_year_lowers_that_of_the_grass() -> None:
    """Tall fescue's default is 2.5 lb; a law of 2 lb is stricter, one of 3.2 lb is not."""
    for pounds, limit in ((2.0, 2.0), (3.2, 2.5)):
        more = f'[[ordinance]]\ntitle = "x"\nnitrogen_year = "{pounds} lb/1000 ft2"\n'
        found = site_of(lawn(), more=more).lawns[0]
        assert found.nitrogen_limit_g_m2 == pytest.approx(limit * LB, abs=1e-3)


def test_a_law_of_another_lawn_leaves_this_one_alone() -> None:
    more = '[[ordinance]]\ntitle = "x"\nnitrogen_once = "0.1 lb/1000 ft2"\nlawns = ["back"]\n'
    front, back = site_of(lawn(), lawn("back"), more=more).lawns
    assert front.nitrogen_once_g_m2 == pytest.approx(0.9 * LB, abs=1e-3)
    assert back.nitrogen_once_g_m2 == pytest.approx(0.1 * LB, abs=1e-3)


@pytest.mark.parametrize(
    ("extra", "line", "what", "hint"),
    [
        ('[[ban]]\ntitle = "x"\n', 1, "bans nothing", "nutrients"),
        (
            '[[ban]]\ntitle = "x"\nnutrients = ["nitrogen"]\nfrom = "06-01"\n', 1,
            "“to” is missing", "09-30",
        ),
        (
            '[[ban]]\ntitle = "x"\nnutrients = ["nitrogn"]\n', 3,
            "no word that is known", "nitrogen",
        ),
        (
            '[[ban]]\ntitle = "x"\nnutrients = ["nitrogen"]\nunless = ["soil-test"]\n', 4,
            "only phosphorus is freed", "phosphorus",
        ),
        ('[[ordinance]]\ntitle = "x"\nstorm = true\n', 3, "“storm”", "storms"),
        ('[ordinance]\ntitle = "x"\n', 1, "stands for one of several", "[[ordinance]]"),
        (
            '[[ordinance]]\ntitle = "x"\nfrom_water_guarded = "3 ft"\n', 3,
            "without a deflector is missing", "10 ft",
        ),
        (
            '[[ordinance]]\ntitle = "x"\nfrom_water = "3 ft"\nfrom_water_guarded = "10 ft"\n', 4,
            "cannot be more than from_water", "lesser",
        ),
        ('[[ordinance]]\ntitle = "x"\nlawns = ["bck"]\n', 3, "“bck”", "back"),
        ('[[watering]]\nnot_on = [32]\n', 2, "at most 31", "31"),
        ('[watering]\nweekday = ["monday"]\n', 2, "“weekday”", "weekdays"),
        ('[watering]\nweekdays = ["mondy"]\n', 2, "“mondy”", "monday"),
        ('[[watering]]\nhouses = "odd"\n', 2, "number of your house", "house = 117"),
        ('[[watering]]\nfrom = "03-01"\n', 1, "“to” is missing", "09-30"),
        ('[[watering]]\nhours = ["18:00-24:00"]\n', 2, "the end of a day is 00:00", "hours"),
        ('[watering]\ndates = "odd"\n[[watering]]\nnot_on = [31]\n', 3,
         "“watering” stands here once more", "[[watering]]"),
        ('[watering]\ndates = "odd"\ndates = "even"\n[free]\n', 3,
         "“dates” stands here once more", "once"),
        (
            '[[ordinance]]\ntitle = "x"\nnutrients = ["phosphorus"]\n'
            'nitrogen_once = "0.5 lb/1000 ft2"\n', 4, "limits nitrogen", "nutrients",
        ),
        (
            '[[ordinance]]\ntitle = "x"\nnutrients = ["nitrogen"]\n'
            'phosphate_year = "0.5 lb/1000 ft2"\n', 4, "limits phosphorus", "nutrients",
        ),
    ],
)  # fmt: skip
def test_a_mistake_is_told_with_its_line_and_a_way_out(
    extra: str, line: int, what: str, hint: str
) -> None:
    read = read_site({"site.toml": SITE + extra, "shelf.toml": "", "journal.txt": ""})
    assert read.site is None
    found = [p for p in read.errors if p.line == SITE.count("\n") + line]
    assert any(what in p.what and hint in p.hint for p in found), "\n".join(map(str, read.errors))


def test_a_shore_that_leaves_nothing_is_a_mistake() -> None:
    text = SITE.replace('setback = "200 ft2"', 'shore = "500 ft"')
    text += '[[ordinance]]\ntitle = "x"\nfrom_water = "25 ft"\n'
    (found,) = read_site({"site.toml": text, "shelf.toml": "", "journal.txt": ""}).errors
    assert (found.line, "leaves nothing" in found.what) == (15, True)


def test_a_lawn_of_which_nobody_said_whether_it_has_a_shore_is_asked_about() -> None:
    """The front states a setback; of the back nothing is stated."""
    text = SITE + '[[ordinance]]\ntitle = "x"\nfrom_water = "25 ft"\n'
    read = read_site({"site.toml": text, "shelf.toml": "x = 1", "journal.txt": ""})
    (found,) = [p for p in read.problems if p.warning and p.file == "site.toml"]
    assert "how much of back lies along water" in found.what
    assert 'shore = "60 ft"' in found.hint


def test_the_law_is_told_as_it_was_understood() -> None:
    text = SITE.replace("[place]\n", "[place]\nhouse = 117\n")
    text = text.replace('soil = "sand"', 'soil = "sand"\nshore = "20 ft"')
    text += ordinance("florida-county") + ordinance("watering") + ordinance("odd-dates")
    site = read_site({"site.toml": text, "shelf.toml": "", "journal.txt": ""}).site
    assert site is not None
    assert told(site) == (
        "Rainy season rule: no nitrogen or phosphorus from 1 June to 30 September.",
        "Phosphorus rule: no phosphorus at any time of the year; a soil test that says low frees"
        " phosphorus.",
        "County fertilizer ordinance: at least 50% of the nitrogen slow-release.",
        "County fertilizer ordinance: at most 0.25 lb/1000 ft² of phosphate in one application.",
        "County fertilizer ordinance: at most 0.50 lb/1000 ft² of phosphate in a year.",
        "County fertilizer ordinance: no nitrogen or phosphorus for 30 days after seeding or"
        " sodding.",
        "County fertilizer ordinance: no nitrogen or phosphorus before 2.00 in of rain or more"
        " within 24 hours.",
        "County fertilizer ordinance: no nitrogen or phosphorus while a storm, flood or tropical"
        " watch or warning is in force.",
        "County fertilizer ordinance: nothing within 10 ft of water, 3 ft with a deflector or drop"
        " spreader.",
        "back: 20 ft of shore by 10 ft is 200 ft²; 200 ft² is left out of every dose.",
        "Odd numbers for odd house numbers: on Wednesday and Saturday, from 8 March to 1 November.",
        "Even numbers for even house numbers: on Thursday and Sunday, from 8 March to 1 November.",
        "Winter: on Saturday, from 2 November to 7 March.",
        "Not in the heat: from 16:00 to 10:00.",
        "Odd dates: on odd dates, not on the 31st, from 00:00 to 08:00 or 20:00 to 00:00.",
        DEFER,
    )


@pytest.mark.parametrize(
    ("banned", "hint"),
    [("prodiamin", "Did you mean “prodiamine”?"), ("prodiamine", ""), ("glyphosate", "")],
)
def test_a_ban_that_misspells_an_ingredient_of_the_shelf_is_told(banned: str, hint: str) -> None:
    """Written otherwise than on the shelf, an ingredient would be free of its ban."""
    site = SITE + f'[[ban]]\ntitle = "x"\nactives = ["{banned}"]\n'
    read = read_site({"site.toml": site, "shelf.toml": BARRIER, "journal.txt": ""})
    assert read.errors == ()
    told = [problem for problem in read.problems if f"“{banned}”" in problem.what]
    assert [problem.hint for problem in told] == ([hint] if hint else [])


@pytest.mark.parametrize(
    ("more", "what"),
    [
        ("", ""),
        ('[weather]\nwatches = "us-national-service"\n', "no ordinance here speaks of storms"),
        (
            '[weather]\nwatches = "us-national-service"\nrecorded = "weather"\n[[ordinance]]\n'
            'title = "x"\nstorms = true\n',
            "no service knows them for recorded weather",
        ),
        (
            '[weather]\nwatches = "us-national-service"\n[[ordinance]]\ntitle = "x"\n'
            "storms = true\n",
            "",
        ),
    ],
)
def test_a_service_for_watches_that_is_of_no_use_is_told(more: str, what: str) -> None:
    read = read_site({"site.toml": SITE + more, "shelf.toml": "x = 1", "journal.txt": ""})
    assert read.site is not None
    told_of = [p.what for p in read.problems if p.warning and p.file == "site.toml"]
    assert len(told_of) == bool(what)
    assert all(what in one for one in told_of)


@pytest.mark.parametrize(
    ("more", "journal", "hints"),
    [
        ("", "", ('watches = "us-national-service"', "watch until DATE")),
        ('[weather]\nrecorded = "weather"\n', "", ("watch until DATE",)),
        ("", "2026-01-05 all watch over\n", ()),
        ('[weather]\nwatches = "us-national-service"\n', "", ()),
    ],
)
def test_watches_of_which_nothing_tells_are_warned_of(
    more: str, journal: str, hints: tuple[str, ...]
) -> None:
    """Once, at the line of the law, with what to write."""
    law = '[[ordinance]]\ntitle = "x"\nstorms = true\n'
    read = read_site({
        "site.toml": SITE + law + law + more, "shelf.toml": "x = 1",
        "journal.txt": "journal from 2026-01-01\n" + journal,
    })  # fmt: skip
    assert read.site is not None
    found = [p for p in read.problems if p.warning and p.file == "site.toml"]
    assert len(found) == bool(hints)
    for one in found:
        assert (
            one.what == "storms: nothing here tells of watches and warnings, so none holds anything"
        )
        assert one.text == "storms = true" and one.hint.count("watch") == len(hints) + 1
        assert all(hint in one.hint for hint in hints)


@pytest.mark.parametrize(
    ("end", "named"),
    [('soil = "loam"', "soil"), ('soil="clay"  # a', "soil"), ('"soil" = "loam"', "soil")],
)
def test_a_key_that_stands_twice_where_nothing_ends_the_last_line(end: str, named: str) -> None:
    read = read_site({"site.toml": SITE + end, "shelf.toml": "", "journal.txt": ""})
    (problem,) = [p for p in read.errors if "stands here once more" in p.what]
    assert problem.what == f"“{named}” stands here once more"
    assert problem.line == SITE.count("\n") + 1
    assert not any("too early" in p.what for p in read.errors)


@pytest.mark.parametrize("end", ['title2 = "x', "title2 = [1,", 'title2 = """x'])
def test_what_is_not_closed_is_still_told_so(end: str) -> None:
    read = read_site({"site.toml": SITE + end, "shelf.toml": "", "journal.txt": ""})
    assert any("the file ends too early" in p.what for p in read.errors)
