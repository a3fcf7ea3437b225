"""Where the parts are put together: the command line, and the page it can serve."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from steelyard.cli.commands import run

if TYPE_CHECKING:
    from steelyard.cli.listening import Ready, Wish
    from steelyard.service import Steelyard


def main() -> int:
    """The `steelyard` command; returns its exit code."""
    return run(sys.argv[1:], serve_page=serve_page)


def serve_page(steelyard: Steelyard, wish: Wish, ready: Ready) -> None:
    """Serve the page until interrupted; ready is called once it answers, with how it is reached.

    Raises: OutOfRange if the address can't be had; DamagedFile if the certificates can't be used or kept.
    """
    from steelyard.web.addresses import Listening  # noqa: PLC0415  only serving needs the web stack
    from steelyard.web.serving import serve  # noqa: PLC0415

    serve(steelyard, Listening(wish.host, wish.port, wish.names, wish.https, wish.http_port), ready)


if __name__ == "__main__":
    sys.exit(main())
