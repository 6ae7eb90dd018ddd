"""What a line of the journal can say, as values; each can be written back as the text it was."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from advisor.series.quantity import Kind, Written
from advisor.site.problem import Problem
from advisor.site.words import SIGHTINGS, TASKS

SEEN = tuple(SIGHTINGS)
"""What can be seen on a lawn."""


@dataclass(frozen=True)
class Applied:
    """A product was put down: `written` is what the whole lawn got, a mass or a volume.

    With the `spreader` (or sprayer) that did it, the `mark` at which its opening stood, and how it
    came out: what was `left` of all that had been weighed out when the lawn was covered, or the
    ground [area] by which it fell `short`, since it ran out too soon. Never both.
    """

    written: Written
    product: str
    analysis: str | None = None
    spreader: str | None = None
    mark: str | None = None
    left: Written | None = None
    short: Written | None = None

    @property
    def short_m2(self) -> float:
        """The ground that went without [m2]."""
        return self.short.as_kind(Kind.AREA) if self.short else 0.0

    def __str__(self) -> str:
        end = f" {self.analysis}" if self.analysis else ""
        if self.spreader:
            end += f" with {self.spreader}"
            end += f" at {self.mark}" if self.mark else ""
            end += f", {self.left} left" if self.left else ""
            end += f", {self.short} short" if self.short else ""
        return f"applied {self.written} of {self.product}{end}"


@dataclass(frozen=True)
class Done:
    """Advice was followed; as advised, unless it says what was put down."""

    task: str
    written: Written | None = None
    product: str | None = None

    def __str__(self) -> str:
        end = f" {self.written} of {self.product}" if self.written else ""
        return f"done {self.task}{end}"


@dataclass(frozen=True)
class Skipped:
    """Advice will not be followed."""

    task: str

    def __str__(self) -> str:
        return f"skipped {self.task}"


@dataclass(frozen=True)
class NotYet:
    """Advice has not been followed so far."""

    task: str

    def __str__(self) -> str:
        return f"not yet {self.task}"


@dataclass(frozen=True)
class Last:
    """When a task was last done before this line; None when that is not known."""

    task: str
    day: date | None

    def __str__(self) -> str:
        return f"last {self.task} {self.day or 'not known'}"


@dataclass(frozen=True)
class Rain:
    """What the gauge holds: the rain since the last gauge line."""

    written: Written

    @property
    def mm(self) -> float:
        return self.written.as_kind(Kind.WATER)

    def __str__(self) -> str:
        return f"rain {self.written}"


@dataclass(frozen=True)
class Watered:
    """Irrigation of that day."""

    written: Written

    @property
    def mm(self) -> float:
        return self.written.as_kind(Kind.WATER)

    def __str__(self) -> str:
        return f"watered {self.written}"


@dataclass(frozen=True)
class Soil:
    """A soil thermometer's reading; `minute` after midnight where the time was noted."""

    written: Written
    depth: Written
    minute: int | None = None

    @property
    def celsius(self) -> float:
        return self.written.as_kind(Kind.TEMPERATURE)

    @property
    def depth_m(self) -> float:
        return self.depth.as_kind(Kind.LENGTH)

    def __str__(self) -> str:
        end = "" if self.minute is None else f", {self.minute // 60:02}:{self.minute % 60:02}"
        return f"soil {self.written} at {self.depth}{end}"


@dataclass(frozen=True)
class Mowed:
    height: Written | None = None

    @property
    def height_m(self) -> float | None:
        return self.height.as_kind(Kind.LENGTH) if self.height else None

    def __str__(self) -> str:
        return f"mowed at {self.height}" if self.height else "mowed"


@dataclass(frozen=True)
class Aerated:
    """Plugs were pulled."""

    def __str__(self) -> str:
        return "aerated"


@dataclass(frozen=True)
class Dethatched:
    """Thatch was raked or cut out."""

    def __str__(self) -> str:
        return "dethatched"


@dataclass(frozen=True)
class Seeded:
    """Seed was put down; `seed` in the owner's words, may be empty."""

    seed: str = ""

    def __str__(self) -> str:
        return f"seeded with {self.seed}" if self.seed else "seeded"


@dataclass(frozen=True)
class Laid:
    """Sod was laid; `sod` in the owner's words, may be empty."""

    sod: str = ""

    def __str__(self) -> str:
        return f"laid {self.sod}" if self.sod else "laid"


@dataclass(frozen=True)
class Seen:
    """Something seen: one of `SEEN`."""

    what: str

    def __str__(self) -> str:
        return f"seen {self.what}"


@dataclass(frozen=True)
class SoilTest:
    """What a soil test says: `of` is one of `words.TESTS`, `result` one of its words."""

    of: str
    result: str

    def __str__(self) -> str:
        return f"tested {self.of} {self.result}"


@dataclass(frozen=True)
class StormWatch:
    """A storm, flood or tropical watch or warning: in force up to and with `until`; None: over."""

    until: date | None

    def __str__(self) -> str:
        return f"watch until {self.until}" if self.until else "watch over"


@dataclass(frozen=True)
class Undo:
    """Cancels the one line of that day, for that lawn, that begins with those words."""

    day: date
    words: str

    def __str__(self) -> str:
        return f"undo {self.day} {self.words}"


What = (
    Applied
    | Done
    | Skipped
    | NotYet
    | Last
    | Rain
    | Watered
    | Soil
    | Mowed
    | Aerated
    | Dethatched
    | Seeded
    | Laid
    | Seen
    | SoilTest
    | StormWatch
    | Undo
)


def record_of(what: What) -> str | None:
    """What a line records by itself: a deed of `words.DEEDS`, a sighting, or the soil test
    "phosphorus-test" or "lime-test"; None for tasks and all else."""
    match what:
        case Mowed():
            return "mowing"
        case Aerated():
            return "aeration"
        case Dethatched():
            return "dethatching"
        case Seen():
            return what.what
        case SoilTest():
            return f"{what.of}-test"
    return None


@dataclass(frozen=True)
class Entry:
    """One line that could be read. `lawn` is the word on the line, a name or "all"."""

    day: date
    lawn: str
    lawns: tuple[str, ...]
    what: What
    file: str
    line: int
    text: str

    def may_tell(self, lawn: str, name: str) -> bool:
        """Whether it may tell of a task (by what was put down), or tells of what `record_of`
        names, on that lawn."""
        task = name in TASKS and isinstance(self.what, Applied | Done)
        return lawn in self.lawns and (task or record_of(self.what) == name)


@dataclass(frozen=True)
class Unreadable:
    """A line that could not be read. `day` is None where not even its date could.

    `lawns` are those it may speak of. `tells` names what it may speak of, tasks and what
    `record_of` names; None for anything. `application`: whether it may say that something was
    put down.
    """

    day: date | None
    lawns: tuple[str, ...]
    file: str
    line: int
    text: str
    problem: Problem
    tells: frozenset[str] | None = None
    application: bool = True

    def may_tell(self, lawn: str, name: str) -> bool:
        """Whether it may speak of that task or record on that lawn."""
        return lawn in self.lawns and (self.tells is None or name in self.tells)


@dataclass(frozen=True)
class Question:
    """A line that is no fact until the owner says so: a day still to come, or an exact repeat."""

    entry: Entry
    problem: Problem
    future: bool
