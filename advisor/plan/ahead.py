"""The season ahead: when each window of each lawn is likely to open, from past years.

Each past year's weather is put behind what is known of this one, and the rules in force are asked
of every day that follows. So a window's date comes from the rule that will open it, from where
degree-days, soil and grass stand today, and from how differently the years went on from such days.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np

from advisor.conditions.past_days import Futures
from advisor.language.words import tell
from advisor.plan.ahead_marks import closed_seasons, marks
from advisor.plan.ahead_model import Ahead, Dates, LawnAhead, Window
from advisor.plan.ahead_words import assumed, window_text
from advisor.plan.buying import Look, in_a_shop, purchase, shopping
from advisor.plan.compose import Given, usable_weather
from advisor.plan.lawn_futures import LawnFutures, Opened, look_ahead, of_site, perhaps_done
from advisor.plan.model import SiteName
from advisor.plan.seasons import FUTURE, SeasonDays, seasons
from advisor.plan.spread import Spread, spread
from advisor.plan.words import task_title
from advisor.site.sums import Sums, sums

YEARS_AT_LEAST = 5
"""Fewer past years tell nothing of a date [judgement, as of frost]."""

SEEN = 0.2
"""Share of the years in which a window has to come to be worth a line [judgement]."""


def look_at_season(
    given: Given, now: datetime, *, lawn: str = "", shop: Look | None = None
) -> Ahead | None:
    """The coming year of a site, or of one of its lawns; None without at least five past years.

    `shop` says what to look for where nothing on the shelf will do; if not given, `plan.shopping`.
    """
    past, site = given.past, given.site
    if past is None or len(past.years) < YEARS_AT_LEAST:
        return None
    today = now.astimezone(site.place.zone_info).date()
    counted = sums(site, given.shelf, given.journal, given.advised, today)
    futures = Futures(site, past, today, usable_weather(given, now), FUTURE)
    known_to = None
    if futures.known is not None:
        known_to = futures.known.daily.days[futures.known_end - 1]
    look = shop or in_a_shop(given, now)
    lawns = tuple(
        _Lawn(given, found, counted, today, known_to, look).document()
        for found in look_ahead(futures, given.book, of_site(site, lawn), counted)
    )
    return Ahead(
        site=SiteName.of(site),
        on=today,
        decided_at=now,
        first_year=past.years[0],
        last_year=past.years[-1],
        years=len(past.years),
        known_to=known_to,
        provider=past.source.provider,
        attribution=given.attribution,
        attribution_url=given.attribution_url,
        licence_url=given.licence_url,
        lawns=lawns,
        shopping=shopping(lawns, given.shelf, site.units),
        assumes=assumed(site, known_to, broken=given.book.holds_everything),
    )


def windows_of(found: LawnFutures) -> Iterator[tuple[str, str, SeasonDays, tuple[str, ...]]]:
    """Each season of each window of a lawn as it comes next: (rule, task, its days, what has to be
    seen or done lately for it to open at all)."""
    firsts: dict[str, list[SeasonDays]] = {}
    later = []
    for (rule, task), alone in found.alone.items():
        window = found.windows[rule]
        if window.after is not None:
            later.append((rule, task, alone))
            continue
        for season in seasons(alone.open, alone.told, found.today):
            firsts.setdefault(task, []).append(season)
            stated = found.stated[rule, task]
            yield rule, task, season, _wanting(window.wants, stated, season, found.today)
    for rule, task, alone in later:
        window = found.windows[rule]
        stated = found.stated[rule, task]
        if _as_stated(stated, found.today):
            # What was done already settles when the second half is due.
            for season in seasons(stated.open, stated.told, found.today):
                yield rule, task, season, ()
            continue
        assert window.after is not None
        due = _following(alone, firsts.get(task, ()), window.after, found.today)
        for season in seasons(due.open, due.told, found.today):
            yield rule, task, season, (*window.wants, task)


def _as_stated(stated: Opened, today: int) -> bool:
    return bool(2 * stated.open[:, today:].any(axis=1).sum() >= len(stated.open))


def _wanting(
    wants: tuple[str, ...], stated: Opened, season: SeasonDays, today: int
) -> tuple[str, ...]:
    """What still has to be seen or done; nothing where the journal tells enough already."""
    begins = today + int(np.nanmin(season.opens, initial=season.end))
    if stated.open[:, begins : today + season.end].any(axis=1).mean() >= 0.5:
        return ()
    return wants


def _following(
    alone: Opened, firsts: Sequence[SeasonDays], after: tuple[float, float], today: int
) -> Opened:
    """A window that follows the first of its task, as if that was done on the day it opened."""
    due = np.zeros_like(alone.open)
    days = np.arange(alone.open.shape[1])
    for season in firsts:
        done = season.opens if season.opened is None else np.full_like(season.opens, season.opened)
        since = days - today - np.where(np.isfinite(done), done, -np.inf)[:, np.newaxis]
        due |= (since >= after[0]) & (since <= after[1])
    return Opened(alone.open & due, alone.told)


@dataclass(frozen=True)
class _Lawn:
    """One lawn's futures on their way to its part of the document."""

    given: Given
    found: LawnFutures
    counted: Sums
    today: date
    known_to: date | None
    look: Look

    def document(self) -> LawnAhead:
        lawn = self.found.lawn
        windows = sorted(
            (
                made
                for rule, task, season, wants in windows_of(self.found)
                for made in [self._window(rule, task, season, wants)]
                if made is not None
            ),
            key=lambda window: (window.opens.likely, window.title),
        )
        windows = list(self._bought(windows))
        return LawnAhead(
            name=lawn.name,
            title=lawn.shown,
            grass=lawn.grass,
            windows=tuple(window for window in windows if not window.wants),
            perhaps=tuple(window for window in windows if window.wants),
            marks=marks(self.found, self.dates, self.given.site.units),
            closed=closed_seasons(self.given.site, lawn, self.today),
            silent=self._silent(),
        )

    def dates(self, found: Spread) -> Dates | None:
        """A spread of days from today, as dates."""
        if not found.came:
            return None

        def on(days: float) -> date:
            return self.today + timedelta(int(days))

        return Dates(
            likely=on(found.likely),
            earliest=on(found.earliest),
            latest=on(found.latest),
            holds=round(found.holds, 3),
            years=found.years,
            came=found.came,
        )

    def _window(
        self, rule: str, task: str, season: SeasonDays, wants: tuple[str, ...]
    ) -> Window | None:
        opened = spread(season.opens)
        opens = self.dates(opened)
        if opens is None or opened.came < SEEN * opened.years:
            return None
        closes = self.dates(spread(season.closes)) if self._closes(season) else None
        made = Window(
            task=task,
            title=task_title(task),
            rule=rule,
            standing=self._standing(season, opened, opens),
            opens=opens,
            closes=closes,
            opened=None if season.opened is None else self.today + timedelta(season.opened),
            last_done=self._last_done(task),
            perhaps_done=perhaps_done(self.counted, self.found.lawn).get(task),
            wants=wants,
            text="",
        )
        return made.model_copy(update={"text": window_text(made, self.given.site.units)})

    def _bought(self, windows: Sequence[Window]) -> Iterator[Window]:
        """Windows by date, each with what it wants from the shop once those before it have had
        theirs."""
        counted = self.counted
        for window in windows:
            if window.wants or window.standing == "seldom":
                yield window
                continue
            buy, counted = purchase(
                window, self.found.lawn, self.given, counted, self.today, self.look
            )
            yield window.model_copy(update={"buy": buy})

    @staticmethod
    def _closes(season: SeasonDays) -> bool:
        """Whether the last open day is told: one at the very end may be no end."""
        known = season.closes[np.isfinite(season.closes)]
        return bool(len(known)) and float(np.mean(known >= season.end - 2)) < 0.5

    def _standing(self, season: SeasonDays, opened: Spread, opens: Dates) -> str:
        if season.now:
            return "open"
        if opened.seldom:
            return "seldom"
        if (
            self.known_to is not None
            and opens.earliest == opens.latest <= self.known_to
            and opens.came == opens.years
        ):
            return "forecast"
        return "coming"

    def _last_done(self, task: str) -> date | None:
        _, high = self.counted.days_since(self.found.lawn.name, task, [self.today])
        return self.today - timedelta(int(high[0])) if np.isfinite(high[0]) else None

    def _silent(self) -> tuple[str, ...]:
        """Windows for which there is no date, and why."""
        found = self.found
        said = []
        for (rule, task), alone in found.alone.items():
            ahead = alone.open[:, found.today :]
            words = {"task": task_title(task), "rule": rule}
            told = alone.told[:, found.today :].all(axis=1).any()
            tested = any(fact.endswith("_test") for fact in found.windows[rule].rule.facts)
            if ahead.any():
                if not seasons(alone.open, alone.told, found.today):
                    said.append(
                        tell(
                            "{task} ({rule}): by weather alone it is open nearly all year.",
                            **words,
                        )
                    )
            elif tested:
                said.append(_of_tested(words, bool(told)))
            elif told:
                said.append(
                    tell("{task} ({rule}): the weather opens it in none of these years.", **words)
                )
            else:
                said.append(
                    tell("{task} ({rule}): past days lack a fact that this rule asks for.", **words)
                )
        return tuple(said)


def _of_tested(words: Mapping[str, str], told: bool) -> str:
    """That a window which a soil test opens has no date."""
    if told:
        return tell("{task} ({rule}): a soil test of the lawn does not ask for it.", **words)
    return tell("{task} ({rule}): a soil test of the lawn is not in the journal.", **words)
