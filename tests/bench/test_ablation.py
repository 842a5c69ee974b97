"""The bench that switches rules off: what it marks, what it says decides, what comes of a rule left out."""

import importlib
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

from bench.ablation import Case, Judged, judge_rules, sheet_case, watch
from bench.ablation_rules import RUNTIME, Finder

SOURCE = '''
"""A room with rules."""
from __future__ import annotations
import functools

def texts_to_kept(texts: list[str]) -> list[str]:
    return [text for text in texts if text and text != "-"]

@functools.cache
def is_warm(ambient_c: float, hold: bool = True) -> bool:
    return ambient_c > 20 and hold and ambient_c > 10

def named(text: str) -> str:
    if text.startswith("IH"):
        return "hold"
    if text == "never printed":
        return "nothing"
    return text
'''


@pytest.fixture
def ruled(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[ModuleType]:
    """A module whose decisions are marked; nothing else is known or seen."""
    (tmp_path / "ruled_room.py").write_text(SOURCE, encoding="utf-8")
    monkeypatch.syspath_prepend(tmp_path)
    finder = Finder(("ruled_room",))
    monkeypatch.setattr(sys, "meta_path", [finder, *sys.meta_path])
    for kept, empty in (("rules", []), ("seen", type(RUNTIME.seen)(set)), ("entered", {})):
        monkeypatch.setattr(RUNTIME, kept, empty)
    yield importlib.import_module("ruled_room")
    del sys.modules["ruled_room"]


def judged_by_text(ruled: ModuleType) -> dict[tuple[str, str], Judged]:
    """The verdicts on all rules of the module, by text and effect, from three cases."""
    runs = {
        "names": lambda: ([ruled.named("IH"), ruled.named("RT")], ""),
        "marks": lambda: (ruled.texts_to_kept(["7", "-"]), ""),
        "warm": lambda: ([ruled.is_warm(25.0), ruled.is_warm(15.0), ruled.is_warm(5.0)], ""),
    }
    cases = [Case(name, run) for name, run in runs.items()]
    return {(one.rule.text, one.rule.effect): one for one in judge_rules(cases, watch(cases), 6, 60.0)}


def test_a_rule_that_changes_a_result_is_noticed_by_its_case(ruled: ModuleType) -> None:
    """A condition that gives a name, a filter and a rewriting function are noticed by the case with them."""
    judged = judged_by_text(ruled)
    assert judged["text.startswith('IH')", "never"].noticed_by == "names"
    assert judged["text != '-'", "left out"].noticed_by == "marks"
    assert judged["texts_to_kept", "unchanged"].verdict == "numbers"
    assert judged["ambient_c > 20", "left out"].noticed_by == "warm"


def test_what_decides_nothing_is_told(ruled: ModuleType) -> None:
    """A condition never met, an operand that another implies, a filter for what never comes: nothing."""
    judged = judged_by_text(ruled)
    for rule in (("text == 'never printed'", "never"), ("ambient_c > 10", "left out"), ("hold", "left out"),
                 ("text", "left out")):
        assert judged[rule].verdict == "nothing", rule


def test_functions_answer_anew_without_a_rule(ruled: ModuleType) -> None:
    """A memory of answers hides no rule, and what was off is on again."""
    judged = judged_by_text(ruled)
    assert judged["ambient_c > 20", "left out"].verdict == "numbers"
    assert not ruled.is_warm(15.0)


def test_a_module_marked_says_what_the_module_says(ruled: ModuleType) -> None:
    """Marking changes no answer: values of `and`, results and docstrings are those of the source."""
    assert ruled.__doc__ == "A room with rules."
    assert ruled.texts_to_kept(["a", "", "-"]) == ["a"]
    assert [ruled.named(text) for text in ("IH", "x", "never printed")] == ["hold", "x", "nothing"]


def test_a_sheet_is_a_case_of_its_numbers_and_of_all_it_says() -> None:
    """A sample gives its numbers, and more beside them, each time the same."""
    case = sheet_case(Path(__file__).parents[2] / "sample_tables" / "thimblecrag_tcg.pdf")
    assert case is not None
    (numbers, _), said = case.run()
    assert len(numbers) == 18
    assert said.readings
    assert case.run() == ((numbers, _), said)
