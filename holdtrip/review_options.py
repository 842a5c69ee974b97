"""Which numbers a person decides on, who decides and why: options of accept, correct, reject, reopen.

Comes in: what was typed. Goes out: a Target and a Signature for the library. Decides nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import wraps
from typing import Any

import click

from extract.schema import Kind, Quantity
from holdtrip.library.records import Signature, Target
from holdtrip.library_options import library_option, who_option

_OPTIONS = (
    click.option("--quantity", type=click.Choice([quantity.value for quantity in Quantity]), metavar="NAME",
                 help="Only numbers of this quantity, such as hold_current, max_voltage, resistance."),
    click.option("--kind", type=click.Choice([kind.value for kind in Kind if kind.value]), metavar="NAME",
                 help="Only numbers of this kind: min, typ, max, post_trip_max, ac, dc."),
    click.option("--at-c", "ambient_c", metavar="°C", type=float, help="Only numbers at this ambient."),
    click.option("--at-a", "test_current_a", metavar="A", type=float,
                 help="Only trip times at this test current."),
    click.option("--number", "number_ids", metavar="NUMBER", type=int, multiple=True,
                 help="One number only, by its number in `holdtrip show PART`; again for another."),
    click.option("--sheet", "sha256", metavar="SHA256", default="",
                 help="The datasheet, if several give the part: the first letters of its hash."),
    click.option("--seen", "seen_version", metavar="VERSION", type=int,
                 help="The version of the part you looked at: needed to overrule somebody's decision."),
    click.option("--because", "reason", metavar="TEXT", default="", help="Why, for those who come later."),
    who_option,
    library_option,
)


def review_options(part_needed: bool = True) -> Callable[[Callable[..., int]], Callable[..., int]]:
    """Give a command all options of a review; it gets `target`, `by` and `library`."""
    part = click.argument("part_number", metavar="PART" if part_needed else "[PART]", required=part_needed,
                          default=None if part_needed else "")
    return lambda command: _decorated(command, (part, *_OPTIONS))


def _decorated(
    command: Callable[..., int], options: Sequence[Callable[..., Any]]
) -> Callable[..., int]:
    @wraps(command)
    def with_target(library: str | None, who: str, reason: str, **typed: Any) -> int:
        own = {name: typed.pop(name) for name in list(typed) if name not in Target.__slots__}
        quantity, kind = typed.pop("quantity"), typed.pop("kind")
        numbers = frozenset(typed.pop("number_ids"))
        target = Target(quantity=Quantity(quantity) if quantity else None, kind=Kind(kind) if kind else None,
                        number_ids=numbers, **typed)
        return command(target=target, by=Signature(who, reason), library=library, **own)

    decorated: Callable[..., int] = with_target
    for option in reversed(options):
        decorated = option(decorated)
    return decorated
