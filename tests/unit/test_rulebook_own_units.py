"""Quantities that are words of a rule's sentence, in the owner's units."""

from __future__ import annotations

import re

import pytest
from plan_cases import action, book, decide, files

from advisor.rulebook.own_units import in_own_units
from advisor.service.folders import shipped_book


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("Soil at 2 in has reached ", "Soil at 5 cm has reached "),
        ("soil at 4 in averaged", "soil at 10 cm averaged"),
        ("Soil at 1 in falls to ", "Soil at 25 mm falls to "),
        ("above 40 F: on a colder", "above 4.4 °C: on a colder"),
        ("3 to 8 mph are best.", "5 to 13 km/h are best."),
        ("Half an inch by hose", "13 mm by hose"),
        ("thicker than half an inch, these", "thicker than 13 mm, these"),
        ("in about 14 trials granules", "in about 14 trials granules"),
        ("3 in a row", "3 in a row"),
        ("24 Feb, 2 Fields", "24 Feb, 2 Fields"),
        ("soil at 5 cm, 10 C", "soil at 5 cm, 10 C"),
    ],
)
def test_a_metric_site_reads_its_own(written: str, told: str) -> None:
    assert in_own_units(written, "metric") == told


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("Soil at 5 cm has reached ", "Soil at 2.0 in has reached "),
        ("above 10 C", "above 50 °F"),
        ("Soil at 2 in, above 40 F, half an inch", "Soil at 2 in, above 40 F, half an inch"),
    ],
)
def test_a_site_in_feet_reads_its_own(written: str, told: str) -> None:
    assert in_own_units(written, "us") == told


def test_no_shipped_sentence_keeps_inches_or_fahrenheit_on_a_metric_site() -> None:
    rules = shipped_book().rules.values()
    words = [part for rule in rules for part in rule.sentence if isinstance(part, str)]
    assert any(re.search(r"at \d+ in\b", part) for part in words)
    for part in words:
        told = in_own_units(part, "metric")
        assert not re.search(r"\d (F|mph|ft|lb)\b|\bat \d+ in\b|\binch\b|°F", told), told


def test_advice_on_a_metric_site_tells_its_depths_so() -> None:
    rule = (
        "opens warm for feed\n  while   air_max at least 5 C\n"
        "  says    Soil at 2 in is warm, and 3 to 8 mph are best.\n  source  made up\n"
    )
    said = {
        units: action(decide(files(units=units), book(rule))).because for units in ("us", "metric")
    }
    assert said["us"].startswith("Soil at 2 in is warm, and 3 to 8 mph")
    assert said["metric"].startswith("Soil at 5 cm is warm, and 5 to 13 km/h")


@pytest.mark.parametrize(("units", "base"), [("us", "85 °F"), ("metric", "29.4 °C")])
def test_the_base_of_the_heat_load_is_in_the_owners_units(units: str, base: str) -> None:
    (front,) = decide(files(units=units)).lawns
    (heat,) = (one for one in front.conditions if one.name == "heat_load")
    assert heat.title == f"Heat load today (degree-days above {base})"
