"""Runoff by curve number: TR-55 and what follows from its equations."""

from __future__ import annotations

from published import COMPUTED, RECALLED, SECOND_HAND, How, Published

from advisor.turf.water import runoff

TR55 = "NRCS TR-55 (1986)"


def inches(rain: float, curve: float, printed: str, how: How, source: str) -> Published:
    return Published(
        quantity=f"runoff of {rain:g} in on curve {curve:g}",
        source=source,
        printed=printed,
        unit="in",
        ours=lambda: float(runoff(rain * 25.4, curve)) / 25.4,
        how=how,
    )


def row_of(curve: float, *printed: str) -> tuple[Published, ...]:
    return tuple(
        inches(rain, curve, text, COMPUTED, f"{TR55}, eq 2-1 to 2-4")
        for rain, text in zip((2, 3, 4, 5, 6), printed, strict=True)
    )


VALUES = (
    inches(5.0, 75, "2.45", SECOND_HAND, f"{TR55}, Example 2-1 in a secondary text"),
    inches(6.0, 75, "3.28", RECALLED, f"{TR55}, Example 2-1 worksheet"),
    Published(
        quantity="runoff of 74.4 mm on curve 76.8",
        source="Metric worked case in a secondary text",
        printed="25.7",
        unit="mm",
        ours=lambda: float(runoff(74.4, 76.8)),
        how=SECOND_HAND,
    ),
    *row_of(61, ".07", ".37", ".81", "1.37", "2.01"),
    *row_of(70, ".24", ".71", "1.33", "2.04", "2.81"),
    *row_of(80, ".56", "1.25", "2.04", "2.89", "3.78"),
)
