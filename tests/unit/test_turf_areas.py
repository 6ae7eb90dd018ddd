"""Areas: what any measure of them keeps to, and what encloses none."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.turf.areas import (
    BY_OFFSETS,
    PACED,
    TAPED,
    AreaError,
    Length,
    Shape,
    circle,
    half_circle,
    offsets,
    oval,
    polygon,
    rectangle,
    together,
    trapezoid,
    triangle,
    triangle_of_sides,
)

METRES = st.floats(0.5, 200)
LENGTHS = st.builds(Length, METRES, st.sampled_from([PACED, TAPED]))


def shoelace(shape: Shape) -> float:
    """The area within the outline, worked out by itself."""
    around = [*shape.outline, shape.outline[0]]
    twice = sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in itertools.pairwise(around))
    return abs(twice) / 2


STRAIGHT = st.one_of(
    st.builds(rectangle, LENGTHS, LENGTHS),
    st.builds(triangle, LENGTHS, LENGTHS),
    st.builds(trapezoid, LENGTHS, LENGTHS, LENGTHS),
    st.builds(
        offsets, st.lists(LENGTHS, min_size=2, max_size=8), LENGTHS, end_to_end=st.booleans()
    ),
)
ROUND = st.one_of(
    st.builds(circle, LENGTHS), st.builds(half_circle, LENGTHS), st.builds(oval, LENGTHS, LENGTHS)
)


@given(STRAIGHT)
def test_the_outline_encloses_the_area(shape: Shape) -> None:
    assert shoelace(shape) == pytest.approx(shape.area_m2)


@given(ROUND)
def test_a_round_outline_encloses_nearly_the_area(shape: Shape) -> None:
    """Of 72 corners it lacks two thousandths at the most."""
    assert 0.997 * shape.area_m2 < shoelace(shape) <= shape.area_m2


@given(LENGTHS, LENGTHS, LENGTHS, st.floats(0.1, 10))
def test_an_area_grows_with_the_square_of_its_lengths(
    a: Length, b: Length, c: Length, by: float
) -> None:
    def scaled(one: Length) -> Length:
        return Length(one.metres * by, one.doubt)

    for shape, measures in (
        (rectangle, (a, b)),
        (triangle, (a, b)),
        (oval, (a, b)),
        (trapezoid, (a, b, c)),
        (circle, (a,)),
        (half_circle, (a,)),
    ):
        small, large = shape(*measures), shape(*map(scaled, measures))
        assert large.area_m2 == pytest.approx(small.area_m2 * by**2)
        assert large.doubt_m2 == pytest.approx(small.doubt_m2 * by**2)


@given(METRES, METRES, st.floats(0.05, math.pi - 0.05))
def test_three_sides_agree_with_half_the_product_times_the_sine(
    a: float, b: float, angle: float
) -> None:
    """The area of a triangle from two sides and the angle between them (plane trigonometry)."""
    c = math.sqrt(a**2 + b**2 - 2 * a * b * math.cos(angle))
    found = triangle_of_sides(Length(a), Length(b), Length(c))
    assert found.area_m2 == pytest.approx(a * b * math.sin(angle) / 2, rel=1e-6)
    assert shoelace(found) == pytest.approx(found.area_m2, rel=1e-6)


def test_a_right_angled_triangle_by_its_sides() -> None:
    assert triangle_of_sides(Length(5), Length(3), Length(4)).area_m2 == pytest.approx(6)


@pytest.mark.parametrize("sides", [(1, 2, 3), (1, 2, 9), (10, 4, 5)])
def test_sides_that_do_not_meet(sides: tuple[float, float, float]) -> None:
    with pytest.raises(AreaError, match="do not meet"):
        triangle_of_sides(*map(Length, sides))


@given(st.lists(METRES, min_size=2, max_size=9), METRES)
def test_both_readings_of_offsets(widths: list[float], step: float) -> None:
    """Strip by strip, and as a row of trapezoids between one width and the next."""
    lengths = [Length(width) for width in widths]
    whole = offsets(lengths, Length(step))
    assert whole.area_m2 == pytest.approx(sum(width * step for width in widths))
    between = offsets(lengths, Length(step), end_to_end=True)
    pairs = itertools.pairwise(widths)
    assert between.area_m2 == pytest.approx(sum((a + b) / 2 * step for a, b in pairs))
    assert whole.doubt_m2 == pytest.approx(whole.area_m2 * (2 * TAPED + BY_OFFSETS))


def test_offsets_of_a_right_triangle_end_to_end() -> None:
    """Widths that rise evenly from nearly nothing make half of base times height."""
    lengths = [Length(max(n, 1e-9)) for n in range(11)]
    assert offsets(lengths, Length(1), end_to_end=True).area_m2 == pytest.approx(50)


def test_a_polygon_in_either_turn() -> None:
    """An L of 60 by 40 less 20 by 10."""
    corners = [(0.0, 0.0), (60.0, 0.0), (60.0, 30.0), (40.0, 30.0), (40.0, 40.0), (0.0, 40.0)]
    assert polygon(corners).area_m2 == pytest.approx(2200)
    assert polygon(corners[::-1]).area_m2 == pytest.approx(2200)


@given(LENGTHS, LENGTHS, st.floats(0, 2 * math.pi))
def test_a_turned_rectangle_by_its_corners(a: Length, b: Length, turn: float) -> None:
    corners = [
        (x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn))
        for x, y in rectangle(a, b).outline
    ]
    assert polygon(corners).area_m2 == pytest.approx(a.metres * b.metres)


@pytest.mark.parametrize(
    ("corners", "why"),
    [
        ([(0, 0), (1, 0)], "three of them"),
        ([(0, 0), (1, 0), (2, 0)], "one line"),
        ([(0, 0), (2, 2), (2, 0), (0, 2)], "crosses itself"),
        ([(0, 0), (4, 0), (4, 4), (2, 0), (0, 4)], "crosses itself"),
        ([(0, 0), (4, 0), (4, 4), (0, 0), (0, 4)], "crosses itself"),
    ],
)
def test_corners_that_enclose_nothing_sure(corners: list[tuple[float, float]], why: str) -> None:
    with pytest.raises(AreaError, match=why):
        polygon(corners)


@pytest.mark.parametrize("metres", [0, -1, math.nan, math.inf])
def test_a_length_is_more_than_nothing(metres: float) -> None:
    with pytest.raises(AreaError):
        Length(metres)


SHAPES = st.one_of(STRAIGHT, ROUND)


@given(st.lists(SHAPES, min_size=1, max_size=4), SHAPES)
def test_shapes_add_up_whatever_their_order(shapes: list[Shape], more: Shape) -> None:
    whole = together([*shapes, more])
    assert whole.area_m2 == pytest.approx(together(shapes).area_m2 + more.area_m2)
    assert whole.area_m2 == pytest.approx(together([more, *reversed(shapes)]).area_m2)


@given(
    st.lists(SHAPES, min_size=1, max_size=3), st.lists(SHAPES, max_size=3),
    st.lists(SHAPES, max_size=2),
)  # fmt: skip
def test_what_is_taken_off_never_leaves_less_than_nothing(
    added: list[Shape], taken: list[Shape], setbacks: list[Shape]
) -> None:
    try:
        whole = together(added, taken, setbacks)
    except AreaError:
        left = sum(s.area_m2 for s in added) - sum(s.area_m2 for s in taken)
        assert left - sum(s.area_m2 for s in setbacks) <= 1e-6 * (1 + abs(left))
    else:
        assert 0 < whole.treated_m2 <= whole.area_m2 <= sum(s.area_m2 for s in added) + 1e-9
        assert whole.doubt_m2 == pytest.approx(sum(s.doubt_m2 for s in (*added, *taken)))


def test_nothing_measured_is_no_lawn() -> None:
    with pytest.raises(AreaError, match="nothing was measured"):
        together([], [circle(Length(1))])
