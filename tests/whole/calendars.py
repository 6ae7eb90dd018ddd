"""The calendars of mails, read by a library that shares no code with the one that writes them."""

from __future__ import annotations

from email.message import EmailMessage
from typing import Any

import vobject

from advisor.digest.calendar import uid
from advisor.plan.model import Plan, SiteName
from advisor.site.place import Mail, Site


def entries(mail: EmailMessage) -> dict[str, Any]:
    """The entries of a mail's calendar by their UID; none where it has no calendar."""
    found = [part for part in mail.walk() if part.get_content_type() == "text/calendar"]
    if not found:
        return {}
    (part,) = found
    assert part.get_param("method") == "PUBLISH"
    content = part.get_payload(decode=True)
    assert isinstance(content, bytes)
    events = vobject.readOne(content.decode("utf-8")).vevent_list
    named = {event.uid.value: event for event in events}
    assert len(named) == len(events)
    return named


def uid_of(site: Site, mail: Mail, action_id: str) -> str:
    """The UID of an action's entry in what a sender mails of a site."""
    plan = Plan.model_construct(site=SiteName.of(site))
    return uid(plan, action_id, mail.sender.rpartition("@")[2].rstrip(">"))


def stood(event: Any) -> tuple[str, int]:
    """Its status and its sequence."""
    return event.status.value, int(event.sequence.value)
