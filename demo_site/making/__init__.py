"""The parts of `make_weather.py`: what must happen in the year, the sun, the soil, the weather."""
