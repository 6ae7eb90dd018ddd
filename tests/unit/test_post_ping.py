"""The sign of life: asked for once, and harmless when it fails."""

from __future__ import annotations

import httpx
import pytest

from advisor.post.ping import ping

ADDRESS = "https://monitor.example.org/lawn"


def test_it_asks_once() -> None:
    asked: list[str] = []

    def answer(request: httpx.Request) -> httpx.Response:
        asked.append(str(request.url))
        return httpx.Response(200)

    assert ping(ADDRESS, httpx.MockTransport(answer)) == ""
    assert asked == [ADDRESS]


def test_a_monitor_that_refuses_is_named() -> None:
    transport = httpx.MockTransport(lambda _: httpx.Response(404))
    assert "404" in ping(ADDRESS, transport)


@pytest.mark.parametrize("error", [httpx.ConnectError("no"), httpx.ReadTimeout("slow")])
def test_a_monitor_that_is_away_harms_nothing(error: Exception) -> None:
    def answer(_: httpx.Request) -> httpx.Response:
        raise error

    assert "could not be reached" in ping(ADDRESS, httpx.MockTransport(answer))
