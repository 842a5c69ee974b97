"""`holdtrip answer`: settle all numbers of one doubt by one answer, and keep it in a file."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from extract.answers import Answer, cause_of, cause_to_answer, read_answers, sheet_to_answered, write_answers
from extract.errors import InputError
from extract.schema import SheetReading
from holdtrip.exits import ALL_WELL
from holdtrip.library_options import who_option
from holdtrip.outputs import OUTPUT, Output, check_outputs, whole_file
from holdtrip.own_files import ANSWERS
from holdtrip.sheets import read_batch

EXAMPLES = """\b
Examples:
  holdtrip read sheet.pdf                              shows the causes and what may be answered
  holdtrip answer sheet.pdf 2 right --answers team-answers.json --because "compared with page 3"
  holdtrip answer sheet.pdf 1 unit:mA --answers team-answers.json
  holdtrip answer sheet.pdf 1 --take-back --answers team-answers.json
  holdtrip read sheet.pdf --answers team-answers.json --long numbers.csv
"""


@click.command("answer", epilog=EXAMPLES)
@click.argument("sheet", metavar="PDF", type=click.Path(path_type=Path))
@click.argument("cause", metavar="CAUSE", type=int)
@click.argument("said", metavar="[ANSWER]", required=False)
@click.option("--answers", "answers_path", metavar="FILE.json", type=OUTPUT, required=True,
              help="The file that keeps the answer; made if need be. `holdtrip read --answers` uses it.")
@click.option("--because", metavar="TEXT", default="", help="Why, for whoever reads the file later.")
@click.option("--take-back", is_flag=True,
              help="Take an answer back: CAUSE counts the answers of this sheet in the file.")
@who_option
def command(
    sheet: Path, cause: int, said: str | None, answers_path: Path, because: str, take_back: bool, who: str
) -> int:
    """Answer the question that disputed numbers of a datasheet wait for.

    One answer settles every number of its cause; such a number counts as read once, not as agreed, and
    the checks look again: where they object, it stays disputed.
    """
    if take_back == (said is not None):
        raise click.UsageError("say an ANSWER, or --take-back without one")
    check_outputs([Output("--answers", answers_path, ANSWERS)], [sheet])
    kept = read_answers(answers_path) if answers_path.exists() and answers_path.stat().st_size else ()
    reading = read_batch([sheet]).sheets[0]
    if take_back:
        _keep(_without(kept, reading, cause), answers_path, f"{reading.document}: answer {cause} taken back")
        return ALL_WELL
    answered = sheet_to_answered(reading, kept)
    when = datetime.now(UTC).date().isoformat()
    answer = cause_to_answer(answered, cause, said or "", (who, when, because))
    covered = cause_of(answered, answer)
    count = covered.count if covered is not None else 0
    _keep((*kept, answer), answers_path, f"{reading.document}: {answer.answer} for {count} numbers")
    return ALL_WELL


def _without(kept: tuple[Answer, ...], sheet: SheetReading, number: int) -> tuple[Answer, ...]:
    """The answers without the `number`th of a sheet."""
    own = [answer for answer in kept if answer.sha256 == sheet.sha256]
    if not 1 <= number <= len(own):
        have = f"one of 1 to {len(own)}" if own else "an answer to this sheet: there is none"
        raise InputError(sheet.document, f"no answer {number}", have)
    return tuple(answer for answer in kept if answer is not own[number - 1])


def _keep(answers: tuple[Answer, ...], path: Path, told: str) -> None:
    from holdtrip.screen import say

    with whole_file(path) as unfinished:
        count = write_answers(answers, unfinished)
    say(f"{told}; {path} holds {count}")
