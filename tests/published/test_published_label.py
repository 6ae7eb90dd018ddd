"""Label arithmetic against the worked examples of university extension services."""

import pytest

from advisor.series.quantity import Kind, Written, convert
from advisor.turf.label import (
    nutrient_delivered,
    phosphorus_from_p2o5,
    potassium_from_k2o,
    product_rate,
)

US = "lb/1000 ft2"


def rate(pounds: float, percent: float) -> float:
    """Pounds of product per 1000 ft2 for pounds of a nutrient, by way of g/m2."""
    wanted = Written(pounds, US).as_kind(Kind.MASS_PER_AREA)
    return convert(float(product_rate(wanted, percent)), Kind.MASS_PER_AREA, US)


def test_nebraska():
    """Nebraska: 1 lb N from 28-3-6 is 3.57 lb/1000 ft2, 21.4 lb on 6000 ft2."""
    assert rate(1, 28) == pytest.approx(3.57, abs=0.005)
    assert 6 * rate(1, 28) == pytest.approx(21.42, abs=0.02)


def test_north_carolina():
    """NC State: 1 lb N from 24-6-6 is 4.17 lb/1000 ft2, about 20 lb on 5000 ft2."""
    assert rate(1, 24) == pytest.approx(4.17, abs=0.005)
    assert 5 * rate(1, 24) == pytest.approx(20, abs=1)


@pytest.mark.parametrize(
    ("percent", "pounds"), [(6, 17), (10, 10), (14, 7), (20, 5), (26, 4), (35, 3)]
)
def test_north_carolina_table(percent, pounds):
    """NC State's table of whole pounds that bring 1 lb N per 1000 ft2."""
    assert round(rate(1, percent)) == pounds


def test_minnesota():
    """Minnesota: 60 lb of 30-4-4 hold 18 lb N, 2.4 lb P2O5 and K2O, 1.1 lb P, 2.0 lb K."""
    assert nutrient_delivered(60, 30) == pytest.approx(18)
    assert nutrient_delivered(60, 4) == pytest.approx(2.4)
    assert phosphorus_from_p2o5(2.4) == pytest.approx(1.1, abs=0.06)
    assert potassium_from_k2o(2.4) == pytest.approx(2.0, abs=0.05)


def test_florida():
    """Florida: 1 lb N from 16-4-8 is 6.25 lb, with .25 P2O5, .50 K2O, .109 P, .415 K."""
    product = product_rate(1, 16)
    assert product == pytest.approx(6.25)
    phosphate, potash = nutrient_delivered(product, 4), nutrient_delivered(product, 8)
    assert phosphate == pytest.approx(0.25)
    assert potash == pytest.approx(0.50)
    assert phosphorus_from_p2o5(phosphate) == pytest.approx(0.109, abs=0.0005)
    assert potassium_from_k2o(potash) == pytest.approx(0.415, abs=0.0005)


def test_massachusetts():
    """Massachusetts: 1 lb N from 20-5-10 is 5.00 lb, half of it in each of two passes 2.5."""
    assert rate(1, 20) == pytest.approx(5.00)
    assert rate(0.5, 20) == pytest.approx(2.5)
