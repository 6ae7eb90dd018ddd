"""A rain that was forecast and did not fall: one note of water between two digests, over SMTP."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path

import numpy as np
import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session
from calendars import entries, stood, uid_of
from demo_year import demo_site, read_on
from owner import BEGINNING

from advisor.series.hourly import Series, Source
from advisor.service.decide import advised_before
from advisor.service.places import place_key
from advisor.service.turn import Turn
from advisor.site.place import OFF, Mail, Site
from advisor.site.words import WATERING
from advisor.store.database import Store

SUNDAY = datetime(2025, 7, 6, 10, tzinfo=UTC)
"""The moment of a digest: six in the morning at the demo's place."""

RAIN_FROM = datetime(2025, 7, 8, 17, tzinfo=UTC)
"""Tuesday afternoon, when rain is forecast."""

NOTED = "watering/front/2025-07-09"
"""The advice of the note: on Wednesday, the district's first day after it."""

WATERED = "2025-07-05  all  watered 1.5 in\n"


@dataclass
class Letterbox:
    mails: list[EmailMessage] = field(default_factory=list)

    async def handle_DATA(self, _: SMTP, __: Session, envelope: Envelope) -> str:  # noqa: N802
        assert isinstance(envelope.content, bytes)
        mail = message_from_bytes(envelope.content, policy=policy.default)
        assert isinstance(mail, EmailMessage)
        self.mails.append(mail)
        return "250 OK"


@dataclass(frozen=True)
class Answer:
    """What a forecast service answered."""

    series: Series
    fetched_at: datetime
    provider: str = "a test"
    url: str = "https://weather.example.org"
    notes: tuple[str, ...] = ()


def weather(now: datetime, rain_mm: float) -> Answer:
    """Hot, dry days from 40 before to 12 after, but for one rain."""
    start = (now - timedelta(days=40)).replace(minute=0, second=0, microsecond=0)
    hours = 52 * 24
    local = (np.arange(hours) + start.hour - 4) % 24
    swing = np.cos((local - 15) / 24 * 2 * np.pi)
    rain = np.zeros(hours)
    from_start = int((RAIN_FROM - start) / timedelta(hours=1))
    rain[from_start : from_start + 4] = rain_mm / 4
    columns = {
        "air_temp": 26 + 7 * swing,
        "dew_point": np.full(hours, 14.0),
        "humidity": 0.5 - 0.2 * swing,
        "rain": rain,
        "rain_chance": np.where(rain > 0, 0.8, 0.0),
        "wind": np.full(hours, 2.0),
        "gust": np.full(hours, 4.0),
        "radiation": np.maximum(0.0, 850 * swing),
        "snow_depth": np.zeros(hours),
    } | {f"soil_temp_{depth}": np.full(hours, 23.0) for depth in (0, 6, 18, 54)}
    return Answer(Series(start, columns, Source("a test", now)), now)


@dataclass
class Home:
    """The demo's site on weather of a test's own, whose clock the test moves."""

    state: Path
    site: Site
    mail: Mail
    box: Letterbox
    monkeypatch: pytest.MonkeyPatch
    rain_mm: float = 40.0
    journal: str = BEGINNING + WATERED

    def store(self) -> Store:
        return Store(self.state / "swardcast.sqlite3")

    def take(self, now: datetime) -> None:
        """A turn that has this moment's forecast."""
        read = read_on(now.astimezone(self.site.place.zone_info).date(), self.journal)
        with self.store() as store:
            self.monkeypatch.setattr(
                "advisor.service.turn.fetch",
                lambda *_: store.keep(place_key(self.site), weather(now, self.rain_mm)),
            )
            store.remember(self.site.id, "next_fetch", (now - timedelta(minutes=1)).isoformat())
            Turn(self.site, self.mail, read, store, self.state, now, {}).run()

    def week(self, rain_mm: float) -> list[EmailMessage]:
        """From a digest that forecasts the rain to the next; from Tuesday on the forecast has
        `rain_mm` in its place. Returns the mails between the two."""
        self.take(SUNDAY - timedelta(hours=12))
        self.take(SUNDAY)
        assert len(self.box.mails) == 1
        self.take(SUNDAY + timedelta(days=1))
        self.rain_mm = rain_mm
        for hours in range(36, 7 * 24 - 6, 12):
            self.take(SUNDAY + timedelta(hours=hours))
        return self.box.mails[1:]

    def next_digest(self) -> str:
        self.take(SUNDAY + timedelta(days=7))
        return text_of(self.box.mails[-1])


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Home]:
    with socket.create_server(("127.0.0.1", 0)) as probe:
        port = int(probe.getsockname()[1])
    box = Letterbox()
    server = Controller(box, hostname="127.0.0.1", port=port)
    mail = Mail.model_validate(
        {
            "from": "lawn@home.example",
            "to": ["ada@home.example"],
            "server": "127.0.0.1",
            "port": port,
            "security": "none",
        }
    )
    site = demo_site()
    alone = site.weather.model_copy(update={"ensemble_model": OFF})
    site = site.model_copy(update={"weather": alone})
    monkeypatch.setattr("advisor.service.turn.look_up", lambda *_: [])
    server.start()
    try:
        yield Home(tmp_path, site, mail, box, monkeypatch)
    finally:
        server.stop()


def text_of(mail: EmailMessage) -> str:
    body = mail.get_body(("plain",))
    assert body is not None
    return " ".join(body.get_content().split())


def test_a_missed_rain_is_told_once_and_counts_as_advised(home: Home) -> None:
    """One note for the next permitted day, with all that it takes; the next digest asks about it,
    as about what it announced itself."""
    (note,) = home.week(rain_mm=0.0)
    assert note["Subject"] == "Water after all: Front lawn, Wed Jul 9"
    assert note["Auto-Submitted"] == "auto-generated"
    told = text_of(note)
    for said in (
        "WATER: Front lawn, Wed Jul 9, 04:00 to 09:00",
        "minutes of your sprinklers",
        "The root zone lacks",
        "Leave it if more than a quarter of this fell",
        "Stop when it runs off",
        "2025-07-09 front done watering",
        "Nothing is taken back by this note.",
        "The next digest comes on Sun Jul 13.",
    ):
        assert said in told
    with home.store() as store:
        advised = advised_before(store, home.site, SUNDAY + timedelta(days=6))
    assert NOTED in {one.id for one in advised if one.task == WATERING}
    ((name, entry),) = entries(note).items()
    assert name == uid_of(home.site, home.mail, NOTED)
    assert entry.dtstart.value == datetime(2025, 7, 9, 8, tzinfo=UTC)
    assert "2025-07-09 front done watering" in home.next_digest()


def test_a_rain_that_falls_as_forecast_asks_for_no_water(home: Home) -> None:
    assert [mail["Subject"] for mail in home.week(rain_mm=40.0)] == []


def test_water_that_the_digest_announced_is_not_told_again(home: Home) -> None:
    """No rain was in sight on Sunday, so Wednesday's water stands in the digest."""
    home.rain_mm = 0.0
    assert home.week(rain_mm=0.0) == []
    assert "Wed Jul 9, 04:00 to 09:00" in text_of(home.box.mails[0])


def test_who_watered_is_told_nothing(home: Home) -> None:
    """What the journal tells of is in the balance: the rain is not missed."""
    home.take(SUNDAY - timedelta(hours=12))
    home.take(SUNDAY)
    home.rain_mm = 0.0
    home.journal += "2025-07-08  front  watered 1 in\n"
    home.take(SUNDAY + timedelta(hours=62))
    assert not any("WATER: " in text_of(mail) for mail in home.box.mails[1:])


def test_where_alerts_are_off_none_is_sent(home: Home) -> None:
    digest = home.site.digest.model_copy(update={"alerts": False})
    home.site = home.site.model_copy(update={"digest": digest})
    assert home.week(rain_mm=0.0) == []


def test_nothing_is_told_before_the_first_digest(home: Home) -> None:
    home.rain_mm = 0.0
    for hours in range(-120, 0, 12):
        home.take(SUNDAY + timedelta(hours=hours))
    assert home.box.mails == []


def test_the_rain_that_comes_after_all_takes_it_back(home: Home) -> None:
    """What a note told is taken back as what a digest told is, and is not asked about."""
    home.take(SUNDAY - timedelta(hours=12))
    home.take(SUNDAY)
    home.rain_mm = 0.0
    home.take(SUNDAY + timedelta(hours=36))
    home.rain_mm = 40.0
    home.take(SUNDAY + timedelta(hours=48))
    _, told, back = home.box.mails
    assert told["Subject"] == "Water after all: Front lawn, Wed Jul 9"
    assert back["Subject"] == "Wait after all: water, Front lawn, Wed Jul 9"
    name = uid_of(home.site, home.mail, NOTED)
    (first, on), (then, off) = stood(entries(told)[name]), stood(entries(back)[name])
    assert (first, then) == ("CONFIRMED", "CANCELLED")
    assert on < off
    assert "2025-07-09 front done watering" not in home.next_digest()
    assert name not in entries(home.box.mails[-1])


def test_what_never_arrived_was_not_advised(home: Home) -> None:
    """A note that no server took counts for nothing, and is not made a second time."""
    home.take(SUNDAY - timedelta(hours=12))
    home.take(SUNDAY)
    there, home.mail = home.mail, home.mail.model_copy(update={"port": 9})
    home.rain_mm = 0.0
    home.take(SUNDAY + timedelta(hours=36))
    home.take(SUNDAY + timedelta(hours=40))
    with home.store() as store:
        letters = [x for x in store.letters(home.site.id) if x.purpose.startswith("alert")]
        advised = advised_before(store, home.site, SUNDAY + timedelta(hours=41))
    assert len(letters) == 1
    assert NOTED not in {one.id for one in advised}
    home.mail = there
    home.take(SUNDAY + timedelta(hours=44))
    with home.store() as store:
        advised = advised_before(store, home.site, SUNDAY + timedelta(hours=45))
    assert NOTED in {one.id for one in advised}
