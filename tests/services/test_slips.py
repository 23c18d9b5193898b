"""Blank slips: the boxes of the form, in its order, with nothing filled in, and nothing that breaks the page."""

import io

import pytest

from logbook.errors import DataRefused, UsageError
from logbook.reports.slips import LEAVE_EMPTY, Box, Group, Slip, write_slips
from logbook.reports.slips_html import write_slips_html
from logbook.services.flight_fields import PARTS
from logbook.services.flight_form import Choice, form_for
from logbook.services.slips import slips_of, write_slips_to
from logbook.services.typed_time import Clock
from tests import club


def text_of(slips) -> str:
    stream = io.StringIO()
    write_slips(stream, slips)
    return stream.getvalue()


def test_the_boxes_of_a_flight_are_those_of_the_form_in_its_order(book) -> None:
    (slip,) = slips_of(book, club.WATT, now=club.NOW, which=["flight"])
    form = form_for(book, Choice(club.WATT, Clock(club.NOW[:10])), now=club.NOW)
    ordered = sorted(form.fields, key=lambda field: PARTS.index(field.part))
    boxes = [box for group in slip.groups[1:] for box in group.boxes]
    assert [(box.label, box.unit) for box in boxes] == [(field.label, field.unit) for field in ordered]


def test_every_pack_that_is_fitted_has_boxes_of_its_own(book) -> None:
    text = text_of(slips_of(book, club.WATT, now=club.NOW))
    assert f"BEFORE START: PACK {club.P1}" in text
    assert f"AFTER LANDING: PACK {club.P2}" in text
    assert club.P3 not in text


def test_nothing_is_filled_in_whatever_the_book_expects(book) -> None:
    club.put(book, "flight", club.flight("F1", pilot=club.BEN))
    text = text_of(slips_of(book, club.WATT, now=club.NOW))
    assert club.BEN not in text
    assert club.FIELD not in text
    assert LEAVE_EMPTY.split(":")[0] in text


def test_no_line_is_longer_than_eighty_columns_and_each_slip_has_a_page(book) -> None:
    text = text_of(slips_of(book, None, now=club.NOW))
    assert max(map(len, text.replace("\f", "").splitlines())) <= 80
    assert text.count("\f") == 1


def test_words_from_people_are_words_on_a_page_and_in_a_terminal() -> None:
    slip = Slip("<b>\x1b[2J", "", (Group("<i>", (Box("<script>", "&"),)),))
    stream = io.StringIO()
    write_slips_html(stream, [slip])
    page = stream.getvalue()
    assert "<script>" not in page
    assert "&lt;script&gt;" in page
    assert "default-src 'none'" in page.replace("&#x27;", "'")
    assert "\x1b" not in page + text_of([slip])


def test_an_unknown_aeroplane_and_an_empty_book_are_refused(book, tmp_path) -> None:
    from logbook.store.database import Book

    with pytest.raises(DataRefused, match="no aeroplane 'ZZ'"):
        slips_of(book, "ZZ", now=club.NOW)
    with (
        Book.open(tmp_path / "new.logbook", create=True) as new,
        pytest.raises(DataRefused, match="no aeroplane"),
    ):
        slips_of(new, None, now=club.NOW)


def test_the_ending_of_the_file_decides_and_nothing_is_overwritten(book, tmp_path) -> None:
    slips = slips_of(book, None, now=club.NOW)
    write_slips_to(slips, tmp_path / "s.html")
    assert (tmp_path / "s.html").read_text().startswith("<!DOCTYPE html>")
    with pytest.raises(UsageError, match="there already"):
        write_slips_to(slips, tmp_path / "s.html")
    with pytest.raises(UsageError, match="no form 'pdf'"):
        write_slips_to(slips, tmp_path / "s.pdf", "pdf")
