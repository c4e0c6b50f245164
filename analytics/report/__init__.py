"""Answers as one printable page, and tables to take elsewhere."""
