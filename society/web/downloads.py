"""A list sent as a file to be saved."""

from django.http import HttpResponse

from society.web.workbook_out import XLSX_TYPE, Listing, csv_text, workbook_bytes

CSV, XLSX = "csv", "xlsx"


def list_file(listing: Listing, name: str, kind: str) -> HttpResponse:
    """The list as CSV or XLSX. `name`: of the file, without its ending.

    CSV begins with a mark, so that a spreadsheet reads its letters right.
    """
    if kind == XLSX:
        response = HttpResponse(workbook_bytes(listing), content_type=XLSX_TYPE)
    else:
        text = f"\ufeff{csv_text(listing)}"
        response = HttpResponse(text, content_type="text/csv; charset=utf-8")
    response.headers["Content-Disposition"] = f'attachment; filename="{name}.{kind}"'
    return response
