"""A body of bytes becomes an answer, or one of three errors with a sentence."""

from __future__ import annotations

import copy
import json
from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.series.hourly import COLUMNS, Source
from advisor.weather.answer import LARGEST, Answer, read_answer
from advisor.weather.errors import BadAnswer, Misconfigured, Unreachable, WeatherError, quoted
from advisor.weather.variables import ABOVE, SOIL, VARIABLES

NOW = datetime(2026, 4, 9, 14, 30, tzinfo=UTC)
FIRST = int(datetime(2026, 4, 9, tzinfo=UTC).timestamp())
SOURCE = Source("a test", NOW)
HOURS = 30


def document(**columns: list[Any]) -> dict[str, Any]:
    """A right answer; `columns` replace those of their names."""
    usual = {name: [10.0 + i + 0.01 * h for h in range(HOURS)] for i, name in enumerate(VARIABLES)}
    usual["snow_depth"] = [0.0] * HOURS
    return {
        "latitude": 36.1,
        "longitude": -79.95,
        "elevation": 273,
        "hourly_units": {"time": "unixtime", **{n: v.unit for n, v in VARIABLES.items()}},
        "hourly": {"time": [FIRST + 3600 * h for h in range(HOURS)], **usual, **columns},
    }


def read(body: object, status: int = 200, kind: str = "application/json", **options: Any) -> Answer:
    raw = body if isinstance(body, bytes) else json.dumps(body).encode()
    options = {"wanted": tuple(VARIABLES), "source": SOURCE, **options}
    return read_answer(raw, status, kind, **options)


def test_every_variable_has_its_own_column_of_the_series() -> None:
    assert {v.column for v in VARIABLES.values()} == set(COLUMNS)
    assert {*ABOVE, *SOIL} == set(VARIABLES)


def test_row_t_is_the_hour_that_ends_at_t() -> None:
    """The service's sums are over the hour before the label, its instants at the label."""
    answer = read(document())
    assert answer.series.start == datetime(2026, 4, 8, 23, tzinfo=UTC)
    assert answer.series.ends()[0] == FIRST
    assert answer.notes == () and answer.dropped == {}
    assert (answer.latitude, answer.longitude, answer.elevation) == (36.1, -79.95, 273.0)


def test_percent_becomes_a_fraction_and_the_rest_keeps_its_unit() -> None:
    series = read(document(relative_humidity_2m=[55] * HOURS, precipitation=[0.25] * HOURS)).series
    assert series.column("humidity")[0] == pytest.approx(0.55)
    assert series.column("rain")[0] == 0.25
    assert series.column("wind")[0] == pytest.approx(15.0)


def test_null_is_unknown_and_never_zero() -> None:
    series = read(document(precipitation=[None, *[1.0] * (HOURS - 1)])).series
    assert np.isnan(series.column("rain")[0]) and series.column("rain")[1] == 1.0


def test_a_column_of_nulls_is_allowed() -> None:
    answer = read(document(precipitation_probability=[None] * HOURS))
    assert np.isnan(answer.series.column("rain_chance")).all()


@pytest.mark.parametrize("how", ["absent", "undefined"])
def test_a_missing_column_is_unknown_with_a_note(how: str) -> None:
    body = document()
    if how == "absent":
        del body["hourly"]["snow_depth"], body["hourly_units"]["snow_depth"]
    else:
        body["hourly_units"]["snow_depth"] = "undefined"
    answer = read(body)
    assert np.isnan(answer.series.column("snow_depth")).all()
    assert answer.notes == ("The weather service has no depth of snow here.",)


def test_a_column_may_carry_the_name_of_its_model() -> None:
    body = document()
    for part in ("hourly", "hourly_units"):
        for name in SOIL:
            body[part][f"{name}_icon_seamless"] = body[part].pop(name)
    assert np.isnan(read(body).series.column("soil_temp_6")).all()
    assert np.isfinite(read(body, model="icon_seamless").series.column("soil_temp_6")).all()


def test_a_list_of_one_place_is_that_place() -> None:
    assert read([document()]).series.hours == HOURS


@pytest.mark.parametrize(
    ("name", "given_value", "kept", "counted"),
    [
        ("temperature_2m", 60.1, np.nan, 1),
        ("temperature_2m", -90.0, -90.0, 0),
        ("relative_humidity_2m", 100.4, 1.0, 0),
        ("relative_humidity_2m", 102, np.nan, 1),
        ("shortwave_radiation", -0.3, 0.0, 0),
        ("shortwave_radiation", -300, np.nan, 1),
        ("shortwave_radiation", 1501, np.nan, 1),
        ("precipitation", -0.1, np.nan, 1),
        ("precipitation", 301, np.nan, 1),
        ("precipitation_probability", 101, np.nan, 1),
        ("wind_gusts_10m", 468.5, np.nan, 1),
        ("soil_temperature_6cm", 81, np.nan, 1),
        ("snow_depth", -1, np.nan, 1),
    ],
)
def test_what_cannot_be_true_becomes_unknown_and_is_counted(
    name: str, given_value: float, kept: float, counted: int
) -> None:
    """One value out of range costs that value, not the answer; rounding is set to the bound."""
    body = document()
    body["hourly"][name][3] = given_value
    answer = read(body)
    column = VARIABLES[name].column
    found = answer.series.column(column)[3]
    assert found == kept or (np.isnan(found) and np.isnan(kept))
    assert answer.dropped.get(column, 0) == counted
    assert any("could not be true" in note for note in answer.notes) == bool(counted)


def test_equal_soil_layers_leave_the_deeper_unknown() -> None:
    """One coarse layer given out under two depths tells nothing of the deeper."""
    same = [12.5 + 0.1 * h for h in range(HOURS)]
    partly = [None, *same[1:]]
    answer = read(document(soil_temperature_6cm=same, soil_temperature_18cm=partly))
    assert np.isfinite(answer.series.column("soil_temp_6")).all()
    assert np.isnan(answer.series.column("soil_temp_18")).all()
    assert np.isfinite(answer.series.column("soil_temp_54")).all()
    assert [n for n in answer.notes if "18 cm from soil at 6 cm" in n] == list(answer.notes)


def test_soil_layers_equal_for_less_than_a_day_are_left_alone() -> None:
    same = [12.5] * 23 + [None] * (HOURS - 23)
    answer = read(document(soil_temperature_6cm=same, soil_temperature_18cm=same))
    assert np.isfinite(answer.series.column("soil_temp_18")[:23]).all()


def _without(path: str) -> dict[str, Any]:
    body = document()
    del body[path]
    return body


def _with(path: str, value: object) -> dict[str, Any]:
    body = document()
    inner, _, last = path.rpartition(".")
    (body[inner] if inner else body)[last] = value
    return body


@pytest.mark.parametrize(
    ("body", "says"),
    [
        (b"", "not whole JSON"),
        (b"{}", "another shape"),
        (b"[]", "one place"),
        (b'"text"', "one place"),
        (b"\xef\xbb\xbf{}", "not whole JSON"),
        (json.dumps(document()).encode()[:-1], "not whole JSON"),
        (json.dumps(document()).encode() + b"x", "not whole JSON"),
        (b"[" * 100_000, "not whole JSON"),
        (b'{"latitude": ' + b"1" * 5000 + b"}", "not whole JSON"),
        (b" " * (LARGEST + 1), "over 4 MB"),
        (_with("latitude", "36.1"), "latitude"),
        (_with("latitude", 91), "latitude"),
        (_without("hourly"), "hourly"),
        (_without("hourly_units"), "hourly_units"),
        (_with("utc_offset_seconds", 3600), "local time"),
        (_with("error", True), "an error"),
        (_with("hourly_units.time", "iso8601"), "iso8601"),
        (_with("hourly_units.wind_speed_10m", "km/h"), "km/h"),
        (_with("hourly_units.wind_speed_10m", None), "wind_speed_10m"),
        (_with("hourly.temperature_2m", [1.0] * (HOURS - 1)), "29 values"),
        (_with("hourly.temperature_2m", ["1"] * HOURS), "not numbers"),
        (_with("hourly.temperature_2m", [True] * HOURS), "not numbers"),
        (_with("hourly.temperature_2m", [float("inf")] * HOURS), "not whole JSON"),
        (json.dumps(document()).replace("10.01", "1e999").encode(), "not numbers"),
        (_with("hourly.temperature_2m", 5), "not numbers"),
        (_with("hourly.time", []), "not hours"),
        (_with("hourly.time", [FIRST + 0.5] * HOURS), "not hours"),
        (_with("hourly.time", [FIRST + 1800 + 3600 * h for h in range(HOURS)]), "not hours"),
        (_with("hourly.time", [10**15 + 3600 * h for h in range(HOURS)]), "not hours"),
        (_with("hourly.time", [FIRST] * HOURS), "hour by hour"),
        (_with("hourly.time", [FIRST + 7200 * h for h in range(HOURS)]), "hour by hour"),
        (_with("hourly.time", [FIRST - 3600 * h for h in range(HOURS)]), "hour by hour"),
    ],
)
def test_an_unusable_body_is_a_bad_answer(body: object, says: str) -> None:
    with pytest.raises(BadAnswer, match=says):
        read(body)


def test_size_is_looked_at_before_status_and_status_before_type() -> None:
    with pytest.raises(BadAnswer, match="4 MB"):
        read(b" " * (LARGEST + 1), 500, "text/html")
    with pytest.raises(Unreachable):
        read(b"<html>", 502, "text/html")
    with pytest.raises(BadAnswer, match="web page"):
        read(b"<html>", 200, "text/html")


@pytest.mark.parametrize(
    ("reason", "when"),
    [
        # the service's own wordings, from its documentation of limits
        ("Minutely API request limit exceeded. Please try again in one minute.", "09 14:31:10"),
        ("Hourly API request limit exceeded. Please try again in the next hour.", "09 15:01:00"),
        ("Daily API request limit exceeded. Please try again tomorrow.", "10 00:01:00"),
        ("Too many concurrent requests", "09 14:31:00"),
        ("anything else", "09 15:30:00"),
    ],
)
def test_a_limit_says_when_it_ends(reason: str, when: str) -> None:
    with pytest.raises(Unreachable, match=reason[:20]) as caught:
        read({"error": True, "reason": reason}, 429)
    assert caught.value.retry_after is not None
    assert f"{caught.value.retry_after:%d %H:%M:%S}" == when


@pytest.mark.parametrize(
    ("header", "minutes"),
    [
        ("90", 1.5),
        ("86400", 60),
        ("Thu, 09 Apr 2026 14:40:00 GMT", 10),
        ("Thu, 09 Apr 2020 14:40:00 GMT", 0),
        ("soon", None),
        ("", None),
        ("-5", None),
        ("9" * 400, None),
    ],
)
def test_retry_after_is_read_and_capped_at_an_hour(header: str, minutes: float | None) -> None:
    with pytest.raises(Unreachable) as caught:
        read(b"", 503, retry_after=header)
    expected = None if minutes is None else NOW + timedelta(minutes=minutes)
    assert caught.value.retry_after == expected


@pytest.mark.parametrize(
    ("status", "kind"),
    [
        (204, BadAnswer),
        (300, BadAnswer),
        (400, Misconfigured),
        (401, Misconfigured),
        (403, Misconfigured),
        (404, Misconfigured),
        (408, Unreachable),
        (414, Misconfigured),
        (500, Unreachable),
        (504, Unreachable),
    ],
)
def test_each_status_has_its_error(status: int, kind: type[WeatherError]) -> None:
    with pytest.raises(WeatherError) as caught:
        read(b'{"reason": ["not", "text"]}', status)
    assert type(caught.value) is kind


def test_a_reason_is_cleaned_shortened_and_loses_the_key() -> None:
    """What the service says is shown, not trusted."""
    reason = "bad key s3cret/ s3cret%2f \x1b[31m\u202e\ud800" + "x" * 500
    with pytest.raises(Misconfigured) as caught:
        read({"error": True, "reason": reason}, 400, secret="s3cret/")
    text = str(caught.value)
    assert "bad key (key) (key)" in text and "s3cret" not in text
    assert text.isprintable() and len(text) < 300 and "\u202e" not in text


@given(st.text(max_size=400))
def test_quoted_text_is_one_printable_line(text: str) -> None:
    shown = quoted(text)
    assert "\n" not in shown and len(shown) <= 200
    shown.encode()


PLACES = [
    ("latitude",),
    ("elevation",),
    ("hourly",),
    ("hourly_units",),
    ("hourly", "time"),
    ("hourly", "time", 3),
    ("hourly", "temperature_2m"),
    ("hourly", "precipitation", 5),
    ("hourly", "soil_temperature_6cm", 0),
    ("hourly_units", "precipitation"),
]
JUNK = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=5,
)


@given(st.sampled_from(PLACES), JUNK)
def test_a_mutated_answer_is_read_or_refused_and_never_lies(
    path: tuple[Any, ...], junk: Any
) -> None:
    """Whatever stands in one place, the result is an error of ours or values that can be true."""
    body = copy.deepcopy(document())
    inner: Any = body
    for step in path[:-1]:
        inner = inner[step]
    inner[path[-1]] = junk
    try:
        answer = read(body)
    except WeatherError as error:
        assert str(error).endswith(".")
        return
    assert answer.series.hours == HOURS
    for variable in VARIABLES.values():
        values = answer.series.column(variable.column) * variable.per
        known = values[~np.isnan(values)]
        assert ((known >= variable.low) & (known <= variable.high + 1e-9)).all()


@given(st.integers(0, 3000), st.binary(max_size=4))
def test_a_damaged_body_is_read_or_refused(at: int, junk: bytes) -> None:
    raw = json.dumps(document()).encode()
    try:
        assert read(raw[:at] + junk + raw[at + len(junk) :]).series.hours == HOURS
    except WeatherError as error:
        assert str(error)
