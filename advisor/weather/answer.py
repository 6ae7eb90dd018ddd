"""The open weather service's answer: a body of bytes, checked from the outside in.

The order of the checks is that in which a wrong answer is best explained: size, status, content
type, whole JSON, one place, no error, units, lengths, time, ranges. What fails before the ranges
is refused as a whole; a single value out of range becomes unknown and is counted.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import pairwise
from typing import Annotated, Any

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError
from pydantic_core import from_json

from advisor.language.words import tell
from advisor.series.hourly import HOUR, Floats, Series, Source
from advisor.weather.errors import BadAnswer, quoted
from advisor.weather.ranges import collapsed_soil, within_range
from advisor.weather.refusal import refuse
from advisor.weather.variables import VARIABLES, Variable

LARGEST = 4 * 1024 * 1024
"""Bytes of a body that is still read; a real answer of 108 days has about 0.3 MB, one of a whole
year's hours or of ten years' days about half of one."""

_LAST_SECOND = 4_102_444_800  # the year 2100

_Number = Annotated[float, Field(allow_inf_nan=False)]
_STRICT = ConfigDict(strict=True, extra="ignore", allow_inf_nan=False, frozen=True)


@dataclass(frozen=True)
class Section:
    """A part of an answer: its key, what its rows are, and seconds from one to the next."""

    key: str
    row: str
    step: int


HOURLY = Section("hourly", "hour", HOUR)
DAILY = Section("daily", "day", 24 * HOUR)


class _Head(BaseModel):
    """What an answer says about itself. Columns are checked one by one: only some are ours."""

    model_config = _STRICT

    latitude: Annotated[float, Field(ge=-90, le=90)]
    longitude: Annotated[float, Field(ge=-180, le=180)]
    elevation: _Number | None = None
    utc_offset_seconds: int = 0


class _Hourly(_Head):
    hourly_units: dict[str, Any]
    hourly: dict[str, Any]


class _Daily(_Head):
    daily_units: dict[str, Any]
    daily: dict[str, Any]


_HEADS: dict[str, type[_Head]] = {HOURLY.key: _Hourly, DAILY.key: _Daily}

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
class Rows:
    """The checked rows of one section. `latitude`, `longitude` are those of the grid cell, not of
    the lawn; `elevation` is in metres, None where the service gives none. `times` are unix
    seconds, one step apart; `columns` are ours, in our units, NaN where unknown. `dropped` counts,
    for each column, the values that were out of range and are now unknown."""

    latitude: float
    longitude: float
    elevation: float | None
    times: list[int]
    columns: dict[str, Floats]
    dropped: Mapping[str, int]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Answer:
    """A checked answer of hours; see `Rows`."""

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
    """Turn a body as received into hours. `wanted` are names of `VARIABLES`; the rest is as for
    `read_rows`."""
    rows = read_rows(
        body,
        status,
        content_type,
        section=HOURLY,
        wanted=[VARIABLES[name] for name in wanted],
        now=source.fetched_at,
        model=model,
        secret=secret,
        retry_after=retry_after,
    )
    columns, soil_notes = collapsed_soil(rows.columns)
    notes = (*rows.notes, *soil_notes)
    start = datetime.fromtimestamp(rows.times[0] - HOUR, UTC)
    series = Series(start, columns, source, notes)
    return Answer(rows.latitude, rows.longitude, rows.elevation, series, rows.dropped, notes)


def read_rows(
    body: bytes,
    status: int,
    content_type: str,
    *,
    section: Section,
    wanted: Sequence[Variable] | Callable[[Iterable[str]], Sequence[Variable]],
    now: datetime,
    model: str | None = None,
    secret: str | None = None,
    retry_after: str = "",
) -> Rows:
    """Turn a body as received into the rows of a section.

    What the answer lacks of `wanted`, in any order, is unknown; where only the answer's own keys
    tell what there is, `wanted` chooses among them. With `model`, a column may also be
    called `<name>_<model>`. `retry_after` is that header of the answer, `now` the instant of it.
    Raises Unreachable, BadAnswer or Misconfigured; `secret` never appears in their texts.
    """
    if len(body) > LARGEST:
        raise BadAnswer(tell("The weather service sent far more than was asked for (over 4 MB)."))
    if status != 200:
        refuse(body, status, now=now, secret=secret, retry_after=retry_after)
    if "json" not in content_type.lower():
        raise BadAnswer(
            tell(
                "A web page came back in place of weather: the network may want a sign-in first,"
                " or the weather service is having trouble."
            )
        )
    head = _head(_one_place(_parse(body, secret), secret), section)
    if callable(wanted):
        wanted = wanted(_part(head, section)[1])
    columns, missing = _columns(head, section, wanted, model, secret)
    times = _times(head, section, secret)
    for name, values in columns.items():
        if len(values) != len(times):
            raise BadAnswer(
                tell(
                    "The weather service's answer is out of step: {name} has {count} values for"
                    " {rows} hours."
                    if section is HOURLY
                    else "The weather service's answer is out of step: {name} has {count} values"
                    " for {rows} days.",
                    name=name,
                    count=len(values),
                    rows=len(times),
                )
            )
    if any(after - before != section.step for before, after in pairwise(times)):
        raise BadAnswer(
            tell(
                "The weather service's hours do not follow one another hour by hour."
                if section is HOURLY
                else "The weather service's days do not follow one another day by day."
            )
        )
    return _rows(head, times, columns, missing, wanted)


def _parse(body: bytes, secret: str | None) -> object:
    try:
        return from_json(body, allow_inf_nan=False)
    except ValueError:
        pass
    broken = body.rfind(b"Unexpected error while streaming")
    if broken >= 0:
        said = quoted(body[broken:].decode("utf-8", "replace"), secret)
        raise BadAnswer(
            tell("The weather service broke off in the middle of its answer: “{said}”.", said=said)
        )
    raise BadAnswer(
        tell("The weather service's answer is cut short or damaged: it is not whole JSON.")
    )


def _one_place(root: object, secret: str | None) -> dict[str, Any]:
    if isinstance(root, list) and len(root) == 1:
        root = root[0]
    if not isinstance(root, dict):
        raise BadAnswer(tell("The weather service's answer is not the weather of one place."))
    if root.get("error", False) is not False:
        said = quoted(str(root.get("reason", tell("no reason given"))), secret)
        raise BadAnswer(tell("The weather service answered with an error: “{said}”.", said=said))
    return root


def _head(root: dict[str, Any], section: Section) -> _Head:
    try:
        head = _HEADS[section.key].model_validate(root)
    except ValidationError as error:
        raise BadAnswer(
            tell("The weather service's answer has another shape: {reason}.", reason=_first(error))
        ) from None
    if head.utc_offset_seconds:
        raise BadAnswer(
            tell("The weather service answered in a local time though GMT was asked for.")
        )
    return head


def _part(head: _Head, section: Section) -> tuple[dict[str, Any], dict[str, Any]]:
    """The units of a section and its columns, as sent."""
    return getattr(head, f"{section.key}_units"), getattr(head, section.key)


def _columns(
    head: _Head,
    section: Section,
    wanted: Sequence[Variable],
    model: str | None,
    secret: str | None,
) -> tuple[dict[str, Floats], list[Variable]]:
    """The wanted columns by the service's names, null as NaN; and what is not there."""
    units, sent = _part(head, section)
    columns: dict[str, Floats] = {}
    missing = []
    for variable in wanted:
        name = key = variable.name
        if name not in sent and model and f"{name}_{model}" in sent:
            key = f"{name}_{model}"
        unit = units.get(key)
        if key not in sent or unit == "undefined":
            missing.append(variable)
            continue
        if unit != variable.unit:
            raise BadAnswer(
                tell(
                    "The weather service gives {name} in “{unit}”, not in “{wanted}”: its numbers"
                    " cannot be trusted.",
                    name=name,
                    unit=quoted(str(unit), secret),
                    wanted=variable.unit,
                )
            )
        try:
            values = _VALUES.validate_python(sent[key])
        except ValidationError as error:
            raise BadAnswer(
                tell(
                    "The weather service's {name} is not numbers: {reason}.",
                    name=name,
                    reason=_first(error),
                )
            ) from None
        columns[name] = np.array(values, dtype=np.float64)
    return columns, missing


def _times(head: _Head, section: Section, secret: str | None) -> list[int]:
    units, sent = _part(head, section)
    if units.get("time") != "unixtime":
        raise BadAnswer(
            tell(
                "The weather service gives its hours in “{unit}”, not in “unixtime”."
                if section is HOURLY
                else "The weather service gives its days in “{unit}”, not in “unixtime”.",
                unit=quoted(str(units.get("time")), secret),
            )
        )
    try:
        times = _TIMES.validate_python(sent.get("time"))
    except ValidationError as error:
        raise BadAnswer(
            tell(
                "The weather service's hours are not hours: {reason}."
                if section is HOURLY
                else "The weather service's days are not days: {reason}.",
                reason=_first(error),
            )
        ) from None
    if times[0] % section.step:
        raise BadAnswer(
            tell(
                "The weather service's hours do not begin at midnight GMT."
                if section is HOURLY
                else "The weather service's days do not begin at midnight GMT."
            )
        )
    return times


def _rows(
    head: _Head,
    times: list[int],
    columns: dict[str, Floats],
    missing: list[Variable],
    wanted: Sequence[Variable],
) -> Rows:
    notes = [f"The weather service has no {variable.title} here." for variable in missing]
    dropped: dict[str, int] = {}
    checked = {variable.column: np.full(len(times), np.nan) for variable in missing}
    for variable in wanted:
        if variable.name not in columns:
            continue
        values, out = within_range(variable, columns[variable.name])
        checked[variable.column] = values / variable.per
        if out:
            dropped[variable.column] = out
            what = "1 value" if out == 1 else f"{out} values"
            notes.append(f"{what} of {variable.title} could not be true and counted as unknown.")
    return Rows(
        head.latitude, head.longitude, head.elevation, times, checked, dropped, tuple(notes)
    )


def _first(error: ValidationError) -> str:
    """The first thing that pydantic found, as a phrase without the offending value."""
    details = error.errors(include_url=False, include_context=False, include_input=False)
    place = ".".join(str(part) for part in details[0]["loc"])
    said = details[0]["msg"]
    return quoted(f"{place}: {said}" if place else said)
