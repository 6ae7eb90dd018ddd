"""How the lawns stand: what is told of water and crabgrass, and what is left out."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from plan_cases import decide

from advisor.digest.view import view
from advisor.plan.model import Condition, Plan


def told(*conditions: Condition) -> Sequence[str]:
    plan: Plan = decide()
    lawn = plan.lawns[0].model_copy(update={"conditions": conditions})
    shown = view(plan.model_copy(update={"lawns": (lawn,)}))
    return [f"{row.label}: {row.text}" for stand in shown.stands for row in stand.rows]


def condition(name: str, value: str, number: float | None = None) -> Condition:
    span = number is None and " to " in value
    return Condition(name=name, title=name, value=value, number=number, span=span, origin="made up")


def test_crabgrass_is_told_where_its_signals_disagree() -> None:
    """A plan has the air's only where the two exclude each other."""
    soil, air = (
        condition("crabgrass_by_soil", "not yet"),
        condition("crabgrass_by_air", "may begin"),
    )
    assert told(soil, air) == ["crabgrass_by_soil: not yet", "crabgrass_by_air: may begin"]
    assert told(soil) == []


@pytest.mark.parametrize(
    ("value", "number", "shown"),
    [
        ("4 days", 4.0, True),
        ("0 days", 0.0, False),
        ("at least 16 days", None, False),
        ("2 days to 9 days", None, True),
    ],
)
def test_days_to_stress_are_told_when_they_are_known_and_to_come(
    value: str, number: float | None, shown: bool
) -> None:
    assert (f"days_to_stress: {value}" in told(condition("days_to_stress", value, number))) is shown
