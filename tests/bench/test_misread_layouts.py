"""Layouts that were once read silently wrong must never be so again."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from bench.layout_reduce import PLAIN, sheet_verdicts
from bench.scoring import SILENTLY_WRONG

MISREAD = Path(__file__).parents[2] / "bench" / "layout_misread.toml"


def misread_layouts() -> list[Any]:
    """The layouts of the file; one that is still open is expected to fail."""
    with MISREAD.open("rb") as source:
        layouts = tomllib.load(source)["layout"]
    return [
        pytest.param(
            layout,
            id=f"{layout['seed']}-{layout['number']}",
            marks=[pytest.mark.xfail(reason=layout["cause"], strict=False)] if layout.get("open") else [],
        )
        for layout in layouts
    ]


@pytest.mark.parametrize("layout", misread_layouts())
def test_no_number_is_silently_wrong(layout: dict[str, Any]) -> None:
    """Right, flagged or missing are allowed, a wrong or extra number without a flag is not."""
    plan = layout["plan"]
    choices = {name: tuple(value) if isinstance(value, list) else value for name, value in plan.items()}
    verdicts = sheet_verdicts(replace(PLAIN, **choices), layout["seed"], layout["number"])
    wrong = [str(verdict) for verdict in verdicts if verdict.outcome in SILENTLY_WRONG]
    assert not wrong, f"{layout['cause']}: {wrong[:3]}"
