"""What an owner's rule files change of the shipped rules, as lines for people."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.rulebook.book import Rule, Rulebook, RuleKind, Setting


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
