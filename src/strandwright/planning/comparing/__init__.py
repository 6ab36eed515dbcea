"""Comparing: builds without anybody's name, for shops that compare what their lines do."""
