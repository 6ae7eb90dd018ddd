"""Sprinkler zones in site.toml: what is read, and how a mistake is told."""

from __future__ import annotations

import pytest
from plan_cases import files, lawn
from site_samples import SITE

from advisor.site.irrigation import zones_of
from advisor.site.load import SiteFiles, read_site

ZONE = (
    '[[zone]]\nlawn = "front"\nname = "east"\nrate = "0.9 in"\nuniformity = "62%"\nslope = "4%"\n'
)


def read(more: str) -> SiteFiles:
    return read_site({"site.toml": SITE + more, "shelf.toml": "", "journal.txt": ""})


def test_a_zone_is_read_into_inside_units() -> None:
    site = files(lawn(), more=ZONE).site
    assert site is not None
    (zone,) = zones_of(site.zones, site.lawn("front"))
    assert zone.rate_mm_h == pytest.approx(22.86)
    assert (zone.uniformity, zone.slope, zone.shown) == (0.62, 0.04, "east")


def test_the_simple_form_is_one_zone_of_unknown_evenness() -> None:
    site = files(lawn(more='sprinklers = "12 mm"')).site
    assert site is not None
    (zone,) = zones_of(site.zones, site.lawn("front"))
    assert (zone.rate_mm_h, zone.uniformity) == (12.0, None)


def test_a_lawn_without_either_has_none() -> None:
    site = files(lawn(), lawn("back"), more=ZONE).site
    assert site is not None
    assert zones_of(site.zones, site.lawn("back")) == ()


@pytest.mark.parametrize(
    ("more", "what"),
    [
        (ZONE.replace("front", "frnt"), "no lawn is called “frnt”"),
        (ZONE + ZONE, "two zones of front are called “east”"),
        (ZONE.replace('"0.9 in"', "0.9"), "text in quotes was expected"),
        (ZONE.replace("0.9 in", "0.9 lb"), "depth of water is wanted"),
        (ZONE.replace("0.9 in", "40 in"), "cannot be right"),
        (ZONE.replace("62%", "0.62"), "a percentage with its sign"),
        (ZONE.replace("62%", "162%"), "cannot be right"),
        (ZONE.replace('rate = "0.9 in"\n', ""), "“rate” is missing"),
        (ZONE.replace("rate =", "rat ="), "no key is called “rat”"),
        (ZONE.replace("[[zone]]", "[zone]"), "[zone] stands for one of several"),
    ],
)
def test_a_mistake_is_told(more: str, what: str) -> None:
    found = read(more)
    assert found.site is None
    assert any(what in problem.what for problem in found.errors), found.errors


def test_two_zones_of_a_name_may_lie_on_two_lawns() -> None:
    assert read(ZONE + ZONE.replace("front", "back")).errors == ()


def test_what_the_lawn_says_otherwise_is_told() -> None:
    dry = SITE.replace('area = "4200 ft2"', 'area = "4200 ft2"\nirrigated = false', 1)
    twice = SITE.replace('area = "4200 ft2"', 'area = "4200 ft2"\nsprinklers = "1 in"', 1)
    for text, what in ((dry, "irrigated = false"), (twice, "would stand twice")):
        found = read_site({"site.toml": text + ZONE, "shelf.toml": "", "journal.txt": ""})
        assert [what in problem.what for problem in found.errors] == [True]
