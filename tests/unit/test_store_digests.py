"""Digests in the store: only what was sent was advised, and what was sent stays as it was."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.store.database import Store

ON = date(2026, 4, 10)
AT = datetime(2026, 4, 10, 9, 0, tzinfo=UTC)


@pytest.fixture
def store() -> Iterator[Store]:
    with Store(":memory:") as opened:
        yield opened


def test_only_what_was_sent_was_advised_in_order(store: Store) -> None:
    week = timedelta(days=7)
    store.remember_digest("home", ON + week, AT + week, '{"n": 2}', sent=True)
    store.remember_digest("home", ON, AT, '{"n": 1}', sent=True)
    store.remember_digest("home", ON + 2 * week, AT + 2 * week, '{"n": 3}', sent=False)
    store.remember_digest("other", ON, AT, '{"n": 9}', sent=True)
    assert store.sent_plans("home", AT + 9 * week) == [{"n": 1}, {"n": 2}]
    assert store.sent_plans("home", AT + week) == [{"n": 1}]
    assert store.sent_plans("nobody", AT + week) == []
    assert store.last_sent("home") == ON + week
    assert store.last_sent("nobody") is None


def test_what_was_advised_is_the_actions_of_sent_digests_without_the_waits(store: Store) -> None:
    plan = {
        "lawns": [
            {"name": "front", "actions": [{"verdict": "apply", "id": 1}, {"verdict": "wait"}]},
            {"name": "back", "actions": [{"verdict": "water", "id": 2}]},
        ]
    }
    week = timedelta(days=7)
    store.remember_digest("home", ON, AT, json.dumps(plan), sent=True)
    store.remember_digest("home", ON + week, AT + week, '{"lawns": []}', sent=True)
    store.remember_digest("home", ON + 2 * week, AT + 2 * week, json.dumps(plan), sent=False)
    first, second = store.advised("home", AT + 9 * week)
    assert first.on == ON
    assert first.actions == [
        ("front", {"verdict": "apply", "id": 1}),
        ("back", {"verdict": "water", "id": 2}),
    ]
    assert (second.on, second.actions) == (ON + week, [])
    assert store.advised("home", AT) == []


def test_written_first_and_sent_later_is_sent_once(store: Store) -> None:
    store.remember_digest("home", ON, AT, '{"n": 1}', sent=False)
    assert store.last_sent("home") is None
    store.remember_digest("home", ON, AT, '{"n": 2}', sent=True)
    assert store.sent_plans("home", AT + timedelta(1)) == [{"n": 2}]


def test_what_was_sent_is_never_taken_back_or_changed(store: Store) -> None:
    store.remember_digest("home", ON, AT, '{"n": 1}', sent=True)
    store.remember_digest("home", ON, AT, '{"n": 2}', sent=False)
    store.remember_digest("home", ON, AT, '{"n": 3}', sent=True)
    assert store.sent_plans("home", AT + timedelta(1)) == [{"n": 1}]


def test_an_instant_is_the_same_in_any_zone(store: Store) -> None:
    there = AT.astimezone(timezone(timedelta(hours=-5)))
    store.remember_digest("home", ON, there, "{}", sent=False)
    store.remember_digest("home", ON, AT, "{}", sent=True)
    assert len(store.sent_plans("home", AT + timedelta(microseconds=1))) == 1
    assert store.sent_plans("home", AT) == []


@pytest.mark.parametrize("plan", ["", "[]", "1", '{"n": NaN}', '{"n": -Infinity}', '{"n": 1', "x"])
def test_what_is_no_plan_document_is_refused(store: Store, plan: str) -> None:
    with pytest.raises(ValueError):
        store.remember_digest("home", ON, AT, plan, sent=True)
    assert store.last_sent("home") is None


def test_an_instant_without_a_zone_is_refused(store: Store) -> None:
    with pytest.raises(ValueError, match="zone"):
        store.remember_digest("home", ON, AT.replace(tzinfo=None), "{}", sent=True)


JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=[]), max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.text(st.characters(exclude_categories=[]), max_size=8), inner, max_size=3
        )
    ),
    max_leaves=8,
)


@given(st.dictionaries(st.text(max_size=8), JSON, max_size=4), st.booleans())
def test_any_plan_document_comes_back_as_it_was(plan: dict[str, object], ascii_only: bool) -> None:
    """Also with signs that SQLite cannot hold as they are (lone surrogates, NUL)."""
    with Store(":memory:") as store:
        store.remember_digest("home", ON, AT, json.dumps(plan, ensure_ascii=ascii_only), sent=True)
        assert store.sent_plans("home", AT + timedelta(1)) == [plan]
