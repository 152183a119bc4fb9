"""The book file: YAML to a frozen, checked description with a place for every word."""
