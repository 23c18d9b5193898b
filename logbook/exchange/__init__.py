"""Reading foreign data: packages, spreadsheets, tracks, another book."""
