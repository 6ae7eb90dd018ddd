"""Hostile text in a plan reaches neither markup, nor headers, nor a terminal."""

from __future__ import annotations

import json
import re
import unicodedata
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel
from sample_plan import sample_plan

from advisor.digest.clean import clean_lines, clean_text, cleaned, safe_url
from advisor.digest.files import plan_json
from advisor.digest.html import render_html
from advisor.digest.mail import build_mail, mail_bytes
from advisor.digest.text import render_text
from advisor.plan.model import Plan

HOSTILE = (
    "<script>alert(1)</script>",
    "x\r\nBcc: someone@example.org",
    "\u202egnisrever\u2066\u200f\u200b",
    "\x1b[31mred\x1b[0m\x1b]0;title\x07\x9b2J",
    "half \ud83d of a pair",
    'quote" onmouseover="x',
    "{{ 7 * 7 }}{% raw %}",
    "\x00\x08\x7f\ufeff\U000e0041",
)


def poisoned(part: BaseModel, text: str) -> Any:
    """The document with `text` in front of every text in it but words of a fixed set."""
    fixed = {"zone", "units", "language", "start", "end", "amount_unit", "provider_url"}

    def change(name: str, value: object) -> object:
        if type(value) is str and name not in fixed:
            return f"{text} {value}"
        if isinstance(value, BaseModel):
            return poisoned(value, text)
        if isinstance(value, tuple):
            return tuple(change(name, one) for one in value)
        return value

    names = type(part).model_fields
    return part.model_copy(update={name: change(name, getattr(part, name)) for name in names})


def is_clean(text: str) -> bool:
    """No control, format, surrogate or private character but the two joiners."""
    return all(unicodedata.category(c)[0] != "C" or c in "\n\u200c\u200d" for c in text)


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_in_every_field_stays_text(text: str) -> None:
    plan: Plan = poisoned(sample_plan(), text)
    page, plain = render_html(plan), render_text(plan)
    assert is_clean(page)
    assert is_clean(plain)
    assert "<script" not in page
    assert 'onmouseover="' not in page
    links = re.findall(r'href="([^"]*)"', page)  # a poisoned address is none any more
    assert links in ([], ["https://weather.example/licence"])
    assert "[31m" not in plain
    assert "49" not in page.split("</style>")[1].split("</h1>")[0]
    document = json.loads(plan_json(plan))
    assert is_clean(document["headline"]["text"])
    assert document["headline"]["verdict"] == "apply"


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_makes_no_header(text: str) -> None:
    plan: Plan = poisoned(sample_plan(), text)
    mail = build_mail(
        plan,
        sender="lawn@example.org",
        recipient="someone@example.org",
        text=render_text(plan),
        html=render_html(plan),
    )
    head = mail_bytes(mail).split(b"\r\n\r\n")[0].decode("ascii")
    names = [line.split(":")[0] for line in head.split("\r\n") if line[0] not in " \t"]
    assert sorted(names) == sorted(set(names))
    assert "Bcc" not in names
    assert is_clean(mail["Subject"])
    assert len(mail["Subject"]) <= 50


@given(st.text(alphabet=st.characters(), max_size=200), st.integers(1, 60))
def test_clean_text_is_clean_short_and_stays_so(text: str, limit: int) -> None:
    once = clean_text(text, limit)
    assert is_clean(once)
    assert "\n" not in once
    assert len(once) <= limit
    assert unicodedata.is_normalized("NFC", once)
    assert clean_text(once, limit) == once


def test_clean_text_keeps_what_people_write() -> None:
    for text in ("Wiese hinterm Haus, 30 m²", "草坪", "👩‍🌾 garden", "naïve café", "a ‘b’ – c…"):
        assert clean_text(text) == text
    assert clean_text("cafe\u0301") == "café"
    assert clean_text("  two\t\u00a0 spaces\n") == "two spaces"


def test_clean_lines_keeps_lines() -> None:
    assert clean_lines("a\r\n\n  b\x1b[1m\nc") == "a\nb\nc"


def test_cleaning_changes_nothing_in_a_decent_plan() -> None:
    plan = sample_plan(problems=())
    spaced = plan.model_dump_json().replace("  ", " ")  # the journal's columns
    assert cleaned(plan).model_dump_json() == spaced


@pytest.mark.parametrize(
    "url", ["javascript:alert(1)", "http://a b", 'https://x/"onclick=', "file:///etc/passwd", ""]
)
def test_only_web_addresses_become_links(url: str) -> None:
    assert safe_url(url) == ""
    weather = sample_plan().weather.model_copy(update={"attribution_url": url})
    assert "<a " not in render_html(sample_plan(weather=weather))
