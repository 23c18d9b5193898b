"""Countersigning: what was signed stays provable, and what was changed since shows."""

from __future__ import annotations

import json
import stat

import pytest

from logbook.errors import DataRefused
from logbook.services import keys
from logbook.services.check import check
from logbook.services.correct import correct, strike
from logbook.services.sign import make_key, sign
from logbook.services.verify import signature_findings, verify
from logbook.store.database import Book
from logbook.store.records import Records
from tests.club import ADA, BEN, CLEO, NOW, P1, flight, flight_at, put

SECRET = "correct horse"  # noqa: S105 - a test's own
LESSON = {"pilot": BEN, "function": "dual", "second_person": ADA, "second_function": "instructor"}


@pytest.fixture(autouse=True)
def _quick(monkeypatch):
    monkeypatch.setattr(keys, "_COST", 2**4)


@pytest.fixture
def signed(book):
    put(book, "flight", [flight_at(8, "F", **LESSON), flight_at(12, "G", **LESSON)])
    make_key(book, ADA, SECRET)
    sign(book, ["F"], ADA, SECRET, clock=lambda: NOW)
    return book


def test_a_signature_over_an_entry_as_it_is_is_good(signed):
    (found,) = verify(signed)
    assert (found.state, found.flight_id, found.person, found.pinned, found.history_holds) == (
        "good",
        "F",
        ADA,
        True,
        True,
    )
    assert signature_findings(signed) == []
    assert check(signed) == []


def test_a_changed_reading_shows_as_changed_since_with_the_difference(signed):
    correct(signed, "flight", "F", {f"{P1}.soc_landing_pct": 31, "remarks": "gusty"}, by=BEN)
    (found,) = verify(signed)
    assert found.state == "changed since"
    assert found.changes == ("remarks: was unknown, is gusty", f"{P1} soc_landing_pct: was 60, is 31")
    ((words, _),) = signature_findings(signed)
    assert "changed since it was signed" in words


def test_conditions_and_the_safety_pilot_are_part_of_what_is_signed_and_people_are_named(signed):
    correct(signed, "flight", "F", {"night_min": 12, "safety_pilot": CLEO})
    (found,) = verify(signed)
    assert found.changes == ("night_min: was unknown, is 12", f"safety_pilot: was unknown, is {CLEO}")


def test_striking_the_entry_out_shows_too(signed):
    strike(signed, "flight", "F", by=BEN, why="double")
    assert verify(signed)[0].changes == ("struck: was unknown, is 1",)


def test_an_answered_flag_or_a_charge_entered_later_changes_nothing(signed):
    put(
        signed,
        "charge",
        {
            "charge_id": "C",
            "serial_no": P1,
            "started": "2031-05-09T09:00Z",
            "soc_start_pct": 60,
            "soc_end_pct": 90,
        },
    )
    assert verify(signed)[0].state == "good"


def test_a_new_name_breaks_no_signature(signed):
    correct(signed, "person", BEN, {"person": "Ben Marsh-Hill"}, by=BEN)
    correct(signed, "person", ADA, {"person": "Ada Quill-Stone"}, by=ADA)
    (found,) = verify(signed)
    assert (found.state, found.person, found.pinned) == ("good", "Ada Quill-Stone", True)


def test_a_column_that_comes_later_breaks_no_signature_while_it_is_empty(signed):
    with signed.writing():
        signed.connection.execute("ALTER TABLE flight ADD COLUMN moon_phase TEXT")
        signed.connection.execute("ALTER TABLE reading ADD COLUMN insulation_mohm REAL")
    signed.keys.columns.clear()  # a program that knows the later columns reads them when it opens the book
    assert verify(signed)[0].state == "good"


def test_signatures_and_history_travel_with_a_package(signed, tmp_path):
    """The new book numbers its rows in another order; people, packs and aeroplanes stand by their ids in what is hashed."""
    from logbook.services.export_book import export_package
    from logbook.services.import_book import import_package

    correct(signed, "flight", "G", {"second_person": CLEO, "remarks": "one"}, by=ADA)
    correct(signed, "flight", "G", {"second_person": ADA, f"{P1}.soc_landing_pct": 55.5}, by=ADA)
    sign(signed, ["G"], ADA, SECRET)
    export_package(signed, tmp_path / "package")
    with Book.open(tmp_path / "other.logbook", create=True) as other:
        put(other, "person", {"person": "Zoe Early"})
        import_package(other, tmp_path / "package")
        assert {one.flight_id: (one.state, one.history_holds) for one in verify(other)} == {
            "F": ("good", True),
            "G": ("good", True),
        }


def test_the_signed_text_is_canonical_json_without_what_is_unknown(signed):
    ((_, row),) = Records(signed, "signature").select()
    payload = json.loads(row["payload"])
    assert json.dumps(payload, sort_keys=True, separators=(",", ":"), ensure_ascii=False) == row["payload"]
    assert None not in payload["entry"].values()
    assert payload["entry"]["readings"][0]["soc_landing_pct"] == 60
    assert "entered_by" not in payload["entry"]


def test_signing_the_same_again_adds_nothing_and_signing_a_change_adds_one(signed):
    assert [one.fate for one in sign(signed, ["F", "G"], ADA, SECRET)] == ["same", "new"]
    correct(signed, "flight", "F", {"remarks": "gusty"})
    assert [one.fate for one in sign(signed, ["F"], ADA, SECRET)] == ["new"]
    assert sorted(one.state for one in verify(signed)) == ["changed since", "good", "good"]


def test_a_signature_moved_to_another_flight_or_person_does_not_fit(signed):
    with signed.writing():
        signed.connection.execute("UPDATE signature SET flight_id = 'G'")
    assert verify(signed)[0].state == "does not fit"


def test_a_forged_payload_does_not_fit(signed):
    with signed.writing():
        signed.connection.execute("UPDATE signature SET payload = replace(payload, '60', '61')")
    assert verify(signed)[0].state == "does not fit"
    with signed.writing():
        signed.connection.execute("UPDATE signature SET payload = 'no json'")
    assert verify(signed)[0].state == "does not fit"


def test_a_key_slipped_into_the_book_is_not_pinned(signed):
    """Somebody with the file replaces key and signature by their own: the book agrees with itself, the pin does not."""
    key = keys.new_key("another one")
    with signed.writing():
        signed.connection.execute("UPDATE person SET public_key = ? WHERE person = ?", (key.text, ADA))
        signed.connection.execute("UPDATE signature SET struck = 1")
    sign(signed, ["F"], ADA, "another one")
    (found,) = verify(signed)
    assert (found.state, found.pinned) == ("good", False)
    assert "not pinned" in found.words


def test_a_key_that_is_not_in_the_persons_record_is_unknown(signed):
    with signed.writing():
        signed.connection.execute("UPDATE person SET public_key = NULL")
    assert verify(signed)[0].state == "key unknown"


def test_history_taken_away_after_signing_shows(signed):
    correct(signed, "flight", "G", {"remarks": "one"})
    sign(signed, ["G"], ADA, SECRET)
    signed.connection.execute("DROP TRIGGER version_update")  # whoever has the file can do that
    signed.connection.execute(
        "UPDATE version SET was = json_set(was, '$.remarks', 'forged') WHERE record_id = 'G'"
    )
    found = {one.flight_id: one for one in verify(signed)}
    assert (found["G"].state, found["G"].history_holds) == ("good", False)
    assert found["F"].history_holds
    ((words, _),) = signature_findings(signed)
    assert "not the one that was there at signing" in words


def test_a_new_key_keeps_earlier_signatures_good(signed):
    make_key(signed, ADA, "second secret")
    sign(signed, ["G"], ADA, "second secret")
    assert [one.state for one in verify(signed)] == ["good", "good"]


def test_what_cannot_be_signed_is_refused_in_words(signed):
    put(
        signed,
        "flight",
        flight("O", state="open", off_blocks="2031-05-10T08:00Z", on_blocks=None, takeoff=None, landing=None),
    )
    for flight_id, words in (("X", "no flight 'X'"), ("O", "still open")):
        with pytest.raises(DataRefused, match=words):
            sign(signed, [flight_id], ADA, SECRET)
    strike(signed, "flight", "G", why="double")
    with pytest.raises(DataRefused, match="struck out"):
        sign(signed, ["G"], ADA, SECRET)


def test_a_wrong_passphrase_a_missing_key_and_a_lost_key_are_told_apart(signed):
    with pytest.raises(DataRefused, match="passphrase does not open"):
        sign(signed, ["F"], ADA, "wrong guess")
    with pytest.raises(DataRefused, match="no signing key"):
        sign(signed, ["F"], CLEO, SECRET)
    for path in keys.config_folder().glob("key-*.json"):
        path.unlink()
    with pytest.raises(DataRefused, match="not on this computer") as refused:
        sign(signed, ["F"], ADA, SECRET)
    assert "cannot be recovered" in refused.value.next_step


def test_a_damaged_key_file_and_a_short_passphrase_are_said(signed):
    with pytest.raises(DataRefused, match="shorter than 8"):
        make_key(signed, ADA, "short")
    for path in keys.config_folder().glob("key-*.json"):
        path.write_text("{}")
    with pytest.raises(DataRefused, match="cannot be read"):
        sign(signed, ["G"], ADA, SECRET)


def test_the_private_key_lies_outside_the_book_sealed_and_readable_by_its_owner_only(signed):
    (path,) = keys.config_folder().glob("key-*.json")
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    kept = json.loads(path.read_text())
    raw = keys.open_key(keys.keys_in(kept["public_key"])[0].fingerprint, SECRET).private_bytes_raw()
    assert raw not in path.read_bytes()
    assert raw not in signed.path.read_bytes()
    assert raw.hex() not in path.read_text()


def test_a_fingerprint_is_pinned_for_a_name_and_nonsense_is_refused():
    keys.pin(keys.grouped("AB" * 32), "Eve Stone")
    assert keys.pins() == {"ab" * 32: "Eve Stone"}
    with pytest.raises(DataRefused, match="64 figures"):
        keys.pin("abc", "Eve Stone")
