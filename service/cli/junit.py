"""The results of `check` as JUnit XML, the report that build servers read.

There is no standard of it; elements and attributes are those of the JUnit task of Apache Ant (value from memory).
"""

import os
import re
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

_NOT_IN_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


class JunitReport:
    """A test case for each condition: failed where she fails or something could not be checked, an error where it was
    refused."""

    def __init__(self) -> None:
        self._suite = ElementTree.Element("testsuite", name="loading conditions")
        self._counts = {"tests": 0, "failures": 0, "errors": 0, "skipped": 0}

    def add(self, where: str, answer: dict[str, Any]) -> None:
        """One answer: an assessment or a problem."""
        name = answer.get("title") or where
        case = ElementTree.SubElement(self._suite, "testcase", classname=_text(where), name=_text(name))
        self._counts["tests"] += 1
        if "type" in answer:
            self._add(case, "error", answer.get("code", "unreadable"), answer["detail"])
        elif answer["verdict"] != "pass":
            margin = answer["least_stability_margin"]
            told = (
                ""
                if margin is None
                else f": {margin['title']}, margin {margin['margin']:.3f} {margin['unit']}"
            )
            self._add(case, "failure", answer["verdict"], answer["verdict"] + told)

    def add_case(self, where: str, name: str, error: str | None, failure: str | None) -> None:
        """One case by its name: an error, a failure, or neither; each told in a sentence."""
        case = ElementTree.SubElement(self._suite, "testcase", classname=_text(where), name=_text(name))
        self._counts["tests"] += 1
        if error is not None:
            self._add(case, "error", "refused", error)
        elif failure is not None:
            self._add(case, "failure", "moved", failure)

    def stopped(self, reason: str) -> None:
        """The run ended before every condition was checked."""
        case = ElementTree.SubElement(
            self._suite, "testcase", classname="check", name="Every condition is checked"
        )
        self._counts["tests"] += 1
        self._add(case, "error", "stopped", reason)

    def write(self, path: Path) -> None:
        """Write the file, whole or not at all. Raises OSError."""
        for name, count in self._counts.items():
            self._suite.set(name, str(count))
        part = path.with_name(f"{path.name}.{os.getpid()}.part")
        try:
            ElementTree.ElementTree(self._suite).write(part, "utf-8", xml_declaration=True)
            part.replace(path)
        finally:
            part.unlink(missing_ok=True)

    def _add(self, case: ElementTree.Element, element: str, kind: str, message: str) -> None:
        self._counts["errors" if element == "error" else "failures"] += 1
        ElementTree.SubElement(case, element, type=_text(kind), message=_text(message))


def _text(text: object) -> str:
    """Text as XML 1.0 can hold it (section 2.2)."""
    return _NOT_IN_XML.sub("?", str(text))
