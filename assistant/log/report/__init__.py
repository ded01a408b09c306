"""The report: one record as a page to print, as text, as a table and as data."""
