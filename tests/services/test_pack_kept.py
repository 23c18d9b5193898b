"""Totals of packs are kept in the book: they equal a fresh sum after any change, and are not made anew without one."""

from __future__ import annotations

import json
import re
from unittest.mock import patch

import pytest

from logbook.services import pack_kept
from logbook.services.check import check, mend
from logbook.services.correct import correct, strike
from logbook.services.export_book import export_package
from logbook.services.import_book import import_package
from logbook.services.pack_kept import KeptTotals
from logbook.services.pack_record import _FIGURES
from logbook.services.pack_status import pack_rows
from logbook.store.database import Book
from logbook.store.kept_totals import PackTotals
from logbook.store.pack_sweep import PackSweep
from tests import club
from tests.bench.counting import asked
from tests.club import P1, P2, P3, P4, VOLT, WATT, charge, flight_at, put, reading
from tests.services.test_judged_anew import CHANGES, change


@pytest.fixture(autouse=True)
def _always_worth(monkeypatch) -> None:
    monkeypatch.setattr(pack_kept, "WORTH", 0)
    monkeypatch.setattr(pack_kept, "LEFT_FOR_LATER", 6)


def rows(book, as_of=None):
    return pack_rows(book, as_of)[1]


def fresh(book, as_of=None):
    """The same rows with nothing kept."""
    with patch.object(PackTotals, "read", lambda *_: {}), patch.object(PackTotals, "write", lambda *_: False):
        return rows(book, as_of)


def kept(book) -> set[str]:
    return set(PackTotals(book).read(pack_kept.EDITION))


def limits(book) -> None:
    """Every limit a pack can have."""
    correct(book, "pack-type", "PK-12", {"limit_hours": 2000, "limit_cycles": 900, "limit_soh_pct": 80, "cycle_definition": "counter", "charge_max_temp_c": 40})  # fmt: skip


def season(book, until=20) -> None:
    """Flights, charges and observations of a pack with every limit, over months."""
    limits(book)
    for day in range(1, until):
        date = f"2031-{4 + day // 10:02}-{10 + day % 10:02}"
        health = reading(P1, soh_pct=98 - day / 4, soc_landing_pct=40 + day)
        put(
            book,
            "flight",
            flight_at(
                8, f"S{day}", date, meter_start=day, meter_end=day + 0.75, readings=[health, reading(P2)]
            ),
        )
        put(
            book,
            "charge",
            charge(f"C{day}", P1, f"{date}T10:00Z", ended=f"{date}T11:00Z", temp_end_c=30 + day),
        )
        put(book, "observation", {"observation_id": f"O{day}", "serial_no": P2, "at": f"{date}T12:00Z", "counter_cycles": day / 2})  # fmt: skip


MORE = {
    "a landing was later": change("flight", "S3", landing="2031-04-13T08:38Z"),
    "a flight was on the blocks earlier": change("flight", "S3", on_blocks="2031-04-13T08:39Z"),
    "there were more landings": change("flight", "S3", landings_day=4),
    "a night landing": change("flight", "S3", landings_night=1),
    "the meter counts": change("aircraft", WATT, time_in_service_from="meter"),
    "a flight was aborted": change("flight", "S3", outcome="aborted"),
    "a flight is open again": change("flight", "S3", state="open"),
    "the health scale of the type": change("pack-type", "PK-12", soh_zero_fraction=0.5),
    "the health scale of the pack": change("pack", P1, soh_zero_fraction=0.5),
    "the counting of the maker": change("pack-type", "PK-12", cycle_definition="half-sum"),
    "hours brought forward": change("pack", P1, hours_brought_forward=100),
    "the counter was misread": change("observation", "O19", counter_cycles=40),
    "a charge was hotter": change("charge", "C5", temp_end_c=50),
    "an old charge is struck out": lambda book: strike(book, "charge", "C2", why="x"),
    "an old flight of another aeroplane": lambda book: put(book, "flight", flight_at(15, "L", "2031-04-12", aircraft=VOLT, readings=[reading(P3)])),
    "an old flight on which nothing was read": lambda book: put(book, "flight", flight_at(15, "L", "2031-04-12", readings=[])),
    "a pack was removed in the middle": lambda book: correct(book, "installation", _fitting(book, P1), {"removed": "2031-04-15T00:00Z"}),
}  # fmt: skip


def _fitting(book, serial_no):
    sql = "SELECT i.id FROM installation i JOIN pack p ON p.n = i.serial_no WHERE p.serial_no = ?"
    return book.connection.execute(sql, (serial_no,)).fetchone()[0]


@pytest.mark.parametrize("case", [*CHANGES, *MORE])
def test_after_a_change_what_is_kept_says_what_a_fresh_sum_says(book, case) -> None:
    before, make = CHANGES.get(case) or (season, MORE[case])
    before(book)
    assert rows(book) == fresh(book)
    assert {P1, P2, P3, P4} <= kept(book)
    make(book)
    assert check(book) == []
    assert rows(book) == fresh(book)
    assert rows(book) == fresh(book)  # now from what the last look kept


@pytest.mark.parametrize("case", MORE)
def test_each_of_these_changes_is_seen_in_the_table(book, case) -> None:
    season(book)
    before = rows(book)
    MORE[case](book)
    assert (
        rows(book) != before
    ) or case == "a flight was on the blocks earlier"  # counts only without air time


def test_a_save_makes_the_totals_of_its_packs_stale_and_no_others(book) -> None:
    season(book)
    rows(book)
    put(book, "flight", flight_at(8, "late", "2031-06-20", readings=[reading(P1)]))
    assert kept(book) == {P3, P4}  # P2 was fitted and took the hours, though nobody read it
    rows(book)
    put(book, "charge", charge("late", P3, "2031-06-20T10:00Z"))
    assert kept(book) == {P1, P2, P4}
    correct(book, "flight", "late", {"remarks": "windy"}, why="forgotten")
    assert kept(book) == {P1, P2, P4}


def begun(book, *, stale=True) -> dict[str, str]:
    """Up to when sums are kept that go on."""
    return {
        serial: one.until for serial, one in PackTotals(book).begun(pack_kept.EDITION, stale=stale).items()
    }


def test_after_a_new_flight_only_what_came_late_is_read(book) -> None:
    season(book)
    rows(book)
    put(book, "flight", flight_at(8, "late", "2031-06-20", readings=[reading(P1, soh_pct=91)]))
    put(book, "charge", charge("late", P1, "2031-06-20T10:00Z"))
    cut = begun(book)[P1]
    assert "2031-05-01" < cut < "2031-06-20"
    with (
        asked(book) as statements,
        patch.object(KeptTotals, "sum_up", side_effect=AssertionError("all was read")),
    ):
        found = rows(book)
    read = [values[0] for sql, values in statements if re.search(r"(e.at|o.at|f.off_blocks) BETWEEN", sql)]
    assert set(read) == {cut, begun(book, stale=False)[P2]}
    assert found == fresh(book)
    assert check(book) == []
    assert kept(book) == {P1, P2, P3, P4}


def test_sums_go_on_from_later_and_later(book) -> None:
    season(book)
    rows(book)
    cuts = [begun(book, stale=False)[P1]]
    for day in range(1, 29):
        put(book, "flight", flight_at(8, f"L{day}", f"2031-07-{day:02}", readings=[reading(P1)]))
        assert rows(book) == fresh(book)
        cuts.append(begun(book, stale=False)[P1])
    assert cuts == sorted(cuts)
    assert 2 < len(set(cuts)) < 8  # not written anew at each look
    assert check(book) == []


def test_a_change_of_what_was_before_reads_the_whole_record(book) -> None:
    season(book)
    rows(book)
    correct(book, "flight", "S2", {"landing": "2031-04-12T08:40Z"}, why="misread")
    assert begun(book) == {}
    with patch.object(KeptTotals, "continued", return_value=iter(())):
        expected = rows(book)
    assert expected == fresh(book)


def test_the_first_health_ever_read_counts_for_what_was_before_it(book) -> None:
    for day in range(1, 20):
        put(
            book,
            "flight",
            flight_at(
                8,
                f"F{day}",
                f"2031-04-{day:02}",
                readings=[reading(P1, soh_pct=None, soc_landing_pct=40 + day)],
            ),
        )
    rows(book)
    before = next(row for row in rows(book) if row["serial_no"] == P1)
    put(book, "flight", flight_at(8, "late", "2031-06-20", readings=[reading(P1, soh_pct=80)]))
    assert P1 in begun(book)
    assert rows(book) == fresh(book)
    after = next(row for row in rows(book) if row["serial_no"] == P1)
    assert after["energy_out_kwh"] != before["energy_out_kwh"]


def test_wrong_sums_to_go_on_from_are_found_by_check(book) -> None:
    season(book)
    rows(book)
    book.connection.execute("""UPDATE pack_sums SET sums = json_set(sums, '$[1][1][1]', 99)""")
    assert [finding.what for finding in check(book)] == ["Derived figures differ from a fresh computation."]
    mend(book)
    assert begun(book, stale=False) == {}
    assert check(book) == []


def test_what_is_kept_is_read_instead_of_the_record(book) -> None:
    season(book)
    found = rows(book)
    with asked(book) as statements:
        assert rows(book) == found
    assert not [sql for sql, _ in statements if re.search(r"JOIN (reading|charge)\b|soc_", sql)]


def test_as_of_an_earlier_day_the_record_is_read_and_as_of_a_later_one_what_is_kept(book) -> None:
    season(book)
    rows(book)
    for as_of in ("2031-04-15", "2031-05-19T11:00Z", "2031-05-30", "2040-01-01"):
        assert rows(book, as_of) == fresh(book, as_of)
    with patch.object(PackSweep, "flights", side_effect=AssertionError("the record was read")):
        rows(book, "2031-06-30")


def test_a_pack_that_rests_is_judged_by_the_year_before_its_last_flight_from_what_is_kept_too(book) -> None:
    season(book, until=40)
    put(book, "flight", flight_at(8, "later", "2036-06-20", aircraft=VOLT, readings=[reading(P3)]))
    found = rows(book)
    assert rows(book) == found == fresh(book)
    assert "; about " in next(row for row in found if row["serial_no"] == P1)["hours_words"]


def test_a_book_with_little_in_it_is_not_written_for_a_look(book, monkeypatch) -> None:
    monkeypatch.undo()
    season(book)
    before = book.path.read_bytes()
    rows(book)
    assert kept(book) == set()
    assert book.path.read_bytes() == before


def test_nothing_is_kept_of_a_record_that_changed_while_it_was_summed_up(book) -> None:
    season(book)
    with Book.open(book.path) as other:
        totals = PackTotals(book)
        put(other, "flight", flight_at(8, "late", "2031-06-20"))
        assert totals.write(pack_kept.EDITION, pack_kept.fresh_totals(other, [P1])) is False
    totals = PackTotals(book)
    put(book, "flight", flight_at(10, "later", "2031-06-20"))
    assert totals.write(pack_kept.EDITION, pack_kept.fresh_totals(book, [P1])) is False
    assert kept(book) == set()


def test_a_book_that_can_only_be_read_gives_the_same_table(book) -> None:
    season(book)
    expected = fresh(book)
    with Book.open(book.path, readonly=True) as reader:
        assert rows(reader) == expected


def test_a_wrong_total_is_found_by_check_and_thrown_away_by_mend(book) -> None:
    season(book)
    rows(book)
    (text,) = book.connection.execute("SELECT figures FROM pack_total LIMIT 1").fetchone()
    figures = json.loads(text)
    figures["cycles"][0] += 1
    book.connection.execute("UPDATE pack_total SET figures = ? WHERE pack = (SELECT min(pack) FROM pack_total)", (json.dumps(figures),))  # fmt: skip
    assert [finding.what for finding in check(book)] == ["Derived figures differ from a fresh computation."]
    mend(book)
    assert check(book) == []
    assert kept(book) == set()
    assert rows(book) == fresh(book)


def test_totals_of_another_edition_do_not_count(book, monkeypatch) -> None:
    season(book)
    rows(book)
    monkeypatch.setattr(pack_kept, "EDITION", pack_kept.EDITION + 1)
    assert kept(book) == set()
    assert rows(book) == fresh(book)
    assert kept(book) == {P1, P2, P3, P4}


def test_a_large_import_throws_away_what_was_kept(book, tmp_path) -> None:
    season(book)
    package = tmp_path / "out.zip"
    export_package(book, package)
    with club.club_book(tmp_path / "other.logbook") as other:
        limits(other)
        rows(other)
        assert kept(other) == {P1, P2, P3, P4}
        with patch("logbook.services.import_book._MANY_BYTES", 0):
            import_package(other, package)
        assert check(other) == []
        assert rows(other) == fresh(other)


def test_every_figure_an_aeroplane_gives_a_pack_is_watched(book) -> None:
    columns = {row[1] for row in book.connection.execute("PRAGMA table_info(aircraft)")}
    (sql,) = book.connection.execute("SELECT sql FROM sqlite_master WHERE name = 'aircraft_total'").fetchone()
    watched = set(re.findall(r"\w+", sql.partition("OF")[2].partition("ON")[0]))
    assert columns & {*_FIGURES, "time_in_service_from"} == watched
