"""`swardcast digest`: to the terminal, as JSON and as files; what it sees, and what it leaves."""

from __future__ import annotations

import base64
import email
import email.policy
import json
import re
from pathlib import Path

import pytest
from calendars import entries
from command_line import (
    HERE,
    by_smtp,
    call,
    change,
    demo,
    free_port,
    mail_server,
    on_a_service,
    program,
    standing,
)

from advisor.cli.exits import Exit
from advisor.plan.model import Plan, Verdict


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return demo(tmp_path)


@pytest.fixture
def state(tmp_path: Path) -> Path:
    return tmp_path / "state"


def test_a_look_prints_the_verdict_first(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """The first word is the verdict, and the demo decides for its own today."""
    said = call(capsys, "digest", site, "--state", state)
    assert said.code == Exit.DONE
    assert re.match(r"(Apply|Wait|Water): ", said.out)
    assert "Tansy Hollow, Tue Apr 1" in said.out
    assert said.err == ""


def test_a_look_at_the_demo_leaves_nothing_behind(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """No state folder is made, and the site's files keep their bytes and their times."""
    before = standing(site)
    for words in (("digest", site), ("check", site), ("journal", site), ("digest", site, "--json")):
        assert call(capsys, *words, "--state", state).code == Exit.DONE
    assert standing(site) == before
    assert not state.exists()


def test_sending_writes_nothing_into_the_site(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """All that sending leaves lies in the state folder."""
    before = standing(site)
    assert call(capsys, "digest", site, "--send", "--state", state).code == Exit.DONE
    assert call(capsys, "journal", site, "--state", state).code == Exit.DONE
    assert standing(site) == before


def test_json_is_one_document_of_the_schema(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """`--json` is read back by the plan's own model, with keys as they are documented."""
    said = call(capsys, "digest", site, "--json", "--state", state)
    assert said.code == Exit.DONE
    document = json.loads(said.out)
    plan = Plan.model_validate(document, strict=False)
    assert (document["version"], document["site"]["id"]) == (1, "tansy-hollow")
    assert document["headline"]["date"] == plan.headline.day.isoformat()
    assert {lawn.name for lawn in plan.lawns} == {"front", "back"}


def test_json_stays_one_document_beside_out_and_send(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path, tmp_path: Path
) -> None:
    """What is said of files and mail does not get into it."""
    out = tmp_path / "out"
    said = call(capsys, "digest", site, "--json", "--out", out, "--send", "--state", state)
    assert said.code == Exit.DONE
    assert said.out == (out / "plan.json").read_text(encoding="utf-8")
    json.loads(said.out)
    assert "ada.merriweather@tansy-hollow.example: The mail is in mail." in said.err


def test_long_texts_do_not_break_the_json(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """A line of a document is never cut, however many signs JSON has to spell out in it."""
    odd = '"' * 370
    with (site / "journal.txt").open("a", encoding="utf-8") as file:
        file.write(f"2025-03-30  front  {odd}\n")
    said = call(capsys, "digest", site, "--json", "--state", state)
    plan = Plan.model_validate_json(said.out, strict=False)
    assert any(odd in problem for problem in plan.problems)
    journal = call(capsys, "journal", site, "--json", "--state", state)
    assert max(map(len, journal.out.splitlines())) > 1200  # what one text may have
    assert [odd in problem for problem in json.loads(journal.out)["unreadable"]] == [True]


def test_out_writes_files_that_agree(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path, tmp_path: Path
) -> None:
    """Text, page, mail, plan, calendar and season page are named, and say the same of one day."""
    out = tmp_path / "deep" / "out"
    said = call(capsys, "digest", site, "--out", out, "--on", "2025-04-01", "--state", state)
    assert said.code == Exit.DONE
    names = [
        "digest.txt", "digest.html", "digest.eml", "plan.json", "digest.ics", "season.html",
    ]  # fmt: skip
    assert said.out.split() == [str(out / name) for name in names]
    assert sorted(path.name for path in out.iterdir()) == sorted(names)
    text = (out / "digest.txt").read_text(encoding="utf-8")
    page = (out / "digest.html").read_text(encoding="utf-8")
    mail = email.message_from_bytes((out / "digest.eml").read_bytes(), policy=email.policy.default)
    plan = Plan.model_validate_json((out / "plan.json").read_text(encoding="utf-8"), strict=False)
    looked_at = call(capsys, "digest", site, "--on", "2025-04-01", "--state", state)
    assert looked_at.out == text
    assert text.startswith(f"{plan.headline.verdict.capitalize()}: ")
    doses = [a.dose.amount_text for lawn in plan.lawns for a in lawn.actions if a.dose]
    assert doses
    for dose in doses:
        assert dose in text
        assert dose in page.replace("\N{NO-BREAK SPACE}", " ")
    assert plan.headline.subject in mail["Subject"]
    plain, rich = mail.get_body(("plain",)), mail.get_body(("html",))
    assert plain is not None
    assert rich is not None
    assert plain.get_content().split() == text.split()
    # The file has within it what the mail has beside its page.
    alone = rich.get_content()
    for picture in mail.walk():
        if picture.get_content_type() == "image/png":
            data = base64.b64encode(picture.get_payload(decode=True)).decode()
            name = str(picture["Content-ID"]).strip("<>")
            assert alone.count(f'"cid:{name}"') == 1
            alone = alone.replace(f"cid:{name}", f"data:image/png;base64,{data}")
    assert "cid:" not in alone
    assert alone.split() == page.split()
    (attached,) = mail.iter_attachments()
    assert attached.get_payload(decode=True) == (out / "digest.ics").read_bytes()
    due = [a for lawn in plan.lawns for a in lawn.actions if a.verdict is not Verdict.WAIT]
    assert len(entries(mail)) == len(due)


def test_out_where_no_folder_can_be_is_told(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """A file in the way of the folder: one sentence, to try again with another."""
    out = site / "site.toml" / "out"
    said = call(capsys, "digest", site, "--out", out, "--state", state)
    assert said.code == Exit.LATER
    assert f"{out} cannot be written: Not a directory." in said.err


def test_nothing_is_sent_when_the_files_cannot_be_written(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """A call that half failed has not told the people of the site something."""
    out = site / "site.toml" / "out"
    said = call(capsys, "digest", site, "--out", out, "--send", "--state", state)
    assert said.code == Exit.LATER
    assert not (state / "tansy-hollow" / "mail").exists()


def test_on_a_day_later_weather_mail_and_lines_are_not_seen(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """A look back is the same before and after the weeks that followed it were lived through."""
    words = ("digest", site, "--json", "--on", "2025-05-04", "--state")
    first = call(capsys, *words, state / "fresh")
    for day in ("2025-05-11", "2025-05-18", "2025-06-01"):
        sent = call(capsys, "digest", site, "--send", "--on", day, "--state", state / "lived")
        assert sent.code == Exit.DONE
    with (site / "journal.txt").open("a", encoding="utf-8") as file:
        file.write("2025-05-05  all  rain 3 in\n2025-05-06  front  applied 9 lb of steady-green\n")
        file.write("2025-05-07  front  fed lots\n")
    again = call(capsys, *words, state / "lived")
    assert first.code == again.code == Exit.DONE
    assert again.out == first.out


def test_lines_of_the_day_are_seen(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """The other side of it: what was written by then does change the digest."""
    words = ("digest", site, "--json", "--on", "2025-04-01", "--state", state)
    first = call(capsys, *words)
    with (site / "journal.txt").open("a", encoding="utf-8") as file:
        file.write("2025-03-31  front  applied 12 lb of barrier-granules\n")
    assert call(capsys, *words).out != first.out


def test_no_forecast_is_a_wait_and_ends_with_69(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """Nobody answers and nothing is stored: wait, cannot tell, and why."""
    on_a_service(site, f"http://{HERE}:{free_port()}")
    said = call(capsys, "digest", site, "--state", state)
    assert said.code == Exit.NO_FORECAST
    assert said.out.startswith("Wait: ")
    assert "cannot tell" in said.out.lower()
    assert "refused" in said.out.lower()
    as_json = call(capsys, "digest", site, "--json", "--state", state)
    assert as_json.code == Exit.NO_FORECAST
    plan = Plan.model_validate_json(as_json.out, strict=False)
    assert plan.cannot_tell
    assert plan.headline.verdict is Verdict.WAIT
    actions = [action for lawn in plan.lawns for action in lawn.actions]
    assert all(action.verdict is Verdict.WAIT for action in actions)


def test_a_recording_that_is_gone_ends_with_69(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """The demo without its recorded weather cannot tell either, and says what is missing."""
    change(site / "site.toml", 'recorded = "recorded"', 'recorded = "elsewhere"')
    said = call(capsys, "digest", site, "--state", state)
    assert said.code == Exit.NO_FORECAST
    assert "elsewhere" in said.out


def test_a_broken_site_ends_with_78_and_shows_every_place(site: Path, state: Path) -> None:
    """As a program: file, line and column of both mistakes, and no traceback."""
    change(site / "site.toml", 'units = "us" ', 'units = "uss" ')
    change(site / "site.toml", "latitude = 36.55", "latitude = 136.55")
    said = program("digest", site, "--state", state)
    assert said.code == Exit.SITE
    assert said.out == ""
    assert re.search(r"^site\.toml:6:\d+: ", said.err, re.MULTILINE)
    assert re.search(r"^site\.toml:9:\d+: ", said.err, re.MULTILINE)
    assert "Traceback" not in said.err
    assert "cannot be used until this is mended" in said.err


def test_send_without_people_ends_with_78(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """A site that names nobody has nowhere to send to; the table to add is named."""
    text = (site / "site.toml").read_text(encoding="utf-8")
    before, _, after = text.partition("[mail]\n")
    (site / "site.toml").write_text(before + after.partition("\n\n")[2], encoding="utf-8")
    said = call(capsys, "digest", site, "--send", "--state", state)
    assert said.code == Exit.SITE
    assert "[mail]" in said.err


def test_a_damaged_database_ends_with_75(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """What to do with it is said; nothing is sent."""
    (state / "tansy-hollow").mkdir(parents=True)
    (state / "tansy-hollow" / "swardcast.sqlite3").write_bytes(b"no database at all " * 400)
    for words in (("digest", site, "--send"), ("journal", site)):
        said = call(capsys, *words, "--state", state)
        assert said.code == Exit.LATER
        assert "Move it away" in said.err
        assert said.out == ""


def test_titles_with_escape_sequences_are_harmless(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """A title that would clear the screen is refused, or shown without its commands."""
    change(site / "site.toml", 'title = "Front lawn"', 'title = "Front\\u001b[2J lawn\\u202e"')
    for words in (("digest", site), ("digest", site, "--json"), ("journal", site), ("check", site)):
        said = call(capsys, *words, "--state", state)
        assert "\x1b" not in said.out + said.err
        assert "\u202e" not in said.out + said.err


def test_a_mail_that_is_put_off_ends_with_75(
    capsys: pytest.CaptureFixture[str], site: Path, state: Path
) -> None:
    """The server says “later”: the code says so too, and its words are shown."""
    with mail_server("451 the queue is full") as (port, mails):
        by_smtp(site, port)
        said = call(capsys, "digest", site, "--send", "--state", state)
    assert said.code == Exit.LATER
    assert "451 the queue is full" in said.out
    assert mails.taken == []
