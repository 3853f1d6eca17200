"""CSV files as spreadsheets open them best; what a cell must not become, its caller guards."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence


def csv_bytes(heads: Sequence[str], rows: Iterable[Sequence[str | int]]) -> bytes:
    """A table as CSV: UTF-8 with its mark, commas, every text quoted, whole numbers bare."""
    sheet = io.StringIO()
    writer = csv.writer(sheet, quoting=csv.QUOTE_NONNUMERIC, lineterminator="\r\n")
    writer.writerow(heads)
    writer.writerows(rows)
    return sheet.getvalue().encode("utf-8-sig")
