"""Small made-up weather, sites, shelves and rules for the tests of conditions and plan.

Nothing in here is agronomy. Windows of the made-up rules open by gusts and are held by humidity,
which nothing else of a plan depends on, so that a test can say day by day what is open and held.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from advisor.plan.compose import Given, make_plan
from advisor.plan.model import Action, Plan
from advisor.rulebook.book import Rulebook, RuleFile
from advisor.rulebook.read import read_rulebook
from advisor.series.hourly import Series, Source
from advisor.site.events import Advised
from advisor.site.load import SiteFiles, read_site

Floats = NDArray[np.float64]

ZONE = "America/New_York"
TODAY = date(2026, 5, 13)
"""A Wednesday on which no clock changes for months."""

PAST = 30
"""Days of the made-up weather before today."""

AHEAD = 10
"""Days from today on."""

Spec = float | Sequence[float] | Mapping[int, float] | Floats | None


def weather(
    *,
    today: date = TODAY,
    past: int = PAST,
    ahead: int = AHEAD,
    zone: str = ZONE,
    fetched: datetime | None = None,
    rain: Mapping[int, float] | Floats | None = None,
    rain_at: Mapping[tuple[int, int], float] | None = None,
    skip_hours: int = 0,
    **columns: Spec,
) -> Series:
    """An hourly series over whole local days, from `past` days before today.

    Days are counted from today. A column is a number, a number by day from today on in a sequence
    or mapping (other days keep the usual one), an array of all hours, or None for a column that is
    not there. `rain` by day falls from 2 to 3 at night, `rain_at` in the hour that begins at
    (day, hour). `skip_hours` leaves out the first hours.
    """
    place = ZoneInfo(zone)
    first, last = today - timedelta(past), today + timedelta(ahead)
    start = datetime.combine(first, time(), place).astimezone(UTC)
    start = start.replace(minute=0) if not start.minute else start.replace(minute=0) + _HOUR
    hours = int((datetime.combine(last, time(), place).astimezone(UTC) - start) / _HOUR)
    if start + hours * _HOUR < datetime.combine(last, time(), place).astimezone(UTC):
        hours += 1
    local = [(start + n * _HOUR).astimezone(place) for n in range(hours)]
    day = np.array([(moment.date() - today).days for moment in local])
    hour = np.array([moment.hour for moment in local])
    swing = np.cos((hour - 15) / 24 * 2 * np.pi)
    usual: dict[str, Floats] = {
        "air_temp": 18 + 6 * swing,
        "dew_point": np.full(hours, 9.0),
        "humidity": np.full(hours, 0.6),
        "rain": np.zeros(hours),
        "rain_chance": np.zeros(hours),
        "wind": np.full(hours, 2.0),
        "gust": np.full(hours, 4.0),
        "radiation": np.maximum(0.0, 700 * swing),
        "snow_depth": np.zeros(hours),
    } | {f"soil_temp_{depth}": np.full(hours, 16.0) for depth in (0, 6, 18, 54)}
    if isinstance(rain, np.ndarray):
        usual["rain"] = rain
    elif rain:
        rain_at = {(on, 2): mm for on, mm in rain.items()} | dict(rain_at or {})
    for (on, at), mm in (rain_at or {}).items():
        usual["rain"][(day == on) & (hour == at)] += mm
    for name, spec in columns.items():
        if spec is None:
            del usual[name]
        elif isinstance(spec, np.ndarray):
            usual[name] = spec
        elif isinstance(spec, float | int):
            usual[name] = np.full(hours, float(spec))
        else:
            by_day = spec if isinstance(spec, Mapping) else dict(enumerate(spec))
            for on, value in by_day.items():
                usual[name][day == on] = value
    kept = {name: column[skip_hours:] for name, column in usual.items()}
    given = fetched or moment(today, "05:00", zone)
    return Series(start + skip_hours * _HOUR, kept, Source("made-up weather", given))


_HOUR = timedelta(hours=1)


def moment(day: date = TODAY, clock: str = "06:00", zone: str = ZONE) -> datetime:
    """An instant of a local day."""
    return datetime.combine(day, time.fromisoformat(clock), ZoneInfo(zone))


NOW = moment()


def lawn(
    name: str = "front", area: str = "6000 ft2", grass: str = "tall-fescue", more: str = ""
) -> str:
    """A lawn's table as its owner writes it."""
    return (
        f'[[lawn]]\nname = "{name}"\ngrass = "{grass}"\narea = "{area}"\nsoil = "clay-loam"\n'
        f"{more}\n"
    )


GENEROUS = (
    'nitrogen_once = "1 lb/1000 ft2"\nsoluble_once = "1 lb/1000 ft2"\n'
    'nitrogen_year = "4 lb/1000 ft2"'
)
"""Limits of a lawn that a test wants out of the way."""


def granules(
    name: str = "granules",
    analysis: str = "28-3-6",
    rate: str | None = "5 lb/1000 ft2",
    more: str = "",
) -> str:
    """A plain fertilizer as its owner writes it."""
    stated = f'rate = "{rate}"\n' if rate else ""
    return (
        f'[[product]]\nname = "{name}"\nserves = ["feed"]\nform = "granular"\n'
        f'analysis = "{analysis}"\n{stated}{more}\n'
    )


BARRIER = """\
[[product]]
name = "barrier"
serves = ["pre-emergent"]
form = "granular"
actives = { prodiamine = "0.4%" }
grasses = []
rate = "4 lb/1000 ft2"
rate_year = "8 lb/1000 ft2"
interval = "60 days"
reentry = "until the dust has settled"
signal_word = "caution"
restricted_use = false
"""


def files(
    *lawns: str,
    shelf: str = "",
    journal: str = "journal from 2026-01-01\n",
    more: str = "",
    today: date | None = TODAY,
    units: str = "us",
    zone: str = ZONE,
    latitude: float = 40.0,
) -> SiteFiles:
    """A site's files, read; its tables of bans and watering times come in `more`."""
    site = (
        f'id = "made-up"\ntitle = "Made-up place"\nunits = "{units}"\n[place]\n'
        f'latitude = {latitude}\nlongitude = -79.0\nelevation = "500 ft"\nzone = "{zone}"\n'
        + "".join(lawns or (lawn(more=GENEROUS),))
        + more
    )
    read = read_site(
        {"site.toml": site, "shelf.toml": shelf or granules(), "journal.txt": journal}, today=today
    )
    errors = [p for p in read.problems if not p.warning and p.file != "journal.txt"]
    assert not errors, errors
    return read


def book(*rules: str) -> Rulebook:
    """Rules as text, checked."""
    found = read_rulebook([RuleFile("test.rules", "\n".join(rules))])
    assert not found.problems, found.problems
    return found


def opens(task: str = "feed", at_least: float = 3.0, at_most: float = 400.0, name: str = "") -> str:
    """A window that is open while gusts [m/s] lie between two numbers; 4 is what is usual."""
    return (
        f"opens {name or 'open-' + task} for {task}\n"
        f"  while   gust between {at_least * 3.6:.1f} km/h and {min(at_most, 110) * 3.6:.1f} km/h\n"
        f"  says    The window of {task} is open.\n  source  made up\n"
    )


def holds(task: str = "feed", name: str = "") -> str:
    """A hold while humidity is at least 90 %; it usually is 60 %."""
    return (
        f"holds {name or 'hold-' + task.split()[0].strip(',')} for {task}\n"
        "  while   humidity at least 90%\n  says    Too humid.\n  source  made up\n"
    )


def waters() -> str:
    """Water as soon as the root zone lacks what the grass begins to miss."""
    return (
        "waters thirst for watering\n  while   depletion at least stress_line\n"
        "  says    The root zone is dry.\n  source  made up\n"
    )


def given(
    read: SiteFiles, rules: Rulebook, series: Series | None, advised: Sequence[Advised] = ()
) -> Given:
    """What a decision is made from; problems of the owner's files as the service hands them on."""
    assert read.site is not None
    return Given(
        site=read.site,
        shelf=read.shelf,
        journal=read.journal,
        book=rules,
        series=series,
        advised=advised,
        attribution="made up",
        attribution_url="https://weather.example.org",
        problems=tuple(f"{p.file}, line {p.line}: {p.what}" for p in read.problems),
    )


def decide(
    read: SiteFiles | None = None,
    rules: Rulebook | None = None,
    series: Series | None = None,
    advised: Sequence[Advised] = (),
    now: datetime = NOW,
) -> Plan:
    """A plan from what a test says, and from the usual for all else."""
    return make_plan(
        given(read or files(), rules or book(opens()), series or weather(), advised), now
    )


def without_weather(read: SiteFiles, advised: Sequence[Advised] = (), now: datetime = NOW) -> Plan:
    """A plan for which no forecast was ever fetched."""
    return make_plan(replace(given(read, book(opens()), None), advised=advised), now)


def advice(
    day: date,
    *,
    issued: date | None = None,
    task: str = "feed",
    product: str | None = "granules",
    amount: float = 9.0,
    on: str = "front",
) -> Advised:
    """An action that a digest announced; `amount` in kg, or in mm of water."""
    return Advised(
        f"{task}/{on}/{day}", issued or day - timedelta(3), on, task, product, day, amount
    )


def action(plan: Plan, task: str = "feed", on: str = "front") -> Action:
    """The first action of a task on a lawn."""
    return next(a for lawn in plan.lawns if lawn.name == on for a in lawn.actions if a.task == task)


def actions(plan: Plan, task: str = "feed", on: str = "front") -> list[Action]:
    """All actions of a task on a lawn."""
    return [a for lawn in plan.lawns if lawn.name == on for a in lawn.actions if a.task == task]
