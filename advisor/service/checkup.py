"""The doctor's round: can this site be read, fetched for, decided, written and mailed?

Each step is done for real, and none leaves anything behind: the forecast goes into memory, and
the mail server is left after the login.
"""

from __future__ import annotations

import os
import pwd
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from advisor.digest.words import sentence
from advisor.plan.model import Plan
from advisor.post.outcome import Kind, Outcome
from advisor.post.secrets import SecretError
from advisor.post.smtp import SmtpConfig, try_login
from advisor.service.decide import decide
from advisor.service.disk import NETWORK_DISKS, disk_kind, free_bytes, nearest
from advisor.service.ensemble import ask, wanted
from advisor.service.folders import Read, database_file
from advisor.service.health import Clock, Finding, Remembered, State, overdue, recalled
from advisor.service.mailbox_check import mailbox_tried
from advisor.service.places import place_key
from advisor.service.postman import mail_password
from advisor.service.schedule import CLOCK_SANE, next_digest
from advisor.service.send import write
from advisor.service.watches import looked_out
from advisor.service.weather import fetch
from advisor.site.place import OFF, Mail, Site
from advisor.site.problem import Problem
from advisor.store.database import Store
from advisor.store.errors import StoreError
from advisor.weather.ensemble import ENSEMBLE_MODEL
from advisor.weather.errors import WeatherError

ROOM = 50_000_000
"""Bytes that a year of weather and mails may need [judgement]."""

LOGIN_SECONDS = 20.0
"""Seconds to wait for each answer of the mail server: somebody sits and waits."""


def site_files(read: Read) -> Iterator[Finding]:
    """What the owner wrote, problem by problem."""
    yield from _read_well("Files", read.files.problems, "What you wrote can be read.")
    rules = f"{len(read.book.rules)} rules are in force."
    if read.book.holds_everything:
        rules += " One cannot be read, so everything that is put down is held."
    yield from _read_well("Rules", read.book.problems, rules)


def _read_well(name: str, problems: tuple[Problem, ...], well: str) -> Iterator[Finding]:
    for problem in problems:
        place = f"{problem.file}, line {problem.line}" if problem.line else problem.file
        yield Finding(
            name,
            State.WARNING if problem.warning else State.FAULT,
            f"{place}: {problem.what}.",
            " ".join(problem.hint.splitlines()) or "`swardcast check SITE` shows the line.",
        )
    if not any(not problem.warning for problem in problems):
        yield Finding(name, State.OK, well)


def clock(now: datetime) -> Finding:
    """Whether this machine's clock can be right: it is not before this program was made."""
    if now.date() < CLOCK_SANE:
        return Finding(
            "Clock",
            State.FAULT,
            f"This machine's clock says {now:%Y-%m-%d %H:%M} UTC, which is before this program was"
            " made. Nothing is done until it is right.",
            "Set it, and let it be kept right: `timedatectl set-ntp true`.",
        )
    return Finding("Clock", State.OK, f"It is {now:%Y-%m-%d %H:%M} UTC.")


@dataclass
class Checkup:
    """The round for a site that could be read. `now` is the site's moment; `state` its folder."""

    read: Read
    site: Site
    state: Path
    now: datetime
    environment: Mapping[str, str]
    sound: bool = field(default=False, init=False)

    def run(self) -> Iterator[Finding]:
        """Every finding as it is made, in the order in which a digest comes about."""
        yield self._zone()
        yield self._folder()
        yield self._database()
        memory = Store(":memory:")
        with memory:
            fetched, findings = self._forecast(memory)
            yield from findings
            if fetched and wanted(self.site, self.read.folder):
                yield self._ensemble(memory)
            yield from looked_out(self.site, memory)
            plan, finding = self._decided(memory if fetched else None)
        yield finding
        yield from self._mail(plan)
        yield from self._service()

    def _zone(self) -> Finding:
        zone = self.site.place.zone
        return Finding("Zone", State.OK, f"{zone}: it is {self._clock.at(self.now, self.now)}.")

    @property
    def _clock(self) -> Clock:
        site = self.site
        return Clock(site.digest.weekday, site.digest.hour, site.place.zone_info, site.units)

    # Where things are kept.

    def _folder(self) -> Finding:
        there = nearest(self.state)
        kind = disk_kind(there)
        if kind in NETWORK_DISKS:
            return Finding(
                "State folder",
                State.FAULT,
                f"{self.state} lies on a network disk ({kind}), where a database can be damaged.",
                "Choose a folder on a disk of this machine with --state.",
            )
        try:
            with tempfile.TemporaryFile(dir=there) as file:
                file.write(b"a line to try the disk with")
                file.flush()
                os.fsync(file.fileno())
        except OSError as error:
            return self._not_written(there, error)
        if free_bytes(there) < ROOM:
            return Finding(
                "State folder",
                State.WARNING,
                f"The disk of {self.state} has less than {ROOM // 1_000_000} MB left.",
                "Make room before it is full.",
            )
        made = "" if there.resolve() == self.state.resolve() else "; it is made when first needed"
        return Finding("State folder", State.OK, f"{self.state} can be written{made}.")

    def _not_written(self, there: Path, error: OSError) -> Finding:
        owner = _owner(there)
        if (
            there.resolve() == self.state.resolve()
            and os.access(there, os.R_OK | os.X_OK)
            and owner
        ):
            return Finding(
                "State folder",
                State.WARNING,
                f"{self.state} belongs to {owner}, and you may only read it.",
                f"Ask as the service's user: `sudo -u {owner} swardcast doctor SITE`.",
            )
        return Finding(
            "State folder",
            State.FAULT,
            f"{there} cannot be written: {error.strerror}.",
            "Give its user the right to write there, or choose another folder with --state.",
        )

    def _database(self) -> Finding:
        path = database_file(self.state)
        if not os.path.exists(path):  # noqa: PTH110 - never raises, whatever may not be entered
            return Finding("Database", State.OK, "There is none yet; the first run makes it.")
        try:
            with Store(path) as store, store.reading() as database:
                said = [str(row[0]) for row in database.execute("PRAGMA integrity_check")]
        except StoreError as error:
            return Finding(
                "Database", State.FAULT, str(error), "Until then the service cannot work."
            )
        if said != ["ok"]:
            return Finding(
                "Database",
                State.FAULT,
                f"The database is damaged: {said[0]}.",
                f"Move {path} away and start again: that costs its history and nothing else.",
            )
        self.sound = True
        return Finding("Database", State.OK, f"{path.name} is sound.")

    # From the forecast to the mail.

    def _forecast(self, memory: Store) -> tuple[bool, list[Finding]]:
        try:
            # Only the forecast: the archive is not asked on each round.
            fetch(self.site, self.read.folder, memory, self.now, self.environment)
        except WeatherError as error:
            mend = "Look at this machine's network and at [weather] in site.toml."
            return False, [Finding("Forecast", State.FAULT, str(error), mend)]
        stored = memory.series(place_key(self.site), as_of=self.now)
        assert stored is not None  # what was fetched without failure is there
        last = datetime.fromtimestamp(int(stored.series.ends()[-1]) - 1, UTC)
        until = self._clock.day(last.astimezone(self.site.place.zone_info).date(), self.now)
        told = sentence(f"{stored.series.source.provider} answered, with weather up to {until}")
        notes = [
            Finding("Forecast", State.WARNING, note, "The rest of the forecast is used.")
            for note in stored.series.notes
        ]
        return True, [Finding("Forecast", State.OK, told), *notes]

    def _ensemble(self, memory: Store) -> Finding:
        """A remark: without it the digest says less of how sure it is, and is as sound."""
        try:
            ask(self.site, self.read.folder, memory, self.now, self.environment)
        except WeatherError as error:
            mend = (
                "The digest goes out without it. Another ensemble_model under [weather] may serve"
                f' this place; ensemble_model = "{OFF}" asks for none.'
            )
            return Finding("Ensemble", State.WARNING, str(error), mend)
        found = memory.ensemble(place_key(self.site), as_of=self.now)
        assert found is not None  # what was kept without failure is there
        model = self.site.weather.ensemble_model or ENSEMBLE_MODEL
        named = "" if self.site.weather.recorded is not None else f" of {model}"
        told = sentence(f"{found.source.provider} answered with {found.members} members{named}")
        return Finding("Ensemble", State.OK, told)

    def _decided(self, memory: Store | None) -> tuple[Plan | None, Finding]:
        """Decide on what was fetched just now; without that, on what is stored."""
        if memory is not None:
            plan = decide(self.read, self.site, memory, self.now).plan
        elif self.sound:
            with Store(database_file(self.state)) as store:
                plan = decide(self.read, self.site, store, self.now).plan
        else:
            return None, Finding(
                "Decision", State.WARNING, "Not tried: there is no forecast.", "The forecast first."
            )
        if plan.cannot_tell:
            return plan, Finding("Decision", State.FAULT, plan.headline.text, "The forecast first.")
        return plan, Finding(
            "Decision", State.OK, f"Today's digest would say “{plan.headline.subject}”."
        )

    def _mail(self, plan: Plan | None) -> Iterator[Finding]:
        mail = self.site.mail
        if mail is None:
            yield Finding(
                "Mail",
                State.FAULT,
                "site.toml names nobody to write to.",
                "Add a [mail] table: from, to, and a server or a maildir.",
            )
            return
        if plan is None:
            yield Finding(
                "Mail", State.WARNING, "Not written: nothing was decided.", "The decision first."
            )
        else:
            yield self._written(plan, mail)
        yield self._maildir(mail.maildir) if mail.maildir is not None else self._login(mail)
        if self.site.answers is not None:
            yield mailbox_tried(self.site.answers, self.environment)

    def _written(self, plan: Plan, mail: Mail) -> Finding:
        try:
            sizes = [len(write(plan, mail, recipient).mail) for recipient in mail.to]
        except ValueError as error:
            return Finding("Mail", State.FAULT, f"{error}.", "Mend [mail] in site.toml.")
        people = "1 person" if len(sizes) == 1 else f"{len(sizes)} people"
        return Finding(
            "Mail", State.OK, f"Written for {people}, {max(sizes) / 1000:.0f} kB; not sent."
        )

    def _maildir(self, named: str) -> Finding:
        folder = self.state / named
        there = nearest(folder)
        if os.access(there, os.W_OK | os.X_OK):
            return Finding("Delivery", State.OK, f"Mail goes into the folder {folder}.")
        owner = _owner(there)
        if owner:
            return Finding(
                "Delivery",
                State.WARNING,
                f"Mail goes into {folder}, where only {owner} may look.",
                f"Ask as the service's user: `sudo -u {owner} swardcast doctor SITE`.",
            )
        return Finding(
            "Delivery",
            State.FAULT,
            f"Mail is to go into {folder}, and {there} cannot be written.",
            "Give the service's user the right to write there, or change maildir in site.toml.",
        )

    def _login(self, mail: Mail) -> Finding:
        assert mail.server is not None  # checked when the site was read
        name = mail.password_credential
        if name and not self.environment.get("CREDENTIALS_DIRECTORY"):
            return Finding(
                "Delivery",
                State.WARNING,
                f"The login was not tried: only the service is given the credential “{name}”.",
                f"Try it as the service does: `systemd-run --pty -p LoadCredential={name}:FILE"
                " swardcast doctor SITE`.",
            )
        try:
            password = mail_password(mail, self.environment)
        except SecretError as error:
            return Finding(
                "Delivery",
                State.FAULT,
                str(error),
                "[mail] in site.toml says where it is taken from.",
            )
        config = SmtpConfig(mail.server, mail.port_used, mail.security, mail.user, password)
        outcome = try_login(config, timeout=LOGIN_SECONDS)
        if outcome.delivered:
            return Finding("Delivery", State.OK, outcome.sentence)
        return Finding("Delivery", State.FAULT, outcome.sentence, _mend(outcome))

    # The service around it.

    def _service(self) -> Iterator[Finding]:
        seen = Remembered()
        if self.sound:
            with Store(database_file(self.state)) as store:
                seen = recalled(store, self.site.id, place_key(self.site))
        if seen.past_error:
            yield Finding(
                "Past weather",
                State.WARNING,
                seen.past_error,
                "It is asked for again by itself; until then some sums of the year are bounds.",
            )
        times, zone = self.site.digest, self.site.place.zone_info
        first = seen.first_seen or self.now
        coming = next_digest(self.now, times.weekday, times.hour, zone, seen.last_digest, first)
        yield Finding("Next digest", State.OK, f"{self._clock.at(coming, self.now)}.")
        late = overdue(seen, self._clock, self.now)
        yield from late or (Finding("Service", State.OK, "Nothing is overdue."),)


def _mend(outcome: Outcome) -> str:
    if outcome.kind is Kind.TRANSIENT:
        return "Is the server's name and port right, and can this machine reach it? Try again."
    return "Look at [mail] in site.toml, the password, and the server; then ask again."


def _owner(path: Path) -> str:
    """Whose folder it is, where that is somebody else with a name; else the empty text."""
    try:
        owner = path.stat().st_uid
        return "" if owner == os.geteuid() else pwd.getpwuid(owner).pw_name
    except (OSError, KeyError):
        return ""
