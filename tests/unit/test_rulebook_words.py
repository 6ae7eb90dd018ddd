"""Every word of the vocabulary can be written in a rule: none is a word of the grammar too."""

from __future__ import annotations

import pytest

from advisor.conditions.vocabulary import FACTS, SINCE
from advisor.rulebook.fault import Line
from advisor.rulebook.grammar import parse

IS = [(name, word) for name, fact in FACTS.items() for word in fact.words]


@pytest.mark.parametrize(("fact", "word"), IS)
def test_a_word_of_a_fact_can_be_asked_for_and_taken(fact: str, word: str) -> None:
    parse(Line("a", 1, f"while {fact} is {word}", "while", 5), "either")
    parse(Line("a", 1, f"take {fact} = {word}", "take", 4), "take")


@pytest.mark.parametrize("name", SINCE)
def test_days_since_anything_recorded_can_be_asked_for(name: str) -> None:
    parse(Line("a", 1, f"while days since {name} less than 3 days", "while", 5), "either")
