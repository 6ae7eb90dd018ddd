"""Water use against printed numbers."""

import numpy as np
import pytest

from advisor.site.words import COOL
from advisor.turf.water import CROP_COEFFICIENTS


def test_cool_season_year_has_the_printed_mean():
    """Meyer, Gibeault and Youngner (1985) print 0.80 under their months of cool-season turf."""
    assert np.mean(CROP_COEFFICIENTS[COOL]) == pytest.approx(0.80, abs=0.015)
