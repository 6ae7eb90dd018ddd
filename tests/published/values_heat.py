"""Heat index, wet bulb, dew point and deficit."""

from __future__ import annotations

from published import COMPUTED, Published

from advisor.turf.heat import heat_index
from advisor.turf.humidity import deficit, dew_point, relative_humidity, wet_bulb


def felt(air_f: float, percent: float) -> float:
    return float(heat_index((air_f - 32) / 1.8, percent / 100)) * 1.8 + 32


def cell(air: float, percent: float, printed: str) -> Published:
    return Published(
        quantity=f"heat index at {air:g} °F, {percent:g} %",
        source="NWS Tulsa, heat index chart",
        printed=printed,
        unit="°F",
        ours=lambda: felt(air, percent),
    )


def wet(air: float, percent: float, printed: str) -> Published:
    return Published(
        quantity=f"wet bulb at {air:g} °C, {percent:g} %",
        source="Tests of open libraries for Stull (2011), JAMC 50:2267",
        printed=printed,
        unit="°C",
        ours=lambda: float(wet_bulb(air, percent / 100)),
    )


CHART = (
    cell(80, 40, "80"),
    cell(82, 60, "84"),
    cell(84, 70, "90"),
    cell(86, 90, "105"),
    cell(88, 75, "103"),
    cell(90, 50, "95"),
    cell(90, 70, "106"),
    cell(92, 60, "105"),
    cell(94, 55, "106"),
    cell(96, 65, "121"),
    cell(100, 50, "118"),
    cell(104, 40, "119"),
    cell(110, 40, "136"),
    cell(86, 100, "112"),
    # The chart is drawn without the term for very humid air: (100 - 85) / 10 * (87 - 80) / 5 = 2.1.
    Published(
        quantity="heat index at 80 °F, 100 %, less the humid term that the chart leaves out",
        source="NWS Tulsa, heat index chart",
        printed="87",
        unit="°F",
        ours=lambda: felt(80, 100) - 2.1,
    ),
)

VALUES = (
    *CHART,
    Published(
        quantity="wet bulb at 20 °C, 50 %",
        source="Stull (2011), JAMC 50:2267",
        printed="13.7",
        unit="°C",
        ours=lambda: float(wet_bulb(20, 0.5)),
    ),
    wet(20, 50, "13.69934197"),
    wet(30, 70, "25.5957"),
    wet(20, 80, "17.5293"),
    wet(40, 20, "22.7039"),
    Published(
        quantity="vapour pressure at 31 °C, 24 %",
        source="Tests of an open library, vapour pressure deficit",
        printed="1.080",
        unit="kPa",
        # Ours is the deficit of dry air less that of this air: what vapour there is.
        ours=lambda: float(deficit(31, 0) - deficit(31, 0.24)),
        within=0.002,
        why="0.24 of 4.5 kPa, a saturation pressure of two digits; eq 11 of FAO-56 gives 4.493",
    ),
    Published(
        quantity="vapour pressure deficit at 31 °C, 24 %",
        source="Tests of an open library, vapour pressure deficit",
        printed="3.42",
        unit="kPa",
        ours=lambda: float(deficit(31, 0.24)),
        within=0.006,
        why="0.76 of 4.5 kPa, a saturation pressure of two digits; eq 11 of FAO-56 gives 4.493",
    ),
    Published(
        quantity="vapour pressure deficit at 30 °C, 40 %",
        source="FAO-56, eq 11",
        printed="2.546",
        unit="kPa",
        ours=lambda: float(deficit(30, 0.4)),
        how=COMPUTED,
    ),
    Published(
        quantity="dew point at 25 °C, 60 %",
        source="FAO-56, eq 11 turned round",
        printed="16.70",
        unit="°C",
        ours=lambda: float(dew_point(25, 0.6)),
        how=COMPUTED,
    ),
    Published(
        quantity="relative humidity at 25 °C with a dew point of 16.70 °C",
        source="FAO-56, eq 10 and 11",
        printed="60.0",
        unit="%",
        ours=lambda: 100 * float(relative_humidity(25, 16.70)),
        how=COMPUTED,
    ),
    *(
        Published(
            quantity=f"wet bulb at {air} °C, {percent} %",
            source="Stull (2011), the equation",
            printed=printed,
            unit="°C",
            ours=lambda air=air, percent=percent: float(wet_bulb(air, percent / 100)),
            how=COMPUTED,
        )
        for air, percent, printed in ((30, 50, "22.30"), (35, 60, "28.49"), (25, 80, "22.33"))
    ),
)
