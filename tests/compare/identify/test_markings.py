"""A marking as seen against a printed one."""

import pytest

from compare.identify.markings import is_same_but_for_look_alikes, marking_to_log_likelihood


@pytest.mark.parametrize(("seen", "printed"), [("Q05O", "Q050"), ("QS05", "Q505"), ("хF075", "XF075"),
                                               ("q-050", "Q050"), ("Q 050", "Q050")])
def test_look_alikes_blanks_and_case_hardly_matter(seen: str, printed: str) -> None:
    """O for 0, S for 5, a Cyrillic letter, a dash or small letters: still the same marking."""
    assert is_same_but_for_look_alikes(seen, printed)


def test_the_right_marking_beats_its_look_alike_beats_another() -> None:
    """Exact before look-alike before worn before another."""
    exact, alike, worn, other = (marking_to_log_likelihood(seen, "Q050") for seen in
                                 ("Q050", "Q05O", "Q05", "Q037"))
    assert exact > alike > worn > other


def test_a_marking_alone_never_excludes() -> None:
    """However different, the likelihood stays above zero: a body may be worn or relabelled."""
    assert marking_to_log_likelihood("ABCDEFGHIJKLMN", "Q050") >= -14.0
