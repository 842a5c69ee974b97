"""Every requirement of bench/requirements/ is answered as worked out by hand in its file."""

import sys
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "bench"))

import requirements as bench  # noqa: E402 - after its folder is on the path


def test_the_answers_are_those_worked_out_by_hand() -> None:
    """No verdict and no number differs, over at least twenty requirements."""
    rankings = bench.folder_to_rankings(bench.HOME, bench.read_parts(bench.HOME / "parts.toml"))
    counted: Counter[str] = Counter()
    assert list(bench.differing(rankings, bench.HOME / "answers.csv", counted)) == []
    assert len(rankings) >= 20
    assert counted["verdicts"] >= 50


def test_the_second_set_is_answered_so_too() -> None:
    """Requirements written without knowledge of the code, of other kinds: telephone lines, hubs, tool packs,
    repeated peaks, neighbours, transients, aged parts, long strings."""
    folder = bench.HOME / "second"
    rankings = bench.folder_to_rankings(folder, bench.read_parts(folder / "parts.toml"))
    counted: Counter[str] = Counter()
    assert list(bench.differing(rankings, folder / "answers.csv", counted)) == []
    assert len(rankings) >= 12


def test_a_wrong_answer_is_found(tmp_path: Path) -> None:
    """A fit that an answer refutes is told as unsafe."""
    rankings = bench.folder_to_rankings(bench.HOME, bench.read_parts(bench.HOME / "parts.toml"))
    answers = tmp_path / "answers.csv"
    answers.write_text("requirement,part_number,margin,verdict,value,margin_value,thin\n"
                       "01_hold_hot,QB050,hold_current,fails,0.4,,no\n", encoding="utf-8")
    counted: Counter[str] = Counter()
    found = list(bench.differing(rankings, answers, counted))
    assert len(found) == 2
    assert "UNSAFE" in found[0]
    assert counted["fits that are refuted"] == 1
