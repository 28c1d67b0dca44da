"""The logbook: tables, the one door in, read models for pages. All SQL lives here."""
