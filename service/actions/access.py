"""Who may do what: callers, their roles, and the keys they show.

A key is shown as `lc_<id>_<secret>`. Only an HMAC-SHA256 of its secret is kept, made with a pepper that is not in
the database: a stolen copy of the database opens nothing. (A secret of 190 random bits needs no slow hash.)

While the records hold no key at all, a caller on this very machine is its administrator.
"""

import hmac
import ipaddress
import time
from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from typing import Final, Literal

from service.actions.pepper import note_proven_pepper
from service.actions.records.transactions import Records, not_found
from service.actions.signed_text import signed_document, signed_text
from service.storage import Key, as_text, now
from service.storage import NotFound as KeyNotFound
from service.wire.refusal import Refusal

Right = Literal[
    "read",
    "assess",
    "write_condition",
    "write_vessel",
    "add_vessel",
    "review",
    "set_state",
    "webhooks",
    "administer",
]

_READING: Final[frozenset[Right]] = frozenset({"read", "assess"})
RIGHTS: Final[dict[str, frozenset[Right]]] = {
    "ship": _READING | {"write_condition", "write_vessel", "set_state"},
    "reviewer": _READING | {"review", "set_state"},
    "integrator": _READING | {"webhooks"},
    "administrator": _READING
    | {"write_condition", "write_vessel", "add_vessel", "review", "set_state", "webhooks", "administer"},
}
PREFIX: Final = "lc"
SESSION_PREFIX: Final = "ls_"
"""Of what a person shows who signed in without a key."""
KNOWN_SECONDS: Final = 1.0
TOUCH: Final = timedelta(minutes=1)


@dataclass(frozen=True)
class Caller:
    """Whoever asks. `vessels` are the ids it may see, None for all."""

    key_id: str
    name: str
    role: str
    vessels: frozenset[str] | None
    request_id: str | None = None
    address: str | None = None

    def require(self, right: Right) -> None:
        """Refuse what the role may not do."""
        if right not in RIGHTS[self.role]:
            may = " and ".join(sorted(role for role, rights in RIGHTS.items() if right in rights))
            raise Refusal("forbidden", f"A key of the role {self.role} may not do this. These may: {may}.")

    def require_vessel(self, vessel: str, kind: str = "vessel") -> None:
        """Answer for a vessel outside the scope as if she were not there."""
        if self.vessels is not None and vessel not in self.vessels:
            raise not_found(kind)


LOCAL = Caller("local", "Local administrator", "administrator", None)


class Access:
    """Tells callers by their keys. Safe to use from several threads.

    A key found good is believed for `KNOWN_SECONDS`; a revocation takes that long to reach every process.
    """

    def __init__(self, records: Records | None, pepper: bytes) -> None:
        """`records` of None: nothing is kept here, so there is nothing to keep apart either."""
        self._kept, self.pepper = records, pepper
        # Without a pepper there are no keys, and everybody let in may see everything.
        self.cursor_key = hmac.digest(pepper, b"cursors of lists", "sha256")
        """Secret that cursors of lists are signed with, the same in every process."""
        self.sign_in_key = hmac.digest(pepper, b"sign-in at the provider", "sha256") if pepper else b""
        """Secret for what a browser keeps between leaving for an identity provider and coming back."""
        self._session_key = hmac.digest(pepper, b"sessions of people", "sha256") if pepper else b""
        self._known: dict[str, tuple[float, Caller]] = {}
        self._keys_known: tuple[float, bool] = (0.0, False)
        self._pepper_proven = False

    def remembered(self, token: str | None) -> Caller | None:
        """The caller if that was asked a moment ago: costs neither a query nor a thread."""
        moment = time.monotonic()
        if self._kept is None:
            return LOCAL
        if token is None:
            return LOCAL if self._keys_known[0] > moment and not self._keys_known[1] else None
        known = self._known.get(token)
        return known[1] if known is not None and known[0] > moment else None

    def caller(self, token: str | None) -> Caller:
        """Whoever shows `token`. Raises Refusal (unauthenticated), and the errors of unavailable records."""
        if token is None:
            if self._any_key():
                raise _unauthenticated("This service needs a key: send it as `Authorization: Bearer <key>`.")
            return LOCAL
        if token.startswith(SESSION_PREFIX):
            caller = self._caller_of_session(token)
        else:
            key, scope = self._valid(token)
            caller = Caller(key.id, key.name, key.role, scope)
        if len(self._known) > 10_000:
            self._known.clear()
        self._known[token] = (time.monotonic() + KNOWN_SECONDS, caller)
        return caller

    def session(
        self,
        id: str,
        name: str,
        role: str,
        vessels: list[str] | None,
        seconds: float,
        fleets: Collection[str] = (),
    ) -> str:
        """What a person shows who was told apart otherwise than by a key; good for so long, in every process. fleets:
        ids of those whose vessels the person may see besides, as they are at each request."""
        said = {"id": id, "name": name, "role": role, "vessels": vessels, "fleets": sorted(fleets)}
        return SESSION_PREFIX + signed_text(self._session_key, said, seconds)

    def _caller_of_session(self, token: str) -> Caller:
        held = signed_document(self._session_key, token.removeprefix(SESSION_PREFIX))
        if held is None:
            raise _unauthenticated("This sign-in is over.")
        vessels, fleets = held["vessels"], held.get("fleets", [])
        scope = None if vessels is None else frozenset(vessels)
        if scope is not None and fleets:
            with self._records.reading() as tx:
                scope = tx.named_fleets.scope(scope, fleets)
        return Caller(held["id"], held["name"], held["role"], scope)

    def forget(self) -> None:
        """Ask the records again from now on: keys or fleets were changed here."""
        self._known.clear()
        self._keys_known = (0.0, False)

    def open_to_all(self) -> bool:
        """Whether there is no key yet, so that whoever reaches the service is its administrator."""
        return not self._any_key()

    @property
    def _records(self) -> Records:
        assert self._kept is not None
        return self._kept

    def _any_key(self) -> bool:
        until, found = self._keys_known
        if found or until > time.monotonic():  # keys are never removed: once there, always there
            return found
        with self._records.reading() as tx:
            found = tx.keys.any()
        self._keys_known = (time.monotonic() + KNOWN_SECONDS, found)
        return found

    def _valid(self, token: str) -> tuple[Key, frozenset[str] | None]:
        """The key that a token is of, and the vessels it may see at this moment."""
        prefix, _, rest = token.partition("_")
        id, _, secret = rest.partition("_")
        if (
            not self.pepper
            or prefix != PREFIX
            or not id.isalnum()
            or not id.isascii()
            or len(id) > 16
            or not secret
        ):
            raise _unauthenticated("This is not a key of this service.")
        with self._records.reading() as tx:
            try:
                key = tx.keys.get(id)
            except KeyNotFound:
                raise _unauthenticated("This key is not known here.") from None
            scope = tx.named_fleets.scope(key.vessel_ids, key.fleet_ids)
        if not hmac.compare_digest(key.secret_hash, secret_hash(self.pepper, secret)):
            raise _unauthenticated("This key is not known here.")
        if key.revoked is not None:
            raise _unauthenticated("This key was revoked.")
        if key.expires is not None and key.expires <= now():
            raise _unauthenticated("This key has expired.")
        self._note_use(key)
        self._note_pepper()
        return key, scope

    def _note_pepper(self) -> None:
        if self._pepper_proven:
            return
        try:
            note_proven_pepper(self._records, self.pepper)
        except Refusal:
            return  # asked again with the next key
        self._pepper_proven = True

    def _note_use(self, key: Key) -> None:
        if key.last_used is not None and key.last_used > as_text(datetime.now(UTC) - TOUCH):
            return
        try:
            with self._records.writing() as tx:
                tx.keys.touch(key.id)
        except Refusal:
            return  # a database that cannot be written to still answers readers


def secret_hash(pepper: bytes, secret: str) -> str:
    """HMAC-SHA256 of a secret, hexadecimal."""
    return hmac.digest(pepper, secret.encode("utf-8", "surrogatepass"), "sha256").hex()


@lru_cache(maxsize=1024)
def is_this_machine(host: str | None) -> bool:
    """Whether a name or address can only mean this machine; names with a dot could be anybody's."""
    if not host:
        return False
    if "." not in host and ":" not in host:
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


@lru_cache(maxsize=4096)
def network_of(address: str | None) -> str:
    """What one client can be told by: its IPv4 address, or the network /64 that an IPv6 client has to itself."""
    try:
        parsed = ipaddress.ip_address(address or "")
    except ValueError:
        return str(address)[:64]
    return str(parsed) if parsed.version == 4 else str(ipaddress.ip_network((parsed, 64), strict=False))


def on_behalf(caller: Caller, request_id: str, address: str | None) -> Caller:
    """The caller of one request."""
    return replace(caller, request_id=request_id, address=address)


def _unauthenticated(detail: str) -> Refusal:
    return Refusal("unauthenticated", detail)
