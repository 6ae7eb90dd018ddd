"""Measured air and soil temperature in Utah, 1 March to 29 September 2025, as daily means.

Made from the hourly measurements that come with the documentation of the Python package soil_heat
0.1.3 (docs/notebooks/shf.csv, columns TA_1_1_1 and TS_3_2_1, the soil at 10 cm). A day has the 24
hours that end after its midnight; its mean needs 20 of them. The cover of the ground is not
stated; at 5 cm it reaches 47 C, so it is open and dry. The data are used under this licence:

MIT License

Copyright (c) 2025, Paul Inkenbrandt

Permission is hereby granted, free of charge, to any person obtaining a copy
of this software and associated documentation files (the "Software"), to deal
in the Software without restriction, including without limitation the rights
to use, copy, modify, merge, publish, distribute, sublicense, and/or sell
copies of the Software, and to permit persons to whom the Software is
furnished to do so, subject to the following conditions:

The above copyright notice and this permission notice shall be included in all
copies or substantial portions of the Software.

THE SOFTWARE IS PROVIDED "AS IS", WITHOUT WARRANTY OF ANY KIND, EXPRESS OR
IMPLIED, INCLUDING BUT NOT LIMITED TO THE WARRANTIES OF MERCHANTABILITY,
FITNESS FOR A PARTICULAR PURPOSE AND NONINFRINGEMENT. IN NO EVENT SHALL THE
AUTHORS OR COPYRIGHT HOLDERS BE LIABLE FOR ANY CLAIM, DAMAGES OR OTHER
LIABILITY, WHETHER IN AN ACTION OF CONTRACT, TORT OR OTHERWISE, ARISING FROM,
OUT OF OR IN CONNECTION WITH THE SOFTWARE OR THE USE OR OTHER DEALINGS IN THE
SOFTWARE.
"""

from math import nan

# fmt: off
AIR_MEAN = [
    5.0, 8.0, 5.5, 6.2, 4.0, 2.6, 2.5, 2.5, 4.3, 6.6, 7.6, 8.3, 7.8, 2.9, 2.5, 6.0, 8.5, 4.2, 2.1,
    3.4, 5.4, 7.8, 9.7, 12.8, 12.2, 13.6, 15.2, 13.2, 7.7, 6.9, 7.5, 2.8, 1.6, 2.7, 3.3, 3.7, 6.9,
    10.6, 12.2, 12.9, 12.9, 15.3, 16.4, 14.4, 10.3, 11.7, 13.9, 8.6, 2.8, 3.7, 9.2, 11.7, 13.1,
    15.4, 14.6, 13.8, 15.6, 12.1, 10.5, 11.2, 12.6, 13.1, 13.2, 16.4, 15.3, 13.0, 11.8, 14.0, 16.2,
    18.6, 19.4, 20.5, 20.5, 15.2, 10.5, 11.2, 12.4, 15.3, 11.7, 10.0, 12.5, 15.3, 18.4, 20.4, 19.0,
    15.8, 17.7, 20.2, 20.0, 19.4, 23.1, 24.7, 24.6, 21.5, 18.4, 17.3, 16.5, 17.0, 20.4, 23.6, 22.7,
    23.1, 24.2, 24.6, 24.4, 25.1, 24.6, 23.8, 22.7, 23.3, 25.5, 25.0, 24.6, 16.3, 17.8, 20.8, 21.0,
    22.4, 24.2, 24.1, 24.2, 23.3, 23.9, 23.8, 18.4, 22.5, 23.1, 23.8, 24.7, 26.4, 26.1, 25.9, 25.7,
    26.2, 27.7, 27.7, 26.5, 23.6, 23.2, 23.6, 22.5, 23.7, 22.4, 24.2, 24.8, 24.8, 23.3, 23.3, 22.5,
    23.7, 23.5, 24.4, 23.3, 23.8, 23.4, 24.0, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan,
    nan, 23.4, 20.5, 21.7, 23.9, 25.1, 26.1, 26.9, 25.6, 23.9, 22.1, 22.1, 18.7, 19.1, 19.4, 16.2,
    17.6, 19.9, 21.0, 22.0, 22.4, 22.1, 20.7, 18.3, 18.0, 19.6, 21.2, 20.8, 19.3, 15.2, 11.2, 14.3,
    17.3, 18.0, 15.3, 16.1, 16.3, 18.5, 17.9, 15.3, 12.7, 13.3, 15.5, 17.0, 17.9, 15.0, 15.5,
]
"""Mean air temperature of each day [C]."""

SOIL_10_CM = [
    5.7, 7.1, 7.1, 6.7, 6.6, 5.7, 5.7, 5.8, 6.3, 7.4, 7.8, 8.2, 8.2, 6.0, 5.9, 6.5, 7.8, 6.5, 5.9,
    6.5, 7.6, 8.6, 9.8, 12.3, 13.1, 13.8, 14.4, 13.9, 12.6, 10.9, 10.8, 8.8, 7.2, 8.4, 8.4, 9.0,
    10.0, 11.8, 12.9, 13.4, 12.3, 13.7, 14.4, 15.1, 12.1, 11.6, 11.9, 10.5, 7.6, 8.5, 10.4, 10.1,
    11.4, 13.2, 13.2, 13.2, 13.8, 12.9, 13.6, 14.5, 14.3, 13.8, 14.0, 15.2, 14.5, 14.4, 13.8, 14.4,
    15.3, 16.7, 17.5, 16.5, 16.5, 15.8, 13.7, 13.8, 12.8, 13.9, 13.1, 11.6, 12.8, 14.0, 15.0, 15.6,
    15.9, 15.6, 17.9, 20.2, 20.1, 21.8, 23.8, 25.6, 26.2, 23.2, 22.0, 21.3, 18.1, 18.5, 19.3, 21.8,
    23.7, 24.3, 21.8, 23.0, 21.8, 22.7, 21.1, 20.0, nan, 20.3, 21.8, 19.9, 20.3, 17.8, 18.5, 19.0,
    19.0, 19.9, 20.6, 20.4, 20.1, 20.3, 20.2, 20.1, 18.7, 19.7, 20.2, 19.9, 20.6, 24.3, 25.3, 27.0,
    28.2, 28.9, 30.0, 30.5, 29.5, 26.7, 23.2, 23.4, 22.7, 22.7, 20.5, 21.8, 22.5, 22.2, 21.3, 20.4,
    19.6, 19.7, 20.1, 20.5, 20.9, 19.9, 19.2, 19.2, 19.3, 19.2, 19.0, 19.7, 18.5, 17.7, 17.8, 19.0,
    18.9, 19.6, 19.3, 19.8, 20.2, 19.8, 20.9, 23.6, 25.2, 26.4, 26.0, 23.1, 22.3, 22.6, 21.3, 21.4,
    21.1, 19.3, 19.8, 20.1, 20.0, 20.2, 20.6, 20.0, 19.5, 18.1, 17.9, 18.0, 18.4, 18.1, 17.2, 15.9,
    14.2, 14.3, 15.1, 15.6, 14.7, 14.6, 14.5, 15.2, 15.4, 15.2, 14.2, 13.7, 13.6, 13.7, 14.4, 14.8,
    14.2,
]
"""Mean soil temperature at 10 cm of each day [C]."""
# fmt: on
