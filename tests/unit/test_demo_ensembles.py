"""The demo's recorded ensembles: made again to the byte, and erring as the recorded forecasts do.

They are invented like all of the demo: this shows that the parts fit, and nothing of real weather.
"""

from __future__ import annotations

import json
import zipfile
from datetime import UTC, date, datetime, timedelta
from functools import cache
from typing import Any

import numpy as np
import pytest
from recorded_weather import RECORDED, Floats, forecasts, foretold, part

from advisor.weather.client import Place
from advisor.weather.ensemble import OpenEnsemble
from advisor.weather.errors import Misconfigured
from advisor.weather.recorded_ensembles import RecordedEnsembles

HOURS = 240


@cache
def bodies() -> dict[date, dict[str, Any]]:
    with zipfile.ZipFile(RECORDED / "ensembles.zip") as archive:
        return {
            date.fromisoformat(name.removesuffix(".json")): json.loads(archive.read(name))
            for name in archive.namelist()
        }


@cache
def members() -> Floats:
    """Shape (issues, members, HOURS)."""
    return np.array(
        [[v for k, v in body["hourly"].items() if k != "time"] for body in bodies().values()]
    )


def daily(rain: Floats) -> Floats:
    """Totals by day of lead: the last axis becomes ten days."""
    return rain[..., :HOURS].reshape(*rain.shape[:-1], 10, 24).sum(axis=-1)


def test_one_for_each_forecast() -> None:
    assert list(bodies()) == list(forecasts())
    assert members().shape == (len(bodies()), 10, HOURS)
    assert (RECORDED / "ensembles.zip").stat().st_size < 700_000


def test_members_part_as_the_lead_grows() -> None:
    """The first day they nearly agree; on the tenth they differ about as much as other weather."""
    spread = daily(members()).std(axis=1).mean(axis=0)
    assert (np.diff(spread[:7]) > 0).all()
    assert spread[0] < 0.25 * spread[5] < 0.25 * spread[9] + 1.0


def test_members_err_as_the_recorded_forecast_does() -> None:
    """Its error and theirs come from one distribution: root mean squares within a fifth from the
    third day on. On the first two both are small, and a few storms make most of them: a third. From
    the second day on their mean errs less than one of them does."""
    said, was = (daily(both["precipitation"]) for both in foretold())
    error = np.sqrt(((said - was) ** 2).mean(axis=0))
    theirs = np.sqrt(((daily(members()) - was[:, None, :]) ** 2).mean(axis=(0, 1)))
    mean = np.sqrt(((daily(members()).mean(axis=1) - was) ** 2).mean(axis=0))
    assert theirs[2:] == pytest.approx(error[2:], rel=0.2)
    assert theirs[:2] == pytest.approx(error[:2], rel=0.35)
    assert (mean[1:] < theirs[1:]).all()


def test_the_forecast_itself_is_none_of_them() -> None:
    said = foretold()[0]["precipitation"][:, 120:HOURS]
    same = (members()[:, :, 120:] == said[:, None, :]).all(axis=2)
    wet = said.sum(axis=1) > 1
    assert not same[wet].any()


def test_the_script_writes_the_same_again() -> None:
    script = part("make_weather")
    again = list(script.build_ensembles(date(2025, 7, 24), date(2025, 7, 27)))
    assert len(again) == 4
    with zipfile.ZipFile(RECORDED / "ensembles.zip") as archive:
        assert all(archive.read(name) == text for name, text in again)
        assert {one.date_time for one in archive.infolist()} == {(2026, 1, 1, 0, 0, 0)}


def fetch(now: datetime, folder: Any = RECORDED) -> Any:
    transport = RecordedEnsembles(folder, now)
    return OpenEnsemble(Place(36.55, -80.35), transport=transport, step=1).fetch(now).ensemble


def test_the_client_reads_the_recording() -> None:
    """Rows are that day's issue from 01:00 GMT for ten days; before and after they are unknown."""
    day = date(2025, 7, 27)
    found = fetch(datetime(2025, 7, 27, 18, tzinfo=UTC))
    assert found.start == datetime(2025, 7, 25, 23, tzinfo=UTC)
    begin = int((datetime(2025, 7, 27, 0, tzinfo=UTC) - found.start) / timedelta(hours=1))
    issue = np.array([v for k, v in bodies()[day]["hourly"].items() if k != "time"])
    assert np.array_equal(found.columns["rain"][:, begin : begin + HOURS], issue)
    assert np.isnan(found.columns["rain"][:, :begin]).all()
    assert np.isnan(found.columns["rain"][:, begin + HOURS :]).all()


def test_a_day_without_one_and_a_damaged_recording(tmp_path: Any) -> None:
    with pytest.raises(Misconfigured, match="No ensemble was recorded on 2027-01-01"):
        fetch(datetime(2027, 1, 1, 12, tzinfo=UTC))
    (tmp_path / "ensembles.zip").write_bytes(b"no zip")
    with pytest.raises(Misconfigured, match="cannot be read: BadZipFile"):
        fetch(datetime(2025, 7, 27, tzinfo=UTC), tmp_path)
    with pytest.raises(ValueError, match="time zone"):
        RecordedEnsembles(tmp_path, datetime(2025, 7, 27))
