"""docs/identifying.md names every field of the file, and its example is read."""

from pathlib import Path

from compare.identify.seen import read_seen, seen_rules

DOCS = Path(__file__).parents[3] / "docs"


def test_every_field_stands_there_with_its_meaning() -> None:
    """Name and meaning of each field, as its rule has them."""
    page = (DOCS / "identifying.md").read_text(encoding="utf-8")
    missing = [name for name, rule in seen_rules().items()
               if f"| `{name}` " not in page or rule.meaning not in page]
    assert missing == []


def test_the_example_is_read() -> None:
    """What the page links to can be used."""
    assert read_seen(DOCS / "examples" / "seen.toml").tripped is not None
