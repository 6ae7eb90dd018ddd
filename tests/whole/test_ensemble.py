"""The ensemble over the whole path: a real server, turns of the service, the doctor, a digest."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from command_line import change, demo, on_a_service
from demo_year import FOLDER, decide_on, demo_site, morning, read_on
from doctor_cases import findings
from weather_server import WeatherServer, ensemble_document, right_body

from advisor.plan.model import Verdict
from advisor.service.ensemble import FAILURES, LAST_ERROR
from advisor.service.places import place_key
from advisor.service.turn import Turn
from advisor.service.weather import refresh
from advisor.site.place import Mail, Site
from advisor.store.database import Store
from advisor.weather.client import Place
from advisor.weather.ensemble import OpenEnsemble
from advisor.weather.errors import BadAnswer, Misconfigured, Unreachable, WeatherError
from advisor.weather.exchange import Patience

MAY = datetime(2026, 5, 20, 16, 0, tzinfo=UTC)
QUICK = Patience(connect=1.0, read=0.3, total=0.4)
KEY = "k3y-of-the-owner/+="


@dataclass
class Home:
    """A site on a server of this machine, and its state."""

    state: Path
    server: WeatherServer
    now: datetime = MAY

    def __post_init__(self) -> None:
        self.server.body = lambda query: right_body(self.now)(query)
        self.site: Site = demo_site().model_copy(update={"demo": None})
        self.set(recorded=None, base_url=self.server.url, ensemble_url=self.server.ensemble_url)

    def set(self, **weather: object) -> None:
        changed = self.site.weather.model_copy(update=weather)
        self.site = self.site.model_copy(update={"weather": changed})

    def store(self) -> Store:
        return Store(self.state / "swardcast.sqlite3")

    def turn(self, now: datetime) -> list[str]:
        self.now = now
        mail = Mail.model_validate(
            {"from": "lawn@home.example", "to": ["ada@home.example"], "maildir": "mail"}
        )
        day = now.astimezone(self.site.place.zone_info).date()
        with self.store() as store:
            return Turn(self.site, mail, read_on(day), store, self.state, now, {}).run()

    def live(self, first: datetime, last: datetime) -> list[str]:
        """Turns from waking to waking."""
        now, said = first, []
        while now <= last:
            said += self.turn(now)
            with self.store() as store:
                now = datetime.fromtimestamp(int(store.recall(self.site.id, "wake_at") or 0), UTC)
        return said

    def look(self, now: datetime) -> str:
        self.now = now
        with self.store() as store:
            return refresh(self.site, FOLDER, store, now, {})

    @property
    def asked(self) -> int:
        return len(self.server.ensemble_requests)

    def mails(self) -> int:
        folder = self.state / "mail" / "new"
        return len(list(folder.iterdir())) if folder.is_dir() else 0


@pytest.fixture
def server() -> Iterator[WeatherServer]:
    with WeatherServer(right_body(MAY)) as running:
        yield running


@pytest.fixture
def home(tmp_path: Path, server: WeatherServer) -> Home:
    return Home(tmp_path, server)


def test_members_reach_the_store_in_one_request(home: Home) -> None:
    assert home.look(MAY) == ""
    (query,) = home.server.ensemble_requests
    assert query["hourly"] == "precipitation"
    with home.store() as store:
        found = store.ensemble(place_key(home.site), MAY)
    assert found is not None
    assert (found.members, found.step, found.source.fetched_at) == (12, 3, MAY)
    assert found.columns["rain"][:, 40].tolist() == [n / 10 for n in range(12)]


def test_twice_a_day_whatever_is_looked_at_and_restarted(home: Home) -> None:
    home.live(MAY, MAY + timedelta(hours=71))
    assert 5 <= home.asked <= 7
    before, later = home.asked, home.now
    for minutes in range(0, 300, 40):
        home.look(later + timedelta(minutes=minutes))
    assert home.asked <= before + 1


def test_one_after_the_other_and_behind_the_forecast(home: Home) -> None:
    """Never two requests at a time; the ensemble only once the forecast has come."""
    home.turn(MAY)
    paths = [path for path, _, _ in home.server.requests]
    assert paths == ["/v1/forecast", "/v1/forecast", "/v1/ensemble"]
    home.server.mode = "error 502"
    for hours in (14, 15, 16):
        home.turn(MAY + timedelta(hours=hours))
    assert home.asked == 1


@pytest.mark.parametrize("mode", ["error 400", "error 429", "half", "html", "silent", "not http"])
def test_an_ensemble_that_fails_costs_no_digest(
    home: Home, mode: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "advisor.service.ensemble.OpenEnsemble",
        lambda *args, **more: OpenEnsemble(*args, **more, patience=QUICK),
    )
    home.server.ensemble_mode = mode
    sunday = datetime(2026, 5, 24, 10, tzinfo=UTC)
    said = home.live(sunday - timedelta(hours=18), sunday + timedelta(minutes=59))
    assert any(line.startswith("no ensemble: ") for line in said)
    assert home.mails() == 1
    assert 1 <= home.asked <= 5, "tries come calmer and calmer"
    place = place_key(home.site)
    with home.store() as store:
        assert store.ensemble(place, home.now) is None
        assert store.recall(place, LAST_ERROR)
        assert int(store.recall(place, FAILURES) or 0) >= 1
    home.server.ensemble_mode = None
    home.live(home.now + timedelta(days=2), home.now + timedelta(days=2, hours=6))
    with home.store() as store:
        assert store.ensemble(place, home.now) is not None
        assert store.recall(place, LAST_ERROR) == ""


@pytest.mark.parametrize(
    ("mode", "kind"),
    [("half", BadAnswer), ("cut", BadAnswer), ("streaming error", BadAnswer), ("NaN", BadAnswer),
     ("words", BadAnswer), ("wrong lengths", BadAnswer), ("other days", BadAnswer),
     ("two places", BadAnswer), ("huge", BadAnswer), ("silent", Unreachable),
     ("drip", Unreachable), ("error 503", Unreachable), ("error 401", Misconfigured)],
)  # fmt: skip
def test_the_client_against_a_server_that_answers_badly(
    server: WeatherServer, mode: str, kind: type[WeatherError]
) -> None:
    server.mode = mode
    client = OpenEnsemble(Place(36.1, -80.0), server.ensemble_url, api_key=KEY, patience=QUICK)
    with pytest.raises(kind) as caught:
        client.fetch(MAY)
    assert KEY not in str(caught.value)


def test_a_used_ensemble_stays(home: Home) -> None:
    """The digest of Sunday rests on one; a week of newer ones leaves it there."""
    sunday = datetime(2026, 5, 24, 10, tzinfo=UTC)
    home.live(sunday - timedelta(hours=18), sunday + timedelta(days=3))
    with home.store() as store, store.reading() as database:
        kept = database.execute("SELECT used FROM ensemble ORDER BY fetched").fetchall()
    assert [row[0] for row in kept] == [1, 0]


@pytest.mark.parametrize(
    "weather",
    [{"ensemble_model": "off"}, {"ensemble_model": "OFF"}, {"ensemble_url": None}],
)
def test_off_and_an_address_of_the_owner_s_alone_ask_for_none(
    home: Home, weather: dict[str, object]
) -> None:
    """Nobody else is told where the lawn lies behind an instance of the owner's own."""
    home.set(**weather)
    home.turn(MAY)
    assert home.asked == 0 and home.mails() == 0
    with home.store() as store:
        assert store.ensemble(place_key(home.site), MAY) is None


def test_another_model_is_asked_by_its_name(home: Home) -> None:
    home.set(ensemble_model="gem_global_ensemble")
    home.turn(MAY)
    assert home.server.ensemble_requests[0]["models"] == "gem_global_ensemble"


# The doctor


def test_the_doctor_tells_whether_it_can_be_had(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, server: WeatherServer
) -> None:
    """As a remark: without it the site is still well."""
    site, state = demo(tmp_path), tmp_path / "state"
    server.body = right_body(datetime.now(UTC))
    on_a_service(site, server.url)
    assert "Ensemble" not in findings(capsys, site, state)
    change(site / "site.toml", "[weather]", f'[weather]\nensemble_url = "{server.ensemble_url}"')
    found = findings(capsys, site, state)["Ensemble"]
    assert found["state"] == "ok"
    assert "12 members of ecmwf_ifs025_ensemble" in found["text"]
    server.ensemble_mode = "error 400"
    found = findings(capsys, site, state)
    assert found["Ensemble"]["state"] == "warning" and found["Decision"]["state"] == "ok"
    assert 'ensemble_model = "off"' in found["Ensemble"]["mend"]


# The demo


def test_the_demo_s_digest_says_how_sure_it_is() -> None:
    with Store(":memory:") as store:
        plan = decide_on(date(2025, 5, 11), store).plan
    done = [a for lawn in plan.lawns for a in lawn.actions if a.verdict is Verdict.APPLY]
    assert done and all(one.sure is not None and one.sure.members == 10 for one in done)


def test_in_a_year_every_action_says_how_sure_it_is_and_no_hold_is_empty() -> None:
    """On a Sunday of each month; what is advised is what at least half of the members spare."""
    sundays = [date(2025, month, 1) + timedelta((6 - date(2025, month, 1).weekday()) % 7)
               for month in range(3, 12)]  # fmt: skip
    seen = 0
    with Store(":memory:") as store:
        for day in sundays:
            for lawn in decide_on(day, store).plan.lawns:
                for one in lawn.actions:
                    if one.verdict is Verdict.WAIT:
                        assert one.sure is None
                        continue
                    seen += 1
                    assert one.sure is not None and one.sure.members == 10
                    assert one.sure.chance is not None and 0 <= one.sure.chance <= 1
    assert seen >= 6


def test_a_look_back_has_the_ensemble_of_its_day() -> None:
    """An earlier date is decided with what was issued by then."""
    site = demo_site()
    with Store(":memory:") as store:
        for day in (date(2025, 6, 8), date(2025, 5, 11)):
            decide_on(day, store)
            found = store.ensemble(place_key(site), morning(day))
            assert found is not None
            assert found.source.fetched_at.astimezone(UTC).date() == day


def test_the_document_of_this_server_is_as_the_service_s() -> None:
    """Control run first without a number, then two digits (as recorded from the service)."""
    query = {"past_days": "0", "forecast_days": "1", "hourly": "precipitation"}
    body = ensemble_document(query, MAY)
    hourly = body["hourly"]
    assert isinstance(hourly, dict)
    assert list(hourly)[:3] == ["time", "precipitation", "precipitation_member01"]
