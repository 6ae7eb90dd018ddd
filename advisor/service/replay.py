"""A replay of a site's past season: its weather and forecasts from the store or the recording."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache, lru_cache
from pathlib import Path
from typing import Literal

import numpy as np

from advisor.conditions.daily import HOURS_NEEDED
from advisor.language.words import later, tell
from advisor.plan.compose import STALE_AFTER
from advisor.plan.model import SiteName
from advisor.plan.replay import Season, digest_days
from advisor.plan.replay_compare import compare
from advisor.plan.replay_foresight import Known, by_the_calendar, daily_rain, issued, perfect
from advisor.plan.replay_model import Replay, Run
from advisor.plan.replay_owner import ObeyingOwner, RealOwner
from advisor.plan.replay_run import run_season
from advisor.rulebook.book import Rulebook
from advisor.series.hourly import Series
from advisor.series.years import PastYears
from advisor.service.archive import look_up
from advisor.service.folders import Read, journal_texts
from advisor.service.places import place_key
from advisor.service.provider import asked_place
from advisor.site.place import Site
from advisor.store.database import Store
from advisor.weather.credit import (
    ATTRIBUTION,
    ATTRIBUTION_URL,
    LICENCE_URL,
    PAST_ATTRIBUTION,
    RECORDED,
    RECORDED_CREDIT,
)
from advisor.weather.errors import WeatherError
from advisor.weather.recorded import RecordedTransport
from advisor.weather.recorded_truth import recorded_truth
from advisor.weather.service import OpenForecast

OwnerKind = Literal["obeys", "journal"]
Sight = Literal["perfect", "issued"]


NEWEST_PAST = later(
    "The hours before each morning are taken as they are known today, not as they were known that"
    " morning: the provider mends them for some days."
)
"""Told of a replay of stored weather by the forecasts as they were given."""


class ReplayError(Exception):
    """A replay that cannot be made; the message says what is had, or what to mend."""


@dataclass(frozen=True)
class PastWeather:
    """A site's past weather, the forecasts that were given at the time, and past years.

    `run` gives the newest forecast that was there at a moment and young enough to decide on.
    """

    truth: Series
    run: Callable[[datetime], Series | None]
    past: Callable[[datetime], PastYears | None]
    invented: bool
    credit: str = ""
    """The credit line that the provider's licence asks for."""
    hindsight: str = ""
    """What a replay by the forecasts as they were given knows of the hours before them and did not
    know then; empty where that is nothing."""


@dataclass(frozen=True)
class Asked:
    """What is to be replayed. `against` is a second rulebook; both have a name for people."""

    first: date
    last: date
    owner: OwnerKind
    sights: Sequence[Sight]
    book: Rulebook
    rules: str
    against: Rulebook | None = None
    against_rules: str = ""


def past_weather(
    site: Site, folder: Path, store: Store, now: datetime, environment: Mapping[str, str]
) -> PastWeather:
    """What is had of a site's past weather. Raises ReplayError where there is none."""
    if site.weather.recorded is None:
        return _stored(site, store, now)
    recording = folder / site.weather.recorded
    try:
        truth = recorded_truth(recording)
    except WeatherError as error:
        raise ReplayError(str(error)) from error

    def run(moment: datetime) -> Series | None:
        transport = RecordedTransport(recording, moment)
        client = OpenForecast(asked_place(site), transport=transport, provider=RECORDED)
        try:
            return client.fetch(moment, 0, 16).series
        except WeatherError:
            return None  # the recording holds no forecast of that day

    look_up(site, folder, store, now, environment)
    return PastWeather(
        truth, run, _past_years(site, store), site.demo is not None, tell(RECORDED_CREDIT)
    )


def _stored(site: Site, store: Store, now: datetime) -> PastWeather:
    place = place_key(site)
    newest = store.series(place, as_of=now)
    if newest is None:
        raise ReplayError(
            "No past weather of this site is stored yet: `swardcast run` and `swardcast digest`"
            " keep what they fetch."
        )
    truth = newest.series
    hours = int((newest.fetched_at - truth.start).total_seconds()) // 3600
    came = {name: values[:hours] for name, values in truth.columns.items()}

    def run(moment: datetime) -> Series | None:
        fetched = store.newest_fetch(place, moment)
        if fetched is None or moment - fetched > STALE_AFTER:
            return None
        found = store.series(place, as_of=moment, since=fetched - timedelta(hours=2))
        return found.series if found is not None else None

    credit = tell(PAST_ATTRIBUTION if store.from_archive(place) else ATTRIBUTION)
    return PastWeather(
        Series(truth.start, came, truth.source), run, _past_years(site, store), invented=False,
        credit=f"{credit} {ATTRIBUTION_URL} {LICENCE_URL}", hindsight=tell(NEWEST_PAST),
    )  # fmt: skip


def _past_years(site: Site, store: Store) -> Callable[[datetime], PastYears | None]:
    @lru_cache(maxsize=4)
    def of_year(year: int) -> PastYears | None:
        return store.past_years(place_key(site), as_of=datetime(year, 7, 1, tzinfo=UTC))

    return lambda moment: of_year(moment.astimezone(UTC).year)


def replay(
    site: Site,
    read: Read,
    state: Path,
    weather: PastWeather,
    asked: Asked,
    progress: Callable[[int, int], None] = lambda _done, _of: None,
) -> Replay:
    """Live the season once for each rulebook and each sort of foresight. `read` is the folder with
    its whole journal; `progress` is told how many of how many digests are made.

    Raises ReplayError for dates that cannot be replayed.
    """
    site, no_watches = _without_watches(site)
    days = digest_days(site, asked.first, asked.last)
    _check_dates(site, weather.truth, asked, days)
    books: list[tuple[Literal["own", "against"], Rulebook]] = [("own", asked.book)]
    if asked.against is not None:
        books.append(("against", asked.against))
    kinds = [(rules, book, sight) for rules, book in books for sight in asked.sights]
    done = 0

    def one_more(_day: date) -> None:
        nonlocal done
        done += 1
        progress(done, len(kinds) * len(days))

    rain = daily_rain(weather.truth, site.place.zone_info)
    texts = journal_texts(read.folder, state)
    sights = {sight: _known(site, weather, sight) for sight in asked.sights}
    runs: list[Run] = []
    hindsight = (weather.hindsight,) if weather.hindsight and "issued" in asked.sights else ()
    assumed: tuple[str, ...] = ()
    for rules, book, sight in kinds:
        season = Season(
            site, read.files.shelf, book, asked.first, asked.last, sights[sight], weather.past,
            looks_again=sight == "issued",
        )  # fmt: skip
        owner: ObeyingOwner | RealOwner
        if asked.owner == "obeys":
            owner = ObeyingOwner(site, read.files.shelf, asked.first, read.files.journal, rain)
        else:
            owner = RealOwner(texts, site, read.files.shelf)
        runs.append(run_season(season, owner, rules, sight, weather.truth, one_more))
        assumed = owner.assumed
    return Replay(
        site=SiteName.of(site),
        first=asked.first,
        last=asked.last,
        owner=asked.owner,
        rules=asked.rules,
        against=asked.against_rules if asked.against is not None else None,
        weather=weather.truth.source.provider,
        credit=weather.credit,
        invented=weather.invented,
        assumed=(*assumed, *_of_journal(read, asked), *hindsight, *no_watches),
        runs=tuple(runs),
        compared=tuple(
            compare(
                tuple(runs),
                one,
                other,
                site.units,
                days_only=runs[one].foresight != runs[other].foresight,
            )
            for one, other in _pairs(runs)
        ),
    )


def _without_watches(site: Site) -> tuple[Site, tuple[str, ...]]:
    """The site without its service for storm watches, of whose past nothing is kept: unknown, they
    would hold all season long."""
    if site.weather.watches is None:
        return site, ()
    weather = site.weather.model_copy(update={"watches": None})
    return site.model_copy(update={"weather": weather}), (
        tell(
            "Past storm watches are not kept: where none stands in the journal, none is taken to"
            " have been in force."
        ),
    )


def _pairs(runs: Sequence[Run]) -> list[tuple[int, int]]:
    """Each foresight beside the other under one rulebook, and each rulebook beside the other."""
    return [
        (one, other)
        for one in range(len(runs))
        for other in range(one + 1, len(runs))
        if (runs[one].rules == runs[other].rules == "own")
        or runs[one].foresight == runs[other].foresight
    ]


def _known(site: Site, weather: PastWeather, sight: Sight) -> Callable[[datetime], Known | None]:
    """The weather as it was known at a moment, worked out once for all rulebooks."""

    @cache
    def known(moment: datetime) -> Known | None:
        if sight == "perfect":
            return perfect(weather.truth, moment)
        run = weather.run(moment)
        if run is not None:
            return issued(weather.truth, run)
        return by_the_calendar(weather.truth, weather.past(moment), moment, site.place.longitude)

    return known


def _check_dates(site: Site, truth: Series, asked: Asked, digests: Sequence[date]) -> None:
    """Raises ReplayError where the dates are in the wrong order, hold no digest, or have no
    weather."""
    if asked.last < asked.first:
        raise ReplayError(f"{asked.last} comes before {asked.first}; swap --from and --to.")
    if not digests:
        raise ReplayError(
            f"From {asked.first} to {asked.last} there is no {site.digest.weekday.capitalize()},"
            " the day of the digest; take a longer span."
        )
    days, day_of = truth.local_days(site.place.zone_info)
    known = ~np.isnan(truth.column("air_temp"))
    had = np.bincount(day_of[known], minlength=len(days)) >= HOURS_NEEDED
    whole = [day for day, enough in zip(days, had.tolist(), strict=True) if enough]
    if not whole:
        raise ReplayError("No day of past weather is known for this site.")
    if asked.first < whole[0] or asked.last > whole[-1]:
        raise ReplayError(
            f"Weather is had from {whole[0]} to {whole[-1]}; a replay from {asked.first} to"
            f" {asked.last} would need more."
        )
    lacking = [day for day in days if asked.first <= day <= asked.last and day not in set(whole)]
    span = (asked.last - asked.first).days + 1
    if len(lacking) > span // 2:
        raise ReplayError(
            f"Of the {span} days from {asked.first} to {asked.last} only {span - len(lacking)} have"
            f" weather; what is known lies from {whole[0]} to {whole[-1]}."
        )


def _of_journal(read: Read, asked: Asked) -> tuple[str, ...]:
    """What a replay by the real journal cannot know."""
    start = read.files.journal.start
    if asked.owner == "journal" and (start is None or start > asked.first):
        if start is None:
            return (
                tell(
                    "The journal does not say when it begins: what was done before is not known, so"
                    " whatever depends on it waits."
                ),
            )
        return (
            tell(
                "The journal begins on {day}: what was done before is not known, so whatever"
                " depends on it waits.",
                day=start,
            ),
        )
    return ()
