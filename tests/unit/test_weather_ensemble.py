"""The ensemble's client, branch by branch, with the transport replaced."""

from __future__ import annotations

import json
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import httpx
import numpy as np
import pytest
import respx

from advisor.weather.client import Place
from advisor.weather.ensemble import ENSEMBLE_URL, FetchedEnsemble, OpenEnsemble, members_of
from advisor.weather.errors import BadAnswer, Misconfigured, Unreachable, WeatherError

sys.path.insert(0, str(Path(__file__).parents[1] / "whole"))
from weather_server import ensemble_document

NOW = datetime(2026, 4, 9, 14, 30, tzinfo=UTC)
PLACE = Place(36.1, -79.95, 273.0)


def fetch(change: Any = None, **settings: Any) -> FetchedEnsemble:
    """A fetch whose answer `change` may spoil."""

    def answer(request: httpx.Request) -> httpx.Response:
        body = ensemble_document(request.url.params, NOW)
        if change is not None:
            body = change(body) or body
        return body if isinstance(body, httpx.Response) else httpx.Response(200, json=body)

    return OpenEnsemble(PLACE, transport=httpx.MockTransport(answer), **settings).fetch(NOW)


@respx.mock
def test_one_request_for_rain_alone() -> None:
    """Weight: 1 quantity × 51 members / 10, for 14 days; never more than one request."""
    route = respx.get(url__startswith=ENSEMBLE_URL).mock(
        side_effect=lambda r: httpx.Response(200, json=ensemble_document(r.url.params, NOW))
    )
    found = OpenEnsemble(PLACE, api_key="k3y").fetch(NOW)
    assert route.call_count == 1
    sent = dict(route.calls[0].request.url.params)
    assert (sent["hourly"], sent["models"]) == ("precipitation", "ecmwf_ifs025_ensemble")
    assert int(sent["past_days"]) + int(sent["forecast_days"]) == 14
    assert (sent["timezone"], sent["timeformat"]) == ("GMT", "unixtime")
    assert "k3y" not in found.url + repr(found)


def test_members_in_their_order_the_control_first() -> None:
    found = fetch().ensemble
    assert (found.members, found.hours) == (12, 14 * 24)
    assert found.start == datetime(2026, 4, 7, 23, tzinfo=UTC)
    assert found.columns["rain"][:, 0].tolist() == [n / 10 for n in range(12)]
    assert found.source.fetched_at == NOW


def test_several_quantities_and_a_model_s_suffix() -> None:
    """With several models the service adds the model's name; gusts not all members have."""

    def suffixed(body: dict[str, Any]) -> None:
        for part in ("hourly", "hourly_units"):
            body[part] = {
                key if key == "time" else f"{key}_some_model": value
                for key, value in body[part].items()
            }
        del body["hourly"]["wind_gusts_10m_member03_some_model"]

    asked = ("precipitation", "temperature_2m", "wind_gusts_10m")
    found = fetch(suffixed, asked=asked, model="some_model").ensemble
    assert set(found.columns) == {"rain", "air_temp", "gust"}
    assert np.isnan(found.columns["gust"][3]).all()
    assert np.isfinite(found.columns["gust"][2]).all()


def test_keys_are_read_longest_name_first() -> None:
    """Names hold digits and underscores and begin alike; what is not asked for is left alone."""
    asked = ("precipitation", "precipitation_probability", "wind_speed_10m")
    keys = (
        "time", "precipitation", "precipitation_member07", "precipitation_member07_gfs025",
        "precipitation_probability_member01", "wind_speed_10m_member12", "wind_speed_100m",
        "wind_speed_10m_member", "precipitation_member01_other", "precipitation_hours",
    )  # fmt: skip
    assert members_of(keys, asked, "gfs025") == {
        "precipitation": ("precipitation", 0),
        "precipitation_member07": ("precipitation", 7),
        "precipitation_member07_gfs025": ("precipitation", 7),
        "precipitation_probability_member01": ("precipitation_probability", 1),
        "wind_speed_10m_member12": ("wind_speed_10m", 12),
    }


def _without_rain(body: dict[str, Any], *members: int) -> None:
    for member in members:
        key = f"precipitation_member{member:02}"
        body["hourly"][key] = [None] * len(body["hourly"]["time"])


def test_a_member_without_any_rain_known_is_none() -> None:
    assert fetch(lambda body: _without_rain(body, 3, 7)).ensemble.members == 10


def test_fewer_than_ten_members_are_refused() -> None:
    with pytest.raises(BadAnswer, match=r"has 9 members .* at least 10"):
        fetch(lambda body: _without_rain(body, 3, 7, 8))


def test_no_rain_at_all_is_refused() -> None:
    def temperature_only(body: dict[str, Any]) -> None:
        body["hourly"] = {"time": body["hourly"]["time"]}

    with pytest.raises(BadAnswer, match="has 0 members"):
        fetch(temperature_only)


def test_a_null_tail_is_unknown_and_what_cannot_be_true_too() -> None:
    def spoil(body: dict[str, Any]) -> None:
        rain = body["hourly"]["precipitation_member01"]
        rain[-24:] = [None] * 24
        rain[5] = -4.0

    found = fetch(spoil)
    member = found.ensemble.columns["rain"][1]
    assert np.isnan(member[-24:]).all() and np.isnan(member[5])
    assert np.isfinite(np.delete(member[:-24], 5)).all()
    assert found.notes == ("1 value of the ensemble could not be true.",)


def test_a_column_of_undefined_unit_is_missing() -> None:
    def undefined(body: dict[str, Any]) -> None:
        body["hourly_units"]["precipitation_member02"] = "undefined"

    assert fetch(undefined).ensemble.members == 11


@pytest.mark.parametrize(
    ("change", "kind", "said"),
    [
        (lambda b: b["hourly_units"].update(precipitation_member04="inch"), BadAnswer, "inch"),
        (lambda b: b["hourly"]["precipitation"].pop(), BadAnswer, "out of step"),
        (lambda b: b["hourly"].update(time=[t + 864_000 for t in b["hourly"]["time"]]),
         BadAnswer, "machine's clock"),
        (lambda _: httpx.Response(400, json={"error": True, "reason": "no model"}),
         Misconfigured, "no model"),
        (lambda _: httpx.Response(502, text="<html>"), Unreachable, "trouble"),
        (lambda _: httpx.Response(200, text="<html>", headers={"content-type": "text/html"}),
         BadAnswer, "web page"),
        (lambda b: httpx.Response(200, content=json.dumps(b).encode()[:900],
                                  headers={"content-type": "application/json"}),
         BadAnswer, "cut short"),
    ],
)  # fmt: skip
def test_what_is_no_ensemble_is_one_of_three_errors(
    change: Any, kind: type[WeatherError], said: str
) -> None:
    with pytest.raises(kind, match=said):
        fetch(lambda body: _response_only(change(body)))


def _response_only(changed: object) -> httpx.Response | None:
    return changed if isinstance(changed, httpx.Response) else None


def test_a_daily_limit_says_when_to_ask_again() -> None:
    reason = "Daily API request limit exceeded. Please try again tomorrow."
    limit = httpx.Response(429, json={"error": True, "reason": reason})
    with pytest.raises(Unreachable) as caught:
        fetch(lambda _: limit)
    assert caught.value.retry_after == datetime(2026, 4, 10, 0, 1, tzinfo=UTC)


@pytest.mark.parametrize("model", ["", "two words", "a,b", "UPPER", "x&y=1"])
def test_a_model_s_name_is_one_word(model: str) -> None:
    with pytest.raises(Misconfigured, match="ensemble model's name"):
        fetch(model=model)


def test_steps_go_by_the_model() -> None:
    assert fetch().ensemble.step == 3
    assert fetch(model="ecmwf_aifs025_ensemble").ensemble.step == 6
