"""The journal: what was done and seen, line by line, and what could not be read of it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from advisor.site.facts import (
    Applied,
    Done,
    Entry,
    Last,
    Question,
    StormWatch,
    Undo,
    Unreadable,
    What,
)
from advisor.site.journal_line import (
    MAY_APPLY,
    VERBS,
    LineError,
    Token,
    read_day,
    read_lawn,
    read_what,
    tokens,
)
from advisor.site.problem import Problem
from advisor.site.reading import clean, clean_text
from advisor.site.shelf import Shelf
from advisor.site.words import DEEDS, SIGHTINGS, STORM_WATCH, TASKS, TESTS

LONGEST = 400
"""The most characters of a line."""

_ANSWERS = "answers.txt"


@dataclass(frozen=True)
class Journal:
    """All lines of the journal's files.

    `start`: the day from which it tells all that was done; None when no line says so. `entries`
    are the facts by day, those undone left out. `today` is the day it was read for.
    """

    start: date | None = None
    entries: tuple[Entry, ...] = ()
    unreadable: tuple[Unreadable, ...] = ()
    questions: tuple[Question, ...] = ()
    problems: tuple[Problem, ...] = ()
    today: date | None = None

    # A plan asks for each product and day; the journal stays the same meanwhile.
    @cached_property
    def spread(self) -> tuple[Entry, ...]:
        """The entries that name the spreader or sprayer that a product went down with."""
        return tuple(
            entry
            for entry in self.entries
            if isinstance(entry.what, Applied) and entry.what.spreader is not None
        )


def read_journal(
    texts: Mapping[str, str], *, lawns: Sequence[str], shelf: Shelf, today: date | None
) -> Journal:
    """Read the journal's files, in the order given, as one journal.

    Nothing that stands in a text makes this raise: a line that cannot be read is kept, with its
    problem. Lines dated after `today` are questions; None asks nothing.
    """
    reader = _Reader(tuple(lawns), shelf, today)
    for file, text in texts.items():
        lines = text.removeprefix("\N{ZERO WIDTH NO-BREAK SPACE}").split("\n")
        for number, line in enumerate(lines, start=1):
            reader.read(file, number, line.removesuffix("\r"))
    return reader.journal(next(iter(texts), "journal.txt"))


def write_line(day: date, lawn: str, what: What) -> str:
    """The line of the journal that says `what`, without its line end.

    Raises ValueError for words that a line cannot carry (a comment sign, a line break).
    """
    line = f"{day}  {lawn:<6}  {what}"
    if [word.text for word in tokens(line)] != line.split() or not line.isprintable():
        raise ValueError(f"a line of the journal cannot carry this: {line!r}")
    return line


def check_line(
    line: str, *, lawns: Sequence[str], shelf: Shelf, today: date | None
) -> Entry | Problem:
    """One line before it is written: its entry, or what is wrong with it.

    Whether the same line stands in the journal already is not known here.
    """
    reader = _Reader(tuple(lawns), shelf, today)
    try:
        if len(line) > LONGEST or "\n" in line:
            raise LineError(f"one line of at most {LONGEST} characters was expected", 0)
        if not tokens(line):
            raise LineError("the line says nothing", 0, 1, "Right: 2026-04-12 front mowed at 3 in")
        entry = reader.entry(line)
        if today is not None and entry.day > today:
            raise LineError(f"{entry.day} is still to come", 0, 10, "Write what was done.")
    except LineError as error:
        return reader.problem("", 1, line[:LONGEST], error)
    return entry


class _Reader:
    def __init__(self, lawns: tuple[str, ...], shelf: Shelf, today: date | None) -> None:
        self.lawns = lawns
        self.shelf = shelf
        self.today = today
        self.starts: list[date] = []
        self.entries: list[Entry] = []
        self.unreadable: list[Unreadable] = []
        self.questions: list[Question] = []
        self.problems: list[Problem] = []
        self.seen: set[tuple[date, str, str]] = set()

    def read(self, file: str, number: int, line: str) -> None:
        words = tokens(line) if len(line) <= LONGEST else []
        if len(line) > LONGEST:
            error = LineError(f"the line is longer than {LONGEST} characters", 0)
            self._keep_unreadable(file, number, line[:LONGEST], [], error)
        elif not words:
            return
        elif words[0].text == "journal":
            self._read_start(file, number, line, words)
        else:
            self._read_entry(file, number, line, words)

    def entry(self, line: str, file: str = "", number: int = 1) -> Entry:
        """The entry of a line. Raises LineError."""
        words = tokens(line)
        end = words[-1].column + len(words[-1].text)
        odd = next((n for n, c in enumerate(line[:end]) if not c.isprintable() and c != "\t"), None)
        if odd is not None:
            raise LineError(
                "a character here cannot be read", odd, hint="Save the file as UTF-8 text."
            )
        day = read_day(words[0])
        if len(words) < 2:
            raise LineError("a lawn was expected at the end", end, hint="Right: 2026-04-12 front …")
        lawns = read_lawn(words[1], self.lawns)
        what = read_what(line, words[2:], self.shelf)
        text = " ".join(word.text for word in words[2:])
        if isinstance(what, Last) and what.day is not None and what.day > day:
            raise LineError(f"{what.day} comes after the line's own day", words[-1].column, 10)
        if isinstance(what, Undo) and what.day > day:
            raise LineError(f"{what.day} comes after the line's own day", words[3].column, 10)
        if isinstance(what, StormWatch) and what.until is not None and what.until < day:
            raise LineError(f"{what.until} comes before the line's own day", words[-1].column, 10)
        measured = isinstance(what, Applied) or (isinstance(what, Done) and what.written)
        if measured and len(lawns) > 1:
            raise LineError(
                "an amount is of one lawn, and “all” are several",
                words[1].column,
                3,
                "Write a line for each lawn with what was put on it.",
            )
        return Entry(day, words[1].text, lawns, what, file, number, text)

    def _read_start(self, file: str, number: int, line: str, words: list[Token]) -> None:
        right = "Right: journal from 2026-03-01"
        try:
            if [word.text for word in words[1:2]] != ["from"] or len(words) != 3:
                raise LineError("“journal from” and a date were expected", words[0].column, 7)
            if file == _ANSWERS:
                raise LineError("an answer cannot say where the journal begins", 0, 7)
            self.starts.append(read_day(words[2]))
            if len(self.starts) > 1:
                raise LineError("the journal says where it begins already", words[0].column, 12)
        except LineError as error:
            self.problem(file, number, line, error, right)

    def _read_entry(self, file: str, number: int, line: str, words: list[Token]) -> None:
        try:
            entry = self.entry(line, file, number)
        except LineError as error:
            self._keep_unreadable(file, number, line, words, error)
            return
        key = (entry.day, entry.lawn, entry.text)
        if self.today is not None and entry.day > self.today:
            what = f"{entry.day} is still to come"
            self._ask(entry, line, LineError(what, words[0].column, 10, _MEND), future=True)
        elif key in self.seen:
            what = "the same line stands above; it counts once"
            self._ask(entry, line, LineError(what, words[0].column, 10, _TWICE), future=False)
        else:
            self.seen.add(key)
            self.entries.append(entry)

    def _ask(self, entry: Entry, line: str, error: LineError, *, future: bool) -> None:
        problem = self.problem(entry.file, entry.line, line, error, warning=True)
        self.questions.append(Question(entry, problem, future))

    def problem(
        self,
        file: str,
        number: int,
        line: str,
        error: LineError,
        hint: str = "",
        warning: bool = False,
    ) -> Problem:
        """Note what is wrong with a line, and give it."""
        shown = clean(line)
        column = error.column + 1 if error.column < len(shown) + 1 else 0
        width = max(1, min(error.width, len(shown) - column + 1))
        problem = Problem(
            file, number, column, clean_text(str(error)), error.hint or hint, shown, width, warning
        )
        self.problems.append(problem)
        return problem

    def _keep_unreadable(
        self, file: str, number: int, line: str, words: list[Token], error: LineError
    ) -> None:
        """Keep the line with all that can still be told of it; what cannot may be anything."""
        problem = self.problem(file, number, line, error, "It counts as unknown until mended.")
        day, lawns, tells, application = None, self.lawns, None, True
        said = [word.text for word in words]
        if words:
            try:
                day = read_day(words[0])
            except LineError:
                said = ["", *said] if not re.match("[0-9]", words[0].text) else said
        if day is not None and self.today is not None and day > self.today:
            day = None
        if len(said) > 1 and said[1] in self.lawns:
            lawns = (said[1],)
        known = len(said) > 1 and (said[1] == "all" or said[1] in self.lawns)
        verb = said[2] if known and len(said) > 2 else ""
        if verb in VERBS:
            application = verb in MAY_APPLY
            tells = _tells(verb, said[3:])
        text = " ".join(said[2:])
        self.unreadable.append(
            Unreadable(day, lawns, file, number, text, problem, tells, application)
        )

    def journal(self, first_file: str) -> Journal:
        undone = self._undone()
        facts = [
            entry
            for entry in self.entries
            if not isinstance(entry.what, Undo) and (entry.file, entry.line) not in undone
        ]
        left = [line for line in self.unreadable if (line.file, line.line) not in undone]
        gone = {line.problem for line in self.unreadable} - {line.problem for line in left}
        if not self.starts:
            self.problems.append(
                Problem(
                    first_file,
                    0,
                    0,
                    "no line says from when the journal tells all that was done",
                    "Without it nothing that was done before is known."
                    " Write: journal from 2026-03-01",
                    warning=True,
                )
            )
        return Journal(
            max(self.starts, default=None),
            tuple(sorted(facts, key=lambda entry: entry.day)),
            tuple(left),
            tuple(self.questions),
            tuple(problem for problem in self.problems if problem not in gone),
            self.today,
        )

    def _undone(self) -> set[tuple[str, int]]:
        """The file and line of each line that an undo cancels."""
        undone: set[tuple[str, int]] = set()
        undos = [entry for entry in self.entries if isinstance(entry.what, Undo)]
        if not undos:
            return undone
        by_day: dict[date | None, list[tuple[tuple[str, int], str | None, str]]] = {}
        for entry in self.entries:
            if not isinstance(entry.what, Undo):
                place = (entry.file, entry.line)
                by_day.setdefault(entry.day, []).append((place, entry.lawn, entry.text))
        for line in self.unreadable:
            lawn = line.lawns[0] if len(line.lawns) == 1 else None
            by_day.setdefault(line.day, []).append(((line.file, line.line), lawn, line.text))
        for entry in undos:
            assert isinstance(entry.what, Undo)
            words = entry.what.words
            found = [
                place
                for place, lawn, text in by_day.get(entry.what.day, [])
                if lawn in (entry.lawn, None)
                and (text == words or text.startswith(f"{words} "))
                and place not in undone
            ]
            if len(found) == 1:
                undone.add(found[0])
                continue
            what = (
                "more than one line begins with these words"
                if found
                else f"no line of {entry.what.day} for {entry.lawn} begins with these words"
            )
            error = LineError(what, 0, 1, "It undoes nothing until mended.")
            self.problem(entry.file, entry.line, f"{entry.day} {entry.lawn} {entry.text}", error)
        return undone


_MEND = "Mend the date, or wait for that day: until then the line counts for nothing."
_TWICE = "If it was done twice, write one line with the sum."


_TELLS: dict[str, Iterable[str]] = {
    "applied": TASKS,  # what was put down may serve any
    "done": TASKS,
    "last": TASKS,
    "seeded": ("overseed",),
    "watered": ("watering",),
    "mowed": DEEDS,
    "aerated": DEEDS,
    "dethatched": DEEDS,
    "seen": SIGHTINGS,
    "tested": [f"{of}-test" for of in TESTS],
    "watch": (STORM_WATCH,),
}


def _tells(verb: str, rest: Sequence[str]) -> frozenset[str]:
    """What a line with that verb may speak of, see `Unreadable`."""
    if verb == "last" or (verb == "done" and len(rest) == 1):
        named = frozenset(rest[:1]) & frozenset(TASKS)
        return named or frozenset(TASKS)
    return frozenset(_TELLS.get(verb, ()))
