"""Every way a command ends has its exit code and its one line."""

import click
import pytest

from extract.errors import InputError
from holdtrip.exits import run


def ending_with(error: BaseException | None, result: int | None = None) -> click.Group:
    """A group whose command `do` raises or returns."""
    @click.group()
    def group() -> None: ...

    @group.command()
    @click.option("--amps", type=float)
    def do(amps: float) -> int | None:  # noqa: ARG001
        if error is not None:
            raise error
        return result

    return group


@pytest.mark.parametrize(
    ("error", "code", "words"),
    [
        (InputError("a.pdf", "not a PDF", "a PDF"), 2, "a.pdf: not a PDF; expected a PDF"),
        (PermissionError(13, "Permission denied", "a.pdf"), 2, "a.pdf: Permission denied"),
        (KeyboardInterrupt(), 130, "stopped"),
        (ZeroDivisionError("division by zero"), 3, "error of holdtrip's own"),
    ],
)
def test_an_error_is_one_line(
    capsys: pytest.CaptureFixture[str], error: BaseException, code: int, words: str
) -> None:
    """One line on stderr, nothing on stdout, no traceback."""
    assert run(ending_with(error), ["do"]) == code
    out, err = capsys.readouterr()
    assert out == ""
    assert err.strip().count("\n") == 0
    assert words in err


@pytest.mark.parametrize("arguments", [["do", "--amps", "much"], ["do", "--volts", "3"], ["undo"]])
def test_a_wrong_command_is_one_line(capsys: pytest.CaptureFixture[str], arguments: list[str]) -> None:
    """A typing error in the command names what is wrong and where help stands."""
    assert run(ending_with(None), arguments) == 2
    err = capsys.readouterr().err
    assert err.count("\n") == 1
    assert "--help` for help" in err


@pytest.mark.parametrize(("result", "code"), [(None, 0), (0, 0), (1, 1)])
def test_a_result_is_the_exit_code(result: int | None, code: int) -> None:
    """What a command returns becomes the exit code."""
    assert run(ending_with(None, result), ["do"]) == code


def test_an_own_error_shows_its_traceback_on_request(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The line says how to get the details, and the details then come."""
    monkeypatch.setenv("HOLDTRIP_TRACEBACK", "1")
    assert run(ending_with(ZeroDivisionError("division by zero")), ["do"]) == 3
    assert "Traceback" in capsys.readouterr().err


def test_an_error_obeys_no_control_code(capsys: pytest.CaptureFixture[str]) -> None:
    """A file name with an escape sequence does not reach the terminal as one."""
    run(ending_with(InputError("a\x1b[2Jb.pdf", "not a PDF")), ["do"])
    assert "\x1b" not in capsys.readouterr().err
