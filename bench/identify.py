"""How often the true part is found among known parts, from simulated measurements with their errors.

    python bench/identify.py TABLES [--each N] [--step N] [--seed S]

TABLES is a folder of truth files (CSV with columns document, part_number, quantity, kind, ambient_c,
test_current_a, value; SI). Every part with the ratings that a bench can see is measured N times by
simulated people: the part is one of its type (bench/identify_parts.py), some have aged, every instrument
errs. The people have from everything down to a meter alone. Printed for each: true part first, among the
first three, among those said to be alike, excluded, and how often the first was said to stand alone and was
another. Parts of equal tables stand for each other: they cannot be told apart.
"""

from __future__ import annotations

import argparse
import platform
import random
import sys
from collections import Counter
from datetime import date
from pathlib import Path

# A bare checkout is importable too.
sys.path.insert(0, str(Path(__file__).parents[1]))

from bench.identify_parts import PEOPLE, Body, Person, folder_to_bodies, parts_to_twins, person_to_seen
from compare.identify.known import Known
from compare.identify.ranking import Identification, known_to_identification


def outcome(found: Identification, twins: frozenset[int]) -> Counter[str]:
    """What became of one part; `twins` are the parts (by id) that say the same as it."""
    places = [place for place, one in enumerate(found.suspects) if id(one.part) in twins]
    alone = len(found.alike) == 1
    return Counter({
        "measured": 1,
        "first": int(bool(places) and places[0] == 0),
        "first three": int(bool(places) and places[0] < 3),
        "excluded": int(not places),
        "alone": int(alone),
        "alike": len(found.alike),
        "alone and wrong": int(alone and (not places or places[0] > 0)),
        "among those alike": int(bool(places) and places[0] < len(found.alike)),
    })


def measure(bodies: list[Body], person: Person, options: argparse.Namespace) -> Counter[str]:
    """Every part (or every `step`-th), `each` times, among all of them."""
    each, seed, step = options.each, options.seed, options.step
    twins = parts_to_twins([body.part for body in bodies], person)
    known = [Known(body.part) for body in bodies]
    total: Counter[str] = Counter()
    for number, body in list(enumerate(bodies))[::step]:
        draw = random.Random(f"{seed} {person.name} {number}")
        for _ in range(each):
            found = known_to_identification(known, person_to_seen(person, body, draw))
            total += outcome(found, twins[id(body.part)])
    return total


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("folder", type=Path, help="folder of truth files")
    parser.add_argument("--each", type=int, default=2, help="how often each part is measured")
    parser.add_argument("--step", type=int, default=1, help="measure every STEP-th part only")
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    bodies = folder_to_bodies(options.folder, options.seed)
    print(f"{date.today()}, Python {platform.python_version()}, {len(bodies)} parts, seed {options.seed}")
    for person in PEOPLE:
        total = measure(bodies, person, options)
        shares = ", ".join(f"{name} {total[name] / total['measured']:.1%}" for name in
                           ("first", "first three", "among those alike", "excluded", "alone",
                            "alone and wrong"))
        shares += f"; {total['alike'] / total['measured']:.1f} alike on average"
        print(f"{person.name}: {total['measured']} measured; {shares}")


if __name__ == "__main__":
    main()
