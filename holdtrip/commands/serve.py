"""`holdtrip serve`: the local web page."""

from __future__ import annotations

import secrets
import socket
import sys
import webbrowser
from typing import TYPE_CHECKING

import click

from extract.errors import InputError
from holdtrip.exits import ALL_WELL
from holdtrip.library_options import library_address, library_option, who_option
from holdtrip.screen import say

if TYPE_CHECKING:
    from holdtrip.web.options import SiteOptions

EXAMPLES = """\b
Examples:
  holdtrip serve                                 opens the page in a browser
  holdtrip serve --library team.sqlite
  holdtrip serve --host 0.0.0.0 --name bench-pc  for colleagues, who need the token it prints
"""


@click.command("serve", epilog=EXAMPLES)
@library_option
@who_option
@click.option("--host", metavar="ADDRESS", default="127.0.0.1", show_default=True,
              help="Address to listen on. Any but this machine's own makes a token necessary.")
@click.option("--port", metavar="PORT", type=click.IntRange(1, 65535), default=8737, show_default=True,
              help="Port to listen on.")
@click.option("--name", "names", metavar="HOST", multiple=True,
              help="A further host name the page may be asked by; may be repeated.")
@click.option("--token", metavar="TEXT", envvar="HOLDTRIP_TOKEN", default="",
              help="What visitors must show; made up at each start if need be. Better set as HOLDTRIP_TOKEN.")
@click.option("--no-browser", is_flag=True,
              help="Open no browser. None is opened either where nobody sits at the terminal.")
def command(
    library: str | None, who: str, host: str, port: int, names: tuple[str, ...], token: str, no_browser: bool
) -> int:
    """Open the review page: datasheet pages beside what was read, corrections, comparisons, checks.

    It listens on this machine only and needs no network. Stop it with Ctrl-C.
    """
    # Here and not above: `--help` must load neither a web server nor the PDF packages.
    import uvicorn

    from holdtrip.web.options import LOOPBACK, SiteOptions
    from holdtrip.web.patience import MAX_CONNECTIONS, PatientHttp
    from holdtrip.web.site import options_to_site

    if host not in LOOPBACK and not token:
        token = secrets.token_urlsafe(24)
    options = SiteOptions(library_address(library), who, host, port, token, names)
    with _open_door(host, port) as door:
        server = uvicorn.Server(uvicorn.Config(
            options_to_site(options), log_level="warning", access_log=False, server_header=False, ws="none",
            http=PatientHttp, limit_concurrency=MAX_CONNECTIONS))
        _tell(options)
        if options.is_local and not no_browser and sys.stdout.isatty():
            webbrowser.open(options.address)  # the door listens already: the page comes once it is served
        server.run(sockets=[door])
    return ALL_WELL


def _open_door(host: str, port: int) -> socket.socket:
    """A listening socket; raises InputError where the address is taken or not ours."""
    try:
        family = socket.AF_INET6 if ":" in host else socket.AF_INET
        return socket.create_server((host, port), family=family)
    except OSError as error:
        raise InputError(f"{host} port {port}", f"cannot listen there ({error.strerror or error})", "",
                         "Choose another port with --port, or stop what listens there") from error


def _tell(options: SiteOptions) -> None:
    say(f"Open {options.address} in a browser. Ctrl-C stops it.")
    if not options.is_local:
        say("Whoever has this address can read and change the library, and it travels unencrypted: use it in"
            " a network you trust, or behind a proxy with TLS.", style="bold")
