"""The units, judged by systemd's own tool. They are not started here: that needs a machine whose
first process is systemd."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

UNITS = Path(__file__).parents[2] / "systemd"
SERVICES = ("swardcast.service", "swardcast-turn.service")
ALL = (*SERVICES, "swardcast-turn.timer")
EXPOSURE_AT_MOST = 1.5
TARGETS = (
    "sysinit", "basic", "shutdown", "network-online", "time-sync", "timers", "multi-user"
)  # fmt: skip
"""What units name of the system they are installed on."""


def tool(name: str) -> str:
    """One of systemd's programs. Without it nothing is known of the units: that is a failure."""
    found = shutil.which(name)
    if found is None:
        pytest.fail(f"{name} is not there: install it (Debian: apt-get install systemd)")
    return found


def answer(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(words, capture_output=True, text=True, timeout=60, check=False)


def values(unit: str, key: str) -> list[str]:
    """Every value that a unit gives to a key."""
    text = (UNITS / unit).read_text(encoding="utf-8")
    return re.findall(rf"^{re.escape(key)}=(.*)$", text, re.MULTILINE)


@pytest.fixture
def system(tmp_path: Path) -> Path:
    """The root of a system on which these units and the program are installed."""
    units = tmp_path / "etc" / "systemd" / "system"
    units.mkdir(parents=True)
    for target in TARGETS:
        (units / f"{target}.target").write_text("[Unit]\nDescription=a target\n")
    for unit in ALL:
        shutil.copy(UNITS / unit, units)
    program = tmp_path / "opt" / "swardcast" / "bin" / "swardcast"
    program.parent.mkdir(parents=True)
    program.write_text("#!/bin/sh\n")
    program.chmod(0o755)
    return tmp_path


def verified(system: Path, unit: str) -> str:
    """What `systemd-analyze verify` complains of; the empty text if it is content."""
    done = answer(
        tool("systemd-analyze"), "verify", "--man=no", "--recursive-errors=yes",
        f"--root={system}", unit,
    )  # fmt: skip
    said = done.stdout + done.stderr
    assert said or done.returncode == 0, f"verify ended with {done.returncode} and no word"
    return said


@pytest.mark.parametrize("unit", ALL)
def test_unit_is_sound(system: Path, unit: str) -> None:
    assert verified(system, unit) == ""


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("WatchdogSec=300", "WatchdogSecs=300"),
        ("WatchdogSec=300", "WatchdogSec=soon"),
        ("/opt/swardcast/bin/swardcast run", "/opt/swardcast/bin/other run"),
    ],
)
def test_verify_sees(system: Path, old: str, new: str) -> None:
    """The check itself: a slip in a key, a value or the program's path is complained of."""
    unit = system / "etc" / "systemd" / "system" / "swardcast.service"
    text = unit.read_text(encoding="utf-8")
    assert text.count(old) == 1
    unit.write_text(text.replace(old, new), encoding="utf-8")
    assert verified(system, "swardcast.service") != ""


@pytest.mark.parametrize("unit", SERVICES)
def test_exposure(unit: str) -> None:
    """At most 1.5 of 10, as systemd reckons it."""
    done = answer(
        tool("systemd-analyze"), "security", "--offline=true", "--no-pager", str(UNITS / unit)
    )
    found = re.search(r"Overall exposure level for \S+: ([0-9.]+)", done.stdout)
    assert found, done.stdout + done.stderr
    assert float(found[1]) <= EXPOSURE_AT_MOST


def test_user_is_made(tmp_path: Path) -> None:
    """By systemd's own tool, in a system that has nobody: the user and the group of both units."""
    (tmp_path / "etc").mkdir()
    done = answer(tool("systemd-sysusers"), f"--root={tmp_path}", str(UNITS / "swardcast.sysusers"))
    assert done.returncode == 0, done.stderr
    user = (tmp_path / "etc" / "passwd").read_text().split(":")
    assert user[0] == "swardcast"
    assert user[5] == "/var/lib/swardcast"
    assert user[6].strip().endswith("nologin")
    assert (tmp_path / "etc" / "group").read_text().startswith("swardcast:")
    for unit in SERVICES:
        assert values(unit, "User") == values(unit, "Group") == ["swardcast"]


@pytest.mark.parametrize("unit", SERVICES)
def test_group_may_read_the_state(unit: str) -> None:
    """The owner's commands look into it by the group; nobody else does."""
    assert values(unit, "UMask") == ["0027"]
    assert values(unit, "StateDirectoryMode") == ["0750"]
    assert values(unit, "StateDirectory") == ["swardcast"]


@pytest.mark.parametrize("unit", SERVICES)
def test_password_comes_as_a_credential(unit: str) -> None:
    """And never by the environment."""
    assert values(unit, "LoadCredential") == ["smtp-password:swardcast-smtp-password"]
    assert [value for value in values(unit, "Environment") if "PASS" in value.upper()] == []


def test_both_services_are_shut_in_alike() -> None:
    """What the one may not do the other may not either."""

    def walls(unit: str) -> list[str]:
        text = (UNITS / unit).read_text(encoding="utf-8")
        inside = text[text.index("ProtectSystem=") :].split("[Install]")[0]
        return [line for line in inside.splitlines() if line and not line.startswith("#")]

    assert walls(SERVICES[0]) == walls(SERVICES[1])
    assert len(walls(SERVICES[0])) > 25


def test_timer_makes_up_for_a_night_switched_off() -> None:
    """And is scattered, so that not every home asks at the full minute."""
    assert values("swardcast-turn.timer", "Persistent") == ["true"]
    assert values("swardcast-turn.timer", "RandomizedDelaySec") == ["5min"]
    done = answer(
        tool("systemd-analyze"), "calendar", "--iterations=3", "--base-time=2026-11-25 00:01:00",
        *values("swardcast-turn.timer", "OnCalendar"),
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert re.findall(r"00:(\d\d):00", done.stdout)[:3] == ["15", "30", "45"]
