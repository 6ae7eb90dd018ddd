"""Storm watches: what is asked, what an answer comes to, and every way in which a look can fail."""

from __future__ import annotations

import json
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest
import respx
from hypothesis import given
from hypothesis import strategies as st
from plan_cases import files

from advisor.series.watches import Watch, Watches
from advisor.service import watches as service
from advisor.service.decide import given_for
from advisor.service.folders import read_folder
from advisor.service.health import State
from advisor.store.database import Store
from advisor.weather.client import Place
from advisor.weather.exchange import Patience, Received
from advisor.weather.watches import ALERTS_URL, StormWatches, read_alerts

sys.path.insert(0, str(Path(__file__).parents[1] / "whole"))
from weather_server import WeatherServer

NOW = datetime(2026, 9, 8, 14, 30, tzinfo=UTC)
PLACE = Place(28.53834, -81.379)


@pytest.fixture(autouse=True)
def no_proxies(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("http_proxy", "https_proxy", "all_proxy", "no_proxy"):
        monkeypatch.delenv(name, raising=False)
        monkeypatch.delenv(name.upper(), raising=False)


def alert(event: str = "Flood Watch", **more: Any) -> dict[str, Any]:
    """One alert in the service's shape (CAP terms in GeoJSON), shortened to what is read."""
    said = {
        "event": event,
        "status": "Actual",
        "messageType": "Alert",
        "effective": "2026-09-08T09:12:00-04:00",
        "onset": "2026-09-09T06:00:00-04:00",
        "expires": "2026-09-08T21:00:00-04:00",
        "ends": "2026-09-10T18:00:00-04:00",
    }
    return {"type": "Feature", "geometry": None, "properties": said | more}


def document(*alerts: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"type": "FeatureCollection", "features": list(alerts), "title": "current"} | more


def look(reply: httpx.Response | Exception) -> Watches:
    def answer(_: httpx.Request) -> httpx.Response:
        if isinstance(reply, Exception):
            raise reply
        return reply

    return StormWatches(PLACE, transport=httpx.MockTransport(answer)).look(NOW)


GEO = {"Content-Type": "application/geo+json"}


def right(*alerts: dict[str, Any], **more: Any) -> httpx.Response:
    return httpx.Response(200, json=document(*alerts, **more), headers=GEO)


@respx.mock
def test_the_service_is_asked_as_it_wants_to_be() -> None:
    """A name, the media type, a point of at most four decimals, and no other parameter."""
    route = respx.get(url__startswith=ALERTS_URL).mock(return_value=right())
    found = StormWatches(PLACE).look(NOW)
    assert found == Watches(NOW)
    (sent,) = [call.request for call in route.calls]
    assert dict(sent.url.params) == {"point": "28.5383,-81.379"}
    assert sent.headers["accept"] == "application/geo+json"
    assert sent.headers["user-agent"].startswith("swardcast/")


@pytest.mark.parametrize(
    ("place", "point"),
    [
        (Place(40.0, -80.0), "40,-80"),
        (Place(-0.00001, 0.5), "0,0.5"),
        (Place(13.4443, 144.79373), "13.4443,144.7937"),
    ],
)
def test_a_point_has_no_noughts_at_its_end(place: Place, point: str) -> None:
    asked: list[str] = []

    def answer(request: httpx.Request) -> httpx.Response:
        asked.append(request.url.params["point"])
        return right()

    StormWatches(place, transport=httpx.MockTransport(answer)).look(NOW)
    assert asked == [point]


def test_a_watch_is_in_force_from_when_it_was_given_out() -> None:
    (found,) = look(right(alert())).found
    assert found == Watch(
        "Flood Watch",
        datetime(2026, 9, 8, 13, 12, tzinfo=UTC),
        datetime(2026, 9, 10, 22, tzinfo=UTC),
    )


def test_one_without_an_end_goes_on() -> None:
    """When a message is to be written anew is no end of the watch."""
    (found,) = look(right(alert(ends=None))).found
    assert found.ends is None


@pytest.mark.parametrize(
    ("effective", "ends"),
    [
        ("0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-12:00"),
        ("2026-09-12T00:00:00Z", "2026-09-09T00:00:00Z"),
    ],
    ids=["out of all time", "over before it begins"],
)
def test_moments_that_cannot_be_true_are_not_known(effective: str, ends: str) -> None:
    """It counts as begun, and as going on."""
    (found,) = look(right(alert("Flood Watch", effective=effective, ends=ends))).found
    assert (found.begins, found.ends) == (None, None)


@pytest.mark.parametrize(
    ("event", "counts"),
    [
        ("Flood Watch", True),
        ("Flash Flood Warning", True),
        ("Coastal Flood Warning", True),
        ("Tropical Storm Watch", True),
        ("Hurricane Warning", True),
        ("Severe Thunderstorm Watch", True),
        ("Tornado Warning", True),
        ("Storm Surge Watch", True),
        ("Winter Storm Warning", True),
        ("Flood Advisory", False),
        ("Special Weather Statement", False),
        ("Freeze Warning", False),
        ("Red Flag Warning", False),
        ("Heat Advisory", False),
    ],
)
def test_what_counts_is_what_ordinances_name(event: str, counts: bool) -> None:
    """Florida towns: while a flood, tropical or hurricane watch or warning is in force."""
    assert bool(look(right(alert(event))).found) is counts


@pytest.mark.parametrize(
    ("more", "counts"),
    [
        ({"status": "Test"}, False),
        ({"status": "Exercise"}, False),
        ({"messageType": "Cancel"}, False),
        ({"messageType": "Update"}, True),
        # what does not say what it is counts
        ({"status": None, "messageType": None}, True),
    ],
)
def test_a_drill_or_a_cancelled_one_does_not_count(more: dict[str, Any], counts: bool) -> None:
    assert bool(look(right(alert(**more))).found) is counts


def test_what_an_answer_says_of_a_danger_is_fit_to_be_mailed() -> None:
    (found,) = look(right(alert("Flood Watch\n\u202eBcc: x"))).found
    assert found.event == "Flood Watch Bcc: x"


@pytest.mark.parametrize(
    "reply",
    [
        httpx.ConnectError("no route"),
        httpx.ConnectTimeout("slow"),
        httpx.RemoteProtocolError("gone"),
        httpx.Response(403, json={"title": "Forbidden"}),
        httpx.Response(404, json={"title": "Invalid point"}),
        httpx.Response(400, json={"title": "Bad request"}),
        httpx.Response(429),
        httpx.Response(500, json={"title": "Unexpected Problem"}),
        httpx.Response(503, headers={"Retry-After": "120"}),
        httpx.Response(204),
        httpx.Response(200, text="<html>Sign in</html>", headers={"Content-Type": "text/html"}),
        httpx.Response(200, content=b"", headers=GEO),
        httpx.Response(200, content=b"{", headers=GEO),
        httpx.Response(200, content=b"[" * 100_000, headers=GEO),
        httpx.Response(200, content=b'{"type": "\xff"}', headers=GEO),
        httpx.Response(200, json=[], headers=GEO),
        httpx.Response(200, json={"type": "FeatureCollection"}, headers=GEO),
        httpx.Response(200, json={"features": []}, headers=GEO),
        right(type="Feature"),
        right(alert(event=None)),
        right(alert(event="")),
        right(alert(ends="tomorrow")),
        right(alert(ends="2026-09-10T18:00:00")),
        right(pagination={"next": "https://api.weather.gov/alerts/active?cursor=x"}),
        right({"type": "Feature"}),
    ],
)
def test_a_look_that_fails_says_so_and_knows_nothing(reply: httpx.Response | Exception) -> None:
    found = look(reply)
    assert found.failure.endswith((".", "…"))
    assert found.found == ()
    assert found.looked_at == NOW


def test_a_place_that_cannot_be_is_not_asked_about() -> None:
    assert "latitude" in StormWatches(Place(99.0, 0.0)).look(NOW).failure


def test_now_needs_a_zone() -> None:
    with pytest.raises(ValueError, match="zone"):
        StormWatches(PLACE).look(datetime(2026, 9, 8))


JSON = st.recursive(
    st.none() | st.booleans() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(
        st.sampled_from(["type", "features", "properties", "event", "ends", "x"]), inner, max_size=4
    ),
    max_leaves=12,
)  # fmt: skip


@given(JSON)
def test_no_answer_of_any_shape_escapes(whole: object) -> None:
    body = json.dumps(whole).encode()
    found = look(httpx.Response(200, content=body, headers=GEO))
    assert found.failure or found.found == ()


@pytest.mark.parametrize(
    ("mode", "fails"),
    [
        ("ok", False), ("moved", False), ("cut", True), ("half", True), ("silent", True),
        ("hang up", True), ("drip", True), ("drip head", True), ("not http", True), ("html", True),
        ("error 404", True), ("error 429", True), ("error 500", True), ("error 503", True),
        ("gzip", True), ("huge", True), ("deep", True), ("empty", True), ("loop", True),
        ("elsewhere", True),
    ],
)  # fmt: skip
def test_a_real_server_that_behaves_and_one_that_does_not(mode: str, fails: bool) -> None:
    body = json.dumps(document(alert())).encode()
    with WeatherServer(lambda _: body, mode) as server:
        client = StormWatches(
            PLACE,
            base_url=f"{server.address}/alerts/active",
            patience=Patience(connect=1.0, read=0.3, total=0.4),
        )
        found = client.look(NOW)
        assert bool(found.failure) is fails
        assert len(found.found) == (0 if fails else 1)
        path, query, headers = server.requests[0]
    assert (path, dict(query)) == ("/alerts/active", {"point": "28.5383,-81.379"})
    assert headers["Accept"] == "application/geo+json"


def test_an_answer_without_a_type_of_its_own_is_refused() -> None:
    reply = Received(200, "", "", json.dumps(document()).encode())
    with pytest.raises(Exception, match="something else"):
        list(read_alerts(reply, NOW))


STORMS = '[[ordinance]]\ntitle = "County ordinance"\nstorms = true\n'
CHOSEN = '[weather]\nwatches = "us-national-service"\n'


def site(more: str) -> Any:
    found = files(more=more).site
    assert found is not None
    return found


def test_a_look_is_remembered_with_its_moment() -> None:
    """And not repeated within half an hour, whether it failed or not."""
    asks = site(STORMS + CHOSEN)
    body = json.dumps(document(alert(), alert(ends=None))).encode()
    with Store(":memory:") as store, WeatherServer(lambda _: body) as server:
        assert service.remembered(asks, store) is None
        assert service.look_out(asks, store, NOW, server.address) == ""
        found = service.remembered(asks, store)
        assert found is not None and found.looked_at == NOW
        assert found.found[0].ends == datetime(2026, 9, 10, 22, tzinfo=UTC)
        assert found.found[1].ends is None
        server.mode = "error 500"
        assert service.look_out(asks, store, NOW + timedelta(minutes=29), server.address) == ""
        assert len(server.requests) == 1
        assert "trouble" in service.look_out(
            asks, store, NOW + timedelta(minutes=30), server.address
        )
        found = service.remembered(asks, store)
        assert found is not None and "trouble" in found.failure


@pytest.mark.parametrize("more", ["", STORMS, CHOSEN, STORMS + CHOSEN + 'recorded = "weather"\n'])
def test_nobody_is_asked_without_a_law_of_storms_and_the_owners_word(more: str) -> None:
    with Store(":memory:") as store:
        assert service.look_out(site(more), store, NOW, "http://127.0.0.1:1") == ""
        assert service.remembered(site(more), store) is None


def test_the_doctor_tells_what_the_last_look_found() -> None:
    asks = site(STORMS + CHOSEN)
    body = json.dumps(document(alert("Hurricane Watch"))).encode()
    with Store(":memory:") as store, WeatherServer(lambda _: body) as server:
        assert list(service.looked_out(site(STORMS), store)) == []
        (never,) = service.looked_out(asks, store)
        assert (never.state, "nobody was asked" in never.text) == (State.FAULT, True)
        service.look_out(asks, store, NOW, server.address)
        (well,) = service.looked_out(asks, store)
        assert (well.state, "Hurricane Watch" in well.text) == (State.OK, True)
        server.mode = "error 500"
        service.look_out(asks, store, NOW + timedelta(hours=1), server.address)
        (failed,) = service.looked_out(asks, store)
        assert (failed.state, "trouble" in failed.text) == (State.FAULT, True)
        assert "watch until" in failed.mend


def test_a_decision_rests_on_the_last_look(tmp_path: Path) -> None:
    folder = tmp_path / "site"
    folder.mkdir()
    (folder / "site.toml").write_text(
        'id = "x"\ntitle = "X"\nunits = "us"\n[place]\nlatitude = 28.5\nlongitude = -81.4\n'
        'elevation = "90 ft"\nzone = "America/New_York"\n[[lawn]]\nname = "front"\n'
        'grass = "st-augustinegrass"\narea = "4000 ft2"\nsoil = "sand"\n' + STORMS + CHOSEN
    )
    read = read_folder(folder, None, today=NOW.date())
    assert read.files.site is not None
    body = json.dumps(document(alert())).encode()
    with Store(":memory:") as store, WeatherServer(lambda _: body) as server:
        assert given_for(read, read.files.site, store, NOW)[0].watches is None
        service.look_out(read.files.site, store, NOW, server.address)
        found = given_for(read, read.files.site, store, NOW)[0].watches
    assert found is not None and found.found[0].event == "Flood Watch"
