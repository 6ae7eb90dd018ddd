"""Reference evapotranspiration and its components: worked examples in print and public data."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np
from published import SECOND_HAND, Published

from advisor.turf import air, clear_sky, evapotranspiration, hourly_evapotranspiration, sun
from advisor.turf import hourly_sun as hourly
from advisor.turf.reference import ASCE_SHORT, ASCE_TALL, FAO56, Reference

FAO = "FAO-56 (Allen et al. 1998)"
MCMAHON = "McMahon et al. 2013, HESS 17:1331, S19, Alice Springs"
NETWORK = "AgriMet Fallon NV, row in the tests of RefET"
MARICOPA = "pyfao56 test data, reference software, FAO-56 column, Maricopa AZ 2003"
AT_SECOND_HAND = "FAO-56 Example 20 as quoted at second hand, Lyon in July"
PHYSICS = "FAO-56 values of a public R physics test file"

Number = Callable[[], float]


def degrees(whole: float, minutes: float = 0.0) -> float:
    """Radians, south negative by the sign of the degrees."""
    return float(np.radians(np.copysign(abs(whole) + minutes / 60, whole)))


def example(number: int, where: str) -> Callable[..., Published]:
    """Rows of one example of FAO-56."""

    def row(
        quantity: str, printed: str, unit: str, ours: Number, within: float | None = None,
        why: str = "",
    ) -> Published:  # fmt: skip
        source = f"{FAO}, Example {number}, {where}"
        return Published(quantity, source, printed, unit, ours, within=within, why=why)

    return row


def of_day(
    latitude: float, elevation: float, day: int, high: float, low: float, ea: float, rs: float,
    wind: float, reference: Reference = FAO56, ground: float = 0.0, full: bool = False,
) -> float:  # fmt: skip
    """Our day from vapour pressure, MJ/m2 and wind at 2 m."""
    clear = None
    if full:
        clear = clear_sky.clear_sky_full(
            sun.extraterrestrial_radiation(latitude, day),
            air.pressure_at(elevation),
            ea,
            clear_sky.mean_sun_height(latitude, day),
            lowest=0.1,
        )
    found = evapotranspiration.penman_monteith_daily(
        air_max=high,
        air_min=low,
        vapour_pressure=ea,
        radiation=rs,
        wind_2m=wind,
        elevation_m=elevation,
        latitude_rad=latitude,
        day_of_year=day,
        ground_heat=ground,
        clear_sky=clear,
        reference=reference,
    )
    return float(found)


def example_2_to_5() -> list[Published]:
    two, three = example(2, "1800 m"), example(3, "24.5 and 15 C")
    four, five = example(4, "1200 m"), example(5, "18 to 25 C")
    return [
        two("air pressure", "81.8", "kPa", lambda: air.pressure_at(1800)),
        two("psychrometric constant", "0.054", "kPa/C",
            lambda: air.psychrometric_constant(air.pressure_at(1800))),
        three("mean saturation vapour pressure", "2.39", "kPa",
              lambda: air.mean_saturation(24.5, 15)),
        three("saturation vapour pressure at the mean temperature", "2.30", "kPa",
              lambda: air.saturation_vapour_pressure(19.75)),
        four("vapour pressure from wet and dry bulb", "1.91", "kPa",
             lambda: air.vapour_pressure_from_wet_bulb(25.6, 19.5, air.pressure_at(1200))),
        five("vapour pressure from highest and lowest humidity", "1.70", "kPa",
             lambda: air.vapour_pressure_from_extremes(25, 18, 0.82, 0.54)),
        five("vapour pressure from highest humidity", "1.69", "kPa",
             lambda: air.vapour_pressure_from_highest(18, 0.82)),
        five("vapour pressure from mean humidity", "1.78", "kPa",
             lambda: air.vapour_pressure_from_mean(25, 18, 0.68)),
    ]  # fmt: skip


def example_8_to_15() -> list[Published]:
    south, rio = degrees(-20), degrees(-22, 54)
    eight, nine = example(8, "20 S on 3 September"), example(9, "20 S on 3 September")
    ten, eleven = example(10, "Rio de Janeiro in May"), example(11, "Rio de Janeiro in May")
    twelve, thirteen = example(12, "Rio de Janeiro in May"), example(13, "April")
    fourteen, fifteen = example(14, "3.2 m/s at 10 m"), example(15, "Lyon in July")
    rio_ra = partial(sun.extraterrestrial_radiation, rio, 135)
    rio_hours = partial(sun.daylight_hours, rio, 135)

    def rs() -> float:
        return float(sun.radiation_from_sunshine(220 / 31, rio_hours(), rio_ra()))

    def rso() -> float:
        return float(sun.clear_sky_radiation(rio_ra(), 0))

    def rnl() -> float:
        return float(sun.net_longwave(25.1, 19.1, 2.1, rs(), rso()))

    return [
        eight("extraterrestrial radiation", "32.2", "MJ/m2/d",
              lambda: sun.extraterrestrial_radiation(south, 246)),
        eight("extraterrestrial radiation as depth of water", "13.1", "mm/d",
              lambda: evapotranspiration.MM_PER_MJ * sun.extraterrestrial_radiation(south, 246)),
        nine("daylight", "11.7", "h", lambda: sun.daylight_hours(south, 246)),
        ten("extraterrestrial radiation", "25.1", "MJ/m2/d", rio_ra),
        ten("daylight", "10.9", "h", rio_hours),
        ten("radiation from hours of sunshine", "14.5", "MJ/m2/d", rs),
        ten("clear-sky radiation", "18.8", "MJ/m2/d", rso),
        eleven("net long-wave radiation", "3.5", "MJ/m2/d", rnl),
        twelve("net short-wave radiation", "11.1", "MJ/m2/d", lambda: sun.net_shortwave(rs())),
        twelve("net radiation", "7.6", "MJ/m2/d", lambda: sun.net_shortwave(rs()) - rnl()),
        thirteen("heat into the soil", "0.33", "MJ/m2/d",
                 lambda: evapotranspiration.ground_heat_of_month(14.1, 18.8)),
        fourteen("wind at 2 m", "2.4", "m/s", lambda: air.wind_at_2m(3.2, 10)),
        fifteen("radiation from temperature", "22.3", "MJ/m2/d",
                lambda: sun.radiation_from_temperature(26.6, 14.8, 40.6, elevation_m=200)),
    ]  # fmt: skip


def example_17() -> list[Published]:
    row, bangkok = example(17, "Bangkok in April"), degrees(13, 44)
    ra = partial(sun.extraterrestrial_radiation, bangkok, 105)
    hours = partial(sun.daylight_hours, bangkok, 105)

    def rs() -> float:
        return float(sun.radiation_from_sunshine(8.5, hours(), ra()))

    def rso() -> float:
        return float(sun.clear_sky_radiation(ra(), 2))

    def rnl() -> float:
        return float(sun.net_longwave(34.8, 25.6, 2.85, rs(), rso()))

    def ground() -> float:
        return float(evapotranspiration.ground_heat_of_month(29.2, 30.2, months_apart=1))

    def answer(ground: float) -> float:
        return of_day(bangkok, 2, 105, 34.8, 25.6, 2.85, rs(), 2.0, ground=ground)

    return [
        row("extraterrestrial radiation", "38.06", "MJ/m2/d", ra),
        row("daylight", "12.31", "h", hours),
        row("radiation from hours of sunshine", "22.65", "MJ/m2/d", rs),
        row("clear-sky radiation", "28.54", "MJ/m2/d", rso),
        row("net short-wave radiation", "17.44", "MJ/m2/d", lambda: sun.net_shortwave(rs())),
        row("net long-wave radiation", "3.11", "MJ/m2/d", rnl),
        row("net radiation", "14.33", "MJ/m2/d", lambda: sun.net_shortwave(rs()) - rnl()),
        row("heat into the soil", "0.14", "MJ/m2/d", ground),
        row("mean saturation vapour pressure", "4.42", "kPa",
            lambda: air.mean_saturation(34.8, 25.6)),
        row("slope of saturation", "0.246", "kPa/C", lambda: air.slope_of_saturation(30.2)),
        row("psychrometric constant", "0.0674", "kPa/C",
            lambda: air.psychrometric_constant(air.pressure_at(2)),
            0.0001, "it takes the pressure rounded to 101.3 kPa"),
        row("reference evapotranspiration", "5.72", "mm/d", lambda: answer(ground())),
    ]  # fmt: skip


def example_18() -> list[Published]:
    row, uccle = example(18, "Uccle on 6 July"), degrees(50, 48)
    ra = partial(sun.extraterrestrial_radiation, uccle, 187)
    hours = partial(sun.daylight_hours, uccle, 187)
    ea = partial(air.vapour_pressure_from_extremes, 21.5, 12.3, 0.84, 0.63)
    wind = partial(air.wind_at_2m, 10 / 3.6, 10)

    def rs() -> float:
        return float(sun.radiation_from_sunshine(9.25, hours(), ra()))

    def rso() -> float:
        return float(sun.clear_sky_radiation(ra(), 100))

    def rnl() -> float:
        return float(sun.net_longwave(21.5, 12.3, ea(), rs(), rso()))

    return [
        row("air pressure", "100.1", "kPa", lambda: air.pressure_at(100)),
        row("psychrometric constant", "0.0666", "kPa/C",
            lambda: air.psychrometric_constant(air.pressure_at(100))),
        row("slope of saturation", "0.122", "kPa/C", lambda: air.slope_of_saturation(16.9)),
        row("mean saturation vapour pressure", "1.997", "kPa",
            lambda: air.mean_saturation(21.5, 12.3)),
        row("vapour pressure", "1.409", "kPa", ea),
        row("vapour pressure deficit", "0.589", "kPa",
            lambda: air.vapour_deficit(21.5, 12.3, ea())),
        row("wind at 2 m", "2.078", "m/s", wind),
        row("extraterrestrial radiation", "41.09", "MJ/m2/d", ra),
        row("daylight", "16.1", "h", hours),
        row("radiation from hours of sunshine", "22.07", "MJ/m2/d", rs),
        row("clear-sky radiation", "30.90", "MJ/m2/d", rso),
        row("net short-wave radiation", "17.00", "MJ/m2/d", lambda: sun.net_shortwave(rs())),
        row("net long-wave radiation", "3.71", "MJ/m2/d", rnl),
        row("net radiation", "13.28", "MJ/m2/d", lambda: sun.net_shortwave(rs()) - rnl()),
        row("reference evapotranspiration", "3.88", "mm/d",
            lambda: of_day(uccle, 100, 187, 21.5, 12.3, float(ea()), rs(), float(wind()))),
    ]  # fmt: skip


# 1 October; the clock runs by 15 W, an hour behind UTC.
EXAMPLE_19 = {
    "02-03 h": {
        "at": "2023-10-01T03:30", "t": 28.0, "rh": 0.90, "u": 1.9, "rs": 0.0, "share": 0.8,
        "saturation vapour pressure": "3.780", "vapour pressure": "3.402", "deficit": "0.378",
        "slope": "0.220", "psychrometric constant": "0.0673",
        "extraterrestrial radiation": "0", "clear-sky radiation": "0",
        "net short-wave radiation": "0",
        "net long-wave radiation": "0.100", "net radiation": "-0.100", "heat into the soil":
        "-0.050", "reference evapotranspiration": "0.00",
    },
    "14-15 h": {
        "at": "2023-10-01T15:30", "t": 38.0, "rh": 0.52, "u": 3.3, "rs": 2.450, "share": None,
        "saturation vapour pressure": "6.625", "vapour pressure": "3.445", "deficit": "3.180",
        "slope": "0.358", "psychrometric constant": "0.0673",
        "extraterrestrial radiation": "3.543", "clear-sky radiation": "2.658",
        "share of clear-sky radiation": "0.922", "net short-wave radiation": "1.887",
        "net long-wave radiation": "0.137", "net radiation": "1.749", "heat into the soil":
        "0.175", "reference evapotranspiration": "0.63",
    },
}  # fmt: skip


def example_19_terms(case: dict) -> dict[str, Number]:
    north, east = degrees(16, 13), -(16 + 15 / 60)
    when = np.datetime64(case["at"])
    es = partial(air.saturation_vapour_pressure, case["t"])
    ea = float(es()) * case["rh"]
    ra = partial(hourly.extraterrestrial_of_hour, north, when, east)

    def rso() -> float:
        return float(sun.clear_sky_radiation(ra(), 8))

    def share() -> float:
        height = hourly.sun_height(north, when, east)
        found = hourly.share_by_hours(
            [case["rs"]], [rso()], [height], until_known=case["share"] or 0.0
        )
        return float(found[0])

    def rnl() -> float:
        return float(hourly_evapotranspiration.net_longwave_of_hour(case["t"], ea, share()))

    def rn() -> float:
        return float(sun.net_shortwave(case["rs"])) - rnl()

    return {
        "saturation vapour pressure": es,
        "vapour pressure": lambda: ea,
        "deficit": lambda: air.vapour_deficit(case["t"], case["t"], ea),
        "slope": lambda: air.slope_of_saturation(case["t"]),
        "psychrometric constant": lambda: air.psychrometric_constant(air.pressure_at(8)),
        "extraterrestrial radiation": ra,
        "clear-sky radiation": rso,
        "share of clear-sky radiation": share,
        "net short-wave radiation": lambda: sun.net_shortwave(case["rs"]),
        "net long-wave radiation": rnl,
        "net radiation": rn,
        "heat into the soil": lambda: hourly_evapotranspiration.ground_heat_of_hour(rn()),
        "reference evapotranspiration": lambda: hourly_evapotranspiration.penman_monteith_hourly(
            air_temp=case["t"],
            vapour_pressure=ea,
            radiation=case["rs"],
            wind_2m=case["u"],
            elevation_m=8,
            share=share(),
        ),
    }


UNITS = {"pressure": "kPa", "deficit": "kPa", "slope": "kPa/C", "constant": "kPa/C",
         "radiation": "MJ/m2/h", "soil": "MJ/m2/h", "evapotranspiration": "mm/h"}  # fmt: skip


def example_19() -> list[Published]:
    rows = []
    for when, case in EXAMPLE_19.items():
        row = example(19, "N'Diaye, hourly")
        for name, ours in example_19_terms(case).items():
            if name in case:
                unit = "" if name.startswith("share") else UNITS[name.split()[-1]]
                rows.append(row(f"{name}, {when}", case[name], unit, ours))
    return rows


def example_20() -> list[Published]:
    row, lyon = example(20, "Lyon in July, temperatures alone"), degrees(45, 43)
    ra = partial(sun.extraterrestrial_radiation, lyon, 196)
    ea = partial(air.vapour_pressure_from_dew_point, 14.8)

    def rs() -> float:
        return float(sun.radiation_from_temperature(26.6, 14.8, ra(), elevation_m=200))

    def answer(wind: float) -> float:
        return of_day(lyon, 200, 196, 26.6, 14.8, float(ea()), rs(), wind)

    return [
        row("vapour pressure from the lowest temperature", "1.68", "kPa", ea),
        row("extraterrestrial radiation", "40.6", "MJ/m2/d", ra),
        row("radiation from temperature", "22.3", "MJ/m2/d", rs),
        row("vapour pressure deficit", "0.90", "kPa",
            lambda: air.vapour_deficit(26.6, 14.8, ea())),
        row("reference evapotranspiration, Penman-Monteith", "4.6", "mm/d",
            lambda: answer(2.0)),
        row("reference evapotranspiration, Hargreaves-Samani", "5.0", "mm/d",
            lambda: evapotranspiration.hargreaves_samani(26.6, 14.8, ra())),
        Published("change of ET0 with wind of 1 instead of 2 m/s", AT_SECOND_HAND, "-7", "%",
                  lambda: 100 * (answer(1.0) / answer(2.0) - 1), SECOND_HAND),
        Published("change of ET0 with wind of 3 instead of 2 m/s", AT_SECOND_HAND, "6", "%",
                  lambda: 100 * (answer(3.0) / answer(2.0) - 1), SECOND_HAND),
    ]  # fmt: skip


KELVIN = "it adds 273.2 K in the long-wave term, where FAO-56 adds 273.16"


def alice_springs() -> list[Published]:
    where = degrees(-23.7951)
    ra = partial(sun.extraterrestrial_radiation, where, 202)
    ea = partial(air.vapour_pressure_from_extremes, 21, 2, 0.71, 0.25)

    def rso() -> float:
        return float(sun.clear_sky_radiation(ra(), 546))

    def rnl() -> float:
        return float(sun.net_longwave(21, 2, ea(), 17.194, rso()))

    def row(
        quantity: str, printed: str, unit: str, ours: Number, within: float | None = None,
        why: str = "",
    ) -> Published:  # fmt: skip
        return Published(quantity, MCMAHON, printed, unit, ours, within=within, why=why)

    return [
        row("saturation vapour pressure at 21 C", "2.4870", "kPa",
            lambda: air.saturation_vapour_pressure(21)),
        row("saturation vapour pressure at 2 C", "0.7056", "kPa",
            lambda: air.saturation_vapour_pressure(2)),
        row("mean saturation vapour pressure", "1.5963", "kPa", lambda: air.mean_saturation(21, 2)),
        row("vapour pressure", "0.5614", "kPa", ea),
        row("slope of saturation", "0.0898", "kPa/C", lambda: air.slope_of_saturation(11.5)),
        row("air pressure", "95.010", "kPa", lambda: air.pressure_at(546)),
        row("psychrometric constant", "0.0632", "kPa/C",
            lambda: air.psychrometric_constant(air.pressure_at(546))),
        row("daylight", "10.7431", "h", lambda: sun.daylight_hours(where, 202)),
        row("extraterrestrial radiation", "23.6182", "MJ/m2/d", ra),
        row("clear-sky radiation", "17.9716", "MJ/m2/d", rso),
        row("net short-wave radiation", "13.2393", "MJ/m2/d", lambda: sun.net_shortwave(17.194),
            0.0001, "its own radiation has digits that it does not print"),
        row("net long-wave radiation", "7.1784", "MJ/m2/d", rnl, 0.0042, KELVIN),
        row("net radiation", "6.0610", "MJ/m2/d", lambda: sun.net_shortwave(17.194) - rnl(),
            0.0042, KELVIN),
        row("reference evapotranspiration", "2.0775", "mm/d",
            lambda: of_day(where, 546, 202, 21, 2, float(ea()), 17.194, 0.5903), 0.0011, KELVIN),
    ]  # fmt: skip


FINER = "it takes 1367 W/m2, 23.45 degrees and finer constants of pressure, where ASCE-EWRI rounds"
ROUNDED = "a guess: the day is quoted with rounded weather, and its library has finer constants"


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


def fallon() -> list[Published]:
    north, east, elevation = degrees(39.4575), -118.77388, 1208.5
    ea = air.vapour_pressure_from_dew_point(celsius(49.84))
    wind = air.wind_at_2m(4.80 * 0.44704, 3)

    def july(reference: Reference, full: bool) -> float:
        return of_day(north, elevation, 182, celsius(102.80), celsius(66.65), float(ea),
                      674.07 * 0.041868, float(wind), reference, full=full)  # fmt: skip

    def row(
        quantity: str, printed: str, unit: str, ours: Number, within: float | None = None,
        why: str = "", day: str = "1 July 2015",
    ) -> Published:  # fmt: skip
        return Published(quantity, f"{NETWORK}, {day}", printed, unit, ours, within=within, why=why)

    rows = [
        row("vapour pressure from dew point", "1.22067", "kPa", lambda: ea),
        row("wind at 2 m from 3 m", "1.97611", "m/s", lambda: wind),
        row("tall reference, simple clear sky", "10.6261", "mm/d",
            lambda: july(ASCE_TALL, False)),
        row("tall reference, full clear sky", "10.571", "mm/d", lambda: july(ASCE_TALL, True),
            0.002, FINER),
        row("short reference, full clear sky", "7.942", "mm/d", lambda: july(ASCE_SHORT, True),
            0.002, FINER),
    ]  # fmt: skip
    others = {
        "15 April 2015": ((105, 12.77, -7.21, 27.32, 1.94, -13.5), ("4.70", "3.57")),
        "15 July 2015": ((196, 33.72, 13.82, 31.23, 1.49, 5.95), ("8.43", "6.75")),
        "15 October 2015": ((288, 28.61, 8.61, 12.50, 1.38, 5.30), ("4.16", "2.88")),
    }
    rounded_day = {("15 July 2015", "tall"), ("15 July 2015", "short"), ("15 October 2015", "tall")}
    for name, ((day, high, low, rs, speed, dew), answers) in others.items():
        for label, printed, form in zip(
            ("tall", "short"), answers, (ASCE_TALL, ASCE_SHORT), strict=True
        ):
            ours = partial(
                of_day, north, elevation, day, high, low,
                float(air.vapour_pressure_from_dew_point(dew)), rs,
                float(air.wind_at_2m(speed, 3)), form, full=True,
            )  # fmt: skip
            wider = (0.009, ROUNDED) if (name, label) in rounded_day else (None, "")
            rows.append(
                row(f"{label} reference, full clear sky", printed, "mm/d", ours, *wider, day=name)
            )

    when = np.datetime64("2015-07-01T18:30")
    t, moist, rs = celsius(91.80), 1.19901, 61.16 * 0.041868
    ra = partial(hourly.extraterrestrial_of_hour, north, when, east)

    def share(full: bool) -> float:
        height = hourly.sun_height(north, when, east)
        rso = sun.clear_sky_radiation(ra(), elevation)
        if full:
            rso = clear_sky.clear_sky_full(
                ra(), air.pressure_at(elevation), moist, height, lowest=0.01
            )
        return float(hourly.share_by_hours([rs], [rso], [height])[0])

    def hour(reference: Reference, full: bool) -> float:
        return float(
            hourly_evapotranspiration.penman_monteith_hourly(
                air_temp=t,
                vapour_pressure=moist,
                radiation=rs,
                wind_2m=air.wind_at_2m(3.33 * 0.44704, 3),
                elevation_m=elevation,
                share=share(full),
                reference=reference,
            )
        )

    at = "1 July 2015 18:00 UTC"
    return [
        *rows,
        row("short reference of the hour, simple clear sky", "0.60635", "mm/h",
            lambda: hour(ASCE_SHORT, False), day=at),
        row("tall reference of the hour, simple clear sky", "0.71964", "mm/h",
            lambda: hour(ASCE_TALL, False), day=at),
        row("short reference of the hour, full clear sky", "0.60686", "mm/h",
            lambda: hour(ASCE_SHORT, True), 0.00005, FINER, at),
        row("tall reference of the hour, full clear sky", "0.72019", "mm/h",
            lambda: hour(ASCE_TALL, True), 0.00006, FINER, at),
        row("extraterrestrial radiation of the hour", "4.30824", "MJ/m2/h", ra, 0.002, FINER, at),
        row("net long-wave radiation of the hour, full clear sky", "0.22898", "MJ/m2/h",
            lambda: hourly_evapotranspiration.net_longwave_of_hour(
                t, moist, share(True), ASCE_SHORT), 0.0002, FINER, at),
    ]  # fmt: skip


def maricopa() -> list[Published]:
    days = {
        "1 January": (1, 17.5, -0.5, 12.48, 1.0, -0.1, "1.45"),
        "7 January": (7, 23.4, 13.4, 11.08, 5.8, 5.1, "5.05"),
        "9 January": (9, 19.0, 7.6, 9.15, 0.9, 10.5, "1.19"),
        "31 January": (31, 28.7, 3.2, 15.13, 1.2, 2.1, "2.86"),
        "2 February": (33, 21.2, 8.2, 14.99, 3.7, -3.4, "4.46"),
        "15 April": (105, 20.6, 10.0, 27.96, 4.4, 5.1, "5.40"),
        "15 July": (196, 45.9, 26.4, 25.28, 2.6, 13.6, "9.39"),
        "15 October": (288, 35.7, 14.7, 18.30, 1.0, 9.9, "3.79"),
    }
    why = "a guess: the record rounds its weather, wind to 0.1 m/s, and its software did not"
    rounded_day = {"7 January", "2 February", "15 October"}

    def ours(name: str, full: bool = False) -> float:
        day, high, low, rs, wind, dew, _ = days[name]
        ea, speed = air.vapour_pressure_from_dew_point(dew), air.wind_at_2m(wind, 3)
        return of_day(
            degrees(33.069), 361, day, high, low, float(ea), rs, float(speed),
            ASCE_SHORT if full else FAO56, full=full,
        )  # fmt: skip

    return [
        *(
            Published(f"reference evapotranspiration on {name}", MARICOPA, row[-1], "mm/d",
                      partial(ours, name), within=0.008 if name in rounded_day else None,
                      why=why if name in rounded_day else "")
            for name, row in days.items()
        ),
        Published("reference evapotranspiration on 7 January, full clear sky",
                  MARICOPA.replace("FAO-56", "ASCE"), "4.96", "mm/d",
                  partial(ours, "7 January", full=True), within=0.008, why=why),
    ]  # fmt: skip


def physics() -> list[Published]:
    places = [("50.80 N, day 187", 50.80, 187, "41.088"),
              ("45.72 N, day 196", 45.72, 196, "40.555"),
              ("the equator, day 80", 0.0, 80, "37.824"), ("37.5 N, day 172", 37.5, 172, "41.779"),
              ("37.5 N, day 355", 37.5, 355, "15.069")]  # fmt: skip
    warm = [(0.0, "0.611"), (20.0, "2.338"), (31.0, "4.4926")]
    return [
        *(Published(f"extraterrestrial radiation at {name}", PHYSICS, printed, "MJ/m2/d",
                    partial(sun.extraterrestrial_radiation, degrees(north), day))
          for name, north, day, printed in places),
        *(Published(f"saturation vapour pressure at {t:g} C", PHYSICS, printed, "kPa",
                    partial(air.saturation_vapour_pressure, t)) for t, printed in warm),
    ]  # fmt: skip


VALUES = (
    *example_2_to_5(),
    *example_8_to_15(),
    *example_17(),
    *example_18(),
    *example_19(),
    *example_20(),
    *alice_springs(),
    *fallon(),
    *maricopa(),
    *physics(),
)
