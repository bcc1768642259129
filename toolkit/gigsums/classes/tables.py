"""Tables for spreadsheets: a text that a spreadsheet would take for a formula is made a text again."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

_NUMBER = re.compile(r"[-+−]?[0-9]+(?:[.,][0-9]+)?(?:[eE][-+]?[0-9]{1,3})?")
_FORMULA = tuple("=+-@\t\r\n＝＋－＠−")


def safe_cell(value: object) -> str:
    """A cell: numbers as they are, negative ones too; texts on one line, and never a formula."""
    if isinstance(value, float):
        return f"{value:.6g}"
    text = "".join(each if each.isprintable() else " " for each in str(value)) if value is not None else ""
    raw = str(value)
    if _NUMBER.fullmatch(text):
        return text.replace("−", "-")
    risky = raw.startswith(_FORMULA) or text.lstrip().startswith(_FORMULA)
    return f"'{text}" if text and risky else text


def as_csv(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Head and rows as the text of a CSV file (RFC 4180)."""
    out = io.StringIO()
    lines = csv.writer(out, lineterminator="\r\n")
    lines.writerow(head)
    lines.writerows([safe_cell(cell) for cell in row] for row in rows)
    return out.getvalue()
