"""One turn of the service: whatever is due now is done, and the next waking is written down.

Fetch, decide, queue, look back, deliver: each step leaves its result in the store before the next
begins, so a turn that is killed anywhere is taken up by the one that follows it.
"""

from __future__ import annotations

import hashlib
import math
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from email import message_from_bytes
from pathlib import Path

from advisor.digest.answering import Answering
from advisor.digest.files import plan_json
from advisor.language.speaking import speaking
from advisor.plan.model import Plan
from advisor.post.ping import ping
from advisor.service.answerable import answering_for
from advisor.service.answers import Hearing, hearing, lasting_failure
from advisor.service.archive import look_up, next_look
from advisor.service.between import Between, forget_notes
from advisor.service.decide import Decision, decide
from advisor.service.ensemble import ask_if_due
from advisor.service.folders import Read, read_files
from advisor.service.health import Clock, overdue, recalled
from advisor.service.owning_up import Told, Undelivered, lateness
from advisor.service.places import place_key
from advisor.service.postman import Postman
from advisor.service.schedule import (
    Due,
    digest_due,
    last_believed,
    next_digest,
    next_fetch,
)
from advisor.service.season import keep_season
from advisor.service.send import write
from advisor.service.weather import fetch
from advisor.site.place import Mail, Site
from advisor.store.database import Store
from advisor.store.digest_log import DIGEST
from advisor.store.outbox import Draft, Letter
from advisor.weather.errors import Unreachable, WeatherError

FRESH_FOR_DIGEST = timedelta(hours=3)
"""Before a digest the forecast is asked for again when it is older than this."""

PING_EVERY = timedelta(minutes=55)
"""A monitor is told at most this often that all is well."""

LONGEST_SLEEP = timedelta(hours=25)
"""No regular look at the forecast lies further ahead than this."""

WAITS_FOR_WEATHER = timedelta(hours=6)
"""A digest that could tell nothing waits this long for a forecast, then goes out and says so."""


@dataclass
class Turn:
    """What a turn found and did, as short sentences for the log."""

    site: Site
    mail: Mail
    read: Read
    store: Store
    state: Path
    now: datetime
    environment: Mapping[str, str]
    behind: timedelta = timedelta(0)
    """How far the site's clock is behind the daemon's: a demo lives on a day of its own."""
    said: list[str] = field(default_factory=list)
    _asked: bool = False
    _late_digest_arrived: bool = False
    _digested: Decision | None = None

    def run(self) -> list[str]:
        """Do what is due. Returns what was done; the next waking is stored under `wake_at`."""
        with speaking(self.site.language):
            return self._run()

    def _run(self) -> list[str]:
        self._begin()
        if self._due_to_fetch():
            self._fetch()
        self._ask_members()
        due = self._digest_due()
        self._hear(before_digest=due is not None)
        if due is not None:
            self._digest(due)
        elif self._recall("look_back") == "yes":
            self._look_back()
        self._deliver()
        if self._late_digest_arrived:
            # It was made from an older forecast than there is now.
            self._look_back()
            self._deliver()
        self._sign_of_life()
        # Behind the digest, which never waits for it.
        if self._digested is not None:
            self.said += keep_season(self._digested, self.store, self.state)
        # Last, so that nobody waits for it; not while even the forecast cannot be had.
        if not int(self._recall("fetch_failures") or 0):
            self.said += look_up(
                self.site, self.read.folder, self.store, self.now, self.environment
            )
        self._wake(self._next_waking())
        return self.said

    # What is remembered between turns.

    def _recall(self, key: str) -> str | None:
        return self.store.recall(self.site.id, key)

    def _remember(self, key: str, value: str) -> None:
        self.store.remember(self.site.id, key, value)

    def _moment(self, key: str) -> datetime | None:
        found = self._recall(key)
        return datetime.fromisoformat(found) if found else None

    def _begin(self) -> None:
        if self._recall("first_seen") is None:
            self._remember("first_seen", self.now.isoformat())
            self._remember("install_id", uuid.uuid4().hex)

    def _wake(self, moment: datetime) -> None:
        woken = moment + self.behind
        self._remember("wake_at", str(math.ceil(woken.timestamp())))

    def _next_waking(self) -> datetime:
        moments = [self._next_digest(), self._moment("next_fetch") or self.now]
        looked_up = next_look(self.site, self.store)
        if looked_up is not None and looked_up > self.now:
            moments.append(looked_up)
        mailbox = self._hearing()
        if mailbox is not None:
            moments.append(mailbox.next_look())
        last_ping = self._moment("last_ping")
        if self.site.digest.ping is not None and last_ping is not None:
            moments.append(last_ping + PING_EVERY)
        moments += [letter.next_try for letter in self._waiting() if letter.next_try is not None]
        return max(min(moments), self.now + timedelta(minutes=1))

    # The forecast.

    def _due_to_fetch(self) -> bool:
        planned = self._moment("next_fetch")
        # A time far ahead was written by a clock that ran ahead.
        return planned is None or planned <= self.now or planned - self.now > LONGEST_SLEEP

    def _fetch(self) -> None:
        self._asked = True
        failures = int(self._recall("fetch_failures") or 0)
        retry_after = None
        try:
            fetch(self.site, self.read.folder, self.store, self.now, self.environment)
        except WeatherError as error:
            failures += 1
            retry_after = error.retry_after if isinstance(error, Unreachable) else None
            self._remember("fetch_error", str(error))
            self.said.append(f"no forecast: {error}")
        else:
            failures = 0
            self._remember("last_fetch_ok", self.now.isoformat())
            self._remember("fetch_error", "")
            # Looked at once, even if this turn is killed before it comes to it.
            self._remember("look_back", "yes")
            self.said.append("fetched the forecast")
        self._remember("fetch_failures", str(failures))
        if self.site.weather.recorded is not None and not failures:
            # A recording has one forecast a day, from midnight GMT.
            tomorrow = self.now.astimezone(UTC).replace(hour=0, minute=5) + timedelta(days=1)
            self._remember("next_fetch", tomorrow.isoformat())
            return
        planned = next_fetch(
            self.now,
            self._moment("last_fetch_ok"),
            failures,
            retry_after,
            self._recall("install_id") or "",
        )
        self._remember("next_fetch", planned.isoformat())

    def _ask_members(self) -> None:
        """Twice a day, how sure the forecast is; not while even the forecast cannot be had."""
        if not int(self._recall("fetch_failures") or 0):
            folder = self.read.folder
            self.said += ask_if_due(self.site, folder, self.store, self.now, self.environment)

    # Answers by mail.

    def _hearing(self) -> Hearing | None:
        shelf, folder = self.read.files.shelf, self.read.folder
        return hearing(self.site, shelf, folder, self.state, self.store, self.now, self.environment)

    def _hear(self, *, before_digest: bool) -> None:
        """Look for answers; what was written down is read at once, so that a digest knows it."""
        mailbox = self._hearing()
        if mailbox is None:
            return
        self.said += mailbox.look(before_digest=before_digest)
        if mailbox.wrote:
            today = self.now.astimezone(self.site.place.zone_info).date()
            files = read_files(self.read.folder, self.state, today=today)
            self.read = replace(self.read, files=files)
            if self.site.demo is not None:
                self.read = self.read.without_future_lines()

    # The digest.

    def _last_digest(self) -> date | None:
        """By its name or the day it was made, whichever is later; what a wrong clock wrote is not
        believed."""
        zone = self.site.place.zone_info
        letters = [x for x in self.store.letters(self.site.id) if x.purpose == DIGEST]
        dates = [max(x.on, x.created.astimezone(zone).date()) for x in letters]
        sent = self.store.last_sent(self.site.id)
        if sent is not None:
            dates.append(sent)
        return last_believed(dates, self.now, zone)

    def _first_seen(self) -> datetime:
        return self._moment("first_seen") or self.now

    def _digest_due(self) -> Due | None:
        times = self.site.digest
        zone = self.site.place.zone_info
        return digest_due(
            self.now, times.weekday, times.hour, zone, self._last_digest(), self._first_seen()
        )

    def _next_digest(self) -> datetime:
        times = self.site.digest
        return next_digest(
            self.now,
            times.weekday,
            times.hour,
            self.site.place.zone_info,
            self._last_digest(),
            self._first_seen(),
        )

    def _digest(self, due: Due) -> None:
        on = due.on
        held = self._moment("last_fetch_ok")
        # A wait after a failure, and a service's own wish, hold at the digest's hour too.
        waits = int(self._recall("fetch_failures") or 0) > 0
        old = held is None or self.now - held > FRESH_FOR_DIGEST
        if old and not self._asked and not waits and self.site.weather.recorded is None:
            self._fetch()
        decision = self._decide(season=True)
        plan = decision.plan
        if plan.cannot_tell and self._waits_for_weather(on):
            self.said.append("the digest waits for a forecast")
            return
        self._remember("last_decision", self.now.isoformat())
        if decision.run_id is not None:
            self.store.mark_used(decision.run_id)
            self.store.mark_ensemble_used(place_key(self.site), plan.decided_at)
        # A digest that is late is still the one of its scheduled date: its name says so.
        undelivered = self._own().undelivered()
        late = lateness(due, self._last_digest(), self.site.units)
        failing = lasting_failure(self.store, self.site, self.now)
        answering, keyless = answering_for(self.site, plan, self.state)
        silent = tuple(text for text in (failing, keyless) if text)
        owned_up = (*late, *undelivered.sentences(), *silent, *plan.problems)
        following = self._next_digest().astimezone(self.site.place.zone_info).date()
        named = plan.model_copy(update={"on": on, "problems": owned_up, "next_digest": following})
        self._queue_digest(named, undelivered, answering)
        self._digested = replace(decision, plan=named)
        forget_notes(self.store, self.site.id)
        self._remember("look_back", "")
        self.said.append(f"queued the digest of {on}: {plan.headline.subject}")

    def _waits_for_weather(self, on: date) -> bool:
        waited_for, _, since = (self._recall("waits") or "").partition(" ")
        begun = datetime.fromisoformat(since) if waited_for == on.isoformat() else None
        if begun is None or begun > self.now:
            self._remember("waits", f"{on.isoformat()} {self.now.isoformat()}")
            return True
        return self.now - begun < WAITS_FOR_WEATHER

    def _decide(self, season: bool = False) -> Decision:
        failure = self._recall("fetch_error") or ""
        return decide(self._told_once(), self.site, self.store, self.now, failure, season=season)

    def _told_once(self) -> Read:
        """The folder without the problems that an earlier digest has told: `check` and `doctor`
        go on showing them."""
        told = self._own().marks("problems")
        marks = {_mark(str(problem)): problem for problem in self.read.problems}
        return self.read.without({p for mark, p in marks.items() if mark in told})

    def _queue_digest(
        self, plan: Plan, undelivered: Undelivered, answering: Answering | None
    ) -> None:
        """Store the mails before the first try, and what they advise as not yet sent."""
        self._keep(plan, DIGEST)
        drafts = []
        for recipient in self.mail.to:
            message = write(plan, self.mail, recipient, answering).mail
            drafts.append(Draft(recipient, _message_id(message), message))
        self.store.queue_all(self.site.id, plan.on, DIGEST, drafts, self.now)
        for letter in undelivered.outlived:
            self.store.letter_replaced(letter.id, "replaced by the next digest")
        self.store.tell_heard(self.site.id, plan.on)
        own = self._own()
        own.tell("problems", {_mark(str(p)) for p in self.read.problems}, plan.on)
        own.tell("failures", {str(letter.id) for letter in undelivered.dead}, plan.on)

    def _own(self) -> Told:
        return Told(self.store, self.site.id)

    def _keep(self, plan: Plan, purpose: str) -> None:
        self.store.remember_digest(
            self.site.id, plan.on, plan.decided_at, plan_json(plan), sent=False, purpose=purpose
        )

    # Between two digests.

    def _look_back(self) -> None:
        """Where a new forecast holds what was announced for a day still to come, or a lawn needs
        water that was not, say so."""
        files, book = self.read.files, self.read.book
        if book.holds_everything or files.journal.unreadable:
            return  # what is half written holds too, and is no newer forecast; look again later
        following = self._next_digest().astimezone(self.site.place.zone_info).date()
        between = Between(
            self.site,
            self.mail,
            self.read.files,
            self.store,
            self.now,
            following,
            lambda plan: answering_for(self.site, plan, self.state)[0],
        )
        said = between.look(lambda: self._decide().plan)
        self.said += [said] if said else []
        self._remember("look_back", "")

    # Delivery.

    def _waiting(self) -> list[Letter]:
        return self.store.letters(self.site.id, "ready")

    def _deliver(self) -> None:
        postman = Postman(self.site.id, self.mail, self.store, self.state, self.environment)
        waiting = [x for x in self._waiting() if x.purpose == DIGEST]
        self.said += postman.deliver_due(self.now)
        left = {letter.id for letter in self._waiting()}
        fetched = self._moment("last_fetch_ok")
        self._late_digest_arrived = any(
            letter.id not in left and fetched is not None and letter.created < fetched
            for letter in waiting
        )

    # The monitor.

    def _sign_of_life(self) -> None:
        """Ping the owner's monitor while nothing is overdue; its silence is what alarms."""
        address = self.site.digest.ping
        last = self._moment("last_ping")
        if address is None or (last is not None and timedelta(0) <= self.now - last < PING_EVERY):
            return
        times, place = self.site.digest, self.site.place
        clock = Clock(times.weekday, times.hour, place.zone_info, self.site.units)
        if overdue(recalled(self.store, self.site.id, place_key(self.site)), clock, self.now):
            return
        self._remember("last_ping", self.now.isoformat())
        failure = ping(address)
        if failure:
            self.said.append(failure)


def _mark(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:16]


def _message_id(message: bytes) -> str:
    return str(message_from_bytes(message)["Message-ID"])
