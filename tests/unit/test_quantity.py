"""Quantities: what is read, what is refused, and that the published unit definitions hold."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.series.quantity import (
    UNITS,
    Kind,
    QuantityError,
    Written,
    convert,
    example,
    read_quantity,
    read_written,
    show,
    units_of,
)

# NIST Special Publication 811 (2008), appendix B: the international foot and pound are exact, the
# gallon is 231 cubic inches, and what stands here per area follows from those. The acre is 43 560
# international square feet (NIST retired the survey foot, on which SP 811's acre rests, in 2022).
ANCHORS = [
    ("1 in", Kind.LENGTH, 0.0254),
    ("1 ft", Kind.LENGTH, 0.3048),
    ("1 in", Kind.WATER, 25.4),
    ("1 lb", Kind.MASS, 0.45359237),
    ("1 oz", Kind.MASS, 0.028349523125),
    ("1 acre", Kind.AREA, 4046.8564),
    ("1000 ft2", Kind.AREA, 92.90304),
    ("1 gal", Kind.VOLUME, 3.785412),
    ("1 fl oz", Kind.VOLUME, 0.02957353),
    ("1 mph", Kind.SPEED, 0.44704),
    ("1 lb/1000 ft2", Kind.MASS_PER_AREA, 4.88243),
    ("1 lb/acre", Kind.MASS_PER_AREA, 0.1120851),
    ("1 oz/1000 ft2", Kind.MASS_PER_AREA, 0.305152),
    ("1 kg/ha", Kind.MASS_PER_AREA, 0.1),
    ("32 F", Kind.TEMPERATURE, 0.0),
    ("212 F", Kind.TEMPERATURE, 100.0),
    ("-40 F", Kind.TEMPERATURE, -40.0),
    ("9 F", Kind.TEMPERATURE_DIFFERENCE, 5.0),
    ("1 week", Kind.DURATION, 7.0),
    ("36 km/h", Kind.SPEED, 10.0),
]


@pytest.mark.parametrize(("text", "kind", "inside"), ANCHORS)
def test_units_equal_their_published_definitions(text: str, kind: Kind, inside: float) -> None:
    assert read_quantity(text, kind) == pytest.approx(inside, rel=2e-6, abs=1e-9)


@pytest.mark.parametrize("kind", list(Kind))
def test_the_example_of_each_kind_can_be_read(kind: Kind) -> None:
    assert math.isfinite(read_quantity(example(kind), kind))


@pytest.mark.parametrize(
    ("text", "kind", "said"),
    [
        ("4,200 ft2", Kind.AREA, "two ways"),
        ("12,5 mm", Kind.WATER, "two ways"),
        ("4200", Kind.AREA, "no unit; write it like 4200 ft2"),
        ("3 lb/1000 ft", Kind.MASS_PER_AREA, "did you mean “lb/1000 ft2”"),
        ("5 F", Kind.LENGTH, "here a length is wanted"),
        ("5 in", Kind.AREA, "here an area is wanted"),
        ("5 in long", Kind.LENGTH, "“long” is left over"),
        ("", Kind.LENGTH, "a number was expected"),
        ("1e3 lb", Kind.MASS, "no unit is called “e3”"),
        ("\u0663 lb", Kind.MASS, "a number was expected"),
        ("9" * 400 + " in", Kind.LENGTH, "too large"),
    ],
)
def test_a_wrong_quantity_says_what_to_mend(text: str, kind: Kind, said: str) -> None:
    with pytest.raises(QuantityError, match=said):
        read_quantity(text, kind)


numbers = st.floats(-1e12, 1e12, allow_subnormal=False)


@given(numbers, st.sampled_from(UNITS))
def test_what_str_writes_reads_back_as_the_same(number: float, unit: str) -> None:
    written = Written(number, unit)
    assert read_written(str(written)) == (written, len(str(written)))


@given(
    st.floats(-1e6, 1e6),
    st.sampled_from([kind for kind in Kind if kind is not Kind.NUMBER]),
    st.sampled_from(["us", "metric"]),
)
def test_what_show_writes_reads_back_within_its_rounding(
    value: float, kind: Kind, units: str
) -> None:
    """All but the comma between thousands, which a file may not hold."""
    text = show(value, kind, units).replace(",", "")
    written, end = read_written(text)
    assert end == len(text)
    digits = len(text.split()[0].partition(".")[2])
    half_step = abs(Written(0.5 * 10**-digits, written.unit).as_kind(_apart(kind)))
    assert abs(written.as_kind(kind) - value) <= half_step * 1.001 + 1e-9 * abs(value)


def _apart(kind: Kind) -> Kind:
    return Kind.TEMPERATURE_DIFFERENCE if kind is Kind.TEMPERATURE else kind


@given(numbers, st.sampled_from(list(Kind)))
def test_converting_to_any_unit_of_a_kind_and_back_changes_nothing(
    value: float, kind: Kind
) -> None:
    for unit in units_of(kind):
        back = Written(convert(value, kind, unit), unit).as_kind(kind)
        assert back == pytest.approx(value, rel=1e-9, abs=1e-9)


@given(st.text())
def test_any_text_is_a_quantity_or_a_quantity_error(text: str) -> None:
    for kind in (Kind.MASS, Kind.TEMPERATURE, Kind.FRACTION):
        try:
            assert math.isfinite(read_quantity(text, kind))
        except QuantityError as error:
            assert str(error)


@pytest.mark.parametrize("unit", UNITS)
def test_a_unit_runs_into_no_longer_word(unit: str) -> None:
    with pytest.raises(QuantityError):
        read_quantity(f"1 {unit}x", next(iter(Written(1.0, unit).kinds())))
