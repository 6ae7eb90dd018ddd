"""The pages beside the shipped rules: `rules/README.md`, which lists them, and `rules/FACTS.md`,
which lists what a rule may name. Both are written from the rules and the vocabulary.

python tests/published/rule_pages.py      # writes them
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]

if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))

from advisor.conditions.themes import by_theme  # noqa: E402
from advisor.conditions.told import depths_text, kind_text, range_text, remarks  # noqa: E402
from advisor.conditions.vocabulary import FactWord  # noqa: E402
from advisor.digest.words import sentence  # noqa: E402
from advisor.plan.asked import theme  # noqa: E402
from advisor.plan.asked_words import what_it_is  # noqa: E402
from advisor.rulebook.book import Rule, Rulebook  # noqa: E402
from advisor.service.folders import shipped_book  # noqa: E402

RULES = ROOT / "rules"
MADE = "<!-- made by tests/published/rule_pages.py -->"

UNSOURCED = ("common practice, no source", "from memory", "judgement")
"""How a source line says that something in it has no source."""

HOW_LAID_OUT = """\
# The shipped rules

Each file is a theme. It begins with what it is about and with its settings, the numbers to change.
A rule is a paragraph: kind and name, conditions, sentence, source; below it stand its trials.
What a rule may name is in [FACTS.md](FACTS.md); `swardcast facts SITE` adds today's values.
These files change with each release: put your own into the folder `rules/` of your site instead.
There a rule or setting of the same name replaces the one here, and `off NAME` switches one off.
Whatever the rules say, the plan itself holds to labels (interval, yearly limit, wind and heat, dry
hours, watering in), setbacks, closed seasons, watering days and hours, and a year's nutrients.

In the tables, *rests on* says whether a rule names a source, and which of its numbers have none:
what is judgement, remembered or common practice.
"""


def facts_page() -> str:
    """`FACTS.md`."""
    lines = [
        MADE,
        "# What a rule may name",
        "",
        "Each fact is a day's, on one lawn; those with a meaning by the hour have one in rules that"
        " are asked `hour by hour`.",
        "A fact may be unknown; what cannot be known opens nothing and lets nothing go.",
    ]
    for name, facts in by_theme().items():
        lines += [
            "",
            f"## {name.capitalize()}",
            "",
            "| fact | is | meaning |",
            "| --- | --- | --- |",
        ]
        lines += [_row(f"`{fact.name}`", _kind(fact), _meaning(fact)) for fact in facts]
    return "\n".join([*lines, ""])


def _kind(fact: FactWord) -> str:
    told = (kind_text(fact), range_text(fact, None), depths_text(fact, None))
    return ", ".join(part for part in told if part)


def _meaning(fact: FactWord) -> str:
    return " ".join(sentence(text) for text in (fact.meaning, *remarks(fact)))


def rules_page(book: Rulebook) -> str:
    """`README.md`."""
    lines = [MADE, HOW_LAID_OUT, f"{len(book.rules)} rules, {len(book.trials)} trials."]
    for name in dict.fromkeys(theme(rule) for rule in book.rules.values()):
        lines += ["", f"## {name}.rules", ""]
        lines += ["| rule | kind | grass | rests on | source | trials |", "| --- " * 6 + "|"]
        lines += _rules(book, name)
    return "\n".join([*lines, ""])


def _rules(book: Rulebook, name: str) -> Iterator[str]:
    for rule in book.rules.values():
        if theme(rule) == name:
            trials = sum(trial.rule == rule.name for trial in book.trials)
            kind = what_it_is(rule) + (", hour by hour" if rule.hourly else "")
            grass = ", ".join(rule.on) or "all"
            yield _row(f"`{rule.name}`", kind, grass, rests_on(rule), rule.source, str(trials))


def rests_on(rule: Rule) -> str:
    """Whether a rule has a source, and what in it has none."""
    told = rule.source.lower()
    without = [mark for mark in UNSOURCED if mark in told]
    begins = any(told.startswith(mark) for mark in UNSOURCED)
    return ", ".join([*([] if begins or not told else ["a source"]), *without]) or "nothing named"


def _row(*cells: str) -> str:
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def pages() -> dict[Path, str]:
    """Each page with its text as it should be."""
    return {RULES / "FACTS.md": facts_page(), RULES / "README.md": rules_page(shipped_book())}


if __name__ == "__main__":
    for path, text in pages().items():
        path.write_text(text, encoding="utf-8")
