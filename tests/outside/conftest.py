"""The invented parts and requirements of the comparison's tests serve here too."""

from tests.compare.conftest import (  # noqa: F401  # fixtures are found by name
    make_part,
    make_reading,
    make_requirement,
    row_a,
    row_b,
    row_c,
    row_e_amps,
)
