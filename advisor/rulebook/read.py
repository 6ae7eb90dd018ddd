"""Rule files into one checked rulebook: the shipped files, and over them the owner's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import cast

from lark import Token

from advisor.rulebook.blocks import KINDS, Block, Split, split
from advisor.rulebook.book import Rule, Rulebook, RuleFile, RuleKind, Setting, Trial
from advisor.rulebook.fault import LineError
from advisor.rulebook.grammar import parse
from advisor.rulebook.kinds import named, of_setting
from advisor.rulebook.rules import Read, RuleReader, name_fault
from advisor.rulebook.tree import Node
from advisor.rulebook.trials import read_trial
from advisor.series.quantity import Kind, Written
from advisor.site.problem import Problem, nearest

Settings = dict[str, Setting | None]


def read_rulebook(files: Sequence[RuleFile], *, own: Sequence[RuleFile] = ()) -> Rulebook:
    """Read and check rule files; never raises for what is written in them.

    All problems of all files are in the result, in the order of the files. An `own` rule or
    setting replaces the shipped one of its name, unless it is broken: then the shipped one stays
    in force. A broken hold that replaces nothing holds its tasks; one whose tasks cannot be read
    holds everything that is put down.
    """
    reading = _Reading()
    for file in files:
        split(file, False, reading.outline)
    for file in own:
        split(file, True, reading.outline)
    reading.settings()
    reading.rules()
    reading.switched_off()
    trials = reading.trials()
    order = {name: i for i, name in enumerate(f.name for f in (*files, *own))}
    problems = [*reading.outline.problems, *reading.problems]
    problems.sort(key=lambda p: (order.get(p.file, 0), p.line, p.column))
    return Rulebook(
        reading.in_force,
        {name: s for name, s in reading.known.items() if s is not None},
        tuple(trials),
        tuple(dict.fromkeys(problems)),
        reading.holds_everything or reading.outline.lost_hold,
        reading.off,
    )


@dataclass
class _Reading:
    """One run of reading: what was found so far."""

    outline: Split = field(default_factory=Split)
    problems: list[Problem] = field(default_factory=list)
    known: Settings = field(default_factory=dict)
    in_force: dict[str, Rule] = field(default_factory=dict)
    holds_everything: bool = False
    off: dict[str, tuple[str, int]] = field(default_factory=dict)
    _pool: dict[Node, Node] = field(default_factory=dict)
    _replaced: set[str] = field(default_factory=set)
    _named: set[str] = field(default_factory=set)
    _gone: set[str] = field(default_factory=set)
    """Names of shipped rules that the owner switches off or gives anew."""
    _own_settings: list[tuple[Block, Setting]] = field(default_factory=list)

    def _blocks(self, *words: str) -> list[Block]:
        return [b for b in self.outline.blocks if b.head.keyword in words]

    # Settings

    def settings(self) -> None:
        own: set[str] = set()
        for block in self._blocks("setting"):
            name, setting, fault = _setting(block)
            if fault is None and block.own and name in own:
                fault = _twice(block, "setting", name)
            if fault is None and not block.own and name in self.known:
                fault = _twice(block, "setting", name)
            if fault is not None:
                self.problems.append(block.head.problem(fault))
                if name:
                    self.known.setdefault(name, None)
                continue
            if block.own:
                own.add(name)
            if block.own and self.known.get(name) is not None:
                self._own_settings.append((block, cast(Setting, setting)))
            else:
                self.known[name] = setting

    def _replace_settings(self, readers: Sequence[RuleReader]) -> None:
        """Take over each of the owner's settings with which the shipped rules still make sense:
        all of them together, or else one by one."""
        fitting: list[tuple[Block, Setting]] = []
        for block, setting in self._own_settings:
            shipped = cast(Setting, self.known[setting.name])
            wanted, given = of_setting(shipped), of_setting(setting)
            if wanted == given:
                fitting.append((block, setting))
                continue
            what = f"this is {named(given)}, not {named(wanted)}; the shipped value stays"
            hint = f"Write it like: setting {setting.name} = {shipped.written}"
            hint += " apart" if Kind.TEMPERATURE_DIFFERENCE in wanted else ""
            self.problems.append(block.head.whole(what, hint))
        together: Settings = {setting.name: setting for _, setting in fitting}
        if self._upset(readers, together) is None:
            self.known |= together
            return
        for block, setting in fitting:
            upset = self._upset(readers, {setting.name: setting})
            if upset is None:
                self.known[setting.name] = setting
                continue
            what = f"with this value the rule {upset.name} makes no sense; the shipped value stays"
            hint = f"The shipped value is {cast(Setting, self.known[setting.name]).written}."
            self.problems.append(block.head.whole(what, hint))

    def _upset(self, readers: Sequence[RuleReader], settings: Settings) -> Rule | None:
        """The first shipped rule in force that makes no sense any more with these settings."""
        tried = {**self.known, **settings}
        for reader in readers:
            if reader.rule is None or reader.block.own or reader.rule.name in self._gone:
                continue
            before = reader.read(self.known, self._pool)
            if before.used.isdisjoint(settings) or before.problems:
                continue
            if reader.read(tried, self._pool).problems:
                return reader.rule
        return None

    # Rules

    def rules(self) -> None:
        readers = [RuleReader(block) for block in self._blocks(*KINDS)]
        self._gone = {_word(block) for block in self._blocks("off") if block.own}
        self._gone |= {r.rule.name for r in readers if r.rule and r.block.own and not r.outline}
        as_shipped = dict(self.known)
        self._replace_settings(readers)
        seen: set[tuple[bool, str]] = set()
        for reader in readers:
            read = reader.read(self.known, self._pool)
            if read.problems and read.rule and not read.rule.own and read.rule.name in self._gone:
                # the owner's values need not suit a rule that is not in force
                read = reader.read(as_shipped, self._pool)
            rule = read.rule
            if rule is not None and (rule.own, rule.name) in seen:
                fault = _twice(reader.block, "rule", rule.name)
                read.problems.append(reader.block.head.problem(fault))
            self.problems += read.problems
            if rule is None:
                self.holds_everything |= reader.kind is RuleKind.HOLDS
                self._named.add(reader.block.head.rest.split(" ")[0])
                continue
            again = (rule.own, rule.name) in seen
            seen.add((rule.own, rule.name))
            self._named.add(rule.name)
            self._put(reader.block, rule, read, again)

    def _put(self, block: Block, rule: Rule, read: Read, again: bool) -> None:
        good = not read.problems and not rule.broken
        if good:
            if rule.own and rule.name in self.in_force:
                self._replaced.add(rule.name)
                before = self.in_force.pop(rule.name)
                if before.kind is RuleKind.HOLDS and rule.kind is not RuleKind.HOLDS:
                    what = (
                        f"this takes the place of the shipped hold {rule.name}, and holds nothing"
                    )
                    hint = "Give your rule another name, and the hold stays."
                    self.problems.append(replace(block.head.whole(what, hint), warning=True))
            self.in_force[rule.name] = rule
        elif rule.kind is RuleKind.HOLDS and (again or rule.name not in self.in_force):
            key = f"{rule.name}:{rule.line}" if rule.name in self.in_force else rule.name
            self.in_force[key] = _held(rule, key)

    def switched_off(self) -> None:
        """Take out the shipped rules that the owner has switched off."""
        for block in self._blocks("off"):
            name, line = _word(block), block.head
            rule = self.in_force.get(name)
            if not block.own:
                what = "only an owner's file switches a rule off"
                self.problems.append(line.whole(what, "Take the rule out instead."))
            elif len(name.split()) != 1:
                what = "“off” takes the name of one rule"
                hint = "Give each a line of its own, such as: off spring-barrier"
                self.problems.append(line.whole(what, hint))
            elif name in self.off:
                file, number = self.off[name]
                what = f"{name} is switched off already, in {file}, line {number}"
                self.problems.append(replace(line.whole(what, "Keep one."), warning=True))
            elif name in self._replaced or (rule is not None and rule.own):
                what = f"{name} is switched off, and given in your own files as well"
                self.problems.append(line.whole(what, "Keep one of the two."))
            elif rule is None and name not in self._named:
                hint = nearest(name, self.in_force) or "Write: off NAME"
                if self.known.get(name) is not None:
                    hint = f"It is a setting; give it another value: setting {name} = …"
                self.problems.append(line.whole(f"no shipped rule is called “{name}”", hint))
            else:
                self.in_force.pop(name, None)
                self._replaced.add(name)
                self.off[name] = (line.file, line.number)

    def trials(self) -> list[Trial]:
        """The trials of rules that are in force."""
        found: list[Trial] = []
        for block in self._blocks("trial"):
            name = _word(block)
            if not block.own and name in self._replaced:
                continue  # it is about a rule that is not in force
            asked = self.in_force.get(name)
            hourly = None if asked is None or asked.broken else asked.hourly
            read = read_trial(block, hourly)
            self.problems += read.problems
            if not read.name:
                continue
            rule = self.in_force.get(read.name)
            if rule is None and read.name not in self._named:
                hint = nearest(read.name, self.in_force) or "A trial names a rule."
                what = f"no rule is called “{read.name}”"
                self.problems.append(block.head.whole(what, hint))
            elif rule is not None and not rule.broken and read.trial is not None:
                found.append(read.trial)
        return found


def _word(block: Block) -> str:
    """What follows a head's first word."""
    return block.head.rest.split("#", 1)[0].strip()


def _twice(block: Block, what: str, name: str) -> LineError:
    line = block.head
    hint = "Give one of them another name."
    return LineError(f"a second {what} “{name}”", line.keyword_column, len(line.keyword), hint)


def _held(rule: Rule, key: str) -> Rule:
    """A hold that cannot be read, and so holds: with a sentence that says so."""
    says = f"The hold {rule.name} cannot be read: mend it in {rule.file}, from line {rule.line} on."
    bare = replace(rule, name=key, says=says, sentence=(says,))
    return replace(bare, conditions=(), on=(), broken=True)


def _setting(block: Block) -> tuple[str, Setting | None, LineError | None]:
    line = block.head
    try:
        tree = parse(line, "setting")
    except LineError as error:
        return line.rest.split(" ")[0].split("=")[0], None, error
    name, value, apart = cast("tuple[Token, Token, Token | None]", tuple(tree.children))
    written = cast(Written, value.value)
    fault = name_fault(name)
    if apart is not None and Kind.TEMPERATURE not in written.kinds():
        hint = "Only a difference of temperatures is marked: setting warmer = 5 F apart"
        fault = LineError(f"{written} is no difference of temperatures", apart.column or 1, 5, hint)
    setting = Setting(str(name), written, apart is not None, line.file, line.number, block.own)
    return str(name), setting, fault
