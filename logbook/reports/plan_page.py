"""A plan on paper: verdict, landing charges, the profile, the table with the turn-back charges, points, cautions."""

from __future__ import annotations

from typing import Any, Final

from logbook.measures import USUAL, Measures, told
from logbook.reports import plan_text
from logbook.reports.paper import Block, Facts, Heading, Listing, Paper, Picture, Words, digest_of
from logbook.reports.plan_plot import plan_profile

Row = dict[str, Any]
STANDING: Final = "Planning aid; the flight manual, the instruments, local rules and the pilot decide."


def plan_paper(title: str, made_at: str, plan: Row, answer: Row, measures: Measures = USUAL) -> Paper:
    """The page of one plan.

    Args:
        title: what was planned, in a few words.
        made_at: when it was answered (UTC, stored form).
        plan: as it was typed.
        answer: as it was given.
        measures: the units its sentences are shown in.
    """
    given, answer = answer, told(measures, answer)
    blocks: list[Block] = [
        Words(plan_text.VERDICTS[answer["verdict"]], strong=True),
        Words(answer["because"]),
        Heading(plan_text.landing_heading(answer)),
        Listing(plan_text.PACK_COLUMNS, [plan_text.pack_row(pack) for pack in answer["packs"]]),
        Facts([(label, value) for label, value in plan_text.facts(answer) if value is not None]),
    ]
    if answer["legs"]:
        blocks += [
            Picture(plan_profile(answer), "Charge along the plan: the band holds nine flights in ten."),
            Heading(plan_text.legs_heading(answer)),
            Listing(plan_text.LEG_COLUMNS, [plan_text.leg_row(leg) for leg in answer["legs"]]),
        ]
    if points := plan_text.points(answer):
        blocks += [Heading(plan_text.POINTS), Facts([pair for pair in points if pair[1] is not None])]
    for heading, lines in plan_text.paragraphs(answer):
        blocks += [Heading(heading), *(Words(line) for line in lines)]
    return Paper(title, made_at, digest_of([plan, given]), blocks, STANDING)
