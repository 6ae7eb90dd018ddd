"""The daemon's looks and ticks, with clocks that are set by hand and a stand-in for the turn."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from daemon_cases import (
    BELIEVED,
    FAST,
    NOON,
    Hands,
    Running,
    daemon,
    heard,
    in_the_background,
    lay_site,
    settle,
    store_wake,
    until,
)
from hypothesis import given
from hypothesis import strategies as st

from advisor.service.daemon import AT_ONCE, Clocks, EverySoOften, turn_command
from advisor.service.disk import STATE_FILE_MODE, STATE_MODE
from advisor.service.folders import database_file, state_folder
from advisor.service.lock import DAEMON_LOCK, HeldError, LockError, take_lock
from advisor.service.served import Pace
from advisor.service.sites import DATABASE, SiteError, site_folders, site_id, state_base, wake_at
from advisor.service.stop import Stop

CALM = replace(FAST, deadline=60.0)
"""With clocks that are set by hand a deadline must not pass by itself."""


@pytest.fixture(autouse=True)
def quiet() -> Iterator[None]:
    """The log lines of one test are not printed into another."""
    logger = logging.getLogger("swardcast")
    logger.propagate = False
    yield
    logger.propagate = True


# Waking.


def test_wakes_when_due_and_not_before(tmp_path: Path) -> None:
    """At the second that was written down, which the turn itself then moves on."""
    home, hands, turn = lay_site(tmp_path / "home"), Hands(), Running(wake=NOON + 7200)
    store_wake(tmp_path / "state" / "home", "home", str(NOON + 600))
    with daemon([home], tmp_path / "state", turn, hands, CALM) as made:
        settle(made)
        hands.pass_(599)
        settle(made)
        assert turn.begun == []
        hands.pass_(1)
        settle(made)
        assert turn.begun == [home]
        hands.pass_(7200 - 601)
        settle(made)
        assert turn.begun == [home]
        hands.pass_(1)
        turn.wake = NOON + 1e4
        settle(made)
        assert turn.begun == [home, home]


@pytest.mark.parametrize("stored", [None, "soon", "", "nan", "inf", NOON - 1e6])
def test_wakes_at_once_without_a_time_to_come(tmp_path: Path, stored: object) -> None:
    """A first run, a value that is none, and a machine that was off at the time."""
    home, turn = lay_site(tmp_path / "home"), Running()
    store_wake(tmp_path / "state" / "home", "home", stored)
    with daemon([home], tmp_path / "state", turn, Hands(), CALM) as made:
        settle(made)
    assert turn.begun == [home]


def test_wakes_at_once_when_the_database_is_none(tmp_path: Path) -> None:
    """The turn is the one to say what is wrong with it."""
    home, turn = lay_site(tmp_path / "home"), Running(wake=None, code=75)
    (tmp_path / "state" / "home").mkdir(parents=True)
    (tmp_path / "state" / "home" / DATABASE).write_text("no database " * 100)
    with daemon([home], tmp_path / "state", turn, Hands(), CALM) as made:
        settle(made)
    assert turn.begun == [home]


def test_a_time_far_ahead_is_not_believed(tmp_path: Path) -> None:
    """It was written while the clock was wrong; a turn is run each 25 hours all the same."""
    home, hands, turn = lay_site(tmp_path / "home"), Hands(), Running(wake=NOON + 1e9)
    store_wake(tmp_path / "state" / "home", "home", str(NOON + 1e9))
    with daemon([home], tmp_path / "state", turn, hands, CALM) as made:
        settle(made)
        assert len(turn.begun) == 1
        hands.pass_(25 * 3600 - 1)
        settle(made)
        assert len(turn.begun) == 1
        hands.pass_(1)
        settle(made)
        assert len(turn.begun) == 2


@given(stored=st.floats(min_value=-1e12, max_value=1e12), passed=st.floats(0, 1e7))
def test_never_sleeps_longer_than_it_should(
    tmp_path_factory: pytest.TempPathFactory, stored: float, passed: float
) -> None:
    """Whatever time is stored: no site is left alone for more than 25 hours, nor woken early by
    a time that can be believed."""
    folder = tmp_path_factory.mktemp("sleep")
    home, hands = lay_site(folder / "home"), Hands()
    store_wake(folder / "state" / "home", "home", str(stored))
    with daemon([home], folder / "state", Running(), hands, CALM) as made:
        hands.pass_(passed)
        (site,) = made.served
        now = Clocks(lambda: hands.wall, lambda: hands.steady).now()
        due = site.due_at(now)
    assert due <= now.wall + 25 * 3600
    if 0 < stored - now.wall <= 25 * 3600:
        assert due == stored


def test_looking_at_the_wake_time_leaves_nothing_behind(tmp_path: Path) -> None:
    """No file beside the database, which a reader without rights would stumble over."""
    store_wake(tmp_path, "home", str(NOON))
    before = sorted(path.name for path in tmp_path.iterdir())
    assert wake_at(tmp_path, "home") == NOON
    assert wake_at(tmp_path, "elsewhere") is None
    assert sorted(path.name for path in tmp_path.iterdir()) == before == [DATABASE]


# Turns that go wrong.


@pytest.mark.parametrize(
    "turn",
    [Running(code=1), Running(code=78), Running(code=-9), Running(wake=None), Running(wake=NOON)],
    ids=["crash", "site is wrong", "odd code", "no time", "time not moved"],
)
def test_failed_turn_is_retried_after_5_minutes_doubling_to_an_hour(
    tmp_path: Path, turn: Running
) -> None:
    home, hands = lay_site(tmp_path / "home"), Hands()
    with heard() as lines, daemon([home], tmp_path / "state", turn, hands, CALM) as made:
        settle(made)
        for number, minutes in enumerate([5, 10, 20, 40, 60, 60, 60], start=1):
            assert len(turn.begun) == number
            hands.pass_(minutes * 60 - 1)
            settle(made)
            assert len(turn.begun) == number
            hands.pass_(1)
            settle(made)
        turn.code, turn.wake = 0, hands.wall + 9000
        hands.pass_(3600)
        settle(made)
    said = [line for line in lines if "home: the turn" in line]
    assert len(said) == 2, "a fault that stays is told once"
    assert "next try in 5 minutes" in said[0]
    assert said[1] == "home: the turn works again."


@pytest.mark.parametrize("code", [69, 75])
def test_turn_that_will_try_again_is_no_failure(tmp_path: Path, code: int) -> None:
    """No forecast, or a busy disk: it has written down itself when to come back."""
    home, hands, turn = lay_site(tmp_path / "home"), Hands(), Running(code=code, wake=NOON + 60)
    with heard() as lines, daemon([home], tmp_path / "state", turn, hands, CALM) as made:
        settle(made)
        turn.wake = NOON + 120
        hands.pass_(60)
        settle(made)
    assert len(turn.begun) == 2
    assert lines == []


def test_mended_site_file_is_tried_at_once(tmp_path: Path) -> None:
    """Its owner does not wait an hour to see whether it is right now."""
    home, hands, turn = lay_site(tmp_path / "home"), Hands(), Running(code=78, wake=None)
    with daemon([home], tmp_path / "state", turn, hands, CALM) as made:
        settle(made)
        hands.pass_(30)
        settle(made)
        assert len(turn.begun) == 1
        (home / "shelf.toml").write_text("# mended\n")
        settle(made)
        assert len(turn.begun) == 2


def test_program_that_cannot_be_started(tmp_path: Path) -> None:
    home, hands, turn = lay_site(tmp_path / "home"), Hands(), Running()
    with heard() as lines, daemon([home], tmp_path / "state", turn, hands, CALM) as made:
        made._command = lambda _folder, _base: ["/nonexistent/program"]
        settle(made)
    assert lines == [
        "home: the turn could not be started: No such file or directory; next try in 5 minutes."
    ]


@pytest.mark.parametrize("deaf", [False, True], ids=["asked", "killed"])
def test_turn_beyond_its_deadline_is_ended(tmp_path: Path, deaf: bool) -> None:
    """Asked first; killed when it does not listen."""
    home, hands = lay_site(tmp_path / "home"), Hands()
    turn = Running(sleeps=60.0, deaf=deaf)
    pace = Pace(deadline=900.0, grace=10.0)
    with heard() as lines, daemon([home], tmp_path / "state", turn, hands, pace) as made:
        made.look(patience=0.0)
        (child,) = [site.child for site in made.served]
        assert child is not None
        until((tmp_path / "state" / "home" / "turns").exists)
        hands.pass_(899)
        made.look(patience=0.0)
        assert child.ended() is None
        hands.pass_(1)
        made.look(patience=0.0)
        assert child.wait(0.3) is not deaf
        hands.pass_(10)
        made.look(patience=0.0)
        assert child.wait(5.0)
        made.look(patience=0.0)
        assert made.served[0].child is None
    assert lines == [
        "home: the turn had not ended after 15 minutes and was stopped; next try in 5 minutes."
    ]


# Many sites, and those that are broken.


def test_folder_of_sites_serves_each_and_finds_new_ones(tmp_path: Path) -> None:
    sites, turn = tmp_path / "sites", Running(wake=NOON + 9000)
    for name in ("b", "a"):
        lay_site(sites / name)
    (sites / "notes").mkdir()
    lay_site(sites / ".hidden")
    with daemon([sites], tmp_path / "state", turn, Hands(), CALM) as made:
        settle(made)
        assert sorted(turn.begun) == [sites / "a", sites / "b"]
        lay_site(sites / "c")
        settle(made)
        assert turn.begun[2:] == [sites / "c"]


def test_one_folder_named_twice_is_served_once(tmp_path: Path) -> None:
    home, turn = lay_site(tmp_path / "home"), Running()
    with daemon([home, tmp_path, home], tmp_path / "state", turn, Hands(), CALM) as made:
        settle(made)
    assert turn.begun == [home]


def test_not_more_than_two_turns_at_once(tmp_path: Path) -> None:
    """The others come as soon as those have ended, within the same tick."""
    for number in range(5):
        lay_site(tmp_path / "sites" / f"s{number}")
    turn = Running(wake=NOON + 9000, sleeps=0.1)
    with daemon([tmp_path / "sites"], tmp_path / "state", turn, Hands(), CALM) as made:
        made.look(patience=0.0)
        assert len(turn.begun) == AT_ONCE == 2
        stepping = Clocks(lambda: NOON, Clocks().steady)
        made._clocks = stepping
        made.look(patience=20.0)
        assert len(turn.begun) == 5
        settle(made)


def test_broken_site_is_told_once_and_looked_at_again(tmp_path: Path) -> None:
    """One line when it breaks, one when it is mended; the other site goes on."""
    sites, turn, hands = tmp_path / "sites", Running(wake=NOON + 60), Hands()
    good, bad = lay_site(sites / "good"), lay_site(sites / "bad")
    (bad / "site.toml").write_text("id = ")
    with heard() as lines, daemon([sites], tmp_path / "state", turn, hands, CALM) as made:
        for _ in range(4):
            settle(made)
        assert turn.begun == [good]
        assert len(lines) == 1
        assert "bad/site.toml is no TOML" in lines[0]
        assert "not served" in lines[0]
        lay_site(bad)
        settle(made)
        assert turn.begun == [good, bad]
        (bad / "site.toml").write_text("half saved")
        hands.pass_(60)
        turn.wake = NOON + 120
        settle(made)
        assert turn.begun == [good, bad, good], "a site that broke later is skipped, too"
    assert [line.rpartition(": ")[2] for line in lines[1:2]] == ["mended."]


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        (b"", "names no site"),
        (b"id = 3", "names no site"),
        (b'id = "../up"', "names no site"),
        (b'id = "Home"', "names no site"),
        (b'id = "a\\nb"', "names no site"),
        (b"id = \xff", "is no TOML"),
        (b"[" * 5000, "is no TOML"),
        (b"#" * 2_000_001, "larger than 2 MB"),
    ],
)
def test_site_without_a_usable_name(tmp_path: Path, text: bytes, wrong: str) -> None:
    """A name becomes a folder's name: nothing else is taken for one."""
    (tmp_path / "site.toml").write_bytes(text)
    with pytest.raises(SiteError, match=wrong):
        site_id(tmp_path)


def test_two_sites_of_one_name(tmp_path: Path) -> None:
    """They would share a state: the second is not served, and told why."""
    lay_site(tmp_path / "sites" / "a", "home")
    lay_site(tmp_path / "sites" / "b", "home")
    turn = Running(code=75)
    with (
        heard() as lines,
        daemon([tmp_path / "sites"], tmp_path / "state", turn, Hands(), CALM) as made,
    ):
        made.look(patience=0.0)
        assert turn.begun == [tmp_path / "sites" / "a"]
        assert "same id" in lines[0]
        child = made.served[0].child
        assert child is not None
        child.wait(10)


def test_renamed_and_removed_sites_are_given_back(tmp_path: Path) -> None:
    """Another daemon may have the state that this one no longer uses."""
    sites, base, turn = tmp_path / "sites", tmp_path / "state", Running()
    lay_site(sites / "home")
    with daemon([sites], base, turn, Hands(), CALM) as made:
        settle(made)
        lay_site(sites / "home", "elsewhere")
        made._survey()
        take_lock(base / "home", DAEMON_LOCK).release()
        with pytest.raises(HeldError):
            take_lock(base / "elsewhere", DAEMON_LOCK)
        (sites / "home" / "site.toml").unlink()
        made._survey()
        assert made.served == ()
        take_lock(base / "elsewhere", DAEMON_LOCK).release()


def test_what_is_no_folder_is_refused_at_the_start(tmp_path: Path) -> None:
    """A slip in the unit's own line must not become a service that waits for ever."""
    (tmp_path / "file").write_text("")
    for named, wrong in ((tmp_path / "none", "cannot be looked into"), (tmp_path / "file", "no f")):
        with (
            pytest.raises(SiteError, match=wrong),
            daemon([named], tmp_path / "state", Running(), Hands(), CALM),
        ):
            pass
        with pytest.raises(SiteError):
            site_folders(named)


def test_second_daemon_is_refused(tmp_path: Path) -> None:
    """At its start; for a site that comes later it is a fault that is told, and ends by itself."""
    sites, base = tmp_path / "sites", tmp_path / "state"
    home = lay_site(sites / "home")
    with daemon([sites], base, Running(), Hands(), CALM) as first:
        with pytest.raises(HeldError), daemon([home], base, Running(), Hands(), CALM):
            pass
        lay_site(tmp_path / "more" / "other")
        turn = Running()
        with heard() as lines, daemon([tmp_path / "more"], base, turn, Hands(), CALM) as second:
            lay_site(tmp_path / "more" / "home")
            settle(second)
            assert "another daemon serves it" in lines[0]
            first.close()
            settle(second)
            assert turn.begun == [tmp_path / "more" / "other", tmp_path / "more" / "home"]


def test_state_that_cannot_be_made_is_refused(tmp_path: Path) -> None:
    home = lay_site(tmp_path / "home")
    (tmp_path / "state").write_text("")
    with (
        pytest.raises(LockError, match="--state"),
        daemon([home], tmp_path / "state", Running(), Hands(), CALM),
    ):
        pass


# The clock.


def test_tick_is_a_minute_after_now_wherever_the_clock_goes() -> None:
    """No list of all the times that a jump of 56 years passed over."""
    trigger, now = EverySoOften(60.0), datetime(2026, 12, 1, tzinfo=UTC)
    long_ago = datetime(1970, 1, 1, tzinfo=UTC)
    for previous in (None, long_ago, now, datetime(2090, 1, 1, tzinfo=UTC)):
        assert trigger.get_next_fire_time(previous, now) == now + timedelta(seconds=60)


def test_nothing_is_done_before_the_clock_is_set(tmp_path: Path) -> None:
    """A board without a battery starts in 1970."""
    home, hands, turn = lay_site(tmp_path / "home"), Hands(wall=3600.0), Running()
    with heard() as lines, daemon([home], tmp_path / "state", turn, hands, CALM) as made:
        settle(made)
        hands.pass_(600)
        settle(made)
        assert turn.begun == []
        hands.wall = BELIEVED
        settle(made)
        assert turn.begun == [home]
    assert [line.split(" ")[1:3] for line in lines] == [["clock", "says"], ["clock", "is"]]


@pytest.mark.parametrize("step", [-3600.0, 8 * 3600.0], ids=["back", "forward"])
def test_clock_that_is_set_has_every_site_looked_at(tmp_path: Path, step: float) -> None:
    """At once, though the next tick is far away; and each site is woken, whose stored time was
    reckoned on a clock that no longer holds."""
    home, hands, stop = lay_site(tmp_path / "home"), Hands(), Stop()
    turn = Running(wake=NOON + 9 * 3600)
    pace = replace(CALM, tick=3600.0, clocks=0.01)
    store_wake(tmp_path / "state" / "home", "home", str(NOON + 9 * 3600))
    with (
        heard() as lines,
        daemon([home], tmp_path / "state", turn, hands, pace, stop=stop) as made,
        in_the_background(made, stop),
    ):
        until(lambda: bool(lines))
        assert turn.begun == []
        hands.wall += step
        until(lambda: len(turn.begun) == 1)
    way = "set back by 1:00:00" if step < 0 else "slept) by 8:00:00"
    assert [way in line for line in lines] == [False, True]


def test_clock_that_is_nudged_is_not_set(tmp_path: Path) -> None:
    """A time server moves it by seconds each day."""
    home, hands, stop = lay_site(tmp_path / "home"), Hands(), Stop()
    store_wake(tmp_path / "state" / "home", "home", str(NOON + 3600))
    pace = replace(CALM, tick=3600.0, clocks=0.01)
    with (
        heard() as lines,
        daemon([home], tmp_path / "state", Running(), hands, pace, stop=stop) as made,
    ):
        before = made._clocks.now()
        hands.pass_(86400)
        hands.wall += 9
        assert not made._was_set(before, made._clocks.now())
        hands.wall += 2
        assert made._was_set(before, made._clocks.now())
    assert len(lines) == 1


# Ticks and the end.


class Manager:
    """A service manager that is only counted."""

    def __init__(self) -> None:
        self.said: list[str] = []

    def ready(self, status: str) -> bool:
        self.said.append(f"ready {status}")
        return True

    def alive(self, status: str) -> bool:
        self.said.append(f"alive {status}")
        return True

    def stopping(self) -> bool:
        self.said.append("stopping")
        return True


def test_watchdog_is_fed_by_ticks_only(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A tick that hangs starves it, though the main thread goes on comparing its clocks."""
    home, stop, manager = lay_site(tmp_path / "home"), Stop(), Manager()
    store_wake(tmp_path / "state" / "home", "home", str(NOON + 3600))
    pace = replace(CALM, tick=0.02, clocks=0.01)
    with daemon([home], tmp_path / "state", Running(), Hands(), pace, stop=stop) as made:
        monkeypatch.setattr(made, "_notifier", manager)
        with in_the_background(made, stop):
            until(lambda: len(manager.said) > 4)
            assert manager.said[0].startswith("ready 1 served; next: home at 2027-")
            looks: list[float] = []

            def hang(patience: float) -> None:
                looks.append(patience)
                stop.wait(30)

            monkeypatch.setattr(made, "look", hang)
            until(lambda: bool(looks))
            fed = len(manager.said)
            assert not stop.wait(0.3)
            assert len(manager.said) == fed
    assert manager.said.count("stopping") == 1


def test_ready_comes_after_the_first_look(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    home, stop, manager, turn = lay_site(tmp_path / "home"), Stop(), Manager(), Running()
    stop.ask()
    with daemon([home], tmp_path / "state", turn, Hands(), CALM, stop=stop) as made:
        monkeypatch.setattr(made, "_notifier", manager)
        monkeypatch.setattr(made, "look", lambda patience: manager.said.append(f"look {patience}"))
        assert made.run()
    assert [word.split()[0] for word in manager.said] == ["look", "ready", "stopping"]


def test_tick_that_fails_ends_the_daemon(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The scheduler would log it and go on, each minute; the service manager begins anew."""
    home, stop = lay_site(tmp_path / "home"), Stop()
    logging.getLogger("apscheduler").addHandler(logging.NullHandler())
    with daemon([home], tmp_path / "state", Running(code=75), Hands(), CALM, stop=stop) as made:

        def fail() -> None:
            raise SystemExit(3)

        monkeypatch.setattr(made, "tick", fail)
        with in_the_background(made, stop) as ended:
            until(lambda: bool(ended))
    assert ended == [False]


def test_stop_ends_the_turn(tmp_path: Path) -> None:
    """It is asked, and waited for, before the sites are given back."""
    home, stop = lay_site(tmp_path / "home"), Stop()
    turn = Running(sleeps=60.0)
    with daemon([home], tmp_path / "state", turn, Hands(), CALM, stop=stop) as made:
        with in_the_background(made, stop) as ended:
            until((tmp_path / "state" / "home" / "turns").exists)
        (site,) = made.served
        assert site.child is not None
        assert site.child.ended() == -15
    assert ended == [True]


# What it shares with the rest, without the heavy imports.


@pytest.mark.parametrize(
    ("given_state", "environment"),
    [
        ("/srv/state", {"STATE_DIRECTORY": "/var/lib/swardcast"}),
        (None, {"STATE_DIRECTORY": "/var/lib/swardcast:/var/lib/more"}),
        (None, {"XDG_STATE_HOME": "/home/ada/.state"}),
        (None, {}),
    ],
)
def test_state_lies_where_the_commands_look(
    given_state: str | None, environment: dict[str, str]
) -> None:
    expected = state_folder("home", given_state, environment)
    assert state_base(given_state, environment) / "home" == expected
    assert database_file(expected).name == DATABASE


def test_state_has_the_rights_that_the_commands_give_it(tmp_path: Path) -> None:
    lock = take_lock(tmp_path / "state" / "home", DAEMON_LOCK)
    assert (tmp_path / "state" / "home").stat().st_mode & 0o777 == STATE_MODE & ~0o022
    assert lock.path.stat().st_mode & 0o777 == STATE_FILE_MODE & ~0o022
    lock.release()


def test_turn_is_the_command_itself(tmp_path: Path) -> None:
    words = turn_command(tmp_path / "home", tmp_path / "state")
    assert words[1:] == [
        "-m", "advisor.cli.main", "turn", str(tmp_path / "home"), "--state", str(tmp_path / "state")
    ]  # fmt: skip
