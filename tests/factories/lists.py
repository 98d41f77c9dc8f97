"""Files of lists, as spreadsheets write them."""

import io


def book(*rows: tuple[object, ...]) -> bytes:
    """A workbook with these rows on its first sheet."""
    from openpyxl import Workbook

    made = Workbook()
    for row in rows:
        made.active.append(row)
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()
