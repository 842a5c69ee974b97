"""Known parts and things seen, for all tests of this folder."""

from collections.abc import Callable

import pytest

from compare.identify.known import Known
from compare.identify.seen import Seen, text_to_seen
from extract.schema import Part


@pytest.fixture
def known(make_part: Callable[..., Part]) -> Callable[..., Known]:
    """A known part; arguments of `make_part`."""
    return lambda *args, **values: Known(make_part(*args, **values))


@pytest.fixture
def seen() -> Callable[[str], Seen]:
    """What a TOML text says was seen, at 23 °C unless it says otherwise."""
    return lambda text: text_to_seen(text if "ambient_c" in text else f"ambient_c = 23\n{text}")
