"""Between two digests: an alert where a newer forecast changes what the last one told.

It takes back what no longer stands, and tells of water that became needed. What it leaves standing
and what it advises is stored with it: only what was sent counts.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime

from advisor.digest.alert import alert_purpose, render_alert
from advisor.digest.answering import Answering
from advisor.digest.calendar import calendar
from advisor.digest.files import plan_json
from advisor.digest.mail import build_mail, mail_bytes, message_id
from advisor.plan.actions import action_id
from advisor.plan.announced import announced, only_standing
from advisor.plan.model import Plan
from advisor.plan.needed import Note, may_tell, note
from advisor.plan.recant import announced_hours, may_alert
from advisor.plan.withdrawn import only_news
from advisor.service.decide import sent_before
from advisor.site.load import SiteFiles
from advisor.site.place import Mail, Site
from advisor.site.sums import sums
from advisor.store.database import Store
from advisor.store.digest_log import DIGEST
from advisor.store.outbox import Draft

TAKING_BACK, OF_WATER = "alerts", "water_notes"
"""Under these names the store keeps how many went out since the last digest; of water, and when the
last of them did: `2 2026-07-14`."""


def forget_notes(store: Store, site_id: str) -> None:
    """A digest begins anew: what notes said before it no longer counts against their bounds."""
    store.remember(site_id, TAKING_BACK, "0")
    store.remember(site_id, OF_WATER, "")


@dataclass(frozen=True)
class Between:
    """One look at a newer forecast. `next_digest` is the local date of the next digest due."""

    site: Site
    mail: Mail
    files: SiteFiles
    store: Store
    now: datetime
    next_digest: date
    answering: Callable[[Plan], Answering | None] = lambda _plan: None
    """How a plan that is mailed can be answered."""

    def look(self, decide: Callable[[], Plan]) -> str:
        """Queue an alert where there is something to tell. Returns what was done, as a sentence;
        empty where nothing was. `decide` makes the newer plan; it is asked only where needed."""
        taking_back, of_water, last = self._gone_out()
        on = self.site.digest.alerts
        takes_back = may_alert(taking_back, on)
        waters = may_tell(of_water, last, self._today, on) and self._may_water()
        if not (takes_back or waters):
            return ""
        sent = sent_before(self.store, self.site, self.now)
        advised = announced(sent)
        standing = sums(
            self.site, self.files.shelf, self.files.journal, advised, self._today
        ).standing
        if not (standing or waters):
            return ""
        plan = decide().model_copy(update={"next_digest": self.next_digest})
        found = note(
            plan, standing, advised, self._today, self.next_digest, announced_hours(sent),
            takes_back=takes_back, waters=waters,
        )  # fmt: skip
        if not (found.taken or found.water):
            return ""
        return self._queue(plan, found, {advice.id for advice in standing})

    @property
    def _today(self) -> date:
        return self.now.astimezone(self.site.place.zone_info).date()

    def _may_water(self) -> bool:
        """Whether a lawn has sprinklers, and the newest digest and every note since have arrived:
        the first speaks for itself, and what is on its way may tell of the very same water."""
        arrived = self.store.last_sent(self.site.id)
        waiting = self.store.letters(self.site.id, "ready")
        return (
            any(lawn.irrigated for lawn in self.site.lawns)
            and arrived is not None
            and all(x.purpose == DIGEST and x.on <= arrived for x in waiting)
        )

    def _gone_out(self) -> tuple[int, int, date | None]:
        """How many notes took back and how many told of water since the last digest, and the date
        of the last of these."""
        count, _, last = (self.store.recall(self.site.id, OF_WATER) or "").partition(" ")
        return (
            int(self.store.recall(self.site.id, TAKING_BACK) or 0),
            int(count or 0),
            date.fromisoformat(last) if last else None,
        )

    def _queue(self, plan: Plan, found: Note, standing: set[str]) -> str:
        """Queue the alert; nothing if the same was told already. What it leaves standing, a new day
        that it names and its water are remembered with it; nothing else is announced."""
        answers = self.answering(plan)
        alert = render_alert(plan, found.taken, found.water, answers)
        purpose = alert_purpose(found.taken, found.water, self._today)
        headline = plan.headline.model_copy(update={"subject": alert.subject})
        headed = plan.model_copy(update={"headline": headline})
        gone = {one.advised.id for one in found.taken}
        # A new day that the note names is advice like any other: unanswered, it is perhaps done.
        new = {
            action_id(one.advised.lawn, one.advised.task, one.instead)
            for one in found.taken
            if one.moved and one.instead is not None
        } | {one.action.id for one in found.water}
        mailed = sent_before(self.store, self.site, self.now)
        news = only_news(plan, found.taken, new, announced_hours(mailed))
        entries = calendar(news, sender=self.mail.sender)
        drafts = []
        for recipient in self.mail.to:
            mail = build_mail(
                headed,
                sender=self.mail.sender,
                recipient=recipient,
                text=alert.text,
                html=alert.html,
                purpose=purpose,
                calendar=entries,
                reply_to=answers.address if answers is not None else None,
            )
            drafts.append(Draft(recipient, message_id(mail), mail_bytes(mail)))
        if any(letter.purpose == purpose for letter in self.store.letters(self.site.id)):
            return ""
        # First what it leaves standing: it counts only once the mail has arrived.
        kept = only_standing(plan, mailed, standing - gone, new)
        kept = kept.model_copy(update={"withdrawn": news.withdrawn})
        self.store.remember_digest(
            self.site.id, plan.on, plan.decided_at, plan_json(kept), sent=False, purpose=purpose
        )
        self.store.queue_all(self.site.id, plan.on, purpose, drafts, self.now)
        self._count(found)
        return f"queued an alert: {alert.subject}"

    def _count(self, found: Note) -> None:
        taking_back, of_water, _ = self._gone_out()
        if found.taken:
            self.store.remember(self.site.id, TAKING_BACK, str(taking_back + 1))
        if found.water:
            self.store.remember(self.site.id, OF_WATER, f"{of_water + 1} {self._today}")
