"""Each published value against ours, to the rounding of its source."""

from __future__ import annotations

import pytest
from collected import all_values
from published import READ, Published

VALUES = all_values()


@pytest.mark.parametrize("row", VALUES, ids=lambda row: f"{row.source}: {row.quantity}")
def test_ours_is_the_published_value(row: Published) -> None:
    assert float(row.ours()) == pytest.approx(row.value, abs=row.tolerance, rel=0)


def test_no_row_stands_twice() -> None:
    seen = [(row.source, row.quantity) for row in VALUES]
    assert len(seen) == len(set(seen))


def test_enough_was_read_in_enough_sources() -> None:
    read = [row for row in VALUES if row.how is READ]
    assert len(read) >= 60
    assert len({row.source.split(",")[0] for row in read}) >= 15
