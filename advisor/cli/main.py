"""The command `swardcast`: parse words, call one function, print.

Only what the named command needs is imported: `--help` loads nothing that is slow, `check` no
templates, the database only where there is one, and the client only for recorded weather.
"""

from __future__ import annotations

import argparse
import gc
import io
import os
import sys
from collections.abc import Sequence
from datetime import date
from importlib import import_module

from advisor import __version__
from advisor.cli.exits import Exit


def parser() -> argparse.ArgumentParser:
    """The words of the command line, with their help."""
    top = argparse.ArgumentParser(
        prog="swardcast",
        description="Watches the weather over a lawn and says once a week: apply, wait or water.",
        epilog="SITE is a folder with site.toml, shelf.toml and journal.txt.",
    )
    top.add_argument("--version", action="version", version=f"swardcast {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True)

    init = commands.add_parser("init", help="lay down a site folder", description=(
        "Lay down the demo site as a folder of your own, to look around in."))  # fmt: skip
    init.add_argument("dir", metavar="DIR", help="a folder that does not exist yet")
    init.add_argument("--demo", action="store_true", required=True, help="the demo site")

    check = commands.add_parser("check", help="every problem in what you wrote, at once",
        description="Read site, shelf, journal, rules and trials, and show every problem with its"
        " file and line.")  # fmt: skip
    _site(check)
    check.add_argument("--law", action="store_true", help="tell the local law as understood")

    digest = commands.add_parser("digest", help="decide, and show or send the digest",
        description="Decide for a moment and print the digest, write it as files, or send it. Only"
        " what is sent counts as advised.")  # fmt: skip
    _site(digest)
    digest.add_argument("--on", metavar="DATE", type=_day, help="decide for this day's morning")
    digest.add_argument("--json", action="store_true", help="print the plan as JSON")
    digest.add_argument(
        "--out",
        metavar="DIR",
        help="write digest.txt, digest.html, digest.eml, plan.json, season.html and, for a"
        " calendar, digest.ics",
    )
    digest.add_argument("--send", action="store_true", help="send it to the people of the site")

    explain = commands.add_parser("explain", help="what each rule says on a day, and why",
        description="What the rules say of each lawn on a day, each condition with its value, its"
        " limit and the day on which it will turn.")  # fmt: skip
    _site(explain)
    explain.add_argument("rule", metavar="RULE", nargs="?", default="", help="only this rule")
    explain.add_argument("--lawn", metavar="LAWN", default="", help="only this lawn")
    explain.add_argument(
        "--on", metavar="DATE", type=_day, help="as it stood on this day's morning"
    )
    explain.add_argument("--all", action="store_true", help="the silent rules in full too")
    explain.add_argument("--differs", action="store_true",
        help="only what your own rule files change, and on which days")  # fmt: skip
    explain.add_argument("--json", action="store_true", help="as JSON")

    facts = commands.add_parser("facts", help="every word that a rule may use",
        description="The facts that rules may name: kind, range, meaning; with a site, what each is"
        " today on each lawn.")  # fmt: skip
    facts.add_argument("site", metavar="SITE", nargs="?", help="a site's folder, for its values")
    _state(facts)
    facts.add_argument("--on", metavar="DATE", type=_day, help="the values of this day's morning")
    facts.add_argument("--json", action="store_true", help="as JSON")

    _ahead(commands)
    _replay(commands)

    log = commands.add_parser("log", help="write down what was done or seen",
        description="Add one line to the journal: swardcast log SITE front applied 5.4 lb of"
        " spring-granules")  # fmt: skip
    _site(log)
    log.add_argument("lawn", metavar="LAWN", help="a lawn's name, or all")
    log.add_argument("words", metavar="WORD", nargs="+", help="what was done or seen")
    log.add_argument("--on", metavar="DATE", type=_day, help="the day it was done, if not today")

    journal = commands.add_parser("journal", help="read the journal back, with the year's sums",
        description="What the journal says, line by line, and what each lawn has had this"
        " year.")  # fmt: skip
    _site(journal)
    journal.add_argument("--on", metavar="DATE", type=_day, help="as it stood on this day")
    journal.add_argument("--json", action="store_true", help="as JSON")
    _dose(commands.add_parser("dose", help="from a label to what is weighed out", description=(
        "What to weigh out of a product for each lawn: the least of label, law and what the year"
        " leaves; what it brings and costs, passes, and checks of the spreader.")))  # fmt: skip

    run = commands.add_parser("run", help="the daemon: fetch, decide and mail, week after week",
        description="Stays, and does for each site what is due when it is due. A folder of sites"
        " serves them all.")  # fmt: skip
    run.add_argument("sites", metavar="SITE", nargs="+", help="a site's folder, or one of sites")
    _state(run)

    turn = commands.add_parser("turn", help="do once whatever is due now, for a timer",
        description="One turn of the service: what is due now is fetched, decided, queued and"
        " delivered.")  # fmt: skip
    _site(turn)

    status = commands.add_parser("status", help="what the service did last, and what is overdue",
        description="Last forecast, decision and mail, what waits, and the next digest. Ends with 1"
        " when something is overdue.")  # fmt: skip
    _site(status)
    status.add_argument("--json", action="store_true", help="as JSON")

    doctor = commands.add_parser("doctor", help="can it fetch, decide, write, send?",
        description="Tries every step for real, without storing or sending anything, and says what"
        " to mend.")  # fmt: skip
    _site(doctor)
    doctor.add_argument("--json", action="store_true", help="as JSON")
    _catchcan(commands.add_parser("catchcan", help="measure what sprinklers bring, and how evenly",
        description="The rate and evenness of a sprinkler zone, from cans set out on the grass,"
        " with the lines for site.toml."))  # fmt: skip
    _measure(commands)
    return top


def _ahead(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    ahead = commands.add_parser("ahead", help="when the coming windows are likely to open",
        description="The likely date of every coming window on each lawn with its spread over past"
        " years, and what to buy before it opens.")  # fmt: skip
    _site(ahead)
    ahead.add_argument("--lawn", metavar="LAWN", default="", help="only this lawn")
    ahead.add_argument("--on", metavar="DATE", type=_day, help="as it stood on this day's morning")
    ahead.add_argument("--json", action="store_true", help="as JSON")
    ahead.add_argument("--out", metavar="DIR", help="write ahead.html and ahead.svg, a picture")


def _replay(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    replay = commands.add_parser("replay", help="live a past season again, digest by digest",
        description="Every digest of a past season as it would have been, what was done, the water"
        " and nutrients, what held, and what another rulebook would have changed.")  # fmt: skip
    _site(replay)
    for word, dest, told in (("from", "first", "first"), ("to", "last", "last")):
        replay.add_argument(
            f"--{word}", dest=dest, metavar="DATE", type=_day, required=True, help=f"{told} day"
        )
    replay.add_argument("--rules", metavar="DIR", help="rule files in place of your own")
    replay.add_argument("--against", metavar="DIR",
        help="other rule files, held beside these; “shipped” for none of your own")  # fmt: skip
    replay.add_argument("--owner", choices=("obeys", "journal"), default="obeys",
        help="one who does all that is advised (usual), or the real journal")  # fmt: skip
    replay.add_argument("--foresight", choices=("perfect", "issued", "both"), default="both",
        help="the weather to come as it came, as it was forecast, or both (usual)")  # fmt: skip
    replay.add_argument("--out", metavar="DIR",
        help="write replay.html, replay.svg, journal.txt and replay.json")  # fmt: skip
    replay.add_argument("--json", action="store_true", help="as JSON")


def _catchcan(command: argparse.ArgumentParser) -> None:
    add = command.add_argument
    add("catches", metavar="CATCH", nargs="*",
        help="what each can caught, in mL or with a unit; SITE may come first")  # fmt: skip
    add("--minutes", required=True, metavar="MINUTES", help="how long the zone ran")
    opening = command.add_mutually_exclusive_group(required=True)
    opening.add_argument("--diameter", metavar="LENGTH", help='of a can\'s opening, as "3 in"')
    opening.add_argument("--area", metavar="AREA", help='of a can\'s opening, as "16.5 in2"')
    add("--file", metavar="FILE", help="a file of catches; - reads what is piped in")
    add("--lawn", metavar="LAWN", default="", help="the lawn, for its soil")
    add("--zone", metavar="NAME", default="main", help="what to call the zone")
    add("--wind", metavar="SPEED", help='wind during the test, as "3 mph"')
    add("--depth", metavar="WATER", help='tell the minutes for it, as "0.5 in"')
    add("--units", choices=("us", "metric"), help="how to write numbers; the site's own")
    add("--json", action="store_true", help="as JSON")
    _state(command)


def _dose(command: argparse.ArgumentParser) -> None:
    _site(command)
    command.add_argument("product", metavar="PRODUCT", help="a product's name on the shelf")
    for flag, metavar, told in (
        ("--lawn", "LAWN", "only this lawn"),
        ("--task", "TASK", "what it is put down for, if it serves several"),
        ("--spreader", "NAME", "the spreader or sprayer that is used"),
        ("--catch", "CAUGHT", 'what one pass gave: "1.5 lb on 100 ft2"'),
    ):
        command.add_argument(flag, metavar=metavar, default="", help=told)
    asked = command.add_mutually_exclusive_group()
    asked.add_argument("--rate", metavar="RATE", default="", help='less product: "2 lb/1000 ft2"')
    asked.add_argument(
        "--nitrogen", metavar="RATE", default="", help='the same by nitrogen: "0.5 lb/1000 ft2"'
    )
    command.add_argument("--on", metavar="DATE", type=_day, help="as it stands on this day")
    command.add_argument("--json", action="store_true", help="as JSON")


def _measure(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    measure = commands.add_parser("measure", help="an area from paces, tape or offsets",
        description="Adds up plain shapes and takes others off: swardcast measure rectangle 60 ft x"
        " 40 ft plus triangle 30 ft x 20 ft less circle radius 12 ft")  # fmt: skip
    measure.add_argument("words", metavar="SHAPE", nargs="+",
        help="rectangle, strip, triangle, trapezoid, circle, half-circle, oval, offsets, corners or"
        " area with its lengths; joined by + (plus), - (less) and setback")  # fmt: skip
    measure.add_argument(
        "--stride", metavar="PACED", help='how long your paces are: "100 ft = 38 paces"'
    )
    measure.add_argument("--units", choices=("us", "metric"), help="units of the answer")
    measure.add_argument("--sketch", metavar="FILE", help="draw the shapes into an SVG file")
    measure.add_argument("--json", action="store_true", help="as JSON")


def _site(command: argparse.ArgumentParser) -> None:
    command.add_argument("site", metavar="SITE", help="the site's folder")
    _state(command)


def _state(command: argparse.ArgumentParser) -> None:
    command.add_argument("--state", metavar="DIR", help="where the program keeps what it needs")


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"“{text}” is no date; write it like 2025-04-01") from None


def main(words: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    _lenient(sys.stdout, sys.stderr)
    try:
        try:
            return _run(_parsed(words))
        finally:
            sys.stdout.flush()
    except BrokenPipeError:
        # The reader (head, less) has seen enough. What is still unsaid goes nowhere, or Python
        # would try once more to say it at its end, and complain.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return Exit.DONE
    except KeyboardInterrupt:
        return Exit.INTERRUPTED


def _parsed(words: Sequence[str] | None) -> argparse.Namespace:
    """The call's words. A rule may stand behind options too, where argparse would not look."""
    top = parser()
    arguments, left = top.parse_known_args(words)
    if len(left) == 1 and getattr(arguments, "rule", None) == "" and left[0][:1] != "-":
        arguments.rule = left.pop()
    if hasattr(arguments, "catches") and not any(word[:1] == "-" for word in left):
        # Nor would it look there for numbers after the site's folder and options.
        arguments.catches, left = [*arguments.catches, *left], []
    if left:
        top.error(f"unrecognized arguments: {' '.join(left)}")
    return arguments


def _lenient(*streams: object) -> None:
    """A terminal whose encoding lacks a sign (° in ASCII) shows another in its place."""
    for stream in streams:
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _run(arguments: argparse.Namespace) -> int:
    module = import_module(f"advisor.cli.{arguments.command}")
    return int(module.run(arguments))


def command() -> int:
    """The command as a process of its own. It lives for a second and gives all its memory back at
    the end; looking for garbage meanwhile would cost a tenth of that second."""
    gc.disable()
    return main()


if __name__ == "__main__":
    sys.exit(command())
