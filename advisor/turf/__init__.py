"""Agronomy and physics of turf, on numpy arrays. Pure.

Temperatures in degrees Celsius, water in millimetres, radiation in MJ m-2 per day (or hour),
pressure in kPa, wind in m/s, angles in radians, everything else in SI units.
"""
