"""Everything that can be done with a key, in one table.

Bindings, the line of keys at the bottom, the help and the palette are all made from it, so they cannot disagree.

Only keys that every terminal passes on: letters outside forms, F2 to F9 (F1, F10 and F11 belong to many terminals), Enter,
Escape and arrows. No chords: multiplexers and editors' terminals eat them.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from textual.binding import Binding

FOOTER_KEYS: Final = 6
SECTIONS: Final = (
    "today", "flights", "log", "charging", "packs", "plan", "rates", "people", "maintenance", "exports", "setup",
)  # fmt: skip
FORMS: Final = ("log", "charge-form", "plan", "form", "export-form", "import", "take-from", "paper-check")
"""Screens in which letters are typed into fields, so that only F-keys, Enter and Escape are left for actions."""


OF_EACH_FORM: Final = frozenset({"f3", "f4", "f5", "f7"})
"""Keys that may do something else on another form, since in forms there are no letters to be had."""

BOXES: Final = ("problem", "confirm", "saved")
"""Boxes over a screen: only their own actions work while they are open."""


class Action(NamedTuple):
    """One thing that can be done."""

    id: str
    keys: tuple[str, ...]
    """The first is shown."""
    words: str
    """At most ten letters, for the line of keys."""
    help: str
    """One sentence for the help and the palette."""
    screens: tuple[str, ...]
    """Where it lives; empty: everywhere outside forms."""
    rank: int = 9
    """Place in the line of keys; 9: not shown there."""

    @property
    def shown_key(self) -> str:
        """The key as it is printed on a keyboard."""
        names = {"question_mark": "?", "enter": "Enter", "escape": "Esc"}
        key = self.keys[0]
        return names.get(key, key.upper() if key[0] == "f" and key[1:].isdigit() else key)

    @property
    def call(self) -> str:
        """The name of the method that does it, as the library calls it."""
        if self.id.startswith("go."):
            return f"app.go('{self.id[3:]}')"
        return self.id.replace("-", "_")


LISTS: Final = ("flights", "charging", "packs", "people", "maintenance", "setup", "today")
RECORDS: Final = ("flight", "charge", "pack", "person", "defect", "record")
SIGHTS: Final = ("rates", "pack", "packs")
PLANS: Final = ("plans", "kept-plan", "plan-page")
PEOPLE: Final = ("people", "student", "countersign")
TAKING_IN: Final = ("import-look", "import-recorded", "merge")

ACTIONS: Final = (
    Action("help", ("question_mark", "h", "f9"), "Help", "What this screen shows, and where its figures come from.", (), 0),
    Action("menu", ("f8",), "Menu", "Everything that can be done here, to be picked from a list or found by typing.", (), 8),
    Action("quit", ("q",), "Quit", "Leave the logbook. Nothing is lost: entries are saved, unfinished ones are kept.", (), 9),
    Action("back", ("escape",), "Back", "Leave this screen. What was typed is kept and offered again.",
           (*RECORDS, *FORMS, *BOXES, *PLANS, *PEOPLE, *TAKING_IN, "exports", "help", "rates", "rate-flights", "flights", "packs", "maintenance", "setup", "setup-list", "look"), 5),
    Action("save", ("f2",), "Save", "Save what was entered. Saved means on the disk.", (*(name for name in FORMS if name != "paper-check"), *TAKING_IN), 1),
    Action("check", ("f3",), "Check", "Read the paper and compare it with the book as it is now.", ("paper-check",), 1),
    Action("save-open", ("f3",), "Save open", "Save the readings before start; the flight is closed after landing.", ("log",), 2),
    Action("switch-clock", ("f4",), "UTC/local", "Enter times in UTC or in local time; the other is shown beside.", ("log", "charge-form"), 3),
    Action("as-before", ("f5",), "As before", "Take place, people and kind from the last flight. Readings are never copied.",
           ("log", "saved", "charge-form"), 4),
    Action("take-from", ("f7",), "From file", "Take fields from a track or a recording of the aeroplane, each shown beside what is typed.", ("log",)),
    Action("take-empty", ("f3",), "All empty", "Take every field in which nothing stands; what is typed stays.", ("take-from",), 2),
    Action("take", ("f4",), "Take", "Take the line one is on; once more puts back what was typed.", ("take-from",), 3),
    Action("other-flight", ("f5",), "Another", "Another flight of the same file.", ("take-from",), 4),
    Action("other-mapping", ("f7",), "Mapping", "Read the recording by another mapping.", ("take-from",)),
    Action("history", ("f3",), "Flights", "Their flights: charge at landing, own estimates, forecasts, flags, progress.", ("person",), 2),
    Action("students", ("f4",), "Students", "Only the students, with what waits for each; pressed again, everybody.", ("people",), 4),
    Action("mark", ("f3",), "Mark", "Mark the entry one is on, to be signed together with others.", ("countersign",), 2),
    Action("mark-all", ("f4",), "Mark all", "Mark every entry, or none.", ("countersign",), 3),
    Action("mapping", ("f3",), "Mapping", "Say which column of a foreign CSV file is what; it is kept as a file beside it.", ("import",), 2),
    Action("take-good", ("f3",), "Only good", "Take in the rows that can enter; the others are written aside with the reasons.",
           ("import-look",), 2),
    Action("ours", ("f3",), "Ours", "Of this difference, what this book says counts.", ("merge",), 2),
    Action("theirs", ("f4",), "Theirs", "Of this difference, what the other book says counts; what we had stays as a version.", ("merge",), 3),
    Action("all-alike", ("f5",), "All alike", "Decide every difference without a decision alike.", ("merge",), 4),
    Action("insert-leg", ("f7",), "Insert leg", "Put an empty leg above the one one is on; an empty leg counts for nothing.", ("plan",)),
    Action("page", ("f3",), "Whole plan", "All of the answer: profile, legs with turn-back charges, points, cautions.", ("plan",), 2),
    Action("kept-plans", ("f4",), "Kept plans", "Plans that were kept, and how they came out.", ("plan",), 3),
    Action("clear", ("f5",), "Empty", "Empty all fields and begin another plan.", ("plan",)),
    Action("empty-form", ("f5",), "Empty", "Throw away what was typed here, after a question.", ("form",)),
    Action("next-part", ("f6",), "Next part", "Go to the next part of a long form.", FORMS, 6),
    Action("open", ("enter",), "Open", "Open the record one is on.", (*LISTS, "person", "student", "countersign", "exports", "setup-list", "plans", "kept-plan", "rates", "rate-flights"), 1),
    Action("add", ("a",), "Add", "Add a record; after saving a flight, another one of that aeroplane and date; from a kept plan, a new one.",
           ("kept-plan", "person", "flights", "charging", "packs", "pack", "people", "maintenance", "saved", "setup-list"), 2),
    Action("find", ("i",), "Find", "Narrow the list: date, aeroplane, person, flag, or any words.",
           ("flights", "charging", "people", "maintenance"), 3),
    Action("sort", ("j",), "Sort", "Put the list in another order; a click on a heading does the same.", ("flights",), 6),
    Action("edit", ("e",), "Correct", "Correct the record. The earlier version is kept, with who, when and why.", RECORDS, 1),
    Action("strike", ("d",), "Strike out", "Strike the record out, with a reason. It stays readable and can be restored.", (*RECORDS, "kept-plan"), 6),
    Action("undo", ("f7",), "Take back", "Take the last correction back; that is kept as a correction too.", RECORDS),
    Action("versions", ("v",), "Versions", "Earlier versions of the record: what it said, who changed it, when and why.", RECORDS, 3),
    Action("answer", ("w",), "Answer", "Answer a flag in words; it stays in the record with who and when.", ("today", "flight", "charge", "charging", "student", "pack", "record", "maintenance"), 2),
    Action("sign", ("k",), "Sign", "Countersign the record; a later change will show.", ("flight", "people", "person", "student", "countersign"), 4),
    Action("figures", ("u",), "Figures", "The figures behind this: records used, left out and why.", (*SIGHTS, "flight", "kept-plan"), 4),
    Action("plot", ("g",), "Plot", "Draw it over time; again: the next plot.", (*SIGHTS, "student"), 2),
    Action("fitting", ("f3",), "Fit, state", "Fit, remove or swap packs; quarantine, release, send away, scrap.", ("pack", "packs")),
    Action("charge-now", ("f4",), "Charge now", "May it be charged now, with what is read at the charger, and when will it be full?", ("pack",)),
    Action("defer", ("f3",), "Defer", "Put the defect off: until when, on what basis, by whom.", ("defect",), 1),
    Action("close-defect", ("f4",), "Close", "Close the defect by a maintenance entry.", ("defect",), 1),
    Action("copy", ("y",), "Copy", "Send the text to the terminal's clipboard.", ("problem", *RECORDS, "kept-plan", "plan-page"), 6),
    Action("write-file", ("z",), "To a file", "Write the text, or the pages of the record, to a file.",
           ("problem", "plan-page", "person", "pack", "packs", "maintenance"), 4),
    Action("operator", ("b",), "Who", "Say who is at the keys; every entry is kept under that name.", (), 7),
    Action("go.today", ("t",), "Today", "Who is out, open defects, the state of aeroplanes and packs, what needs attention.", ()),
    Action("go.flights", ("f",), "Flights", "The book of flights.", ()),
    Action("go.log", ("l",), "Log flight", "Enter a flight: before start, after landing, or all at once.", ()),
    Action("go.charging", ("c",), "Charging", "Charges of every pack.", ()),
    Action("go.packs", ("p",), "Packs", "Each pack by serial number: state, cycles, capacity, life left.", ()),
    Action("go.plan", ("n",), "Plan", "Will the flight work, and with what margin?", ()),
    Action("go.rates", ("r",), "Rates", "What this aeroplane really uses, beside the handbook.", ()),
    Action("go.people", ("o",), "People", "Totals, currency and due dates of each person.", ()),
    Action("go.maintenance", ("m",), "Maintain", "Defects, entries, components and what is due.", ()),
    Action("go.exports", ("x",), "Exports", "Write the book, a page or a table to a file.", ()),
    Action("go.setup", ("s",), "Setup", "Aeroplanes, pack types, places, units and looks.", ()),
)  # fmt: skip
BY_ID: Final = {action.id: action for action in ACTIONS}


def actions_of(screen: str) -> list[Action]:
    """What can be done on a screen, in the order of the table."""
    everywhere = screen not in BOXES
    return [action for action in ACTIONS if screen in action.screens or (everywhere and not action.screens)]


def bindings_of(screen: str) -> list[Binding]:
    """Key bindings of a screen. In a form, letters belong to the fields and are not bound."""
    made = []
    for action in actions_of(screen):
        keys = [key for key in action.keys if screen not in FORMS or not is_typed(key)]
        if keys:
            made.append(
                Binding(
                    ",".join(keys), action.call, action.words, show=False, tooltip=action.help, id=action.id
                )
            )
    return made


def footer_of(screen: str) -> list[tuple[str, Action]]:
    """At most six keys with their actions, help first."""
    shown = sorted(
        (action for action in actions_of(screen) if action.rank < 9),
        key=lambda action: (screen in BOXES and action.id != "back", action.rank),
    )
    pairs = [(key, action) for action in shown if (key := shown_key(action, screen))]
    menu = [pair for pair in pairs if pair[1].id == "menu"]
    others = [pair for pair in pairs if pair[1].id != "menu"]
    return others[: FOOTER_KEYS - len(menu)] + menu


def shown_key(action: Action, screen: str) -> str:
    """The key that works for an action on that screen, as printed on a keyboard; empty if only the menu has it."""
    keys = [key for key in action.keys if screen not in FORMS or not is_typed(key)]
    return action._replace(keys=(keys[0],)).shown_key if keys else ""


def is_typed(key: str) -> bool:
    """Whether a key puts a character into a field."""
    return len(key) == 1 or key == "question_mark"
