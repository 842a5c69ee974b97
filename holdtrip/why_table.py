"""`--why PART`: every margin of one part on the screen.

Comes in: a ranking and a part number as typed. Goes out: a table on stdout. Judges nothing.
"""

from __future__ import annotations

from compare.explain import candidate_to_review, candidate_to_sentence
from compare.ranking import Ranking
from compare.records import Candidate, Verdict
from compare.why import candidate_to_why, nearest_that_fits
from extract.standing import Standing
from holdtrip.part_table import not_there, parts_named
from holdtrip.plain_text import printable
from holdtrip.screen import say, show_table

STYLES = {Verdict.FITS: "green", Verdict.UNDETERMINED: "yellow", Verdict.FAILS: "red"}
LONGEST = 400


def candidates_named(ranking: Ranking, number: str, where: str) -> list[Candidate]:
    """The candidates of a part number, one for each datasheet; raises InputError where there is none."""
    named = set(map(id, parts_named((one.part for one in ranking.candidates), number)))
    found = [one for one in ranking.candidates if id(one.part) in named]
    if not found:
        raise not_there(where, number, (one.part_number for one in ranking.candidates))
    return found


def show_why(ranking: Ranking, candidate: Candidate) -> None:
    """Verdict, every margin with what it rests on and what would have to change, the nearest that fits."""
    say(f"{candidate.part_number}, {candidate.part.document}: {candidate.verdict}, rank "
        f"{ranking.candidates.index(candidate) + 1} of {len(ranking.candidates)}", style="bold")
    say(printable(candidate_to_sentence(candidate)))
    show_table(
        ["Margin of", "Verdict", "Value", "Must be", "Margin", "Rests on", "What would have to change"],
        [[line.title, line.verdict.value, line.value, line.limit, line.margin,
          printable(line.rests_on, LONGEST), printable(line.change, LONGEST)]
         for line in candidate_to_why(candidate)],
        styles=[STYLES[line.verdict] for line in candidate_to_why(candidate)])
    standing = candidate.standing
    if standing is not None:
        weak = " (a person must look)" if standing is Standing.DISPUTED else ""
        say(f"As a whole it stands as its weakest number: {standing}{weak}.")
    say(candidate_to_review(candidate))
    nearest = nearest_that_fits(ranking, candidate)
    if nearest is not None:
        say(f"Nearest that fits: {nearest.part_number} ({nearest.part.document})")
