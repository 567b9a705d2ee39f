"""Writes the plain client from the asynchronous one, which alone is written by hand.

.venv/bin/python service/client/distribution/synchronous.py
"""

import re
import subprocess
import sys
from pathlib import Path

CLIENT = Path(__file__).parents[1]
SOURCE, TARGET = CLIENT / "asynchronous", CLIENT / "synchronous"
BY_HAND = ("__init__.py", "iteration.py")
_WORDS = (
    (r"\basync (def|for|with) ", r"\1 "),
    (r"\bawait ", ""),
    (r"\bAsync(?=[A-Z])", ""),
    (r"\b__a(enter|exit)__\b", r"__\1__"),
    (r"\ba(close|read|iter_bytes)\(", r"\1("),
    (r"\bclient\.asynchronous\b", "client.synchronous"),
)


def plain_modules() -> dict[str, str]:
    """The text of each module of the plain client, by its file name."""
    sources = [path for path in sorted(SOURCE.glob("*.py")) if path.name not in BY_HAND]
    return {path.name: formatted(plain(path.read_text("utf-8"))) for path in sources}


def plain(text: str) -> str:
    """The text of a module without what is asynchronous in it."""
    for words, instead in _WORDS:
        text = re.sub(words, instead, text)
    return text


def formatted(text: str) -> str:
    """The text as the formatter of this project writes it."""
    for command in (["check", "--select", "I", "--fix", "--quiet"], ["format"]):
        done = subprocess.run(  # noqa: S603 - our own text to our own formatter
            [sys.executable, "-m", "ruff", *command, "--stdin-filename", str(TARGET / "any.py"), "-"],
            input=text,
            capture_output=True,
            text=True,
            check=True,
        )
        text = done.stdout
    return text


def main() -> None:
    """Write every module."""
    for name, text in plain_modules().items():
        (TARGET / name).write_text(text, "utf-8")


if __name__ == "__main__":
    main()
