"""`swardcast measure`: an area from paces, tape or offsets, as lines for site.toml and a sketch."""

from __future__ import annotations

import argparse
import contextlib
import json
import math
from pathlib import Path

from advisor.cli.exits import Exit
from advisor.cli.measure_words import MeasureError, Part, read_measure, read_stride, sum_up
from advisor.cli.say import document, err, out
from advisor.digest.sketch import Sketched, sketch
from advisor.series.quantity import FOOT, Kind, Written, convert, show
from advisor.turf.areas import AreaError, Measured

SIGNS = {"plus": "+", "less": "-", "setback": "setback"}

MISSOURI = "University of Missouri Extension"


def run(arguments: argparse.Namespace) -> int:
    text = " ".join(arguments.words)
    stride, by_metre = None, False
    said = text
    try:
        if arguments.stride is not None:
            said = arguments.stride
            stride, by_metre = read_stride(arguments.stride)
        said = text
        parts = read_measure(text, stride)
        whole = sum_up(parts)
    except MeasureError as error:
        _tell(said, error)
        return Exit.WORDS
    except AreaError as error:
        err(f"This is no area: {error}.")
        return Exit.PROBLEMS
    units = arguments.units or _units(parts, by_metre)
    lines = _site_lines(whole, units)
    if not lines:
        err("This is no lawn: 1 m2 to 100 ha were expected, and some of it left beside a setback.")
        return Exit.PROBLEMS
    if arguments.sketch is not None and not _draw(Path(arguments.sketch), parts, whole, units):
        return Exit.PROBLEMS
    if arguments.json:
        document(json.dumps(_document(parts, whole, lines, stride), indent=2, ensure_ascii=False))
        return Exit.DONE
    _print(parts, whole, lines, units, stride)
    if arguments.sketch is not None:
        out(f"\nA sketch of it: {arguments.sketch}")
    return Exit.DONE


def _tell(text: str, error: MeasureError) -> None:
    err(f"{error}\n    {text}\n    {' ' * error.column}{'^' * error.width}")
    if error.hint:
        err(f"  {error.hint}")


def _units(parts: list[Part], by_metre: bool) -> str:
    """The units in which the lengths were given; where both were, those of the United States."""
    known = {part.metric for part in parts if part.metric is not None} or {by_metre}
    return "metric" if known == {True} else "us"


def _site_lines(whole: Measured, units: str) -> dict[str, str]:
    """The keys of a lawn's table. The area is rounded down and the setback up: nothing is put down
    where there is no lawn. Empty where that is no lawn's size, or leaves nothing to be treated."""
    unit = "ft2" if units == "us" else "m2"
    area = math.floor(convert(whole.area_m2, Kind.AREA, unit) + 1e-6)
    if not 1 <= whole.area_m2 <= 1e6 or area < 1:
        return {}
    lines = {"area": f"{area} {unit}"}
    if whole.setback_m2 > 0:
        setback = math.ceil(convert(whole.setback_m2, Kind.AREA, unit) - 1e-6)
        if setback >= area:
            return {}
        lines["setback"] = f"{setback} {unit}"
    return lines


def _print(
    parts: list[Part], whole: Measured, lines: dict[str, str], units: str, stride: float | None
) -> None:
    def area(m2: float) -> str:
        return show(m2, Kind.AREA, units)

    rows = [(SIGNS[part.sign], part.text, area(part.shape.area_m2)) for part in parts]
    signs = max(len(sign) for sign, _, _ in rows)
    rows = [(f"{sign:<{signs}}", text, amount) for sign, text, amount in rows]
    wide = min(56, max(len(f"{sign} {text}") for sign, text, _ in rows))
    longest = max(len(amount) for _, _, amount in rows)
    for sign, text, amount in rows:
        out(f"{f'{sign} {text}':<{wide}}  {amount:>{longest}}")
    out(f"\nThe lawn has {area(whole.area_m2)}, give or take {area(whole.doubt_m2)}.")
    if whole.setback_m2 > 0:
        out(
            f"{area(whole.setback_m2)} of it are set back; {area(whole.treated_m2)} are left to be"
            " treated."
        )
    if stride is not None:
        length = f"{stride / FOOT:.2f} ft" if units == "us" else f"{stride:.2f} m"
        out(f"A pace is {length}.")
    out("\nFor site.toml, in the lawn's table:\n")
    for key, value in lines.items():
        out(f'    {key} = "{value}"{_rounded(key, value, whole, units)}')
    out(f"\n{_note(parts)}")


def _rounded(key: str, value: str, whole: Measured, units: str) -> str:
    """The remark behind a line whose number is not the one that is shown above it."""
    exact = {"area": whole.area_m2, "setback": whole.setback_m2}[key]
    written = float(value.split()[0])
    shown = show(exact, Kind.AREA, units)
    there = show(Written(written, value.split()[1]).as_kind(Kind.AREA), Kind.AREA, units)
    if there == shown:
        return ""
    return f"  # {shown} rounded {'down' if key == 'area' else 'up'}, to put down no more"


def _note(parts: list[Part]) -> str:
    words = [
        "Paced lengths are taken to be good to 5 %, taped ones to 1 % (judgement); in doubt state"
        " the smaller area, since a lawn stated too large gets too much."
    ]
    if any(part.text.lower().startswith("offsets") for part in parts):
        words.append(
            f"Offsets: the sum of the widths times their interval, good to 5 % ({MISSOURI}); with"
            " end-to-end the first and last width count half."
        )
    if any(part.text.lower().startswith("oval") for part in parts):
        words.append(
            f"An oval is length times width times 0.785; the 0.8 of {MISSOURI} is 2 % more."
        )
    return " ".join(words)


def _document(
    parts: list[Part], whole: Measured, lines: dict[str, str], stride: float | None
) -> dict[str, object]:
    return {
        "version": 1,
        "parts": [
            {
                "sign": part.sign,
                "text": part.text,
                "area_m2": round(part.shape.area_m2, 3),
                "doubt_m2": round(part.shape.doubt_m2, 3),
            }
            for part in parts
        ],
        "area_m2": round(whole.area_m2, 3),
        "doubt_m2": round(whole.doubt_m2, 3),
        "setback_m2": round(whole.setback_m2, 3),
        "treated_m2": round(whole.treated_m2, 3),
        "stride_m": None if stride is None else round(stride, 4),
        "site": lines,
    }


def _draw(path: Path, parts: list[Part], whole: Measured, units: str) -> bool:
    """Write the sketch, whole or not at all; whether that went well."""

    def area(m2: float) -> str:
        return show(m2, Kind.AREA, units)

    shapes = [
        Sketched(part.sign, part.text, area(part.shape.area_m2), part.shape.outline)
        for part in parts
    ]
    total = [f"The lawn: {area(whole.area_m2)}, give or take {area(whole.doubt_m2)}."]
    if whole.setback_m2 > 0:
        total.append(f"Set back: {area(whole.setback_m2)}. Treated: {area(whole.treated_m2)}.")
    bar = (10 * FOOT, "10 ft") if units == "us" else (5.0, "5 m")
    draft = path.with_name(f".{path.name}.draft")
    try:
        draft.write_text(sketch(shapes, total, bar), encoding="utf-8")
        draft.replace(path)
    except OSError as error:
        err(f"{path} cannot be written: {error.strerror or 'no file can be made there'}.")
        return False
    finally:
        with contextlib.suppress(OSError):
            draft.unlink(missing_ok=True)
    return True
