"""Builds the client's wheel with the standard library alone (PEP 517, PEP 427).

`service/client` becomes the package `loading_conditions`, `service/wire` goes into it as `loading_conditions.wire`.
The same source gives the same bytes. Used by pip (`pip wheel service/client`), or by hand:

    .venv/bin/python -m service.client.distribution.backend FOLDER
"""

import base64
import hashlib
import re
import sys
import tomllib
import zipfile
from pathlib import Path
from typing import Any

CLIENT = Path(__file__).resolve().parents[1]
WIRE = CLIENT.parent / "wire"
PACKAGE = "loading_conditions"
NOT_PACKED = {"distribution", "__pycache__"}
_NAMES = (
    (re.compile(r"\bservice\.client\b"), PACKAGE),
    (re.compile(r"\bservice\.wire\b"), f"{PACKAGE}.wire"),
)
_TIME = (1980, 1, 1, 0, 0, 0)


class UnsupportedOperation(Exception):
    """What this backend does not build (PEP 517)."""


def build_wheel(
    wheel_directory: str, config_settings: dict[str, Any] | None = None, metadata_directory: str | None = None
) -> str:
    """Write the wheel into a folder; its file name."""
    files = {**package_files(), **_metadata_files()}
    folder = _dist_info()
    files[f"{folder}/RECORD"] = _record(files, folder)
    project = _project()
    name = f"{project['name'].replace('-', '_')}-{project['version']}-py3-none-any.whl"
    with zipfile.ZipFile(Path(wheel_directory) / name, "w", zipfile.ZIP_DEFLATED) as wheel:
        for path, content in files.items():
            entry = zipfile.ZipInfo(path, _TIME)
            entry.external_attr = 0o644 << 16
            entry.compress_type = zipfile.ZIP_DEFLATED
            wheel.writestr(entry, content)
    return name


def build_sdist(sdist_directory: str, config_settings: dict[str, Any] | None = None) -> str:
    """Not built: the sources are the repository."""
    raise UnsupportedOperation("The client is built as a wheel only.")


def package_files() -> dict[str, bytes]:
    """Every file of the package by its path in the wheel, in alphabetical order."""
    found = {f"{PACKAGE}/py.typed": b""}
    for source, target in ((CLIENT, PACKAGE), (WIRE, f"{PACKAGE}/wire")):
        for path in source.rglob("*.py"):
            inside = path.relative_to(source)
            if not NOT_PACKED & set(inside.parts):
                found[f"{target}/{inside.as_posix()}"] = _renamed(path.read_text("utf-8")).encode("utf-8")
    return dict(sorted(found.items()))


def _renamed(text: str) -> str:
    for name, instead in _NAMES:
        text = name.sub(instead, text)
    return text


def _project() -> dict[str, Any]:
    project: dict[str, Any] = tomllib.loads((CLIENT / "pyproject.toml").read_text("utf-8"))["project"]
    return project


def _dist_info() -> str:
    project = _project()
    return f"{project['name'].replace('-', '_')}-{project['version']}.dist-info"


def _metadata_files() -> dict[str, bytes]:
    project = _project()
    lines = [
        "Metadata-Version: 2.1",
        f"Name: {project['name']}",
        f"Version: {project['version']}",
        f"Summary: {project['description']}",
        f"Requires-Python: {project['requires-python']}",
        *(f"Requires-Dist: {needed}" for needed in project["dependencies"]),
        "Description-Content-Type: text/markdown",
        "",
        (CLIENT / project["readme"]).read_text("utf-8"),
    ]
    wheel = "Wheel-Version: 1.0\nGenerator: loading-conditions\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
    folder = _dist_info()
    return {f"{folder}/METADATA": "\n".join(lines).encode("utf-8"), f"{folder}/WHEEL": wheel.encode("ascii")}


def _record(files: dict[str, bytes], folder: str) -> bytes:
    rows = [f"{path},sha256={_digest(content)},{len(content)}" for path, content in files.items()]
    return "\n".join([*rows, f"{folder}/RECORD,,", ""]).encode("utf-8")


def _digest(content: bytes) -> str:
    return base64.urlsafe_b64encode(hashlib.sha256(content).digest()).rstrip(b"=").decode("ascii")


if __name__ == "__main__":
    print(build_wheel(sys.argv[1]))
