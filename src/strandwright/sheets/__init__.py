"""Sheets: a plan on paper, from typed data that can be stored and printed again unchanged."""

from strandwright.sheets.data import sheet_data
from strandwright.sheets.render import render_sheet, write_sheet
from strandwright.sheets.tag import render_tag, tag_data

__all__ = ["render_sheet", "render_tag", "sheet_data", "tag_data", "write_sheet"]
