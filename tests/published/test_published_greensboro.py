"""A whole year of daily evapotranspiration against an independent library.

Weather: Greensboro NC, a typical year (see `greensboro`). Truth: refet 0.5, the ASCE-EWRI (2005)
standardized equation for short grass, which with simple clear-sky radiation is FAO-56's. Both sides
get the same vapour pressure from the dew point, wind at 10 m, and the same bounds of cloud.
"""

import greensboro
import numpy as np
import pytest
import refet

from advisor.turf import evapotranspiration as et

DAY = np.arange(1, 366)
LATITUDE_RAD = np.radians(greensboro.LATITUDE)


@pytest.fixture(scope="module")
def reference():
    """The library's year, with its components."""
    year = greensboro.days()
    return refet.Daily(
        tmin=year.air_min,
        tmax=year.air_max,
        tdew=year.dew_point,
        rs=year.radiation,
        uz=year.wind,
        zw=greensboro.WIND_HEIGHT,
        elev=greensboro.ELEVATION,
        lat=greensboro.LATITUDE,
        doy=DAY,
        method="asce",
        rso_type="simple",
    )


def our_year(**options):
    """Our year from the same days."""
    year = greensboro.days()
    return et.penman_monteith_daily(
        air_max=year.air_max,
        air_min=year.air_min,
        vapour_pressure=et.vapour_pressure_from_dew_point(year.dew_point),
        radiation=year.radiation,
        wind_2m=et.wind_at_2m(year.wind, greensboro.WIND_HEIGHT),
        elevation_m=greensboro.ELEVATION,
        latitude_rad=LATITUDE_RAD,
        day_of_year=DAY,
        **options,
    )


def test_every_day_of_the_year_agrees(reference):
    """Each of 365 days within 0.05 mm or 1 %, whichever is the larger."""
    truth, ours = reference.eto(), our_year()
    assert ours.shape == (365,)
    allowed = np.maximum(0.05, 0.01 * truth)
    assert np.all(np.abs(ours - truth) <= allowed)


def test_the_components_agree(reference):
    """Radiation, pressure, humidity and wind, each on every day, to the constants' digits."""
    year = greensboro.days()
    ra = et.extraterrestrial_radiation(LATITUDE_RAD, DAY)
    rso = et.clear_sky_radiation(ra, greensboro.ELEVATION)
    ea = et.vapour_pressure_from_dew_point(year.dew_point)
    pressure = et.pressure_at(greensboro.ELEVATION)
    pairs = {
        "ra": (ra, reference.ra),
        "rso": (rso, reference.rso),
        "ea": (ea, reference.ea),
        "es": (et.mean_saturation(year.air_max, year.air_min), reference.es),
        "pressure": (pressure, reference.pair),
        "gamma": (et.psychrometric_constant(pressure), reference.psy),
        "u2": (et.wind_at_2m(year.wind, greensboro.WIND_HEIGHT), reference.u2),
        "slope": (et.slope_of_saturation((year.air_max + year.air_min) / 2), reference.es_slope),
        "rnl": (
            et.net_longwave(year.air_max, year.air_min, ea, year.radiation, rso),
            reference.rnl,
        ),
    }
    for name, (ours, truth) in pairs.items():
        np.testing.assert_allclose(ours, truth, rtol=5e-4, err_msg=name)


def test_the_floor_of_cloud_matters_in_this_year(reference):
    """Some days are darker than 0.3 of a clear sky; FAO-56's open bound differs there, no more."""
    dark = reference.rs / reference.rso < 0.3
    assert dark.sum() > 10
    literal, held = our_year(cloud_floor=0.0), our_year()
    np.testing.assert_array_equal(literal[~dark], held[~dark])
    assert np.all(literal[dark] > held[dark])
