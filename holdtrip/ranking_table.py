"""A ranking on the screen: verdict, deciding margin and one sentence for each part.

Comes in: a ranking. Goes out: a table on stdout. Judges nothing.
"""

from __future__ import annotations

from compare.best_first import ScreenedRanking
from compare.cautions import ranking_to_cautions
from compare.explain import (
    candidate_to_review,
    candidate_to_sentence,
    counted,
    counts_text,
    margin_text,
    margin_title,
    ranking_to_gap,
)
from compare.ranking import Ranking
from compare.records import Candidate, Verdict
from holdtrip.plain_text import printable
from holdtrip.screen import say, show_table

CAUTIONS_ALWAYS_SHOWN = ("limits_not_opens", "verify_on_board")
"""Of the cautions for every use, those on the screen; the workbook has them all."""

WHY_LENGTH = 170
"""Characters of the reason on the screen; the files give it in full."""

_STYLES = {Verdict.FITS: "bold green", Verdict.UNDETERMINED: "yellow", Verdict.FAILS: "red"}


def show_ranking(ranking: Ranking, top: int, screened: ScreenedRanking | None = None) -> None:
    """The best `top` parts, how many there are of each verdict, and what is missing if none fits.

    `screened` tells of the parts that the ranking leaves out.
    """
    if ranking.requirement.title:
        say(ranking.requirement.title, style="bold")
    shown = ranking.candidates[:top]
    show_table(["Rank", "Part", "Verdict", "Margin", "Why", "Datasheet"],
               [_candidate_to_row(rank, candidate) for rank, candidate in enumerate(shown, 1)],
               numbers=[0, 3], styles=[_STYLES[candidate.verdict] for candidate in shown])
    counts = counts_text(ranking)
    hidden = len(ranking.candidates) - len(shown)
    more = f" ({hidden} more than shown)" if hidden else ""
    if screened is None or not screened.not_judged + screened.missed.total():
        say(f"{counted(len(ranking.candidates), 'part')}: {counts}{more}")
    else:
        _say_left_out(screened, f"{counts}{more}")
    if shown:
        say(f"{shown[0].part_number}: {candidate_to_review(shown[0])}")
    for override in ranking.requirement.overrides:
        say(f"The requirement overrides a preset: {override}", style="yellow")
    gap = ranking_to_gap(ranking)
    if gap:
        say(gap)
    for caution in ranking_to_cautions(ranking):
        if caution.when != "always" or caution.name in CAUTIONS_ALWAYS_SHOWN:
            say(f"Caution: {caution.text}", style="yellow")


def _say_left_out(screened: ScreenedRanking, counts: str) -> None:
    """How many parts were judged, and why the others need not be."""
    judged, cannot = len(screened.ranking.candidates), screened.missed.total()
    others = screened.not_judged + cannot
    say(f"{judged + others} parts, {judged} of them judged: {counts}")
    told = [f"{screened.not_judged} may fit"] if screened.not_judged else []
    if cannot:
        why = ", ".join(f"{margin_title(name)} ({count})" for name, count in screened.missed.most_common())
        told.append(f"{cannot} cannot fit, by what they give for: {why}")
    say(f"The other {others} stand behind those shown: {'; '.join(told)}.")
    say("--xlsx, --report, --json judge every part.")


def _candidate_to_row(rank: int, candidate: Candidate) -> list[str]:
    return [str(rank), candidate.part_number, candidate.verdict.value,
            margin_text(candidate.limiting),
            printable(candidate_to_sentence(candidate), WHY_LENGTH), candidate.part.document]
