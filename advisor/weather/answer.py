"""The open forecast service's answer: a body of bytes, checked from the outside in.

The order of the checks is that in which a wrong answer is best explained: size, status, content
type, whole JSON, one place, no error, units, lengths, time, ranges. What fails before the ranges
is refused as a whole; a single value out of range becomes unknown and is counted.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import pairwise
from typing import Annotated, Any

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError
from pydantic_core import from_json

from advisor.series.hourly import HOUR, Floats, Series, Source
from advisor.weather.errors import BadAnswer, quoted
from advisor.weather.ranges import collapsed_soil, within_range
from advisor.weather.refusal import refuse
from advisor.weather.variables import VARIABLES, Variable

LARGEST = 4 * 1024 * 1024
"""Bytes of a body that is still read; a real answer of 108 days has about 0.3 MB."""

_LAST_SECOND = 4_102_444_800  # the year 2100

_Number = Annotated[float, Field(allow_inf_nan=False)]
_STRICT = ConfigDict(strict=True, extra="ignore", allow_inf_nan=False, frozen=True)


class _Head(BaseModel):
    """What an answer says about itself. Columns are checked one by one: only some are ours."""

    model_config = _STRICT

    latitude: Annotated[float, Field(ge=-90, le=90)]
    longitude: Annotated[float, Field(ge=-180, le=180)]
    elevation: _Number | None = None
    utc_offset_seconds: int = 0
    hourly_units: dict[str, Any]
    hourly: dict[str, Any]


_TIMES: TypeAdapter[list[int]] = TypeAdapter(
    Annotated[
        list[Annotated[int, Field(ge=0, le=_LAST_SECOND, multiple_of=HOUR)]], Field(min_length=1)
    ],
    config=ConfigDict(strict=True),
)
_VALUES: TypeAdapter[list[float | None]] = TypeAdapter(
    list[_Number | None], config=ConfigDict(strict=True, allow_inf_nan=False)
)


@dataclass(frozen=True)
class Answer:
    """A checked answer. `latitude`, `longitude` are those of the grid cell, not of the lawn;
    `elevation` is in metres, None where the service gives none. `dropped` counts, for each column,
    the values that were out of range and are now unknown."""

    latitude: float
    longitude: float
    elevation: float | None
    series: Series
    dropped: Mapping[str, int]
    notes: tuple[str, ...]


def read_answer(
    body: bytes,
    status: int,
    content_type: str,
    *,
    wanted: Sequence[str],
    source: Source,
    model: str | None = None,
    secret: str | None = None,
    retry_after: str = "",
) -> Answer:
    """Turn a body as received into an `Answer`.

    `wanted` are the service's own names, in any order, all from `VARIABLES`; what the answer lacks
    of them is unknown. With `model`, a column may also be called `<name>_<model>`. `retry_after` is
    that header of the answer. Raises Unreachable, BadAnswer or Misconfigured; `secret` never
    appears in their texts.
    """
    if len(body) > LARGEST:
        raise BadAnswer("The forecast service sent far more than a forecast (over 4 MB).")
    if status != 200:
        refuse(body, status, now=source.fetched_at, secret=secret, retry_after=retry_after)
    if "json" not in content_type.lower():
        raise BadAnswer(
            "A web page came back in place of a forecast: the network may want a sign-in first, or "
            "the forecast service is having trouble."
        )
    head = _head(_one_place(_parse(body, secret), secret))
    columns, missing = _columns(head, wanted, model, secret)
    times = _times(head, secret)
    for name, values in columns.items():
        if len(values) != len(times):
            raise BadAnswer(
                f"The forecast service's answer is out of step: {name} has {len(values)} values "
                f"for {len(times)} hours."
            )
    if any(after - before != HOUR for before, after in pairwise(times)):
        raise BadAnswer("The forecast service's hours do not follow one another hour by hour.")
    return _answer(head, times, columns, missing, source)


def _parse(body: bytes, secret: str | None) -> object:
    try:
        return from_json(body, allow_inf_nan=False)
    except ValueError:
        pass
    broken = body.rfind(b"Unexpected error while streaming")
    if broken >= 0:
        said = quoted(body[broken:].decode("utf-8", "replace"), secret)
        raise BadAnswer(f"The forecast service broke off in the middle of its answer: “{said}”.")
    raise BadAnswer("The forecast service's answer is cut short or damaged: it is not whole JSON.")


def _one_place(root: object, secret: str | None) -> dict[str, Any]:
    if isinstance(root, list) and len(root) == 1:
        root = root[0]
    if not isinstance(root, dict):
        raise BadAnswer("The forecast service's answer is not the weather of one place.")
    if root.get("error", False) is not False:
        said = quoted(str(root.get("reason", "no reason given")), secret)
        raise BadAnswer(f"The forecast service answered with an error: “{said}”.")
    return root


def _head(root: dict[str, Any]) -> _Head:
    try:
        head = _Head.model_validate(root)
    except ValidationError as error:
        raise BadAnswer(
            f"The forecast service's answer has another shape: {_first(error)}."
        ) from None
    if head.utc_offset_seconds:
        raise BadAnswer("The forecast service answered in a local time though GMT was asked for.")
    return head


def _columns(
    head: _Head, wanted: Sequence[str], model: str | None, secret: str | None
) -> tuple[dict[str, Floats], list[Variable]]:
    """The wanted columns under our names, null as NaN, in our units; and what is not there."""
    columns: dict[str, Floats] = {}
    missing = []
    for name in wanted:
        variable = VARIABLES[name]
        key = name
        if name not in head.hourly and model and f"{name}_{model}" in head.hourly:
            key = f"{name}_{model}"
        unit = head.hourly_units.get(key)
        if key not in head.hourly or unit == "undefined":
            missing.append(variable)
            continue
        if unit != variable.unit:
            raise BadAnswer(
                f"The forecast service gives {name} in “{quoted(str(unit), secret)}”, not in "
                f"“{variable.unit}”: its numbers cannot be trusted."
            )
        try:
            values = _VALUES.validate_python(head.hourly[key])
        except ValidationError as error:
            raise BadAnswer(
                f"The forecast service's {name} is not numbers: {_first(error)}."
            ) from None
        columns[variable.column] = np.array(values, dtype=np.float64)
    return columns, missing


def _times(head: _Head, secret: str | None) -> list[int]:
    unit = head.hourly_units.get("time")
    if unit != "unixtime":
        raise BadAnswer(
            f"The forecast service gives its hours in “{quoted(str(unit), secret)}”, not in "
            "“unixtime”."
        )
    try:
        times = _TIMES.validate_python(head.hourly.get("time"))
    except ValidationError as error:
        raise BadAnswer(f"The forecast service's hours are not hours: {_first(error)}.") from None
    return times


def _answer(
    head: _Head,
    times: list[int],
    columns: dict[str, Floats],
    missing: list[Variable],
    source: Source,
) -> Answer:
    notes = [f"The forecast service has no {variable.title} here." for variable in missing]
    dropped: dict[str, int] = {}
    checked: dict[str, Floats] = {}
    for variable in missing:
        checked[variable.column] = np.full(len(times), np.nan)
    for variable in VARIABLES.values():
        if variable.column not in columns:
            continue
        values, out = within_range(variable, columns[variable.column])
        checked[variable.column] = values / variable.per
        if out:
            dropped[variable.column] = out
            what = "1 value" if out == 1 else f"{out} values"
            notes.append(f"{what} of {variable.title} could not be true and counted as unknown.")
    checked, soil_notes = collapsed_soil(checked)
    notes += soil_notes
    series = Series(
        start=datetime.fromtimestamp(times[0] - HOUR, UTC),
        columns=checked,
        source=source,
        notes=tuple(notes),
    )
    return Answer(head.latitude, head.longitude, head.elevation, series, dropped, tuple(notes))


def _first(error: ValidationError) -> str:
    """The first thing that pydantic found, as a phrase without the offending value."""
    details = error.errors(include_url=False, include_context=False, include_input=False)
    place = ".".join(str(part) for part in details[0]["loc"])
    said = details[0]["msg"]
    return quoted(f"{place}: {said}" if place else said)
