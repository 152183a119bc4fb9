"""Domain tables as data: scales, chords, tunings, rhythms, costs, words. Every table names its source."""

from engraver.tables.loader import Table, read_table, table_names

__all__ = ["Table", "read_table", "table_names"]
