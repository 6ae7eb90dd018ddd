"""The estimate of soil temperature against a thermometer in the ground.

Measured in Utah (see `measured_soil_utah`). That ground is open and dry, so the step is taken
without leaves. Nothing of the estimate was fitted to these data.
"""

import numpy as np
from measured_soil_utah import AIR_MEAN, SOIL_10_CM

from advisor.turf.soil_temperature import estimate_under_turf


def error(estimate, measured):
    """Root mean square error over the days that both know."""
    both = ~np.isnan(estimate) & ~np.isnan(measured)
    return np.sqrt(np.mean((estimate[both] - measured[both]) ** 2))


def test_open_ground_stays_within_the_published_error():
    """Zheng, Hunt and Running (1993) state standard errors of 1.5 to 2.9 C."""
    estimate = estimate_under_turf(AIR_MEAN, leaf_area=0)
    assert np.count_nonzero(~np.isnan(estimate)) > 180
    assert error(estimate, np.array(SOIL_10_CM)) < 2.9


def test_open_ground_is_told_better_than_by_the_running_mean():
    """The eleven-day mean of air, which the same paper starts from, is the plain alternative."""
    air, soil = np.array(AIR_MEAN), np.array(SOIL_10_CM)
    mean = np.full(len(air), np.nan)
    for day in range(10, len(air)):
        window = air[day - 10 : day + 1]
        if np.count_nonzero(~np.isnan(window)) >= 9:
            mean[day] = np.nanmean(window)
    estimate = np.where(np.isnan(mean), np.nan, estimate_under_turf(air, leaf_area=0))
    assert error(estimate, soil) < error(mean, soil)
