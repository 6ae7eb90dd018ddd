"""The links of an answer are what RFC 6068 says a mail address with a subject and body is."""

from __future__ import annotations

import re
from email.message import EmailMessage
from email.policy import SMTP
from urllib.parse import parse_qs, unquote, urlsplit

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sample_plan import sample_plan

from advisor.digest.answering import Answering, Asked, answering
from advisor.digest.html import render_html
from advisor.digest.text import render_text
from advisor.plan.model import Verdict
from advisor.post.replies import read_reply

TOKEN = "sw1" + "abcdefgh" * 5
TEXT = st.text(st.characters(exclude_categories=("C", "Zl", "Zp")), min_size=1, max_size=40)


def of(
    title: str = "Front lawn", task: str = "feed", address: str = "lawn@example.org"
) -> Answering:
    return Answering(address, {"x": Asked(TOKEN, task, title)})


@given(TEXT)
def test_a_link_decodes_to_the_mail_that_is_meant(title: str) -> None:
    """Section 2: all that is reserved is percent-encoded, a line break is %0D%0A."""
    for link in of(title).links("x"):
        parts = urlsplit(link.url)
        assert re.fullmatch(r"mailto:[!-~]+", link.url) and " " not in link.url
        assert set(re.findall(r"[^A-Za-z0-9._~%@?=&:-]", link.url)) == set()
        assert unquote(parts.path) == "lawn@example.org"
        fields = parse_qs(parts.query, strict_parsing=True)
        assert fields["subject"] == [f"{link.label}: feed, {title} [{TOKEN}]"]
        (body,) = fields["body"]
        assert "\n" not in body.replace("\r\n", "")
        assert body.startswith(f"{link.label}\r\n\r\n-- \r\n") and body.endswith(f"{TOKEN}\r\n")
        mail = EmailMessage(policy=SMTP)
        mail["Subject"] = fields["subject"][0]
        mail.set_content(body)
        found = read_reply(mail.as_bytes())
        assert found.words.strip() == link.label
        assert TOKEN in found.subject and TOKEN in found.quoted


def test_an_address_with_odd_signs_is_escaped() -> None:
    """Section 2, item 1: `%`, `?`, `&` and the like must be encoded in an address."""
    (link, *_) = of(address="lawn+a&b?c%d@example.org").links("x")
    assert link.url.startswith("mailto:lawn%2Ba%26b%3Fc%25d@example.org?subject=")
    assert unquote(urlsplit(link.url).path) == "lawn+a&b?c%d@example.org"


@pytest.mark.parametrize(
    ("task", "labels"), [("feed", ["done", "skipped", "not yet"]), ("watering", ["done"])]
)
def test_water_is_only_done(task: str, labels: list[str]) -> None:
    assert [link.label for link in of(task=task).links("x")] == labels
    assert of().links("y") == ()


def test_each_action_and_question_has_its_answers_in_both_parts() -> None:
    plan = sample_plan()
    ask = plan.ask[0].model_copy(update={"id": "asked"})
    plan = plan.model_copy(update={"ask": (ask,)})
    signed = {}

    def sign(action_id: str) -> str:
        return signed.setdefault(action_id, f"sw1{len(signed):040d}")

    answers = answering(plan, "lawn@example.org", sign)
    to_do = {a.id for lawn in plan.lawns for a in lawn.actions if a.verdict is not Verdict.WAIT}
    assert set(signed) == to_do | {"asked"}
    text, page = render_text(plan, answers), render_html(plan, answers)
    for token in signed.values():
        assert token in " ".join(text.split()) and token in page
    assert page.count('href="mailto:') == sum(len(answers.links(one)) for one in signed)
    assert "&amp;body=" in page, "section 5: in HTML the ampersand is escaped"
    assert "mailto:" not in render_html(plan) and "sw1" not in render_text(plan)
