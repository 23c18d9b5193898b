"""Checking a book from end to end: the file, its guards, its references, its histories, its derived figures."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, NamedTuple

from logbook.errors import FileTrouble, NoBook
from logbook.services.refresh import refresh
from logbook.store.backup import conflict_copies
from logbook.store.database import Book
from logbook.store.derived import Derived
from logbook.store.integrity import findings_of_file
from logbook.store.kept_people import PeopleTotals
from logbook.store.kept_totals import PackTotals
from logbook.store.pack_events import PackEvents
from logbook.store.records import Records
from logbook.store.streams import snapshot


class Finding(NamedTuple):
    """One thing that is not as it should be, and what to do."""

    what: str
    next_step: str


def check(book: Book) -> list[Finding]:
    """Everything that is wrong with a book; an empty list means that nothing was found."""
    with snapshot(
        book
    ) as copy:  # this takes a while: nobody is kept from writing, and a book that is read-only can be checked
        findings = [Finding(*found) for found in findings_of_file(copy)]
        if findings:
            return findings  # derived figures of a damaged file would only repeat the damage
        findings = _derived(copy)
    return findings + [Finding(*found) for found in (*_of_signatures(book), *_beside(book))]


def is_damaged(path: Path) -> bool:
    """Whether the file is what is wrong, where a program stumbled over what it read in it."""
    try:
        with Book.open(path, readonly=True) as book, snapshot(book) as copy:
            return any(
                findings_of_file(copy)
            )  # of a file that can only be read SQLite does not check the values
    except NoBook:
        return False
    except FileTrouble:
        return True


def _beside(book: Book) -> list[tuple[str, str]]:
    """Copies that a program which keeps folders of two machines alike leaves, where both wrote to the book."""
    return [
        (
            f"Beside the book lies {path.name}, which looks like a copy of it that another machine wrote to.",
            f"See what is in it with 'logbook merge {path} --dry-run'; then move it away.",
        )
        for path in conflict_copies(book.path)
    ]


def _of_signatures(book: Book) -> list[tuple[str, str]]:
    """Countersignatures that no longer hold; nothing is loaded where nobody has signed."""
    if not any(Records(book, "signature").select("struck = 0", limit=1)):
        return []
    from logbook.services.verify import signature_findings

    return signature_findings(book)


def _derived(copy: Book) -> list[Finding]:
    """Compares what is kept for speed with a fresh computation, on a copy that is thrown away."""
    kept = Derived(copy).everything(), sorted(PackEvents(copy).all_rows())
    totals_hold = _totals_hold(copy) and _people_hold(copy)
    mend(copy)
    if totals_hold and kept == (Derived(copy).everything(), sorted(PackEvents(copy).all_rows())):
        return []
    return [
        Finding(
            "Derived figures differ from a fresh computation.",
            "Run 'logbook check --mend' to compute them again.",
        )
    ]


def _totals_hold(copy: Book) -> bool:
    """Whether the kept totals of packs, and the sums they go on from, equal fresh ones; all as JSON gives them back."""
    from logbook.services.pack_kept import EDITION, fresh_totals

    totals = PackTotals(copy)
    kept, begun = totals.read(EDITION), totals.begun(EDITION, stale=False)
    if not kept and not begun:
        return True
    cuts = {serial: one.until for serial, one in begun.items()}
    fresh = {
        serial: one._replace(
            figures=_through_json(one.figures),
            begun=one.begun and one.begun._replace(sums=_through_json(one.begun.sums)),
        )
        for serial, one in fresh_totals(copy, sorted({*kept, *begun}), cuts).items()
    }
    return begun == {serial: fresh[serial].begun for serial in begun} and kept == {
        serial: fresh[serial]._replace(begun=None) for serial in kept
    }


def _through_json(value: Any) -> Any:
    return json.loads(json.dumps(value))


def _people_hold(copy: Book) -> bool:
    """Whether the kept totals of people equal those from each flight by itself."""
    from logbook.services.people_kept import EDITION, fresh_sums

    kept = PeopleTotals(copy).read(EDITION)
    if not kept:
        return True
    fresh = fresh_sums(copy)
    return all(fresh.get(person) == sums for person, sums in kept.items())


def mend(book: Book) -> int:
    """Throws derived figures away and computes them again. Returns the number of flights."""
    with book.writing():
        PackEvents(book).rebuild()
        PackTotals(book).clear()
        PeopleTotals(book).clear()
        Derived(book).mark_all()
        return refresh(book)
