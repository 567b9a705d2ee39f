"""A small identity provider of our own: OpenID Connect Core 1.0, section 3.1, with PKCE (RFC 7636), tokens signed by
joserfc. It knows one person, who is always there and agrees to everything.
"""

import base64
import hashlib
import json
import secrets
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qs, urlencode, urlsplit

from joserfc import jwk, jwt

CLIENT, SECRET = "loading", "s3cret of the client"


@dataclass
class Provider:
    """claims: what the ID token says besides; a value of None leaves the claim out. signing_key: used instead of the
    published one."""

    address: str = ""
    claims: dict[str, Any] = field(default_factory=dict)
    signing_key: jwk.RSAKey | None = None
    key: jwk.RSAKey = field(default_factory=lambda: jwk.RSAKey.generate_key(2048, {"kid": "1", "use": "sig"}))
    asked: list[dict[str, str]] = field(default_factory=list)
    codes: dict[str, dict[str, str]] = field(default_factory=dict)

    def metadata(self) -> dict[str, Any]:
        return {
            "issuer": self.address,
            "authorization_endpoint": f"{self.address}/authorize",
            "token_endpoint": f"{self.address}/token",
            "jwks_uri": f"{self.address}/keys",
            "response_types_supported": ["code"],
            "subject_types_supported": ["public"],
            "id_token_signing_alg_values_supported": ["RS256"],
        }

    def authorize(self, query: dict[str, str]) -> str:
        """Where the browser is sent back to."""
        self.asked.append(query)
        assert query["response_type"] == "code"
        assert "openid" in query["scope"].split()
        assert query["code_challenge_method"] == "S256"
        code = secrets.token_urlsafe(8)
        self.codes[code] = query
        return f"{query['redirect_uri']}?{urlencode({'code': code, 'state': query['state']})}"

    def token(self, form: dict[str, str], authorization: str) -> tuple[int, dict[str, Any]]:
        """Status and answer of the token endpoint."""
        query = self.codes.pop(form["code"], None)
        given = base64.b64encode(f"{CLIENT}:{SECRET}".encode()).decode()
        digest = hashlib.sha256(form["code_verifier"].encode()).digest()
        challenge = base64.urlsafe_b64encode(digest).decode().rstrip("=")
        if (
            query is None
            or authorization != f"Basic {given}"
            or form["grant_type"] != "authorization_code"
            or form["redirect_uri"] != query["redirect_uri"]
            or challenge != query["code_challenge"]
        ):
            return 400, {"error": "invalid_grant"}
        moment = int(time.time())
        claims = {
            "iss": self.address, "sub": "u-1", "aud": CLIENT, "iat": moment, "exp": moment + 300,
            "nonce": query["nonce"], "name": "A person ashore", "roles": ["reviewer"], "vessels": ["halvenmoor"],
        } | self.claims  # fmt: skip
        claims = {name: value for name, value in claims.items() if value is not None}
        key = self.signing_key or self.key
        signed = jwt.encode({"alg": "RS256", "kid": key.kid}, claims, key)
        return 200, {"access_token": "a", "token_type": "Bearer", "expires_in": 300, "id_token": signed}


@contextmanager
def running_provider() -> Iterator[Provider]:
    """A provider at a free port of this machine."""
    provider = Provider()

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            parts = urlsplit(self.path)
            query = {name: values[0] for name, values in parse_qs(parts.query).items()}
            if parts.path == "/authorize":
                self.send_response(302)
                self.send_header("Location", provider.authorize(query))
                self.send_header("Content-Length", "0")
                self.end_headers()
            elif parts.path == "/keys":
                self._answer(200, {"keys": [provider.key.as_dict(private=False)]})
            else:
                assert parts.path == "/.well-known/openid-configuration"
                self._answer(200, provider.metadata())

        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"])).decode()
            form = {name: values[0] for name, values in parse_qs(body).items()}
            self._answer(*provider.token(form, self.headers.get("Authorization", "")))

        def _answer(self, status: int, document: dict[str, Any]) -> None:
            body = json.dumps(document).encode()
            self.send_response(status)
            self.send_header("Content-Type", "application/json")
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *given: object) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), Handler) as server:
        provider.address = f"http://127.0.0.1:{server.server_port}"
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield provider
        server.shutdown()
        thread.join()
