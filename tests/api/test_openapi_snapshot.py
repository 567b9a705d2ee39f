"""The committed description of the API is the one the service gives: a change of the contract shows in a commit.

.venv/bin/python -m tests.api.test_openapi_snapshot      writes it anew
"""

import json
from pathlib import Path
from typing import Any

from service.app import create_app, describe
from service.settings import Settings

FILE = Path(__file__).parents[2] / "openapi_examples" / "openapi.json"


def described() -> dict[str, Any]:
    """What the service says of itself, without the examples, which have files of their own."""
    document: dict[str, Any] = describe(create_app(Settings()))
    for path in document["paths"].values():
        for operation in path.values():
            for parameter in operation.get("parameters", ()):
                parameter.pop("example", None)
            parts = [operation.get("requestBody", {}), *operation["responses"].values()]
            for part in parts:
                for content in part.get("content", {}).values():
                    content.pop("examples", None)
    return document


def as_text(document: dict[str, Any]) -> str:
    return json.dumps(document, indent=1, ensure_ascii=False, sort_keys=True) + "\n"


def test_the_committed_description_is_the_present_one() -> None:
    assert as_text(described()) == FILE.read_text("utf-8")


if __name__ == "__main__":
    FILE.write_text(as_text(described()), "utf-8")
