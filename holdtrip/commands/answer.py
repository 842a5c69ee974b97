"""`holdtrip answer`: settle all numbers of one doubt by one answer, and keep it in a file or the library."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import click

from extract.answers import cause_of, cause_to_answer, read_answers, write_answers
from extract.asked import Remembered
from extract.errors import InputError
from extract.remembered import answer_to_remembered
from extract.schema import SheetReading
from holdtrip.counted import counted
from holdtrip.exits import ALL_WELL
from holdtrip.library_options import library_address, library_option, who_option
from holdtrip.memory import library_to_known, sheet_with_memory
from holdtrip.option_groups import option_group
from holdtrip.outputs import OUTPUT, Output, check_outputs, whole_file
from holdtrip.own_files import ANSWERS
from holdtrip.sheets import read_batch

EXAMPLES = """\b
Examples:
  holdtrip read sheet.pdf                              shows the questions and what may be answered
  holdtrip answer sheet.pdf 2 right --library team.sqlite --because "compared with page 3"
  holdtrip answer sheet.pdf 1 unit:mA --maker "Quarrowick Devices" --library team.sqlite
  holdtrip answer sheet.pdf 1 unit:mA --answers team-answers.json
  holdtrip answer sheet.pdf 1 --take-back --answers team-answers.json
  holdtrip read sheet.pdf --answers team-answers.json --long numbers.csv
"""


@dataclass(frozen=True, slots=True)
class Keeping:
    """Where an answer is kept, for whom, who says it and why."""

    path: Path | None
    library: str | None
    maker: str | None
    series: str
    because: str
    who: str


keeping_options = option_group(
    "keeping", Keeping,
    click.option("--answers", "path", metavar="FILE.json", type=OUTPUT,
                 help="Keep the answer in this file and not in the library; made if need be."),
    library_option,
    click.option("--maker", metavar="NAME",
                 help="The maker whose sheets the answer holds for, as they name it; '' for this sheet only."
                      " Without it, the name that the sheet seems to give."),
    click.option("--series", metavar="TEXT", default="",
                 help="Only for parts whose numbers begin so. Without it, all of that maker."),
    click.option("--because", metavar="TEXT", default="", help="Why, for whoever reads the answer later."),
    who_option,
)


@click.command("answer", epilog=EXAMPLES)
@click.argument("sheet", metavar="PDF", type=click.Path(path_type=Path))
@click.argument("cause", metavar="QUESTION", type=int)
@click.argument("said", metavar="[ANSWER]", required=False)
@click.option("--take-back", is_flag=True,
              help="Take an answer back: QUESTION then counts the answers of this sheet in the file.")
@keeping_options
def command(sheet: Path, cause: int, said: str | None, take_back: bool, keeping: Keeping) -> int:
    """Answer the question that disputed numbers of a datasheet wait for.

    One answer settles every number of its question; such a number counts as read once, not as agreed, and
    the checks look again: where they object, it stays disputed. The answer is remembered for later
    sheets of the same maker with the same headings; `holdtrip answers` lists what is remembered. A
    sheet that is stored already takes it up with `holdtrip import --again`.
    """
    if take_back == (said is not None):
        raise click.UsageError("say an ANSWER, or --take-back without one")
    if take_back and keeping.path is None:
        raise click.UsageError(
            "--take-back goes with --answers; for the library: holdtrip answers --take-back NUMBER")
    if keeping.path is not None:
        check_outputs([Output("--answers", keeping.path, ANSWERS)], [sheet])
    reading = read_batch([sheet]).sheets[0]
    if take_back:
        assert keeping.path is not None
        kept = _without(_kept(keeping.path), reading, cause)
        _write(kept, keeping.path, f"{reading.document}: answer {cause} taken back")
    elif keeping.path is not None:
        known = _kept(keeping.path)
        one, told = _answered(reading, known, (cause, said or ""), keeping)
        _write((*known, one), keeping.path, told)
    else:
        _remember(reading, (cause, said or ""), keeping)
    return ALL_WELL


def _remember(reading: SheetReading, said: tuple[int, str], keeping: Keeping) -> None:
    """Keep an answer in the library; one that is refused makes no library."""
    from holdtrip.library.records import Signature
    from holdtrip.library.store import open_library
    from holdtrip.screen import say

    address = library_address(keeping.library)
    if "://" not in address and not Path(address).exists():
        _answered(reading, (), said, keeping)
    with open_library(address) as opened:
        one, told = _answered(reading, library_to_known(opened), said, keeping)
        number = opened.remember_answer(one, Signature(keeping.who, keeping.because))
        say(f"{told}; {opened.name} remembers it as answer {number}")
        if reading.sha256 in opened.stored_hashes():
            say("this sheet is stored: `holdtrip import --again --take` reads it so")


def _answered(
    reading: SheetReading, known: tuple[Remembered, ...], said: tuple[int, str], keeping: Keeping
) -> tuple[Remembered, str]:
    """The answer to a numbered cause of a sheet, as what is known leaves it; and what it does, in words."""
    answered, _ = sheet_with_memory(reading, known)
    when = datetime.now(UTC).date().isoformat()
    answer = cause_to_answer(answered, *said, (keeping.who, when, keeping.because))
    covered = cause_of(answered, answer)
    house = reading.house if keeping.maker is None else keeping.maker
    one = answer_to_remembered(answered, answer, house, keeping.series)
    count = covered.count if covered is not None else 0
    reach = f"for sheets of '{one.house}' with the same headings" if one.house else "for this sheet only"
    return one, f"{reading.document}: {answer.answer} for {counted(count, 'number')}, {reach}"


def _kept(path: Path) -> tuple[Remembered, ...]:
    return read_answers(path) if path.exists() and path.stat().st_size else ()


def _without(kept: tuple[Remembered, ...], sheet: SheetReading, number: int) -> tuple[Remembered, ...]:
    """The answers without the `number`th of a sheet."""
    own = [one for one in kept if one.answer.sha256 == sheet.sha256]
    if not 1 <= number <= len(own):
        have = f"one of 1 to {len(own)}" if own else "an answer to this sheet: there is none"
        raise InputError(sheet.document, f"no answer {number}", have)
    return tuple(one for one in kept if one is not own[number - 1])


def _write(answers: tuple[Remembered, ...], path: Path, told: str) -> None:
    from holdtrip.screen import say

    with whole_file(path) as unfinished:
        count = write_answers(answers, unfinished)
    say(f"{told}; {path} holds {count}")
