"""A virtual environment that holds a wheel and nothing but what is named, made without any download."""

import os
import subprocess
import sys
import sysconfig
import venv
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from pathlib import Path

from packaging.requirements import Requirement

ROOT = Path(__file__).parents[2]


def built_wheel(source: Path, folder: Path) -> Path:
    """The wheel that pip builds from a folder of sources."""
    _pip(f"wheel --no-build-isolation --no-deps --no-index --wheel-dir {folder} {source}")
    (wheel,) = folder.glob("*.whl")
    return wheel


class Environment:
    """A new virtual environment in a folder, away from the source tree."""

    def __init__(self, folder: Path) -> None:
        venv.create(folder, with_pip=False)
        self.folder = folder
        self.python = folder / "bin" / "python"
        names = {"base": str(folder), "platbase": str(folder)}
        self._packages = Path(sysconfig.get_path("purelib", "venv", names))

    def install(self, wheel: Path) -> None:
        """Install a wheel without its requirements."""
        _pip(f"--python {self.python} install --no-deps --no-index {wheel}")

    def share(self, *names: str) -> set[str]:
        """Put distributions of the tests' environment into this one, and whatever they require; their names."""
        found = closure(names)
        for each in found.values():
            places = {Path(str(file)).parts[0] for file in each.files or ()} - {"..", "__pycache__"}
            for place in places:
                self._packages.joinpath(place).symlink_to(Path(str(each.locate_file(place))))
        return set(found)

    def run(self, *arguments: str, **variables: str) -> subprocess.CompletedProcess[str]:
        """Run its Python in its own folder."""
        return subprocess.run(
            [str(self.python), *arguments],
            cwd=self.folder,
            env=environment_of(**variables),
            capture_output=True,
            text=True,
            timeout=110,
            check=False,
        )


def _pip(words: str) -> None:
    command = [sys.executable, "-m", "pip", "--quiet", "--disable-pip-version-check", *words.split()]
    subprocess.run(command, check=True, timeout=100)


def environment_of(**variables: str) -> dict[str, str]:
    """The variables of a program that shall find nothing of the tests' environment."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "LOADING_"))}
    return kept | variables


def closure(names: tuple[str, ...]) -> dict[str, Distribution]:
    """Distributions by their names, with all that they require here."""
    found: dict[str, Distribution] = {}
    waiting = [Requirement(name) for name in names]
    while waiting:
        wanted = waiting.pop()
        name = wanted.name.lower().replace("_", "-")
        try:
            each = found.setdefault(name, distribution(name))
        except PackageNotFoundError:
            raise AssertionError(f"{name} is required and not installed") from None
        for line in each.requires or ():
            needed = Requirement(line)
            extras = wanted.extras or {""}
            applies = needed.marker is None or any(
                needed.marker.evaluate({"extra": extra}) for extra in extras
            )
            if applies and needed.name.lower().replace("_", "-") not in found:
                waiting.append(needed)
    return found
