"""The documents for programs say of each field what it is, where its name does not."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from pydantic import BaseModel

from advisor.plan import ahead_model, curves_model, dose_sheet, model, replay_model

PLAIN = frozenset({
    "version", "site", "lawn", "lawns", "lawn_title", "lawn_titles", "task", "title", "verdict",
    "text", "weather", "headline", "years", "runs", "compared", "totals", "substances", "grass",
    "spells", "windows", "amount_unit", "year",
})  # fmt: skip
"""Names that are plain by themselves, or are parts that say of themselves what they are."""


def parts() -> Iterator[type[BaseModel]]:
    for module in (model, curves_model, ahead_model, replay_model, dose_sheet):
        for found in vars(module).values():
            own = isinstance(found, type) and found.__module__ == module.__name__
            if own and issubclass(found, BaseModel):
                yield found


@pytest.mark.parametrize("part", list(parts()), ids=lambda part: part.__name__)
def test_each_field_is_described_or_plain(part: type[BaseModel]) -> None:
    bare = {name for name, field in part.model_fields.items() if not field.description}
    assert bare <= PLAIN
