"""A recording's weather as it came: all of its hours at once, and no forecast."""

from __future__ import annotations

import gzip
from datetime import UTC, datetime
from pathlib import Path

from advisor.series.hourly import Series, Source
from advisor.weather.answer import read_answer
from advisor.weather.credit import RECORDED
from advisor.weather.recorded import UNREADABLE, unreadable
from advisor.weather.variables import ABOVE, SOIL


def recorded_truth(folder: Path) -> Series:
    """The hours of the recording in `folder`, read as the answer of the service that it is.

    The series counts as given at its own end. Raises Misconfigured when the recording cannot be
    read, BadAnswer when it is no answer of the service.
    """
    try:
        with gzip.open(folder / "weather.json.gz", "rb") as file:
            body = file.read()
    except UNREADABLE as error:
        raise unreadable(folder, error) from None
    source = Source(RECORDED, datetime(1970, 1, 1, tzinfo=UTC))
    read = read_answer(
        body,
        200,
        "application/json",
        wanted=(*ABOVE, *SOIL),
        source=source,
        model=None,
        secret=None,
    ).series
    end = datetime.fromtimestamp(int(read.ends()[-1]), UTC)
    return Series(read.start, read.columns, Source(RECORDED, end))
