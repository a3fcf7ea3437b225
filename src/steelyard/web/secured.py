"""The certificates of a server while it serves, looked after as the machine's addresses and the days change."""

from __future__ import annotations

import logging
from collections.abc import Awaitable, Callable
from datetime import UTC, datetime
from pathlib import Path
from ssl import SSLContext

from steelyard.errors import SteelyardError
from steelyard.web.addresses import Listening, bracketed, hosts, is_everywhere, is_here_only, own_addresses
from steelyard.web.authority import encoded, fingerprint, name_of
from steelyard.web.phone import PAGE, Reach, Trust
from steelyard.web.tls import Kept, keep, places_for


class Secured:
    """What a page served by https shows of itself, and the file it shows it from."""

    def __init__(self, folder: Path, where: Listening, ports: tuple[int, int]) -> None:
        """Make or read the certificates.

        folder: where they are kept.
        ports:  of the page, and of the page on trusting.

        Raises: OutOfRange if a name or the address listened on is not private; DamagedFile.
        """
        self._folder = folder
        self._where = where
        self._ports = ports
        self._kept = self._look_after()

    @property
    def chain(self) -> Path:
        """The file with the server's key and certificates."""
        return self._kept.chain

    def reach(self) -> Reach:
        """How the page is reached now, and the authority to trust."""
        port, http_port = self._ports
        root = self._kept.root
        told = [bracketed(host) for host in hosts(self._where) if host in self._kept.places]
        first, *others = told or ["127.0.0.1"]
        trust = Trust(
            page=f"http://{first}:{http_port}{PAGE}",
            name=name_of(root),
            fingerprint=fingerprint(root),
            ends=root.not_valid_after_utc.date(),
            authority=encoded(root),
        )
        here_only = is_here_only(self._where.host) or not told
        return Reach(
            f"https://{first}:{port}/", tuple(f"https://{host}:{port}/" for host in others), here_only, trust
        )

    def renewing(self, context: Callable[[], SSLContext | None]) -> Callable[[], Awaitable[None]]:
        """What a server does every now and then: renew the certificate if it needs it, without a restart.

        A page that is open stays open. context: gives what the server greets with, once it serves.
        """

        async def renew() -> None:
            try:
                self._kept = self._look_after()
                greeting = context()
                if self._kept.renewed and greeting is not None:
                    greeting.load_cert_chain(self._kept.chain)
            except (SteelyardError, OSError) as problem:
                logging.getLogger("uvicorn.error").warning("the certificate can't be renewed: %s", problem)

        return renew

    def _look_after(self) -> Kept:
        where = self._where
        everywhere = is_everywhere(where.host)
        addresses = own_addresses() if everywhere else ()
        places = places_for("" if everywhere else where.host, addresses, where.names)
        return keep(self._folder, places, datetime.now(UTC))
