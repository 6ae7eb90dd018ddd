"""A year that nobody here made up: every Sunday of 2015 at Chicago O'Hare, from the forecast
service's socket to the mail server's, with an owner who does what each digest asks for."""

# ruff: noqa: N802 - the server finds its hook by that name

from __future__ import annotations

import re
import socket
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session
from chicago import ZONE, Service, lay_down, local_day, station
from weather_server import WeatherServer

from advisor.plan.model import Action, Plan, Verdict
from advisor.service.decide import decide, digest_moment
from advisor.service.folders import append_line, read_folder
from advisor.service.send import send
from advisor.service.weather import refresh
from advisor.store.database import Store

SUNDAYS = [date(2015, 1, 4) + timedelta(7 * n) for n in range(52)]
PER_THOUSAND_FT2_G_M2 = 453.59237 / 92.90304
"""One lb/1000 ft2 in g/m2, from the exact pound and foot."""


class Letterbox:
    """The mail server's handler: keeps each mail with its envelope."""

    def __init__(self) -> None:
        self.mails: list[tuple[str, list[str], bytes]] = []

    async def handle_DATA(self, _server: SMTP, _session: Session, envelope: Envelope) -> str:
        content = bytes(envelope.original_content or b"")
        self.mails.append((str(envelope.mail_from), list(envelope.rcpt_tos), content))
        return "250 kept"


@dataclass(frozen=True)
class Year:
    """All that the year left behind: the plans in order, what the two servers saw, the files."""

    plans: tuple[Plan, ...]
    mails: tuple[tuple[str, list[str], bytes], ...]
    asked: int
    state: Path

    def parsed(self) -> list[EmailMessage]:
        return [message_from_bytes(mail, policy=policy.default) for _, _, mail in self.mails]

    def actions(self) -> Iterator[tuple[Plan, str, Action]]:
        """Every action of every week, with its plan and the name of its lawn."""
        for plan in self.plans:
            for lawn in plan.lawns:
                for action in lawn.actions:
                    yield plan, lawn.name, action

    def fed(self) -> list[tuple[str, date, float]]:
        """Each application that brought nitrogen: lawn, day, g/m2."""
        return [
            (lawn, action.day, delivery.g_per_m2)
            for _, lawn, action in self.actions()
            if action.verdict is Verdict.APPLY and action.dose is not None and action.day
            for delivery in action.dose.delivers
            if delivery.substance == "nitrogen"
        ]


def _answer(folder: Path, plan: Plan) -> None:
    """The owner does it all on its day, and writes down the amounts that the digest gave."""
    for lawn in plan.lawns:
        for action in lawn.actions:
            if action.verdict is Verdict.APPLY:
                assert action.dose is not None
                did = f"applied {action.dose.amount_text} of {action.dose.product}"
            elif action.verdict is Verdict.WATER:
                did = f"watered {action.water_text.split(' (')[0]}"
            else:
                continue
            append_line(folder / "journal.txt", f"{action.day}  {lawn.name}  {did}")


@pytest.fixture(scope="module")
def year(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Year]:
    """The whole year, lived once: fetch, keep, decide, send, answer, every Sunday morning."""
    base = tmp_path_factory.mktemp("year")
    folder, state = base / "site", base / "state"
    folder.mkdir()
    state.mkdir()
    box, service = Letterbox(), Service(datetime(2015, 1, 1, tzinfo=ZONE))
    with socket.create_server(("127.0.0.1", 0)) as probe:
        port = int(probe.getsockname()[1])
    post = Controller(box, hostname="127.0.0.1", port=port)
    post.start()
    plans = []
    try:
        with WeatherServer(service) as server:
            lay_down(folder, server.url, port)
            for sunday in SUNDAYS:
                read = read_folder(folder, state, today=sunday)
                assert read.problems == ()
                site = read.files.site
                assert site is not None and site.mail is not None
                service.now = digest_moment(site, sunday)
                with Store(state / "swardcast.sqlite3") as store:
                    assert refresh(site, folder, store, service.now, {}) == ""
                    decision = decide(read, site, store, service.now)
                    assert send(decision, site, site.mail, store, state, {}).complete
                plans.append(decision.plan)
                _answer(folder, decision.plan)
            asked = len(server.requests)
    finally:
        post.stop()
    yield Year(tuple(plans), tuple(box.mails), asked, state)


def test_the_year_s_rain_is_as_its_description_says() -> None:
    """Hours whose rain is not the station's own hourly report are few, and counted."""
    told = station()
    in_2015 = {
        name: [end for end in ends if end.year == 2015]
        for name, ends in (("shared", told.shared), ("unknown", told.unknown))
    }
    assert {name: len(ends) for name, ends in in_2015.items()} == {"shared": 11, "unknown": 13}
    assert len({local_day(end) for end in in_2015["shared"]}) == 5
    assert {local_day(end) for end in in_2015["unknown"]} == {
        date(2014, 12, 31), date(2015, 2, 11), date(2015, 2, 12), date(2015, 2, 27)
    }  # fmt: skip
    shared = sum(told.hours[end]["precipitation"] or 0.0 for end in in_2015["shared"])
    assert shared == pytest.approx(18.6, abs=0.05)
    total = sum(row["precipitation"] or 0.0 for end, row in told.hours.items() if end.year == 2015)
    assert total == pytest.approx(849.3 + 18.6, abs=0.05)


def test_each_week_asked_the_weather_service_and_sent_one_mail(year: Year) -> None:
    assert len(year.plans) == len(year.mails) == 52
    assert year.asked == 2 * 52  # the air, and the soil of one model
    assert (year.state / "swardcast.sqlite3").stat().st_size > 0
    assert {tuple(people) for _, people, _ in year.mails} == {
        ("ines.halloway@larkspur-lane.example",)
    }
    assert {sender for sender, _, _ in year.mails} == {"swardcast@larkspur-lane.example"}


def test_each_mail_parses_and_says_what_was_decided(year: Year) -> None:
    """Its subject's verdict, its headline in text and HTML, and the morning it was decided on."""
    for mail, plan in zip(year.parsed(), year.plans, strict=True):
        assert mail.defects == [] and all(not part.defects for part in mail.walk())
        assert str(mail["Subject"]).split(":")[0].lower() == plan.headline.verdict.value
        assert mail["Date"].datetime == plan.decided_at
        text, html = mail.get_body(("plain",)), mail.get_body(("html",))
        assert text is not None and html is not None
        assert plan.headline.verdict.value in text.get_content().lower()
        assert "</html>" in html.get_content()
        for lawn in ("Front lawn", "Side lawn"):
            assert lawn in text.get_content() and lawn in html.get_content()


def test_every_mail_has_its_own_name(year: Year) -> None:
    names = {str(mail["Message-ID"]) for mail in year.parsed()}
    assert len(names) == 52
    assert all(re.fullmatch(r"<[^<>@\s]+@larkspur-lane\.example>", name) for name in names)


def test_nothing_stays_perhaps_done_for_an_owner_who_answers(year: Year) -> None:
    assert [(plan.on, plan.ask) for plan in year.plans if plan.ask] == []
    assert [plan.on for plan in year.plans if plan.cannot_tell or plan.problems] == []


def test_each_verdict_leads_some_week(year: Year) -> None:
    verdicts = Counter(plan.headline.verdict for plan in year.plans)
    assert set(verdicts) == set(Verdict), verdicts


def test_fewer_than_one_wait_in_ten_is_for_want_of_knowledge(year: Year) -> None:
    """Of all waits, over weeks, lawns and tasks: those whose first reason could not be told."""
    waits = [
        (plan.on, lawn.name, f"{action.title} on {lawn.title}")
        for plan in year.plans
        for lawn in plan.lawns
        for action in lawn.actions
        if action.verdict is Verdict.WAIT
    ]
    unknown = [(plan.on, entry.lawn, entry.what) for plan in year.plans for entry in plan.unknown]
    assert set(unknown) <= set(waits)
    assert len(waits) > 52 * 2
    assert len(unknown) < 0.1 * len(waits), f"{len(unknown)} of {len(waits)}: {unknown}"


def test_no_nitrogen_goes_down_in_heat(year: Year) -> None:
    """Purdue extension: none on cool-season grass while highs are above 85 F; here, by the
    station's own thermometer, on the day and the two after it."""
    fed = [day for lawn, day, _ in year.fed() if lawn == "front"]
    assert fed
    for day in fed:
        hottest = max(station().air(day, day + timedelta(2)))
        assert hottest <= (85 - 32) / 1.8, f"{day}: {hottest:.1f} C"


def test_no_nitrogen_goes_down_on_dormant_grass(year: Year) -> None:
    """NC State: shoots of cool-season grass stop at 40 F, warm-season grass is dormant below 50 F
    and greens up steadily at 65 F, in the soil; here by the station's air of the ten days before,
    which soil under turf follows. And never in the months in which both are brown in Chicago."""
    coldest = {"front": (40 - 32) / 1.8, "side": (50 - 32) / 1.8}
    fed = year.fed()
    assert {lawn for lawn, _, _ in fed} == set(coldest)
    for lawn, day, _ in fed:
        air = station().air(day - timedelta(10), day - timedelta(1))
        assert sum(air) / len(air) >= coldest[lawn], f"{lawn}, {day}"
        assert 4 <= day.month <= 11
    for plan, lawn, action in year.actions():
        if action.task == "feed" and action.verdict is Verdict.APPLY and action.day == plan.on:
            state = next(part.state for part in plan.lawns if part.name == lawn)
            assert "dormant" not in state and state != "unknown"


def test_a_year_s_nitrogen_stays_within_what_the_site_allows(year: Year) -> None:
    allowed = {"front": 3 * PER_THOUSAND_FT2_G_M2, "side": 2 * PER_THOUSAND_FT2_G_M2}
    given = dict.fromkeys(allowed, 0.0)
    for lawn, _, grams in year.fed():
        given[lawn] += grams
    for lawn, most in allowed.items():
        assert 0 < given[lawn] <= most + 1e-9, f"{lawn}: {given[lawn]:.1f} of {most:.1f} g/m2"
