"""`swardcast explain`: what each rule says on a day, and why. A look; nothing is announced."""

from __future__ import annotations

import argparse
from pathlib import Path

from advisor.cli.exits import Exit
from advisor.cli.looking import look
from advisor.cli.opening import Opened, open_site
from advisor.cli.say import document, err, out
from advisor.digest.clean import cleaned
from advisor.digest.explained import render_asked, render_differs
from advisor.language.speaking import speaking
from advisor.plan.asked import ask_rules
from advisor.plan.asked_model import Asked
from advisor.plan.compose import Given
from advisor.plan.differing import Differs, what_differs
from advisor.service.folders import shipped_book
from advisor.site.problem import nearest


def run(arguments: argparse.Namespace) -> int:
    opened = open_site(Path(arguments.site), arguments.state, arguments.on)
    if opened is None:
        return Exit.SITE
    with speaking(opened.site.language):
        return _told(arguments, opened)


def _told(arguments: argparse.Namespace, opened: Opened) -> int:
    wrong = _wrong_words(opened, arguments.rule, arguments.lawn, arguments.differs)
    if wrong:
        err(wrong)
        return Exit.WORDS
    given = look(opened)
    if given is None:
        return Exit.LATER
    asked = _asked(given, opened, arguments)
    if arguments.json:
        document(cleaned(asked).model_dump_json(indent=2, by_alias=True))
    elif isinstance(asked, Differs):
        out(render_differs(asked))
    else:
        out(render_asked(asked, everything=arguments.all, rule=arguments.rule))
    return Exit.NO_FORECAST if asked.cannot_tell else Exit.DONE


def _wrong_words(opened: Opened, rule: str, lawn: str, differs: bool) -> str:
    """One sentence on a lawn or rule that is not there, with the nearest name that is."""
    lawns = [each.name for each in opened.site.lawns]
    if lawn and lawn not in lawns:
        near = nearest(lawn, lawns) or f"There is {', '.join(lawns)}."
        return f"No lawn is called “{lawn}”. {near}"
    rules = opened.read.book.rules
    if rule and rule not in rules:
        if rule in shipped_book().rules:
            if differs:
                return ""
            return f"“{rule}” is switched off in your own rules."
        near = nearest(rule, rules) or "`swardcast explain SITE` names them all."
        return f"No rule is called “{rule}”. {near}"
    return ""


def _asked(given: Given, opened: Opened, arguments: argparse.Namespace) -> Asked | Differs:
    now, lawn, rule = opened.now, arguments.lawn, arguments.rule
    if arguments.differs:
        return what_differs(given, shipped_book(), now, lawn=lawn, rule=rule)
    return ask_rules(given, now, lawn=lawn, rule=rule)
