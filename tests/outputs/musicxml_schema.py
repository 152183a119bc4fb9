"""The MusicXML 4.0 schema, loaded once a session, without a network."""

from functools import cache
from importlib.util import find_spec
from pathlib import Path

import xmlschema


def _package_folder(name: str) -> Path:
    spec = find_spec(name)
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).parent


@cache
def musicxml_schema() -> xmlschema.XMLSchema:
    """The schema with its two imports (xlink, xml) taken from beside it."""
    imports = _package_folder("xmlschema") / "schemas"
    return xmlschema.XMLSchema(
        str(_package_folder("musicxml") / "generate_classes" / "musicxml_4_0.xsd"),
        allow="local",
        locations={
            "http://www.w3.org/1999/xlink": str(imports / "XLINK" / "xlink.xsd"),
            "http://www.w3.org/XML/1998/namespace": str(imports / "XML" / "xml.xsd"),
        },
    )


def schema_problems(data: bytes) -> list[str]:
    """What the schema has against a file, references between ids included."""
    return [f"schema: {error.path}: {error.reason}" for error in musicxml_schema().iter_errors(data)]
