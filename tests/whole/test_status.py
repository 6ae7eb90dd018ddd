"""`status`: what the service did last, what waits, what is overdue, and its exit code."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from command_line import demo
from doctor_cases import ask, findings, put, well

from advisor.cli import status
from advisor.cli.exits import Exit


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return demo(tmp_path)


@pytest.fixture
def state(tmp_path: Path) -> Path:
    return tmp_path / "state"


def test_status_of_a_service_that_is_well(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """Last fetch, decision and mail, the next digest, and an exit code of nothing overdue."""
    well(state).close()
    said = ask(capsys, status, site, state)
    assert said.code == Exit.DONE, said.out
    assert said.out == (
        "Tansy Hollow, Tue Apr 1, 06:00 (America/New_York)\n"
        "\n"
        "Last forecast  Tue Apr 1, 04:00 (2 hours ago)\n"
        "Last decision  Sun Mar 30, 06:00 (2 days ago)\n"
        "Last mail      Sun Mar 30, 06:00 (2 days ago); newest digest: Sun Mar 30\n"
        "Waiting mail   none\n"
        "Next digest    Sun Apr 6, 06:00\n"
        "Looks again    Tue Apr 1, 06:01\n"
        "\n"
        "Nothing is overdue.\n"
    )


def test_status_of_a_service_that_never_ran(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """Nothing is made by looking."""
    said = ask(capsys, status, site, state)
    assert said.code == Exit.PROBLEMS
    assert said.out.count("none yet") == 3
    assert "The service has not run for this site yet." in said.out
    assert not state.exists()


def test_what_waits_and_what_was_given_up(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """Both are told with their reason, by `status` and by `doctor`."""
    with well(state) as store:
        put(store, 1, "alert-1", "dead")
        put(store, 0, "alert-2", "ready")
    said = ask(capsys, status, site, state)
    assert said.code == Exit.PROBLEMS
    plain = " ".join(said.out.split())
    assert "tried once, next at Tue Apr 1, 06:05. The server is not there." in plain
    assert "OVERDUE The alert of Mon Mar 31 to ada@tansy-hollow.example could not be" in plain
    assert "550 gone" in plain
    document = json.loads(ask(capsys, status, site, state, as_json=True).out)
    assert [letter["purpose"] for letter in document["waiting"]] == ["alert-2"]
    assert [letter["purpose"] for letter in document["given_up"]] == ["alert-1"]
    assert document["next_digest"] == "2025-04-06T10:00:00+00:00"
    assert len(document["overdue"]) == 1
    assert "550 gone" in findings(capsys, site, state)["Mail"]["text"]


def test_past_weather_that_is_not_to_be_had_is_one_line(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """It is a warning: no digest waits for it, and nothing is overdue."""
    with well(state) as store:
        store.remember("36.5500,-80.3500", "archive_error", "The archive is down.")
    said = ask(capsys, status, site, state)
    assert said.code == Exit.DONE
    assert "Past weather   not to be had: The archive is down.\n" in said.out
    document = json.loads(ask(capsys, status, site, state, as_json=True).out)
    assert document["past_weather_error"] == "The archive is down."
    told = findings(capsys, site, state)["Past weather"]
    assert (told["state"], told["text"]) == ("warning", "The archive is down.")
