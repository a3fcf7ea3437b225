"""Where the parts are put together: the command line, and the page it can serve."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import TYPE_CHECKING

from steelyard.cli.commands import run

if TYPE_CHECKING:
    from steelyard.service import Steelyard


def main() -> int:
    """The `steelyard` command; returns its exit code."""
    return run(sys.argv[1:], serve_page=serve_page)


def serve_page(steelyard: Steelyard, host: str, port: int, ready: Callable[[str], None]) -> None:
    """Serve the page until interrupted; ready is called with the address once it answers.

    Raises: OutOfRange if the address can't be had.
    """
    from steelyard.web.serving import serve  # noqa: PLC0415  only serving needs the web stack

    serve(steelyard, host, port, ready)


if __name__ == "__main__":
    sys.exit(main())
