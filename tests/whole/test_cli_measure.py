"""`swardcast measure`: its words, what it prints, the lines to paste and the sketch."""

from __future__ import annotations

import json
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from command_line import Said, call
from hypothesis import given
from hypothesis import strategies as st

from advisor.cli.exits import Exit
from advisor.cli.measure_words import SHAPES, MeasureError, read_measure, read_stride, sum_up
from advisor.series.quantity import FOOT
from advisor.site.load import read_site
from advisor.turf.areas import AreaError

STRIDE = ("--stride", "100 ft = 38 paces")


def measure(capsys: pytest.CaptureFixture[str], words: str, *more: str | Path) -> Said:
    return call(capsys, "measure", *more, *words.split())


def area_ft2(text: str, stride: float | None = None) -> float:
    return sum_up(read_measure(text, stride)).area_m2 / FOOT**2


@pytest.mark.parametrize(
    ("words", "ft2"),
    [
        # shapes of the University of Missouri Extension, numbers computed from its formulas
        ("rectangle 60 ft x 40 ft", 2400),
        ("rectangle 60 x 40 ft", 2400),
        ("rectangle 60x40 ft", 2400),
        ("Rectangle 20 yd by 480 in", 2400),
        ("rectangle 60 ft 6 in x 40 ft", 2420),
        ("triangle 30 ft x 20 ft", 300),
        ("triangle sides 30 40 50 ft", 600),
        ("circle radius 12 ft", 452.4),
        ("circle across 24 ft", 452.4),
        ("half-circle across 24 ft", 226.2),
        ("trapezoid 40 and 60 by 25 ft", 1250),
        ("oval 40 x 30 ft", 942.5),
        ("offsets 18 24 30 28 22 16 ft every 10 ft", 1380),
        ("offsets 18 24 30 28 22 16 every 10 ft", 1380),
        ("offsets 18 ft 24 ft 30 ft 28 ft 22 ft 16 ft every 10 ft", 1380),
        ("offsets 18 24 30 28 22 16 ft every 10 ft end-to-end", 1210),
        ("corners 0,0 60,0 60,40 0,40 ft", 2400),
        ("area 260 ft2", 260),
        ("rectangle 60 x 40 ft plus triangle 30 x 20 ft less circle radius 12 ft", 2247.6),
        ("rectangle 60 x 40 ft + triangle 30 x 20 ft - circle radius 12 ft", 2247.6),
        ("rectangle 60 x 40 ft minus area 100 ft2 setback strip 60 x 10 ft", 2300),
        # 100 ft in 38 steps is 2.63 ft a step
        ("rectangle 38 paces x 40 ft", 4000),
        ("rectangle 38 steps x 19 steps", 5000),
    ],
)
def test_an_area_by_its_words(words: str, ft2: float) -> None:
    assert area_ft2(words, 100 * FOOT / 38) == pytest.approx(ft2, abs=0.05)


def test_a_stride_is_calibrated_over_a_known_length() -> None:
    stride, metric = read_stride("100 ft = 38")
    assert (stride / FOOT, metric) == (pytest.approx(2.63, abs=0.005), False)
    assert read_stride("30 m = 40 paces") == (0.75, True)


@given(st.floats(1, 300), st.floats(1, 300))
def test_the_same_lengths_in_other_units_are_the_same_area(feet: float, wide: float) -> None:
    in_feet = area_ft2(f"rectangle {feet:.3f} ft x {wide:.3f} ft")
    yards = area_ft2(f"rectangle {float(f'{feet:.3f}') / 3:.9f} yd x {wide:.3f} ft")
    metres = area_ft2(f"rectangle {float(f'{feet:.3f}') * FOOT:.9f} m x {wide:.3f} ft")
    assert in_feet == pytest.approx(yards, rel=1e-6) == pytest.approx(metres, rel=1e-6)


@pytest.mark.parametrize(
    ("words", "what", "at", "hint"),
    [
        ("rectangel 3 x 4 ft", "no shape is called “rectangel”", "rectangel", "“rectangle”"),
        ("rectangle 3 x 4", "4 has no unit", "4", "paces"),
        ("rectangle 3 x 4 fet", "no unit of length", "fet", "“ft”"),
        ("rectangle 3 ft 4 ft", "“x” or “by” was expected", "4", "60 ft x 40 ft"),
        ("rectangle 3 ft", "was expected at the end", "", "60 ft x 40 ft"),
        ("rectangle 3 x 4 ft and circle radius 1 ft", "“and” joins nothing", "and", "plus"),
        ("rectangle 3 x 4 ft pluss circle radius 1 ft", "joins nothing", "pluss", "“plus”"),
        ("rectangle 3 x 4 ft plus", "a shape was expected", "", "rectangle"),
        ("rectangle 1,200 x 4 ft", "in two ways", ",", "60 ft x 40 ft"),
        ("rectangle -3 x 4 ft", "a length was expected", "-", ""),
        ("rectangle 3 ft 13 in x 4 ft", "12 inches", "13", ""),
        ("rectangle 3 paces x 4 paces", "your paces", "4", "--stride"),
        ("circle 12 ft", "“radius” or “across” was expected", "12", "across 24 ft"),
        ("trapezoid 40 60 x 25 ft", "“and” was expected", "60", "40 and 60"),
        ("offsets 3 4 ft", "was expected at the end", "", "every 10 ft"),
        ("offsets 3 ft every 4 ft", "two widths at the least", "offsets", ""),
        ("corners 0,0 60 40 ft", "“,” was expected", "40", "corners"),
        ("corners 0,0 2,2 2,0 0,2 m", "crosses itself", "corners", ""),
        ("triangle sides 1 2 9 m", "do not meet", "triangle", ""),
        ("rectangle 0 ft x 3 ft", "more than 0", "rectangle", ""),
        ("area 260 ft", "was expected, not “ft”", "ft", "ft2"),
        ("rectangle 9999999 x 4 ft", "too large", "9999999", ""),
        ("rectangle 3 x 4 ft setback - strip 1 x 1 ft", "by itself", "-", ""),
    ],
)
def test_words_that_are_no_measure_say_where_and_what(
    words: str, what: str, at: str, hint: str
) -> None:
    with pytest.raises(MeasureError, match=re.escape(what)) as caught:
        read_measure(words)
    assert words[caught.value.column :].startswith(at)
    assert hint in caught.value.hint


@pytest.mark.parametrize(
    ("stride", "what"),
    [
        ("38", "a length and its paces"),
        ("100 fet = 38", "no unit of length"),
        ("100 ft = 38 pcs", "are no paces"),
        ("100 ft = 3", "cannot be right"),
        ("100 ft = 0", "cannot be right"),
    ],
)
def test_a_stride_that_cannot_be(stride: str, what: str) -> None:
    with pytest.raises(MeasureError, match=what):
        read_stride(stride)


WORDS = st.lists(
    st.sampled_from(
        [
            *SHAPES,
            "sides",
            "radius",
            "across",
            "every",
            "end-to-end",
            "and",
            "x",
            ",",
            "+",
            "-",
            "plus",
            "less",
            "setback",
            "3",
            "4",
            "12.5",
            "0",
            "ft",
            "m",
            "paces",
            "ft2",
            "ü",
        ]
    ),
    max_size=12,
).map(" ".join)


@given(WORDS | st.text(max_size=30))
def test_no_words_bring_anything_but_a_measure_or_its_mistake(words: str) -> None:
    try:
        whole = sum_up(read_measure(words, 0.8))
    except MeasureError as error:
        assert 0 <= error.column <= max(len(words), 1)
    except AreaError:
        pass
    else:
        assert 0 < whole.treated_m2 <= whole.area_m2


EXAMPLE = (
    "rectangle 60 ft x 40 ft plus triangle 30 paces x 20 paces less circle radius 12 ft"
    " setback strip 60 ft x 10 ft"
)


def test_what_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    said = measure(capsys, EXAMPLE, *STRIDE)
    assert (said.code, said.err) == (Exit.DONE, "")
    assert said.out.startswith(
        """\
+       rectangle 60 ft x 40 ft       2,400 ft²
+       triangle 30 paces x 20 paces  2,078 ft²
-       circle radius 12 ft             452 ft²
setback strip 60 ft x 10 ft             600 ft²

The lawn has 4,025 ft², give or take 265 ft².
600 ft² of it are set back; 3,425 ft² are left to be treated.
A pace is 2.63 ft.

For site.toml, in the lawn's table:

    area = "4025 ft2"
    setback = "600 ft2"
"""
    )


@pytest.mark.parametrize("words", [EXAMPLE, "oval 12 x 8 m", "area 12 m2 setback area 10.2 m2"])
def test_the_lines_can_be_pasted(words: str, capsys: pytest.CaptureFixture[str]) -> None:
    """They read as what was measured, rounded to the side of less."""
    said = measure(capsys, words, *STRIDE)
    lines = "\n".join(re.findall(r"^    (\w+ = .*)$", said.out, re.MULTILINE))
    site = (
        'id = "x"\ntitle = "X"\nunits = "us"\n[place]\nlatitude = 40\nlongitude = -80\n'
        'elevation = "0 ft"\nzone = "America/New_York"\n[[lawn]]\nname = "front"\n'
        f'grass = "tall-fescue"\nsoil = "loam"\n{lines}\n'
    )
    read = read_site({"site.toml": site, "shelf.toml": "", "journal.txt": ""})
    assert read.site is not None, read.errors
    lawn = read.site.lawns[0]
    whole = sum_up(read_measure(words, 100 * FOOT / 38))
    assert whole.area_m2 - 1 < lawn.area_m2 <= whole.area_m2 + 1e-5
    assert whole.treated_m2 - 2 < lawn.treated_m2 <= whole.treated_m2 + 1e-5


def test_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    said = measure(capsys, EXAMPLE, *STRIDE, "--json")
    found = json.loads(said.out)
    assert [part["sign"] for part in found["parts"]] == ["plus", "plus", "less", "setback"]
    assert found["site"] == {"area": "4025 ft2", "setback": "600 ft2"}
    assert found["treated_m2"] == pytest.approx(found["area_m2"] - found["setback_m2"], abs=0.002)
    assert found["stride_m"] == pytest.approx(0.8021, abs=1e-4)


def test_a_mistake_is_told_with_a_caret(capsys: pytest.CaptureFixture[str]) -> None:
    said = measure(capsys, "rectangel 3 x 4 ft")
    assert said.code == Exit.WORDS
    assert said.err == (
        "no shape is called “rectangel”\n    rectangel 3 x 4 ft\n    ^^^^^^^^^\n"
        "  Did you mean “rectangle”?\n"
    )


def test_holes_that_leave_nothing_are_a_problem(capsys: pytest.CaptureFixture[str]) -> None:
    said = measure(capsys, "rectangle 3 x 4 ft less circle radius 9 ft")
    assert (said.code, said.out) == (Exit.PROBLEMS, "")
    assert "as large as" in said.err


@pytest.mark.parametrize("words", ["area 0.5 m2", "area 11 m2 setback area 10.2 m2"])
def test_what_is_no_lawn_once_rounded_is_refused(
    words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    said = measure(capsys, words)
    assert (said.code, said.out) == (Exit.PROBLEMS, "")
    assert "no lawn" in said.err


def test_the_sketch_shows_each_shape_and_its_area(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "lawn.svg"
    said = measure(capsys, EXAMPLE, *STRIDE, "--sketch", path)
    assert said.code == Exit.DONE
    root = ElementTree.fromstring(path.read_text(encoding="utf-8"))
    assert len(root.findall("{*}polygon")) == 4
    words = [text.text for text in root.findall("{*}text")]
    assert "+ 2,400 ft²" in words and "− 452 ft²" in words and "setback 600 ft²" in words
    assert "The lawn: 4,025 ft², give or take 265 ft²." in words
    assert [entry.name for entry in tmp_path.iterdir()] == ["lawn.svg"]


def test_every_shape_of_a_sketch_lies_within_it(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "lawn.svg"
    words = (
        "offsets 2 90 3 ft every 4 ft plus rectangle 300 x 2 ft plus rectangle 2 x 300 ft"
        " plus circle across 1 ft less area 3 ft2"
    )
    assert measure(capsys, words, "--sketch", path).code == Exit.DONE
    root = ElementTree.fromstring(path.read_text(encoding="utf-8"))
    _, _, wide, high = map(float, root.attrib["viewBox"].split())
    for shape in root.findall("{*}polygon"):
        for corner in shape.attrib["points"].split():
            x, y = map(float, corner.split(","))
            assert 0 <= x <= wide and 0 <= y <= high


def test_a_sketch_that_cannot_be_written_is_told(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    said = measure(capsys, "rectangle 3 x 4 ft", "--sketch", tmp_path / "none" / "x.svg")
    assert (said.code, said.out) == (Exit.PROBLEMS, "")
    assert "cannot be written" in said.err


def test_metres_are_answered_in_metres(capsys: pytest.CaptureFixture[str]) -> None:
    assert 'area = "75 m2"' in measure(capsys, "oval 12 x 8 m").out
    assert 'area = "811 ft2"' in measure(capsys, "oval 12 x 8 m", "--units", "us").out
    paced = measure(capsys, "rectangle 10 x 10 paces", "--stride", "30 m = 40")
    assert 'area = "56 m2"' in paced.out


def test_a_line_whose_number_is_rounded_says_so(capsys: pytest.CaptureFixture[str]) -> None:
    words = "rectangle 60 x 40 ft + triangle 30 x 20 ft - circle radius 12 ft"
    text = measure(capsys, f"{words} setback area 100.4 ft2").out
    assert "The lawn has 2,248 ft²" in text
    assert 'area = "2247 ft2"  # 2,248 ft² rounded down, to put down no more' in text
    assert 'setback = "101 ft2"  # 100 ft² rounded up, to put down no more' in text
    assert "#" not in measure(capsys, "rectangle 60 x 40 ft").out
