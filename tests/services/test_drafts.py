"""Every keystroke survives; a saved record is never offered again; nothing unreadable stops the start."""

import stat
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.services.desk import Desk
from logbook.services.drafts import Draft, Drafts
from logbook.services.unfinished import Entry, entry_of, unfinished
from tests.services.club import NOW, club_book


@pytest.fixture
def drafts(tmp_path: Path) -> Drafts:
    return Drafts(tmp_path / "book.logbook", tmp_path / "state")


def files(tmp_path: Path) -> list[Path]:
    return [path for path in (tmp_path / "state").rglob("*") if path.is_file()]


def test_a_draft_comes_back_as_it_was_typed(drafts: Drafts) -> None:
    draft = Draft("id-1", "flight", {"remarks": ("[/] \x1b[2J\nä", "read")}, "AB-1", NOW)
    drafts.keep(draft)
    assert drafts.offered() == [draft]


def test_the_newest_is_offered_first_and_another_books_drafts_are_not(drafts: Drafts, tmp_path: Path) -> None:
    for number in (1, 3, 2):
        drafts.keep(Draft(f"id-{number}", "flight", {"a": ("1", "read")}, "", f"2031-05-0{number}T00:00Z"))
    assert [draft.record_id for draft in drafts.offered()] == ["id-3", "id-2", "id-1"]
    assert Drafts(tmp_path / "other.logbook", tmp_path / "state").offered() == []


def test_drafts_are_readable_by_their_owner_only(drafts: Drafts, tmp_path: Path) -> None:
    drafts.keep(Draft("id-1", "flight", {"a": ("1", "read")}))
    (file,) = files(tmp_path)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700


def test_a_damaged_draft_is_set_aside_and_the_others_are_offered(drafts: Drafts, tmp_path: Path) -> None:
    drafts.keep(Draft("id-1", "flight", {"a": ("1", "read")}))
    (file,) = files(tmp_path)
    for number, junk in enumerate(["", "{", "[]", '{"record_id": 1}', '{"values": {"a": 3}}', "\x00"]):
        file.with_name(f"junk{number}.json").write_text(junk)
    assert [draft.record_id for draft in drafts.offered()] == ["id-1"]
    assert len([path for path in files(tmp_path) if path.suffix == ".unreadable"]) == 6
    assert [draft.record_id for draft in drafts.offered()] == ["id-1"]


def test_an_interrupted_write_leaves_the_draft_before_it(drafts: Drafts, tmp_path: Path) -> None:
    drafts.keep(Draft("id-1", "flight", {"a": ("1", "read")}))
    (file,) = files(tmp_path)
    file.with_suffix(".part").write_text('{"record')  # what a kill in the middle leaves
    assert drafts.offered()[0].values == {"a": ("1", "read")}
    drafts.keep(Draft("id-1", "flight", {"a": ("12", "read")}))
    assert drafts.offered()[0].values == {"a": ("12", "read")}


def test_a_full_disk_is_told_to_the_caller_and_keeps_what_was_there(
    drafts: Drafts, monkeypatch: pytest.MonkeyPatch
) -> None:
    drafts.keep(Draft("id-1", "flight", {"a": ("1", "read")}))

    def full(*_: object, **__: object) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("logbook.services.drafts.os.open", full)
    with pytest.raises(OSError, match="No space left"):
        drafts.keep(Draft("id-1", "flight", {"a": ("12", "read")}))
    assert drafts.offered()[0].values == {"a": ("1", "read")}


texts = st.text(max_size=30)
values = st.dictionaries(
    st.text(min_size=1, max_size=10).filter(lambda name: not name.startswith("@")),
    st.tuples(texts, st.sampled_from(["read", "confirmed", "not-read"])),
    max_size=4,
)


@given(aircraft=texts, outcome=texts, closing=st.booleans(), values=values)
def test_any_entry_comes_back_from_its_draft(
    aircraft: str, outcome: str, closing: bool, values: dict
) -> None:
    entry = Entry("id-1", aircraft, "2031-05-09", "UTC", outcome, closing, values)
    assert entry_of(entry.draft(NOW)) == entry


@given(values=values)
def test_any_text_survives_the_file(values: dict, tmp_path_factory) -> None:
    drafts = Drafts(Path("book.logbook"), tmp_path_factory.mktemp("state"))
    drafts.keep(Draft("id-1", "flight", values | {"@day": ("2031-05-09", "form")}, "", NOW))
    assert drafts.offered()[0].values == values | {"@day": ("2031-05-09", "form")}


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    book = club_book(tmp_path / "club.logbook")
    yield Desk(book, clock=lambda: NOW, drafts=Drafts(book.path, tmp_path / "state"))
    book.close()


def test_a_saved_flight_is_never_offered_again_even_if_its_draft_stayed_behind(desk: Desk) -> None:
    entry = desk.begin_flight("AB-1")._replace(
        values={"pilot": ("Ana", "read"), "P-101.soc_departure_pct": ("97", "read")}
    )
    desk.drafts.keep(entry.draft(NOW))
    assert [draft.record_id for draft in desk.unfinished()] == [entry.flight_id]
    desk.save_flight(desk.flight_form(entry), entry.values, entry.flight_id, open_only=True)
    assert desk.unfinished() == []


def test_the_closing_of_an_open_flight_is_offered_until_it_is_closed(desk: Desk) -> None:
    entry = desk.begin_flight("AB-1")._replace(values={"pilot": ("Ana", "read")})
    desk.save_flight(desk.flight_form(entry), entry.values, entry.flight_id, open_only=True)
    closing = desk.go_on_with(entry.flight_id)
    assert closing.closing
    closing = closing._replace(
        values={**closing.values, "off_blocks": ("0835", "read"), "on_blocks": ("0920", "read")}
    )
    desk.drafts.keep(closing.draft(NOW))
    assert [draft.record_id for draft in unfinished(desk.book, desk.drafts)] == [entry.flight_id]
    desk.save_flight(desk.flight_form(closing), closing.values, closing.flight_id, open_only=False)
    assert desk.unfinished() == []
