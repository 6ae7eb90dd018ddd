"""Published values of heat in the ground: damping depths, and the wave at a depth."""

from collections.abc import Callable

from published import COMPUTED, READ, Published

from advisor.turf.heat_conduction import SECONDS_A_DAY, damping_depth, periodic_temperature

WAVE = "Kusuda and Achenbach 1965, the formula"
_D = 0.05 / SECONDS_A_DAY


def _wave(depth: float, day: float) -> Callable[[], float]:
    """Mean 12 C, amplitude 14 C, coldest on day 30, 0.05 m2/d."""
    return lambda: float(periodic_temperature(day, depth, 12, 14, 30, _D))


def _depth(diffusivity: float, days: float) -> Callable[[], float]:
    return lambda: 100 * float(damping_depth(diffusivity, days))


VALUES = (
    Published(
        "damping depth of the year's wave, 1e-6 m2/s",
        "documentation of a ground temperature library",
        "3.17",
        "m",
        lambda: float(damping_depth(1e-6, 365)),
        READ,
    ),
    *(
        Published(
            f"damping depth of the day's wave, {name}", "Hillel 1982, the formula", printed,
            "cm", _depth(diffusivity, 1), COMPUTED,
        )
        for name, diffusivity, printed in (
            ("wet sandy soil, 0.85e-6 m2/s", 0.85e-6, "15.3"),
            ("moist clay, 0.40e-6 m2/s", 0.40e-6, "10.5"),
            ("tropical Ultisol, 0.39e-6 m2/s", 0.39e-6, "10.4"),
        )
    ),
    *(
        Published(
            f"a year's wave at {depth} m on day {day}", WAVE, printed, "C", _wave(depth, day),
            COMPUTED,
        )
        for depth, day, printed in (
            (0.0, 30, "-2.000"), (0.0, 212, "25.999"), (0.1, 30, "-1.419"), (0.1, 105, "7.759"),
            (0.1, 196, "24.726"), (0.5, 196, "22.030"), (1.0, 196, "19.078"), (2.0, 212, "16.083"),
        )
    ),
)  # fmt: skip
