"""What an owner's rule files change of the shipped rules, as lines for people."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.rulebook.book import Rule, Rulebook, RuleKind, Setting
from advisor.site.words import GRASSES


def changes(book: Rulebook, shipped: Rulebook) -> tuple[str, ...]:
    """Each of the owner's settings, rules and `off` lines that is in force, in the files' order.

    `shipped` is the same book without the owner's files.
    """
    return tuple(f"{file}: {said}" for file, _, said in sorted(_changes(book, shipped)))


def _changes(book: Rulebook, shipped: Rulebook) -> Iterator[tuple[str, int, str]]:
    for name, setting in book.settings.items():
        if setting.own:
            before = shipped.settings.get(name)
            end = "of yours" if before is None else f"shipped {_value(before)}"
            yield setting.file, setting.line, f"setting {name} is {_value(setting)}, {end}"
    for rule in book.rules.values():
        if rule.own and not rule.broken:
            said = f"rule {rule.name} is yours{_beside(rule, shipped.rules.get(rule.name))}"
            yield rule.file, rule.line, said
    for name, (file, line) in book.off.items():
        yield file, line, f"rule {name} is switched off"


def _value(setting: Setting) -> str:
    return f"{setting.written}{' apart' if setting.apart else ''}"


def _beside(rule: Rule, before: Rule | None) -> str:
    """What the owner's rule does to the shipped one of its name."""
    if before is None:
        return ""
    left = [task for task in before.tasks if task not in rule.tasks]
    lost = left and before.kind is rule.kind is RuleKind.HOLDS
    end = f", and no longer holds {', '.join(left)}" if lost else ""
    return f", in place of the shipped one{end}"


def safety_lost(before: Rule, rule: Rule) -> str:
    """What is lost where an owner's rule takes the place of a shipped one that did something else,
    or held more; empty where nothing is."""
    takes = f"this takes the place of the shipped {_KIND[before.kind]} {rule.name}"
    if before.kind is RuleKind.HOLDS and rule.kind is not RuleKind.HOLDS:
        return f"{takes}, and holds nothing"
    if before.kind is not rule.kind:
        return f"{takes}, and is none"
    if before.kind is not RuleKind.HOLDS:
        return ""
    tasks = [task for task in before.tasks if task not in rule.tasks]
    grasses = [
        grass
        for grass, of in GRASSES.items()
        if before.speaks_of(grass, of) and not rule.speaks_of(grass, of)
    ]
    lost = [", ".join(tasks)] if tasks else []
    if grasses:
        several = f"{len(grasses)} grasses"
        lost.append(f"anything on {grasses[0] if len(grasses) == 1 else several}")
    return f"{takes}, and no longer holds {' nor '.join(lost)}" if lost else ""


_KIND = {
    RuleKind.OPENS: "window",
    RuleKind.HOLDS: "hold",
    RuleKind.WATERS: "watering rule",
    RuleKind.NOTES: "remark",
}
