"""The owner in a replay: one who does what the digest says and writes it down, or the real one.

Either is a journal, in the real journal's grammar, as it stood on each morning.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, time, timedelta

from advisor.language.words import tell
from advisor.plan.model import Action
from advisor.plan.water_in import sprinklers
from advisor.series.quantity import Kind, convert, read_quantity
from advisor.site.amounts import Amount
from advisor.site.facts import (
    Aerated,
    Dethatched,
    Entry,
    Laid,
    Last,
    Mowed,
    Rain,
    Seen,
    Soil,
    SoilTest,
    StormWatch,
)
from advisor.site.free_time import LAST_HOUR
from advisor.site.journal import Journal, read_journal, write_line
from advisor.site.place import Site
from advisor.site.shelf import Shelf
from advisor.site.words import PUT_DOWN, WATERING

JOURNAL = "journal.txt"

OBSERVED = (Aerated, Dethatched, Laid, Mowed, Rain, Seen, Soil, SoilTest, StormWatch)
"""What a season brings whatever is advised: an owner who obeys has seen and measured it too."""

YEAR = 365

LEAST_TO_WATER_IN = 1.0
"""Less than this that a product still lacks to be watered in is let be [mm; judgement]."""

_LEEWAY = 1e-9


@dataclass(frozen=True)
class Deed:
    """Something that the obeying owner did, as the line of the journal says it: `amount` of a
    product on the whole lawn, or a depth of water [mm]."""

    day: date
    lawn: str
    task: str
    product: str | None = None
    amount: Amount | None = None
    water_mm: float = 0.0


class RealOwner:
    """Does what the journal says was done, whatever was advised."""

    assumed: tuple[str, ...] = ()

    def __init__(self, text: Mapping[str, str], site: Site, shelf: Shelf) -> None:
        self._text, self._site, self._shelf = dict(text), site, shelf
        self.deeds: list[Deed] = []

    def journal(self, day: date, *, morning: bool = False) -> Journal:
        """The journal as it stood on a day: its lines up to that day, and no other; `morning`: as
        it stood before the day's work."""
        return read_on(self._text, self._site, self._shelf, day, morning=morning)

    def text(self, upto: date) -> str:
        """The lines up to the end of a day."""
        return "".join(
            "\n".join(line for line in text.rstrip("\n").split("\n") if not _later(line, upto))
            + "\n"
            for text in self._text.values()
        )

    def do(self, action: Action, lawn: str) -> None:
        """An advice falls due: this owner goes by a journal of their own."""

    def end(self, day: date) -> None:
        """A day is over."""


def read_on(
    texts: Mapping[str, str], site: Site, shelf: Shelf, day: date, *, morning: bool = False
) -> Journal:
    """A journal as it stood on a day. A line of a later day is not there, be it readable or not;
    in the morning nor is one of the day itself, unless it tells of the time before (`last`)."""
    upto = {
        name: "\n".join(
            line
            for line in text.split("\n")
            if not (_later(line, day) or (morning and _of_the_day(line, day)))
        )
        for name, text in texts.items()
    }
    return read_journal(upto, lawns=[lawn.name for lawn in site.lawns], shelf=shelf, today=day)


def _later(line: str, day: date) -> bool:
    """Whether a line begins with a day after `day`; `journal from` always stands."""
    words = line.split(maxsplit=1)
    try:
        return bool(words) and date.fromisoformat(words[0]) > day
    except ValueError:
        return False


def _of_the_day(line: str, day: date) -> bool:
    """Whether a line tells what was done or seen on `day` itself."""
    return line.startswith(str(day)) and line.split()[2:3] != ["last"]


@dataclass
class ObeyingOwner:
    """Does each action on its day with the amount advised, waters in what wants it, and writes a
    line for each. Starts from what the real journal says of the time before `first`.

    Where that begins later than `first`, nothing is taken to have been put down in the year before
    it; `assumed` says so.
    """

    site: Site
    shelf: Shelf
    first: date
    real: Journal
    rain: Mapping[date, float]
    """Rain [mm] of each day as it came."""
    deeds: list[Deed] = field(default_factory=list)
    assumed: tuple[str, ...] = ()
    _lines: list[tuple[date, str]] = field(default_factory=list)
    _head: str = ""
    _to_water_in: list[tuple[date, date, str, float]] = field(default_factory=list)
    """The day of an application, that of the water, the lawn, and the depth [mm]."""

    def __post_init__(self) -> None:
        start = self.real.start
        if start is not None and start <= self.first:
            self._head = f"journal from {start}"
            self._lines = [
                (entry.day, write_line(entry.day, entry.lawn, entry.what))
                for entry in self.real.entries
                if entry.day < self.first or self._stands(entry)
            ]
        else:
            self._head = f"journal from {self.first}"
            before = self.first - timedelta(YEAR)
            self._lines = [
                (self.first, write_line(self.first, "all", Last(task, before))) for task in PUT_DOWN
            ]
            self._lines += [
                (entry.day, write_line(entry.day, entry.lawn, entry.what))
                for entry in self.real.entries
                if entry.day >= self.first and isinstance(entry.what, OBSERVED)
            ]
            self.assumed = (_nothing_known(start, self.first),)
        self._unread = [
            line.problem.text
            for line in self.real.unreadable
            if line.day is None or line.day < self.first
        ]

    def _stands(self, entry: Entry) -> bool:
        """Whether a line of the season itself is true of this owner as well."""
        if isinstance(entry.what, Last):
            return entry.what.day is None or entry.what.day < self.first
        return isinstance(entry.what, OBSERVED)

    def text(self, upto: date | None = None) -> str:
        """The journal that this owner has written by the end of a day."""
        rising = sorted(self._lines, key=lambda one: one[0])
        lines = [line for day, line in rising if upto is None or day <= upto]
        return "\n".join([self._head, *self._unread, *lines]) + "\n"

    def journal(self, day: date, *, morning: bool = False) -> Journal:
        """The journal as it stands on a day; `morning`: before what is done and seen on it."""
        return read_on({JOURNAL: self.text(day)}, self.site, self.shelf, day, morning=morning)

    def do(self, action: Action, lawn: str) -> None:
        """Do an action on its day, and write it down."""
        day = action.day
        assert day is not None  # what falls due has a day
        if action.task == WATERING:
            self._water(day, lawn, action.water_mm or 0.0)
        elif action.dose is not None:
            dose = action.dose
            written, amount = _measured(dose.amount, dose.amount_unit, dose.amount_text)
            line = f"{day}  {lawn:<6}  applied {written} of {dose.product}"
            self._lines.append((day, line))
            self.deeds.append(Deed(day, lawn, action.task, dose.product, amount))
            over = time.fromisoformat(action.end) if action.end else time(LAST_HOUR)
            self._plan_to_water_in(day, over, lawn, dose.product)

    def end(self, day: date) -> None:
        """What has to be watered in today gets what rain has not brought by now."""
        for applied, due, lawn, wanted in self._to_water_in:
            if due != day:
                continue
            days = [applied + timedelta(n) for n in range((day - applied).days + 1)]
            had = sum(self.rain.get(one, 0.0) for one in days)
            had += sum(
                deed.water_mm for deed in self.deeds if deed.lawn == lawn and deed.day in days
            )
            if wanted - had >= LEAST_TO_WATER_IN:
                self._water(day, lawn, wanted - had)
        self._to_water_in = [one for one in self._to_water_in if one[1] > day]

    def _plan_to_water_in(self, day: date, over: time, lawn: str, name: str) -> None:
        """On the first day on which sprinklers may run, as the plan counts on it."""
        product = self.shelf.get(name)
        wanted = product.water_in_mm if product is not None else None
        if wanted is None or not self.site.lawn(lawn).irrigated:
            return
        found = sprinklers(self.site, self.site.lawn(lawn), day, over, wanted)
        if found is not None:
            self._to_water_in.append((day, found[0], lawn, wanted))

    def _water(self, day: date, lawn: str, mm: float) -> None:
        """Water to the depth that can be set; what was given on the same day goes into one line,
        since two lines that say the same count once."""
        earlier = next(
            (d for d in self.deeds if (d.day, d.lawn, d.task) == (day, lawn, WATERING)), None
        )
        if earlier is not None:
            self.deeds.remove(earlier)
            self._lines.remove((day, self._watered(earlier)))
            mm += earlier.water_mm
        deed = Deed(day, lawn, WATERING, water_mm=read_quantity(self._depth(mm), Kind.WATER))
        if deed.water_mm > 0:
            self.deeds.append(deed)
            self._lines.append((day, self._watered(deed)))

    def _watered(self, deed: Deed) -> str:
        return f"{deed.day}  {deed.lawn:<6}  watered {self._depth(deed.water_mm)}"

    def _depth(self, mm: float) -> str:
        if self.site.units == "us":
            return f"{convert(mm, Kind.WATER, 'in'):.2f} in"
        return f"{mm:.1f} mm"


def _nothing_known(start: date | None, first: date) -> str:
    """What is assumed of the time before a replay, which the journal does not tell of."""
    if start is None:
        return tell(
            "The journal does not say when it begins, so nothing is known of the time before"
            " {first}; for this replay nothing is taken to have been put down in the year before"
            " it.",
            first=first,
        )
    return tell(
        "The journal begins on {start}, so nothing is known of the time before {first}; for this"
        " replay nothing is taken to have been put down in the year before it.",
        start=start,
        first=first,
    )


def _measured(amount: float, unit: str, text: str) -> tuple[str, Amount]:
    """An amount as it is written, and what that comes to: as the dose has it for people, where
    that says the whole of it."""
    kind = Kind.VOLUME if unit == "L" else Kind.MASS
    plain = text.replace(",", "")
    try:
        read = read_quantity(plain, kind)
    except ValueError:
        read = float("nan")
    if not abs(read - amount) <= _LEEWAY * amount:
        plain = f"{amount:.9g} {unit}"
        read = read_quantity(plain, kind)
    return plain, Amount(read, kind)
