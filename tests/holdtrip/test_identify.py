"""`holdtrip identify` from the command line."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from extract.long_table import COLUMNS
from holdtrip.commands.identify import command

ROOT = Path(__file__).parents[2]


@pytest.fixture
def parts(tmp_path: Path) -> Path:
    """A long table of two invented parts."""
    rows = [("A", "hold_current", "", 0.5), ("A", "trip_current", "", 1.0), ("A", "resistance", "min", 0.2),
            ("A", "resistance", "post_trip_max", 0.8), ("A", "max_voltage", "", 16),
            ("B", "hold_current", "", 2), ("B", "trip_current", "", 4), ("B", "resistance", "min", 0.02),
            ("B", "max_voltage", "", 30),
            ("B", "resistance", "post_trip_max", 0.08)]
    lines = [",".join(COLUMNS)]
    for part, quantity, kind, value in rows:
        ambient = "23" if quantity.endswith("_current") and quantity != "max_current" else ""
        lines.append(f"s.pdf,{part},{quantity},{kind},{ambient},,{value},agreed,1,0,0,1,1,{value}")
    path = tmp_path / "parts.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def identify(seen: Path, parts: Path, *more: str) -> tuple[int, str]:
    """Exit code and what was printed."""
    result = CliRunner().invoke(command, [str(seen), "--parts", str(parts), *more], standalone_mode=False)
    assert result.exception is None
    return int(result.return_value), result.output


def test_names_the_part_the_excluded_one_and_the_caution(tmp_path: Path, parts: Path) -> None:
    """0.3 ohm: A (0.2 to 0.8 ohm); 0.019 to 0.08 ohm of B only if aged; the danger of look-alikes is said."""
    seen = tmp_path / "seen.toml"
    seen.write_text("ambient_c = 23\nresistance_ohm = 0.3\nfour_wire = true\n[[trip]]\ncurrent_a = 0.9\n",
                    encoding="utf-8")
    out = tmp_path / "out.json"
    code, text = identify(seen, parts, "--json", str(out))
    content = json.loads(out.read_text(encoding="utf-8"))
    assert code == 0
    assert content["suspects"][0]["part_number"] == "A"
    assert content["excluded"][0]["part_number"] == "B"
    assert "tripped at 0.9 A and this part holds 2 A" in text
    assert "look-alike" in text
    assert "no certainty" in text


def test_all_excluded_is_exit_code_one(tmp_path: Path, parts: Path) -> None:
    """Nothing fits: exit code 1 and advice, no guess."""
    seen = tmp_path / "seen.toml"
    seen.write_text("ambient_c = 23\n[[held]]\ncurrent_a = 30\ntime_s = 3600\n", encoding="utf-8")
    code, text = identify(seen, parts)
    assert code == 1
    assert "None of these parts" in text
