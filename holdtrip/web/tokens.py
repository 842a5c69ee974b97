"""Tokens by name: whoever shows one is that person, and signs with that name.

Comes in: what was typed or stands in the environment, requests' secrets. Goes out: tokens, and whose one that
was shown is. Names keep colleagues apart; whoever is given a token can be that colleague.
"""

from __future__ import annotations

import secrets
import sys
from collections.abc import Iterable, Sequence
from contextvars import ContextVar
from dataclasses import dataclass

from extract.errors import InputError

SHORTEST = 12
"""A token of fewer characters could be guessed."""
_LAST_SYSTEM_UID = 499 if sys.platform == "darwin" else 999
_NO_LOGIN = ("nologin", "false", "sync")

SIGNED_IN: ContextVar[str] = ContextVar("SIGNED_IN", default="")
"""Whose token the request at work has shown; empty where none is asked."""


@dataclass(frozen=True, slots=True)
class Token:
    """What a visitor must show, and the name that signs what that visitor changes."""

    name: str
    text: str


def typed_to_tokens(typed: Iterable[str], names: Iterable[str], starter: str) -> tuple[Token, ...]:
    """Tokens typed as NAME=TEXT, or TEXT alone for whoever starts the page, then one made up for each name.

    Raises InputError for one that is short, or two that are the same or of one name.
    """
    tokens = [_typed_to_token(one, starter) for one in typed]
    tokens += [Token(" ".join(name.split()), secrets.token_urlsafe(24)) for name in names]
    for token in tokens:
        if len(token.text) < SHORTEST:
            raise InputError(f"the token of {token.name}", f"{len(token.text)} characters",
                             f"at least {SHORTEST}", "`--for NAME` makes one up")
    for what, found in (("names", [one.name.casefold() for one in tokens]),
                        ("tokens", [one.text for one in tokens])):
        if len(set(found)) < len(found) or "" in found:
            raise InputError("--token", f"two {what} are the same, or one is empty",
                             "one token for each name")
    return tuple(tokens)


def _typed_to_token(typed: str, starter: str) -> Token:
    name, _, text = typed.partition("=")
    if not text.strip("="):  # no name: signs of equality at the end belong to the token
        return Token(starter, typed)
    return Token(" ".join(name.split()), text)


def shown_to_name(shown: Sequence[str], tokens: Sequence[Token]) -> str | None:
    """Whose token one of those shown is; None for nobody's. Every token is compared, so that the time tells
    nothing."""
    found = None
    for token in tokens:
        for one in shown:
            if secrets.compare_digest(one.encode("utf-8", "replace"), token.text.encode()):
                found = token.name
    return found


def has_other_accounts() -> bool:
    """Whether other people may be logged in on this machine: an account that can log in and is not ours. True
    where the system does not tell. Accounts that only a network knows are not seen."""
    try:
        import os
        import pwd
    except ImportError:
        return True
    own = os.getuid()
    return any(one.pw_uid != own and _LAST_SYSTEM_UID < one.pw_uid < 60_000
               and not one.pw_shell.endswith(_NO_LOGIN) for one in pwd.getpwall())
