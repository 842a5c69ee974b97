"""Many parts held against a requirement on several cores.

Comes in: parts, a requirement, a number of processes. Goes out: their candidates, in the order of the
parts, exactly as one process would make them. Each further process is forked, so parts need not be sent to
it; it sends its answers back as plain tuples in which cells are numbered, since marshal copies those many
times faster than records are pickled. Where a process cannot be forked, or fails, this one does its share.
Does not rank.
"""

from __future__ import annotations

import marshal
import math
import multiprocessing
import os
import threading
from collections.abc import Callable, Sequence
from multiprocessing.connection import Connection
from typing import Any

from compare.records import Basis, Candidate, Margin, Sense, Verdict
from extract.schema import Part

WORTH_A_PROCESS = 5_000
"""Below so many parts for each process, forking costs more than it saves."""
CHUNK = 200
OWN_SHARE = 1.2
"""This process takes so many times the share of another, which has to write its answers down as well."""
LOOK_EVERY = 50
"""After so many parts this process takes the answers that wait: a full pipe makes the other stand still."""
VERDICTS, BASES, SENSES = tuple(Verdict), tuple(Basis), tuple(Sense)
NUMBER_OF = {word: number for words in (VERDICTS, BASES, SENSES) for number, word in enumerate(words)}
PartToCandidate = Callable[[Part], Candidate]


def processes_for(count: int) -> int:
    """How many processes so many parts are worth: one where forking is impossible or unsafe (other threads
    run).
    """
    if "fork" not in multiprocessing.get_all_start_methods() or threading.active_count() > 1:
        return 1
    return max(1, min(_usable_cores(), count // WORTH_A_PROCESS))


def _usable_cores() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def parts_to_candidates(
    parts: Sequence[Part], part_to_candidate: PartToCandidate, processes: int
) -> list[Candidate]:
    """The candidate of each part, worked out by so many processes; this one does the first share."""
    own = math.ceil(len(parts) * OWN_SHARE / (processes - 1 + OWN_SHARE)) if processes > 1 else len(parts)
    share = math.ceil((len(parts) - own) / max(1, processes - 1))
    others = [_fork(parts[start:start + share], part_to_candidate)
              for start in range(own, len(parts), max(1, share))]
    found: list[Candidate] = []
    for start in range(0, own, LOOK_EVERY):
        found.extend([part_to_candidate(part) for part in parts[start:min(own, start + LOOK_EVERY)]])
        for other in others:
            other.take_waiting()
    for other in others:
        found.extend(other.candidates(part_to_candidate))
    return found


def _fork(parts: Sequence[Part], part_to_candidate: PartToCandidate) -> _Other:
    context = multiprocessing.get_context("fork")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_answer, args=(parts, part_to_candidate, theirs), daemon=True)
    process.start()
    theirs.close()
    return _Other(parts, process, ours)


class _Other:
    """Another process at work on its share of the parts."""

    def __init__(self, parts: Sequence[Part], process: Any, answers: Connection) -> None:
        self._parts = parts
        self._process = process
        self._answers = answers
        self._chunks: list[bytes] = []
        self._ended = False

    def take_waiting(self) -> None:
        """Take the chunks that wait in the pipe, without waiting for more."""
        try:
            while not self._ended and self._answers.poll():
                self._chunks.append(self._answers.recv_bytes())
        except (EOFError, OSError):
            self._ended = True

    def candidates(self, part_to_candidate: PartToCandidate) -> list[Candidate]:
        """The candidates of its share; those it failed to send are worked out here."""
        while not self._ended:
            self._answers.poll(None)
            self.take_waiting()
        found: list[Candidate] = []
        for chunk in map(marshal.loads, self._chunks):
            members = self._parts[len(found):len(found) + len(chunk)]
            found.extend([part_to_candidate(part) if plain is None else _plain_to_candidate(plain, part)
                          for plain, part in zip(chunk, members, strict=True)])
        found.extend(part_to_candidate(part) for part in self._parts[len(found):])
        self._answers.close()
        self._process.join()
        self._process.close()
        return found


def _answer(parts: Sequence[Part], part_to_candidate: PartToCandidate, answers: Connection) -> None:
    """Runs in the forked process: sends its candidates in chunks."""
    for start in range(0, len(parts), CHUNK):
        chunk = [_candidate_to_plain(part_to_candidate(part)) for part in parts[start:start + CHUNK]]
        answers.send_bytes(marshal.dumps(chunk))
    answers.close()


def _candidate_to_plain(candidate: Candidate) -> tuple[Any, ...] | None:
    """The candidate as numbers and texts; None where a margin rests on what is not the part's own."""
    part = candidate.part
    cell = {id(one): number for said in (part.readings, part.particulars, part.curves)
            for number, one in enumerate(said)}
    rests_on = (one for m in candidate.margins for one in (*m.readings, *m.particulars, *m.curves))
    if any(id(one) not in cell for one in rests_on):
        return None
    margins = tuple([
        (m.name, m.value, m.limit, m.margin, NUMBER_OF[m.verdict], NUMBER_OF[m.basis], m.unit,
         NUMBER_OF[m.sense], m.note, tuple([cell[id(reading)] for reading in m.readings]), m.band, m.at_c,
         m.assumed, tuple([cell[id(one)] for one in m.particulars]),
         tuple([cell[id(one)] for one in m.curves]))
        for m in candidate.margins])
    limiting = next(number for number, m in enumerate(candidate.margins) if m is candidate.limiting)
    return (NUMBER_OF[candidate.verdict], limiting, candidate.smallest_margin, margins, candidate.hold_a,
            candidate.resistance_ohm, candidate.area_mm2)


def _plain_to_candidate(plain: tuple[Any, ...], part: Part) -> Candidate:
    verdict, limiting, smallest, rows, hold_a, resistance_ohm, area_mm2 = plain
    cells = part.readings
    margins = tuple([
        Margin(name, value, limit, margin, VERDICTS[judged], BASES[basis], unit, SENSES[sense], note,
               tuple([cells[number] for number in numbers]), band, at_c, assumed,
               tuple([part.particulars[number] for number in said]),
               tuple([part.curves[number] for number in drawn]))
        for name, value, limit, margin, judged, basis, unit, sense, note, numbers, band, at_c, assumed, said,
        drawn in rows])
    return Candidate(part, VERDICTS[verdict], margins[limiting], smallest, margins, hold_a, resistance_ohm,
                     area_mm2)
