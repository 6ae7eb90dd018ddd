"""A site on a forecast service: what is asked of it, and how seldom."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from command_line import call, change, demo, on_a_service
from weather_server import Query, WeatherServer, right_body

from advisor.cli.exits import Exit


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return demo(tmp_path)


@pytest.mark.parametrize(
    ("written", "models"),
    [
        ("", [None, "icon_seamless"]),
        ('soil_model = "best-match"', [None]),
        ('soil_model = "best_match"', [None]),
        ('soil_model = "gfs_seamless"', [None, "gfs_seamless"]),
    ],
)
def test_the_soil_is_asked_for_as_the_site_says(
    capsys: pytest.CaptureFixture[str],
    site: Path,
    tmp_path: Path,
    written: str,
    models: list[str | None],
) -> None:
    """From a named model in a request of its own, or with everything else in one."""
    with WeatherServer(right_body(datetime.now(UTC))) as server:
        on_a_service(site, server.url)
        change(site / "site.toml", "[weather]\n", f"[weather]\n{written}\n")
        said = call(capsys, "digest", site, "--state", tmp_path / "state")
    assert said.code == Exit.DONE
    queries: list[Query] = [query for _, query, _ in server.requests]
    assert [query.get("models") for query in queries] == models
    assert "soil_temperature_6cm" in queries[-1]["hourly"]


def test_a_fresh_forecast_is_not_asked_for_again(
    capsys: pytest.CaptureFixture[str], site: Path, tmp_path: Path
) -> None:
    """Looking twice in a minute is one fetch; the second is answered from the store."""
    with WeatherServer(right_body(datetime.now(UTC))) as server:
        on_a_service(site, server.url)
        for _ in range(2):
            said = call(capsys, "digest", site, "--state", tmp_path / "state")
            assert said.code == Exit.DONE
    assert len(server.requests) == 2  # the air and the soil, once each


def test_a_look_back_asks_nobody(
    capsys: pytest.CaptureFixture[str], site: Path, tmp_path: Path
) -> None:
    """What a day knew cannot be fetched today; with nothing stored it cannot be told."""
    with WeatherServer(right_body(datetime.now(UTC))) as server:
        on_a_service(site, server.url)
        state = tmp_path / "state"
        said = call(capsys, "digest", site, "--on", "2025-04-01", "--state", state)
    assert said.code == Exit.NO_FORECAST
    assert server.requests == []


def test_a_service_that_fails_later_leaves_what_is_stored(
    capsys: pytest.CaptureFixture[str],
    site: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The stored forecast goes on serving, and the failure stands among what is to be mended."""
    with WeatherServer(right_body(datetime.now(UTC))) as server:
        on_a_service(site, server.url)
        state = tmp_path / "state"
        assert call(capsys, "digest", site, "--state", state).code == Exit.DONE
        monkeypatch.setattr("advisor.service.weather.FRESH_FOR", timedelta(0))
        server.mode = "error 502"
        said = call(capsys, "digest", site, "--state", state)
    assert said.code == Exit.DONE
    assert "502" in said.out
