"""Spreadsheet: everything kept as CSV for a spreadsheet, and lists of it taken in again."""
