"""What the page serves, where, and to whom.

Comes in: what was typed. Goes out: one record of options. Opens nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

from holdtrip.web.tokens import Token

LOOPBACK = frozenset({"127.0.0.1", "localhost", "::1"})
"""Names by which a machine reaches only itself."""


@dataclass(frozen=True, slots=True)
class SiteOptions:
    """library: its address; who: signs changes where the page is given no other name; host and port to
    listen on; tokens: one of which a visitor must show, none for a page without; names: further host names
    the page may be asked by; max_upload_bytes: of one file; check_seconds: processor time that the check of
    one typed table may take."""

    library: str
    who: str
    host: str = "127.0.0.1"
    port: int = 8737
    tokens: tuple[Token, ...] = ()
    names: tuple[str, ...] = ()
    max_upload_bytes: int = 80_000_000
    check_seconds: float = 60.0

    @property
    def is_local(self) -> bool:
        """Whether only this machine can reach the page."""
        return self.host in LOOPBACK

    @property
    def host_names(self) -> frozenset[str]:
        """The names a request may ask by; any other is a page elsewhere that pretends to be this one."""
        return LOOPBACK | {self.host.lower()} | {name.lower() for name in self.names}

    @property
    def address(self) -> str:
        """What to open in a browser: with the first token."""
        return self.address_with(self.tokens[0].text if self.tokens else "")

    def address_with(self, token: str) -> str:
        """What the person of a token is to open."""
        name = self.names[0] if self.names else "127.0.0.1" if self.host in ("0.0.0.0", "::") else self.host
        host = f"[{name}]" if ":" in name else name
        return f"http://{host}:{self.port}/" + (f"?token={token}" if token else "")
