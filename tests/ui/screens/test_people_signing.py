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
        await sign_as(walker, "ada", SECRET)
        await walker.until("The same again")
        await walker.type(SECRET + "!")
        await walker.press("enter")
        await walker.until("nothing was made")
    assert not list((tmp_path / "config").glob("key-*"))


async def test_a_short_passphrase_is_refused_in_a_box_that_stays(lesson_desk) -> None:
    async with walk(lesson_desk) as walker:
        walker.app.push_screen(SigningScreen(None))
        await walker.until("3 wait")
        await sign_as(walker, "ada", "short")
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


@pytest.fixture
def two_teachers(lesson_desk):
    """Ada taught three lessons of Cleo, Ben a fourth; Ada has a key here."""
    crew = {
        "pilot": club.CLEO,
        "function": "dual",
        "second_person": club.BEN,
        "second_function": "instructor",
    }
    club.put(lesson_desk.book, "flight", club.flight_at(14, "BEN", **crew))
    lesson_desk.people.make_key(club.ADA, SECRET)
    return lesson_desk


async def test_marking_all_signs_no_lesson_of_another_instructor_by_one_key(two_teachers) -> None:
    async with walk(two_teachers) as walker:
        walker.app.push_screen(SigningScreen(club.CLEO))
        await walker.until("4 wait")
        await walker.press("f4", "k")
        await walker.until("who signs?")
        await walker.type("ada")
        await walker.press("enter")
        await walker.until("1 of 4 entries names another instructor: Ben Marsh")
        await walker.press("enter")
        await walker.until("You sign 3 of 4 entries")
        await walker.type(SECRET)
        await walker.press("enter")
        await walker.until("3 entries signed by Ada Quill.")
    assert sorted(one.flight_id for one in verify(two_teachers.book)) == ["L10", "L12", "L8"]


async def test_on_the_flight_itself_the_other_instructor_is_named_and_escape_signs_nothing(
    two_teachers,
) -> None:
    async with walk(two_teachers) as walker:
        walker.app.open_record("flight", "BEN")
        await walker.until("Ben Marsh, instructor")
        await walker.press("k")
        await walker.until("who signs?")
        await walker.type("ada")
        await walker.press("enter")
        await walker.until("This entry names another instructor: Ben Marsh")
        await walker.press("escape")
        await walker.until("Ben Marsh, instructor")
        await walker.press("k")
        await walker.until("who signs?")
        await walker.type("ada")
        await walker.press("enter")
        await walker.until("certifies it all the same")
        await walker.press("enter")
        await walker.until("Passphrase of Ada Quill")
        await walker.type(SECRET)
        await walker.press("enter")
        await walker.until("1 entry signed by Ada Quill.")
    assert [one.flight_id for one in verify(two_teachers.book)] == ["BEN"]


async def test_on_the_flight_itself_a_key_is_made_where_there_is_none(lesson_desk) -> None:
    async with walk(lesson_desk) as walker:
        walker.app.open_record("flight", "L8")
        await walker.until("Ada Quill, instructor")
        await walker.press("k")
        await walker.until("no key here: make one")
        await walker.press("enter")  # the one who taught is offered first
        await walker.until("A new key for Ada Quill")


def test_who_taught_is_read_from_the_record_whoever_stands_as_the_pilot(lesson_desk) -> None:
    crew = {
        "pilot": club.BEN,
        "function": "instructor",
        "second_person": club.CLEO,
        "second_function": "dual",
    }
    club.put(lesson_desk.book, "flight", club.flight_at(15, "AS-PIC", **crew))
    club.put(lesson_desk.book, "flight", club.flight_at(16, "ALONE", pilot=club.CLEO, function="solo"))
    assert lesson_desk.people.teachers(["L8", "AS-PIC", "ALONE"]) == {
        "L8": club.ADA,
        "AS-PIC": club.BEN,
        "ALONE": "",
    }


async def test_whoever_corrects_or_strikes_a_signed_entry_is_told_who_signed_it(two_teachers) -> None:
    two_teachers.people.sign(["L8"], club.ADA, SECRET)
    async with walk(two_teachers) as walker:
        walker.app.open_record("flight", "L8")
        await walker.until("Ada Quill, instructor")
        await walker.press("e")
        await walker.until("Countersigned by Ada Quill: a change will show there; ask for a new signature.")
        await walker.press("escape")
        await walker.press("d")
        await walker.until("Countersigned by Ada Quill")
        await walker.press("escape")
        walker.app.open_record("flight", "L10")
        await walker.press("e")
        await walker.until("Type only what is to change")
        assert "Countersigned" not in walker.text
