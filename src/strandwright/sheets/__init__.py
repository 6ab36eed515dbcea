"""Sheets: a plan on paper, from typed data that can be stored and printed again unchanged."""

from strandwright.sheets.data import sheet_data
from strandwright.sheets.render import render_sheet, write_sheet

__all__ = ["render_sheet", "sheet_data", "write_sheet"]
