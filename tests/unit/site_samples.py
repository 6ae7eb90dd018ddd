"""A made-up site for the tests of what an owner writes."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from advisor.site.events import Advised
from advisor.site.load import SiteFiles, read_site
from advisor.site.sums import Sums, sums

SITE = """\
id = "maple-corner"
title = "Maple Corner"
units = "us"

[place]
latitude = 35.93
longitude = -79.02
elevation = "480 ft"
zone = "America/New_York"

[[lawn]]
name = "front"
grass = "tall-fescue"
area = "4200 ft2"
setback = "200 ft2"
soil = "clay-loam"

[[lawn]]
name = "back"
grass = "bermudagrass"
area = "1000 ft2"
soil = "sand"
"""

SHELF = """\
[[product]]
name = "spring-granules"
serves = ["feed"]
form = "granular"
analysis = "25-4-8"
slow_release = "40%"

[[product]]
name = "barrier-feed"
serves = ["feed", "pre-emergent"]
form = "granular"
analysis = "20-0-5"
actives = { prodiamine = "0.4%" }
grasses = []
rate = "4 lb/1000 ft2"
rate_year = "8 lb/1000 ft2"
interval = "60 days"
reentry = "until the dust has settled"
signal_word = "caution"
restricted_use = false

[[product]]
name = "barrier-spray"
serves = ["pre-emergent"]
form = "liquid"
actives = { prodiamine = "40%" }
density = "1.2 kg/L"
"""


def read(journal: str, today: date | None = None, *, site: str = SITE) -> SiteFiles:
    """The sample site with that journal."""
    return read_site({"site.toml": site, "shelf.toml": SHELF, "journal.txt": journal}, today=today)


def sums_of(journal: str, advised: Sequence[Advised] = (), today: date = date(2026, 6, 1)) -> Sums:
    """The sums of the sample site with that journal."""
    files = read(journal, today)
    assert files.site is not None
    return sums(files.site, files.shelf, files.journal, advised, today)


def advice(
    issued: str,
    day: str,
    task: str = "feed",
    product: str | None = "spring-granules",
    amount: float = 4.0,
    lawn: str = "front",
) -> Advised:
    """An action that a digest announced."""
    return Advised(
        f"{lawn}-{task}-{day}",
        date.fromisoformat(issued),
        lawn,
        task,
        product,
        date.fromisoformat(day),
        amount,
    )
