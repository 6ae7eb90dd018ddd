"""What an owner's rule files change, in sentences, and for each lawn of a site."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from plan_cases import GENEROUS, NOW, book, files, given, holds, lawn, opens, weather

from advisor.plan.differing import sentence, what_differs
from advisor.rulebook.book import Rule, RuleKind
from advisor.rulebook.differs import Change, Days, Difference, Run, Why

FIRST = date(2025, 12, 30)
DAYS = [FIRST + timedelta(n) for n in range(120)]
TODAY = 100
"""9 April 2026; day 2 is New Year's."""


def rule(kind: RuleKind, *, hourly: bool = False, broken: bool = False) -> Rule:
    return Rule(
        "spring-barrier", kind, ("pre-emergent",), (), "", "", "my.rules", 1,
        hourly=hourly, broken=broken,
    )  # fmt: skip


def said(
    own: list[Run] | None,
    shipped: list[Run] | None,
    kind: RuleKind = RuleKind.OPENS,
    units: str = "us",
    why: Why = Why.SETTING,
    unknown: tuple[Run, ...] = (),
) -> str:
    each = rule(kind)
    change = Change(each.name, why, each, each if why is not Why.OFF else None, ())
    before = None if shipped is None else Days(tuple(shipped), ())
    after = None if own is None else Days(tuple(own), unknown)
    return sentence(Difference(change, before, after), DAYS, TODAY, units)


MARCH = 61
"""1 March 2026."""


@pytest.mark.parametrize(
    ("own", "shipped", "text"),
    [
        (
            [(MARCH + 17, MARCH + 32)],
            [(MARCH + 13, MARCH + 32)],
            "opens 4 days later: Mar 18 to Apr 2; shipped Mar 14 to Apr 2.",
        ),
        (
            [(MARCH + 12, MARCH + 31)],
            [(MARCH + 13, MARCH + 32)],
            "opens 1 day earlier and shuts 1 day earlier: Mar 13 to Apr 1; shipped Mar 14 to"
            " Apr 2.",
        ),
        ([(MARCH, MARCH + 4)], [(MARCH, MARCH + 2)],
         "shuts 2 days later: Mar 1 to Mar 5; shipped Mar 1 to Mar 3."),
        ([(MARCH, MARCH)], [(MARCH, MARCH)], "is open Mar 1, as shipped."),
        ([], [], "is open on none of these days, as shipped."),
        ([], [(MARCH, MARCH + 1)], "is open on none of these days; shipped Mar 1 to Mar 2."),
        ([(MARCH, MARCH + 1)], [], "is open Mar 1 to Mar 2; shipped on none of these days."),
        (
            [(MARCH, MARCH + 1), (MARCH + 5, MARCH + 5)],
            [(MARCH, MARCH)],
            "is open on 3 days rather than 1: Mar 1 to Mar 2, Mar 6; shipped Mar 1.",
        ),
        ([(1, 2)], [(1, 3)],
         "shuts 1 day earlier: Dec 31 2025 to Jan 1; shipped Dec 31 2025 to Jan 2."),
    ],
)  # fmt: skip
def test_a_window_that_opens_otherwise(own: list[Run], shipped: list[Run], text: str) -> None:
    assert said(own, shipped) == f"With your files “spring-barrier” {text}"


def test_each_kind_has_its_verbs() -> None:
    runs: tuple[list[Run], list[Run]] = ([(MARCH + 1, MARCH + 2)], [(MARCH, MARCH + 1)])
    assert "holds 1 day later and lets go 1 day later" in said(*runs, RuleKind.HOLDS)
    assert "asks 1 day later and stops asking 1 day later" in said(*runs, RuleKind.WATERS)
    assert "speaks 1 day later and falls silent 1 day later" in said(*runs, RuleKind.NOTES)


def test_days_are_written_as_their_reader_writes_them() -> None:
    assert "2 Mar to 3 Mar" in said([(MARCH + 1, MARCH + 2)], [], units="metric")


def test_of_many_stretches_the_latest_are_told() -> None:
    many: list[Run] = [(2 * n, 2 * n) for n in range(20)]
    assert said(many, many).endswith("Feb 4, Feb 6 (14 more before), as shipped.")


def test_rules_that_one_side_lacks() -> None:
    off = said(None, [(MARCH, MARCH + 1)], RuleKind.HOLDS, why=Why.OFF)
    assert off == (
        "With your files “spring-barrier” is switched off; shipped it holds Mar 1 to Mar 2."
    )
    assert "is not for this lawn" in said(None, [(MARCH, MARCH)], why=Why.REPLACED)
    added = said([(MARCH, MARCH)], None, why=Why.ADDED)
    assert added == "“spring-barrier” is yours alone; it is open Mar 1."


def test_a_hold_that_cannot_be_told_is_said_to_hold() -> None:
    """Or an owner would take it for one that never does."""
    text = said([], None, RuleKind.HOLDS, why=Why.ADDED, unknown=((MARCH, MARCH + 3),))
    assert text.endswith("It cannot be told, and so holds, Mar 1 to Mar 4.")
    gap = ((MARCH, MARCH + 3),)
    more = said([(1, 2)], [(1, 2)], RuleKind.OPENS, unknown=gap)
    assert more.endswith("as shipped. It cannot be told Mar 1 to Mar 4.")


def test_what_neither_can_tell_is_no_difference() -> None:
    each, gap = rule(RuleKind.HOLDS), ((MARCH, MARCH + 3),)
    change = Change(each.name, Why.SETTING, each, each, ())
    same = Difference(change, Days(((1, 2),), gap), Days(((1, 1),), gap))
    assert "cannot be told" not in sentence(same, DAYS, TODAY, "us")


def test_a_broken_rule_holds_on_every_day() -> None:
    each = rule(RuleKind.HOLDS, broken=True)
    found = Difference(Change(each.name, Why.ADDED, None, each, ()), None, None)
    assert "cannot be read, so it holds on every day" in sentence(found, DAYS, TODAY, "us")


@pytest.mark.parametrize(
    ("shipped", "own", "text"),
    [
        (5, 6, "With your files “spring-barrier” holds in 6 hours to come; shipped in 5 hours."),
        (1, None, "With your files “spring-barrier” is not asked; shipped it holds in 1 hour to"
         " come."),
        (None, 2, "“spring-barrier” is yours alone; it holds in 2 hours to come."),
    ],
)  # fmt: skip
def test_an_hour_rule_is_told_by_hours(shipped: int | None, own: int | None, text: str) -> None:
    each = rule(RuleKind.HOLDS, hourly=True)
    change = Change(each.name, Why.SETTING, each, each, ())
    found = Difference(change, None, None, shipped, own)
    assert sentence(found, DAYS, TODAY, "us") == text


SHIPPED = book(opens(), holds())


def test_each_lawn_is_looked_at_with_its_own_facts() -> None:
    """The window of a lawn whose grass the owner's rule leaves out is gone there alone."""
    own = book(opens().replace("  while", "  on bermudagrass\n  while"), holds())
    own = replace(own, rules={name: replace(r, own=r.name != "hold-feed") for name, r in
                              own.rules.items()})  # fmt: skip
    site = files(lawn(more=GENEROUS), lawn("back", grass="bermudagrass", more=GENEROUS))
    found = what_differs(given(site, own, weather()), SHIPPED, NOW)
    front, back = found.lawns
    assert "is not for this lawn" in front.rules[0].text
    assert back.rules[0].text.endswith("as shipped.")
    assert (front.rules[0].name, front.rules[0].why) == ("open-feed", "replaced")
    assert found.last_day == date(2026, 5, 22)


def test_only_the_lawn_and_rule_that_were_asked_for() -> None:
    own = book(opens(name="mine"), holds(name="my-hold"))
    site = files(lawn(more=GENEROUS), lawn("back", more=GENEROUS))
    found = what_differs(given(site, own, weather()), SHIPPED, NOW, lawn="back", rule="mine")
    assert [(part.name, [r.name for r in part.rules]) for part in found.lawns] == [
        ("back", ["mine"])
    ]


def test_without_weather_it_says_why() -> None:
    found = what_differs(given(files(), SHIPPED, None), SHIPPED, NOW)
    assert (found.lawns, found.first_day) == ((), None)
    assert found.cannot_tell == "There is no forecast: none could be fetched yet."
