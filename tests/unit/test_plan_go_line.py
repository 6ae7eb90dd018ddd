"""The line to check on the morning: what a person reads on the spot, in numbers of label and rules,
and what to do where it fails."""

from __future__ import annotations

import pytest
from plan_cases import NOW, action, book, decide, files, granules, opens, waters, weather
from plan_cases import given as made

from advisor.plan.compose import Given, usable_weather
from advisor.plan.fold import walk
from advisor.plan.go_line import WATER_GO, go_line
from advisor.plan.view import Setting
from advisor.site.sums import sums

HOLD = "holds {name} for {what}{hourly}\n{lines}\n  says No.\n  source made up\n"


def hold(*lines: str, what: str = "feed", hourly: bool = True, name: str = "gusty") -> str:
    told = "\n".join(f"  {'and' if n else 'while'} {line}" for n, line in enumerate(lines))
    return HOLD.format(
        name=name, what=what, hourly=" hour by hour" if hourly else "", lines=told
    )  # fmt: skip


def line(*rules: str, label: str = "", units: str = "us") -> str:
    site = files(shelf=granules(more=label), units=units)
    return action(decide(site, book(opens(), *rules), weather())).go_line


@pytest.mark.parametrize(("rules", "label", "expected"), [
    ((), "", ""),
    ((), 'wind_max = "10 mph"', "wind under 10 mph"),
    ((hold("wind more than 8 mph"),), 'wind_max = "10 mph"', "wind under 8 mph"),
    ((hold("wind more than 12 mph"),), 'wind_max = "10 mph"', "wind under 10 mph"),
    ((hold("wind more than 12 mph"), hold("wind more than 9 mph", name="b")), "",
     "wind under 9 mph"),
    # The second line lets go in a calm: the first is the stricter reading, and the one to check.
    ((hold("wind more than 10 mph or gust more than 15 mph", "wind at least 5 mph"),), "",
     "wind under 10 mph, gusts under 15 mph"),
    ((hold("air_temp at least 85 F"),), "", "air under 85 °F"),
    ((hold("air_temp at least 95 F"),), 'air_max = "90 F"', "air under 90 °F"),
    ((hold("air_temp less than 40 F"),), "", "air above 40 °F"),
    # What cannot be read beside the shed, or hangs on it, is left to the forecast.
    ((hold("wind more than 8 mph", "humidity at least 90%"),), "", ""),
    ((hold("heat_index at least 103 F"),), "", ""),
    ((hold("wind more than 8 mph", what="iron"),), "", ""),
    ((hold("wind more than 8 mph", what="granules-to-water-in"),), "", "wind under 8 mph"),
    ((hold("wind more than 8 mph", what="spray"),), "", ""),
])  # fmt: skip
def test_numbers_of_label_and_rules(rules: tuple[str, ...], label: str, expected: str):
    """The stricter of the label's and the rules' limits, each by its name."""
    begin = "Go only with no rain falling or close, "
    end = "grass dry and not frosted, soil firm underfoot; else leave it until Thu May 14."
    assert line(*rules, label=label) == begin + (f"{expected}, " if expected else "") + end


def test_in_the_owner_s_units():
    """A site that reads metric numbers gets them."""
    rule = hold("wind more than 18 km/h or air_temp at least 30 C")
    assert "wind under 18 km/h, air under 30.0 °C, " in line(rule, units="metric")


def test_what_must_stay_dry():
    """A label with dry hours asks for as long without rain; what sticks to leaves may want them
    wet, which its label says."""
    told = line(label="dry_hours = 24")
    assert told.startswith("Go only with no rain falling, and none told for 24 hours, ")
    assert "leaves wet or dry as the label asks" in told


@pytest.mark.parametrize(("gust", "more", "end"), [
    ({0: 12.0, 3: 12.0}, "", "; else leave it until Sat May 16."),
    ({0: 12.0}, "", "; else try again from 12:00."),
    ({0: 12.0}, '[free]\nhours = ["07:00-12:00"]\n', "; else leave it, since no second choice is"
                                                     " left."),
])  # fmt: skip
def test_what_to_do_instead(gust: dict[int, float], more: str, end: str):
    """It ends in the second choice, or says that there is none."""
    found = action(decide(files(more=more), book(opens(at_least=10)), weather(gust=gust)))
    assert found.go_line.endswith(end)


def test_water_is_left_to_the_rain():
    found = action(decide(rules=book(waters()), series=weather(rain={-12: 60.0})), "watering")
    assert found.go_line == WATER_GO


def test_official_watches_stand_in_it():
    """What law calls a watch is one more thing to look for."""
    read = files()
    given: Given = made(read, book(opens()), weather())
    found = usable_weather(given, NOW)
    assert read.site is not None
    assert found is not None
    setting = Setting(read.site, read.shelf, given.book, found, NOW)
    counted = sums(read.site, read.shelf, read.journal, (), found.daily.days[found.daily.today])
    (choice,) = walk(setting, counted, NOW, {}).choices
    assert "soil firm underfoot, no flood watch; else" in go_line(
        choice, setting, ("no flood watch",)
    )
