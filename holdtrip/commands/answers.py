"""`holdtrip answers`: what the library remembers of questions answered; edited, taken back, exchanged."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import click

from extract.asked import Remembered
from extract.errors import InputError
from holdtrip.counted import counted
from holdtrip.exits import ALL_WELL
from holdtrip.library.answers import StoredAnswer, answer_with
from holdtrip.library.records import Signature
from holdtrip.library.store import Library, open_library
from holdtrip.library_options import library_address, library_option, who_option
from holdtrip.option_groups import option_group
from holdtrip.outputs import OUTPUT, Output, check_outputs, force_option, whole_file
from holdtrip.own_files import ANSWERS
from holdtrip.question_words import words_to_about
from holdtrip.screen import say, show_table

EXAMPLES = """\b
Examples:
  holdtrip answers                                              all of them, with who, when and why
  holdtrip answers --edit 3 --maker "Quarrowick Devices"        for this maker, and no other
  holdtrip answers --edit 3 --say unit:mA --because "page 2 prints mA"
  holdtrip answers --take-back 3 --because "the heading was misread"
  holdtrip answers --export answers.json                        a file for another team
  holdtrip answers --import answers.json                        what another team answered
"""

HEADINGS = ["Number", "Maker", "Series", "Question", "Columns", "Answer", "On sheet", "Who", "When", "Why"]


@dataclass(frozen=True, slots=True)
class Editing:
    """Which answer to edit, and what about it; None stays."""

    number: int | None
    said: str | None
    maker: str | None
    series: str | None


@dataclass(frozen=True, slots=True)
class Exchange:
    """Files to write and to take in."""

    written: Path | None
    taken: Path | None
    force: bool


editing_options = option_group(
    "editing", Editing,
    click.option("--edit", "number", metavar="NUMBER", type=int,
                 help="Change this answer; the old one stays in the history."),
    click.option("--say", "said", metavar="ANSWER", help="With --edit: another answer."),
    click.option("--maker", metavar="NAME",
                 help="With --edit: the maker whose sheets it holds for; '' for its own sheet only."),
    click.option("--series", metavar="TEXT", help="With --edit: only for parts whose numbers begin so."),
)
exchange_options = option_group(
    "exchange", Exchange,
    click.option("--export", "written", metavar="OUT.json", type=OUTPUT,
                 help="Write all answers to this file."),
    click.option("--import", "taken", metavar="FILE.json", type=click.Path(dir_okay=False, path_type=Path),
                 help="Take in the answers of a file; what is remembered here already stays."),
    force_option,
)


@click.command("answers", epilog=EXAMPLES)
@library_option
@editing_options
@exchange_options
@click.option("--take-back", metavar="NUMBER", type=int,
              help="Use this answer no more; what was read by it stays until `holdtrip import --again`.")
@click.option("--because", "reason", metavar="TEXT", default="", help="Why, for those who come later.")
@who_option
def command(
    library: str | None, editing: Editing, exchange: Exchange, take_back: int | None, reason: str, who: str
) -> int:
    """List the answers that the library remembers; edit them, take them back, exchange them.

    An answer is used for later sheets that name the same maker and print the same headings, and never
    where units, limits or trends object. Numbers read so count as read once, and say whose answer it was.
    """
    if exchange.written is not None:
        check_outputs([Output("--export", exchange.written, ANSWERS)], [], exchange.force)
    given = _given(exchange.taken)
    with open_library(library_address(library), create=exchange.taken is not None) as opened:
        if exchange.taken is not None:
            _take_in(opened, exchange.taken, given)
        if editing.number is not None:
            _edit(opened, editing, Signature(who, reason))
        if take_back is not None:
            forgotten = opened.forget_answer(take_back, Signature(who, reason)).remembered.answer
            say(f"taken back: {forgotten.answer}, said on {forgotten.document} by {forgotten.who}")
        known = opened.answers()
        name = opened.name
    if known:
        show_table(HEADINGS, [_to_row(one) for one in known], numbers=[0])
    say(f"{name}: {len(known)} answer{'' if len(known) == 1 else 's'} remembered")
    if exchange.written is not None:
        _write(known, exchange.written)
    return ALL_WELL


def _given(path: Path | None) -> tuple[Remembered, ...]:
    """The answers of a file, if one is to be taken in: read before a library is made for them."""
    from extract.answers import read_answers

    return read_answers(path) if path is not None else ()


def _take_in(opened: Library, path: Path, given: tuple[Remembered, ...]) -> None:
    new = opened.take_in_answers(given)
    say(f"{path}: {counted(new, 'answer')} new, {len(given) - new} known already")


def _edit(opened: Library, editing: Editing, by: Signature) -> None:
    found = next((one for one in opened.answers() if one.answer_id == editing.number), None)
    if found is None:
        raise InputError("library", f"no answer {editing.number}", "the number of an answer as listed")
    if editing.said is not None:
        _check_said(found, editing.said)
    edited = answer_with(found.remembered, editing.said, editing.maker, editing.series)
    number = opened.edit_answer(found.answer_id, edited, by)
    say(f"answer {found.answer_id} is now answer {number}")


def _check_said(found: StoredAnswer, said: str) -> None:
    """Refuse what cannot be answered to the question."""
    from extract.causes import code_to_answers

    allowed = code_to_answers(found.remembered.answer.code, found.remembered.words)
    if said not in allowed:
        raise InputError(f"answer {found.answer_id}", f"the answer '{said}'", ", ".join(allowed))


def _to_row(one: StoredAnswer) -> list[str]:
    said = one.remembered.answer
    when = one.at.astimezone().strftime("%Y-%m-%d %H:%M")
    return [str(one.answer_id), one.remembered.house or "(this sheet only)", one.remembered.series, said.code,
            words_to_about(one.remembered.words), said.answer, said.document, said.who, when, said.because]


def _write(known: tuple[StoredAnswer, ...], path: Path) -> None:
    from extract.answers import write_answers

    with whole_file(path) as unfinished:
        count = write_answers((one.remembered for one in known), unfinished)
    say(f"wrote {path}: {counted(count, 'answer')}")
