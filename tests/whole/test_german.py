"""A site that speaks German: all that its reader sees, over the demo's year.

The demo is invented; nothing here says anything of agronomy.
"""

from __future__ import annotations

import email
import email.policy
import re
import shutil
from datetime import date
from pathlib import Path

import pytest
from demo_year import FOLDER, decide_on, demo_site, morning, read_on
from icalendar import Calendar

from advisor.cli.main import main
from advisor.digest.html import render_html
from advisor.digest.mail import LONGEST_SUBJECT
from advisor.digest.text import render_text
from advisor.digest.words import columns
from advisor.plan.model import Plan
from advisor.service.decide import Decision, decide
from advisor.service.send import write
from advisor.site.place import Site
from advisor.store.database import Store

DAYS = tuple(date(2025, month, day) for month in range(1, 13) for day in (1, 9, 20))

ENGLISH = re.compile(
    r"\b(?:the|and|with|until|of|is|are|no|not|from|by|which|this|that|its?|your|days?|hours?"
    r"|water|soil|lawns?|wait|apply|feeding|likely|nothing)\b"
)
"""Words that no German text has. Names that the demo's owner gave, and titles of publications, are
taken out first."""


def german() -> Site:
    return demo_site().model_copy(update={"language": "de"})


def decided(day: date, site: Site) -> tuple[Decision, Store]:
    store = Store(":memory:")
    decide_on(day, store)
    read = read_on(day)
    return decide(read, site, store, morning(day), season=True), store


@pytest.fixture(scope="module")
def plans() -> dict[date, tuple[Plan, Plan]]:
    """Of each day the English and the German plan."""
    found = {}
    for day in DAYS:
        store = Store(":memory:")
        english = decide_on(day, store).plan
        found[day] = english, decide(read_on(day), german(), store, morning(day)).plan
    return found


def skeleton(plan: Plan) -> object:
    """What a plan decides, without a word."""
    return (
        plan.headline.verdict, plan.headline.task, plan.headline.lawn, plan.headline.day,
        [
            (lawn.name, action.id, action.verdict, action.rule, action.day, action.start,
             action.end, action.look_again, action.closes, action.water_mm, action.held,
             action.dose and (action.dose.product, action.dose.amount))
            for lawn in plan.lawns for action in lawn.actions
        ],
        [(one.lawn, one.task, one.likely, one.earliest, one.latest) for one in plan.next],
    )  # fmt: skip


def test_it_decides_as_in_english(plans: dict[date, tuple[Plan, Plan]]) -> None:
    for english, spoken in plans.values():
        assert skeleton(english) == skeleton(spoken)


def test_every_subject_fits_a_phone(plans: dict[date, tuple[Plan, Plan]]) -> None:
    for _, plan in plans.values():
        assert len(plan.headline.subject) <= LONGEST_SUBJECT
        assert plan.headline.subject.split(":")[0] in {"Ausbringen", "Abwarten", "Wässern"}


def left(text: str, plan: Plan) -> str:
    """The text without what stands as its owner or a publication wrote it."""
    given = [plan.site.title, plan.weather.attribution]
    given += [product.reentry or "" for product in read_on(plan.on).files.shelf.products]
    for lawn in plan.lawns:
        given.append(lawn.title)
        for action in lawn.actions:
            given += [action.source, action.burn.source if action.burn else ""]
            given.append(action.dose.title if action.dose else "")
            given += [one.text.replace("_", " ") for one in action.evidence]
    for one in sorted(filter(None, given), key=len, reverse=True):
        text = text.replace(one, "")
    return text


def test_no_english_word_is_left_in_a_digest(plans: dict[date, tuple[Plan, Plan]]) -> None:
    for day, (_, plan) in plans.items():
        flat = " ".join(render_text(plan).split())
        rest = left(flat, plan)
        found = [rest[max(0, m.start() - 60) : m.end() + 30] for m in ENGLISH.finditer(rest)]
        assert found == [], day


def test_lines_keep_their_width(plans: dict[date, tuple[Plan, Plan]]) -> None:
    for _, plan in plans.values():
        for line in render_text(plan).splitlines():
            assert columns(line) <= 72 or " " not in line.strip(), line


def test_dates_and_numbers_are_german(plans: dict[date, tuple[Plan, Plan]]) -> None:
    """CLDR: a decimal comma, day before month."""
    _, plan = plans[date(2025, 7, 9)]
    text = render_text(plan)
    assert "Mi, 9. Jul" in text
    assert "0,66 in" in text and "0.66" not in text
    assert '<html lang="de-DE">' in render_html(plan)


def test_a_mail_speaks_it_in_each_of_its_parts(plans: dict[date, tuple[Plan, Plan]]) -> None:
    """Subject, text, page with its pictures' words, and calendar: as read by RFC 2047 and 5545."""
    _, plan = plans[date(2025, 7, 9)]
    written = write(plan, german().mail).mail
    mail = email.message_from_bytes(written, policy=email.policy.default)
    assert mail["Subject"] == "Wässern: Front lawn, Mi, 9. Jul, und noch 1"
    plain, page = mail.get_body(("plain",)), mail.get_body(("html",))
    assert plain is not None and page is not None
    assert "So wird es gemacht" in plain.get_content()
    assert 'alt="Boden in 2 in Tiefe' in page.get_content()
    (attached,) = mail.iter_attachments()
    entries = Calendar.from_ical(attached.get_payload(decode=True)).walk("VEVENT")
    assert entries
    for entry in entries:
        assert str(entry["SUMMARY"]).startswith("Wässern")


def test_the_service_writes_german_mails(tmp_path: Path) -> None:
    """A whole turn of a site whose file says so, delivered into its Maildir."""
    folder, state = tmp_path / "site", tmp_path / "state"
    shutil.copytree(FOLDER, folder)
    text = (folder / "site.toml").read_text(encoding="utf-8")
    (folder / "site.toml").write_text(
        text.replace('units = "us"', 'units = "us"\nlanguage = "de"', 1), encoding="utf-8"
    )
    assert main(["digest", str(folder), "--send", "--state", str(state)]) == 0
    kept = state / "tansy-hollow"
    (letter,) = (kept / "mail" / "new").iterdir()
    mail = email.message_from_bytes(letter.read_bytes(), policy=email.policy.default)
    assert str(mail["Subject"]).startswith("Ausbringen: Keimsperre")
    season = (kept / "season.html").read_text(encoding="utf-8")
    assert '<html lang="de-DE">' in season and "Rasentagebuch" in season
