"""Addresses and names that belong to nobody on the internet."""

from __future__ import annotations

import re
from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network

NETWORKS = tuple(
    ip_network(network)
    for network in (
        "10.0.0.0/8",
        "172.16.0.0/12",
        "192.168.0.0/16",
        "127.0.0.0/8",
        "169.254.0.0/16",
        "fc00::/7",
        "fe80::/10",
        "::1/128",
    )
)
"""Private use (RFC 1918), this host (RFC 1122), link-local (RFC 3927, RFC 4291), unique local (RFC 4193)."""
ENDINGS = ("local", "home.arpa", "lan", "localhost", "test")
"""Endings of names that belong to nobody on the internet: RFC 6762, RFC 8375, RFC 6761; .lan by common practice.

They carry no leading dot: without one a limit covers the ending and all below it (RFC 5280), and some telephones
misread one with a dot.
"""


def is_private(place: str) -> bool:
    """Whether an address or a name can be in a private network only.

    >>> is_private("fd12::5"), is_private("8.8.8.8"), is_private("localhost"), is_private("lan.example")
    (True, False, True, False)
    """
    address = address_of(place)
    if address is not None:
        return any(address in network for network in NETWORKS)
    return is_name(place) and any(place == ending or place.endswith(f".{ending}") for ending in ENDINGS)


def is_name(place: str) -> bool:
    """Whether this is written as a name of a machine is, in small letters.

    >>> is_name("garage"), is_name("gym.lan"), is_name("-.lan"), is_name("Gym.lan")
    (True, True, False, False)
    """
    label = r"[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?"
    return len(place) <= 253 and re.fullmatch(rf"{label}(?:\.{label})*", place) is not None


def address_of(place: str) -> IPv4Address | IPv6Address | None:
    """The address that this is; None for a name."""
    try:
        return ip_address(place)
    except ValueError:
        return None
