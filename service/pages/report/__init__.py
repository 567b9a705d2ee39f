"""The one-page report: what stands on the sheet, its template, its address."""
