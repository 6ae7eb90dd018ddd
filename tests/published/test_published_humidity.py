"""Our fits of humidity against psychrolib, which solves the psychrometer in full (ASHRAE 2017)."""

import numpy as np
import psychrolib
import pytest

from advisor.turf.humidity import deficit, dew_point, relative_humidity, wet_bulb

PERCENT = (5, 7, 10, 15, 20, 30, 40, 50, 60, 70, 80, 90, 95, 99)


@pytest.fixture(autouse=True)
def in_si_units():
    psychrolib.SetUnitSystem(psychrolib.SI)


def test_wet_bulb_strays_as_far_as_its_docstring_says():
    """Up to 1.2 C over the whole range that we answer, and a mean below Stull's 0.3 near a lawn."""
    cells = [(t, r) for t in range(-20, 51, 5) for r in PERCENT if t >= 5 or r >= 40]
    off = {
        (t, r): float(wet_bulb(t, r / 100)) - psychrolib.GetTWetBulbFromRelHum(t, r / 100, 101325)
        for t, r in cells
    }
    assert max(abs(error) for error in off.values()) < 1.2
    near = [abs(error) for (t, r), error in off.items() if 5 <= t <= 40 and r >= 40]
    assert np.mean(near) < 0.3


def test_dew_point_humidity_and_deficit():
    """Above freezing, where psychrolib too saturates over water: dew points within 0.05 C."""
    seen = 0
    for t in range(5, 46, 5):
        for percent in PERCENT:
            r = percent / 100
            dew = psychrolib.GetTDewPointFromRelHum(t, r)
            if dew <= 0:
                continue
            seen += 1
            assert float(dew_point(t, r)) == pytest.approx(dew, abs=0.05)
            assert float(relative_humidity(t, dew)) == pytest.approx(r, abs=0.002)
            ratio = psychrolib.GetHumRatioFromRelHum(t, r, 101325)
            theirs = psychrolib.GetVaporPressureDeficit(t, ratio, 101325) / 1000
            assert float(deficit(t, r)) == pytest.approx(theirs, abs=0.02)
    assert seen > 60
