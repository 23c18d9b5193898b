"""Mappings that read a recording are known from then on, for each aeroplane; what another tool wrote there does no harm."""

from typing import Any

import pytest

from logbook.services.recording_mappings import (
    SETTING,
    known_mappings,
    mapping_choices,
    mapping_for,
    remember,
)
from logbook.store.settings import Settings
from tests.club import VOLT, WATT
from tests.recorder import mapping

ANY_FILE = {"column": "moment", "as": "iso", "zone": "UTC", "start": None}


def names(book: Any, aircraft: str) -> list[str]:
    return [one.name for one in mapping_choices(book, aircraft)]


def test_the_one_used_last_comes_first_and_reads_as_before(book: Any) -> None:
    one, other = (
        mapping(name="one", time=ANY_FILE),
        mapping(name="other", time=ANY_FILE, gaps={"longest_s": 9}),
    )
    for used in (one, other, one):
        remember(book, used, WATT)
    assert mapping_for(book, WATT) == one
    assert [known.mapping for known in known_mappings(book)] == [one, other]
    assert mapping_for(book, VOLT) is None


def test_from_when_seconds_count_is_of_one_file_and_not_kept_for_the_next(book: Any) -> None:
    remember(book, mapping(), WATT)
    found = mapping_for(book, WATT)
    assert found is not None
    assert (mapping().time.start, found.time.start) == ("2031-05-08T16:00:00Z", "")
    assert found._replace(told={}) == mapping(time={"start": None})._replace(told={})


def test_a_mapping_that_names_an_aeroplane_is_offered_for_no_other(book: Any) -> None:
    remember(book, mapping(name="of one", aircraft=WATT), WATT)
    remember(book, mapping(name="of any"), VOLT)
    assert names(book, WATT) == ["of one", "of any"]
    assert names(book, VOLT) == ["of any"]


def test_a_changed_mapping_of_the_same_name_replaces_the_one_before(book: Any) -> None:
    remember(book, mapping(), WATT)
    remember(book, mapping(gaps={"longest_s": 9}), WATT)
    assert [known.mapping.longest_s for known in known_mappings(book)] == [9]


def test_the_oldest_are_forgotten(book: Any) -> None:
    for number in range(40):
        remember(book, mapping(name=f"m{number}"), WATT)
    assert [known.mapping.name for known in known_mappings(book)] == [f"m{n}" for n in range(39, 9, -1)]


@pytest.mark.parametrize(
    "junk", ["text", 3, {"a": 1}, [None, 3, {"told": 3}, {"told": {}, "aircraft": 5}, {"aircraft": "X"}]], ids=str
)  # fmt: skip
def test_junk_in_their_place_is_passed_over_and_replaced(book: Any, junk: Any) -> None:
    with book.writing():
        Settings(book).set(SETTING, junk)
    assert known_mappings(book) == []
    remember(book, mapping(), WATT)
    assert [known.aircraft for known in known_mappings(book)] == [WATT]
