"""A fertilizer that carries a barrier serves both tasks and obeys the holds of both."""

from __future__ import annotations

from datetime import date

import pytest
from demo_year import FOLDER, demo_site, morning, read_on
from owner import BEGINNING

from advisor.plan.model import Plan, Verdict
from advisor.service.decide import decide
from advisor.service.folders import Read
from advisor.service.weather import refresh
from advisor.site.load import read_site
from advisor.store.database import Store

SHELF = """
[[product]]
name = "barrier-and-feed"
form = "granular"
analysis = "18-0-4"
slow_release = "50%"
actives = { dithiopyr = "0.1%" }
serves = SERVES
grasses = ["cool-season", "warm-season"]
rate = "4 lb/1000 ft2"
rate_year = "8 lb/1000 ft2"
interval = "60 days"
water_in = "0.5 in"
reentry = "until the grass is dry"
signal_word = "caution"
restricted_use = false
"""


def plan_with(serves: str, day: date) -> Plan:
    texts = {
        "site.toml": (FOLDER / "site.toml").read_text(encoding="utf-8"),
        "shelf.toml": SHELF.replace("SERVES", serves),
        "journal.txt": BEGINNING,
    }
    files = read_site(texts, today=day)
    assert files.errors == ()
    read = Read(FOLDER, files, read_on(day).book)
    site = demo_site()
    with Store(":memory:") as store:
        assert refresh(site, FOLDER, store, morning(day), {}) == ""
        return decide(read, site, store, morning(day)).plan


@pytest.mark.parametrize("serves", ['["pre-emergent", "feed"]', '["pre-emergent"]'])
def test_nitrogen_in_a_barrier_is_held_on_dormant_grass(serves: str) -> None:
    """On 16 March the barrier's window is open; the warm-season lawn is dormant."""
    plan = plan_with(serves, date(2025, 3, 16))
    (back,) = [lawn for lawn in plan.lawns if lawn.name == "back"]
    assert back.state == "winter dormant"
    (barrier,) = [action for action in back.actions if action.task == "pre-emergent"]
    assert barrier.verdict is Verdict.WAIT
    assert "dormant" in barrier.because


def test_it_goes_down_where_both_tasks_may() -> None:
    """The same product on the cool-season lawn, which is active and cool."""
    plan = plan_with('["pre-emergent", "feed"]', date(2025, 3, 24))
    (front,) = [lawn for lawn in plan.lawns if lawn.name == "front"]
    (barrier,) = [action for action in front.actions if action.task == "pre-emergent"]
    assert barrier.verdict is Verdict.APPLY
    assert barrier.dose is not None
    brings = {delivery.substance for delivery in barrier.dose.delivers}
    assert brings >= {"nitrogen", "dithiopyr"}
