"""Evapotranspiration and its components against printed worked examples.

FAO-56: Allen, Pereira, Raes and Smith (1998), FAO Irrigation and Drainage Paper 56; the numbers
of its examples stand beside each check.
"""

from dataclasses import dataclass

import numpy as np
import pytest

from advisor.turf import evapotranspiration as et


def latitude(degrees: float, minutes: float = 0.0) -> float:
    """Radians, south negative by the sign of the degrees."""
    return np.radians(np.copysign(abs(degrees) + minutes / 60, degrees))


def test_pressure_and_psychrometric_constant_of_example_2():
    """FAO-56 Example 2: 1800 m."""
    assert et.pressure_at(1800) == pytest.approx(81.8, abs=0.1)
    assert et.psychrometric_constant(et.pressure_at(1800)) == pytest.approx(0.054, abs=0.001)


def test_mean_saturation_of_example_3():
    """FAO-56 Example 3: 24.5 and 15 C; taken at the mean it would be 2.30."""
    assert et.mean_saturation(24.5, 15) == pytest.approx(2.39, abs=0.01)
    assert et.saturation_vapour_pressure((24.5 + 15) / 2) == pytest.approx(2.30, abs=0.01)


def test_wet_bulb_of_example_4():
    """FAO-56 Example 4: 25.6 dry, 19.5 wet, 1200 m."""
    found = et.vapour_pressure_from_wet_bulb(25.6, 19.5, et.pressure_at(1200))
    assert found == pytest.approx(1.91, abs=0.01)


def test_humidities_of_example_5():
    """FAO-56 Example 5: 18 to 25 C, 82 and 54 %, by equations 17, 18 and 19."""
    assert et.vapour_pressure_from_extremes(25, 18, 0.82, 0.54) == pytest.approx(1.70, abs=0.01)
    assert et.vapour_pressure_from_highest(18, 0.82) == pytest.approx(1.69, abs=0.01)
    assert et.vapour_pressure_from_mean(25, 18, 0.68) == pytest.approx(1.78, abs=0.01)


def test_extraterrestrial_radiation_of_example_8_and_daylight_of_example_9():
    """FAO-56 Examples 8 and 9: 20 S, 3 September; 32.2 MJ and 13.1 mm, 11.7 h."""
    ra = et.extraterrestrial_radiation(latitude(-20), 246)
    assert ra == pytest.approx(32.2, abs=0.05)
    assert et.MM_PER_MJ * ra == pytest.approx(13.1, abs=0.05)
    assert et.daylight_hours(latitude(-20), 246) == pytest.approx(11.7, abs=0.05)


def test_radiation_of_examples_10_to_12():
    """FAO-56 Examples 10, 11, 12: Rio de Janeiro in May, 220 h of sun in 31 days."""
    rio = latitude(-22, 54)
    ra, hours = et.extraterrestrial_radiation(rio, 135), et.daylight_hours(rio, 135)
    rs = et.radiation_from_sunshine(220 / 31, hours, ra)
    rso = et.clear_sky_radiation(ra, 0)
    rnl = et.net_longwave(25.1, 19.1, 2.1, rs, rso)
    assert ra == pytest.approx(25.1, abs=0.1)
    assert hours == pytest.approx(10.9, abs=0.05)
    assert rs == pytest.approx(14.5, abs=0.1)
    assert rso == pytest.approx(18.8, abs=0.1)
    assert rnl == pytest.approx(3.5, abs=0.05)
    assert et.net_shortwave(rs) == pytest.approx(11.1, abs=0.1)
    assert et.net_shortwave(rs) - rnl == pytest.approx(7.6, abs=0.1)


def test_ground_heat_of_example_13():
    """FAO-56 Example 13: 14.1, 16.1, 18.8 C in March to May."""
    assert et.ground_heat_of_month(14.1, 18.8) == pytest.approx(0.33, abs=0.01)


def test_wind_of_example_14():
    """FAO-56 Example 14: 3.2 m/s at 10 m."""
    assert et.wind_at_2m(3.2, 10) == pytest.approx(2.4, abs=0.05)


def test_radiation_from_temperature_of_example_15():
    """FAO-56 Example 15: Lyon in July."""
    assert et.radiation_from_temperature(26.6, 14.8, 40.6) == pytest.approx(22.3, abs=0.1)


@pytest.mark.parametrize(
    ("degrees", "day", "ra"),
    [(50.80, 187, 41.088), (45.72, 196, 40.555), (0.0, 80, 37.824), (37.5, 172, 41.779),
     (37.5, 355, 15.069)],
)  # fmt: skip
def test_extraterrestrial_radiation_of_a_public_physics_test(degrees, day, ra):
    """Values of a public R test file of FAO-56 Examples 18 and 20 and of the solstices."""
    assert et.extraterrestrial_radiation(latitude(degrees), day) == pytest.approx(ra, abs=0.01)


@dataclass(frozen=True)
class Worked:
    """A worked example: inputs, every printed intermediate, the answer."""

    where: float
    elevation: float
    day: int
    high: float
    low: float
    wind: float
    vapour: float
    radiation: float
    rso: float
    rnl: float
    et0: float
    ground: float = 0.0


EXAMPLE_17 = Worked(
    latitude(13, 44), 2, 105, 34.8, 25.6, 2.0, 2.85, 22.65, 28.54, 3.11, 5.72, ground=0.14
)
EXAMPLE_18 = Worked(latitude(50, 48), 100, 187, 21.5, 12.3, 2.078, 1.409, 22.07, 30.90, 3.71, 3.88)
EXAMPLE_20 = Worked(latitude(45, 43), 200, 196, 26.6, 14.8, 2.0, 1.68, 22.29, 30.58, 3.68, 4.56)
ALICE_SPRINGS = Worked(
    latitude(-23.7951), 546, 202, 21, 2, 0.5903, 0.5614, 17.194, 17.9716, 7.1784, 2.0775
)


@pytest.mark.parametrize(
    ("case", "within"),
    [
        pytest.param(EXAMPLE_17, 0.02, id="FAO-56 Example 17, Bangkok in April"),
        pytest.param(EXAMPLE_18, 0.02, id="FAO-56 Example 18, Uccle on 6 July"),
        pytest.param(EXAMPLE_20, 0.02, id="FAO-56 Example 20, Lyon in July"),
        # McMahon et al. (2013), HESS 17:1331, supplement S19; 273.2 K where FAO-56 has 273.16.
        pytest.param(ALICE_SPRINGS, 0.005, id="McMahon et al. 2013 S19, Alice Springs"),
    ],
)
def test_penman_monteith_of_worked_examples(case, within):
    """Every printed step of a worked day, and its answer."""
    ra = et.extraterrestrial_radiation(case.where, case.day)
    rso = et.clear_sky_radiation(ra, case.elevation)
    assert rso == pytest.approx(case.rso, abs=0.01)
    rnl = et.net_longwave(case.high, case.low, case.vapour, case.radiation, rso)
    assert rnl == pytest.approx(case.rnl, abs=0.01)
    et0 = et.penman_monteith_daily(
        air_max=case.high,
        air_min=case.low,
        vapour_pressure=case.vapour,
        radiation=case.radiation,
        wind_2m=case.wind,
        elevation_m=case.elevation,
        latitude_rad=case.where,
        day_of_year=case.day,
        ground_heat=case.ground,
    )
    assert et0 == pytest.approx(case.et0, abs=within)


def test_inputs_of_example_17_come_out_of_the_sunshine_hours():
    """FAO-56 Example 17: Ra 38.06, N 12.31, Rs 22.65 from 8.5 h; G 0.14 from 29.2 and 30.2 C."""
    bangkok = latitude(13, 44)
    ra, hours = et.extraterrestrial_radiation(bangkok, 105), et.daylight_hours(bangkok, 105)
    assert ra == pytest.approx(38.06, abs=0.01)
    assert hours == pytest.approx(12.31, abs=0.01)
    assert et.radiation_from_sunshine(8.5, hours, ra) == pytest.approx(22.65, abs=0.01)
    assert et.ground_heat_of_month(29.2, 30.2, months_apart=1) == pytest.approx(0.14, abs=0.001)
    assert et.slope_of_saturation(30.2) == pytest.approx(0.246, abs=0.001)
    assert et.mean_saturation(34.8, 25.6) == pytest.approx(4.42, abs=0.01)


def test_inputs_of_example_18_come_out_of_the_station_readings():
    """FAO-56 Example 18: P, gamma, slope, es, ea, u2, Ra, N, Rs of Uccle on 6 July."""
    uccle = latitude(50, 48)
    ra, hours = et.extraterrestrial_radiation(uccle, 187), et.daylight_hours(uccle, 187)
    assert et.pressure_at(100) == pytest.approx(100.1, abs=0.05)
    assert et.psychrometric_constant(100.1) == pytest.approx(0.0666, abs=0.0001)
    assert et.slope_of_saturation((21.5 + 12.3) / 2) == pytest.approx(0.122, abs=0.0005)
    assert et.mean_saturation(21.5, 12.3) == pytest.approx(1.997, abs=0.001)
    ea = et.vapour_pressure_from_extremes(21.5, 12.3, 0.84, 0.63)
    assert ea == pytest.approx(1.409, abs=0.001)
    assert et.wind_at_2m(10 / 3.6, 10) == pytest.approx(2.078, abs=0.001)
    assert ra == pytest.approx(41.09, abs=0.01)
    assert hours == pytest.approx(16.1, abs=0.05)
    assert et.radiation_from_sunshine(9.25, hours, ra) == pytest.approx(22.07, abs=0.01)


def test_example_20_by_hargreaves_and_samani():
    """FAO-56 Example 20: printed 5.0 mm/d, against 4.6 by Penman and Monteith."""
    ra = et.extraterrestrial_radiation(latitude(45, 43), 196)
    assert et.hargreaves_samani(26.6, 14.8, ra) == pytest.approx(5.03, abs=0.01)


def test_components_of_alice_springs():
    """McMahon et al. (2013), supplement S19, 20 July 1980."""
    where = latitude(-23.7951)
    assert et.saturation_vapour_pressure(21) == pytest.approx(2.4870, abs=0.0005)
    assert et.saturation_vapour_pressure(2) == pytest.approx(0.7056, abs=0.0005)
    assert et.mean_saturation(21, 2) == pytest.approx(1.5963, abs=0.0005)
    assert et.vapour_pressure_from_extremes(21, 2, 0.71, 0.25) == pytest.approx(0.5614, abs=5e-4)
    assert et.slope_of_saturation(11.5) == pytest.approx(0.0898, abs=0.0005)
    assert et.pressure_at(546) == pytest.approx(95.010, abs=0.005)
    assert et.daylight_hours(where, 202) == pytest.approx(10.7431, abs=0.001)
    assert et.extraterrestrial_radiation(where, 202) == pytest.approx(23.6182, abs=0.005)
    assert et.net_shortwave(17.1940) == pytest.approx(13.2393, abs=0.0005)


def test_humidity_and_wind_of_fallon():
    """Fallon NV, 1 July 2015, a row of a public weather network that RefET's own tests use."""
    dew_point = (49.84 - 32) / 1.8
    assert et.vapour_pressure_from_dew_point(dew_point) == pytest.approx(1.22067, abs=5e-5)
    assert et.wind_at_2m(4.80 * 0.44704, 3) == pytest.approx(1.97611, abs=5e-5)


MARICOPA = {
    "1 January": (1, 17.5, -0.5, 12.48, 1.0, -0.1, 1.45),
    "7 January": (7, 23.4, 13.4, 11.08, 5.8, 5.1, 5.05),
    "9 January": (9, 19.0, 7.6, 9.15, 0.9, 10.5, 1.19),
    "31 January": (31, 28.7, 3.2, 15.13, 1.2, 2.1, 2.86),
    "2 February": (33, 21.2, 8.2, 14.99, 3.7, -3.4, 4.46),
    "15 April": (105, 20.6, 10.0, 27.96, 4.4, 5.1, 5.40),
    "15 July": (196, 45.9, 26.4, 25.28, 2.6, 13.6, 9.39),
    "15 October": (288, 35.7, 14.7, 18.30, 1.0, 9.9, 3.79),
}


@pytest.mark.parametrize("day", MARICOPA)
def test_maricopa(day):
    """Maricopa AZ 2003, FAO-56 column of a reference software in the test data of pyfao56."""
    number, high, low, radiation, wind, dew_point, printed = MARICOPA[day]
    et0 = et.penman_monteith_daily(
        air_max=high,
        air_min=low,
        vapour_pressure=et.vapour_pressure_from_dew_point(dew_point),
        radiation=radiation,
        wind_2m=et.wind_at_2m(wind, 3),
        elevation_m=361,
        latitude_rad=latitude(33.069),
        day_of_year=number,
    )
    assert et0 == pytest.approx(printed, abs=0.01)
