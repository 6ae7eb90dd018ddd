"""One line of an answer by mail, word by word: what is said, of what, of which day, how much.

English and German are read alike, whatever the site speaks: who answers may think in either. A line
is read as a whole or not at all, since a word that is passed over may be a “not”.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum

from advisor.language.words import tell
from advisor.series.quantity import Written
from advisor.site.answer_vocabulary import DAYS_BACK, MONTHS, NOISE, SAYS, UNITS_BY_WORD, WEEKDAYS
from advisor.site.fields import WrongTextError, calendar_day, clock

LONGEST_LINE = 200
"""Characters of a line that is read."""


class Says(StrEnum):
    """What a line can say."""

    DONE = "done"
    SKIPPED = "skipped"
    NOT_YET = "not yet"
    UNDO = "undo"
    RAIN = "rain"
    SOIL = "soil"
    WATERED = "watered"
    SEEN = "seen"


@dataclass
class Line:
    """What a line says; `wrong` is why it cannot be read, empty where it can.

    `lawns`, `tasks` and `products` are those named in it, by name; `every`: all or both are meant.
    """

    text: str
    says: list[Says] = field(default_factory=list)
    days: list[date] = field(default_factory=list)
    amounts: list[Written] = field(default_factory=list)
    minutes: list[int] = field(default_factory=list)
    lawns: set[str] = field(default_factory=set)
    tasks: set[str] = field(default_factory=set)
    products: set[str] = field(default_factory=set)
    sightings: list[str] = field(default_factory=list)
    every: bool = False
    wrong: str = ""

    @property
    def is_empty(self) -> bool:
        """Whether it is mere politeness."""
        told = (self.says, self.days, self.amounts, self.minutes, self.sightings, self.wrong)
        return not any(told)


Names = Mapping[str, tuple[str, str]]
"""From a phrase in small letters to what it names: ("lawn" or "task" or "product", its name)."""


def plain(text: str) -> str:
    """A text as it is compared: NFKC, small letters, one space between words, plain quotes."""
    folded = unicodedata.normalize("NFKC", text).casefold()
    return re.sub(r"\s+", " ", folded.translate(_QUOTES)).strip()


def scan(text: str, said_on: date, names: Names) -> Line:
    """Read one line that was written on a local day. Never raises."""
    line = Line(text.strip())
    if len(text) > LONGEST_LINE:
        line.wrong = tell("it is too long")
        return line
    scanner = _Scanner(plain(text), said_on, names, line)
    try:
        while scanner.rest:
            scanner.step()
    except _UnreadableError as error:
        line.wrong = str(error)
    return line


_QUOTES = {ord(c): "'" for c in "’‘`´"} | {ord(c): '"' for c in "“”„"}
_SEPARATORS = re.compile(r"[\s,.;:!()*'\"–—+_-]+")
_ISO = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}(?![0-9])")
_DOTTED = re.compile(r"([0-9]{1,2})\. ?([0-9]{1,2})\. ?([0-9]{4})(?![0-9])")
_DAY_MONTH = re.compile(r"([0-9]{1,2})(?:\.|st|nd|rd|th)? ([a-zäöü]{3,9})\b\.?(?: ([0-9]{4}))?")
_MONTH_DAY = re.compile(
    r"([a-zäöü]{3,9})\.? ([0-9]{1,2})(?:st|nd|rd|th)?(?![0-9.,:])(?:,? ([0-9]{4}))?"
)
_CLOCK = re.compile(r"(?:at |um )?([0-9]{1,2})(?::([0-9]{2}))?(?: ?(am|pm|uhr)\b)?")
_NUMBER = re.compile(r"-?(?:[0-9]{1,7}(?:[.,][0-9]{1,6})?|\.[0-9]{1,6})(?![0-9.,]*[0-9])")
_WORD = re.compile(r"[^\W\d_]+(?:['-][^\W\d_]+)*")


class _UnreadableError(Exception):
    """Why a line cannot be read, for people."""


class _Scanner:
    def __init__(self, text: str, said_on: date, names: Names, line: Line) -> None:
        self.rest, self.said_on, self.line = text, said_on, line
        self.names = names
        phrases = [*names, *SAYS, *DAYS_BACK, *NOISE]
        self.longest = max((phrase.count(" ") + 1 for phrase in phrases), default=1)

    def step(self) -> None:
        rest = self.rest
        for read in (self._date, self._clock, self._amount, self._phrase):
            if read():
                return
        separator = _SEPARATORS.match(rest)
        if separator is None:
            shown = rest.partition(" ")[0][:40]
            raise _UnreadableError(tell("“{word}” is no word that is known here", word=shown))
        self.rest = rest[separator.end() :]

    def _date(self) -> bool:
        iso = _ISO.match(self.rest)
        if iso is not None:
            try:
                self.line.days.append(calendar_day(iso.group()))
            except WrongTextError as error:
                raise _UnreadableError(str(error)) from None
            self.rest = self.rest[iso.end() :]
            return True
        dotted = _DOTTED.match(self.rest)
        if dotted is not None:
            self._day(int(dotted[1]), int(dotted[2]), dotted[3], dotted.end())
            return True
        first = _DAY_MONTH.match(self.rest)
        if first is not None and first[2] in MONTHS:
            self._day(int(first[1]), MONTHS[first[2]], first[3], first.end())
            return True
        month = _MONTH_DAY.match(self.rest)
        if month is not None and month[1] in MONTHS:
            self._day(int(month[2]), MONTHS[month[1]], month[3], month.end())
            return True
        return False

    def _day(self, day: int, month: int, year: str | None, end: int) -> None:
        """Without its year the newest that is not to come."""
        try:
            found = date(int(year) if year else self.said_on.year, month, day)
            if year is None and found > self.said_on:
                found = found.replace(year=found.year - 1)
        except ValueError:
            shown = self.rest[:end].strip()
            raise _UnreadableError(tell("{day} is not in the calendar", day=shown)) from None
        self.line.days.append(found)
        self.rest = self.rest[end:]

    def _clock(self) -> bool:
        match = _CLOCK.match(self.rest)
        if match is None or not (match[2] or match[3]):
            return False
        hour = int(match[1])
        if match[3] in ("am", "pm"):
            if not 1 <= hour <= 12:
                raise _UnreadableError(tell("{time} is no time of day", time=match.group().strip()))
            hour = hour % 12 + 12 * (match[3] == "pm")
        try:
            self.line.minutes.append(clock(f"{hour:02}:{match[2] or '00'}"))
        except WrongTextError:
            shown = match.group().strip()
            raise _UnreadableError(tell("{time} is no time of day", time=shown)) from None
        self.rest = self.rest[match.end() :]
        return True

    def _amount(self) -> bool:
        match = _NUMBER.match(self.rest)
        if match is None:
            return False
        digits = match.group()
        unit, end = self._unit(match.end())
        if not unit:
            raise _UnreadableError(tell("{number} has no unit that is known here", number=digits))
        whole, _, part = digits.lstrip("-").partition("," if "," in digits else ".")
        thousands = len(part) == 3 and whole not in ("", "0")
        if thousands:
            raise _UnreadableError(tell("{number} can be read in two ways", number=digits))
        self.line.amounts.append(Written(float(digits.replace(",", ".")), unit))
        self.rest = self.rest[end:]
        return True

    def _unit(self, position: int) -> tuple[str, int]:
        """The unit that stands there, the longest that fits, and where it ends."""
        while self.rest[position : position + 1] == " ":
            position += 1
        for word, unit in UNITS_BY_WORD.items():
            end = position + len(word)
            if self.rest.startswith(word, position) and not re.match(
                r"[^\W_]|[/²%°]", self.rest[end : end + 1]
            ):
                return unit, end
        return "", position

    def _phrase(self) -> bool:
        """The longest phrase that begins here and is known."""
        ends: list[int] = []
        for match in _WORD.finditer(self.rest):
            between = self.rest[ends[-1] : match.start()] if ends else self.rest[: match.start()]
            if between not in ((" ", "-") if ends else ("",)) or len(ends) > self.longest:
                break
            ends.append(match.end())
        # A title may hold digits and signs.
        ends += [
            len(phrase)
            for phrase in self.names
            if self.rest.startswith(phrase)
            and not re.match(r"[^\W_]", self.rest[len(phrase) : len(phrase) + 1])
        ]
        for end in sorted(set(ends), reverse=True):
            if self._take(self.rest[:end]):
                self.rest = self.rest[end:]
                return True
        return False

    def _take(self, phrase: str) -> bool:
        line = self.line
        if phrase in self.names:
            kind, name = self.names[phrase]
            {"lawn": line.lawns, "task": line.tasks, "product": line.products}[kind].add(name)
        elif phrase in SAYS:
            kind, value = SAYS[phrase]
            if kind == "says":
                line.says.append(Says(value))
            elif kind == "seen":
                line.sightings.append(value)
            else:
                line.every = True
        elif phrase in DAYS_BACK:
            line.days.append(self.said_on - timedelta(DAYS_BACK[phrase]))
        elif phrase.removeprefix("last ").removeprefix("letzten ") in WEEKDAYS:
            weekday = WEEKDAYS[phrase.removeprefix("last ").removeprefix("letzten ")]
            back = (self.said_on.weekday() - weekday) % 7
            if not back and phrase not in WEEKDAYS:
                back = 7
            line.days.append(self.said_on - timedelta(back))
        else:
            return phrase in NOISE
        return True
