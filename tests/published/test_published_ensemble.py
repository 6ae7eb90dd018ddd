"""What a count of members is worth, against what is known of relative frequencies.

From memory: WMO's guidance on ensemble prediction takes the share of the members in which an event
occurs as its probability; the rule of succession (Laplace) gives (n + 1) / (m + 2) for the next of
m like ones of which n had it, whatever share was as likely beforehand as any other; and the rank of
the truth among members like it is even (Hamill 2001, Monthly Weather Review 129, 550).
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from advisor.plan.sureness import Count, Need, counted
from advisor.series.ensemble import Ensemble
from advisor.series.hourly import Source

START = datetime(2026, 5, 1, tzinfo=UTC)
DAY = Need(START, START + timedelta(1), 2.0)
MEMBERS = 10
CASES = 6000


def fulfilling(totals: np.ndarray) -> int:
    """How many of members with these daily totals [mm] the product counts as within 2 mm."""
    rain = np.zeros((len(totals), 24))
    rain[:, 13] = totals
    found = counted(Ensemble(START, {"rain": rain}, Source("made", START)), [DAY], START)
    assert found is not None
    return found.fulfilling


def cases(seed: int) -> tuple[np.ndarray, np.ndarray]:
    """For each case ten members and the truth, eleven alike: drawn in the same way about a state
    that differs from case to case. Gives counts, shape (CASES,), and whether the truth kept to it.
    """
    rng = np.random.default_rng(seed)
    share = rng.random(CASES)
    dry = rng.random((CASES, MEMBERS + 1)) < share[:, None]
    totals = np.where(dry, rng.uniform(0, 2.0, dry.shape), 2.001 + rng.gamma(1.0, 5.0, dry.shape))
    return np.array([fulfilling(row[1:]) for row in totals]), totals[:, 0] <= 2.0


def test_the_count_is_that_of_the_definition() -> None:
    rng = np.random.default_rng(3)
    for _ in range(200):
        totals = rng.gamma(0.5, 5.0, MEMBERS)
        assert fulfilling(totals) == int((totals <= 2.0).sum())


def test_the_truth_keeps_to_it_as_often_as_was_said() -> None:
    """Reliability: of all the times that n of 10 were dry, the day was dry in (n + 1) / (10 + 2) of
    them; so "7 of 10" came true in two of three, and "10 of 10" was not certainty."""
    counts, kept = cases(11)
    for n in range(MEMBERS + 1):
        times = int((counts == n).sum())
        expected = (n + 1) / (MEMBERS + 2)
        four_sigma = 4 * np.sqrt(expected * (1 - expected) / times)
        assert times > 300
        assert kept[counts == n].mean() == pytest.approx(expected, abs=four_sigma), n


def test_a_half_is_where_dry_becomes_the_likelier() -> None:
    """What the hold goes by: too few are those with which the day is more often wet than dry."""
    for n in range(MEMBERS + 1):
        assert Count(MEMBERS, n, n).too_few == ((n + 1) / (MEMBERS + 2) < 0.5)


def test_the_rank_of_the_truth_is_even() -> None:
    """Where the truth is one more member, each place among them is as likely (chi-square under the
    1 in 1000 point of 10 degrees of freedom, 29.6)."""
    rng = np.random.default_rng(5)
    state = rng.gamma(0.8, 6.0, (CASES, 1))
    totals = state * rng.gamma(4.0, 0.25, (CASES, MEMBERS + 1))
    ranks = np.empty(CASES, dtype=int)
    for case, row in enumerate(totals):
        rain = np.zeros((MEMBERS, 24))
        rain[:, 4] = row[1:]
        made = Ensemble(START, {"rain": rain}, Source("made", START))
        sure, may = made.rain(DAY.first, DAY.last).at_most(row[0])
        assert (sure == may).all()
        ranks[case] = int(sure.sum())
    found = np.bincount(ranks, minlength=MEMBERS + 1)
    even = CASES / (MEMBERS + 1)
    assert float(((found - even) ** 2 / even).sum()) < 29.6
