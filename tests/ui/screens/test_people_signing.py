"""Countersigning on screen: one or many, with a passphrase that is never kept, and plain words on what it proves."""

import pytest

from logbook.services import keys
from logbook.services.verify import GOOD, verify
from logbook.ui.screens.people_signing import SigningScreen
from tests import club
from tests.ui.walk import walk

SECRET = "correct horse battery"  # noqa: S105 - of a test


@pytest.fixture
def lesson_desk(club_desk, tmp_path, monkeypatch):
    """Three lessons of Cleo with Ada; keys are cheap to guess here, and lie in a folder of the test."""
    monkeypatch.setenv("LOGBOOK_CONFIG", str(tmp_path / "config"))
    monkeypatch.setattr(keys, "_COST", 2**4)
    crew = {
        "pilot": club.CLEO,
        "function": "dual",
        "second_person": club.ADA,
        "second_function": "instructor",
    }
    for hour in (8, 10, 12):
        club.put(club_desk.book, "flight", club.flight_at(hour, f"L{hour}", remarks="[/] calm", **crew))
    return club_desk


async def sign_as(walker, name: str, secret: str) -> None:
    await walker.press("k")
    await walker.until("who signs?")
    await walker.type(name)
    await walker.press("enter")
    await walker.until("passphrase")
    await walker.type(secret)
    await walker.press("enter")


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (140, 40)])
async def test_what_waits_and_what_a_signature_proves_are_said(lesson_desk, size) -> None:
    async with walk(lesson_desk, size) as walker:
        walker.app.push_screen(SigningScreen(None))
        await walker.until("3 wait, newest first")
        assert "A signature proves" in walker.flat
        assert "does not prove that the entry is true" in walker.flat
        assert "[/] calm" in walker.text


async def test_many_entries_are_signed_with_one_passphrase_and_a_key_is_made_first(lesson_desk) -> None:
    async with walk(lesson_desk) as walker:
        walker.app.push_screen(SigningScreen(club.CLEO))
        await walker.until("3 wait")
        await walker.press("f3", "space")
        await walker.until("2 marked")
        await sign_as(walker, "ada", SECRET)
        await walker.until("The same again")
        await walker.type(SECRET)
        await walker.press("enter")
        await walker.until("Fingerprint of Ada Quill's new key")
        await walker.press("enter")
        await walker.until("2 entries signed by Ada Quill.")
        await walker.until("1 wait")
        assert SECRET not in walker.text
    looked = verify(lesson_desk.book)
    assert [(one.flight_id, one.person, one.state) for one in looked] == [
        ("L12", club.ADA, GOOD),
        ("L10", club.ADA, GOOD),
    ]


async def test_a_wrong_passphrase_signs_nothing_and_keeps_what_was_marked(lesson_desk) -> None:
    lesson_desk.people.make_key(club.ADA, SECRET)
    async with walk(lesson_desk) as walker:
        walker.app.push_screen(SigningScreen(club.ADA))
        await walker.until("3 wait")
        await walker.press("f4")
        await walker.until("3 marked")
        await sign_as(walker, "ada", "wrong")
        await walker.until("The passphrase does not open the key.")
        await walker.press("escape")
        await walker.until("3 marked")
        await sign_as(walker, "ada", SECRET)
        await walker.until("No entry waits")
    assert {one.state for one in verify(lesson_desk.book)} == {GOOD}


async def test_two_passphrases_that_differ_make_no_key(lesson_desk, tmp_path) -> None:
    async with walk(lesson_desk) as walker:
        walker.app.push_screen(SigningScreen(None))
        await walker.until("3 wait")
        await sign_as(walker, "ben", SECRET)
        await walker.until("The same again")
        await walker.type(SECRET + "!")
        await walker.press("enter")
        await walker.until("nothing was made")
    assert not list((tmp_path / "config").glob("key-*"))


async def test_a_short_passphrase_is_refused_in_a_box_that_stays(lesson_desk) -> None:
    async with walk(lesson_desk) as walker:
        walker.app.push_screen(SigningScreen(None))
        await walker.until("3 wait")
        await sign_as(walker, "ben", "short")
        await walker.until("The same again")
        await walker.type("short")
        await walker.press("enter")
        await walker.until("shorter than 8 characters")


async def test_the_passphrase_is_nowhere_in_the_book_nor_in_a_draft(lesson_desk, tmp_path) -> None:
    lesson_desk.people.make_key(club.ADA, SECRET)
    async with walk(lesson_desk) as walker:
        walker.app.push_screen(SigningScreen(None))
        await walker.until("3 wait")
        await sign_as(walker, "ada", SECRET)
        await walker.until("1 entry signed by Ada Quill.")
    files = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert files
    assert not [path for path in files if SECRET.encode() in path.read_bytes()]
    assert SECRET not in "\n".join(lesson_desk.book.connection.iterdump())


async def test_the_entry_can_be_read_before_it_is_signed(lesson_desk) -> None:
    async with walk(lesson_desk) as walker:
        walker.app.push_screen(SigningScreen(None))
        await walker.until("3 wait")
        await walker.press("enter")
        await walker.until("Flight 2031-05-09")
        await walker.press("escape")
        await walker.until("3 wait")
