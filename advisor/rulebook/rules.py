"""One rule from its block: head, lines, conditions, sentence."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import cast

from lark import Token

from advisor.conditions.vocabulary import FACTS
from advisor.rulebook.blocks import Block
from advisor.rulebook.book import Condition, Keyword, Placeholder, Rule, RuleKind, Setting
from advisor.rulebook.build import Builder, SilentError
from advisor.rulebook.examples import right_line
from advisor.rulebook.fault import LET, NAME, Line, LineError, unknown
from advisor.rulebook.grammar import Syntax, parse
from advisor.rulebook.kinds import choose, of_setting
from advisor.rulebook.lexing import WORDS
from advisor.rulebook.tree import Constant, Node, within
from advisor.rulebook.whole import contradictions, unused_let
from advisor.site.problem import Problem, nearest
from advisor.site.words import COOL, GRASSES, PRODUCT_KINDS, PUT_DOWN, TASKS, WARM

_RECALLED = re.compile(
    r"\b(?:from|by)[\s-]+(?:(?:my|our)\s+)?memory\b"
    r"|\b(?:remember(?:s|ed|ing)?|recalled|[iw]e?\s+recall|recollect\w*)\b(?![^;]*\bnarrow)",
    re.IGNORECASE,
)
"""That a number is only recalled; a clause may say so of one that narrows."""

_PRACTICE = re.compile(r"\s*(common\s+practice)\b", re.IGNORECASE)
"""A source that begins so is none."""

_BRACES = re.compile(r"\{\{|\}\}|\{(?P<name>[^{}]*)\}|(?P<lone>\{)")


@dataclass
class Read:
    """What came of a rule's block. `rule` is None when not even its head could be read.

    `used` are the settings that it names.
    """

    rule: Rule | None = None
    problems: list[Problem] = field(default_factory=list)
    used: frozenset[str] = frozenset()
    warnings: list[Problem] = field(default_factory=list)


def name_fault(token: Token) -> LineError | None:
    """What is wrong with a name of a rule or setting."""
    if NAME.fullmatch(token):
        return None
    column = token.column or 1
    hint = "Names are of a-z, 0-9 and hyphens, and start with a letter."
    return LineError(f"“{token}” is no name", column, len(token), hint)


class RuleReader:
    """Reads one block. Trees are parsed once; `read` may be asked again with other settings."""

    def __init__(self, block: Block) -> None:
        self.block = block
        self.kind = RuleKind(block.head.keyword)
        # A head that cannot be read still tells how its lines are meant.
        self.hourly = " hour by hour" in " ".join(block.head.text.split("#")[0].split())
        self.outline: list[Problem] = []
        self.rule: Rule | None = None
        self._trees: list[tuple[Keyword | None, Line, Syntax]] = []
        self._texts: dict[str, Line] = {}
        self._on: tuple[str, ...] = ()
        self._head()
        self._lines()

    def _head(self) -> None:
        line = self.block.head
        try:
            tree = parse(line, "head")
        except LineError as fault:
            self.outline.append(line.problem(fault))
            return
        name, tasks, hourly = cast("tuple[Token, Syntax, Token | None]", tuple(tree.children))
        faults = [name_fault(name)]
        spoken: tuple[str, ...] = ()
        for task in cast("list[Token]", tasks.children):
            if task.type == "EVERYTHING":
                spoken += PUT_DOWN
                continue
            faults.append(self._task_fault(task))
            spoken += (str(task),)
        found = [fault for fault in faults if fault is not None]
        self.outline += [line.problem(fault) for fault in found]
        known = tuple(task for task in dict.fromkeys(spoken) if self._speaks(task))
        if known and len(known) == len(dict.fromkeys(spoken)):
            self.rule = Rule(
                str(name), self.kind, known, (), "", "", line.file, line.number,
                own=self.block.own, hourly=hourly is not None,
            )  # fmt: skip

    def _speaks(self, task: str) -> bool:
        if self.kind is RuleKind.HOLDS and task in PRODUCT_KINDS:
            return True
        return task in TASKS or self.kind is RuleKind.NOTES

    def _task_fault(self, task: Token) -> LineError | None:
        place = (task.column or 1, len(task))
        if not self._speaks(task):
            known = (*TASKS, *PRODUCT_KINDS) if self.kind is RuleKind.HOLDS else tuple(TASKS)
            return unknown(f"no task is called “{task}”", task.column or 1, task, known)
        if self.kind is RuleKind.WATERS and task != "watering":
            return LineError("a waters rule is for watering only", *place)
        if self.kind is RuleKind.OPENS and task == "watering":
            example = right_line("waters", self.block.head.named)
            what = "nothing opens watering; a waters rule asks for it"
            return LineError(what, *place, example=example)
        return None

    def _lines(self) -> None:
        last: Keyword | None = None
        for line in self.block.body:
            try:
                last = self._line(line, last)
            except LineError as fault:
                self.outline.append(line.problem(fault))
                if line.keyword in tuple(Keyword):
                    last = Keyword(line.keyword)
        if not any(line.keyword == "while" for line in self.block.body):
            self._missing("while")
        for word in ("says", "source"):
            if word not in self._texts:
                self._missing(word)
        self._memory()

    def _line(self, line: Line, last: Keyword | None) -> Keyword | None:
        """Take one line in; return the keyword that a following `and` belongs to."""
        word = line.keyword
        if word in ("says", "source"):
            if word in self._texts:
                raise LineError(f"a second “{word}”", line.keyword_column, len(word), "Keep one.")
            self._texts[word] = line
            if not line.rest:
                what = "What it says to the owner" if word == "says" else "Who says so, and where"
                hint = f"{what} stands after it."
                raise LineError(f"“{word}” says nothing", line.keyword_column, len(word), hint)
            return None
        if word == "on":
            self._grasses(line)
            return None
        if word == "let":
            self._trees.append((None, line, parse(line, "let")))
            return None
        if word == "and":
            if last is None:
                hint = "Put it right after a while, once, until or and line."
                raise LineError("“and” follows no condition", line.keyword_column, 3, hint)
            keyword = last
        else:
            keyword = Keyword(word)
            self._allow(line, keyword)
        self._trees.append((keyword, line, parse(line, "either")))
        return keyword

    def _allow(self, line: Line, keyword: Keyword) -> None:
        place = (line.keyword_column, len(keyword))
        if keyword is not Keyword.WHILE and self.kind is not RuleKind.OPENS:
            what = f"only an opens rule has “{keyword}”, a {self.kind} rule has not"
            hint = "Say it with “while” and “and”."
            raise LineError(what, *place, hint, example=right_line("and"))
        if keyword is not Keyword.WHILE and self.hourly:
            hint = "Say it with “while” and “and”."
            raise LineError(
                f"an hour rule has no “{keyword}”", *place, hint, example=right_line("and")
            )
        first = next(other for other in self.block.body if other.keyword == keyword)
        if first is not line:
            hint = "Go on with an “and” line."
            raise LineError(f"a second “{keyword}”", *place, hint, example=right_line("and"))

    def _grasses(self, line: Line) -> None:
        if self._on:
            raise LineError("a second “on”", line.keyword_column, 2, "Put all grasses on one line.")
        names = cast("list[Token]", parse(line, "grasses").children)
        known = (COOL, WARM, *GRASSES)
        for name in names:
            if name not in known:
                raise unknown(f"no grass is called “{name}”", name.column or 1, name, known)
        self._on = tuple(str(name) for name in names)

    def _missing(self, word: str) -> None:
        if self.block.broken:  # it may be the line that could not be told apart
            return
        head = self.block.head
        what, hint = f"this rule has no “{word}” line", "Add one below."
        self.outline.append(head.whole(what, hint, example=right_line(word)))

    def _memory(self) -> None:
        source = self._texts.get("source")
        if self.kind is not RuleKind.OPENS or source is None:
            return
        hint = "Name a source that was read, or make it a holds rule."
        if found := _RECALLED.search(source.text, source.start):
            what, (at, end) = (
                "a number that is only recalled may hold, but never open",
                found.span(),
            )
        elif found := _PRACTICE.match(source.text, source.start):
            what = "common practice alone may hold, but never open"
            at, end = found.span(1)
        else:
            return
        self.outline.append(source.problem(LineError(what, at + 1, end - at, hint)))

    def _let_texts(self) -> Iterator[tuple[str, str]]:
        for keyword, line, _ in self._trees:
            if keyword is None:
                name, meaning = re.split(r"\s+be\b\s*", _as_written(line), maxsplit=1)
                yield name, meaning

    def read(self, settings: Mapping[str, Setting | None], pool: dict[Node, Node]) -> Read:
        """The rule with these settings (None: one that could not be read)."""
        builder = Builder(settings, pool, self.hourly)
        problems = list(self.outline)
        conditions: list[Condition] = []
        lines: list[Line] = []
        lets: list[tuple[Token, Line]] = []
        broken = self.block.broken
        for keyword, line, tree in self._trees:
            if keyword is None:
                problems += _let(builder, line, tree)
                lets.append((cast(Token, tree.children[0]), line))
                continue
            test, faults = builder.either(tree)
            problems += [line.problem(fault) for fault in faults]
            broken |= test is None
            if test is not None:
                text = _as_written(line)
                conditions.append(Condition(keyword, line.keyword, text, test, line.number))
                lines.append(line)
        broken |= None in builder.lets.values()
        says = self._texts.get("says")
        sentence, faults = _sentence(says, builder, conditions) if says else ((), [])
        if says:
            problems += [says.problem(fault) for fault in faults]
        if not problems and not broken:
            problems += contradictions(conditions, lines)
        unused = [(name, line) for name, line in lets if name not in builder.used_lets]
        warnings = [] if problems or broken else [unused_let(name, line) for name, line in unused]
        rule = self.rule
        if rule is not None:
            texts = {word: line.rest for word, line in self._texts.items()}
            rule = replace(rule, on=self._on, says=texts.get("says", ""))
            rule = replace(rule, source=texts.get("source", ""), sentence=sentence)
            rule = replace(rule, lets=tuple(self._let_texts()))
            if problems or broken:  # a hold that cannot be read holds every lawn of its tasks
                rule = replace(rule, on=(), conditions=(), sentence=(), broken=True)
            else:
                rule = replace(rule, conditions=tuple(conditions))
        return Read(rule, problems, frozenset(builder.used), warnings)


def _as_written(line: Line) -> str:
    """What follows a line's first word, without a comment."""
    return line.text[line.start :].split("#", 1)[0].strip()


def _let(builder: Builder, line: Line, tree: Syntax) -> list[Problem]:
    name, value = cast("tuple[Token, Syntax]", tuple(tree.children))
    place = (name.column or 1, len(name))
    try:
        if not LET.fullmatch(name):
            hint = "Lets are of a-z, 0-9 and _, and start with a letter."
            example = right_line("let", _free(name, builder))
            raise LineError(f"“{name}” is no name of a let", *place, hint, example=example)
        if name in builder.lets or name in FACTS:
            taken = (
                f"a second let “{name}”" if name in builder.lets else f"“{name}” is a fact already"
            )
            example = right_line("let", _free(name, builder))
            raise LineError(taken, *place, "Give the let another name.", example=example)
        builder.lets[str(name)] = None
        builder.lets[str(name)] = builder.number(value)
    except LineError as fault:
        return [line.problem(fault)]
    except SilentError:
        return []
    return []


def _free(name: str, builder: Builder) -> str:
    """A name like another that a let of this rule may have."""
    name = re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_0123456789")[:40] or "value"
    while name in builder.lets or name in FACTS or name in WORDS:
        name = f"the_{name}"
    return name


def _sentence(
    line: Line, builder: Builder, conditions: list[Condition]
) -> tuple[tuple[str | Placeholder, ...], list[LineError]]:
    """A `says` line taken apart at its placeholders."""
    start = line.text.index(line.rest, line.start) if line.rest else line.start
    text = line.text[start:].rstrip()
    parts: list[str | Placeholder] = []
    faults: list[LineError] = []
    end = 0
    example = right_line("says", next(iter([*builder.lets, *builder.settings]), ""))
    for found in _BRACES.finditer(text):
        parts.append(text[end : found.start()])
        end = found.end()
        column, name = start + found.start() + 1, found["name"]
        if found["lone"]:
            hint = "A name stands in braces; a brace itself is written {{."
            faults.append(LineError("this brace is not closed", column, 1, hint, example=example))
        elif name is None:
            parts.append(found[0][0])
        elif name in builder.lets:
            builder.used_lets.add(name)
            value = builder.lets[name]
            if value is not None:
                parts.append(Placeholder(name, value))
        elif name in builder.settings:
            setting = builder.settings[name]
            if setting is not None:
                builder.used.add(name)
                parts.append(Placeholder(name, _as_used(setting, conditions)))
        else:
            near = nearest(name, [*builder.lets, *builder.settings])
            what, hint = (
                f"nothing is called “{name}”",
                "Braces hold a let of this rule or a setting.",
            )
            place = column, len(name) + 2
            faults.append(LineError(what, *place, hint, near=near, example=example))
    parts.append(text[end:])
    return tuple(part for part in parts if part), faults


def _as_used(setting: Setting, conditions: list[Condition]) -> Constant:
    """A setting as its rule uses it: `2 in` may be a length there, or a depth of water."""
    for condition in conditions:
        for node in within(condition.test):
            if isinstance(node, Constant) and node.name == setting.name:
                return node
    kind = choose(of_setting(setting))
    return Constant(setting.written.as_kind(kind), kind, setting.written.unit, setting.name)
