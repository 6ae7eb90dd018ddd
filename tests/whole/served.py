"""The demo served for tests: turns of the service on a clock that a test moves."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path

from demo_year import demo_site, read_on
from owner import BEGINNING

from advisor.service.turn import Turn
from advisor.site.place import OFF, Mail, Site
from advisor.store.database import Store


@dataclass
class Served:
    """One site with its state folder; `take` runs the turn of a moment."""

    state: Path
    mail: Mail
    site: Site
    journal: str = BEGINNING

    @classmethod
    def into_maildir(cls, state: Path, alerts: bool = True) -> Served:
        site = demo_site()
        assert site.mail is not None
        digest = site.digest.model_copy(update={"alerts": alerts})
        site = site.model_copy(update={"digest": digest})
        mail = Mail.model_validate(
            {"from": "lawn@home.example", "to": ["ada@home.example"], "maildir": "mail"}
        )
        return cls(state, mail, site)

    @classmethod
    def by_the_lead_alone(cls, state: Path, alerts: bool = True) -> Served:
        """Without an ensemble, which may hold what a later forecast would have taken back."""
        served = cls.into_maildir(state, alerts)
        weather = served.site.weather.model_copy(update={"ensemble_model": OFF})
        served.site = served.site.model_copy(update={"weather": weather})
        return served

    def take(self, now: datetime) -> list[str]:
        day = now.astimezone(self.site.place.zone_info).date()
        read = read_on(day, self.journal)
        with Store(self.state / "swardcast.sqlite3") as store:
            return Turn(self.site, self.mail, read, store, self.state, now, {}).run()

    def wake_at(self) -> datetime:
        with Store(self.state / "swardcast.sqlite3") as store:
            found = store.recall(self.site.id, "wake_at")
        assert found is not None
        return datetime.fromtimestamp(int(found), UTC)

    def live(self, first: datetime, last: datetime) -> list[str]:
        """Sleep until woken, take a turn, and so on; what all the turns said."""
        now, said = first, []
        while now <= last:
            said += self.take(now)
            wake = self.wake_at()
            assert wake > now, "a turn that asks to be woken at once would never let go"
            now = wake
        return said

    def mails(self) -> list[EmailMessage]:
        folder = self.state / "mail" / "new"
        found = sorted(folder.iterdir()) if folder.is_dir() else []
        parsed = [message_from_bytes(path.read_bytes(), policy=policy.default) for path in found]
        return [mail for mail in parsed if isinstance(mail, EmailMessage)]

    def digests(self) -> dict[date, EmailMessage]:
        """The digests that arrived, by the date in their Message-ID."""
        found: dict[date, EmailMessage] = {}
        for mail in self.mails():
            if "after all" in str(mail["Subject"]):
                continue  # an alert, which takes something back
            day = date.fromisoformat(str(mail["Message-ID"])[1:11])
            assert day not in found, "two digests of one date"
            found[day] = mail
        return found
