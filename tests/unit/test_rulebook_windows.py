"""Windows and latches of rules against plain loops over days."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_array_equal

from advisor.rulebook import latch
from advisor.rulebook.bounds import Truth
from advisor.rulebook.latch import PATIENCE, REST, State
from advisor.rulebook.tree import Said, Window
from advisor.rulebook.windows import at, beside, fold

days = st.lists(st.integers(-50, 50), min_size=1, max_size=40)
windows = st.tuples(st.integers(-45, 45), st.integers(1, 60)).map(
    lambda pair: Window(pair[0], pair[0] + pair[1] - 1)
)


@given(days, windows, st.integers(-5, 5))
def test_windows_equal_a_loop_over_days(values: list[int], window: Window, outside: int) -> None:
    """Sum, least and greatest over each day's window, where `outside` stands beyond the axis."""
    data = np.array(values, dtype=np.float64)
    for combine, plain in ((np.add, sum), (np.minimum, min), (np.maximum, max)):
        expected = []
        for it in range(len(values)):
            seen = range(it + window.first, it + window.last + 1)
            expected.append(plain(values[d] if 0 <= d < len(values) else outside for d in seen))
        assert_array_equal(fold(data, window, outside, combine), expected)


@given(days, windows)
def test_leading_axes_are_windowed_each_for_itself(values: list[int], window: Window) -> None:
    """Many lawns at once give what each gives alone."""
    data = np.array([values, values[::-1]], dtype=np.float64)
    both = fold(data, window, 0.0, np.add)
    assert_array_equal(both[0], fold(data[0], window, 0.0, np.add))
    assert_array_equal(both[1], fold(data[1], window, 0.0, np.add))


def test_infinities_stay_in_the_windows_that_hold_them() -> None:
    """Running sums would smear one infinity over all that follows."""
    data = np.array([1.0, np.inf, 1.0, 1.0, 1.0])
    found = fold(data, Window(-1, 0), 0.0, np.add)
    assert_array_equal(found, [1.0, np.inf, np.inf, 2.0, 2.0])


def test_a_day_beside_the_axis_is_outside() -> None:
    data = np.array([1.0, 2.0, 3.0])
    assert_array_equal(at(data, 1, -9.0), [2.0, 3.0, -9.0])
    assert_array_equal(at(data, -2, -9.0), [-9.0, -9.0, 1.0])
    assert beside(data, Window(-400, -1), 0.0).shape == (402,)


# Latches. Inputs are first, every (all whiles), opening, until.

answers = st.sampled_from([True, False, None])
sure = st.booleans()
Day = tuple[Said, ...]


def truth(days: Sequence[Said]) -> Truth:
    return Truth(np.array([day is True for day in days]), np.array([day is False for day in days]))


def walk(*parts: Sequence[Said]) -> tuple[list[Said], list[State]]:
    """What a latch says on each day, and its states."""
    found = latch.walk(*(truth(part) for part in parts))
    days = range(len(parts[0]))
    return [found.said(day) for day in days], list(found.states)


def step_by_step(*parts: Sequence[Said]) -> tuple[list[Said], list[State]]:
    """The same by the words of the module, one day after the other."""
    answers: list[Said] = []
    states: list[State] = []
    state = State.WAITING
    rested = missed = 0
    for first, every, opens, shuts in zip(*parts, strict=True):
        missed = missed + 1 if shuts is None else 0
        lost = missed > PATIENCE
        rested = 0 if first else rested + (first is False)
        if rested >= REST:
            state = State.WAITING
        if state is State.WAITING and opens and not lost:
            state = State.SHUT if shuts else State.OPEN
        elif state is State.OPEN and shuts:
            state = State.SHUT
        in_doubt = lost and (state is State.OPEN or bool(state is State.WAITING and opens))
        answer: Said
        if shuts or state is State.SHUT or every is False:
            answer = False
        elif in_doubt:
            answer = None
        elif state is State.OPEN:
            answer = every
        else:
            answer = False if opens is False else None
        answers.append(answer)
        states.append(State.NOT_KNOWN if in_doubt else state)
    return answers, states


def lawns(said: st.SearchStrategy[bool | None]) -> st.SearchStrategy[list[tuple[bool | None, ...]]]:
    """Runs of days with inputs that can occur together: `every` implies `first`, and so on."""
    day = st.tuples(said, said, said, said).map(
        lambda d: (d[0], both(d[0], d[1]), both(d[0], d[2]), d[3])
    )
    run = st.tuples(day, st.integers(1, 80)).map(lambda pair: [pair[0]] * pair[1])
    return st.lists(run, min_size=1, max_size=12).map(lambda runs: [d for r in runs for d in r])


def both(one: bool | None, other: bool | None) -> bool | None:
    if one is False or other is False:
        return False
    return None if one is None or other is None else True


@settings(max_examples=300)
@given(lawns(answers))
def test_a_latch_says_what_a_walk_of_its_days_says(inputs: list[tuple[bool | None, ...]]) -> None:
    assert walk(*zip(*inputs, strict=True)) == step_by_step(*zip(*inputs, strict=True))


@given(lawns(answers), lawns(answers))
def test_latches_of_one_array_are_each_for_itself(one: list[Day], other: list[Day]) -> None:
    days = min(len(one), len(other))
    pair = [list(zip(*inputs[:days], strict=True)) for inputs in (one, other)]
    parts = [[truth(inputs[k]) for inputs in pair] for k in range(4)]
    stacked = [
        Truth(np.stack([t.yes for t in part]), np.stack([t.no for t in part])) for part in parts
    ]
    found = latch.walk(*stacked)
    for i in range(2):
        alone = latch.walk(*(part[i] for part in parts))
        for together, single in zip(found, alone, strict=True):
            assert_array_equal(together[i], single)


@given(lawns(answers))
def test_an_open_window_has_all_its_conditions_and_no_until(
    inputs: list[tuple[bool | None, ...]],
) -> None:
    """Whatever the memory says: open needs every `while` to hold, and `until` not to."""
    said, _ = walk(*zip(*inputs, strict=True))
    for (_, every, _, until), answer in zip(inputs, said, strict=True):
        if answer:
            assert every is True
            assert until is not True
        if every is False or until:
            assert answer is False


@given(lawns(answers))
def test_a_window_that_was_shut_stays_shut_until_the_season_is_over(
    inputs: list[tuple[bool | None, ...]],
) -> None:
    """Between an opening, an `until` and the next opening lie 60 days that are known to be off.

    They count from the last open day on: `until` may come while the season rests already.
    """
    said, _ = walk(*zip(*inputs, strict=True))
    last_open: int | None = None
    shut = False
    for day, (_, _, _, until) in enumerate(inputs):
        if said[day]:
            if shut and last_open is not None:
                off = [inputs[d][0] for d in range(last_open + 1, day)]
                assert sum(first is False for first in off) >= REST
            last_open, shut = day, False
        elif until and last_open is not None:
            shut = True


@given(lawns(answers))
def test_the_first_open_day_is_one_on_which_it_was_known_to_open(
    inputs: list[tuple[bool | None, ...]],
) -> None:
    """An unknown never opens anything."""
    said, _ = walk(*zip(*inputs, strict=True))
    if True in said:
        assert any(opening for _, _, opening, _ in inputs[: said.index(True) + 1])


@given(lawns(sure))
def test_known_inputs_give_known_answers(inputs: list[tuple[bool, ...]]) -> None:
    """A latch invents no doubt."""
    said, states = walk(*zip(*inputs, strict=True))
    assert None not in said
    assert State.NOT_KNOWN not in states


@given(lawns(sure), st.data())
def test_short_gaps_of_until_do_not_smear(
    inputs: list[tuple[bool, ...]], data: st.DataObject
) -> None:
    """Up to five unknown days of an `until` that is off change no answer."""
    quiet = [(first, every, opening, False) for first, every, opening, _ in inputs]
    start = data.draw(st.integers(0, len(quiet) - 1))
    gap = [
        (*day[:3], None if start <= i < start + PATIENCE else day[3]) for i, day in enumerate(quiet)
    ]
    assert walk(*zip(*gap, strict=True))[0] == walk(*zip(*quiet, strict=True))[0]


def season(**runs: int) -> list[tuple[bool | None, ...]]:
    """Days by name and length: cold, warm, hot, dark (out of season), gap (until unknown)."""
    kinds: dict[str, tuple[bool | None, ...]] = {
        "cold": (True, True, False, False),
        "warm": (True, True, True, False),
        "hot": (True, True, True, True),
        "dark": (False, False, False, False),
        "gap": (True, True, False, None),
    }
    return [
        kinds[name.rstrip("0123456789")] for name, length in runs.items() for _ in range(length)
    ]


def opened(inputs: list[tuple[bool | None, ...]]) -> list[int]:
    return [day for day, said in enumerate(walk(*zip(*inputs, strict=True))[0]) if said]


def test_once_keeps_a_window_open_through_a_cold_spell() -> None:
    """A false spring opens one window, not three."""
    year = season(cold1=10, warm1=3, cold2=5, warm2=3, cold3=4, warm3=2, hot=5, warm4=9)
    assert opened(year) == list(range(10, 27))


def test_after_sixty_days_out_of_season_a_window_may_open_again() -> None:
    assert opened(season(warm1=2, hot=1, dark=REST, warm2=2)) == [0, 1, 63, 64]
    assert opened(season(warm1=2, hot=1, dark=REST - 1, warm2=2)) == [0, 1]


def test_a_season_that_begins_hot_opens_nothing_when_it_cools() -> None:
    """`until` wins where both hold, and the window is over."""
    assert opened(season(hot=3, warm=5)) == []


def test_a_long_gap_of_until_is_unknown_until_it_is_known_again() -> None:
    said, states = walk(*zip(*season(warm1=2, gap=8, cold=2), strict=True))
    assert said == [True] * (2 + PATIENCE) + [None] * 3 + [True] * 2
    assert states[8] is State.NOT_KNOWN
