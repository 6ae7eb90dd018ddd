"""Whether anything here tells of storm watches where the local law forbids work under one."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.site.facts import StormWatch
from advisor.site.journal import Journal
from advisor.site.law import Ordinance
from advisor.site.place import Site
from advisor.site.problem import Problem
from advisor.site.reading import good_tables, read_toml


def watches_told(site: Site, journal: Journal) -> bool:
    """Whether a service is named that is asked for watches, or the journal ever told of one."""
    return site.weather.watches is not None or any(
        isinstance(entry.what, StormWatch) for entry in journal.entries
    )


def unwatched(site: Site, journal: Journal, name: str, text: str) -> Iterator[Problem]:
    """A warning beside the first law that speaks of storms where nothing tells of them; `text` is
    the site's file as it stands."""
    if not any(law.storms for law in site.ordinances) or watches_told(site, journal):
        return
    raw = read_toml(name, text)
    path = next(path for path, law in good_tables(Ordinance, raw, "ordinance") if law.storms)
    service = (
        "" if site.weather.recorded else 'Write under [weather]: watches = "us-national-service"\n'
    )
    raw.at_key(
        (*path, "storms"),
        "storms: nothing here tells of watches and warnings, so none holds anything",
        f"{service}{'Or in' if service else 'In'} the journal: DATE  all  watch until DATE, and"
        " once it is over: DATE  all  watch over",
        warning=True,
    )
    yield from raw.problems
