"""Of a hub on the screen: one part for all ports beside a part for each.

Comes in: ranked arrangements. Goes out: a table on stdout, nothing for anything but a hub. Judges nothing.
"""

from __future__ import annotations

from collections.abc import Sequence

from compare.ports import RankedArrangement, arrangements_to_lines
from holdtrip.screen import show_table


def show_ports(ranked: Sequence[RankedArrangement]) -> None:
    """Both arrangements beside each other."""
    if ranked:
        show_table(["Ports", *(one.title for one in ranked)],
                   [[name, *told] for name, told in arrangements_to_lines(ranked)])
