"""Disease pressure. No source prints a worked case: all of these are regression values."""

from __future__ import annotations

from published import COMPUTED, Published

from advisor.turf.disease import brown_patch_index, dollar_spot
from advisor.turf.spells import trailing_mean


def spot(air: float, percent: float, printed: str) -> Published:
    return Published(
        quantity=f"dollar spot at {air:g} °C, {percent:g} %",
        source="Smith et al. (2018), PLoS ONE 13(3): e0194216",
        printed=printed,
        unit="%",
        ours=lambda: 100 * float(dollar_spot(air, percent / 100)),
        how=COMPUTED,
    )


def patch(percent: float, air_min: float, printed: str) -> Published:
    return Published(
        quantity=f"brown patch index at {percent:g} %, lowest {air_min:g} °C",
        source="Fidanza et al. (1996), Phytopathology 86:385",
        printed=printed,
        unit="",
        ours=lambda: float(brown_patch_index(percent / 100, air_min)),
        how=COMPUTED,
    )


def chain() -> float:
    air = trailing_mean([20, 21, 22, 23, 21], 5)
    humidity = trailing_mean([0.70, 0.78, 0.85, 0.80, 0.75], 5)
    return 100 * float(dollar_spot(air, humidity)[-1])


VALUES = (
    spot(15, 70, "9.55"),
    spot(18, 70, "15.86"),
    spot(20, 70, "21.72"),
    spot(20, 75, "30.26"),
    spot(20, 80, "40.42"),
    spot(22, 80, "49.96"),
    spot(25, 70, "42.16"),
    spot(25, 75, "53.27"),
    spot(25, 85, "73.59"),
    spot(28, 80, "76.09"),
    Published(
        quantity="dollar spot after five days of 20 to 23 °C, 70 to 85 %",
        source="Smith et al. (2018), PLoS ONE 13(3): e0194216",
        printed="41.8",
        unit="%",
        ours=chain,
        how=COMPUTED,
    ),
    patch(75, 16, "3.702"),
    patch(70, 22, "3.828"),
    patch(80, 18, "5.008"),
    patch(85, 16, "5.202"),
    patch(85, 20, "6.050"),
    patch(90, 21, "6.847"),
    patch(95, 22, "7.578"),
)
