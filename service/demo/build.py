"""Computes the demonstration vessels afresh and writes their documents: python -m service.demo.build

The layout of the files is fixed: fields in the order of the code, one table row to a line, so that a change
shows as a change of few lines.  Condition documents are written by hand; they are only laid out alike.
"""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from . import halvenmoor, ostrel, quarrenby
from .printing import Row

FOLDER = Path(__file__).parent
LINE = 100

DOCUMENTS: dict[str, Callable[[], Row]] = {
    "halvenmoor": halvenmoor.document,
    "ostrel": ostrel.document,
    "quarrenby": quarrenby.document,
}


def layout(value: Any, indent: int = 0, in_list: bool = False) -> str:
    """JSON text: containers of plain values on one line (dicts outside lists only while short)."""
    members = list(value.values()) if isinstance(value, dict) else value
    plain = not isinstance(value, dict | list) or not any(isinstance(m, dict | list) for m in members)
    line = json.dumps(value, ensure_ascii=False)
    if plain and (in_list or not isinstance(value, dict) or len(line) + indent <= LINE):
        return line
    inner = " " * (indent + 2)
    if isinstance(value, dict):
        parts = [f"{inner}{json.dumps(k)}: {layout(v, indent + 2)}" for k, v in value.items()]
        opening, closing = "{", "}"
    else:
        parts = [inner + layout(v, indent + 2, in_list=True) for v in value]
        opening, closing = "[", "]"
    return f"{opening}\n" + ",\n".join(parts) + f"\n{' ' * indent}{closing}"


def main() -> None:
    """Writes every vessel document and the printed conditions of Quarrenby, and lays out every condition document."""
    (FOLDER / "vessels").mkdir(exist_ok=True)
    for vessel, document in DOCUMENTS.items():
        (FOLDER / "vessels" / f"{vessel}.json").write_text(layout(document()) + "\n", encoding="utf-8")
    own = FOLDER / "conditions" / "quarrenby"
    conditions = {name: json.loads((own / f"{name}.json").read_text("utf-8")) for name in quarrenby.PRINTED}
    text = layout(quarrenby.printed(conditions)) + "\n"
    (FOLDER / "printed" / "quarrenby.json").write_text(text, encoding="utf-8")
    for path in sorted((FOLDER / "conditions").glob("*/*.json")):
        path.write_text(layout(json.loads(path.read_text(encoding="utf-8"))) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
