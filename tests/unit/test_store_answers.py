"""What came by mail is kept until a digest that tells it has arrived."""

from __future__ import annotations

from datetime import UTC, date, datetime

from advisor.store.database import Store

AT = datetime(2027, 4, 11, 10, tzinfo=UTC)
ON, LATER = date(2027, 4, 11), date(2027, 4, 18)


def test_a_mail_is_known_by_its_name_and_kept_as_it_was_first() -> None:
    with Store(":memory:") as store:
        assert not store.was_read("home", "a")
        store.remember_heard("home", "a", [("front: done", True)], AT)
        store.remember_heard("home", "a", [("front: skipped", True)], AT)
        assert store.was_read("home", "a") and not store.was_read("other", "a")
        assert store.untold("home").heard == (("front: done", True),)
        assert store.untold("other").heard == ()


def test_what_was_left_is_counted_by_its_reason() -> None:
    with Store(":memory:") as store:
        store.remember_left("home", {"forged": 2, "huge": 1, "none": 0}, AT)
        store.remember_left("home", {"forged": 3}, AT)
        assert store.untold("home").left == {"forged": 5, "huge": 1}


def test_it_is_told_until_a_digest_that_tells_it_has_arrived() -> None:
    with Store(":memory:") as store:
        store.remember_heard("home", "a", [("one", True), ("two", False)], AT)
        store.remember_digest("home", ON, AT, "{}", sent=False)
        store.tell_heard("home", ON)
        assert len(store.untold("home").heard) == 2, "queued is not arrived"
        store.remember_heard("home", "b", [("three", True)], AT)
        store.mark_sent("home", ON, AT)
        assert store.untold("home").heard == (("three", True),)
        store.tell_heard("home", LATER)
        store.remember_digest("home", LATER, AT, "{}", sent=True)
        assert store.untold("home").heard == ()


def test_an_alert_of_the_same_day_tells_nothing() -> None:
    with Store(":memory:") as store:
        store.remember_heard("home", "a", [("one", True)], AT)
        store.tell_heard("home", ON)
        store.remember_digest("home", ON, AT, "{}", sent=True, purpose="alert-1")
        assert store.untold("home").heard == (("one", True),)
