"""Whether an issued paper is still true: the records behind it as they are now, for the same moment, beside those it was made from."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final, NamedTuple

from logbook.errors import DataRefused
from logbook.measures import USUAL, Measures
from logbook.reports.paper_line import FORM, PaperLine, Part
from logbook.rules.edition import EDITION
from logbook.services.paper_changes import ChangedRecord, changed_records
from logbook.services.paper_read import ALTERED, AS_ISSUED, NO_TEXT, RESET, Issued, read_paper
from logbook.services.paper_rests import digest_of_rests, parts_of, rests_of
from logbook.store.catalogue import KEYS
from logbook.store.database import Book
from logbook.store.records import Records
from logbook.units import shown_instant

TITLES: Final = {
    "pack": "Component record of pack {}",
    "packs": "Page of all packs",
    "aircraft": "Page of aeroplane {}",
    "year": "Report of the year {}",
    "plan": "Kept plan {}",
    "table": "Page of a table ({})",
}
_KNOWN_BY: Final = {"pack": "pack", "aircraft": "aircraft", "plan": "plan"}
UNCHANGED, CHANGED, UNKNOWN = "unchanged", "changed", "cannot tell"


class Difference(NamedTuple):
    """Records of one kind that are not what they were: how many then and now."""

    kind: str
    then: int
    now: int


class Checked(NamedTuple):
    """The answer about an issued paper.

    Attributes:
        line: what it says of itself.
        records: `unchanged`, `changed`, or `cannot tell` where the paper was altered and does not agree.
        text: what became of its text, one of the words of `services.paper_read`.
        behind: something stands behind its last line.
        differences: the kinds of record that differ.
        changed: records of those kinds that were changed or entered since it was issued, as their histories say.
        other_words: the program's words are of another edition than the paper's; the records are compared all the same.
    """

    line: PaperLine
    records: str
    text: str
    behind: bool
    differences: tuple[Difference, ...]
    changed: tuple[ChangedRecord, ...]
    other_words: bool

    @property
    def still_true(self) -> bool:
        """The records are unchanged, and so is what stands on the paper, as far as it was compared."""
        return self.records == UNCHANGED and self.text != ALTERED

    @property
    def title(self) -> str:
        """Which paper it is."""
        return TITLES[self.line.what].format(self.line.which)


def check_paper(book: Book, data: bytes) -> Checked:
    """Compares an issued paper with the book as it is now.

    Args:
        book: the open book.
        data: the file: text, HTML, PDF, or the paper's last line alone.

    Raises:
        DataRefused: it is no paper of this program, is damaged, of something the book does not know, or was issued by an
            edition whose digests are made otherwise.
    """
    issued = read_paper(data)
    line = issued.line
    _refuse_what_cannot_be_compared(book, line)
    rests = rests_of(book, line.what, line.which, line.as_of)
    if digest_of_rests(rests) == line.records:
        return _answer(issued, UNCHANGED)
    differences = _differences(line.parts, parts_of(rests))
    if issued.text == ALTERED:
        return _answer(issued, UNKNOWN, differences)
    kinds = {one.kind for one in differences}
    return _answer(issued, CHANGED, differences, changed_records(book, line, rests, kinds))


def _answer(
    issued: Issued,
    records: str,
    differences: Sequence[Difference] = (),
    changed: Sequence[ChangedRecord] = (),
) -> Checked:
    other_words = issued.line.words_edition != EDITION
    return Checked(
        issued.line, records, issued.text, issued.behind, tuple(differences), tuple(changed), other_words
    )


def _refuse_what_cannot_be_compared(book: Book, line: PaperLine) -> None:
    if line.what not in TITLES:
        raise DataRefused(
            f"It is a paper of a kind this program does not print ('{line.what}').",
            next_step="Check it with the program that issued it.",
        )
    if line.form != FORM:
        raise DataRefused(
            f"It was issued by another edition of the program (digests of form {line.form}, here {FORM}): it cannot be compared.",
            next_step="Print it anew, and compare the two by eye.",
        )
    if line.what == "table":
        raise DataRefused(
            "It is the page of a table, which is of no day: it cannot be compared.",
            next_step="Print the table anew, and compare the two by eye.",
        )
    table = _KNOWN_BY.get(line.what)
    if table is None:
        return
    found = Records(book, table).find(line.which)
    name = None if found is None else str(found[1][KEYS.get(table, f"{table}_id")])
    if name is not None and name != line.which:
        raise DataRefused(
            f"Since it was issued, {line.what} '{line.which}' got another name, '{name}': the two cannot be compared.",
            next_step="Print the paper anew.",
        )
    if name is None:
        raise DataRefused(
            f"This book knows no {line.what} '{line.which}': the paper is of another book, or it goes by another name now.",
            next_step="Open the book it was issued from.",
        )


def _differences(then: Sequence[Part], now: Sequence[Part]) -> list[Difference]:
    before, after = ({part.kind: part for part in parts} for parts in (then, now))
    nothing = Part("", 0, "")
    kinds = sorted({*before, *after})
    pairs = [(kind, before.get(kind, nothing), after.get(kind, nothing)) for kind in kinds]
    return [Difference(kind, a.number, b.number) for kind, a, b in pairs if a.mark != b.mark]


class SignedWords(NamedTuple):
    """A sentence of the answer, and its sign: `ok`, `!`, or none."""

    sign: str
    words: str


def in_words(checked: Checked, measures: Measures = USUAL) -> list[str]:
    """The answer, a sentence a line: what the paper is, then the verdict on the records, then that on its text."""
    return [one.words for one in signed_words(checked, measures)]


def signed_words(checked: Checked, measures: Measures = USUAL) -> list[SignedWords]:
    """The same with the sign of each sentence."""
    line = checked.line
    issued = shown_instant(f"{line.issued[:16]}Z")
    found = [
        SignedWords("", f"{checked.title}, as of {shown_instant(line.as_of)}, issued {issued}."),
        SignedWords("ok" if checked.records == UNCHANGED else "!", of_records(checked)),
        *(SignedWords("", f"  {one.words(measures)}") for one in checked.changed),
    ]
    if checked.records == CHANGED and not checked.changed:
        found.append(SignedWords("", "Which of them, no history says: they may have come from another book."))
    found.append(SignedWords({ALTERED: "!", AS_ISSUED: "ok"}.get(checked.text, ""), _of_text(checked)))
    if checked.behind:
        words = "Something stands behind the paper's last line; it is no part of the paper."
        found.append(SignedWords("!", words))
    if checked.other_words:
        words = f"It has the words of edition {line.words_edition}, this program those of {EDITION}: printed anew it may read otherwise."
        found.append(SignedWords("", words))
    return found


def of_records(checked: Checked) -> str:
    """The verdict on the records, in a sentence."""
    if checked.records == UNCHANGED:
        counted = ", ".join(f"{part.kind} {part.number}" for part in checked.line.parts)
        behind = f" ({counted})" if counted else ""
        return f"UNCHANGED SINCE ISSUE: the records it rests on are as they were{behind}."
    kinds = ", ".join(map(_difference_words, checked.differences)) or "the records"
    if checked.records == UNKNOWN:
        return (
            "Whether the records changed since it was issued cannot be told: the paper itself was altered, and does not "
            f"agree with the book in: {kinds}."
        )
    return f"CHANGED SINCE ISSUE: {kinds}."


def _difference_words(one: Difference) -> str:
    return f"{one.kind} ({f'{one.then} then, {one.now} now' if one.then != one.now else f'{one.now}, as many as then'})"


def _of_text(checked: Checked) -> str:
    if checked.text == ALTERED:
        return "THE PAPER ITSELF WAS ALTERED: its text is not what was issued. Do not rely on it."
    if checked.text == NO_TEXT:
        return "What is printed on it was not compared: only its last line was given."
    if checked.text == RESET:
        return "Its words and figures are as issued; lines were broken anew or blanks moved, so look at its columns."
    return "Its text is as issued."


def as_data(checked: Checked) -> dict[str, Any]:
    """The answer for JSON."""
    line = checked.line
    return {
        "what": line.what,
        "which": line.which,
        "as_of": line.as_of,
        "issued": line.issued,
        "digest": line.records,
        "records": checked.records,
        "text": checked.text,
        "still_true": checked.still_true,
        "differences": [one._asdict() for one in checked.differences],
        "changed": [one.as_data() for one in checked.changed],
    }
