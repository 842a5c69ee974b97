"""`holdtrip correct`: a person's value beside the printed one."""

from __future__ import annotations

import click

from extract.errors import InputError
from holdtrip.exits import ALL_WELL
from holdtrip.library.part_numbers import fold
from holdtrip.library.records import Signature, StoredNumber, Target
from holdtrip.library.review import named_numbers
from holdtrip.library.store import Library, open_library
from holdtrip.library_options import library_address
from holdtrip.review_options import review_options
from holdtrip.review_table import show_outcome
from holdtrip.web.corrections import typed_to_answer

EXAMPLES = """\b
Examples:
  holdtrip correct QX050 --number 17 --value 0.75 --because "maker's errata of May"
  holdtrip correct QX050 --number 17 --value "750 mA" --because "maker's errata of May"
  holdtrip correct QX050 --quantity resistance --kind min --value 0.018 --because "printed in milliohm"
"""


@click.command("correct", epilog=EXAMPLES)
@click.option("--value", "typed", metavar="VALUE", required=True,
              help="The right value, with its unit or in A, V, W, ohm or s; ratios as fractions.")
@click.option("--sure", is_flag=True,
              help="Keep a value that is odd: far from the printed one, or against a rule or bound.")
@review_options()
def command(typed: str, sure: bool, target: Target, by: Signature, library: str | None) -> int:
    """Put a value beside a printed one that is wrong; comparisons then use it, marked as corrected.

    The printed value stays beside it. A correction needs a reason. A value that the rules or bounds object to
    is refused with what is odd about it, unless --sure is given.
    """
    with open_library(library_address(library), create=False) as opened:
        value = _typed_to_value(opened, target, typed, sure)
        show_outcome(opened.correct(target, value, by), "corrected")
    return ALL_WELL


def _typed_to_value(library: Library, target: Target, typed: str, sure: bool) -> float:
    """The value in SI, once it is sound or somebody is sure of it."""
    about = named_numbers(target, _numbers_of(library, target))[0]
    answer = typed_to_answer(library.sheet_numbers(about.reading.sha256), about.number_id, typed, "")
    if answer.value is None:
        raise InputError(f"--value {typed}", answer.odd[0].rstrip(".") if answer.odd else "not a value",
                         "a number above 0, with or without its unit")
    if answer.odd and not sure:
        odd = f"{answer.shown} is odd: {' '.join(answer.odd).rstrip('.')}"
        raise InputError(f"{target.part_number}, --value {typed}", odd, "",
                         "Look at the page again; --sure keeps it all the same")
    return answer.value


def _numbers_of(library: Library, target: Target) -> tuple[StoredNumber, ...]:
    """The numbers of the part, of the sheet named or of those in force."""
    in_force = library.numbers_of(target.part_number)
    if not target.sha256:
        return in_force
    sheets = [sheet.sha256 for sheet in library.sheets() if sheet.sha256.startswith(target.sha256)]
    numbers = [one for sha256 in sheets for one in library.sheet_numbers(sha256)]
    return tuple(one for one in numbers if fold(one.reading.part_number) == fold(target.part_number))
