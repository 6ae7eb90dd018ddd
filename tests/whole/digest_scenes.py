"""Eight mornings of the demo's invented year, as their readers get them.

They show looks and prove nothing of agronomy: some of their weather is poured in.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from demo_year import demo_site, morning, read_on

from advisor.digest.files import plan_json
from advisor.plan.compose import Given, make_plan
from advisor.plan.model import Plan
from advisor.service.between import Between
from advisor.service.coming import coming
from advisor.service.decide import decide, given_for
from advisor.service.send import write
from advisor.service.weather import refresh
from advisor.store.database import Store

DOWNPOUR_MM = 20.0
"""Of a day, on every day ahead: too much for anything that is put down."""


@dataclass(frozen=True)
class Scene:
    """What reaches a reader. `page` is the mail's page with its pictures within; of an alert, which
    has none, the page as it is mailed."""

    name: str
    plan: Plan
    page: str
    mail: bytes


def html_part(mail: bytes) -> EmailMessage:
    """The part of a mail that is a page."""
    message = message_from_bytes(mail, policy=policy.default)
    return next(part for part in message.walk() if part.get_content_type() == "text/html")


def _digest(name: str, plan: Plan) -> Scene:
    written = write(plan, demo_site().mail)
    return Scene(name, plan, written.html, written.mail)


def _given(store: Store, day: date) -> Given:
    """What the demo knows on a morning, the windows beyond the forecast with it."""
    failure = refresh(demo_site(), read_on(day).folder, store, morning(day), {})
    assert failure == ""
    return decide(read_on(day), demo_site(), store, morning(day), season=True).given


def rained_on(given: Given, begins: datetime) -> Given:
    """The same with rain on every hour from a moment on, which members are not asked about."""
    assert given.series is not None
    ahead = given.series.ends() > begins.timestamp()
    columns = dict(given.series.columns)
    columns["rain"] = np.where(ahead, DOWNPOUR_MM / 24, columns["rain"])
    columns["rain_chance"] = np.where(ahead, 0.95, columns["rain_chance"])
    return replace(given, series=replace(given.series, columns=columns), ensemble=None)


def _as_recorded(name: str, day: date) -> Callable[[Store], Scene]:
    def scene(store: Store) -> Scene:
        return _digest(name, make_plan(_given(store, day), morning(day)))

    return scene


def _rain_hold(store: Store) -> Scene:
    """The barrier's window is open, and all of its days are wet."""
    day = date(2025, 4, 1)
    wet = rained_on(_given(store, day), morning(day))
    wet = replace(wet, coming=coming(wet, store, morning(day)))
    return _digest("rain-hold", make_plan(wet, morning(day)))


def _heat_hold(store: Store) -> Scene:
    """The cool-season lawn alone and without sprinklers: else the county's summer rule or water has
    the first word."""
    day = date(2025, 6, 18)
    given = _given(store, day)
    front = tuple(
        lawn.model_copy(update={"irrigated": False, "sprinklers_mm_h": None})
        for lawn in given.site.lawns
        if lawn.name == "front"
    )
    alone = given.site.model_copy(update={"lawns": front, "zones": ()})
    given = replace(given, site=alone, coming=[n for n in given.coming if n.lawn == "front"])
    return _digest("heat-hold", make_plan(given, morning(day)))


def _forecast_failed(store: Store) -> Scene:
    """Nothing newer than Wednesday's forecast on a Sunday, and the service does not answer."""
    newest, now = date(2025, 4, 9), morning(date(2025, 4, 13))
    _given(store, newest)
    given, _ = given_for(
        read_on(date(2025, 4, 13)), demo_site(), store, now,
        "The forecast service did not answer within 30 seconds; it is asked again each hour.",
    )  # fmt: skip
    return _digest("forecast-failed", make_plan(given, now))


def _taken_back(store: Store) -> Scene:
    """Friday's digest has the barrier on Tuesday; on Monday rain is forecast. The service's own
    look between two digests makes the mail."""
    site, friday, monday = demo_site(), date(2025, 3, 28), date(2025, 3, 31)
    first = make_plan(_given(store, friday), morning(friday))
    store.remember_digest(site.id, first.on, first.decided_at, plan_json(first), sent=True)
    _given(store, monday)
    given, _ = given_for(read_on(monday), site, store, morning(monday))
    newer = make_plan(rained_on(given, morning(date(2025, 4, 1))), morning(monday))
    assert site.mail is not None
    between = Between(
        site, site.mail, read_on(monday).files, store, morning(monday), friday + timedelta(7)
    )
    assert between.look(lambda: newer).startswith("queued an alert")
    (letter,) = store.letters(site.id)
    return Scene("taken-back", newer, html_part(letter.message).get_content(), letter.message)


SCENES: dict[str, Callable[[Store], Scene]] = {
    "apply-in-spring": _as_recorded("apply-in-spring", date(2025, 4, 1)),
    "rain-hold": _rain_hold,
    "heat-hold": _heat_hold,
    "water": _as_recorded("water", date(2025, 7, 9)),
    "winter": _as_recorded("winter", date(2025, 12, 21)),
    "forecast-failed": _forecast_failed,
    "taken-back": _taken_back,
    "three-actions": _as_recorded("three-actions", date(2025, 9, 12)),
}


def scene(name: str) -> Scene:
    """A scene by its name, out of a store of its own."""
    with TemporaryDirectory() as folder, Store(Path(folder) / "swardcast.sqlite3") as store:
        return SCENES[name](store)


__all__ = ["SCENES", "Scene", "html_part", "rained_on", "scene"]
