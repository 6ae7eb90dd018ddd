"""The reference crops whose evapotranspiration a weather record gives, and their constants.

FAO-56: Allen, Pereira, Raes and Smith (1998), equations 6, 39, 45, 46, 53. ASCE-EWRI (2005), *The
ASCE Standardized Reference Evapotranspiration Equation*, table 1. A day of clipped cool-season
grass comes out the same by both; an hour does not, for ASCE lets the grass resist more by night.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Reference:
    """Constants of the combination equation for one crop.

    `numerator` (K mm s3/Mg/d, or per hour) and `wind` (s/m) are what ASCE-EWRI calls Cn and Cd;
    `ground` is the share of net radiation that goes into the soil. An hour is light when its net
    radiation is not below 0. `slope` is the constant of [13] and `radiates` the Stefan-Boltzmann
    constant (MJ/K4/m2 in a day, in an hour), which the two papers round in different ways.
    """

    name: str
    numerator_day: float
    wind_day: float
    numerator_hour: float
    wind_light: float
    wind_dark: float
    ground_light: float
    ground_dark: float
    slope: float
    radiates_day: float
    radiates_hour: float


FAO56 = Reference(
    "FAO-56 grass", 900.0, 0.34, 37.0, 0.34, 0.34, 0.1, 0.5, 4098 * 0.6108, 4.903e-9, 2.043e-10
)
ASCE_SHORT = Reference(
    "ASCE short (grass)", 900.0, 0.34, 37.0, 0.24, 0.96, 0.1, 0.5, 2503.0, 4.901e-9, 2.042e-10
)
ASCE_TALL = Reference(
    "ASCE tall (alfalfa)", 1600.0, 0.38, 66.0, 0.25, 1.7, 0.04, 0.2, 2503.0, 4.901e-9, 2.042e-10
)
