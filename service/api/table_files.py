"""Tables of an answer as files: media types, names, headers."""

from collections.abc import Mapping
from typing import Any, Final

from starlette.responses import Response

from service.actions.list_files import Form
from service.web.accepted import JSON

CSV: Final = "text/csv"
XLSX: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
LIST_FORMS: Final = (*JSON, CSV, XLSX)
TABLE_FORMS: Final = (XLSX, CSV)
_CONTENT: Final[dict[str, dict[str, Any]]] = {
    CSV: {"schema": {"type": "string"}},
    XLSX: {"schema": {"type": "string", "format": "binary"}},
}
LIST_CONTENT: Final[dict[str, Any]] = {"content": {JSON[0]: {}, **_CONTENT}}
"""What the description of a list says of its forms."""
TABLE_CONTENT: Final[dict[str, Any]] = {"content": {form: _CONTENT[form] for form in TABLE_FORMS}}


def form_of(media_type: str) -> Form:
    """The form of a file by its media type."""
    return "xlsx" if media_type == XLSX else "csv"


def table_answer(data: bytes, form: Form, name: str, headers: Mapping[str, str]) -> Response:
    """A file to be saved; `name` is of letters, digits and hyphens."""
    media_type = XLSX if form == "xlsx" else f"{CSV}; charset=utf-8; header=present"
    disposition = {"Content-Disposition": f'attachment; filename="{name}.{form}"'}
    return Response(data, headers={**headers, **disposition}, media_type=media_type)
