"""Past weather over the whole path: a real server, turns of the service, facts of a decision."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from demo_year import FOLDER, demo_site, morning, read_on
from weather_server import Query, WeatherServer, archive_document, document

from advisor.conditions.facts import lawn_facts
from advisor.conditions.site_weather import SiteWeather, site_weather
from advisor.plan.compose import Given, make_plan
from advisor.service import decide as deciding
from advisor.service.archive import look_up, next_look, year_turned
from advisor.service.decide import decide
from advisor.service.places import place_key
from advisor.service.turn import Turn
from advisor.service.weather import refresh
from advisor.site.place import Mail, Place, Site
from advisor.site.sums import sums
from advisor.store.database import Store
from advisor.weather.archive import ARCHIVE_URL, OpenArchive
from advisor.weather.credit import ATTRIBUTION, PAST_ATTRIBUTION, RECORDED_CREDIT
from advisor.weather.errors import Unreachable

AIR = 12.0
"""Air temperature of every hour: two degree-days a day over the base of 10 C."""

MAY = datetime(2026, 5, 20, 16, 0, tzinfo=UTC)
NEW_YORK = (36.55, -80.35, "America/New_York")
ADELAIDE = (-34.93, 138.6, "Australia/Adelaide")
SEASONS = {
    "New York": (NEW_YORK, date(2026, 1, 1), date(2026, 5, 20)),
    "Adelaide, half an hour off, and south": (ADELAIDE, date(2025, 7, 1), date(2026, 5, 21)),
    "Kolkata, half an hour off": (
        (22.57, 88.36, "Asia/Kolkata"), date(2026, 1, 1), date(2026, 5, 20)
    ),
    "St. John's, half an hour off, and west": (
        (47.56, -52.71, "America/St_Johns"), date(2026, 1, 1), date(2026, 5, 20)
    ),
    "Kiritimati, fourteen hours ahead": (
        (1.87, -157.4, "Pacific/Kiritimati"), date(2026, 1, 1), date(2026, 5, 21)
    ),
}  # fmt: skip
"""Where, the day on which the season's sums begin there, and the local date of MAY."""


@dataclass
class Home:
    """A site on a server of this machine, and its state. `nulls` are hours (by their ends) of
    which the archive knows no air temperature; `ahead_only` is a forecast service without a
    past."""

    state: Path
    server: WeatherServer
    where: tuple[float, float, str] = NEW_YORK
    now: datetime = MAY
    nulls: set[datetime] = field(default_factory=set)
    past_to: datetime | None = None
    ahead_only: bool = False

    def __post_init__(self) -> None:
        self.server.body = self._body
        latitude, longitude, zone = self.where
        demo = demo_site()
        weather = demo.weather.model_copy(
            update={
                "recorded": None,
                "base_url": self.server.url,
                "archive_url": self.server.archive_url,
            }
        )
        place = Place.model_validate(
            {"latitude": latitude, "longitude": longitude, "elevation": "950 ft", "zone": zone}
        )
        mail = Mail.model_validate(
            {"from": "lawn@home.example", "to": ["ada@home.example"], "maildir": "mail"}
        )
        self.site: Site = demo.model_copy(
            update={"weather": weather, "demo": None, "place": place, "mail": mail}
        )

    def _body(self, query: Query) -> bytes:
        archive = "start_date" in query
        body: Any = archive_document(query) if archive else document(query, self.now)
        rows = body.get("hourly", {})
        if "temperature_2m" in rows:
            ends = [datetime.fromtimestamp(time, UTC) for time in rows["time"]]
            rows["temperature_2m"] = [None if self._unknown(end, archive) else AIR for end in ends]
        return json.dumps(body).encode()

    def _unknown(self, end: datetime, archive: bool) -> bool:
        if archive:
            return end in self.nulls or (self.past_to is not None and end > self.past_to)
        return self.ahead_only and end <= self.now

    def store(self) -> Store:
        return Store(self.state / "swardcast.sqlite3")

    def look(self, now: datetime | None = None) -> None:
        """What a digest at the terminal does before it decides."""
        self.now = now or self.now
        with self.store() as store:
            assert refresh(self.site, FOLDER, store, self.now, {}) == ""

    def turn(self, now: datetime) -> list[str]:
        self.now = now
        assert self.site.mail is not None
        day = now.astimezone(self.site.place.zone_info).date()
        with self.store() as store:
            turn = Turn(self.site, self.site.mail, read_on(day), store, self.state, now, {})
            return turn.run()

    def wake_at(self) -> datetime:
        with self.store() as store:
            return datetime.fromtimestamp(int(store.recall(self.site.id, "wake_at") or 0), UTC)

    def live(self, first: datetime, last: datetime) -> list[str]:
        """Turns from waking to waking."""
        now, said = first, []
        while now <= last:
            said += self.turn(now)
            assert self.wake_at() > now
            now = self.wake_at()
        return said

    def nights(self, count: int) -> None:
        """Looks of a night, each when the one before wanted it."""
        for _ in range(count):
            with self.store() as store:
                planned = next_look(self.site, store)
            assert planned is not None and planned > self.now
            self.look(planned)

    def hours(self) -> list[tuple[date, date]]:
        """Spans of days of which the archive was asked the hours, in order."""
        return self._spans("hourly")

    def days(self) -> list[tuple[date, date]]:
        """The same, of past years."""
        return self._spans("daily")

    def _spans(self, section: str) -> list[tuple[date, date]]:
        return [
            (date.fromisoformat(query["start_date"]), date.fromisoformat(query["end_date"]))
            for query in self.server.archive_requests
            if section in query
        ]

    def weather(self) -> SiteWeather:
        with self.store() as store:
            stored = store.series(place_key(self.site), as_of=self.now)
        assert stored is not None
        weather = site_weather(stored.series, self.site, self.now)
        assert weather is not None
        return weather

    def heat(self) -> tuple[float, float]:
        """Today's `spring_heat`, low and high."""
        weather = self.weather()
        today = weather.daily.days[weather.daily.today]
        files = read_on(today).files
        counted = sums(self.site, files.shelf, files.journal, [], today)
        table = lawn_facts(weather, self.site, self.site.lawns[0], counted).table
        column = table.number("spring_heat")
        return float(column.low[weather.daily.today]), float(column.high[weather.daily.today])

    def days_of_season(self) -> int:
        """Days since the year turned, today included."""
        begins = year_turned(self.site, self.now).date()
        today = self.now.astimezone(self.site.place.zone_info).date()
        return (today - begins).days + 1


@pytest.fixture
def server() -> Iterator[WeatherServer]:
    with WeatherServer(lambda _query: b"") as running:
        yield running


@pytest.fixture
def home(tmp_path: Path, server: WeatherServer) -> Home:
    return Home(tmp_path, server)


@pytest.mark.parametrize("named", SEASONS)
def test_in_may_a_fresh_state_knows_the_heat_since_the_year_turned(
    tmp_path: Path, server: WeatherServer, named: str
) -> None:
    """Every day since 1 January (1 July south of the equator), also those of 23 and 25 hours."""
    where, begins, today = SEASONS[named]
    home = Home(tmp_path, server, where)
    home.look()
    degree_days = pytest.approx(2.0 * ((today - begins).days + 1))
    assert home.heat() == (degree_days, degree_days)
    assert len(home.hours()) == len(home.days()) == 1, "one request for each"


@pytest.mark.parametrize(
    ("where", "day", "hours"),
    [
        (NEW_YORK, date(2026, 3, 8), 23),
        (ADELAIDE, date(2025, 10, 5), 23),
        (ADELAIDE, date(2026, 4, 5), 25),
    ],
)
def test_a_day_on_which_clocks_change_is_whole(
    tmp_path: Path, server: WeatherServer, where: tuple[float, float, str], day: date, hours: int
) -> None:
    """Filled where only the archive knows it: the forecast service here has no past."""
    home = Home(tmp_path, server, where, ahead_only=True)
    home.look()
    weather = home.weather()
    days, day_of = weather.series.local_days(weather.zone)
    of_day = weather.series.column("air_temp")[day_of == days.index(day)]
    assert len(of_day) == hours and np.isfinite(of_day).all()


@pytest.mark.parametrize(
    ("base_url", "archive_url", "asked"),
    [
        (None, None, ARCHIVE_URL),
        ("https://own.example", None, None),
        ("https://own.example", "https://own.example/past", "https://own.example/past"),
        (None, "https://own.example/past", "https://own.example/past"),
    ],
)
def test_an_address_of_the_owner_s_for_the_forecast_alone_has_no_archive(
    home: Home,
    monkeypatch: pytest.MonkeyPatch,
    base_url: str | None,
    archive_url: str | None,
    asked: str | None,
) -> None:
    """Nobody else is told where the lawn lies behind an instance of the owner's own."""
    found: list[str | None] = []

    def client(_place: object, *, base_url: str, **_settings: object) -> OpenArchive:
        found.append(base_url)
        raise Unreachable("Not in this test.")

    monkeypatch.setattr("advisor.service.archive.OpenArchive", client)
    addresses = {"base_url": base_url, "archive_url": archive_url}
    weather = home.site.weather.model_copy(update=addresses)
    with Store(":memory:") as store:
        look_up(home.site.model_copy(update={"weather": weather}), FOLDER, store, MAY, {})
    assert found == ([] if asked is None else [asked])


def test_without_an_archive_the_heat_is_a_bound(home: Home) -> None:
    weather = home.site.weather.model_copy(update={"archive_url": None})
    home.site = home.site.model_copy(update={"weather": weather})
    home.look()
    low, high = home.heat()
    assert low < high


def test_only_what_is_missing_is_asked_for(home: Home) -> None:
    """From the day before the year turned to where the forecast's own past begins."""
    home.look()
    assert home.hours() == [(date(2025, 12, 31), (MAY - timedelta(93)).date())]
    assert home.days() == [(date(2016, 1, 1), date(2025, 12, 31))]


def test_young_hours_are_left_to_the_forecast(tmp_path: Path, server: WeatherServer) -> None:
    """The archive runs five days late."""
    home = Home(tmp_path, server, ahead_only=True)
    home.look()
    assert home.hours() == [(date(2025, 12, 31), date(2026, 5, 14))]
    low, high = home.heat()
    assert low == pytest.approx(2.0 * (date(2026, 5, 14).timetuple().tm_yday - 1), abs=2.0)
    assert high > low


def test_a_tail_of_nulls_is_asked_for_again_and_known_later(
    tmp_path: Path, server: WeatherServer
) -> None:
    """Where the archive is later than it says, the next nights bring the rest, and only that."""
    home = Home(tmp_path, server, ahead_only=True)
    home.past_to = datetime(2026, 5, 12, 0, tzinfo=UTC)
    home.look()
    home.past_to = None
    home.nights(1)
    asked = home.hours()
    assert asked[0] == (date(2025, 12, 31), date(2026, 5, 14))
    assert asked[1] == (date(2026, 5, 12), date(2026, 5, 16))


def test_a_hole_is_asked_for_nightly_for_two_weeks_and_then_left(home: Home) -> None:
    """The sum is a bound meanwhile and for good; nothing stands in for what is not known."""
    begins = datetime(2026, 1, 30, 8, tzinfo=UTC)
    home.nulls = {begins + timedelta(hours=n) for n in range(10)}
    home.look()
    home.nights(30)
    asked = home.hours()
    assert asked[0][0] == date(2025, 12, 31)
    assert set(asked[1:]) == {(date(2026, 1, 30), date(2026, 1, 30))}
    assert 13 <= len(asked[1:]) <= 14
    low, high = home.heat()
    assert low == pytest.approx(2.0 * (home.days_of_season() - 1)) and high > low
    assert len(home.days()) == 1


def test_a_hole_that_closes_is_filled(home: Home) -> None:
    home.nulls = {datetime(2026, 1, 30, n, tzinfo=UTC) for n in range(20)}
    home.look()
    home.nights(3)
    assert home.heat()[0] < home.heat()[1]
    asked = len(home.hours())
    home.nulls = set()
    home.nights(3)
    season = 2.0 * home.days_of_season()
    assert home.heat() == (pytest.approx(season), pytest.approx(season))
    assert len(home.hours()) == asked + 1


def test_at_most_once_a_day_whatever_is_restarted(home: Home) -> None:
    """With a hole that wants asking: turns, looks and restarts share what is remembered."""
    home.nulls = {datetime(2026, 1, 30, 8, tzinfo=UTC)}
    for minutes in range(0, 24 * 60 * 3, 97):
        now = MAY + timedelta(minutes=minutes)
        if minutes % 2:
            home.turn(now)
        else:
            home.look(now)
    assert 3 <= len(home.hours()) <= 4
    assert len(home.days()) == 1


def test_hours_that_came_are_not_asked_for_again_when_the_years_fail(home: Home) -> None:
    """The look is tried again after a failure; of it only what failed."""
    home.nulls = {datetime(2026, 1, 30, 8, tzinfo=UTC)}
    right = home.server.body
    home.server.body = lambda query: b"{" if "daily" in query else right(query)
    for minutes in range(0, 180, 31):
        home.look(MAY + timedelta(minutes=minutes))
    assert len(home.days()) >= 2
    assert len(home.hours()) == 1


def test_the_archive_is_asked_at_night(home: Home) -> None:
    home.nulls = {datetime(2026, 1, 30, 8, tzinfo=UTC)}
    home.turn(MAY)
    moments = []
    now = home.wake_at()
    while now < MAY + timedelta(3):
        before = len(home.hours())
        home.turn(now)
        if len(home.hours()) > before:
            moments.append(now.astimezone(home.site.place.zone_info))
        now = home.wake_at()
    assert len(moments) >= 2
    assert all(1 <= moment.hour < 5 for moment in moments)


def test_each_year_is_asked_for_once_when_it_is_whole(home: Home) -> None:
    """Ten years in one request; the next one when the archive has caught up with its end."""
    home.look(datetime(2026, 12, 28, 16, tzinfo=UTC))
    while home.now < datetime(2027, 1, 6, 16, tzinfo=UTC):
        home.nights(1)
    assert len(home.days()) == 1, "the old year's last days are not all there yet"
    home.nights(2)
    assert home.days() == [
        (date(2016, 1, 1), date(2025, 12, 31)),
        (date(2026, 1, 1), date(2026, 12, 31)),
    ]
    with home.store() as store:
        past = store.past_years(place_key(home.site), home.now)
    assert past is not None and list(past.years) == list(range(2017, 2027))


@pytest.mark.parametrize("mode", ["error 429", "html", "half", "streaming error", "error 502"])
def test_an_archive_that_fails_costs_no_digest(home: Home, mode: str) -> None:
    """Nothing of a broken answer is kept; the digest goes out at its hour; status can tell."""
    home.server.archive_mode = mode
    sunday = datetime(2026, 5, 24, 10, tzinfo=UTC)
    said = home.live(sunday - timedelta(hours=18), sunday + timedelta(minutes=59))
    assert any(line.startswith("no past weather: ") for line in said)
    assert len(list((home.state / "mail" / "new").iterdir())) == 1
    with home.store() as store:
        assert store.past_years(place_key(home.site), home.now) is None
        assert not store.from_archive(place_key(home.site))
        assert store.recall(place_key(home.site), "archive_error")
    assert 1 <= len(home.server.archive_requests) <= 5, "tries come calmer and calmer"
    home.server.archive_mode = None
    home.nights(1)
    with home.store() as store:
        assert store.recall(place_key(home.site), "archive_error") == ""
    assert home.heat()[0] == home.heat()[1]


def test_a_daily_limit_is_waited_out(home: Home) -> None:
    """Its counter starts again at 00:00 UTC; a look at the terminal waits as well."""
    home.server.archive_mode = "error 429"
    home.turn(MAY)
    for minutes in range(0, 479, 31):  # to 23:59 UTC
        home.look(MAY + timedelta(minutes=minutes))
    assert len(home.server.archive_requests) == 1
    home.turn(datetime(2026, 5, 21, 2, tzinfo=UTC))
    assert len(home.server.archive_requests) == 2


def test_while_there_is_no_forecast_the_archive_is_left_alone(home: Home) -> None:
    home.server.mode = "error 502"
    home.live(MAY, MAY + timedelta(hours=6))
    assert home.server.archive_requests == []


def test_a_clock_that_ran_ahead_is_not_waited_for(home: Home) -> None:
    home.turn(MAY + timedelta(300))
    before = len(home.server.archive_requests)
    home.nulls = set()
    home.turn(MAY)
    assert len(home.server.archive_requests) > before


def captured(monkeypatch: pytest.MonkeyPatch) -> list[Given]:
    found: list[Given] = []

    def keep(given: Given, now: datetime) -> Any:
        found.append(given)
        return make_plan(given, now)

    monkeypatch.setattr(deciding, "make_plan", keep)
    return found


def test_a_decision_is_given_the_past_years_and_names_their_source(
    home: Home, monkeypatch: pytest.MonkeyPatch
) -> None:
    given = captured(monkeypatch)
    home.look()
    with home.store() as store:
        plan = decide(read_on(MAY.date()), home.site, store, MAY).plan
    assert plan.weather.attribution == PAST_ATTRIBUTION
    past = given[0].past
    assert past is not None and list(past.years) == list(range(2016, 2026))
    with Store(":memory:") as store:
        bare = decide(read_on(MAY.date()), home.site, store, MAY).plan
    assert bare.weather.attribution == ATTRIBUTION and given[1].past is None


def test_the_demo_has_its_past_years_and_asks_nobody(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On any of its days, in any order, from its recording."""

    def no_network(*_arguments: object) -> None:
        raise AssertionError("the network was asked")

    monkeypatch.setattr("socket.create_connection", no_network)
    given = captured(monkeypatch)
    site = demo_site()
    with Store(tmp_path / "demo.db") as store:
        for day in (date(2025, 7, 1), date(2025, 4, 1), date(2025, 12, 31)):
            assert refresh(site, FOLDER, store, morning(day), {}) == ""
            plan = decide(read_on(day), site, store, morning(day)).plan
            past = given[-1].past
            assert past is not None and list(past.years) == list(range(2015, 2025))
            assert plan.weather.attribution == RECORDED_CREDIT
        assert look_up(site, FOLDER, store, morning(date(2025, 5, 1)), {}) == []


def test_a_recording_without_past_years_has_none(tmp_path: Path) -> None:
    with Store(":memory:") as store:
        assert look_up(demo_site(), tmp_path, store, morning(date(2025, 5, 1)), {}) == []
        assert store.past_years(place_key(demo_site()), morning(date(2025, 5, 1))) is None
