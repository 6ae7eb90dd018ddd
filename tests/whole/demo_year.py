"""The demo site's year for tests: the recorded weather through the real client and store."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from functools import lru_cache

from advisor.rulebook.book import Rulebook
from advisor.service.decide import Decision, decide, digest_moment
from advisor.service.folders import Read, read_folder
from advisor.service.weather import refresh
from advisor.shipped import shipped
from advisor.site.load import read_site
from advisor.site.place import Site
from advisor.store.database import Store

FOLDER = shipped("demo_site")


@lru_cache(maxsize=1)
def _texts() -> dict[str, str]:
    return {
        name: (FOLDER / name).read_text(encoding="utf-8")
        for name in ("site.toml", "shelf.toml", "journal.txt")
    }


@lru_cache(maxsize=1)
def rulebook() -> Rulebook:
    return read_folder(FOLDER, None, today=None).book


@lru_cache(maxsize=1)
def demo_site() -> Site:
    site = read_site(_texts()).site
    assert site is not None
    return site


def read_on(day: date, journal: str | None = None) -> Read:
    """The demo's folder as it stood on a day, with another journal where one is given."""
    texts = _texts() if journal is None else _texts() | {"journal.txt": journal}
    return Read(FOLDER, read_site(texts, today=day), rulebook()).without_future_lines()


def morning(day: date) -> datetime:
    return digest_moment(demo_site(), day)


def decide_on(day: date, store: Store, journal: str | None = None) -> Decision:
    """The decision of a day's morning, with the forecast of that day fetched into `store`."""
    site, now = demo_site(), morning(day)
    failure = refresh(site, FOLDER, store, now, {})
    assert failure == ""
    return decide(read_on(day, journal), site, store, now)


def days_of(year: int) -> list[date]:
    first = date(year, 1, 1)
    return [first + timedelta(n) for n in range((date(year + 1, 1, 1) - first).days)]


__all__ = [
    "FOLDER",
    "days_of",
    "decide_on",
    "demo_site",
    "morning",
    "read_on",
    "rulebook",
]
