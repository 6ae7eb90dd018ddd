"""Turns of the season that are no windows: frost, dormancy, heat, and what law closes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.vocabulary import STATES
from advisor.language.dates import date_text
from advisor.language.words import later, tell
from advisor.plan.ahead_model import Closed, Dates, Mark
from advisor.plan.ahead_words import dates_text
from advisor.plan.lawn_futures import LawnFutures
from advisor.plan.seasons import YEAR, SeasonDays, instances
from advisor.plan.spread import Spread, spread
from advisor.series.quantity import Kind, show
from advisor.site.law import Ban
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.turf.frost import FREEZE_C

Bools = NDArray[np.bool_]
Dated = Callable[[Spread], Dates | None]

OF_GRASS = {
    "winter-dormancy": (later("Winter dormancy"), ("winter-dormant",)),
    "heat-stress": (later("Heat stress"), ("heat-stressed",)),
    "drought": (later("Drought stress or summer dormancy"), ("drought-stressed", "summer-dormant")),
}
"""What the grass does for a season, by name: title and states."""

_STARTS, _ENDS = later("begins {date}"), later("ends {date}")
_FIRST_FROST, _LAST_FROST = later("first frost {date}"), later("last frost {date}")


def marks(found: LawnFutures, dated: Dated, units: str) -> tuple[Mark, ...]:
    """The turns of a lawn's year that come in at least half of the years."""
    frost = _mark(
        "frost", tell("Frost nights ({limit})", limit=show(FREEZE_C, Kind.TEMPERATURE, units)),
        found.lowest <= FREEZE_C, ~np.isnan(found.lowest), found.today, dated, units,
        starts=_FIRST_FROST, ends=_LAST_FROST,
    )  # fmt: skip
    out = [frost]
    for name, (title, states) in OF_GRASS.items():
        codes = [STATES.index(state) for state in states]
        out.append(
            _mark(name, tell(title), np.isin(found.state, codes), found.state >= 0,
                  found.today, dated, units)
        )  # fmt: skip
    return tuple(mark for mark in out if mark is not None)


def _mark(
    name: str, title: str, is_so: Bools, told: Bools, today: int, dated: Dated, units: str,
    *, starts: str = _STARTS, ends: str = _ENDS,
) -> Mark | None:  # fmt: skip
    """The next start and the next end of what is so for a season; None where it seldom comes."""
    seasons = instances(is_so, told, today)
    if not seasons:
        return None
    # The busiest, where heat or frost has two.
    rest, whole = max(seasons, key=lambda pair: np.count_nonzero(np.isfinite(pair[1].opens)))
    under_way = rest is not None and (rest.now or rest.opened is not None)
    coming = rest is not None and not under_way and _usual(rest)
    first = rest if coming and rest is not None else whole
    last = rest if rest is not None and (coming or (under_way and _usual(rest))) else whole
    if not _usual(first):
        return None
    begins, over = dated(spread(first.opens)), dated(spread(last.closes))
    said = [
        tell(word, date=dates_text(found, units))
        for found, word in sorted(
            ((found, word) for found, word in ((begins, starts), (over, ends)) if found),
            key=lambda pair: pair[0].likely,
        )
    ]
    text = tell("{mark}: {dates}.", mark=title, dates="; ".join(said))
    if under_way and last is whole and rest is not None:
        text = " ".join((text, *_perhaps_again(rest, dated, units)))
    return Mark(name=name, title=title, starts=begins, ends=over, text=text)


def _perhaps_again(rest: SeasonDays, dated: Dated, units: str) -> Iterator[str]:
    """That what seems over for this time came again in some years, and until when."""
    over = dated(spread(rest.closes))
    if over is not None:
        yield tell(
            "In {came} of {years} years it came once more from now, until {date}.",
            came=over.came,
            years=over.years,
            date=date_text(over.latest, units),
        )


def _usual(season: SeasonDays) -> bool:
    found = spread(season.opens)
    return found.came > 0 and not found.seldom


def closed_seasons(site: Site, lawn: Lawn, today: date) -> tuple[Closed, ...]:
    """The seasons of the coming year in which law forbids something on a lawn, by date: whole ones,
    each once. What is closed all year is so from today on."""
    found = []
    for ban in site.bans:
        stretch = _next_stretch(ban, lawn.name, today)
        if stretch is not None:
            found.append(
                Closed(
                    title=ban.title,
                    of=(*ban.nutrients, *ban.tasks, *ban.actives),
                    first=stretch[0],
                    last=stretch[1],
                    source=ban.source or tell("your site file"),
                )
            )
    return tuple(sorted(found, key=lambda closed: closed.first))


def _next_stretch(ban: Ban, lawn: str, today: date) -> tuple[date, date] | None:
    """First and last day of the stretch that today lies in, or that comes next."""
    day = timedelta(1)
    begin = next((today + n * day for n in range(YEAR) if ban.covers(lawn, today + n * day)), None)
    if begin is None:
        return None
    end = next(
        (begin + n * day for n in range(1, YEAR) if not ban.covers(lawn, begin + n * day)), None
    )
    if end is None:
        return today, today + (YEAR - 1) * day
    while ban.covers(lawn, begin - day):
        begin -= day
    return begin, end - day
