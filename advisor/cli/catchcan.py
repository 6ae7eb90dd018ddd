"""`swardcast catchcan`: what sprinklers bring, and how evenly, from cans set out on the grass."""

from __future__ import annotations

import argparse
import json
import math
import re
import sys
from dataclasses import asdict, dataclass
from pathlib import Path

from advisor.cli.exits import Exit
from advisor.cli.opening import open_site
from advisor.cli.say import document, err, out
from advisor.series.quantity import (
    Kind,
    QuantityError,
    Written,
    read_quantity,
    read_written,
    show,
)
from advisor.site.fields import NAME, word_hint
from advisor.site.irrigation import SprinklerZone, zones_of
from advisor.site.lawns import Lawn
from advisor.site.place import Site
from advisor.turf.catch_can import CatchTest, catch_test, minutes_for
from advisor.turf.cycles import Cycles, parted

LARGEST_FILE = 100_000
"""Bytes of a file of catches; a test has some dozen numbers."""

USUAL_DEPTH = 12.7
"""Depth for which minutes are told where none is asked for: half an inch [mm]."""

MM_H = (0.5, 200.0)
"""Rates that site.toml takes [mm/h]."""


class WordsError(Exception):
    """The call's words cannot be used; the text says which, and how to write them."""


@dataclass(frozen=True)
class _Call:
    """The call, with the site and lawn that it is for, if any."""

    site: Site | None
    lawn: Lawn | None
    zone: str
    units: str
    depth_mm: float


def run(arguments: argparse.Namespace) -> int:
    words = list(arguments.catches)
    site: Site | None = None
    if words and not re.match(r"[-+.]?[0-9]", words[0]):
        opened = open_site(Path(words.pop(0)), arguments.state, None)
        if opened is None:
            return Exit.SITE
        site = opened.site
    try:
        call = _call(arguments, site)
        found = catch_test(
            _catches(words, arguments.file),
            _minutes(arguments.minutes),
            _opening(arguments),
            None if arguments.wind is None else _quantity("--wind", arguments.wind, Kind.SPEED),
        )
        _within_reason(found, call.units)
    except (WordsError, ValueError) as error:
        err(f"{error}.")
        return Exit.WORDS
    if arguments.json:
        document(json.dumps(_document(found, call), indent=2, ensure_ascii=False))
    else:
        out("\n".join(_told(found, call)))
    return Exit.DONE


def _call(arguments: argparse.Namespace, site: Site | None) -> _Call:
    lawn: Lawn | None = None
    if site is not None:
        names = [one.name for one in site.lawns]
        wanted = arguments.lawn or (names[0] if len(names) == 1 else "")
        if wanted not in names:
            what = f"no lawn is called “{wanted}”" if wanted else "several lawns: name one"
            raise WordsError(f"{what} with --lawn; {word_hint(wanted, names).removesuffix('.')}")
        lawn = site.lawn(wanted)
    elif arguments.lawn and not NAME.fullmatch(arguments.lawn):
        raise WordsError("a lawn's name has only small letters, digits and hyphens: --lawn front")
    if not NAME.fullmatch(arguments.zone):
        raise WordsError("a zone's name has only small letters, digits and hyphens: --zone east")
    depth = USUAL_DEPTH
    if arguments.depth is not None:
        depth = _quantity("--depth", arguments.depth, Kind.WATER)
    units = arguments.units or (site.units if site is not None else "us")
    return _Call(site, lawn, arguments.zone, units, depth)


def _quantity(option: str, text: str, kind: Kind) -> float:
    """A quantity of the call, above 0, in the unit inside."""
    try:
        value = read_quantity(text, kind)
    except QuantityError as error:
        raise WordsError(f"{option}: {error}") from None
    if not value > 0:
        raise WordsError(f"{option}: {text} must be more than nothing")
    return value


def _minutes(text: str) -> float:
    bare = re.fullmatch(r"\s*[0-9]+(\.[0-9]+)?\s*", text)
    minutes = float(text) if bare else 1440 * _quantity("--minutes", text, Kind.DURATION)
    if not 0 < minutes <= 1440:
        raise WordsError(f"--minutes: {text} cannot be right; write it like --minutes 15")
    return minutes


def _opening(arguments: argparse.Namespace) -> float:
    """Area of a can's opening [cm2]."""
    if arguments.area is not None:
        # Openings are measured in square inches or centimetres, lawns in neither.
        small = re.fullmatch(r"\s*([0-9.]+)\s*(in2|in²|sq in|cm2|cm²)\s*", arguments.area)
        if small is None or not re.fullmatch(r"[0-9]+(\.[0-9]+)?|\.[0-9]+", small[1]):
            raise WordsError(f"--area: “{arguments.area}” is no such area; write it like 16.5 in2")
        area = float(small[1]) * (2.54**2 if "in" in small[2] else 1.0)
    else:
        across = 100 * _quantity("--diameter", arguments.diameter, Kind.LENGTH)
        area = math.pi * across * across / 4
    if not 1 <= area <= 10_000:
        raise WordsError("no can has such an opening; write it like --diameter 3in")
    return area


def _catches(words: list[str], file: str | None) -> list[float]:
    """What each can caught [mL]."""
    text = "\n".join(words)
    if file is not None:
        if words:
            raise WordsError("catches stand in the call or in --file, not in both")
        text = _text_of(file)
    found: list[float] = []
    for number, whole in enumerate(text.splitlines(), 1):
        line, where = whole.partition("#")[0], 0
        place = f"line {number} of the catches" if file is not None else f"“{whole}”"
        while line[where:].strip(" \t,;"):
            where += len(line[where:]) - len(line[where:].lstrip(" \t,;"))
            try:
                written, where = read_written(line, where)
                found.append(1000 * _volume(written))
            except QuantityError as error:
                raise WordsError(f"{place}: {error}; write a catch like 47 or 47 mL") from None
    if not found:
        raise WordsError("no catches: write what each can caught, such as 47 42 45 24")
    return found


def _volume(written: Written) -> float:
    """A catch [L]; a bare number is mL."""
    return written.number / 1000 if not written.unit else written.as_kind(Kind.VOLUME)


def _text_of(file: str) -> str:
    try:
        if file == "-":
            return sys.stdin.read(LARGEST_FILE)
        with Path(file).open(encoding="utf-8") as opened:
            return opened.read(LARGEST_FILE)
    except (OSError, UnicodeDecodeError) as error:
        raise WordsError(f"--file: {file} cannot be read: {error}") from None


def _within_reason(found: CatchTest, units: str) -> None:
    low, high = MM_H
    if not low <= found.rate_mm_h <= high:
        rate = show(found.rate_mm_h, Kind.WATER, units)
        raise WordsError(
            f"no sprinklers bring {rate} an hour: are the minutes, the opening and the unit of the"
            " catches right?"
        )


def _run(found: CatchTest, call: _Call) -> tuple[float, Cycles | None]:
    """Minutes for the depth, and their runs where the soil is known."""
    minutes = minutes_for(call.depth_mm, found.rate_mm_h, found.uniformity)
    if call.lawn is None:
        return minutes, None
    return minutes, parted(minutes, found.rate_mm_h, call.lawn.soil, _slope(call))


def _known(call: _Call) -> SprinklerZone | None:
    """The zone as site.toml has it already; None where it has not."""
    zones = zones_of(call.site.zones, call.lawn) if call.site and call.lawn else ()
    return next((one for one in zones if one.name == call.zone), None)


def _slope(call: _Call) -> float:
    known = _known(call)
    return known.slope if known is not None else 0.0


def _told(found: CatchTest, call: _Call) -> list[str]:
    units = call.units
    volume = show(found.mean_ml / 1000, Kind.VOLUME, units, unit="mL")
    minutes, into = _run(found, call)
    driest = "can" if found.quarter == 1 else f"{found.quarter} cans"
    lines = [
        f"{found.cans} cans, {volume} on average",
        "",
        f"Rate                     {show(found.rate_mm_h, Kind.WATER, units)} an hour",
        f"Low-quarter uniformity   {found.uniformity:.0%} (driest {driest})",
        f"Low-half uniformity      {found.low_half:.0%}",
        f"Christiansen uniformity  {found.christiansen:.0%}",
        f"Run-time multiplier      {found.multiplier:.2f}",
        "",
        f"For {show(call.depth_mm, Kind.WATER, units)}: {minutes:.0f} minutes, multiplier included"
        + (f"; on {call.lawn.soil.replace('-', ' ')} {runs_text(into)}." if into and call.lawn
           else "."),
        "",
        *(f"- {remark}" for remark in found.remarks),
    ]  # fmt: skip
    return [*lines, *([""] if found.remarks else []), *_paste(found, call)]


def runs_text(runs: Cycles) -> str:
    """How a zone is run, in words."""
    if runs.runs == 1:
        return "in one run"
    return (
        f"{runs.runs} runs of {runs.run_minutes:.0f} minutes, {runs.soak_minutes:.0f} minutes apart"
    )


def _paste(found: CatchTest, call: _Call) -> list[str]:
    """The lines for site.toml."""
    lawn = call.lawn.name if call.lawn is not None else "front"
    head = "Put in place of this zone's table in site.toml:" if _known(call) else "For site.toml:"
    lines = [head, "", "[[zone]]", f'lawn = "{lawn}"', f'name = "{call.zone}"']
    known = _known(call)
    if known is not None and known.title:
        lines += [f"title = {json.dumps(known.title, ensure_ascii=False)}"]
    lines += [f'rate = "{_exact(found.rate_mm_h, call.units)}"']
    lines += [f'uniformity = "{found.uniformity:.0%}"']
    if _slope(call):
        lines += [f'slope = "{_slope(call):.0%}"']
    if call.lawn is not None and call.lawn.sprinklers_mm_h is not None:
        lines += ["", f"Take sprinklers out of the table of {lawn}: its zones have the rates."]
    return lines


def _exact(rate: float, units: str) -> str:
    return f"{rate / 25.4:.3f} in" if units == "us" else f"{rate:.1f} mm"


def _document(found: CatchTest, call: _Call) -> dict[str, object]:
    """Version 1: SI units, as the names say; shares as fractions; `runs` is null without a soil."""
    minutes, into = _run(found, call)
    return {
        "version": 1,
        "lawn": call.lawn.name if call.lawn is not None else None,
        "zone": call.zone,
        **asdict(found),
        "depth_mm": call.depth_mm,
        "minutes": round(minutes, 2),
        "runs": None if into is None else asdict(into),
        "site_toml": "\n".join(_paste(found, call)[2:]).strip(),
    }
