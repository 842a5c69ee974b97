"""Whether an error means that memory was refused, whoever says so."""

from __future__ import annotations

import errno

_REFUSED = (
    "failed to map segment",
    "Cannot allocate memory",
    "bad_alloc",
    "bad allocation",
    "Failed to allocate",
)


def is_out_of_memory(error: Exception) -> bool:
    """Whether memory was refused, whoever says so; a job that catches every error must let this one go."""
    said = str(error)
    # A C extension that gets no memory often returns without an exception: a SystemError.
    return (
        isinstance(error, MemoryError | SystemError)
        or getattr(error, "errno", None) == errno.ENOMEM
        or any(words in said for words in _REFUSED)
    )
