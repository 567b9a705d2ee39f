"""People who sign in with the identity provider of their organisation: OpenID Connect Core 1.0, section 3.1, the
authorization code flow, with PKCE (RFC 7636), state and nonce.

Authlib and its joserfc build the request and check the answer; they are imported when somebody signs in.
"""

import hashlib
import secrets
import time
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

SECONDS_TO_ANSWER: Final = 10.0
SECONDS_KNOWN: Final = 3600.0
SECONDS_BETWEEN_NEW_KEYS: Final = 60.0
LEEWAY: Final = 60
ALGORITHMS: Final = ("RS256", "RS384", "RS512", "PS256", "PS384", "PS512", "ES256", "ES384", "ES512")
"""Signatures of ID tokens that count; those made with a shared secret, and none at all, do not."""
MOST_NAMES: Final = 60
MOST_LETTERS: Final = 2_000
"""Vessels and fleets of one person, and the letters of their names: they have to fit into a cookie."""


class SignInFailed(Exception):
    """Nobody is signed in; the text says why to the person in front."""


class NotAdmitted(SignInFailed):
    """The provider knows the person, `id` and `name` as in `Person`, and what it says lets nobody in here."""

    def __init__(self, reason: str, id: str, name: str) -> None:
        super().__init__(reason)
        self.id, self.name = id, name


class ProviderDown(SignInFailed):
    """The provider does not answer, or not as the standard says."""


@dataclass(frozen=True)
class ProviderSettings:
    """redirect_url: where the provider sends people back to. role_claim, vessels_claim, fleets_claim: names of claims.
    roles: for a value of the role claim the role here; the first that a person has counts. label: what people call the
    provider."""

    issuer: str
    client_id: str
    client_secret: str | None
    redirect_url: str
    role_claim: str
    roles: Mapping[str, str]
    vessels_claim: str
    fleets_claim: str
    label: str


@dataclass(frozen=True)
class Begun:
    """A sign-in on its way: what the answer must fit."""

    state: str
    nonce: str
    verifier: str


@dataclass(frozen=True)
class Person:
    """Whoever signed in. id: the same for the same person. role_said: the provider's word for the role. vessels: None
    for all. fleets: ids of those seen besides."""

    id: str
    name: str
    role: str
    role_said: str
    vessels: list[str] | None
    fleets: list[str]


class IdentityProvider:
    """One provider. Belongs to one event loop."""

    def __init__(self, settings: ProviderSettings) -> None:
        self.settings = settings
        self._metadata: dict[str, Any] = {}
        self._known_until = self._keys_again = 0.0
        self._keys: dict[str, Any] = {}

    async def begin(self) -> tuple[str, Begun]:
        """The address to send the browser to, and what its answer must fit. Raises ProviderDown."""
        from authlib.oauth2.rfc6749.parameters import prepare_grant_uri
        from authlib.oauth2.rfc7636 import create_s256_code_challenge

        metadata = await self._known_metadata()
        begun = Begun(secrets.token_urlsafe(24), secrets.token_urlsafe(24), secrets.token_urlsafe(48))
        address: str = prepare_grant_uri(
            metadata["authorization_endpoint"],
            client_id=self.settings.client_id,
            response_type="code",
            redirect_uri=self.settings.redirect_url,
            scope="openid profile",
            state=begun.state,
            nonce=begun.nonce,
            code_challenge=create_s256_code_challenge(begun.verifier),
            code_challenge_method="S256",
        )
        return address, begun

    async def finish(self, answer: Mapping[str, str], begun: Begun) -> Person:
        """Whoever the provider answers for; `answer`: the query that the browser brought. Raises SignInFailed."""
        if not secrets.compare_digest(answer.get("state", "").encode(), begun.state.encode()):
            raise SignInFailed("This sign-in was not begun here, or another one was begun since.")
        if answer.get("iss", self.settings.issuer) != self.settings.issuer:  # RFC 9207, section 2.4
            raise SignInFailed("The answer comes from another provider.")
        if "code" not in answer:
            raise SignInFailed(f"{self.settings.label} did not sign you in.")
        token = await self._token(answer["code"], begun)
        return self._person(await self._claims(token, begun.nonce))

    async def _token(self, code: str, begun: Begun) -> dict[str, Any]:
        """The provider's answer to the code."""
        metadata, settings = await self._known_metadata(), self.settings
        form = {
            "grant_type": "authorization_code",
            "code": code,
            "redirect_uri": settings.redirect_url,
            "code_verifier": begun.verifier,
            "client_id": settings.client_id,
        }
        auth = None
        if settings.client_secret is not None:
            auth = (settings.client_id, settings.client_secret)
        return await self._json_from("POST", metadata["token_endpoint"], data=form, auth=auth)

    async def _claims(self, token: dict[str, Any], nonce: str) -> dict[str, Any]:
        """The claims of the ID token, checked by section 3.1.3.7. Raises SignInFailed."""
        from authlib.oidc.core import CodeIDToken
        from joserfc import jwk, jwt
        from joserfc.errors import InvalidKeyIdError, JoseError

        text, options = (
            str(token.get("id_token", "")),
            {
                "iss": {"essential": True, "value": self.settings.issuer},
                "aud": {"essential": True, "value": self.settings.client_id},
            },
        )
        try:
            try:
                keys = jwk.KeySet.import_key_set(await self._known_keys())  # type: ignore[arg-type]
                found = jwt.decode(text, keys, algorithms=list(ALGORITHMS))
            except InvalidKeyIdError:  # the provider has new keys
                keys = jwk.KeySet.import_key_set(await self._known_keys(again=True))  # type: ignore[arg-type]
                found = jwt.decode(text, keys, algorithms=list(ALGORITHMS))
            claims = CodeIDToken(
                found.claims,
                found.header,
                options,
                {
                    "nonce": nonce,
                    "client_id": self.settings.client_id,
                    "access_token": token.get("access_token"),
                },
            )
            claims.validate(leeway=LEEWAY)
        except (JoseError, ValueError) as wrong:
            raise SignInFailed(
                f"What {self.settings.label} answered does not hold: {_reason(wrong)}."
            ) from wrong
        return dict(claims)

    def _person(self, claims: dict[str, Any]) -> Person:
        settings, given = self.settings, _names(claims.get(self.settings.role_claim))
        subject = f"{settings.issuer} {claims['sub']}"
        id = "oidc" + hashlib.sha256(subject.encode()).hexdigest()[:24]
        name = str(claims.get("name") or claims.get("preferred_username") or claims["sub"])
        name = "".join(letter for letter in name if letter.isprintable())[:100]
        said = next((value for value in settings.roles if value in given), None)
        if said is None:
            words = f"{settings.label} gives you no role in this service; ask its administrator."
            raise NotAdmitted(words, id, name)
        role = settings.roles[said]
        vessels = _names(claims.get(settings.vessels_claim))
        fleets = _names(claims.get(settings.fleets_claim))
        named = [*vessels, *fleets]
        if len(named) > MOST_NAMES or sum(map(len, named)) > MOST_LETTERS:
            many = f"More than {MOST_NAMES} vessels and fleets are too many for a sign-in"
            raise NotAdmitted(f"{many}; use a key, or greater fleets.", id, name)
        everything = role == "administrator" or "*" in vessels
        return Person(
            id,
            name,
            role,
            said,
            None if everything else sorted(vessels),
            [] if everything else sorted(fleets),
        )

    async def _known_metadata(self) -> dict[str, Any]:
        """What the provider says of itself (OpenID Connect Discovery 1.0, section 4). Raises ProviderDown."""
        if self._known_until > time.monotonic():
            return self._metadata
        issuer = self.settings.issuer
        found = await self._json_from("GET", issuer.rstrip("/") + "/.well-known/openid-configuration")
        if found.get("issuer") != issuer:
            raise ProviderDown(f"{self.settings.label} calls itself otherwise than this service was told.")
        if not all(isinstance(found.get(f"{name}_endpoint"), str) for name in ("authorization", "token")):
            raise ProviderDown(f"{self.settings.label} does not say where to sign in.")
        self._metadata, self._known_until = found, time.monotonic() + SECONDS_KNOWN
        return found

    async def _known_keys(self, *, again: bool = False) -> dict[str, Any]:
        """The provider's public keys, asked anew where `again`, though not all the time. Raises ProviderDown."""
        moment = time.monotonic()
        if not self._keys or (again and moment > self._keys_again):
            self._keys_again = moment + SECONDS_BETWEEN_NEW_KEYS if again else 0.0
            found = await self._json_from("GET", (await self._known_metadata()).get("jwks_uri", ""))
            self._keys = {"keys": [key for key in found.get("keys", []) if key.get("use", "sig") == "sig"]}
        return self._keys

    async def _json_from(self, method: str, address: str, **given: Any) -> dict[str, Any]:
        """The JSON object that the provider answers with. Raises ProviderDown."""
        import httpx  # most installations have no provider

        label = self.settings.label
        try:
            async with httpx.AsyncClient(timeout=SECONDS_TO_ANSWER) as client:
                answer = await client.request(method, address, **given)
            found = answer.json()
        except (httpx.HTTPError, httpx.InvalidURL, ValueError) as fault:
            raise ProviderDown(f"{label} does not answer. Sign in with a key, or try again later.") from fault
        if answer.status_code >= 500 or not isinstance(found, dict):
            raise ProviderDown(f"{label} does not answer. Sign in with a key, or try again later.")
        if answer.status_code >= 400:
            raise SignInFailed(f"{label} refused the sign-in.")
        return found


def _names(claim: Any) -> set[str]:
    """The values of a claim, which may be one, a list or, as scopes are, one text with spaces."""
    if isinstance(claim, str):
        return set(claim.split())
    return {value for value in claim if isinstance(value, str)} if isinstance(claim, list) else set()


def _reason(wrong: Exception) -> str:
    """What does not hold, in a few words: joserfc says which claim, and nothing of its value."""
    known = {"expired_token": "it has expired", "bad_signature": "its signature is not its own"}
    claim = getattr(wrong, "claim", None)
    otherwise = f"its {claim} is not the right one" if claim else "it is no valid token"
    return known.get(str(getattr(wrong, "error", "")), otherwise)
