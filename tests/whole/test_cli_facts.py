"""`swardcast facts`: the vocabulary, and what each fact is on the demo's lawns."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from command_line import call, demo, free_port, on_a_service

from advisor.cli.exits import Exit
from advisor.conditions.vocabulary import FACTS, SINCE


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return demo(tmp_path)


@pytest.fixture
def state(tmp_path: Path) -> Path:
    return tmp_path / "state"


def test_without_a_site_it_is_the_vocabulary(capsys: pytest.CaptureFixture[str]) -> None:
    """Both systems of units, and no value."""
    said = call(capsys, "facts")
    assert (said.code, said.err) == (Exit.DONE, "")
    assert said.out.startswith(
        "Weather\n=======\nair_temp: temperature, -76 °F to 140 °F (-60.0 °C"
    )
    assert "Now" not in said.out


def test_a_site_adds_its_values(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """With where they come from; the two lawns' grasses and soils differ, their air does not."""
    said = call(capsys, "facts", site, "--on", "2025-07-15", "--state", state)
    assert said.code == Exit.DONE
    assert said.out.startswith("Tansy Hollow, Tue Jul 15")
    assert "  Now: 96 °F on both lawns (forecast of the recorded weather).\n" in said.out
    assert "  Now: heat-stressed on Front lawn (soil at 10 cm" in said.out
    assert "  Now: unknown on both lawns.\n" in said.out
    assert max(len(line) for line in said.out.splitlines()) <= 80


def test_as_a_document(capsys: pytest.CaptureFixture[str], site: Path, state: Path) -> None:
    plain = json.loads(call(capsys, "facts", "--json").out)
    valued = json.loads(call(capsys, "facts", site, "--json", "--state", state).out)
    names = [*FACTS, *(f"days since {name}" for name in SINCE)]
    for found in (plain, valued):
        assert found["version"] == 1
        assert sorted(fact["name"] for fact in found["facts"]) == sorted(names)
    assert not any("today" in fact for fact in plain["facts"])
    by_name = {fact["name"]: fact for fact in valued["facts"]}
    assert [one["lawn"] for one in by_name["grass"]["today"]] == ["front", "back"]
    assert {one["depth_m"] for one in by_name["soil_temp"]["today"]} >= {0.0508}
    assert by_name["sun"]["today"] == []
    assert by_name["air_max"]["unit"] == "C"
    assert 15 < by_name["air_max"]["today"][0]["low"] < 25


def test_without_a_forecast_the_vocabulary_is_told_all_the_same(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    on_a_service(site, f"http://127.0.0.1:{free_port()}")
    said = call(capsys, "facts", site, "--state", state)
    assert said.code == Exit.NO_FORECAST
    assert "air_temp: temperature" in said.out
    assert said.err.endswith("There is no forecast: none could be fetched yet.\n")
