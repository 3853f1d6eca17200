"""CSV files that a spreadsheet shows as they were written: no formulas, nothing taken for a date.

A cell that begins like a formula gets an apostrophe in front. What could be taken for a date
or a number in another country's writing (7.4, 3/8, 1E5) has to be given with words or a unit
behind it: that is for the caller, who knows what it is.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from toolbox.desk.figures import clean

# Signs at which spreadsheets begin a formula, in East Asian width as well.
_FORMULA = ("=", "+", "-", "@", "＝", "＋", "－", "＠")


def safe_cell(text: str) -> str:
    """Text on one line that no spreadsheet takes for a formula."""
    bare = clean(text)
    return f"'{bare}" if bare.startswith(_FORMULA) else bare


def csv_bytes(heads: Sequence[str], rows: Iterable[Sequence[str | int]]) -> bytes:
    """A table as CSV: UTF-8 with its mark, commas, every text quoted, whole numbers bare."""
    sheet = io.StringIO()
    writer = csv.writer(sheet, quoting=csv.QUOTE_NONNUMERIC, lineterminator="\r\n")
    writer.writerow(heads)
    for row in rows:
        writer.writerow([cell if isinstance(cell, int) else safe_cell(cell) for cell in row])
    return sheet.getvalue().encode("utf-8-sig")
