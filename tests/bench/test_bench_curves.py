"""What the curves of a plan cost a decision, and a picture its reader's letter.

Run with `pytest tests/bench --benchmark-enable`. A decision of the demo's spring with its curves
beside one without, in turns and within one run.
"""

import sys
from datetime import date
from pathlib import Path
from timeit import timeit

import pytest

sys.path.append(str(Path(__file__).parents[1] / "whole"))

from demo_year import FOLDER, demo_site, morning, read_on

from advisor.digest.pictures import pictures
from advisor.digest.png import png
from advisor.plan import compose
from advisor.plan.compose import make_plan
from advisor.service.decide import given_for
from advisor.service.weather import refresh
from advisor.store.database import Store

DAY = date(2025, 4, 1)


@pytest.fixture(scope="module")
def spring():
    site, now = demo_site(), morning(DAY)
    with Store(":memory:") as store:
        assert refresh(site, FOLDER, store, now, {}) == ""
        return given_for(read_on(DAY), site, store, now)[0], now


def test_a_decision_with_its_curves(benchmark, spring, monkeypatch):
    """At most a tenth more than without; of each the fastest of ten."""
    given, now = spring
    plan = benchmark(make_plan, given, now)
    assert [len(one.nutrients) for one in plan.curves] == [1, 1]
    if benchmark.disabled:
        return
    made = compose.curves
    times = {True: [], False: []}
    for turn in range(20):
        with_them = turn % 2 == 0
        monkeypatch.setattr(compose, "curves", made if with_them else lambda *_: ())
        times[with_them].append(timeit(lambda: make_plan(given, now), number=1))
    ratio = min(times[True]) / min(times[False])
    benchmark.extra_info |= {"seconds_without": min(times[False]), "ratio": ratio}
    assert ratio <= 1.1


def test_a_picture_as_png(benchmark, spring):
    """Drawn, and made a PNG of few colours."""
    given, now = spring
    plan = make_plan(given, now)

    def made():
        png.cache_clear()
        return [png(one.drawing.svg("light")) for one in pictures(plan, "front")]

    assert len(benchmark.pedantic(made, rounds=3)) == 3
