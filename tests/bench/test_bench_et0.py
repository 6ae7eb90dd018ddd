"""Speed of daily evapotranspiration beside refet, the fastest library that is known for it.

Run with `pytest tests/bench --benchmark-enable`. The ratio to refet, measured in the same run,
is in the extra information of each benchmark; the machine's own speed drops out of it.
"""

from timeit import repeat

import numpy as np
import pytest
import refet

from advisor.turf import evapotranspiration as et

LATITUDE = 36.1
ELEVATION = 273.0


def weather(years):
    """Made-up weather of shape (years, 365), the same on both sides."""
    rng = np.random.default_rng(1)
    day = np.arange(1, 366)
    high = 20 + 12 * np.sin((day - 105) / 58.1) + rng.normal(0, 3, (years, 365))
    low = high - rng.uniform(4, 14, (years, 365))
    ra = et.extraterrestrial_radiation(np.radians(LATITUDE), day)
    return day, high, low, ra * rng.uniform(0.2, 0.75, high.shape), rng.uniform(0.5, 6, high.shape)


def ours(day, high, low, radiation, wind):
    return et.penman_monteith_daily(
        air_max=high,
        air_min=low,
        vapour_pressure=et.vapour_pressure_from_dew_point(low),
        radiation=radiation,
        wind_2m=et.wind_at_2m(wind, 10),
        elevation_m=ELEVATION,
        latitude_rad=np.radians(LATITUDE),
        day_of_year=day,
    )


def theirs(day, high, low, radiation, wind):
    return refet.Daily(
        tmin=low,
        tmax=high,
        tdew=low,
        rs=radiation,
        uz=wind,
        zw=10,
        elev=ELEVATION,
        lat=LATITUDE,
        doy=day,
        method="asce",
        rso_type="simple",
    ).eto()


@pytest.mark.parametrize("years", [1, 10])
def test_daily_et0(benchmark, years):
    """Both give the same numbers; ours also checks its input."""
    inputs = weather(years)
    found = benchmark(ours, *inputs)
    np.testing.assert_allclose(found, np.maximum(theirs(*inputs), 0), atol=0.01)
    if not benchmark.disabled:
        seconds = min(repeat(lambda: theirs(*inputs), number=20, repeat=10)) / 20
        benchmark.extra_info["refet_seconds"] = seconds
        benchmark.extra_info["ratio_to_refet"] = benchmark.stats.stats.min / seconds
