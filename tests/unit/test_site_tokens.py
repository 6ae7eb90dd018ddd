"""Tokens of answers: what is signed is read back, and nothing else is."""

from __future__ import annotations

import base64
import hashlib
import hmac
import textwrap
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.site.tokens import (
    KEY_BYTES,
    VALID_FOR,
    Refused,
    Token,
    find,
    name_of,
    read,
    sign,
    without,
)

KEY = bytes(range(32))
OTHER = bytes(range(1, 33))
SITE = "tansy-hollow"
ID = "pre-emergent/front/2025-04-01"
DAY = date(2025, 3, 30)
DAYS = st.dates(date(2020, 1, 1), date(2199, 1, 1))


def token(site: str = SITE, key: bytes = KEY, action: str = ID, issued: date = DAY) -> str:
    return sign(key, site, action, issued)


@pytest.mark.parametrize(
    ("key", "data", "mac"),
    [
        # RFC 4231, section 4, test cases 1, 2, 3 and 6: HMAC-SHA-256.
        (
            b"\x0b" * 20,
            b"Hi There",
            "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7",
        ),
        (
            b"Jefe",
            b"what do ya want for nothing?",
            "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843",
        ),
        (
            b"\xaa" * 20,
            b"\xdd" * 50,
            "773ea91e36800e46854db8ebd09181a72959098b3ef8c122d9635514ced565fe",
        ),
        (
            b"\xaa" * 131,
            b"Test Using Larger Than Block-Size Key - Hash Key First",
            "60e431591ee0b67f0d8a26aacbf5b77f8e0bc6213728c5140546040f0ee37f54",
        ),
    ],
)
def test_the_hash_is_that_of_the_standard(key: bytes, data: bytes, mac: str) -> None:
    assert hmac.new(key, data, hashlib.sha256).hexdigest() == mac


def test_a_token_carries_what_was_signed_and_half_of_the_hash_over_it() -> None:
    """Worked out here from the form that the module's first lines tell, by hand."""
    whole = base64.b32decode(token()[3:].upper())
    days = (DAY - date(2020, 1, 1)).days
    said = days.to_bytes(2, "big") + hashlib.sha256(ID.encode()).digest()[:7]
    parts = [b"swardcast answer", b"sw1", SITE.encode(), said]
    signed = b"".join(len(p).to_bytes(4, "big") + p for p in parts)
    assert whole == said + hmac.digest(KEY, signed, "sha256")[:16]


@given(st.text(max_size=60), st.text(max_size=90), DAYS)
def test_what_is_signed_is_read_back(site: str, action: str, issued: date) -> None:
    made = sign(KEY, site, action, issued)
    assert len(made) == 43 and made.isalnum() and made.isascii()
    assert read(KEY, site, made, issued) == Token(name_of(action), issued)
    assert read(KEY, site, made.upper(), issued + VALID_FOR) == Token(name_of(action), issued)


@given(st.integers(3, 42), st.sampled_from("abcdefghijklmnopqrstuvwxyz234567"))
def test_no_letter_of_a_token_can_be_changed(place: int, letter: str) -> None:
    made = token()
    changed = made[:place] + letter + made[place + 1 :]
    same = changed == made
    assert (read(KEY, SITE, changed, DAY) == Token(name_of(ID), DAY)) is same
    if not same:
        assert read(KEY, SITE, changed, DAY) is Refused.FORGED


@given(st.text(max_size=80))
def test_any_text_is_refused_and_raises_nothing(text: str) -> None:
    assert isinstance(read(KEY, SITE, text, DAY), Refused)
    assert isinstance(read(KEY, SITE, "sw1" + text, DAY), Refused)


def test_a_token_is_good_for_its_own_site_and_key_alone() -> None:
    assert read(KEY, "maple-corner", token(), DAY) is Refused.FORGED
    assert read(OTHER, SITE, token(), DAY) is Refused.FORGED


def test_a_token_is_good_for_sixty_days() -> None:
    assert isinstance(read(KEY, SITE, token(), DAY + timedelta(60)), Token)
    assert read(KEY, SITE, token(), DAY + timedelta(61)) is Refused.EXPIRED
    assert isinstance(read(KEY, SITE, token(), DAY - timedelta(1)), Token)
    assert read(KEY, SITE, token(), DAY - timedelta(2)) is Refused.EARLY


def test_a_key_that_is_too_short_signs_nothing() -> None:
    with pytest.raises(ValueError, match="a key has"):
        sign(KEY[: KEY_BYTES - 1], SITE, ID, DAY)
    with pytest.raises(ValueError, match="cannot bear"):
        sign(KEY, SITE, ID, date(2019, 12, 31))


@given(st.integers(8, 80), st.sampled_from(["", "> ", ">> ", "| ", "\t"]), st.booleans())
def test_a_token_is_found_however_its_lines_are_broken_and_quoted(
    width: int, quote: str, upper: bool
) -> None:
    said = f"Answer: write to us with this line: {token()} and your word"
    if upper:
        said = said.upper()
    broken = "\n".join(quote + line for line in textwrap.wrap(said, width, break_long_words=True))
    assert find(broken) == (token(),)


def test_each_token_is_found_once_and_text_is_left_as_it_is() -> None:
    other = token(action="feed/back/2025-04-02")
    text = f"done [{token()}] and ({other}) {token()}, sw1 is no token, xsw1{token()[3:]}"
    assert find(text) == (token(), other)
    assert without(f"done: feed [{token()}]").split() == ["done:", "feed"]
    assert find("sw1" + "a" * 39) == () and find("") == ()


def test_a_long_text_of_half_tokens_is_read_in_no_time() -> None:
    """Each letter is looked at a bounded number of times: 2 MB of what is nearly a token."""
    assert find(("sw1" + "a" * 38 + " " * 9) * 40_000) == ()
