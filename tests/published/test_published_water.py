"""Runoff and water use against printed numbers."""

import numpy as np
import pytest

from advisor.site.words import COOL
from advisor.turf.water import CROP_COEFFICIENTS, runoff


def test_runoff_of_five_inches_on_curve_75():
    """A secondary text quotes this as TR-55 (1986) Example 2-1: 5.0 in, CN 75, 2.45 in."""
    assert runoff(5.0 * 25.4, 75) / 25.4 == pytest.approx(2.45, abs=0.005)


def test_runoff_of_a_metric_worked_case():
    """A worked case in a secondary text: 74.4 mm, CN 76.8, 25.7 mm."""
    assert runoff(74.4, 76.8) == pytest.approx(25.7, abs=0.05)


def test_cool_season_year_has_the_printed_mean():
    """Meyer, Gibeault and Youngner (1985) print 0.80 under their months of cool-season turf."""
    assert np.mean(CROP_COEFFICIENTS[COOL]) == pytest.approx(0.80, abs=0.015)
