"""A past season lived again, on the whole path: the demo's recording, a store, a real station.

The demo is invented: it shows that the parts fit, never that the advice is right.
"""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from chicago import SITE as CHICAGO
from chicago import station
from command_line import call, demo, program
from demo_year import FOLDER, decide_on, demo_site, morning, rulebook

from advisor.cli.exits import Exit
from advisor.digest.files import plan_json
from advisor.plan.model import Verdict
from advisor.plan.replay import digest_days
from advisor.plan.replay_model import Replay, Run
from advisor.plan.replay_owner import JOURNAL, read_on
from advisor.plan.replay_totals import from_journal
from advisor.series.hourly import Series, Source
from advisor.service.folders import Read, read_folder
from advisor.service.places import place_key
from advisor.service.replay import Asked, PastWeather, ReplayError, past_weather, replay
from advisor.site.place import Site
from advisor.site.sums import sums
from advisor.store.database import Store
from advisor.weather.service import Fetched

SPRING = date(2025, 3, 1), date(2025, 6, 30)
NO_STATE = Path("/nonexistent")


@lru_cache(maxsize=1)
def demo_weather() -> PastWeather:
    with Store(":memory:") as store:
        weather = past_weather(demo_site(), FOLDER, store, morning(date(2025, 12, 28)), {})
        years = {year: weather.past(datetime(year, 7, 1, tzinfo=UTC)) for year in (2024, 2025)}
    return PastWeather(weather.truth, weather.run, lambda at: years[at.year], weather.invented)


def asked(first: date, last: date, owner: str = "obeys", sights: tuple[str, ...] = ("issued",),
          **more: object) -> Asked:  # fmt: skip
    return Asked(first, last, owner, sights, rulebook(), "the shipped ones", **more)  # type: ignore[arg-type]


@lru_cache(maxsize=1)
def spring() -> tuple[Replay, Read]:
    """The demo's spring by an owner who obeys, once as issued and once with perfect foresight."""
    read = read_folder(FOLDER, None, today=None)
    both = asked(*SPRING, sights=("issued", "perfect"))
    return replay(demo_site(), read, NO_STATE, demo_weather(), both), read


def assert_totals_are_the_journals(
    run: Run, site: Site, read: Read, first: date, last: date
) -> None:
    """Against what the real reader and the sums make of the text that the replay wrote."""
    shelf = read.files.shelf
    journal = read_on({JOURNAL: "\n".join(run.journal) + "\n"}, site, shelf, last)
    assert not journal.unreadable and not journal.questions
    counted = sums(site, shelf, journal, (), last)
    for totals in run.totals:
        lawn = site.lawn(totals.lawn)
        tally = from_journal(counted, lawn, first, last)
        assert totals.applications == tally.applications
        assert totals.water_mm == pytest.approx(tally.water_mm, rel=1e-12, abs=0)
        found = {one.name: one.g_per_m2 for one in totals.substances}
        assert found.keys() == tally.surely.keys()
        for name, grams in found.items():
            assert grams == pytest.approx(tally.surely[name], rel=1e-12, abs=0)
        # and the sums' own yearly total, which goes another way through the events
        for year in totals.years:
            low, high = counted.total(totals.lawn, year.name, year.year, upto=last)
            assert low == high == pytest.approx(year.g_per_m2)


def test_totals_equal_the_journal_that_was_written() -> None:
    lived, read = spring()
    for run in lived.runs:
        assert_totals_are_the_journals(run, demo_site(), read, *SPRING)
        assert {line.task for line in run.done} == {"pre-emergent", "feed", "watering"}


def test_both_sorts_of_foresight_see_the_same_sundays_and_one_flatters() -> None:
    lived, _ = spring()
    issued, perfect = lived.runs
    assert (issued.flattering, perfect.flattering) == (False, True)
    assert [w.on for w in issued.weeks] == [w.on for w in perfect.weeks]
    assert {w.foresight for w in issued.weeks} == {"issued"}
    assert {w.foresight for w in perfect.weeks} == {"perfect"}
    assert not any(w.taken_back for w in perfect.weeks)


def test_its_digests_are_those_that_the_service_would_have_sent() -> None:
    """The real path (recording, store, decision, what was sent) beside the replay, by the demo's
    own journal. Notes between digests are switched off: nothing here sends any."""
    site = demo_site()
    site = site.model_copy(update={"digest": site.digest.model_copy(update={"alerts": False})})
    read = read_folder(FOLDER, None, today=None)
    first, last = date(2025, 3, 9), date(2025, 5, 25)
    run = replay(site, read, NO_STATE, demo_weather(), asked(first, last, owner="journal")).runs[0]
    with Store(":memory:") as store:
        for week in run.weeks:
            plan = decide_on(week.on, store).plan
            store.remember_digest(site.id, plan.on, plan.decided_at, plan_json(plan), sent=True)
            assert (week.on, week.verdict, week.text) == (
                plan.on, plan.headline.verdict, plan.headline.text
            )  # fmt: skip
            said = [
                (lawn.name, a.task, a.verdict, a.rule, a.day, a.start, a.end)
                for lawn in plan.lawns
                for a in lawn.actions
            ]
            assert said == [
                (t.lawn, t.task, t.verdict, t.rule, t.day, t.start, t.end) for t in week.told
            ]
            assert week.asked == len(plan.ask)
    assert any(week.verdict is not Verdict.WAIT for week in run.weeks)


def test_where_no_forecast_was_kept_the_calendar_stands_in_and_that_is_said() -> None:
    weather = demo_weather()
    read = read_folder(FOLDER, None, today=None)
    first, last = date(2025, 3, 1), date(2025, 6, 30)
    calendar = PastWeather(weather.truth, lambda _: None, weather.past, weather.invented)
    run = replay(demo_site(), read, NO_STATE, calendar, asked(first, last)).runs[0]
    assert {week.foresight for week in run.weeks} == {"climatology"}
    assert not any(week.cannot_tell for week in run.weeks)
    assert {"pre-emergent", "feed"} <= {line.task for line in run.done}
    assert_totals_are_the_journals(run, demo_site(), read, first, last)


def test_a_stored_forecast_that_came_later_is_not_seen() -> None:
    """A store with a run of the morning and one of that noon; and with none for days."""
    site = demo_site()
    real = site.model_copy(
        update={"weather": site.weather.model_copy(update={"recorded": None}), "demo": None}
    )
    truth = demo_weather().truth
    air, ends = truth.column("air_temp"), truth.ends()
    day = datetime(2025, 4, 6, 10, tzinfo=UTC)
    with Store(":memory:") as store:
        for at, warmer in (
            (day, 1.0), (day + timedelta(hours=6), 2.0), (day + timedelta(9), 0.0)
        ):  # fmt: skip
            foreseen = np.where(ends > at.timestamp(), air + warmer, air)
            columns = {**truth.columns, "air_temp": foreseen}
            series = Series(truth.start, columns, Source("a service", at))
            fetched = Fetched(series, at, (), "a service", "https://weather.example", ())
            store.mark_used(store.keep(place_key(real), fetched))
        weather = past_weather(real, FOLDER, store, day + timedelta(10), {})
        assert weather.run(day - timedelta(hours=1)) is None
        for moment, warmer in (
            (day, 1.0), (day + timedelta(hours=5), 1.0), (day + timedelta(hours=7), 2.0)
        ):  # fmt: skip
            run = weather.run(moment)
            assert run is not None and run.source.fetched_at <= moment
            late = run.ends() > moment.timestamp()
            came = air[np.searchsorted(ends, run.ends()[late])]
            assert late.sum() > 24 and np.allclose(run.column("air_temp")[late], came + warmer)
        assert weather.run(day + timedelta(4)) is None  # too old by then to decide on
        end = weather.truth.start + timedelta(hours=weather.truth.hours)
        assert end == day + timedelta(9)
        assert "not as they were known that morning" in weather.hindsight


def test_a_replay_says_which_past_hours_it_knows_by_hindsight() -> None:
    weather = replace(demo_weather(), hindsight="Said of the hours before.")
    read = read_folder(FOLDER, None, today=None)
    april = date(2025, 4, 6), date(2025, 4, 6)
    for sight, said in (("issued", True), ("perfect", False)):
        lived = replay(demo_site(), read, NO_STATE, weather, asked(*april, sights=(sight,)))
        assert ("Said of the hours before." in lived.assumed) is said


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (date(2024, 5, 1), date(2024, 9, 1), "Weather is had from 2024-10-01 to 2026-01-1"),
        (date(2025, 5, 1), date(2026, 9, 1), "Weather is had from 2024-10-01 to 2026-01-1"),
        (date(2025, 5, 9), date(2025, 5, 1), "swap --from and --to"),
        (date(2025, 5, 5), date(2025, 5, 10), "there is no Sunday"),
    ],
)
def test_dates_that_cannot_be_replayed_are_told(first: date, last: date, said: str) -> None:
    read = read_folder(FOLDER, None, today=None)
    with pytest.raises(ReplayError, match=said):
        replay(demo_site(), read, NO_STATE, demo_weather(), asked(first, last))


# A real station's year.


@lru_cache(maxsize=1)
def chicago() -> tuple[Site, Read, PastWeather]:
    read = read_folder(CHICAGO, None, today=None)
    site = read.files.site
    assert site is not None
    hours = station().hours
    first = min(hours)
    names = {"air_temp": "temperature_2m", "dew_point": "dew_point_2m", "rain": "precipitation",
             "wind": "wind_speed_10m", "humidity": "relative_humidity_2m"}  # fmt: skip
    columns = {
        name: np.array([np.nan if (v := row.get(asked)) is None else v for row in hours.values()])
        for name, asked in names.items()
    }
    columns["humidity"] /= 100
    end = first + timedelta(hours=len(hours) - 1)
    truth = Series(first - timedelta(hours=1), columns, Source("station 725300", end))
    return site, read, PastWeather(truth, lambda _: None, lambda _: None, invented=False)


@lru_cache(maxsize=1)
def chicago_lived() -> Replay:
    site, read, weather = chicago()
    wanted = Asked(date(2015, 3, 1), date(2015, 11, 30), "obeys", ("issued", "perfect"), read.book,
                   "the shipped ones")  # fmt: skip
    return replay(site, read, NO_STATE, weather, wanted)


def test_a_real_year_keeps_the_promises_whatever_was_foreseen() -> None:
    site, read, _ = chicago()
    lived = chicago_lived()
    first, last = lived.first, lived.last
    for run in lived.runs:
        assert len(run.weeks) == len(digest_days(site, first, last))
        assert_totals_are_the_journals(run, site, read, first, last)
        for totals in run.totals:
            assert all(year.g_per_m2 <= year.limit_g_per_m2 + 1e-9 for year in totals.years)
        for line in run.done:
            product = read.files.shelf.get(line.product or "")
            if product is not None and product.nutrients_per(1.0).get("nitrogen", 0) > 0:
                assert not any(ban.covers(line.lawn, line.day) for ban in site.bans)
    issued, perfect = lived.runs
    assert {week.foresight for week in issued.weeks} == {"climatology"}
    for run in (issued, perfect):
        barriers = [line.lawn for line in run.done if line.task == "pre-emergent"]
        assert sorted(barriers) == sorted(lawn.name for lawn in site.lawns)


# The command.


def test_the_command_writes_page_picture_journal_and_document(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    site, out = demo(tmp_path), tmp_path / "out"
    said = call(
        capsys, "replay", site, "--from", "2025-03-01", "--to", "2025-04-30",
        "--state", tmp_path / "state", "--out", out,
    )  # fmt: skip
    assert said.code == Exit.DONE
    names = ["journal.txt", "replay.html", "replay.json", "replay.svg"]
    assert sorted(path.name for path in out.iterdir()) == names
    assert said.out.splitlines() == [
        str(out / name) for name in ("replay.html", "replay.svg", "journal.txt", "replay.json")
    ]
    document = Replay.model_validate_json((out / "replay.json").read_text(encoding="utf-8"))
    assert [run.foresight for run in document.runs] == ["issued", "perfect"]
    page = (out / "replay.html").read_text(encoding="utf-8")
    assert "This flatters" in page and page.count("<svg") == 2
    for foreign in ("<script", "<link", "<img", "http://", "https://", "url("):
        assert foreign not in page.replace("http://www.w3.org/2000/svg", "")
    journal = (out / "journal.txt").read_text(encoding="utf-8")
    assert journal.startswith("journal from 2025-01-01\n") and "applied" in journal
    assert not (tmp_path / "state").exists()


def test_the_text_tells_each_week_and_calls_the_perfect_one_flattering(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    said = call(
        capsys, "replay", demo(tmp_path), "--from", "2025-03-01", "--to", "2025-03-31",
        "--state", tmp_path / "state",
    )  # fmt: skip
    assert said.code == Exit.DONE
    for text in (
        "With the forecasts as issued\n====", "With perfect foresight\n====", "This flatters",
        "2025-03-16  apply", "12.6 lb of barrier-granules", "The weather is invented",
        "Held while a window was open", "What better forecasts would have changed",
    ):  # fmt: skip
        assert text in said.out


def test_another_rulebook_stands_beside_it_week_by_week(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    site, other = demo(tmp_path), tmp_path / "other"
    other.mkdir()
    (other / "mine.rules").write_text("off spring-barrier\n", encoding="utf-8")
    words = ("replay", site, "--from", "2025-03-01", "--to", "2025-03-31", "--state",
             tmp_path / "state", "--foresight", "issued", "--json")  # fmt: skip
    said = json.loads(call(capsys, *words, "--against", other).out)
    (pair,) = said["compared"]
    assert {"2025-03-16"} <= {week["on"] for week in pair["weeks"]}
    assert all(
        week["task"] == "pre-emergent" for week in pair["weeks"] if week["on"] <= "2025-03-16"
    )
    products = [[line["product"] for line in run["done"]] for run in said["runs"]]
    assert "barrier-granules" in products[0] and "barrier-granules" not in products[1]

    same = json.loads(call(capsys, *words, "--rules", other, "--against", other).out)
    assert same["compared"][0]["weeks"] == [] and same["compared"][0]["same_weeks"] == 5


def test_words_that_cannot_be_followed_are_told_in_one_sentence(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    site, broken, out = demo(tmp_path), tmp_path / "broken", tmp_path / "out"
    broken.mkdir()
    (broken / "mine.rules").write_text("holds nothing at all\n", encoding="utf-8")
    span = ("--from", "2025-03-01", "--to", "2025-03-31", "--state", tmp_path / "s", "--out", out)
    for more, code, said in (
        (("--against", tmp_path / "nowhere"), Exit.WORDS, "is no folder"),
        (("--rules", tmp_path), Exit.WORDS, "holds no *.rules file"),
        (("--against", broken), Exit.SITE, "mine.rules:1:1"),
        (("--from", "2020-01-01"), Exit.WORDS, "Weather is had from 2024-10-01"),
    ):
        answer = call(capsys, "replay", site, *span, *more)
        assert answer.code == code and said in answer.err and not answer.out
        assert "Traceback" not in answer.err
    assert not out.exists()


def test_interrupted_it_leaves_nothing(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("advisor.cli.replay.Progress.__call__", interrupt)
    said = call(
        capsys, "replay", demo(tmp_path), "--from", "2025-03-01", "--to", "2025-03-31",
        "--state", tmp_path / "state", "--out", tmp_path / "out",
    )  # fmt: skip
    assert said.code == Exit.INTERRUPTED
    assert not (tmp_path / "out").exists()


def test_what_takes_longer_than_a_second_says_how_far_it_is(tmp_path: Path) -> None:
    said = program(
        "replay", demo(tmp_path), "--from", "2025-03-01", "--to", "2025-08-05",
        "--state", tmp_path / "state", "--foresight", "issued",
    )  # fmt: skip
    assert said.code == Exit.DONE
    assert " of 23 digests\n" in said.err and "\r" not in said.err
