"""Label arithmetic: from the analysis on a bag to what is weighed out, and back.

Percentages are those of the label (the 24 of 24-0-6), masses g/m2. Element by element on arrays
that broadcast together; NaN in gives NaN out; a number that cannot be is refused with a
ValueError that names it and the range. The arithmetic is that of extension services (Nebraska, NC
State, Minnesota, Florida, Massachusetts); Minnesota rounds the factor of phosphorus to 0.44.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from advisor.turf.ranges import Floats, within

PHOSPHORUS_IN_P2O5 = 0.4364
POTASSIUM_IN_K2O = 0.8301
"""Mass of the element in its oxide, by atomic weights."""

_MASS = (0.0, 10_000.0, "g/m2")


def product_rate(target: ArrayLike, percent: ArrayLike) -> Floats:
    """Product that brings a wanted amount of one nutrient: target / (percent / 100).

    Extension services print the results to two digits, or the product for a whole lawn from the
    rounded rate: 21.42 lb on 6000 ft2 where 21.43 is exact, "about 20" where 20.83 is.

    Parameters
    ----------
    target : array_like
        Nutrient wanted [g/m2], 0 to 10000.
    percent : array_like
        Share of the nutrient in the product [%], 0.001 to 100. A product without it cannot bring
        it, so 0 is refused.

    Returns
    -------
    ndarray
        Product [g/m2].

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    share = within("percent", percent, (0.001, 100.0, "%"))
    return within("target", target, _MASS) / (share / 100.0)


def nutrient_delivered(product: ArrayLike, percent: ArrayLike) -> Floats:
    """Nutrient that an amount of product brings: product * percent / 100.

    Parameters
    ----------
    product : array_like
        Product put down [g/m2], 0 to 10000.
    percent : array_like
        Share of the nutrient in the product [%], 0 to 100.

    Returns
    -------
    ndarray
        Nutrient [g/m2].

    Raises
    ------
    ValueError
        A number lies outside its range.
    """
    share = within("percent", percent, (0.0, 100.0, "%"))
    return within("product", product, _MASS) * share / 100.0


def phosphorus_from_p2o5(p2o5: ArrayLike) -> Floats:
    """Phosphorus in an amount of phosphate, the way labels state it: 0.4364 * P2O5.

    Parameters
    ----------
    p2o5 : array_like
        P2O5, in any unit of mass or mass per area, 0 to 10000.

    Returns
    -------
    ndarray
        P, in the same unit.

    Raises
    ------
    ValueError
        A number lies outside the range.
    """
    return PHOSPHORUS_IN_P2O5 * within("p2o5", p2o5, (0.0, 10_000.0, ""))


def potassium_from_k2o(k2o: ArrayLike) -> Floats:
    """Potassium in an amount of potash, the way labels state it: 0.8301 * K2O.

    Parameters
    ----------
    k2o : array_like
        K2O, in any unit of mass or mass per area, 0 to 10000.

    Returns
    -------
    ndarray
        K, in the same unit.

    Raises
    ------
    ValueError
        A number lies outside the range.
    """
    return POTASSIUM_IN_K2O * within("k2o", k2o, (0.0, 10_000.0, ""))
