"""When things are due: the digest, the next look at the forecast, the next try of a mail.

Pure: "now" is an argument, and the scatter that keeps many homes from asking at the same second is
a hash, so the same arguments give the same answer. All instants need a time zone.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

CLOCK_SANE = date(2026, 11, 1)
"""The date of this build: a clock that shows an earlier one has not been set."""

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
"""In the order of `date.weekday`. Its own list: the site's models would be heavy to load here."""

APART = timedelta(days=4)
"""A scheduled date is skipped if a digest went less than this before it."""

AT_MOST_APART = timedelta(days=10)
"""A digest is not put off to more than this after the last one."""

TOO_LATE = timedelta(days=3)
"""A scheduled date that was missed by more than this is skipped; so one that is late never costs
the one of the following week its turn."""

LATE = timedelta(hours=1)
"""A digest decided more than this after its hour is called late."""

FETCH_EVERY = timedelta(hours=3)
FETCH_MIN_AGE = FETCH_EVERY / 2
"""An answer younger than this is good enough to leave one regular look out."""

FETCH_JITTER_MINUTES = 5
BACKOFF = tuple(timedelta(seconds=seconds) for seconds in (30, 120, 600, 1800, 3600))
"""Waits after the first, second … failure in a row; the last goes on."""

LONGEST_RETRY_AFTER = timedelta(days=1)
"""A service may ask for a day's patience (a daily quota), not for silence for good."""

CROWDED_MINUTES = 4
"""Minutes 0 to 3 of an hour are when everybody asks."""

ARCHIVE_BACKOFF = tuple(timedelta(minutes=minutes) for minutes in (10, 60, 240, 1440))
"""The same for the archive, calmer: nothing waits for what it knows."""

NIGHT_HOURS = (1, 5)
"""Hours by the site's clock between which the archive is asked: few others ask then."""

ARCHIVE_EVERY = timedelta(hours=20)
"""The archive is asked for hours at most once in this: once a night, whatever the clocks do."""

ENSEMBLE_EVERY = timedelta(hours=11)
"""An ensemble this young is not asked for again. It is asked behind a forecast, and those come each
three hours: so twice a day, at minutes of the installation's own."""

FIRST_RETRY = timedelta(minutes=1)
LONGEST_RETRY = timedelta(hours=1)
GIVE_UP = timedelta(days=5)
"""RFC 5321, 4.5.4.1: the time to give up generally needs to be at least 4 to 5 days."""

_DAY = timedelta(days=1)


@dataclass(frozen=True)
class Due:
    """The scheduled local date whose digest is to be decided, and whether its hour is long past."""

    on: date
    late: bool


def scheduled(day: date, hour: str, zone: ZoneInfo) -> datetime:
    """The instant (UTC) at which the clock of `zone` first shows `hour` ("06:00") of `day`.

    If a change of clocks leaves that time out, the first valid minute after it; if it comes twice,
    the first one. ValueError for an hour that is none.
    """
    wanted = datetime.combine(day, _time(hour))
    first = wanted.replace(tzinfo=zone, fold=0).astimezone(UTC)
    if first.astimezone(zone).replace(tzinfo=None) == wanted:
        return first
    # In a gap, fold 1 is read with the offset after it: an instant before the change (PEP 495).
    before = wanted.replace(tzinfo=zone, fold=1).astimezone(UTC)
    after = first
    old = before.astimezone(zone).utcoffset()
    while after - before > timedelta(seconds=1):
        middle = before + (after - before) // timedelta(seconds=2) * timedelta(seconds=1)
        if middle.astimezone(zone).utcoffset() == old:
            before = middle
        else:
            after = middle
    return after


def last_believed(days: Iterable[date], now: datetime, zone: ZoneInfo) -> date | None:
    """The newest of the dates of past digests, by the clock of `zone`; None for none.

    One that lies ahead by more than a day was written while the clock was wrong: it must not keep
    the digest silent until that day has come, and the ones before it still count.
    """
    tomorrow = _utc(now).astimezone(zone).date() + _DAY
    return max((day for day in days if day <= tomorrow), default=None)


def digest_due(
    now: datetime,
    weekday: str,
    hour: str,
    zone: ZoneInfo,
    last: date | None,
    first_seen: datetime,
) -> Due | None:
    """The scheduled local date that should have been decided by now and was not; None for none.

    `weekday` ("sunday") and `hour` ("06:00") are by the clock of `zone`. `last` is the local date
    of the last digest, by its name or by the day it went, whichever is later; of many dates it is
    the one that `last_believed` gives. `first_seen` is when the service first ran: dates before it
    are not made up for.

    A date is skipped if a digest went less than four days before, and if it is more than three
    days late. When the last one went on another weekday, as after a change of the weekday, and
    leaves no date within ten days, the tenth day after it is one. Remembered times that lie ahead
    by more than a day were written by a wrong clock: with a clock that is not set now nothing is
    due, otherwise they are not believed.
    """
    now, number = _utc(now), _number(weekday)
    shown = now.astimezone(zone).replace(tzinfo=None)
    today = shown.date()
    known = _believed(now, today, last, first_seen)
    if known is None:
        return None
    last, first_seen = known
    days = [today - timedelta(days=(today.weekday() - number) % 7)]
    if last is not None and last.weekday() != number:
        days.append(last + AT_MOST_APART)
    for day in days:
        if today - day > TOO_LATE or (last is not None and day - last < APART):
            continue
        moment = scheduled(day, hour, zone)
        lateness = shown - datetime.combine(day, _time(hour))
        if first_seen < moment <= now and lateness <= TOO_LATE:
            return Due(day, now - moment > LATE)
    return None


def next_digest(
    now: datetime,
    weekday: str,
    hour: str,
    zone: ZoneInfo,
    last: date | None,
    first_seen: datetime,
) -> datetime:
    """The first instant (UTC) after `now` at which a digest becomes due; arguments as there.

    One that is due now is taken to go today, so this is the date of the one after it.
    """
    now, number = _utc(now), _number(weekday)
    today = now.astimezone(zone).date()
    known = _believed(now, today, last, first_seen)
    last, first_seen = known if known is not None else (None, now)
    if digest_due(now, weekday, hour, zone, last, first_seen) is not None:
        last = today
    days = [today + timedelta(days=n) for n in range(8 + AT_MOST_APART.days)]
    days = [day for day in days if day.weekday() == number]
    if last is not None and last.weekday() != number:
        days.append(last + AT_MOST_APART)
    floor = max(now, first_seen)
    return min(
        moment
        for day in days
        if (last is None or day - last >= APART) and (moment := scheduled(day, hour, zone)) > floor
    )


def next_fetch(
    now: datetime,
    last_ok: datetime | None,
    failures: int,
    retry_after: datetime | None,
    install_id: str,
) -> datetime:
    """When (UTC) to ask for the forecast next; an instant in the past means at once.

    To be called after each try and kept, so that a restart does not ask again. `failures` counts
    those in a row. Without any: every three hours at a minute of the installation's own, give or
    take five, counted from `last_ok` (None: never, so now). After failures: 30 s, 2, 10, 30
    minutes, then an hour, each times 0.5 to 1.5, counted from `now`. `retry_after`, what the
    service asked for, wins if later, up to a day. Never in minutes 0 to 3 of an hour.
    """
    now = _utc(now)
    if failures > 0:
        return _again(now, BACKOFF, failures, retry_after, install_id)
    chosen = now if last_ok is None or last_ok > now else _regular_look(last_ok, install_id)
    return _polite(chosen, now, retry_after, install_id)


def next_look_up(
    now: datetime, failures: int, retry_after: datetime | None, zone: ZoneInfo, place: str
) -> datetime:
    """When (UTC) to look for past weather in the archive next. To be kept, as `next_fetch` is.

    Without `failures` in a row: in the first night by the clock of `zone` that is at least 20 hours
    ahead, between one and five at a minute that `place` decides. After failures: 10 minutes, 1, 4
    hours, then a day, each times 0.5 to 1.5. `retry_after` and the crowded minutes hold as there.
    """
    now = _utc(now)
    if failures > 0:
        return _again(now, ARCHIVE_BACKOFF, failures, retry_after, place)
    first, last = NIGHT_HOURS
    span = 60 - CROWDED_MINUTES
    hour = first + int(_scatter(place, "night") * (last - first))
    minute = CROWDED_MINUTES + int(_scatter(place, "minute") * span)
    today = now.astimezone(zone).date()
    nights = (scheduled(today + n * _DAY, f"{hour:02}:{minute:02}", zone) for n in range(4))
    chosen = next(night for night in nights if night - now >= ARCHIVE_EVERY)
    return _polite(chosen, now, None, place)


def next_ensemble(
    now: datetime, failures: int, retry_after: datetime | None, place: str
) -> datetime:
    """When (UTC) the ensemble may be asked for next. To be kept, as `next_fetch` is.

    Without `failures` in a row after eleven hours; after failures as for the archive.
    """
    now = _utc(now)
    if failures > 0:
        return _again(now, ARCHIVE_BACKOFF, failures, retry_after, place)
    return now + ENSEMBLE_EVERY


def _again(
    now: datetime,
    waits: tuple[timedelta, ...],
    failures: int,
    retry_after: datetime | None,
    seed: str,
) -> datetime:
    wait = waits[min(failures, len(waits)) - 1]
    chosen = now + wait * (0.5 + _scatter(seed, failures, int(now.timestamp())))
    return _polite(chosen, now, retry_after, seed)


def _polite(chosen: datetime, now: datetime, retry_after: datetime | None, seed: str) -> datetime:
    """Not before the service wants it, and not when everybody asks."""
    if retry_after is not None:
        chosen = max(chosen, min(_utc(retry_after), now + LONGEST_RETRY_AFTER))
    if chosen.minute < CROWDED_MINUTES:
        spread = 60 * CROWDED_MINUTES * (1 + _scatter(seed, "crowd", chosen.isoformat()))
        chosen = chosen.replace(minute=0, second=0, microsecond=0) + timedelta(seconds=int(spread))
    return chosen


def next_try(created: datetime, tries: int, now: datetime, message_id: str) -> datetime | None:
    """When (UTC) to try a mail again after its `tries`-th failure at `now`; None: give up.

    A minute, doubling up to an hour, each times 0.5 to 1.5. It is given up when the next try would
    come more than five days after it was made. ValueError for `tries` below 1.
    """
    if tries < 1:
        raise ValueError("a mail is tried again only after a failure")
    doubled = FIRST_RETRY * 2 ** min(tries - 1, 6)
    wait = min(doubled, LONGEST_RETRY) * (0.5 + _scatter(message_id, tries))
    again = _utc(now) + wait
    return again if again - created <= GIVE_UP else None


def _believed(
    now: datetime, today: date, last: date | None, first_seen: datetime
) -> tuple[date | None, datetime] | None:
    """`last` and `first_seen` as far as they can be true; None if it is the clock that is wrong."""
    last_ahead = last is not None and last - today > _DAY
    seen_ahead = first_seen - now > _DAY
    if (last_ahead or seen_ahead) and today < CLOCK_SANE:
        return None
    return (
        None if last_ahead else last,
        datetime.min.replace(tzinfo=UTC) if seen_ahead else first_seen,
    )


def _regular_look(last_ok: datetime, install_id: str) -> datetime:
    """The first of the installation's own times at which `last_ok` is old enough."""
    every = FETCH_EVERY // timedelta(seconds=1)
    margin = CROWDED_MINUTES + FETCH_JITTER_MINUTES
    minute = margin + int(_scatter(install_id, "minute") * (60 - margin - FETCH_JITTER_MINUTES))
    hour = int(_scatter(install_id, "hour") * (every // 3600))
    phase = 3600 * hour + 60 * minute
    earliest = last_ok + FETCH_MIN_AGE
    turn = (int(earliest.timestamp()) - phase) // every - 1
    while True:
        jitter = (2 * _scatter(install_id, "jitter", turn) - 1) * 60 * FETCH_JITTER_MINUTES
        look = datetime.fromtimestamp(turn * every + phase + int(jitter), UTC)
        if look >= earliest:
            return look
        turn += 1


def _scatter(*parts: str | int) -> float:
    """A number from 0 up to 1 that depends on the parts alone."""
    digest = hashlib.sha256("\n".join(str(part) for part in parts).encode("utf-8", "replace"))
    return int.from_bytes(digest.digest()[:6], "big") / 2**48


def _number(weekday: str) -> int:
    if weekday not in WEEKDAYS:
        raise ValueError(f"{weekday!r} is no day of the week such as 'sunday'")
    return WEEKDAYS.index(weekday)


def _time(hour: str) -> time:
    hours, colon, minutes = hour.partition(":")
    try:
        if colon and len(hours) == len(minutes) == 2:
            return time(int(hours), int(minutes))
    except ValueError:
        pass
    raise ValueError(f"{hour!r} is no time of day such as '06:00'")


def _utc(moment: datetime) -> datetime:
    if moment.tzinfo is None:
        raise ValueError("an instant needs a time zone")
    return moment.astimezone(UTC)
