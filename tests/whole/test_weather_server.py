"""The client against a real web server on this machine, well-behaved and not."""

from __future__ import annotations

import logging
import re
import socket
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from weather_server import MODES, WeatherServer, right_body

from advisor.weather.archive import OpenArchive
from advisor.weather.errors import BadAnswer, Misconfigured, Unreachable, WeatherError
from advisor.weather.exchange import Patience
from advisor.weather.service import OpenForecast, Place

NOW = datetime(2026, 4, 9, 14, 30, tzinfo=UTC)
PLACE = Place(36.1, -79.95, 273.0)
KEY = "k3y-of-the-owner/+="
QUICK = Patience(connect=1.0, read=0.3, total=0.4)

OUTCOME: dict[str, type[WeatherError]] = {
    "cut": BadAnswer,
    "half": BadAnswer,
    "silent": Unreachable,
    "hang up": Unreachable,
    "drip": Unreachable,
    "drip head": Unreachable,
    "not http": Unreachable,
    "html": BadAnswer,
    "error 400": Misconfigured,
    "error 401": Misconfigured,
    "error 404": Misconfigured,
    "error 429": Unreachable,
    "error 500": Unreachable,
    "error 502": Unreachable,
    "error 503": Unreachable,
    "error in 200": BadAnswer,
    "streaming error": BadAnswer,
    "gzip": BadAnswer,
    "gzip bomb": BadAnswer,
    "huge": BadAnswer,
    "deep": BadAnswer,
    "empty": BadAnswer,
    "bad text": BadAnswer,
    "two places": BadAnswer,
    "wrong units": BadAnswer,
    "wrong lengths": BadAnswer,
    "words": BadAnswer,
    "NaN": BadAnswer,
    "too big": BadAnswer,
    "other days": BadAnswer,
    "loop": BadAnswer,
    "elsewhere": BadAnswer,
    "nowhere": BadAnswer,
    "bad place": Unreachable,
}
FINE = {"ok", "moved"}


@pytest.fixture(autouse=True)
def no_proxies(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever proxy this machine uses, these tests talk to this machine."""
    for name in ("http_proxy", "https_proxy", "all_proxy", "no_proxy"):
        monkeypatch.delenv(name, raising=False)
        monkeypatch.delenv(name.upper(), raising=False)


@pytest.fixture
def server() -> Iterator[WeatherServer]:
    with WeatherServer(right_body(NOW)) as running:
        yield running


def client(server: WeatherServer, **changes: object) -> OpenForecast:
    settings: dict[str, object] = {"api_key": KEY, "patience": QUICK, **changes}
    return OpenForecast(PLACE, server.url, **settings)  # type: ignore[arg-type]


def test_every_mode_of_the_server_is_tried() -> None:
    assert set(MODES) == set(OUTCOME) | FINE


@pytest.mark.parametrize("mode", sorted(OUTCOME))
def test_each_fault_ends_in_its_error_with_a_sentence(
    server: WeatherServer, mode: str, caplog: pytest.LogCaptureFixture
) -> None:
    """One of three errors, soon, one readable line, no key anywhere, no library's error behind."""
    caplog.set_level(logging.DEBUG)
    server.mode = mode
    begun = time.monotonic()
    with pytest.raises(WeatherError) as caught:
        client(server).fetch(NOW, past_days=2, forecast_days=3)
    assert time.monotonic() - begun < 2.0
    sentence = str(caught.value)
    assert type(caught.value) is OUTCOME[mode], sentence
    assert re.fullmatch(r"[A-Z0-9].{20,400}[.]", sentence), sentence
    assert "Traceback" not in sentence and "Error(" not in sentence
    assert KEY not in sentence + caplog.text
    assert caught.value.__cause__ is None
    assert caught.value.__context__ is None or caught.value.__suppress_context__


@pytest.mark.parametrize("mode", sorted(OUTCOME))
@pytest.mark.parametrize("what", ["hours", "years"])
def test_each_fault_of_the_archive_ends_in_its_error(
    server: WeatherServer, mode: str, what: str
) -> None:
    """The archive is the same kind of service, and fails in the same ways."""
    server.mode = mode
    archive = OpenArchive(PLACE, server.archive_url, api_key=KEY, patience=QUICK)
    ask = archive.fetch if what == "hours" else archive.past_years
    with pytest.raises(WeatherError) as caught:
        ask(NOW, date(2025, 12, 31), date(2026, 2, 1))
    assert type(caught.value) is OUTCOME[mode], str(caught.value)
    assert re.fullmatch(r"[A-Z0-9].{20,400}[.]", str(caught.value))
    assert KEY not in str(caught.value)


def test_a_daily_limit_is_waited_out(server: WeatherServer) -> None:
    """The service's daily counter starts again at 00:00 UTC."""
    server.mode = "error 429"
    with pytest.raises(Unreachable) as caught:
        client(server).fetch(NOW, 2)
    assert caught.value.retry_after == datetime(2026, 4, 10, 0, 1, tzinfo=UTC)


def test_a_busy_service_names_its_own_wait(server: WeatherServer) -> None:
    server.mode = "error 503"
    with pytest.raises(Unreachable) as caught:
        client(server).fetch(NOW, 2)
    assert caught.value.retry_after == NOW + timedelta(seconds=120)


@pytest.mark.parametrize("mode", sorted(FINE))
def test_a_right_answer_becomes_a_series(server: WeatherServer, mode: str) -> None:
    """Every column arrives in our unit, in the hour that ends at the service's label."""
    server.mode = mode
    fetched = client(server).fetch(NOW, past_days=2, forecast_days=3)
    series = fetched.series
    assert fetched.notes == ()
    assert series.start == datetime(2026, 4, 6, 23, tzinfo=UTC)
    assert series.ends()[0] == datetime(2026, 4, 7, 0, tzinfo=UTC).timestamp()
    assert series.hours == 5 * 24
    assert series.ahead_from == fetched.fetched_at == NOW
    # the server counts each variable up from its number by 0.01 an hour
    assert series.column("air_temp")[:3] == pytest.approx([1.0, 1.01, 1.02])
    assert series.column("humidity")[0] == pytest.approx(0.02)
    assert series.column("rain_chance")[0] == pytest.approx(0.05)
    assert series.column("wind")[-1] == pytest.approx(6 + 1.19)
    assert series.column("soil_temp_54")[1] == pytest.approx(13.01)


def test_two_polite_requests_the_second_for_soil(server: WeatherServer) -> None:
    fetched = client(server).fetch(NOW, past_days=2, forecast_days=3)
    (_, main, headers), (_, soil, _) = server.requests
    assert headers["User-Agent"].startswith("swardcast/")
    assert headers["Accept-Encoding"] == "identity"
    assert "soil" not in main["hourly"] and "models" not in main
    assert soil["models"] == "icon_seamless"
    assert all(name.startswith("soil_temperature") for name in soil["hourly"].split(","))
    for query in (main, soil):
        assert query["timezone"] == "GMT" and query["timeformat"] == "unixtime"
        assert query["wind_speed_unit"] == "ms" and query["elevation"] == "273"
        assert query["apikey"] == KEY
    assert len(server.connections) == 1
    assert len(fetched.bodies) == 2
    assert "apikey" not in fetched.url and KEY not in repr(fetched) and "GMT" in fetched.url
    assert KEY not in repr(client(server))


def test_without_a_soil_model_all_is_asked_at_once(server: WeatherServer) -> None:
    fetched = client(server, soil_model=None, api_key=None).fetch(NOW, 2, 3)
    [(_, query, _)] = server.requests
    assert "soil_temperature_6cm" in query["hourly"] and "apikey" not in query
    assert np.isfinite(fetched.series.column("soil_temp_6")).all()


def test_when_soil_fails_the_rest_stands(server: WeatherServer) -> None:
    """A failing second request costs the soil, and a note says why."""
    right = right_body(NOW)
    server.body = lambda query: b"{" if "models" in query else right(query)
    fetched = client(server).fetch(NOW, 2, 3)
    assert np.isfinite(fetched.series.column("air_temp")).all()
    assert np.isnan(fetched.series.column("soil_temp_6")).all()
    assert [note[:29] for note in fetched.notes] == ["Soil temperatures are unknown"]


def test_nobody_listens() -> None:
    with socket.socket() as closed:
        closed.bind(("127.0.0.1", 0))
        address = f"http://127.0.0.1:{closed.getsockname()[1]}/v1/forecast"
    with pytest.raises(Unreachable, match="cannot be reached"):
        OpenForecast(PLACE, address, patience=QUICK).fetch(NOW, 2)


def test_a_name_that_leads_nowhere() -> None:
    """The reserved name `.invalid` never resolves (RFC 2606)."""
    with pytest.raises(Unreachable, match=r"no-such\.invalid cannot be reached"):
        OpenForecast(PLACE, "http://no-such.invalid/v1", patience=QUICK).fetch(NOW, 2)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("ALL_PROXY", "socks5://127.0.0.1:1"),
        ("HTTP_PROXY", "gopher://127.0.0.1:1"),
        ("NO_PROXY", "::1,[::1]"),
        ("SSL_CERT_FILE", "/no/such/file.pem"),
    ],
)
def test_odd_network_settings_are_named(
    server: WeatherServer, monkeypatch: pytest.MonkeyPatch, name: str, value: str
) -> None:
    """A setting in the environment that cannot be used is an error of three, not a traceback."""
    monkeypatch.setenv(name, value)
    if name == "NO_PROXY":
        monkeypatch.setenv("HTTP_PROXY", "http://127.0.0.1:1")
    with pytest.raises(Misconfigured, match="network settings"):
        client(server).fetch(NOW, 2)


def test_a_proxy_that_is_not_there(server: WeatherServer, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HTTP_PROXY", "http://127.0.0.1:9")
    with pytest.raises(Unreachable):
        client(server).fetch(NOW, 2)


def test_the_log_of_a_right_fetch_has_no_key(
    server: WeatherServer, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    server.mode = "moved"
    client(server).fetch(NOW, 2, 3)
    assert "GET" in caplog.text and "apikey" in caplog.text
    assert KEY not in caplog.text and "k3y-of-the-owner" not in caplog.text
