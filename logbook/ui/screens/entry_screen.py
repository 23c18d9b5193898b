"""The keys of a form: as before, the other clock, the next part; and what is in the way of saving."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from logbook.errors import ChangedMeanwhile, LogbookError
from logbook.services.flight_form import on_other_clock
from logbook.services.unfinished import Entry
from logbook.ui.screens.entry_typing import EntryTyping

MEANWHILE = "Somebody else changed this {} since you opened it; your change is not written yet."


class EntryScreen(EntryTyping):
    """A form on which something is entered over many keys. One says `PARTS`, `TIMES`, `LEADS`, `make_form`, `look`, `confirmed`."""

    # -- keys ---------------------------------------------------------------------------------------------------------

    def action_as_before(self) -> None:
        """What stays the same from time to time, confirmed where nothing stands yet; the keyboard goes behind it."""
        if self.entry is None or self.fields is None:
            return
        taken = self.confirmed()
        self.put(taken)
        for name, (text, source) in taken.items():
            self.fields.by_name[name].restore(text, source)
        self.look()
        empty = self.empty_after(taken)
        if empty is not None:
            self.go_to(empty)

    def empty_after(self, taken: Mapping[str, tuple[str, str]]) -> str | None:
        """The first field behind those that were confirmed in which nothing stands; what was empty before stays so."""
        order = self.fields.order() if self.fields else []
        last = max((order.index(name) for name in taken), default=-1)
        typed = self.entry.typed() if self.entry else {}
        passed = {*typed, *self.SAME} if taken else typed
        return next((name for name in order[last + 1 :] if name not in passed), None)

    def action_switch_clock(self) -> None:
        """Times in UTC or local; those typed already keep their meaning and change their figures."""
        if self.entry is None or self.fields is None:
            return
        clock = self.form.clock
        if clock.home_zone == "UTC":
            self.say(
                "The book knows no time zone for this place: times are UTC. Enter it with the place in Setup."
            )
            return
        other = clock._replace(zone=clock.home_zone if clock.zone == "UTC" else "UTC")
        moved = on_other_clock(self.form, self.entry.values, other, self.TIMES)
        self.form = self.form.on_clock(other)
        self.entry = self.entry._replace(zone=other.zone)
        self.put(moved)
        for name, (text, source) in moved.items():
            self.fields.by_name[name].restore(text, source)
        for name in self.TIMES:
            if name in self.fields.by_name:
                self.fields.by_name[name].reread()
        self.paint_head()
        named = "UTC" if other.zone == "UTC" else "local time"
        self.say(f"Times are typed in {named} now; the other is shown beside.")

    def action_next_part(self) -> None:
        """To the next part, and round again."""
        if self.fields is None:
            return
        here = self.fields.field_of(self.focused)
        parts = [part for part in self.PARTS if any(field.part == part for field in self.form.fields)]
        part = parts[(parts.index(here.part) + 1) % len(parts)] if here else parts[0]
        inside = {field.name for field in self.form.fields if field.part == part}
        self.unfold(part)
        self.go_to(next(name for name in self.fields.order() if name in inside))

    # -- saving -------------------------------------------------------------------------------------------------------

    def nothing_doubtful(self) -> bool:
        """Whether every improbable value was confirmed; goes to the first that was not."""
        fields = self.fields.by_name.items() if self.fields else ()
        doubtful = next((name for name, field in fields if field.doubtful and not field.refused), None)
        if doubtful is not None:
            self.send_to(
                doubtful, "! Not saved yet: improbable. Enter or ! in the field keeps it, or correct it."
            )
        return doubtful is None

    async def upon_what_is_there(self, entry: Entry, changed: Sequence[str]) -> None:
        """Somebody else changed the record: says what, and takes it in where nothing else was typed.

        Args:
            entry: what was typed, upon the record as it is now.
            changed: what somebody else changed, in words.
        """
        self.entry = entry
        self.keep()
        await self.build()
        words = " ".join([MEANWHILE.format(entry.kind), *changed])
        error = ChangedMeanwhile(words, next_step="Look, and save with F2.")
        self.trouble(error, "Not saved: changed meanwhile")

    def refused(self, error: LogbookError) -> None:
        """What is wrong stays in its field; what belongs to none, or to the file, in a box."""
        field = None if self.fields is None else self.fields.by_name.get(error.field)
        if field is None:
            self.trouble(error, "Not saved")
            return
        field.show_problem(error.problem)
        self.send_to(error.field, f"! Not saved. {error}")
