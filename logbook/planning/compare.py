"""The handbook's answer beside the record's, and in words why they differ."""

from collections.abc import Sequence

from logbook.energy.estimate import Estimate
from logbook.energy.rates import Rate
from logbook.planning.outlook import Outlook
from logbook.planning.words import pack_starts, percent_down

WORTH_A_WORD = 0.03
"""Differences of energy or capacity below this part are not worth a sentence."""


def why_they_differ(
    record: Outlook,
    handbook: Outlook,
    record_kwh: Estimate,
    handbook_kwh: Estimate,
    reasons: Sequence[str] = (),
) -> tuple[str, ...]:
    """Energy and capacity of the record against those of the handbook.

    Args:
        record: the plan by the record.
        handbook: the same plan by the handbook alone.
        record_kwh: its energy by the record [kWh].
        handbook_kwh: by the handbook [kWh].
        reasons: how single rates differ, in words, from whoever knows the rates.
    """
    words = []
    energy = record_kwh.mid / handbook_kwh.mid - 1 if handbook_kwh.mid > 0 else 0.0
    if abs(energy) >= WORTH_A_WORD:
        words.append(
            f"The record says this plan takes {record_kwh.mid:.1f} kWh, the handbook {handbook_kwh.mid:.1f} kWh "
            f"({_signed(energy)})."
        )
        words += reasons
    for ours, theirs in zip(record.packs, handbook.packs, strict=True):
        held = ours.usable_kwh.mid / theirs.usable_kwh.mid - 1
        if abs(held) >= WORTH_A_WORD:
            words.append(
                f"{pack_starts(ours.serial_no)} holds {ours.usable_kwh.mid:.1f} kWh as flown, {theirs.usable_kwh.mid:.1f} kWh by its "
                f"nominal capacity and state of health ({_signed(held)})."
            )
    if not words:
        lowest = min(pack.soc_pct.mid for pack in record.packs)
        theirs_lowest = min(pack.soc_pct.mid for pack in handbook.packs)
        words.append(
            f"Record and handbook agree: {percent_down(lowest)} and {percent_down(theirs_lowest)} on the weaker pack in the middle."
        )
    if record_kwh.n == 0:
        words.append("No flights are recorded yet, so the record adds nothing to the handbook.")
    return tuple(words)


def rate_words(rate: Rate) -> str:
    """One rate of the record beside the handbook's."""
    observed, handbook = rate.observed.mid, rate.handbook or 0.0
    apart = _signed(observed / handbook - 1)
    return f"{rate.name.capitalize()}: {observed:.3g} {rate.unit} by the record, {handbook:.3g} by the handbook ({apart})."


def _signed(fraction: float) -> str:
    return f"{100 * abs(fraction):.0f} % {'more' if fraction > 0 else 'less'}"
