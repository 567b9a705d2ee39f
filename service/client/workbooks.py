"""Workbooks as they are sent and received."""

import re
from typing import Literal

import httpx

from service.client.answers import File

Form = Literal["xlsx", "zip", "csv"]
PostedForm = Literal["xlsx", "zip", "csv", "tsv"]
ReportForm = Literal["pdf", "xlsx", "csv"]
MEDIA_TYPES: dict[PostedForm | ReportForm, str] = {
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "zip": "application/zip",
    "csv": "text/csv",
    "tsv": "text/tab-separated-values",
    "pdf": "application/pdf",
}
_NAME = re.compile(r'filename="([^"]*)"')


def file_of(answer: httpx.Response) -> File:
    """The file in an answer."""
    found = _NAME.search(answer.headers.get("Content-Disposition", ""))
    name = found[1] if found else ""
    return File(answer.content, answer.headers.get("Content-Type", ""), name, answer.headers.get("ETag", ""))
