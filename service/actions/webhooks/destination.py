"""Where messages to webhooks may go: out to the internet by https, and into networks that the installation allows.

A name is resolved and checked for every connection, and the connection goes to the address that was checked: a name
that means something else a moment later (DNS rebinding) changes nothing.
Source: OWASP API Security Top 10 (2023), API7 Server Side Request Forgery; IANA special-purpose address registries.
"""

import ipaddress
from dataclasses import dataclass
from typing import Literal
from urllib.parse import urlsplit

from service.wire.problem import error
from service.wire.refusal import Refusal

Address = ipaddress.IPv4Address | ipaddress.IPv6Address
Network = ipaddress.IPv4Network | ipaddress.IPv6Network
_TRANSLATED = tuple(map(ipaddress.ip_network, ("64:ff9b::/96", "64:ff9b:1::/48")))
"""IPv4 addresses in the clothes of IPv6 (RFC 6052, RFC 8215): reach whatever the translator reaches."""


@dataclass(frozen=True)
class Destinations:
    """What may be connected to. `allowed`: networks that are neither public nor forbidden here."""

    allowed: tuple[Network, ...] = ()

    def permits(self, address: str, scheme: Literal["http", "https"]) -> bool:
        """Whether a message may go to an address: to a public one by https only."""
        try:
            parsed = ipaddress.ip_address(address)
        except ValueError:  # with a zone, as link-local addresses have
            return False
        parsed = _plain(parsed)
        if any(parsed.version == network.version and parsed in network for network in self.allowed):
            return True
        return scheme == "https" and _is_public(parsed)


def networks_of(text: str) -> tuple[Network, ...]:
    """Networks with commas between them. Raises ValueError for anything else."""
    return tuple(ipaddress.ip_network(part.strip()) for part in text.split(",") if part.strip())


def require_sendable(url: str, destinations: Destinations) -> None:
    """Refuse an address that no message can go to, as far as it can be told without resolving its name."""
    try:
        parts = urlsplit(url)
        host, port = parts.hostname, parts.port
    except ValueError:
        raise _refused("This is no address of the web.") from None
    if not host or port == 0:
        raise _refused("This is no address of the web.")
    if parts.username is not None or parts.password is not None or parts.fragment:
        raise _refused("The address holds neither a name and password nor a fragment.")
    if parts.scheme != "https" and not destinations.allowed:
        raise _refused("This installation sends by https only.")
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return
    scheme: Literal["http", "https"] = "https" if parts.scheme == "https" else "http"
    if not destinations.permits(host, scheme):
        raise _refused("This installation sends nothing to that address.")


def _plain(address: Address) -> Address:
    """The IPv4 address that an IPv6 address maps, itself otherwise."""
    mapped = address.ipv4_mapped if isinstance(address, ipaddress.IPv6Address) else None
    return mapped or address


def _is_public(address: Address) -> bool:
    if isinstance(address, ipaddress.IPv6Address) and (
        address.sixtofour
        or address.teredo
        or address.is_site_local
        or any(address in network for network in _TRANSLATED)
    ):
        return False
    return address.is_global and not (
        address.is_multicast or address.is_reserved or address.is_unspecified or address.is_loopback
    )


def _refused(detail: str) -> Refusal:
    return Refusal(
        "invalid_request", "The webhook cannot be sent to.", [error(("url",), "not_allowed", detail)]
    )
