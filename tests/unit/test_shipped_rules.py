"""House rules of the shipped rulebook: each rule has its source and its three trials."""

from __future__ import annotations

import pytest

from advisor.rulebook.book import Answer, RuleKind
from advisor.rulebook.trial import run_trials
from advisor.service.folders import shipped_book

BOOK = shipped_book()


def test_it_reads_without_a_problem() -> None:
    assert BOOK.problems == ()
    assert len(BOOK.rules) >= 8


@pytest.mark.parametrize("name", BOOK.rules)
def test_each_rule_has_a_trial_that_says_yes_one_just_short_and_one_that_cannot_tell(
    name: str,
) -> None:
    answers = {trial.answer for trial in BOOK.trials if trial.rule == name}
    assert answers == {Answer.YES, Answer.NO, Answer.CANNOT_TELL}


def test_every_trial_comes_out_as_it_says() -> None:
    failed = [result for result in run_trials(BOOK) if not result.ok]
    assert failed == []


@pytest.mark.parametrize("name", BOOK.rules)
def test_each_rule_names_its_source(name: str) -> None:
    rule = BOOK.rules[name]
    assert len(rule.source) > 20
    if rule.kind is RuleKind.OPENS:
        assert "memory" not in rule.source
