"""`holdtrip serve`: the local web page."""

from __future__ import annotations

import os
import socket
import sys
import webbrowser
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from extract.errors import InputError
from holdtrip.exits import ALL_WELL
from holdtrip.library_options import library_address, library_option, who_option
from holdtrip.screen import say

if TYPE_CHECKING:
    from holdtrip.web.options import SiteOptions
    from holdtrip.web.tokens import Token

EXAMPLES = """\b
Examples:
  holdtrip serve                                 opens the page in a browser
  holdtrip serve --library team.sqlite
  holdtrip serve --host 0.0.0.0 --name bench-pc --for Ann --for Ben   an address of its own for each
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
@click.option("--for", "people", metavar="NAME", multiple=True,
              help="A token for this person is made up at each start; again for another. Whoever opens the"
                   " page with it signs with this name.")
@click.option("--token", "typed", metavar="NAME=TEXT", multiple=True,
              help="A lasting token of a person; TEXT alone is yours. Better set as HOLDTRIP_TOKEN, several"
                   " with commas between them.")
@click.option("--no-token", is_flag=True,
              help="Ask for none on this machine, even if other people have accounts on it.")
@click.option("--no-browser", is_flag=True,
              help="Open no browser. None is opened either where nobody sits at the terminal.")
def command(
    library: str | None, who: str, host: str, port: int, names: tuple[str, ...], no_browser: bool,
    **asked: Any,
) -> int:
    """Open the review page: datasheet pages beside what was read, corrections, comparisons, checks.

    It listens on this machine only and needs no network. Where other people have accounts on this machine,
    or it listens on another address, whoever opens it must show a token. Stop it with Ctrl-C.
    """
    # Here and not above: `--help` must load neither a web server nor the PDF packages.
    import uvicorn

    from holdtrip.web.options import SiteOptions
    from holdtrip.web.patience import MAX_CONNECTIONS, PatientHttp
    from holdtrip.web.site import options_to_site

    options = SiteOptions(library_address(library), who, host, port, names=names)
    options = replace(options, tokens=_asked_to_tokens(options, **asked))
    with _open_door(host, port) as door:
        server = uvicorn.Server(uvicorn.Config(
            options_to_site(options), log_level="warning", access_log=False, server_header=False, ws="none",
            http=PatientHttp, limit_concurrency=MAX_CONNECTIONS))
        _tell(options)
        if options.is_local and not no_browser and sys.stdout.isatty():
            webbrowser.open(options.address)  # the door listens already: the page comes once it is served
        server.run(sockets=[door])
    return ALL_WELL


def _asked_to_tokens(
    options: SiteOptions, people: Sequence[str], typed: Sequence[str], no_token: bool
) -> tuple[Token, ...]:
    """The tokens asked for; one for whoever starts the page where others could open it."""
    from holdtrip.web.tokens import has_other_accounts, typed_to_tokens

    typed = typed or [one.strip() for one in os.environ.get("HOLDTRIP_TOKEN", "").split(",") if one.strip()]
    if no_token and (people or typed or not options.is_local):
        raise click.UsageError("--no-token is for this machine only, and goes without --for and tokens")
    if not (people or typed or no_token) and (not options.is_local or has_other_accounts()):
        people = (options.who,)
    return typed_to_tokens(typed, people, options.who)


def _open_door(host: str, port: int) -> socket.socket:
    """A listening socket; raises InputError where the address is taken or not ours."""
    try:
        family = socket.AF_INET6 if ":" in host else socket.AF_INET
        return socket.create_server((host, port), family=family)
    except OSError as error:
        raise InputError(f"{host} port {port}", f"cannot listen there ({error.strerror or error})", "",
                         "Choose another port with --port, or stop what listens there") from error


def _tell(options: SiteOptions) -> None:
    if len(options.tokens) > 1:
        for token in options.tokens:
            say(f"{token.name} opens {options.address_with(token.text)}")
        say("Each signs with the name of the token. Ctrl-C stops it.")
    else:
        say(f"Open {options.address} in a browser. Ctrl-C stops it.")
    if options.tokens and options.is_local:
        say("Others have accounts on this machine, or tokens were asked for: it opens with a token only.")
    if not options.is_local:
        say("Whoever has this address can read and change the library, and it travels unencrypted: use it in"
            " a network you trust, or behind a proxy with TLS.", style="bold")
