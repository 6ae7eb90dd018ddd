"""Degree-days against printed tables. Fahrenheit in print is turned into Celsius and back."""

import numpy as np
import pytest

from advisor.turf.growth import (
    degree_days_modified,
    degree_days_simple,
    degree_days_single_sine,
)


def celsius(fahrenheit):
    return (np.asarray(fahrenheit, dtype=float) - 32) / 1.8


ZALOM = [
    (96, 110, 35.00), (45, 54, 0.00), (60, 80, 15.00), (75, 88, 26.50), (50, 82, 11.85),
    (45, 70, 5.31), (60, 100, 22.82), (75, 95, 28.91), (50, 101, 18.95), (48, 95, 16.96),
]  # fmt: skip


@pytest.mark.parametrize(("low", "high", "printed"), ZALOM)
def test_single_sine_of_zalom_table_7(low, high, printed):
    """Zalom et al. (1983), UC leaflet 21373, Table 7: limits 55 and 90 F, single sine."""
    found = degree_days_single_sine(celsius(high), celsius(low), celsius(55), celsius(90))
    assert 1.8 * found == pytest.approx(printed, abs=0.01)


MCMASTER = [
    (20, 10, 15, 15), (10, 1, 5.5, 5.5), (8, -2, 3, 4), (6, 0, 3, 3), (10, 5, 7.5, 7.5),
    (5, -5, 0, 2.5), (-2, -7, 0, 0), (10, -2, 4, 5), (15, 2, 8.5, 8.5),
]  # fmt: skip


@pytest.mark.parametrize(("high", "low", "first", "second"), MCMASTER)
def test_both_methods_of_mcmaster_and_wilhelm_table_1(high, low, first, second):
    """McMaster and Wilhelm (1997), Agric. For. Meteorol. 87:291-300, Table 1: base 0 C."""
    assert degree_days_simple(high, low, 0) == pytest.approx(first, abs=1e-9)
    # The table has no upper limit; none of its days comes near this one.
    assert degree_days_modified(high, low, 0, 40) == pytest.approx(second, abs=1e-9)


@pytest.mark.parametrize(
    ("high", "low", "printed"),
    [
        pytest.param(65, 40, 2.5, id="Nugent, Michigan State"),
        pytest.param(60, 35, 0, id="Nugent, Michigan State, cold"),
        pytest.param(75, 27, 1, id="Virginia Tech"),
        pytest.param(83, 61, 22, id="extension example, warm"),
        pytest.param(70, 40, 5, id="extension example, mild"),
    ],
)
def test_simple_days_of_extension_pages(high, low, printed):
    """Worked days on extension pages, base 50 F."""
    found = degree_days_simple(celsius(high), celsius(low), celsius(50))
    assert 1.8 * found == pytest.approx(printed, abs=1e-9)


def test_single_sine_of_an_open_library():
    """TrenchR's documented case: 7 to 14 C over a base of 12 C gives 0.47."""
    assert degree_days_single_sine(14, 7, 12, 60) == pytest.approx(0.47, abs=0.005)
