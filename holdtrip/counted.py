"""A count with its word, singular and plural right: "1 part", "3 parts".

Comes in: a count and a word. Goes out: text. Knows no irregular plural: it is given.
"""


def counted(count: int, one: str, many: str = "") -> str:
    """The count with `one`, or with `many` (`one` and an s if left out) unless there is one."""
    return f"{count} {one if count == 1 else many or one + 's'}"
