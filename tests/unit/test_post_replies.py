"""What a mail's writer said, apart from all that a program put beside it."""

from __future__ import annotations

import time
from email.message import EmailMessage
from email.policy import SMTP

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from advisor.post.replies import LONGEST_WORDS, LOOKED_AT, read_reply
from advisor.post.reply_text import own_words, words_of_html


@given(st.binary(max_size=3000))
@example(b"")
@example(b"Content-Type: multipart/mixed; boundary=\n\n--\n--\n")
@example(b"Content-Type: text/plain; charset*=x''%FF\n\nx")
@example(b"Subject: =?x?q?=FF?= =?utf-8?b?!?=\nDate: 99 Foo 99999 99:99\n\n\x00")
@example(b"Content-Transfer-Encoding: x-uuencode\n\nbegin 666 x\n#M\nend\n")
def test_no_bytes_make_it_raise(raw: bytes) -> None:
    found = read_reply(raw)
    assert len(found.name) == 16
    whole = found.subject + found.words.replace("\n", "") + found.quoted.replace("\n", "")
    assert all(char.isprintable() for char in whole)


PIECES = st.sampled_from([
    b"Content-Type: ", b"text/plain", b"text/html", b"multipart/mixed", b"message/rfc822",
    b"; charset=", b"utf-8", b"utf-7", b"zlib", b"punycode", b"; boundary=", b"b", b"\r\n",
    b"--b\r\n", b"--b--", b"Content-Transfer-Encoding: ", b"base64", b"quoted-printable", b"=FF=",
    b"Subject: =?utf-8?b?", b"?=", b"> ", b"-- \r\n", b"<blockquote>", b"</div>", b"<!--",
    b"\r\n\r\n", b"\xff", b"\0", b"From: a\r\n", b"Date: ", b"Message-ID: ",
])  # fmt: skip


@given(st.lists(PIECES, max_size=60))
def test_no_mixture_of_what_mails_are_made_of_makes_it_raise(pieces: list[bytes]) -> None:
    assert len(read_reply(b"".join(pieces)).name) == 16


def sent(body: str, subtype: str = "plain", **headers: str) -> bytes:
    mail = EmailMessage(policy=SMTP)
    for name, value in headers.items():
        mail[name.replace("_", "-")] = value
    mail.set_content(body, subtype=subtype)
    return mail.as_bytes()


WORD = st.text("abcdefghijklmnop äöüßé0123456789,.!", min_size=1, max_size=60).filter(str.strip)


@given(WORD, st.lists(WORD, min_size=1, max_size=5))
def test_what_is_quoted_is_no_word_of_the_writer(word: str, quoted: list[str]) -> None:
    text = f"{word}\n\nOn Sunday somebody wrote:\n" + "\n".join(f"> {line}" for line in quoted)
    own, rest = own_words(text)
    assert own.strip() == word.strip("\n").strip()
    assert all(line in rest for line in quoted)


@given(WORD)
def test_words_come_through_each_encoding_alike(word: str) -> None:
    """Python's own generator chooses the encoding; what it wrote is read back."""
    found = read_reply(sent(word, Subject=f"Re: {word}", Message_ID="<a@b>"))
    assert found.words.strip() == " ".join(word.split(" ")).strip()
    assert found.subject.split() == f"Re: {word}".split()


def test_the_signature_of_rfc_3676_ends_the_words() -> None:
    own, rest = own_words("done\n\n-- \nAda\nsw1abc\n")
    assert own.strip() == "done" and "sw1abc" in rest


def test_flowed_lines_are_whole_again() -> None:
    """RFC 3676, section 4: a space before the break is a soft one; a quote is never joined."""
    own, _ = own_words("done 5.4 \nlb \nyesterday\n> quoted \n> more\n", flowed=True)
    assert own.split("\n")[0] == "done 5.4 lb yesterday"


def test_words_between_and_below_quotes_are_the_writer_s() -> None:
    own, _ = own_words("> first\ndone\n> second\nrain 0.4 in\n")
    assert own.split() == ["done", "rain", "0.4", "in"]


@pytest.mark.parametrize(
    "page",
    [
        "<p>done</p><blockquote>old <blockquote>older</blockquote> old</blockquote>",
        "<style>b {}</style><p>do<b>ne</b></p><div class='x_quote'><div>old</div> old</div>",
        "<title>old</title>done<br>On Sunday somebody wrote:<br><blockquote>old</blockquote>",
        "<!-- old --><div>done</div><div id=divRplyFwdMsg><b>From:</b> old</div>",
        "done<script>old</script><hr><p>-----Original Message-----</p>old",
    ],
)
def test_html_is_read_without_what_it_quotes(page: str) -> None:
    own, _ = words_of_html(page)
    assert own.split() == ["done"]


def test_a_token_in_a_link_alone_is_found() -> None:
    page = "<p>done</p><blockquote><a href='mailto:a@b?subject=%5Bsw1x%5D&amp;body=y'>x</a>"
    assert "[sw1x]" in words_of_html(page)[1]


@pytest.mark.parametrize(
    ("header", "automatic"),
    [
        # RFC 3834, section 5: any value but "no" is a program's; section 2 for the others.
        ("Auto-Submitted: no", False),
        ("Auto-Submitted: auto-generated", True),
        ("Auto-Submitted: auto-replied; owner-email=a@b", True),
        ("Precedence: LIST", True),
        ("Precedence: first-class", False),
        ("Return-Path: <>", True),
        ("Return-Path: <a@b.example>", False),
        ("From: Mail Delivery <MAILER-DAEMON@b.example>", True),
        ("Content-Type: multipart/report; boundary=x", True),
    ],
)
def test_what_a_program_wrote_is_known(header: str, automatic: bool) -> None:
    assert read_reply(f"{header}\r\n\r\ndone\r\n".encode()).automatic is automatic


def test_a_name_is_that_of_the_message_id_or_of_all_of_it() -> None:
    one, same = sent("a", Message_ID="<1@x>"), sent("b", Message_ID="<1@x>")
    assert read_reply(one).name == read_reply(same).name
    assert read_reply(sent("a")).name != read_reply(sent("b")).name


@pytest.mark.parametrize(
    "junk",
    [b"<a href='", b"<!--", b"<blockquote>", b"> \n", b"a:\n> \n", b"--x\n", b"=?utf-8?q?", b"&#"],
)
def test_a_large_and_broken_mail_takes_no_time(junk: bytes) -> None:
    """What the standard library's HTML parser takes half a minute for."""
    begun = time.process_time()
    for kind in (b"html", b"plain; format=flowed"):
        found = read_reply(b"Content-Type: text/" + kind + b"\r\n\r\n" + junk * (LOOKED_AT // 2))
        assert len(found.words) <= LONGEST_WORDS
    assert time.process_time() - begun < 5


def test_many_parts_within_each_other_are_not_taken_apart() -> None:
    head = b"".join(b"Content-Type: multipart/mixed; boundary=b%d\n\n--b%d\n" % (n, n)
                    for n in range(200))  # fmt: skip
    begun = time.process_time()
    assert read_reply(head + b"x\n" * 100_000).malformed
    assert time.process_time() - begun < 2


def test_words_below_the_token_of_a_link_are_the_writer_s() -> None:
    """A phone may leave its cursor at the end of the mail that a link wrote."""
    token = "sw1" + "a2" * 20
    text = f"skipped\n\n-- \nYou may also write how much.\n{token}\nno, sorry: done 5.4 lb"
    own, rest = own_words(text)
    assert own == "skipped\n\nno, sorry: done 5.4 lb"
    assert token in rest
    own, _ = own_words("done\n\n-- \nTom\n555 0123")
    assert own == "done"


def test_a_colon_alone_makes_no_attribution() -> None:
    own, _ = own_words("skipped\nOn second thought it was done:\n> old")
    assert "second thought" in own
    own, _ = own_words("done\nOn Tue, Apr 8, Ada wrote:\n> old")
    assert own == "done"
