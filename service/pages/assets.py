"""Style, script and icon, read once and served under names that change with their content."""

import hashlib
from importlib.resources import files
from typing import Final

from starlette.responses import Response

_TYPES: Final = {
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "svg": "image/svg+xml",
}


class Assets:
    """The files of `service/pages/static`."""

    def __init__(self) -> None:
        folder = files("service.pages").joinpath("static")
        self._content = {f.name: f.read_bytes() for f in folder.iterdir() if f.name.split(".")[-1] in _TYPES}
        self._tags = {name: hashlib.sha256(text).hexdigest()[:12] for name, text in self._content.items()}

    def address(self, name: str) -> str:
        """Where a file is served."""
        return f"/static/{self._tags[name]}/{name}"

    def answer(self, tag: str, name: str) -> Response | None:
        """The file, to be kept for ever by whoever asked for this very content; None where there is none."""
        if name not in self._content:
            return None
        kept = "public, max-age=31536000, immutable" if self._tags[name] == tag else "no-cache"
        headers = {"Cache-Control": kept}
        return Response(self._content[name], media_type=_TYPES[name.split(".")[-1]], headers=headers)
