"""The pages beside the shipped rules are those that the rules and the vocabulary make."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from rule_pages import pages, rests_on

from advisor.rulebook.book import Rule, RuleKind

RULE = Rule("thirst", RuleKind.WATERS, ("watering",), (), "", "", "rules/water.rules", 1)


@pytest.mark.parametrize("page", pages(), ids=lambda path: path.name)
def test_a_page_is_the_one_that_is_made(page: Path) -> None:
    """Written again by `python tests/published/rule_pages.py`."""
    assert page.read_text(encoding="utf-8") == pages()[page]


@pytest.mark.parametrize(
    ("source", "told"),
    [
        ("FAO-56 eq. 82", "a source"),
        ("FAO-56 eq. 82; two days is judgement", "a source, judgement"),
        ("common practice, no source", "common practice, no source"),
        ("Judgement: a week", "judgement"),
        ("Purdue; the cut is from memory, the rest judgement", "a source, from memory, judgement"),
        ("", "nothing named"),
    ],
)
def test_what_has_no_source_is_shown_as_such(source: str, told: str) -> None:
    assert rests_on(replace(RULE, source=source)) == told
