"""The terms that the pages print, explained in the language of the book: a table for each, the same terms in all."""

from pydantic import BaseModel, ConfigDict

from engraver.tables.loader import Table, read_table


class Term(BaseModel):
    """A term as the glossary lists it, the forms in which the pages print it, and what it means."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    name: str
    found: tuple[str, ...]
    sentence: str


class Glossary(Table):
    """Every term that can be explained, by a name of its own that is the same in all languages."""

    terms: dict[str, Term]


def glossary_terms(language: str) -> Glossary:
    """The terms in a language by its code, `en` or `en-GB`. Raises TableError for a language without a table."""
    return read_table(f"glossary/{language.split('-')[0].lower()}", Glossary)
