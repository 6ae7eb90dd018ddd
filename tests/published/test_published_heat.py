"""Heat index against the chart of the US National Weather Service."""

import pytest

from advisor.turf.heat import heat_index

# Chart of NWS Tulsa, F by F and %. Its cell 80 F / 100 % (87) is left out: the chart is drawn
# without the term for very humid air, with which the service's own equation gives 89.3.
CHART = [
    (80, 40, 80), (82, 60, 84), (84, 70, 90), (86, 90, 105), (88, 75, 103), (90, 50, 95),
    (90, 70, 106), (92, 60, 105), (94, 55, 106), (96, 65, 121), (100, 50, 118), (104, 40, 119),
    (110, 40, 136), (86, 100, 112),
]  # fmt: skip


@pytest.mark.parametrize(("air", "humidity", "felt"), CHART)
def test_cells_of_the_chart(air, humidity, felt):
    """Within 0.7 F: half a degree of rounding, and the adjustments that the chart leaves out."""
    found = heat_index((air - 32) / 1.8, humidity / 100) * 1.8 + 32
    assert found == pytest.approx(felt, abs=0.7)
