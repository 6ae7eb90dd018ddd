"""A rule file as blocks: a head line each, and the lines that belong to it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from advisor.rulebook.book import RuleFile, RuleKind
from advisor.rulebook.examples import right_line
from advisor.rulebook.fault import LONGEST_SHOWN, Line, LineError, listed
from advisor.site.problem import Problem, closest, nearest

LARGEST_FILE = 200_000
"""Bytes of utf-8 that a rule file may have."""

LONGEST_LINE = LONGEST_SHOWN
"""Characters that a line may have."""

KINDS = tuple(kind.value for kind in RuleKind)
HEADS = (*KINDS, "setting", "trial", "off")
IN_RULE = ("on", "let", "while", "and", "once", "until", "says", "source")
IN_TRIAL = ("take", "answer")


@dataclass
class Block:
    """A head line and its body. `broken`: a line in it could not even be told apart."""

    head: Line
    own: bool
    body: list[Line] = field(default_factory=list)
    broken: bool = False


@dataclass
class Split:
    """The blocks of some files, and what was wrong with their outline."""

    blocks: list[Block] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    lost_hold: bool = False


def split(file: RuleFile, own: bool, into: Split) -> None:
    """Add a file's blocks and problems to `into`.

    `lost_hold` is set when a hold may have been among what could not be read.
    """
    text = file.text.removeprefix("\ufeff")
    if len(text.encode("utf-8", "surrogatepass")) > LARGEST_FILE:
        what = f"the file is larger than {LARGEST_FILE // 1000} kB, so none of it is read"
        into.problems.append(Problem(file.name, 0, 0, what, "Split it into several files."))
        into.lost_hold = True
        return
    block: Block | None = None
    for number, raw in enumerate(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"), 1):
        words = raw.split(maxsplit=1)
        if not words or words[0].startswith("#"):
            continue
        keyword = words[0]
        start = raw.index(keyword) + len(keyword)
        line = Line(file.name, number, raw.rstrip(), keyword, start)
        faulty = _unfit(line, block)
        if keyword in HEADS:
            block = Block(line, own)
            into.blocks.append(block)
        elif block is not None and faulty is None:
            block.body.append(line)
        if faulty is not None:
            into.problems.append(line.problem(faulty))
            if block is not None:
                block.broken = True
            into.lost_hold |= closest(keyword, HEADS) == "holds"


def _unfit(line: Line, block: Block | None) -> LineError | None:
    """What is wrong with a line's place, length or first word."""
    place = (line.keyword_column, len(line.keyword))
    if len(line.text) > LONGEST_LINE:
        hint = "Split it, with “let” or “and” lines."
        return LineError(f"this line is longer than {LONGEST_LINE} characters", *place, hint)
    if line.keyword in HEADS:
        return None
    if line.keyword not in (*IN_RULE, *IN_TRIAL):
        fitting = HEADS if block is None else _within(block)
        close = closest(line.keyword, (*fitting, *HEADS, *IN_RULE, *IN_TRIAL))
        what, hint = f"no line begins with “{line.keyword}”", listed(fitting)
        if line.keyword == "or":
            hint = "“or” stands between the tests of a line: put this at the end of the line above."
            begun = block is not None and any(one.keyword == "while" for one in block.body)
            return LineError(what, *place, hint, example=right_line("and" if begun else "while"))
        usual = "while" if "while" in fitting else fitting[0]
        example = right_line(close or usual, replace(line, keyword=close).named)
        near = nearest(line.keyword, [close])
        return LineError(what, *place, hint, near=near, example=example)
    fits = "a trial" if line.keyword in IN_TRIAL else "a rule"
    stands = "nothing"
    if block is not None:
        stands = block.head.keyword
        if line.keyword in _within(block):
            return None
    what, hint = f"“{line.keyword}” belongs to {fits}, not to {stands}", f"Begin {fits} above it."
    around = "" if block is None or stands == "trial" else block.head.named
    example = right_line("trial", around) if fits == "a trial" else right_line("opens")
    return LineError(what, *place, hint, example=example)


def _within(block: Block) -> tuple[str, ...]:
    """What lines below a head may begin with."""
    if block.head.keyword in KINDS:
        return IN_RULE
    return IN_TRIAL if block.head.keyword == "trial" else HEADS
