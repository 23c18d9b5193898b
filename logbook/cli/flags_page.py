"""The page of all flags, from the words of the rules themselves.

python -m logbook.cli.flags_page > docs/flags.md
"""

from __future__ import annotations

import re
import sys
import textwrap
from collections.abc import Iterator
from typing import Final, NamedTuple

from logbook.rules import catalogue, charge_rules, observation_rules
from logbook.rules.charge_rules import ChargeBands
from logbook.rules.flag import CHECK, NOTE, SERIOUS, SIGNS, Rule
from logbook.rules.thresholds import Thresholds
from logbook.units import plain_number


class About(NamedTuple):
    """What a rule's own words leave open: how grave it is, when it speaks, and what is worth knowing about it."""

    severity: str
    speaks: str
    note: str = ""


_HEAD: Final = """# Flags: what each one means and what to do

A flag is something a rule found in a record. It is no accusation, and it never stops an entry: what is improbable
enters and is flagged, what cannot be is refused. It says *below the planned final reserve*, not *you flew badly*.

| sign | word | what it asks for |
|---|---|---|
| ‼ | serious | somebody may be hurt, or a limit was passed: look at it before the next flight |
| ! | check | the record contradicts itself, or something is out of the ordinary: find out |
| · | note | something is missing, or worth knowing |

**To answer a flag**: open the flight (`f`, Enter) or the charge (`c`, Enter), press `w`, say what was found out; for
an observation or an entry press it on the line in Maintenance (`m`), on the pack or on the record. The same as a
command: `logbook answer ID RULE --words "…" --by NAME`. An answer keeps who and when, and holds until the
figure behind the flag changes; then the flag opens again. If the record is wrong, do not answer: **correct it** (`e`,
or `logbook correct`), and the flag goes by itself.

**To find them**: Today shows those without an answer (of charges those that are more than notes);
`logbook list flights --flag any`, or `--flag RULE` with an id from this page; `logbook list charges --flag RULE` does
the same for the flags of charges, `list observations` and `list maintenance` for theirs. What was answered stands as
answered on the record, and of observations and entries in Maintenance and on the pack, too.

A limit that nobody stated raises no flag: an empty list is not a clean bill of health. Charge and minutes are judged by
the weaker pack. Bands marked "can be set" are changed in Setup, Rules; "common practice, no source" means what it says.

This page is made from the program: `python -m logbook.cli.flags_page > docs/flags.md`.
"""

_GROUPS: Final[dict[str, tuple[str, ...]]] = {
    "Reserves": ("landing_below_reserve", "final_reserve_short", "departure_below_minimum"),
    "Packs": ("packs_apart", "temperature_limit", "temperature_caution", "takeoff_temperature", "pack_quarantined", "pack_not_fitted", "soh_rose"),
    "The line of charge": ("ledger_gap", "charge_start_differs", "packs_swapped", "soc_rose", "readings_missing"),
    "Times and values": ("times_improbable", "overlap", "meter_gap", "conditions_exceed_flight", "recording_differs", "value_improbable"),
    "People and the law's record": ("record_incomplete", "two_pics", "person_twice"),
}  # fmt: skip

_ABOUT: Final[dict[str, About]] = {
    "landing_below_reserve": About(SERIOUS, "The weaker pack's charge at touchdown, where it was read, else after landing, is below the aeroplane's reserve in percent."),
    "final_reserve_short": About(SERIOUS, "The minutes left after landing, at the power of the case that applies (local, day, night), are below its final reserve. The middle of the estimate is compared; low to high is in the words.", "In old packs the same percent is fewer minutes than it was. See also whether the flight rightly counts as local or by day."),
    "departure_below_minimum": About(SERIOUS, "A pack left at or below the aeroplane's least departure charge."),
    "packs_apart": About(CHECK, "The packs differ by more than the band, before start or after landing (5 and 12 points, can be set).", "Often a weak pack, packs of different age on one bus, or a mistyped reading."),
    "temperature_limit": About(SERIOUS, "The highest temperature read, before, in or after the flight, is at or above the pack's limit.", "The manual says what has to be done first. Until it is, write a defect with inspection before next use: it grounds the pack."),
    "temperature_caution": About(CHECK, "As above, for the caution."),
    "takeoff_temperature": About(SERIOUS, "The temperature before start is outside what the pack type allows for take-off."),
    "pack_quarantined": About(SERIOUS, "A pack was flown while it was marked as quarantined, away or scrapped, or while inspection before next use was open on it."),
    "pack_not_fitted": About(CHECK, "A reading names a pack that the book does not know as fitted in this aeroplane at off blocks.", "Often a swap nobody wrote down. Fittings are entered with their moment, also afterwards."),
    "soh_rose": About(CHECK, "Indicated state of health is above that of the flight before by more than the band (3 points, can be set).", "Often new firmware, a module change, a gauge that was reset; or a typing error."),
    "ledger_gap": About(CHECK, "The departure charge is not what the last landing or charge left, within the band (3 points, and 0.2 a day for a fall; can be set). Upwards: a charge may be missing. Downwards: a flight or a discharge."),
    "charge_start_differs": About(CHECK, "The next charge began more than the band (2 points, can be set) away from the landing charge."),
    "packs_swapped": About(CHECK, "Both landing charges disagree with the next charges, and agree once they are exchanged."),
    "soc_rose": About(CHECK, "Charge after landing is above charge before start by more than the band (1 point, can be set)."),
    "readings_missing": About(NOTE, "A fitted pack has no charge before start or after landing. The flight is complete for the law; the estimates leave it out.", "Answer with what is known, such as: nobody read it; then it stops asking."),
    "times_improbable": About(CHECK, "The date is more than a day off the day of off blocks (UTC); off blocks is more than a day after the moment of entry; the block time is longer than the band (600 min); the air time at 35 % of cruise power would take more energy than was aboard; or what was used in that block time is a mean of more than 3 times cruise power, or would empty a full pack in less than 6 min (all can be set); or 5 min and more in the air took no charge at all. The first of these that holds is said."),
    "overlap": About(CHECK, "The block times of two flights of one aeroplane overlap.", "Often local time typed as UTC, or a wrong day."),
    "meter_gap": About(CHECK, "The hour meter ran longer than the block time by more than the band (0.2 h), or starts more than the band (0.11 h) away from where it ended before (both can be set)."),
    "conditions_exceed_flight": About(CHECK, "Night, IFR or instrument time is longer than the flight by more than the band (3 min, can be set)."),
    "recording_differs": About(CHECK, "A charge, a temperature or a time that was written down differs from the recorded one by more than the band (3 points, 3 °C, 3 min, can be set).", "What was written down counts until somebody takes the recorded value over. Every time off by the same is the recorder's clock: import the file again with the right offset."),
    "value_improbable": About(CHECK, "A value nobody is likely to have read, such as a wind of 200 kt; a take-off mass above 5700 kg or 1.5 times that of the handbook; level minutes beyond the block time by more than 15 min; more circuits than one in 1.5 min (these can be set)."),
    "record_incomplete": About(NOTE, "Place, pilot, function or landings are missing in a closed flight; of a device lesson, the device."),
    "two_pics": About(CHECK, "Two people in command of one flight, or somebody solo with company. An instructor beside a pilot in command is no contradiction."),
    "person_twice": About(CHECK, "Pilot and second person, or pilot and safety pilot, are the same."),
    "charge_temperature": About(SERIOUS, "The charge began or ended outside the charging temperatures of the pack."),
    "charge_energy": About(CHECK, "The meter and what was filled do not agree, losses allowed for (0.85 to 1.35 times, and 0.6 kWh)."),
    "charge_too_much": About(CHECK, "The meter shows more than all packs of the session can hold, losses allowed for."),
    "charge_meter_differs": About(CHECK, "The rows of one session give its shared meter different figures; the first counts."),
    "charge_fell": About(CHECK, "Charge was lower after than before by more than a point, and the purpose was neither preheating, cooling nor storage."),
    "charge_overlap": About(CHECK, "The pack was flown, or charged elsewhere, at the same time."),
    "charge_long": About(CHECK, "The charge took more than a day (24 h)."),
    "balancing_due": About(NOTE, "The newest charge of a pack, and none in 60 days or 20 cycles, was full with balancing."),
    "parked_full": About(NOTE, "A pack stood for more than 7 days above the charge its type wants for storage.", "Time at high charge ages packs."),
    "cells_apart_limit": About(SERIOUS, "The highest and the lowest cell read are further apart than the pack or its type allows."),
    "cells_apart_caution": About(CHECK, "As above, for the caution: it speaks where the caution is reached and the limit is not passed."),
    "cell_voltage_low": About(SERIOUS, "A cell voltage read is below the lowest that the pack or its type allows."),
    "cell_voltage_high": About(SERIOUS, "A cell voltage read is above the highest that the pack or its type allows."),
    "insulation_low": About(SERIOUS, "The insulation resistance read is below the least that the pack or its type allows."),
    "cells_exchanged": About(CHECK, "The lowest cell was entered with more volts than the highest."),
}  # fmt: skip
"""Every rule on flights, charges and observations beyond a limit; a test holds severities and ids against the rules themselves."""

_OBSERVED: Final = (
    "\n## Observations of packs\n\n"
    "What a pack showed outside flight and charge, against the limits of the pack, else of its type (Setup). A limit is "
    "what is still allowed: what meets it is not flagged. A pack with a serious flag of these is held up like one that "
    "got too hot: *inspection before next use*, until the flag is answered (`w`) or a maintenance entry on the pack "
    "follows; an observation within the limits does not end it. See also "
    "[what was seen on a pack](packs/observations.md).\n"
)
_TAIL: Final = """
## Maintenance

These are said where the record is entered or shown (`logbook show observation|maintenance ID`). The first three are
corrected, or answered (`w`).

| flag | speaks when | what to do |
|---|---|---|
| `counter_back` | ! a pack's own hour or cycle counter shows less than before, without a baseline break | compare with the display; after a new controller, record a baseline break |
| `hours_back` | ! an entry gives less total time of the aeroplane than an earlier one | correct whichever was mistyped |
| `hours_apart` | ! an entry gives a total time of the aeroplane more than 1 h from what the book counts: up to the first such entry, later from one to the next; what falls due by hours counts on from what was read | correct what was mistyped; a book that began later than the aeroplane: state the difference as hours brought forward |
| `no_longer_due` | ! the same work was due again by date, hours or cycles, and the new entry names no next time for it: nothing recalls it any more (said when it is recorded) | correct the entry: give the next date, hours or cycles |
| `defect_not_closed` | ! an entry names a defect that it cannot close; the entry stands | name the right defect, or close it by another entry |
"""


def page() -> str:
    """The page, in Markdown."""
    parts = [_HEAD]
    for title, names in _GROUPS.items():
        parts += [f"\n## {title}\n", *(_section(catalogue.RULES[name]) for name in names)]
    parts += [
        "\n## Charges\n\nThese stand with the charge (`c`, Enter): correct it (`e`), or answer (`w`).\n"
    ]
    parts += [_section(rule) for rule in charge_rules.RULES.values()]
    parts += [_OBSERVED, *(_section(rule) for rule in observation_rules.RULES.values())]
    return "\n".join(_broken(line) for line in "".join([*parts, _TAIL, *_bands()]).split("\n"))


def _broken(line: str) -> str:
    """A paragraph in lines of the width of the other pages; tables stay, and no code in it is torn apart."""
    if line.startswith("|"):
        return line
    whole = re.sub(r"`[^`]+`", lambda code: code[0].replace(" ", "\0"), line)
    lines = textwrap.wrap(whole, 120, break_long_words=False, break_on_hyphens=False)
    return "\n".join(lines).replace("\0", " ")


def _section(rule: Rule) -> str:
    about = _ABOUT[rule.rule]
    note = f"**Note**: {about.note}\n\n" if about.note else ""
    return (
        f"\n### {SIGNS[about.severity]} {rule.title}\n\n"
        f"`{rule.rule}`, {about.severity}. {about.speaks}\n\n"
        f"**Do**: {rule.what_to_do}\n\n{note}"
        f"**Source**: {rule.source}.\n"
    )


_UNITS: Final = {
    "c": "°C",
    "share": "of cruise power",
    "times": "times",
    "kg": "kg",
    "filled": "times what was filled",
    "pct": "points",
    "day": "points a day",
    "h": "h",
    "min": "min",
    "kwh": "kWh",
    "days": "days",
    "cycles": "cycles",
}


def _bands() -> Iterator[str]:
    """The figures behind the bands, as they are without a setting."""
    yield "\n## Bands, as they are until somebody sets them\n\nAll are common practice without a published source. They are set "
    yield "in Setup, Rules; those of charges (from `fall_pct` on) also by `logbook settings charge_bands=JSON`.\n\n"
    yield "| band | figure | unit |\n|---|---|---|\n"
    for bands in (Thresholds(), ChargeBands()):
        for name, value in bands._asdict().items():
            yield f"| `{name}` | {plain_number(value)} | {_UNITS[name.rpartition('_')[2]]} |\n"


if __name__ == "__main__":
    sys.stdout.write(page())
