"""A checked rulebook as values: rules, settings, trials, and what was wrong with the text."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from advisor.language.words import later
from advisor.rulebook.tree import Either, FactValue, Number, Since, Window, fact_name, reads
from advisor.series.quantity import Written
from advisor.site.problem import Problem

UNREAD_HOLD = later("The hold {rule} cannot be read: mend it in {file}, from line {line} on.")
"""What a hold says that could not be read."""


@dataclass(frozen=True)
class RuleFile:
    """A rule file as text; `name` is what its owner calls it, for messages."""

    name: str
    text: str


class RuleKind(StrEnum):
    OPENS = "opens"
    HOLDS = "holds"
    WATERS = "waters"
    NOTES = "notes"


class Keyword(StrEnum):
    """What a condition is for. `AND` lines are grouped under the keyword before them."""

    WHILE = "while"
    ONCE = "once"
    UNTIL = "until"


@dataclass(frozen=True)
class Setting:
    """A named quantity; `apart` makes a temperature a difference of temperatures."""

    name: str
    written: Written
    apart: bool
    file: str
    line: int
    own: bool = False


@dataclass(frozen=True)
class Condition:
    """One condition line of a rule. `word` is the line's own first word, maybe `and`; `text` what
    follows it, as in the file."""

    keyword: Keyword
    word: str
    text: str
    test: Either
    line: int


@dataclass(frozen=True)
class Placeholder:
    """A `{name}` in a `says` line, and what it stands for."""

    name: str
    value: Number


@dataclass(frozen=True)
class Rule:
    """One rule.

    `tasks` are what it speaks of (`everything put down` expanded), `on` grasses or classes (empty:
    all). `conditions` stand in the order of the file; `sentence` is `says`, taken apart. A
    `broken` rule is a hold that could not be read: it holds for as long as it is not mended.
    `own`: from the owner's files. `lets` are its let lines, each a name and what it stands for, as
    in the file. `hourly`: it is asked hour by hour. `unread_hold`: of a broken one, its name in the
    file.
    """

    name: str
    kind: RuleKind
    tasks: tuple[str, ...]
    on: tuple[str, ...]
    says: str
    source: str
    file: str
    line: int
    conditions: tuple[Condition, ...] = ()
    sentence: tuple[str | Placeholder, ...] = ()
    broken: bool = False
    own: bool = False
    lets: tuple[tuple[str, str], ...] = ()
    hourly: bool = False
    unread_hold: str = ""

    def speaks_of(self, grass: str, grass_class: str) -> bool:
        """Whether the rule is for a lawn of this grass, of this class."""
        return not self.on or grass in self.on or grass_class in self.on

    def under(self, keyword: Keyword) -> tuple[Condition, ...]:
        """The conditions of one keyword, its `and` lines included."""
        return tuple(c for c in self.conditions if c.keyword is keyword)

    @property
    def facts(self) -> tuple[str, ...]:
        """Names of the facts that its conditions read, sorted; `days since …` included."""
        found = {fact_name(leaf) for c in self.conditions for leaf, _ in reads(c.test)}
        return tuple(sorted(found))


class Answer(StrEnum):
    YES = "yes"
    NO = "no"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True)
class Take:
    """A fact that a trial sets: a number between `low` and `high`, or the word of `code`, on
    `days` beside it; they are hours where `hours`."""

    fact: FactValue | Since | str
    low: float
    high: float
    code: int
    days: Window
    hours: bool = False


@dataclass(frozen=True)
class Trial:
    """A question to one rule, on days on which only `takes` are known."""

    rule: str
    takes: tuple[Take, ...]
    answer: Answer
    file: str
    line: int
    own: bool = False


@dataclass(frozen=True)
class Rulebook:
    """All rules in force, in the order of the files (the owner's last).

    `holds_everything`: something that may have been a hold could not be read, so everything that
    is put down waits until `problems` are mended. `off`: the shipped rules that the owner has
    switched off, with the file and line that say so.
    """

    rules: dict[str, Rule]
    settings: dict[str, Setting]
    trials: tuple[Trial, ...]
    problems: tuple[Problem, ...]
    holds_everything: bool = False
    off: dict[str, tuple[str, int]] = field(default_factory=dict)
