"""Every language says what English says, in the terms of its own trade."""

import re

import pytest

from engraver.exercises.titles import exercise_title, key_words
from engraver.spec.models import ArpeggioSpec, ScaleSpec
from engraver.tables.words import Words, languages, words
from engraver.theory.chord import chord_symbol
from engraver.theory.key import Key

MAY_DIFFER = ("/notes/irregular", "/notes/roots", "/numbers/feminine")


def rows(table: Words) -> set[str]:
    """The path of every row of a language, lists counted."""
    found: set[str] = set()

    def walk(path: str, value: object) -> None:
        if isinstance(value, dict):
            for key, inner in value.items():
                walk(f"{path}/{key}", inner)
        elif isinstance(value, list):
            for place, inner in enumerate(value):
                walk(f"{path}/{place}", inner)
        else:
            found.add(path)

    walk("", table.model_dump())
    return {path for path in found if not path.startswith(MAY_DIFFER)}


def test_six_languages_are_there() -> None:
    """English, German, French, Spanish, Italian and Portuguese."""
    assert {"en", "de", "fr", "es", "it", "pt"} <= set(languages())


@pytest.mark.parametrize("language", languages())
def test_no_language_lacks_a_row(language: str) -> None:
    """A row added to one table is added to all."""
    assert rows(words(language)) ^ rows(words("en")) == set()


@pytest.mark.parametrize("language", languages())
def test_no_row_is_empty_or_left_in_english(language: str) -> None:
    """Every sentence of the legend and the cautions is the language's own."""
    table, english = words(language), words("en")
    sentences = [*table.cautions.rules, *(sign.sentence for sign in table.signs.values())]
    assert all(sentences)
    if language != "en":
        assert not set(sentences) & {*english.cautions.rules, *(sign.sentence for sign in english.signs.values())}


# Note names of the German and the Romance-speaking countries: common practice, as in every elementary textbook.
@pytest.mark.parametrize(
    ("language", "names"),
    [
        ("de", "C Cis Ces Des Es E Eis Eses F Fis As Ais Asas A H B His Heses Fisis"),
        ("fr", "do,do dièse,do bémol,ré bémol,mi bémol,mi,mi dièse,mi double bémol,fa,fa dièse,la bémol,la dièse,la double bémol,la,si,si bémol,si dièse,si double bémol,fa double dièse"),
        ("it", "do,do diesis,do bemolle,re bemolle,mi bemolle,mi,mi diesis,mi doppio bemolle,fa,fa diesis,la bemolle,la diesis,la doppio bemolle,la,si,si bemolle,si diesis,si doppio bemolle,fa doppio diesis"),
        ("es", "do,do sostenido,do bemol,re bemol,mi bemol,mi,mi sostenido,mi doble bemol,fa,fa sostenido,la bemol,la sostenido,la doble bemol,la,si,si bemol,si sostenido,si doble bemol,fa doble sostenido"),
        ("pt", "dó,dó sustenido,dó bemol,ré bemol,mi bemol,mi,mi sustenido,mi duplo bemol,fá,fá sustenido,lá bemol,lá sustenido,lá duplo bemol,lá,si,si bemol,si sustenido,si duplo bemol,fá duplo sustenido"),
    ],
)  # fmt: skip
def test_notes_have_the_names_of_the_language(language: str, names: str) -> None:
    """H and B, is and es in German; solfège in the Romance languages."""
    notes = "C C# Cb Db Eb E E# Ebb F F# Ab A# Abb A B Bb B# Bbb F##".split()
    found = [words(language).note_name(n[0], n.count("#") - n[1:].count("b")) for n in notes]
    assert found == (names.split() if "," not in names else names.split(","))


@pytest.mark.parametrize(
    ("language", "major", "minor"),
    [
        ("en", "B flat major", "B minor"),
        ("de", "B-Dur", "h-Moll"),
        ("fr", "si bémol majeur", "si mineur"),
        ("it", "si bemolle maggiore", "si minore"),
        ("es", "si bemol mayor", "si menor"),
        ("pt", "si bemol maior", "si menor"),
    ],
)
def test_keys_are_written_as_the_language_writes_them(language: str, major: str, minor: str) -> None:
    """German minor keys have a small letter, and B there is our B flat."""
    table = words(language)
    assert key_words(Key.parse("B flat major"), table) == major
    assert key_words(Key.parse("B minor"), table) == minor


@pytest.mark.parametrize(
    ("language", "scale", "chord", "of_key"),
    [
        ("en", "E flat harmonic minor, two octaves", "Diminished seventh on B, one octave", "Dominant seventh of E minor, two octaves"),
        ("de", "es-Moll, harmonisch, zwei Oktaven", "Verminderter Septakkord auf H, eine Oktave", "Dominantseptakkord von e-Moll, zwei Oktaven"),
        ("fr", "Gamme de mi bémol mineur harmonique, deux octaves", "Septième diminuée sur si, une octave", "Septième de dominante de mi mineur, deux octaves"),
        ("it", "Scala di mi bemolle minore armonica, due ottave", "Settima diminuita su si, un\N{RIGHT SINGLE QUOTATION MARK}ottava", "Settima di dominante di mi minore, due ottave"),
        ("es", "Escala de mi bemol menor armónica, dos octavas", "Séptima disminuida sobre si, una octava", "Séptima de dominante de mi menor, dos octavas"),
        ("pt", "Escala de mi bemol menor harmónica, duas oitavas", "Sétima diminuta sobre si, uma oitava", "Sétima da dominante de mi menor, duas oitavas"),
    ],
)  # fmt: skip
def test_titles_follow_the_word_order_and_the_genders_of_the_language(
    language: str, scale: str, chord: str, of_key: str
) -> None:
    """Two octaves are feminine in Portuguese, one loses its vowel in Italian, the tonic moves about."""
    table = words(language)
    minor = ScaleSpec.model_validate(
        {"id": "a", "kind": "scale", "scale": "harmonic minor", "tonics": ["E flat"], "octaves": 2}
    )
    seventh = {"id": "a", "kind": "arpeggio", "chord": "diminished seventh", "tonics": ["B"]}
    dominant = {"id": "a", "kind": "arpeggio", "chord": "dominant seventh", "key": "E minor", "octaves": 2}
    assert exercise_title(minor, table) == scale
    assert exercise_title(ArpeggioSpec.model_validate(seventh), table) == chord
    assert exercise_title(ArpeggioSpec.model_validate(dominant), table) == of_key


@pytest.mark.parametrize(
    ("written", "german", "french"),
    [("B7", "H7", "B7"), ("B flat", "B", "B\u266d"), ("Bbm", "Bm", "B\u266dm"), ("E7", "E7", "E7")],
)
def test_german_chord_symbols_know_h(written: str, german: str, french: str) -> None:
    """Beside notes named H and B a symbol B7 would be read a semitone too low. Source: German practice, from memory."""
    assert words("de").chord_symbol(chord_symbol(written)) == german
    assert words("fr").chord_symbol(chord_symbol(written)) == french


def test_french_keeps_its_signs_with_a_no_break_space() -> None:
    """Colon, semicolon, question and exclamation mark never begin a line. Source: French typography, common practice."""
    texts = re.findall(r"(.)([:;?!])(?=[\s\"]|$)", str(words("fr").model_dump(exclude={"about", "source", "units"})))
    loose = [before + sign for before, sign in texts if before == " "]
    assert loose == []


@pytest.mark.parametrize(
    ("language", "span"),
    [("en", "60\N{EN DASH}96"), ("de", "60\N{EN DASH}96"), ("es", "60-96"), ("fr", "60\N{EN DASH}96")],
)
def test_ranges_have_the_dash_of_the_language(language: str, span: str) -> None:
    """A Spanish range takes the hyphen. Source: Ortografía de la lengua española (2010), as remembered."""
    assert words(language).span(60, 96) == span


@pytest.mark.parametrize("language", languages())
def test_cautions_name_pain_and_a_professional(language: str) -> None:
    """The stop at pain and the advice to ask stand in every language, on the page and in its short form."""
    pain = {"en": "pain", "de": "Schmerz", "fr": "douleur", "it": "dolore", "es": "dolor", "pt": "dor"}[language]
    health = {"en": "health", "de": "ärztlich", "fr": "santé", "it": "salute", "es": "salud", "pt": "saúde"}[language]
    cautions = words(language).cautions
    assert pain in cautions.rules[-1]
    assert health in cautions.rules[-1]
    assert pain in cautions.one_line
