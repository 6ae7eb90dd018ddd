"""A lawn watered by the mails alone, obeyed as printed: the weekly digest and the notes between.

Each morning's forecast, in error as `watered.Errors` has it, makes a plan. On a Sunday that is the
digest; on another day it is what a note is made from, by the functions that make the service's
notes; what stands beside them is kept here by its days. The owner looks at no sky: what was
announced and not taken back is given, and written down.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

import numpy as np
from watered import SOAKED, SOAKING, Errors, Floats, Year, forecast, walked

from advisor.plan.actions import do
from advisor.plan.announced import Sent, announced
from advisor.plan.choice import Walk
from advisor.plan.model import Action, LawnPlan, Plan, SiteName
from advisor.plan.needed import Note, may_tell, note
from advisor.plan.recant import announced_hours, may_alert
from advisor.plan.view import ADVICE_DAYS, Setting
from advisor.site.words import WATERING

SUNDAY = 6

AHEAD = 10
"""Days of a forecast, today included: a digest advises for seven, and rain counts beyond them."""


@dataclass
class Mails:
    """What was sent so far, what of it the owner means to do [mm by day], and how many notes told
    of water, or only took back."""

    notes: bool = True
    sent: list[Sent] = field(default_factory=list)
    due: dict[date, float] = field(default_factory=dict)
    of_water: int = 0
    of_taking_back: int = 0
    _week: tuple[int, int] = (0, 0)
    _last: date | None = None

    def digest(self, plan: Plan) -> None:
        self.due = {}
        self._send(plan.on, plan.lawns[0].actions)
        self._week = (0, 0)

    def look(self, plan: Plan, standing: Sequence) -> list[date]:  # type: ignore[type-arg]
        """A note where one is due. Returns the days that it takes back."""
        taking_back, waters = self._week
        following = plan.on + timedelta(SUNDAY - plan.on.weekday())
        said = note(
            plan, standing, announced(self.sent), plan.on, following, announced_hours(self.sent),
            takes_back=may_alert(taking_back, self.notes),
            waters=may_tell(waters, self._last, plan.on, self.notes),
        )  # fmt: skip
        if not (said.taken or said.water):
            return []
        self._week = (taking_back + bool(said.taken), waters + bool(said.water))
        self.of_water += bool(said.water)
        self.of_taking_back += not said.water
        self._last = plan.on if said.water else self._last
        gone = {one.advised.id for one in said.taken}
        new = _new(plan, said, {advice.id for advice in standing} - gone)
        back = [one.advised.day for one in said.taken if self.due.pop(one.advised.day, None)]
        stand = {advice.id for advice in standing} - gone - {action.id for action in new}
        mailed = {doc["id"]: (lawn, doc) for sent in self.sent for lawn, doc in sent.actions}
        self._send(plan.on, new, [mailed[name] for name in sorted(stand)])
        return back

    def _send(self, on: date, actions: Sequence[Action], stands: Sequence = ()) -> None:  # type: ignore[type-arg]
        documents = [("front", one.model_dump(mode="json", by_alias=True)) for one in actions]
        self.sent.append(Sent(on, True, (*stands, *documents)))
        self.due |= {one.day: one.water_mm or 0.0 for one in actions if one.day is not None}


def _new(plan: Plan, said: Note, standing: set[str]) -> list[Action]:
    """The actions that a note advises: its water, and the days to which it moves some."""
    days = {one.day for one in said.water} | {one.instead for one in said.taken if one.moved}
    return [a for a in plan.lawns[0].actions if a.day in days and a.id not in standing]


def by_mail(year: Year, errors: Errors, seed: int, more: str = "", notes: bool = True) -> Floats:
    """Water [mm] of each day; see `lived`."""
    return lived(year, errors, seed, more, notes)[0]


def lived(
    year: Year, errors: Errors, seed: int, more: str = "", notes: bool = True
) -> tuple[Floats, Mails]:
    """Water [mm] of each day by the digests and, unless without `notes`, the notes between; and
    those mails. `more` is more of site.toml."""
    rng = np.random.default_rng(seed)
    given, mails = np.zeros(len(year.days)), Mails(notes)
    soaked = year.days[year.index(SOAKED)]
    lines = [f"journal from {year.days[0]}", f"{soaked}  front  watered {SOAKING:.0f} mm"]
    for today in range(year.season.start, year.season.stop):
        day = year.days[today]
        rain, et0 = forecast(year, today, errors, rng, AHEAD)
        if notes or day.weekday() == SUNDAY or not mails.sent:
            setting, counted, done = walked(
                year, today, rain, et0, "\n".join(lines) + "\n", more, announced(mails.sent)
            )
            plan = _plan(setting, done)
            if day.weekday() == SUNDAY or not mails.sent:
                mails.digest(plan)
            elif day in mails.look(plan, counted.standing):
                lines.append(f"{day}  front  skipped watering")
        mm = mails.due.pop(day, 0.0)
        if mm > 0:
            given[today] = mm
            lines.append(f"{day}  front  watered {mm:.2f} mm")
    return given, mails


def _plan(setting: Setting, done: Walk) -> Plan:
    """Of a plan, what notes are made from: the waterings of the days that a digest speaks for."""
    actions = tuple(
        do(setting, choice)
        for choice in done.choices
        if choice.task == WATERING and choice.day < setting.today + ADVICE_DAYS
    )
    site = setting.site
    lawn = LawnPlan(
        name="front", title="front", grass="", grass_class="", area_text="", state="",
        conditions=(), actions=actions,
    )  # fmt: skip
    now: datetime = setting.now
    return Plan.model_construct(
        site=SiteName(id=site.id, title=site.title, zone=site.place.zone, units=site.units),
        on=setting.days[setting.today], decided_at=now, cannot_tell=False, lawns=(lawn,),
    )  # fmt: skip
